//! Parts of the sheet and their terminals.

use crate::geometry::{Flip, Point, Rect, Turn};
use crate::model::connector::{Connector, Controller, HalfSide};
use crate::model::element::Element;
use crate::model::id::{PartId, PlaceId, WireId};
use crate::model::laid::RunPoint;
use crate::model::wire::EndKind;
use crate::units::Range;

/// One terminal of one part; wires and meter leads go to terminals.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TerminalRef {
    /// The part.
    pub part: PartId,
    /// Index among the part's terminals, from 0 (see [`PartKind::terminal_count`]).
    pub terminal: u16,
}

/// Something drawn on the sheet that has terminals.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Reference designation such as `R1` (letters as in IEC 81346-2 or IEEE 315).
    pub name: String,
    /// What it is for, in plain words; may be empty.
    pub label: String,
    /// What kind of part, with its values.
    pub kind: PartKind,
    /// Where its origin stands on the sheet.
    pub pos: Point,
    /// How it is turned.
    pub turn: Turn,
    /// Whether it is mirrored before turning.
    pub flip: Flip,
    /// Where it sits in the harness layout, once that is known.
    pub place: Option<PlaceId>,
}

/// The kinds of part there are.
#[derive(Clone, Debug, PartialEq)]
pub enum PartKind {
    /// A supply; its other pole is the ground net. Terminal 0 is its positive pole.
    Supply(Supply),
    /// A ground point (chassis, battery minus). All ground points are one net. One terminal.
    Ground,
    /// A fuse. Two terminals.
    Fuse(Fuse),
    /// A resistor. Two terminals.
    Resistor(Resistor),
    /// One contact set of a switch. Terminals as in [`ContactForm`].
    Contact(Contact),
    /// A splice. One terminal, any number of wires.
    Splice {
        /// The wire it is tapped onto without cutting it, if any.
        on: Option<WireId>,
        /// Where along a run it sits, if not at a place.
        at: Option<RunPoint>,
    },
    /// A connector. Terminal of cavity `n` is `2(n-1)` on the first half, `2(n-1)+1` on the second.
    Connector(Connector),
    /// A controller. Terminal of cavity `n` is `n-1`.
    Controller(Controller),
    /// A place to put a meter lead. One terminal.
    TestPoint,
    /// A diode, a relay, a load, an input of another module.
    Element(Element),
}

/// A supply.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// Volts against ground: least, usual, greatest. All positive.
    pub volt: Range,
}

/// A fuse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fuse {
    /// Rated current in amperes.
    pub rating_amp: f64,
    /// Cold resistance in ohms.
    pub cold_ohm: f64,
}

/// A resistor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resistor {
    /// Nominal resistance in ohms, above zero.
    pub ohm: f64,
    /// Tolerance as a fraction (0.01 is one percent).
    pub tolerance: f64,
    /// Temperature coefficient in parts per million per kelvin, either way.
    pub tempco_ppm_per_k: f64,
    /// Power rating in watts.
    pub power_watt: f64,
}

/// A contact set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// What it joins in which throw.
    pub form: ContactForm,
    /// Resistance when closed, in ohms, where it differs from the project's dirt.
    pub closed_ohm: Option<Range>,
}

/// Forms of contact. Throw 0 is what the contact does when nothing moves it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ContactForm {
    /// Terminals 0, 1. Throw 0 open, throw 1 closed.
    NormallyOpen,
    /// Terminals 0, 1. Throw 0 closed, throw 1 open.
    NormallyClosed,
    /// Terminals 0 common, 1 rest, 2 working. Throw 0 joins 0-1, throw 1 joins 0-2.
    Changeover,
    /// Terminal 0 common, 1 to `ways` the ways. Throw `k` joins 0 with `k+1`.
    Ways(u8),
}

impl ContactForm {
    /// Number of throws.
    pub fn throws(self) -> u8 {
        match self {
            Self::NormallyOpen | Self::NormallyClosed | Self::Changeover => 2,
            Self::Ways(ways) => ways,
        }
    }

    /// Number of terminals.
    pub fn terminals(self) -> u16 {
        match self {
            Self::NormallyOpen | Self::NormallyClosed => 2,
            Self::Changeover => 3,
            Self::Ways(ways) => u16::from(ways) + 1,
        }
    }

    /// The two terminals a throw joins; `None` where it leaves all open.
    pub fn joined(self, throw: u8) -> Option<(u16, u16)> {
        match (self, throw) {
            (Self::NormallyOpen, 1) | (Self::NormallyClosed, 0) => Some((0, 1)),
            (Self::NormallyOpen | Self::NormallyClosed, _) => None,
            (Self::Changeover, 0) => Some((0, 1)),
            (Self::Changeover, 1) => Some((0, 2)),
            (Self::Changeover, _) => None,
            (Self::Ways(ways), throw) if throw < ways => Some((0, u16::from(throw) + 1)),
            (Self::Ways(_), _) => None,
        }
    }
}

impl PartKind {
    /// How many terminals a part of this kind has.
    pub fn terminal_count(&self) -> u16 {
        match self {
            Self::Supply(_) | Self::Ground | Self::Splice { .. } | Self::TestPoint => 1,
            Self::Fuse(_) | Self::Resistor(_) => 2,
            Self::Contact(contact) => contact.form.terminals(),
            Self::Connector(connector) => connector.layout.count().saturating_mul(2),
            Self::Controller(controller) => controller.layout.count(),
            Self::Element(element) => element.terminal_count(),
        }
    }

    /// Whether the terminal exists: in range, and not on a half that is not there.
    pub fn has_terminal(&self, terminal: u16) -> bool {
        match self {
            Self::Connector(connector) if connector.second.is_none() => {
                terminal < self.terminal_count() && terminal.is_multiple_of(2)
            }
            _ => terminal < self.terminal_count(),
        }
    }

    /// The contact, where it is one.
    pub fn contact(&self) -> Option<&Contact> {
        if let Self::Contact(contact) = self { Some(contact) } else { None }
    }

    /// The resistor, where it is one.
    pub fn resistor(&self) -> Option<&Resistor> {
        if let Self::Resistor(resistor) = self { Some(resistor) } else { None }
    }

    /// The supply, where it is one.
    pub fn supply(&self) -> Option<&Supply> {
        if let Self::Supply(supply) = self { Some(supply) } else { None }
    }

    /// The controller, where it is one.
    pub fn controller(&self) -> Option<&Controller> {
        if let Self::Controller(controller) = self { Some(controller) } else { None }
    }

    /// Default letter of the reference designation (IEC 81346-2, IEEE 315).
    pub fn letter(&self) -> &'static str {
        match self {
            Self::Supply(_) => "G",
            Self::Ground => "GND",
            Self::Fuse(_) => "F",
            Self::Resistor(_) => "R",
            Self::Contact(_) => "S",
            Self::Splice { .. } => "SP",
            Self::Connector(_) => "X",
            Self::Controller(_) => "A",
            Self::TestPoint => "TP",
            Self::Element(element) => element.letter(),
        }
    }

    /// What a person calls it.
    pub fn noun(&self) -> &'static str {
        match self {
            Self::Supply(_) => "supply",
            Self::Ground => "ground point",
            Self::Fuse(_) => "fuse",
            Self::Resistor(_) => "resistor",
            Self::Contact(_) => "contact",
            Self::Splice { .. } => "splice",
            Self::Connector(_) => "connector",
            Self::Controller(_) => "controller",
            Self::TestPoint => "test point",
            Self::Element(element) => element.noun(),
        }
    }
}

impl Part {
    /// Name of a terminal as it stands in lists: `X1-11`, `R1-2`, `F1-1`, `SP1`.
    pub fn terminal_name(&self, terminal: u16) -> String {
        match &self.kind {
            PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Splice { .. }
            | PartKind::TestPoint => self.name.clone(),
            PartKind::Fuse(_) | PartKind::Resistor(_) => format!("{}-{}", self.name, terminal + 1),
            PartKind::Contact(contact) => match (contact.form, terminal) {
                (ContactForm::Changeover, 0) | (ContactForm::Ways(_), 0) => {
                    format!("{}-common", self.name)
                }
                (ContactForm::Changeover, 1) => format!("{}-rest", self.name),
                (ContactForm::Changeover, _) => format!("{}-work", self.name),
                (ContactForm::Ways(_), way) => format!("{}-way {way}", self.name),
                (ContactForm::NormallyOpen | ContactForm::NormallyClosed, _) => {
                    format!("{}-{}", self.name, terminal + 1)
                }
            },
            PartKind::Connector(connector) => {
                let (cavity, side) = cavity_of_terminal(terminal);
                let half = match side {
                    HalfSide::First => Some(&connector.first),
                    HalfSide::Second => connector.second.as_ref(),
                };
                format!("{}-{cavity}", half.map_or(self.name.as_str(), |half| half.name.as_str()))
            }
            PartKind::Controller(controller) => {
                format!("{}-{}", controller.plug.name, terminal + 1)
            }
            PartKind::Element(element) => match element.terminal_mark(terminal).as_str() {
                "" => self.name.clone(),
                mark => format!("{}-{mark}", self.name),
            },
        }
    }

    /// Kind of wire end this part's terminal makes when the wire does not say otherwise.
    pub fn end_kind(&self, terminal: u16) -> EndKind {
        match &self.kind {
            PartKind::Supply(_) | PartKind::Ground => EndKind::Ring,
            PartKind::Fuse(_)
            | PartKind::Resistor(_)
            | PartKind::Contact(_)
            | PartKind::TestPoint
            | PartKind::Element(_) => EndKind::Tag,
            PartKind::Splice { .. } => EndKind::Splice,
            PartKind::Connector(connector) => match cavity_of_terminal(terminal).1 {
                HalfSide::First => connector.first.end_kind,
                HalfSide::Second => {
                    connector.second.as_ref().map_or(EndKind::Inline, |half| half.end_kind)
                }
            },
            PartKind::Controller(controller) => controller.plug.end_kind,
        }
    }
}

/// Cavity number (from 1) and half of a connector's terminal.
pub fn cavity_of_terminal(terminal: u16) -> (u16, HalfSide) {
    (terminal / 2 + 1, if terminal.is_multiple_of(2) { HalfSide::First } else { HalfSide::Second })
}

/// A dashed outline with a name around the parts of one box.
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    /// Name shown at its top.
    pub name: String,
    /// Where it stands on the sheet.
    pub rect: Rect,
}
