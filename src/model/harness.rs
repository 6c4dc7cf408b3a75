//! The harness layout: places, runs between them, and pieces of wire on hand.

use crate::geometry::Point;
use crate::model::colour::Colour;
use crate::model::id::PlaceId;
use crate::model::laid::Laid;
use crate::model::wire::WireSize;

/// A place of the machine where something ends, branches or is clipped.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Name, such as `bulkhead tee`.
    pub name: String,
    /// Where it stands on the layout drawing.
    pub pos: Point,
}

/// A stretch between two places.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Name, such as `S2 floor grommet to bulkhead tee`.
    pub name: String,
    /// One end.
    pub from: PlaceId,
    /// Other end.
    pub to: PlaceId,
    /// Length along the machine in millimetres, above zero.
    pub length_mm: f64,
    /// Slack for a run that moves, in millimetres; `None` where nothing moves.
    pub loop_mm: Option<f64>,
    /// What surrounds, covers and holds it.
    pub laid: Laid,
}

/// A piece of wire on hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Name on its tag.
    pub name: String,
    /// Insulation colour.
    pub colour: Colour,
    /// Conductor size.
    pub size: WireSize,
    /// Length in millimetres.
    pub length_mm: f64,
    /// Outside diameter in millimetres, if it was measured.
    pub outside_mm: Option<f64>,
    /// Measured resistance in ohms, end to end, if it was measured.
    pub measured_ohm: Option<f64>,
    /// Condition in words; empty or `ok` is good.
    pub condition: String,
    /// Where it came from.
    pub source: String,
}
