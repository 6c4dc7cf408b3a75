//! Every single fault and building mistake against every state of a sense pin.
//!
//! Each kind stands in a file of its own and only lists its faults; [`survey`] reads what the pin
//! then shows, at usual values, and says what the machine makes of it.

mod as_if;
mod base;
mod drift;
mod elements;
mod mirror;
mod opens;
mod parting;
mod pin;
mod shorts;
mod stuck;
mod survey;
mod swaps;
mod twins;

pub use as_if::reader_as_if;
pub(super) use base::Base;
pub use base::{Effect, MAX_STATES, Symptom};
pub(super) use opens::list as open_faults;
pub use parting::Parting;
pub use survey::{FaultRow, Survey, survey};

use crate::circuit::Change;
use crate::model::{Project, SensePin, Subject};

/// What kind of fault or mistake.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FaultKind {
    /// A wire, joint, fuse or resistor does not conduct.
    Open,
    /// The resistor at the end of the line is missing.
    EndMissing,
    /// Two nets touch.
    Short,
    /// Two nets are joined by water or dirt.
    Wet,
    /// A contact stays in one throw.
    Stuck,
    /// A resistor has drifted.
    Drift,
    /// A resistor is ten times too large or too small.
    Decade,
    /// Two resistors sit in each other's place.
    ResistorsSwapped,
    /// A connector was filled from the wrong side.
    Mirror,
    /// Two wires sit in each other's cavity.
    WiresSwapped,
    /// Two like plugs sit on each other's socket.
    PlugsSwapped,
    /// The return goes to the supply, or the feed to ground.
    WrongSide,
    /// The return carries the current of something else.
    ReturnOffset,
    /// Pull or reference are not what the sheet says.
    Sheet,
    /// The line is fed with another voltage.
    Feed,
    /// A second module listens on the line.
    SecondModule,
    /// A diode is built in the wrong way round.
    Reversed,
}

impl FaultKind {
    /// All kinds, in the order they are listed.
    pub const ALL: [Self; 17] = [
        Self::Open,
        Self::EndMissing,
        Self::Short,
        Self::Wet,
        Self::Stuck,
        Self::Drift,
        Self::Decade,
        Self::ResistorsSwapped,
        Self::Mirror,
        Self::WiresSwapped,
        Self::PlugsSwapped,
        Self::WrongSide,
        Self::ReturnOffset,
        Self::Sheet,
        Self::Feed,
        Self::SecondModule,
        Self::Reversed,
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::EndMissing => "end resistor missing",
            Self::Short => "short",
            Self::Wet => "wet",
            Self::Stuck => "stuck contact",
            Self::Drift => "drifted",
            Self::Decade => "decade off",
            Self::ResistorsSwapped => "resistors swapped",
            Self::Mirror => "filled from the wrong side",
            Self::WiresSwapped => "wires swapped",
            Self::PlugsSwapped => "plugs swapped",
            Self::WrongSide => "wrong side",
            Self::ReturnOffset => "return shared",
            Self::Sheet => "not as documented",
            Self::Feed => "wrong feed",
            Self::SecondModule => "second module",
            Self::Reversed => "wrong way round",
        }
    }
}

/// One fault, and how it changes the circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Its kind.
    pub kind: FaultKind,
    /// What is wrong, in words.
    pub title: String,
    /// Where.
    pub subjects: Vec<Subject>,
    /// How the circuit differs.
    pub cause: Cause,
}

/// How a faulty circuit differs from the drawn one.
#[derive(Clone, Debug, PartialEq)]
pub enum Cause {
    /// Edges of the circuit.
    Circuit(Vec<Change>),
    /// The drawing itself.
    Drawing(Box<Project>),
    /// What the controller measures with.
    Pin(Box<SensePin>),
    /// The far end of the network is lifted by so many volts.
    Offset(f64),
}
