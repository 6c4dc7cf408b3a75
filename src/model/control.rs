//! Controls, what a hand moves, and states, a position for every control.

use std::collections::BTreeMap;

use crate::model::id::{ControlId, PartId};

/// How a control behaves under the hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ControlKind {
    /// A button: on while it is held.
    Momentary,
    /// A lever that goes back to rest when let go.
    SpringReturn,
    /// A toggle or rocker that stays.
    Maintained,
    /// A rotary or slide with several places that stay.
    Selector,
}

impl ControlKind {
    /// Whether it goes back to rest by itself.
    pub fn returns(self) -> bool {
        match self {
            Self::Momentary | Self::SpringReturn => true,
            Self::Maintained | Self::Selector => false,
        }
    }
}

/// One position of a control.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Position {
    /// Word printed beside it.
    pub name: String,
    /// Throw of each contact it moves; contacts not named here are in throw 0.
    pub throws: BTreeMap<PartId, u8>,
}

/// A control can leave rest only while another stands in a position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Need {
    /// The other control.
    pub control: ControlId,
    /// Index of the position it must be in.
    pub position: u8,
}

/// A button, lever, toggle or selector.
#[derive(Clone, Debug, PartialEq)]
pub struct Control {
    /// Name on the control strip.
    pub name: String,
    /// Behaviour.
    pub kind: ControlKind,
    /// At least two positions, in the order the hand finds them.
    pub positions: Vec<Position>,
    /// Index of the position it rests in.
    pub rest: u8,
    /// What it needs before it can leave rest.
    pub needs: Option<Need>,
}

/// Where the hand has put every control; a control not named stands at rest.
///
/// This belongs to the bench, not to the drawing: moving a control is not an edit.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct State(pub BTreeMap<ControlId, u8>);

impl State {
    /// Every control at rest.
    pub fn rest() -> Self {
        Self::default()
    }

    /// Position of one control.
    pub fn position(&self, id: ControlId, control: &Control) -> u8 {
        self.0.get(&id).copied().unwrap_or(control.rest)
    }
}
