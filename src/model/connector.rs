//! Connectors and controllers: their faces, what their cavities hold, and the halves that carry them.

use std::collections::BTreeMap;

use crate::model::cavities::{CavityFit, CavityLayout, Latch, Numbering};
use crate::model::wire::EndKind;
use crate::units::Range;

/// What sits in a half's cavities.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gender {
    /// Male terminals.
    Pins,
    /// Female terminals; belong on the live half, where nothing can touch them.
    Sockets,
}

impl Gender {
    /// What a person calls them.
    pub fn noun(self) -> &'static str {
        match self {
            Self::Pins => "pins",
            Self::Sockets => "sockets",
        }
    }
}

/// One half of a connector as it hangs on its own wires.
#[derive(Clone, Debug, PartialEq)]
pub struct Half {
    /// Name in the cut list, such as `X2` or `X2P`.
    pub name: String,
    /// Pins or sockets.
    pub gender: Gender,
    /// Kind of wire end its terminals make, which gives the allowance.
    pub end_kind: EndKind,
}

/// Whether two halves are plugged together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Mating {
    /// Plugged together: every cavity joins through.
    #[default]
    Mated,
    /// Pulled apart: nothing joins.
    Apart,
}

/// Which half of a connector a terminal belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HalfSide {
    /// The first half, drawn left.
    First,
    /// The second half, drawn right.
    Second,
}

/// What a cavity holds where no wire of this project ends in it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CavityFill {
    /// Nothing is known; a wire of this project may end here.
    #[default]
    Free,
    /// A wire that was there before and stays.
    Existing,
    /// A sealing plug.
    Plug,
}

/// What is written down about one cavity.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cavity {
    /// Circuit name as in the pin table.
    pub circuit: String,
    /// What fills it.
    pub fill: CavityFill,
}

/// A connector of one or two halves.
#[derive(Clone, Debug, PartialEq)]
pub struct Connector {
    /// Arrangement of the cavities.
    pub layout: CavityLayout,
    /// Which way the numbers run.
    pub numbering: Numbering,
    /// Where the latch is on the same view.
    pub latch: Latch,
    /// What fits into its cavities.
    pub fit: CavityFit,
    /// The half drawn left.
    pub first: Half,
    /// The half drawn right; a plug without a counterpart in this project has none.
    pub second: Option<Half>,
    /// Plugged together or apart.
    pub mating: Mating,
    /// Resistance of one mated joint in ohms where it differs from the project's dirt;
    /// a rotating contact is a connector with a wide range here.
    pub joint_ohm: Option<Range>,
    /// Whether the joint is a rotating contact.
    pub rotating: bool,
    /// Notes on cavities, by number from 1.
    pub cavities: BTreeMap<u16, Cavity>,
}

/// The controller with its plug; its cavities can be sense pins.
#[derive(Clone, Debug, PartialEq)]
pub struct Controller {
    /// The plug of the harness that goes into it.
    pub plug: Half,
    /// Arrangement of the cavities.
    pub layout: CavityLayout,
    /// Which way the numbers run on the plug's face view.
    pub numbering: Numbering,
    /// Where the latch is on the same view.
    pub latch: Latch,
    /// What fits into its cavities.
    pub fit: CavityFit,
    /// Notes on cavities, by number from 1.
    pub cavities: BTreeMap<u16, Cavity>,
}
