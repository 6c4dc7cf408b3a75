//! The whole project: tables of rows, and names for what they hold.

use crate::model::bench::BenchRun;
use crate::model::control::{Control, State};
use crate::model::cutting::Cutting;
use crate::model::harness::{Piece, Place, Run};
use crate::model::id::{
    BenchRunId, ChangeId, ControlId, FrameId, PartId, PieceId, PlaceId, RunId, SensePinId, SetupId,
    WireId,
};
use crate::model::part::{Frame, Part, TerminalRef};
use crate::model::record::{ChangeNote, SetupRow};
use crate::model::sense::SensePin;
use crate::model::settings::Settings;
use crate::model::story::Story;
use crate::model::table::Table;
use crate::model::underlay::Underlay;
use crate::model::wire::Wire;

/// Everything one file holds. Copying is cheap; rows are shared until changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Project {
    /// Title shown in the window and on sheets.
    pub title: String,
    /// Free notes.
    pub notes: String,
    /// Parts.
    pub parts: Table<PartId, Part>,
    /// Wires.
    pub wires: Table<WireId, Wire>,
    /// Frames.
    pub frames: Table<FrameId, Frame>,
    /// Controls, in the order of the control strip.
    pub controls: Table<ControlId, Control>,
    /// Sense pins.
    pub sense_pins: Table<SensePinId, SensePin>,
    /// Places of the harness layout.
    pub places: Table<PlaceId, Place>,
    /// Runs between places.
    pub runs: Table<RunId, Run>,
    /// Wire on hand.
    pub pieces: Table<PieceId, Piece>,
    /// Rounds of the bench test.
    pub bench_runs: Table<BenchRunId, BenchRun>,
    /// Ends of the permit loop, where they were picked.
    pub permit: Option<(TerminalRef, TerminalRef)>,
    /// Settings of controller and machine, as they were found or made.
    pub set_up: Table<SetupId, SetupRow>,
    /// Who changed what when.
    pub changes: Table<ChangeId, ChangeNote>,
    /// The arming story.
    pub story: Story,
    /// What is written down about cutting.
    pub cutting: Cutting,
    /// The photo or drawing beneath the layout.
    pub underlay: Option<Underlay>,
    /// Millimetres of the machine one of the layout drawing stands for, where that is known.
    pub layout_scale: Option<f64>,
    /// Settings.
    pub settings: Settings,
    /// Lowest number no row has ever had.
    pub next_id: u32,
}

impl Project {
    /// An empty project.
    pub fn empty(title: &str) -> Self {
        Self {
            title: title.to_owned(),
            notes: String::new(),
            parts: Table::default(),
            wires: Table::default(),
            frames: Table::default(),
            controls: Table::default(),
            sense_pins: Table::default(),
            places: Table::default(),
            runs: Table::default(),
            pieces: Table::default(),
            bench_runs: Table::default(),
            permit: None,
            set_up: Table::default(),
            changes: Table::default(),
            story: Story::default(),
            cutting: Cutting::default(),
            underlay: None,
            layout_scale: None,
            settings: Settings::for_new_project(),
            next_id: 1,
        }
    }

    /// Hands out an identity no row has had.
    pub fn fresh_id<Id: From<u32>>(&mut self) -> Id {
        let id = self.next_id;
        self.next_id = self.next_id.saturating_add(1);
        Id::from(id)
    }

    /// Whether the terminal belongs to a part that exists.
    pub fn has_terminal(&self, terminal: TerminalRef) -> bool {
        self.parts.get(terminal.part).is_some_and(|part| part.kind.has_terminal(terminal.terminal))
    }

    /// Name of a terminal as it stands in lists, such as `X1-11`; `?` where there is no such terminal.
    pub fn terminal_name(&self, terminal: TerminalRef) -> String {
        self.parts
            .get(terminal.part)
            .map_or_else(|| "?".into(), |part| part.terminal_name(terminal.terminal))
    }

    /// Throw of a contact in a state; contacts that no control moves stay in throw 0.
    pub fn throw(&self, contact: PartId, state: &State) -> u8 {
        self.controls
            .iter()
            .find_map(|(id, control)| {
                let position = control.positions.get(usize::from(state.position(id, control)))?;
                position.throws.get(&contact).copied()
            })
            .unwrap_or(0)
    }

    /// Whether every control that `some` names stands in `all` as it says; controls that `all` does
    /// not name stand at rest.
    pub fn stands(&self, some: &State, all: &State) -> bool {
        some.0.iter().all(|(id, position)| {
            let control = self.controls.get(*id);
            control.is_some_and(|control| all.position(*id, control) == *position)
        })
    }

    /// How many controls a state names that are off their rest.
    pub fn n_off_rest(&self, state: &State) -> usize {
        let is_moved = |(id, position): &(&ControlId, &u8)| {
            self.controls.get(**id).is_some_and(|control| control.rest != **position)
        };
        state.0.iter().filter(is_moved).count()
    }

    /// Whether a control may stand in `position` while the others stand as in `state`.
    pub fn is_allowed(&self, id: ControlId, position: u8, state: &State) -> bool {
        let Some(control) = self.controls.get(id) else { return false };
        match control.needs {
            Some(need) if position != control.rest => self
                .controls
                .get(need.control)
                .is_none_or(|other| state.position(need.control, other) == need.position),
            _ => true,
        }
    }
}
