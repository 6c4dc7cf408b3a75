//! Best values: which resistors to buy so that the worst case of every state stays furthest from
//! what it must not be taken for.
//!
//! Exact: a search that leaves out only what a bound rules out ([`search`]), on readings that are
//! ratios of polynomials in the conductances of the parts that may change ([`ladder`]).

mod axis;
mod board;
mod capacity;
mod climb;
mod fence;
pub(super) mod ladder;
mod lineup;
mod podium;
mod search;
mod stock;
mod tree;
mod two_pins;

pub use capacity::capacity;
pub use search::choose;
pub use stock::{Candidate, Recipe, Single, drawer, from_series, pairs};
pub use two_pins::{Room, TwoPins, two_pins};

use crate::model::{PartId, SensePinId};

/// More parts than this are not chosen at once.
pub const MAX_PARTS: usize = 6;

/// More states than this are not weighed against each other.
pub const MAX_STATES: usize = 1024;

/// How many choices are kept.
pub const N_BEST: usize = 10;

/// What is free to be chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// The pin whose states count.
    pub pin: SensePinId,
    /// Resistors that may change.
    pub parts: Vec<PartId>,
    /// Values they may take.
    pub candidates: Vec<Candidate>,
    /// Drift by temperature as a fraction of the value, either way.
    pub drift: f64,
    /// Whether the controller's bands stand or can be taught anew.
    pub bands: Bands,
    /// What margins are compared in; `None` for the pin's scale where its bands stand, volts where
    /// they are taught, or a ratio of ohms where volts are not known.
    pub unit: Option<MarginUnit>,
}

/// What a choice is judged by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bands {
    /// The margin of the worst case in its band, in the pin's scale; no state may read as an action
    /// that was not asked for.
    Fixed,
    /// The gap between the worst cases of neighbouring states that ask for different things.
    Free,
}

/// What a margin is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarginUnit {
    /// The scale of the pin's bands.
    Scale,
    /// Volts.
    Volt,
    /// Counts of the converter, not rounded where volts are turned into them.
    Count,
    /// Natural logarithm of a ratio of ohms: 0.01 is one percent.
    Ratio,
}

/// One way to choose.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// A value for each part, in the order of the question; indices into its candidates.
    pub picks: Vec<usize>,
    /// The worst margin; negative where the worst case is past it.
    pub margin: f64,
}

/// How far a search has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Share of all choices that are looked at or ruled out, 0 to 1.
    pub share: f64,
    /// Best margin so far.
    pub best: f64,
    /// No choice can have more than this.
    pub bound: f64,
}

/// The outcome.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The best choices, best first; at most [`N_BEST`].
    pub best: Vec<Choice>,
    /// No choice has more margin than this; equal to the best when the search ran to its end.
    pub bound: f64,
    /// Whether the search ran to its end.
    pub is_proven: bool,
    /// What margins are in.
    pub unit: MarginUnit,
    /// How many states are weighed.
    pub n_states: usize,
}
