//! Wires: what joins two terminals, and what must be cut for it.

use crate::geometry::Point;
use crate::model::colour::Colour;
use crate::model::id::PlaceId;
use crate::model::make::Make;
use crate::model::part::TerminalRef;
use crate::units;

/// Kinds of wire end; each has an allowance in the project's settings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EndKind {
    /// Terminal of a sealed connector.
    Sealed,
    /// Terminal of an inline connector.
    Inline,
    /// Tag or blade.
    Tag,
    /// Into a splice.
    Splice,
    /// Ring terminal.
    Ring,
}

impl EndKind {
    /// All kinds, in the order they are listed.
    pub const ALL: [Self; 5] = [Self::Sealed, Self::Inline, Self::Tag, Self::Splice, Self::Ring];

    /// What a person calls it.
    pub fn noun(self) -> &'static str {
        match self {
            Self::Sealed => "sealed",
            Self::Inline => "inline",
            Self::Tag => "tag",
            Self::Splice => "splice",
            Self::Ring => "ring",
        }
    }
}

/// One end of a wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// Where it goes.
    pub terminal: TerminalRef,
    /// Kind of end where it differs from what the part suggests.
    pub kind: Option<EndKind>,
}

/// Conductor size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WireSize {
    /// Nominal area in mm² (IEC 60228, ISO 6722).
    Mm2(f64),
    /// American wire gauge number (ASTM B258).
    Awg(i32),
}

impl WireSize {
    /// Conductor area in mm².
    pub fn area_mm2(self) -> f64 {
        match self {
            Self::Mm2(area) => area,
            Self::Awg(gauge) => units::awg_area_mm2(gauge),
        }
    }

    /// `0.5 mm²` or `20 AWG`, as it was given.
    pub fn text(self) -> String {
        match self {
            Self::Mm2(area) => format!("{area} mm²"),
            Self::Awg(gauge) => format!("{gauge} AWG"),
        }
    }
}

/// Whether a wire is cut for the harness or drawn only.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WireUse {
    /// Cut, marked and laid: stands in the cut list.
    Harness,
    /// Inside a box or on a board: joins, but is not cut from this list. Ideal (0 ohm).
    Internal,
}

/// A wire between two terminals.
#[derive(Clone, Debug, PartialEq)]
pub struct Wire {
    /// Number or name on its marker, such as `D2`.
    pub name: String,
    /// Name of the circuit it carries.
    pub circuit: String,
    /// First end.
    pub from: End,
    /// Other end.
    pub to: End,
    /// Corners a hand has set, in order from `from` to `to`; empty for the tidy run.
    pub bends: Vec<Point>,
    /// Conductor size.
    pub size: WireSize,
    /// Insulation colour.
    pub colour: Colour,
    /// Cut or drawn only.
    pub usage: WireUse,
    /// Places the route must pass, in order; the rest is the shortest way.
    pub via: Vec<PlaceId>,
    /// Routed length typed by hand in millimetres; goes before the route.
    pub typed_length_mm: Option<f64>,
    /// What it is made of and carries.
    pub make: Make,
}
