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
    /// Within the limits only by the room of its last digit, which is too coarse to say so.
    Coarse,
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
            Self::Coarse => "too coarse to say: type more digits",
            Self::Misplaced => "no reading for this step",
        }
    }
}

/// The last typed digit may hide more than this share of the span of the limits no more.
const COARSE_OF_SPAN: f64 = 0.25;

/// Nor more than this share of the reading.
const COARSE_OF_VALUE: f64 = 0.01;

/// Holds a figure (infinite for the sign for over range) against least and greatest, which may be
/// infinite. What lies inside as it stands is good. What lies inside only because the last typed
/// digit may be rounded is good where that room is small beside the limits and the reading, else
/// it is [`Outcome::Coarse`].
pub fn judge_figure(low: f64, high: f64, value: f64, last_digit: f64) -> Outcome {
    if value.is_infinite() {
        return if high.is_infinite() { Outcome::Good } else { Outcome::Open };
    }
    if value >= low && value <= high {
        return Outcome::Good;
    }
    let room = 0.5 * last_digit;
    if value < low - room {
        Outcome::Low
    } else if value > high + room {
        Outcome::High
    } else if room > COARSE_OF_SPAN * (high - low) || room > COARSE_OF_VALUE * value.abs() {
        Outcome::Coarse
    } else {
        Outcome::Good
    }
}

/// Holds a reading against a step; half of the last typed digit is given as room where it is fine
/// enough.
pub fn judge(step: &Step, shown: Shown, last_digit: f64) -> Outcome {
    let value = match (shown, step.quantity) {
        (Shown::Ohm(value), Quantity::Ohm)
        | (Shown::Volt(value), Quantity::Volt)
        | (Shown::Millimetre(value), Quantity::Length) => value,
        (Shown::OverRange, Quantity::Ohm) => f64::INFINITY,
        (_, _) => return Outcome::Misplaced,
    };
    match step.limits {
        None => Outcome::Misplaced,
        Some(Limits::Open { least_ohm }) => {
            match judge_figure(least_ohm, f64::INFINITY, value, last_digit) {
                Outcome::Low => Outcome::Joined,
                other => other,
            }
        }
        Some(Limits::Figure { low, high, .. }) => judge_figure(low, high, value, last_digit),
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
