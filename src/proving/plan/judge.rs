//! A reading held against its step.

use crate::model::Shown;
use crate::proving::plan::{Limits, Plan, Step};
use crate::proving::typed::Quantity;

/// What a reading comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Within the limits.
    Good,
    /// Too little.
    Low,
    /// Too much.
    High,
    /// Over range where a figure was expected.
    Open,
    /// A figure where the circuit should be open.
    Joined,
    /// No reading of this step: volts where ohms are asked for, or a step that cannot be done.
    Misplaced,
}

impl Outcome {
    /// Whether the step is passed.
    pub fn is_good(self) -> bool {
        self == Self::Good
    }

    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Low => "too low",
            Self::High => "too high",
            Self::Open => "open, but a figure is expected",
            Self::Joined => "joined, but it should be open",
            Self::Misplaced => "no reading for this step",
        }
    }
}

/// Holds a reading against a step; half of the last typed digit is given as room.
pub fn judge(step: &Step, shown: Shown, last_digit: f64) -> Outcome {
    let value = match (shown, step.quantity) {
        (Shown::Ohm(value), Quantity::Ohm)
        | (Shown::Volt(value), Quantity::Volt)
        | (Shown::Millimetre(value), Quantity::Length) => value,
        (Shown::OverRange, Quantity::Ohm) => f64::INFINITY,
        (_, _) => return Outcome::Misplaced,
    };
    let room = 0.5 * last_digit;
    match step.limits {
        None => Outcome::Misplaced,
        Some(Limits::Open { least_ohm }) if value + room >= least_ohm => Outcome::Good,
        Some(Limits::Open { .. }) => Outcome::Joined,
        Some(Limits::Figure { .. }) if value.is_infinite() => Outcome::Open,
        Some(Limits::Figure { low, .. }) if value < low - room => Outcome::Low,
        Some(Limits::Figure { high, .. }) if value > high + room => Outcome::High,
        Some(Limits::Figure { .. }) => Outcome::Good,
    }
}

/// Other steps with the leads in the same place that this reading would pass: perhaps another
/// button was pressed than the one that was asked for. None where the reading is good.
pub fn reads_like<'a>(plan: &'a Plan, step: &Step, shown: Shown, last_digit: f64) -> Vec<&'a Step> {
    if judge(step, shown, last_digit).is_good() {
        return Vec::new();
    }
    let is_like = |other: &&Step| {
        other.kind == step.kind
            && (other.red, other.black) == (step.red, step.black)
            && other.key != step.key
            && judge(other, shown, last_digit).is_good()
    };
    plan.steps.iter().filter(is_like).collect()
}
