//! How a run is laid: what surrounds it, the hole it passes, what covers it, what holds it.

use std::collections::BTreeSet;

use crate::model::id::{PlaceId, RunId};

/// What a run lies in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Zone {
    /// It bends or swings while the machine works.
    Moves,
    /// Hotter than the rest of the machine, such as an engine space.
    Hot,
    /// Water, salt or washing reaches it.
    Wet,
    /// Stays dry, as inside a cab.
    Dry,
}

impl Zone {
    /// All zones, in the order they are listed.
    pub const ALL: [Self; 4] = [Self::Moves, Self::Hot, Self::Wet, Self::Dry];

    /// What a person calls it.
    pub fn noun(self) -> &'static str {
        match self {
            Self::Moves => "moves",
            Self::Hot => "hot",
            Self::Wet => "wet",
            Self::Dry => "dry",
        }
    }
}

/// Whether a hole has something that keeps its edge off the wires.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Grommet {
    /// Bare edge, or not known.
    #[default]
    Missing,
    /// A grommet sits in the hole.
    Fitted,
}

/// The narrowest hole a run passes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// Clear width in millimetres, inside the grommet where there is one.
    pub bore_mm: f64,
    /// Whether the edge is covered.
    pub grommet: Grommet,
}

/// What goes around a bundle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CoveringKind {
    /// Tape, wound half over itself.
    Tape,
    /// Braided sleeve, pulled over.
    Sleeve,
    /// Corrugated or smooth tube.
    Tube,
    /// Tube that is shrunk on with heat.
    HeatShrink,
    /// Spiral wrap, for what moves.
    Spiral,
}

impl CoveringKind {
    /// All kinds, in the order they are listed.
    pub const ALL: [Self; 5] =
        [Self::Tape, Self::Sleeve, Self::Tube, Self::HeatShrink, Self::Spiral];

    /// What a person calls it.
    pub fn noun(self) -> &'static str {
        match self {
            Self::Tape => "tape",
            Self::Sleeve => "braided sleeve",
            Self::Tube => "tube",
            Self::HeatShrink => "heat-shrink",
            Self::Spiral => "spiral wrap",
        }
    }
}

/// The covering of a run.
#[derive(Clone, Debug, PartialEq)]
pub struct Covering {
    /// Kind.
    pub kind: CoveringKind,
    /// Thickness of one layer in millimetres; `None` where nobody has typed it.
    pub thickness_mm: Option<f64>,
    /// What exactly, in words.
    pub words: String,
}

/// How a run is laid. Everything may be left open.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Laid {
    /// What it lies in.
    pub zones: BTreeSet<Zone>,
    /// The narrowest hole it passes.
    pub hole: Option<Hole>,
    /// What covers it.
    pub covering: Option<Covering>,
    /// Distance between its supports in millimetres.
    pub support_mm: Option<f64>,
}

/// A point along a run, where a splice sits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunPoint {
    /// The run.
    pub run: RunId,
    /// The end of the run the distance counts from.
    pub from: PlaceId,
    /// Distance from that end in millimetres, along the run.
    pub distance_mm: f64,
}
