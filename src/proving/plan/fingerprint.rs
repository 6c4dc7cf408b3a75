//! A fingerprint of what a step's limits hang on, so that a changed drawing shows which readings
//! are stale. Where things stand on the sheet, their colours and their names are not in it.

use crate::circuit::{Corner, Netlist, PinNetwork, Source};
use crate::model::{ControlId, Project, SensePin, Side, State, TerminalRef};

/// Fowler, Noll and Vo's hash of 64 bits (FNV-1a; IETF draft-eastlake-fnv).
#[derive(Clone, Debug)]
pub struct Fingerprint(u64);

impl Fingerprint {
    /// Begins with the kind of step.
    pub fn new(kind: &str) -> Self {
        let mut print = Self(0xCBF2_9CE4_8422_2325);
        print.bytes(kind.as_bytes());
        print
    }

    fn bytes(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01B3);
        }
    }

    /// Adds whole numbers.
    pub fn numbers(&mut self, numbers: &[u32]) {
        for number in numbers {
            self.bytes(&number.to_le_bytes());
        }
    }

    /// Adds values to nine figures, so that the last bits of a sum change nothing.
    pub fn values(&mut self, values: &[f64]) {
        for value in values {
            let rounded: f64 = format!("{value:.8e}").parse().unwrap_or(*value);
            let rounded = if rounded == 0.0 { 0.0 } else { rounded };
            self.bytes(&rounded.to_bits().to_le_bytes());
        }
    }

    /// Adds a terminal.
    pub fn terminal(&mut self, at: TerminalRef) {
        self.numbers(&[at.part.0, u32::from(at.terminal)]);
    }

    /// The number.
    pub fn finish(&self) -> u64 {
        self.0
    }

    /// Adds everything between a pin and its reference: what joins what, with its ohms.
    pub fn network(&mut self, netlist: &Netlist, network: &PinNetwork) {
        for edge in &network.edges {
            let weight = &netlist.graph[*edge];
            self.source(weight.source);
            self.values(&Corner::ALL.map(|corner| weight.ohm.at(corner)));
            if let Some(switch) = weight.switch {
                self.numbers(&[switch.contact.0, u32::from(switch.throw)]);
            }
            if let Some((a, b)) = netlist.graph.edge_endpoints(*edge) {
                self.terminal(netlist.graph[a].at);
                self.terminal(netlist.graph[b].at);
            }
        }
        for potential in &network.mixed {
            self.values(&[potential.volt.low, potential.volt.nominal, potential.volt.high]);
        }
    }

    fn source(&mut self, source: Source) {
        match source {
            Source::Part(part) => self.numbers(&[1, part.0]),
            Source::Coil(part) => self.numbers(&[2, part.0]),
            Source::Wire(wire) => self.numbers(&[3, wire.0]),
            Source::Joint { part, cavity } => self.numbers(&[4, part.0, u32::from(cavity)]),
            Source::Loop(pin) => self.numbers(&[5, pin.0]),
            Source::Bridge => self.numbers(&[6]),
        }
    }

    /// Adds which contacts a state throws.
    pub fn state(&mut self, project: &Project, state: &State) {
        for (id, position) in &state.0 {
            let throws = project
                .controls
                .get(*id)
                .and_then(|control| control.positions.get(usize::from(*position)))
                .map(|position| &position.throws);
            self.numbers(&[id.0, u32::from(*position)]);
            for (contact, throw) in throws.into_iter().flatten() {
                self.numbers(&[contact.0, u32::from(*throw)]);
            }
        }
    }

    /// Adds what the controller measures with.
    pub fn measure(&mut self, pin: &SensePin) {
        self.numbers(&[u32::from(pin.side == Side::Ground)]);
        for value in [pin.pull_ohm, pin.reference_volt].into_iter().flatten() {
            self.values(&[value.nominal, value.tolerance]);
        }
        self.values(&[pin.ground_offset_volt]);
    }
}

/// Controls off rest with their positions, for the identity of a step: `3=1,7=2`.
pub fn state_key(project: &Project, state: &State) -> String {
    let is_moved = |(id, position): &(&ControlId, &u8)| {
        project.controls.get(**id).is_some_and(|control| control.rest != **position)
    };
    let moved = state.0.iter().filter(is_moved).map(|(id, position)| format!("{id}={position}"));
    moved.collect::<Vec<_>>().join(",")
}
