//! What the hand holds, what it can do, and what it may look at.

use std::collections::{BTreeMap, BTreeSet};

use crate::app::action::Lead;
use crate::drawing::{self, FrameGrip, Hit};
use crate::edit::{Gesture, Item, Placement, Selection};
use crate::geometry::{Point, Rect};
use crate::model::{ControlId, Frame, FrameId, Project, State, TerminalRef, WireId};

/// What the hand holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Hand {
    /// Nothing.
    #[default]
    Idle,
    /// New parts that follow the pointer until they are put down.
    Placing {
        /// The parts about the origin.
        placement: Box<Placement>,
        /// Where they would stand now; `None` while the pointer has not been on the sheet.
        at: Option<Point>,
        /// Whether they were dragged here: then letting go puts them down.
        is_carried: bool,
    },
    /// Parts and frames being dragged.
    Moving {
        /// What moves.
        items: Selection,
        /// Where it was grabbed.
        grabbed: Point,
        /// How far it has come.
        done: Point,
        /// The undo step.
        gesture: Gesture,
    },
    /// A wire being drawn.
    Wiring {
        /// Where it begins.
        from: TerminalRef,
        /// Where the pointer is.
        at: Point,
    },
    /// A stretch of a wire being dragged across.
    Bending {
        /// The wire.
        wire: WireId,
        /// Its run when it was grabbed.
        run: Vec<Point>,
        /// The stretch: from point `segment` to the next.
        segment: usize,
        /// Splices on the stretch, which move with it.
        taps: Selection,
        /// Where it was grabbed.
        grabbed: Point,
        /// How far it has come.
        done: Point,
        /// The undo step.
        gesture: Gesture,
    },
    /// An edge of a frame being dragged.
    Framing {
        /// The frame.
        frame: FrameId,
        /// Which edge.
        grip: FrameGrip,
        /// What it was when it was grabbed.
        start: Frame,
        /// Where it was grabbed.
        grabbed: Point,
        /// The undo step.
        gesture: Gesture,
    },
    /// A box being drawn around what is to be selected.
    Boxing {
        /// Where it began.
        from: Point,
        /// Where the pointer is.
        to: Point,
        /// What stays selected besides.
        kept: Selection,
    },
    /// A meter lead on its way.
    Carrying {
        /// Which.
        lead: Lead,
        /// Where the pointer is; `None` while it has not been on the sheet.
        at: Option<Point>,
    },
}

/// Keys that change what the pointer does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Keys {
    /// Shift or the command key: adds to the selection, or places one more.
    pub is_adding: bool,
    /// Alt: drags the part even where it was grabbed at a terminal, and clicks move a contact's control.
    pub is_moving: bool,
}

/// One thing the pointer or a key did.
#[derive(Clone, Debug, PartialEq)]
pub enum Input {
    /// The pointer moved without a button.
    Hover(Point),
    /// A short press.
    Click(Point, Keys),
    /// Two short presses.
    DoubleClick(Point),
    /// A press that became a drag; the place is where it was pressed.
    Grab(Point, Keys),
    /// The drag goes on.
    Drag(Point),
    /// The button was let go.
    Drop(Point),
    /// Something to place was typed or picked.
    Take(Box<Placement>),
    /// Something to place is dragged from the strip.
    Carry(Box<Placement>),
    /// A meter lead is dragged by its handle.
    TakeLead(Lead),
    /// The enter key while something is to be placed: put it down at a free spot.
    PutDown,
    /// The escape key.
    Cancel,
    /// The backspace key, which does what the delete key does.
    Erase,
    /// An arrow key: a step of the grid.
    Nudge(Point, Gesture),
}

/// What a gesture may look at.
#[derive(Clone, Copy)]
pub struct SheetView<'a> {
    /// The project.
    pub project: &'a Project,
    /// Drawn runs of all wires.
    pub paths: &'a BTreeMap<WireId, Vec<Point>>,
    /// What is selected.
    pub selection: &'a Selection,
    /// Where the controls stand.
    pub bench: &'a State,
    /// Controls that are latched.
    pub latched: &'a BTreeSet<ControlId>,
    /// How near a terminal or wire counts as on it, in millimetres.
    pub reach_mm: f64,
    /// The part of the sheet in view.
    pub in_view: Rect,
    /// The undo step of a gesture that begins now.
    pub gesture: Gesture,
}

impl SheetView<'_> {
    /// What lies under a place.
    pub fn hit(&self, at: Point) -> Option<Hit> {
        drawing::hit_among(self.project, self.paths, at, self.reach_mm)
    }
}

/// The item a hit belongs to.
pub fn item_of(hit: Hit) -> Item {
    match hit {
        Hit::Terminal(terminal) => Item::Part(terminal.part),
        Hit::Part(id) => Item::Part(id),
        Hit::Wire { wire, .. } => Item::Wire(wire),
        Hit::Frame { frame, .. } => Item::Frame(frame),
    }
}
