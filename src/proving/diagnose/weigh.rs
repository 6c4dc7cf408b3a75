//! How well a reading fits a suspect.
//!
//! A suspect says between which ohms (or volts) the meter's figure may lie: least and greatest true
//! value at room temperature, then the meter's error. Inside that the figure is spread as a normal
//! curve about the middle whose ends lie two standard deviations out; many small causes add up, so
//! the middle is likelier than the ends. One reading in a thousand is taken for a slip (wrong
//! button, wrong place), which may show anything: so no single reading ever settles everything.

use crate::model::{MeterProfile, Shown};
use crate::proving::plan::judge_figure;
use crate::proving::typed::Quantity;
use crate::sense::{ohm_error, shown_ohm, shown_volt};
use crate::units::Range;

/// Share of readings that are slips (common practice, no source).
const SLIP: f64 = 1e-3;

/// Steps of the scale on which a slip may lie anywhere: nine decades of a hundredth, about.
const SLIP_STEPS: f64 = 2000.0;

/// A scale on which all readings of a quantity stand side by side, about a hundredth of the reading
/// a step. Likelihoods are per step, so that those of ohms, volts and the sign can be compared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    quantity: Quantity,
    /// Ohms below which readings run together, or volts of a step.
    unit: f64,
}

/// What a suspect lets the meter show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Expected {
    /// The sign for over range.
    OverRange,
    /// A figure from least to greatest.
    Figure(f64, f64),
    /// Nobody can say.
    Unknown,
}

impl Scale {
    /// The scale of ohms on this meter.
    pub fn ohm(meter: &MeterProfile) -> Self {
        Self { quantity: Quantity::Ohm, unit: ohm_error(meter, 0.0).max(0.1) }
    }

    /// The scale of volts about so many.
    pub fn volt(reference_volt: f64) -> Self {
        Self { quantity: Quantity::Volt, unit: (reference_volt / 400.0).max(1e-4) }
    }

    /// Ohms below which readings run together, or volts of a step.
    pub fn unit(&self) -> f64 {
        self.unit
    }

    /// Place on the scale.
    pub fn step(&self, value: f64) -> f64 {
        match self.quantity {
            Quantity::Ohm => (value.max(0.0) / self.unit).ln_1p() * 100.0,
            Quantity::Volt | Quantity::Length | Quantity::Sign => value / self.unit,
        }
    }

    /// Steps an ohm or a volt makes here.
    fn steps_per_unit(&self, value: f64) -> f64 {
        match self.quantity {
            Quantity::Ohm => 100.0 / (value.max(0.0) + self.unit),
            Quantity::Volt | Quantity::Length | Quantity::Sign => 1.0 / self.unit,
        }
    }

    /// What the meter may show for a span of true values.
    pub fn expected(&self, meter: &MeterProfile, span: Option<Range>) -> Expected {
        let Some(span) = span else { return Expected::Unknown };
        match self.quantity {
            Quantity::Ohm => {
                let most = meter.ohm_ranges.last().map_or(f64::INFINITY, |range| range.most);
                if span.nominal.is_infinite() || span.nominal > most {
                    return Expected::OverRange;
                }
                let (low, high) = shown_ohm(meter, (span.low, span.high));
                let high = if high.is_finite() { high } else { span.nominal.max(low) * 10.0 };
                Expected::Figure(low, high)
            }
            Quantity::Volt | Quantity::Length | Quantity::Sign => {
                let (low, high) = shown_volt(meter, (span.low, span.high));
                Expected::Figure(low, high)
            }
        }
    }

    /// Middle and standard deviation of a figure; never finer than half a step of the scale.
    pub fn curve(&self, low: f64, high: f64) -> (f64, f64) {
        let middle = low.midpoint(high);
        let floor = 0.5 / self.steps_per_unit(middle);
        (middle, ((high - low) / 4.0).max(floor))
    }

    /// Natural logarithm of how likely the meter shows this, per step of the scale.
    pub fn ln_likelihood(&self, expected: Expected, shown: Shown, last_digit: f64) -> f64 {
        let slip = SLIP / SLIP_STEPS;
        let likelihood = match (expected, figure(shown)) {
            (Expected::Unknown, _) => 1.0 / SLIP_STEPS,
            (Expected::OverRange, None) => 1.0 - SLIP,
            (Expected::OverRange, Some(_)) => slip,
            (Expected::Figure(..), None) => SLIP,
            (Expected::Figure(low, high), Some(value)) => {
                // The rounded digit may hide half of its worth to either side.
                let (middle, deviation) =
                    self.curve(low - 0.5 * last_digit, high + 0.5 * last_digit);
                let z = (value - middle) / deviation;
                let per_unit = (-0.5 * z * z).exp() / (deviation * std::f64::consts::TAU.sqrt());
                (1.0 - SLIP) * per_unit / self.steps_per_unit(value) + slip
            }
        };
        likelihood.ln()
    }
}

/// Whether a reading lies within what is expected, by the rule of the bench test's steps.
pub fn is_inside(expected: Expected, shown: Shown, last_digit: f64) -> bool {
    match (expected, figure(shown)) {
        (Expected::Unknown, _) | (Expected::OverRange, None) => true,
        (Expected::OverRange, Some(_)) => false,
        (Expected::Figure(low, high), value) => {
            judge_figure(low, high, value.unwrap_or(f64::INFINITY), last_digit).is_good()
        }
    }
}

/// The number a meter shows; `None` for its sign.
fn figure(shown: Shown) -> Option<f64> {
    match shown {
        Shown::Ohm(value) | Shown::Volt(value) | Shown::Millimetre(value) => Some(value),
        Shown::OverRange | Shown::Yes | Shown::No => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn likelihood_falls_with_distance_and_never_to_nothing() {
        let meter = MeterProfile::plain(0.01, 0.5);
        let scale = Scale::ohm(&meter);
        let span = Range { low: 990.0, nominal: 1000.0, high: 1013.0 };
        let expected = scale.expected(&meter, Some(span));
        assert_eq!(expected, Expected::Figure(990.0 * 0.99 - 0.5, 1013.0 * 1.01 + 0.5));
        let at = |ohm| scale.ln_likelihood(expected, Shown::Ohm(ohm), 0.0);
        assert!(at(1001.0) > at(1020.0) && at(1020.0) > at(1060.0));
        assert_eq!(at(2000.0), at(4000.0));
        assert!(at(2000.0).is_finite());
        assert!(is_inside(expected, Shown::Ohm(1020.0), 0.0));
        assert!(!is_inside(expected, Shown::OverRange, 0.0));
        // "1k" has 500 Ω of room: that is no reason to call it within the limits.
        assert!(!is_inside(expected, Shown::Ohm(900.0), 1000.0));
        assert!(is_inside(Expected::Figure(5.0e6, f64::INFINITY), Shown::OverRange, 0.0));
        let open = scale.expected(&meter, Some(Range::exact(f64::INFINITY)));
        assert!(is_inside(open, Shown::OverRange, 0.0) && !is_inside(open, Shown::Ohm(5.0), 0.0));
    }

    /// The curve's mass over the whole scale is one, slips counted: a sum over fine steps.
    #[test]
    fn likelihoods_of_all_readings_add_up_to_one() {
        let meter = MeterProfile::plain(0.01, 0.5);
        let scale = Scale::ohm(&meter);
        let span = Range { low: 640.0, nominal: 660.0, high: 670.0 };
        let expected = scale.expected(&meter, Some(span));
        let value = |step: f64| scale.unit * (step / 100.0).exp_m1();
        let sum: f64 = (0..20_000)
            .map(|n| f64::from(n) * 0.1)
            .map(|step| scale.ln_likelihood(expected, Shown::Ohm(value(step)), 0.0).exp() * 0.1)
            .sum();
        let all = sum + scale.ln_likelihood(expected, Shown::OverRange, 0.0).exp();
        assert!((all - 1.0).abs() < 0.01, "{all}");
    }
}
