//! The list of all edits, each with the name its undo step carries.

use std::collections::{BTreeMap, BTreeSet};

use crate::edit::cutting_edit::CuttingEdit;
use crate::edit::placing::Placement;
use crate::edit::record::RecordEdit;
use crate::edit::story_edit::StoryEdit;
use crate::geometry::Point;
use crate::model::{
    BenchReading, BenchRun, BenchRunId, Control, ControlId, Frame, FrameId, Part, PartId, Piece,
    PieceId, Place, PlaceId, Project, Run, RunId, SensePin, SensePinId, Settings, TerminalRef,
    Underlay, Wire, WireId,
};

/// Something on the sheet that can be selected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Item {
    /// A part.
    Part(PartId),
    /// A wire.
    Wire(WireId),
    /// A frame.
    Frame(FrameId),
}

/// A set of items of the sheet.
pub type Selection = BTreeSet<Item>;

/// What parts are lined up on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// Leftmost origin.
    Left,
    /// Topmost origin.
    Top,
    /// One row: the mean height, on the grid.
    Row,
    /// One column: the mean place across, on the grid.
    Column,
}

/// One change to a project.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Puts new parts on the sheet, with the control that moves them.
    Place(Placement),
    /// Draws a wire.
    AddWire(Wire),
    /// Draws a frame.
    AddFrame(Frame),
    /// Deletes items; wires of deleted parts go with them.
    Remove(Selection),
    /// Moves parts, frames and corners of wires that have both ends moved.
    Move {
        /// What to move.
        items: Selection,
        /// How far.
        by: Point,
    },
    /// Turns each part a quarter clockwise about the middle of them all.
    Turn(Selection),
    /// Mirrors left to right about the middle of them all.
    Flip(Selection),
    /// Copies parts, frames, the wires between them and the controls that move only them.
    Duplicate {
        /// What to copy.
        items: Selection,
        /// Where the copies stand from their originals.
        by: Point,
    },
    /// Lines parts up.
    Align(Selection, Edge),
    /// Replaces all properties of a part.
    SetPart(PartId, Box<Part>),
    /// Replaces all properties of a wire.
    SetWire(WireId, Box<Wire>),
    /// Renames a frame or moves its edges.
    SetFrame(FrameId, Frame),
    /// Gives several resistors new values in ohms at once.
    SetOhms(BTreeMap<PartId, f64>),
    /// Adds a control.
    AddControl(Control),
    /// Replaces a control.
    SetControl(ControlId, Control),
    /// Deletes a control; its contacts stay.
    RemoveControl(ControlId),
    /// Makes a cavity a sense pin.
    AddSensePin(Box<SensePin>),
    /// Replaces a sense pin.
    SetSensePin(SensePinId, Box<SensePin>),
    /// Deletes a sense pin; the controller stays.
    RemoveSensePin(SensePinId),
    /// Adds a place.
    AddPlace(Place),
    /// Replaces a place.
    SetPlace(PlaceId, Place),
    /// Deletes a place and the runs that end there.
    RemovePlace(PlaceId),
    /// Adds a run.
    AddRun(Run),
    /// Replaces a run.
    SetRun(RunId, Run),
    /// Deletes a run.
    RemoveRun(RunId),
    /// Adds a piece on hand.
    AddPiece(Piece),
    /// Replaces a piece.
    SetPiece(PieceId, Piece),
    /// Deletes a piece.
    RemovePiece(PieceId),
    /// Begins a round of the bench test.
    AddBenchRun(Box<BenchRun>),
    /// Replaces a round of the bench test.
    SetBenchRun(BenchRunId, Box<BenchRun>),
    /// Deletes a round of the bench test with its readings.
    RemoveBenchRun(BenchRunId),
    /// Writes down what one step of a round read; `None` forgets it.
    SetReading {
        /// The round.
        run: BenchRunId,
        /// Identity of the step.
        step: String,
        /// The reading.
        reading: Option<BenchReading>,
    },
    /// Changes the set-up record or the change log.
    SetRecord(RecordEdit),
    /// Changes the arming story.
    SetStory(StoryEdit),
    /// Changes what is written down about cutting.
    SetCutting(CuttingEdit),
    /// Puts a photo or drawing beneath the layout, or takes it away.
    SetUnderlay(Option<Box<Underlay>>),
    /// Says how many millimetres of the machine one of the layout stands for.
    SetLayoutScale(Option<f64>),
    /// Says between which two terminals the permit loop lies, or forgets it.
    SetPermit(Option<(TerminalRef, TerminalRef)>),
    /// Replaces the project's settings.
    SetSettings(Box<Settings>),
    /// Renames the project.
    SetTitle(String),
    /// Replaces the notes.
    SetNotes(String),
    /// Makes several edits as one step: all of them, or none.
    Together {
        /// Name of the step.
        title: String,
        /// The edits, in order; later ones may name rows that earlier ones make.
        edits: Vec<Edit>,
    },
}

impl Edit {
    /// Name of the undo step, such as `move R1` or `delete 3 items`.
    pub fn title(&self, project: &Project) -> String {
        let part = |id: &PartId| project.parts.get(*id).map_or("part", |p| p.name.as_str());
        let wire = |id: &WireId| project.wires.get(*id).map_or("wire", |w| w.name.as_str());
        match self {
            Self::Place(placement) => format!("place {}", placement.noun),
            Self::AddWire(_) => "draw a wire".into(),
            Self::AddFrame(_) => "draw a frame".into(),
            Self::Remove(items) => format!("delete {}", items_text(project, items)),
            Self::Move { items, .. } => format!("move {}", items_text(project, items)),
            Self::Turn(items) => format!("turn {}", items_text(project, items)),
            Self::Flip(items) => format!("mirror {}", items_text(project, items)),
            Self::Duplicate { items, .. } => format!("duplicate {}", items_text(project, items)),
            Self::Align(items, _) => format!("align {}", items_text(project, items)),
            Self::SetPart(id, _) => format!("change {}", part(id)),
            Self::SetWire(id, _) => format!("change wire {}", wire(id)),
            Self::SetFrame(..) => "change a frame".into(),
            Self::SetOhms(ohms) => {
                let names: Vec<&str> = ohms.keys().map(part).collect();
                format!("take values for {}", names.join(", "))
            }
            Self::AddControl(control) => format!("add control {}", control.name),
            Self::SetControl(_, control) => format!("change control {}", control.name),
            Self::RemoveControl(id) => {
                format!(
                    "delete control {}",
                    project.controls.get(*id).map_or("", |c| c.name.as_str())
                )
            }
            Self::AddSensePin(pin) => format!("add sense pin {}", pin.name),
            Self::SetSensePin(_, pin) => format!("change sense pin {}", pin.name),
            Self::RemoveSensePin(_) => "delete a sense pin".into(),
            Self::AddPlace(place) => format!("add place {}", place.name),
            Self::SetPlace(_, place) => format!("change place {}", place.name),
            Self::RemovePlace(_) => "delete a place".into(),
            Self::AddRun(_) => "add a run".into(),
            Self::SetRun(..) => "change a run".into(),
            Self::RemoveRun(_) => "delete a run".into(),
            Self::AddPiece(piece) => format!("add piece {}", piece.name),
            Self::SetPiece(_, piece) => format!("change piece {}", piece.name),
            Self::RemovePiece(_) => "delete a piece".into(),
            Self::AddBenchRun(_) => "begin a bench run".into(),
            Self::SetBenchRun(..) => "change a bench run".into(),
            Self::RemoveBenchRun(_) => "delete a bench run".into(),
            Self::SetReading { reading: Some(_), .. } => "write down a reading".into(),
            Self::SetReading { reading: None, .. } => "forget a reading".into(),
            Self::SetRecord(edit) => edit.title(),
            Self::SetStory(edit) => edit.title(),
            Self::SetCutting(edit) => edit.title(project),
            Self::SetUnderlay(Some(row)) => format!("change the picture {}", row.name),
            Self::SetUnderlay(None) => "take the picture away".into(),
            Self::SetLayoutScale(_) => "set the scale of the layout".into(),
            Self::SetPermit(_) => "pick the permit loop".into(),
            Self::SetSettings(_) => "change the settings".into(),
            Self::SetTitle(_) => "rename the project".into(),
            Self::SetNotes(_) => "change the notes".into(),
            Self::Together { title, .. } => title.clone(),
        }
    }
}

/// `R1`, or `3 items`.
fn items_text(project: &Project, items: &Selection) -> String {
    match items.iter().next() {
        Some(item) if items.len() == 1 => match item {
            Item::Part(id) => project.parts.get(*id).map_or("part".into(), |p| p.name.clone()),
            Item::Wire(id) => {
                project.wires.get(*id).map_or("wire".into(), |w| format!("wire {}", w.name))
            }
            Item::Frame(id) => project.frames.get(*id).map_or("frame".into(), |f| f.name.clone()),
        },
        _ => format!("{} items", items.len()),
    }
}
