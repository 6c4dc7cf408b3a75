//! The prepared circuit of one project revision, ready to be asked for readings.

use std::collections::BTreeSet;

use crate::model::{PartId, Project, SensePinId, State, TerminalRef, WireId};
use crate::sense::row::{PinTable, StateRow};

/// What a meter shows between two terminals.
#[derive(Clone, Debug, PartialEq)]
pub enum MeterReading {
    /// Ohms, or volts.
    Value(f64),
    /// No path between the leads.
    Open,
    /// A lead hangs on something whose potential nothing fixes; the name of the net.
    Floating(String),
    /// Something makes the reading meaningless (two supplies joined, shorted supply): the sentence.
    Impossible(String),
}

/// Everything that can be asked of one revision of a project. Built once per edit.
pub struct Reader {
    project: Project,
}

impl Reader {
    /// Prepares the circuit: netlist, wire resistances, reduction per sense pin.
    pub fn new(project: &Project) -> Self {
        Self { project: project.clone() }
    }

    /// One state of one pin, live.
    pub fn row(&self, _pin: SensePinId, _state: &State) -> Option<StateRow> {
        let _ = &self.project;
        None
    }

    /// Every state of one pin.
    pub fn table(&self, _pin: SensePinId) -> Option<PinTable> {
        None
    }

    /// Ohms between two terminals: supplies off, controller unplugged.
    pub fn meter_ohm(
        &self,
        _state: &State,
        _red: TerminalRef,
        _black: TerminalRef,
    ) -> MeterReading {
        MeterReading::Open
    }

    /// Volts of red against black: supplies on, controller plugged in.
    pub fn meter_volt(
        &self,
        _state: &State,
        _red: TerminalRef,
        _black: TerminalRef,
    ) -> MeterReading {
        MeterReading::Open
    }

    /// The series and parallel steps in words, last line the result.
    pub fn working(&self, _pin: SensePinId, _state: &State) -> Vec<String> {
        Vec::new()
    }

    /// Parts and wires on the live path from the pin to its reference.
    pub fn live(&self, _pin: SensePinId, _state: &State) -> (BTreeSet<PartId>, BTreeSet<WireId>) {
        (BTreeSet::new(), BTreeSet::new())
    }
}
