//! What connectors and controllers have in common: cavities that lie on a face, and halves.

use std::collections::BTreeMap;

use crate::model::cavities::{CavityFit, CavityLayout, Latch, Numbering};
use crate::model::connector::{Cavity, Half, HalfSide};
use crate::model::part::{Part, PartKind, cavity_of_terminal};

/// How the cavities of a connector or controller lie, are numbered and are filled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrangement {
    /// How they are arranged on the face.
    pub layout: CavityLayout,
    /// Which way the numbers run on the face view of the first half.
    pub numbering: Numbering,
    /// Side of the latch there.
    pub latch: Latch,
    /// Pitches, and what fits.
    pub fit: CavityFit,
}

impl PartKind {
    /// How its cavities lie; `None` for what has none.
    pub fn arrangement(&self) -> Option<Arrangement> {
        match self {
            Self::Connector(c) => Some(Arrangement {
                layout: c.layout,
                numbering: c.numbering,
                latch: c.latch,
                fit: c.fit,
            }),
            Self::Controller(c) => Some(Arrangement {
                layout: c.layout,
                numbering: c.numbering,
                latch: c.latch,
                fit: c.fit,
            }),
            Self::Supply(_)
            | Self::Ground
            | Self::Fuse(_)
            | Self::Resistor(_)
            | Self::Contact(_)
            | Self::Splice { .. }
            | Self::TestPoint
            | Self::Element(_) => None,
        }
    }

    /// Arranges its cavities anew; nothing happens to what has none. Notes on cavities that are gone
    /// are dropped where a part is changed.
    pub fn set_arrangement(&mut self, Arrangement { layout, numbering, latch, fit }: Arrangement) {
        match self {
            Self::Connector(c) => {
                (c.layout, c.numbering, c.latch, c.fit) = (layout, numbering, latch, fit);
            }
            Self::Controller(c) => {
                (c.layout, c.numbering, c.latch, c.fit) = (layout, numbering, latch, fit);
            }
            Self::Supply(_)
            | Self::Ground
            | Self::Fuse(_)
            | Self::Resistor(_)
            | Self::Contact(_)
            | Self::Splice { .. }
            | Self::TestPoint
            | Self::Element(_) => {}
        }
    }

    /// A half of a connector, or the plug of a controller, which is a first half; `None` for what
    /// has no cavities and for a half that is not there.
    pub fn half(&self, side: HalfSide) -> Option<&Half> {
        match (self, side) {
            (Self::Connector(c), HalfSide::First) => Some(&c.first),
            (Self::Connector(c), HalfSide::Second) => c.second.as_ref(),
            (Self::Controller(c), HalfSide::First) => Some(&c.plug),
            (
                Self::Controller(_)
                | Self::Supply(_)
                | Self::Ground
                | Self::Fuse(_)
                | Self::Resistor(_)
                | Self::Contact(_)
                | Self::Splice { .. }
                | Self::TestPoint
                | Self::Element(_),
                _,
            ) => None,
        }
    }

    /// Cavity and half a terminal stands for; `None` for what has no cavities.
    pub fn seat(&self, terminal: u16) -> Option<(u16, HalfSide)> {
        match self {
            Self::Connector(_) => Some(cavity_of_terminal(terminal)),
            Self::Controller(_) => Some((terminal + 1, HalfSide::First)),
            Self::Supply(_)
            | Self::Ground
            | Self::Fuse(_)
            | Self::Resistor(_)
            | Self::Contact(_)
            | Self::Splice { .. }
            | Self::TestPoint
            | Self::Element(_) => None,
        }
    }

    /// Notes on cavities by number; `None` where it has none.
    pub fn cavities(&self) -> Option<&BTreeMap<u16, Cavity>> {
        match self {
            Self::Connector(connector) => Some(&connector.cavities),
            Self::Controller(controller) => Some(&controller.cavities),
            Self::Supply(_)
            | Self::Ground
            | Self::Fuse(_)
            | Self::Resistor(_)
            | Self::Contact(_)
            | Self::Splice { .. }
            | Self::TestPoint
            | Self::Element(_) => None,
        }
    }

    /// The note on a terminal's cavity, where there is one.
    pub fn cavity_at(&self, terminal: u16) -> Option<&Cavity> {
        self.cavities()?.get(&self.seat(terminal)?.0)
    }
}

impl Part {
    /// A half by name and kind, so that two halves of one name are told apart: `X2P (pins half of X2)`,
    /// `X3 (sockets half)`; the part's own name where it has no such half.
    pub fn half_words(&self, side: HalfSide) -> String {
        match self.kind.half(side) {
            None => self.name.clone(),
            Some(half) => {
                let of = if half.name == self.name || half.name.is_empty() {
                    String::new()
                } else {
                    format!(" of {}", self.name)
                };
                let name = if half.name.is_empty() { &self.name } else { &half.name };
                format!("{name} ({} half{of})", half.gender.noun())
            }
        }
    }
}
