//! How well a reading fits a suspect.
//!
//! A suspect foretells what the meter shows: ohms (or volts) with all else usual, and how far each
//! thing moves them that is off within its tolerance. What is off is off by the same in all readings
//! of one machine, so readings are weighed together: each narrows what the next may be. The meter's
//! own error is drawn anew for every reading. Both count as normal curves with the standard deviation
//! of a span in which every value is as likely (its half width by the root of three; JCGM 100:2008,
//! 4.3.7, from memory). One reading in a thousand is taken for a slip (wrong button, wrong place),
//! which may show anything: so no single reading ever settles everything.
//!
//! Limits are another matter: what lies within worst case and meter is within its limits.

use crate::model::{MeterProfile, Shown};
use crate::proving::diagnose::suspect::Foretold;
use crate::proving::plan::judge_figure;
use crate::proving::typed::Quantity;
use crate::sense::{ohm_error, shown_ohm, shown_volt, volt_error};
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

    /// What the meter shows if a point of a suspect is so.
    pub fn curve(&self, meter: &MeterProfile, foretold: Option<Foretold>) -> Curve {
        let Some(Foretold { mut value, by, alone }) = foretold else { return Curve::Unknown };
        let error = match self.quantity {
            Quantity::Ohm => {
                let most = meter.ohm_ranges.last().map_or(f64::INFINITY, |range| range.most);
                if value.is_infinite() || value > most {
                    return Curve::OverRange;
                }
                value += meter.lead_ohm;
                ohm_error(meter, value.min(most))
            }
            Quantity::Volt | Quantity::Length | Quantity::Sign => {
                volt_error(meter, value).filter(|error| error.is_finite()).unwrap_or(0.0)
            }
        };
        // Never finer than half a step of the scale.
        let floor = 0.5 / self.steps_per_unit(value);
        let own = (error * error / 3.0 + alone * alone).max(floor * floor);
        Curve::Normal(Normal { middle: value, by, own })
    }

    /// Natural logarithm of how likely the meter shows this, per step of the scale, and whether it
    /// is rather no slip.
    pub fn ln_likelihood(&self, seen: Seen, shown: Shown, last_digit: f64) -> (f64, bool) {
        let slip = SLIP / SLIP_STEPS;
        let (likelihood, slip) = match (seen, figure(shown)) {
            (Seen::Unknown, _) => (1.0 / SLIP_STEPS, 0.0),
            (Seen::OverRange, None) => (1.0 - SLIP, 0.0),
            (Seen::OverRange, Some(_)) => (0.0, slip),
            (Seen::Normal(..), None) => (0.0, SLIP),
            (Seen::Normal(middle, variance), Some(value)) => {
                // The rounded digit may hide half of its worth to either side.
                let deviation = (variance + last_digit * last_digit / 12.0).sqrt();
                let z = (value - middle) / deviation;
                let per_unit = (-0.5 * z * z).exp() / (deviation * std::f64::consts::TAU.sqrt());
                ((1.0 - SLIP) * per_unit / self.steps_per_unit(value), slip)
            }
        };
        ((likelihood + slip).ln(), likelihood >= slip)
    }
}

/// What the meter shows if a point of a suspect is so.
#[derive(Clone, Debug, PartialEq)]
pub enum Curve {
    /// The sign for over range.
    OverRange,
    /// A figure.
    Normal(Normal),
    /// Nobody can say.
    Unknown,
}

/// A figure that is spread as a normal curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Normal {
    /// The likeliest figure.
    pub middle: f64,
    /// How far it moves with what all readings share, by a standard deviation of each.
    pub by: Vec<f64>,
    /// Variance of what no other reading shares.
    pub own: f64,
}

/// What the meter shows after what it has shown already.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// The sign for over range.
    OverRange,
    /// Middle and variance of a figure.
    Normal(f64, f64),
    /// Nobody can say.
    Unknown,
}

/// Readings of one machine in a row: what they say about what the next shows, if a point of a
/// suspect is so. A normal curve given the others, by Cholesky's factor of their covariances.
#[derive(Clone, Debug, Default)]
pub struct Row {
    by: Vec<Vec<f64>>,
    factor: Vec<Vec<f64>>,
    /// How far off each was beyond what those before it foretold, in standard deviations.
    off: Vec<f64>,
}

impl Row {
    /// What is to be seen next.
    pub fn next(&self, curve: &Curve) -> Seen {
        match curve {
            Curve::Unknown => Seen::Unknown,
            Curve::OverRange => Seen::OverRange,
            Curve::Normal(normal) => {
                let shares = self.shares(normal);
                let middle = shares.iter().zip(&self.off).map(|(share, off)| share * off);
                let known: f64 = shares.iter().map(|share| share * share).sum();
                let all = normal.own + dot(&normal.by, &normal.by);
                Seen::Normal(normal.middle + middle.sum::<f64>(), (all - known).max(normal.own))
            }
        }
    }

    /// Adds a reading.
    pub fn add(&mut self, normal: Normal, value: f64) {
        let mut shares = self.shares(&normal);
        let middle: f64 = normal.middle
            + shares.iter().zip(&self.off).map(|(share, off)| share * off).sum::<f64>();
        let known: f64 = shares.iter().map(|share| share * share).sum();
        let all = normal.own + dot(&normal.by, &normal.by);
        let deviation = (all - known).max(normal.own).sqrt();
        self.off.push((value - middle) / deviation);
        shares.push(deviation);
        self.factor.push(shares);
        self.by.push(normal.by);
    }

    /// How much of a figure's spread it shares with each reading of the row.
    fn shares(&self, normal: &Normal) -> Vec<f64> {
        let mut shares: Vec<f64> = Vec::with_capacity(self.by.len() + 1);
        for (by, factor) in self.by.iter().zip(&self.factor) {
            let known: f64 = dot(&shares, factor);
            let own = factor.last().copied().unwrap_or(1.0);
            shares.push((dot(by, &normal.by) - known) / own);
        }
        shares
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
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
pub fn figure(shown: Shown) -> Option<f64> {
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
        let curve =
            scale.curve(&meter, Some(Foretold { value: 1000.0, by: vec![6.0], alone: 0.0 }));
        let seen = Row::default().next(&curve);
        let at = |ohm| scale.ln_likelihood(seen, Shown::Ohm(ohm), 0.0).0;
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
        let curve =
            scale.curve(&meter, Some(Foretold { value: 660.0, by: vec![4.0, 3.0], alone: 0.0 }));
        let seen = Row::default().next(&curve);
        let likelihood = |shown| scale.ln_likelihood(seen, shown, 0.0).0.exp();
        let value = |step: f64| scale.unit * (step / 100.0).exp_m1();
        let sum: f64 = (0..20_000)
            .map(|n| f64::from(n) * 0.1)
            .map(|step| likelihood(Shown::Ohm(value(step))) * 0.1)
            .sum();
        let all = sum + likelihood(Shown::OverRange);
        assert!((all - 1.0).abs() < 0.01, "{all}");
    }

    /// By hand: two readings with variance 2 each, 1 of it shared. The covariance is 1, so one that
    /// came out 3 high moves the other by 3 · 1/2, and leaves 2 - 1/2 of its variance. The same
    /// through a third reading that shares nothing.
    #[test]
    fn a_reading_narrows_the_next_by_what_they_share() {
        let curve = |by: [f64; 2]| Normal { middle: 100.0, by: by.to_vec(), own: 1.0 };
        let mut row = Row::default();
        let next = |row: &Row, by| row.next(&Curve::Normal(curve(by)));
        assert_eq!(next(&row, [1.0, 0.0]), Seen::Normal(100.0, 2.0));
        row.add(curve([0.0, 1.0]), 107.0);
        assert_eq!(next(&row, [1.0, 0.0]), Seen::Normal(100.0, 2.0));
        row.add(curve([1.0, 0.0]), 103.0);
        let Seen::Normal(middle, variance) = next(&row, [1.0, 0.0]) else { panic!() };
        assert!((middle - 101.5).abs() < 1e-12 && (variance - 1.5).abs() < 1e-12);
        assert_eq!(row.next(&Curve::OverRange), Seen::OverRange);
    }
}
