//! How likely every point of every suspect is after the readings that were taken.

use crate::proving::diagnose::inquiry::{Inquiry, Measurement, Reading};
use crate::proving::diagnose::weigh::{Curve, Row, figure};

/// How likely every point of every suspect is, all together one.
#[derive(Clone, Debug)]
pub struct Belief {
    /// By suspect and point.
    pub weights: Vec<Vec<f64>>,
}

/// By so much the logarithm of a weight may lie below the greatest before it counts as nothing.
const LN_LEAST: f64 = 40.0;

impl Belief {
    /// After these readings; `None` where `keep_going` said no.
    pub fn of(
        inquiry: &Inquiry,
        taken: &[(Measurement, &Reading)],
        keep_going: &dyn Fn() -> bool,
    ) -> Option<Self> {
        let mut weights = Vec::new();
        let mut most = f64::NEG_INFINITY;
        for (suspect, causes) in inquiry.causes.iter().enumerate() {
            if !keep_going() {
                return None;
            }
            let weight = |(point, causes): (usize, &f64)| {
                if *causes <= 0.0 {
                    return f64::NEG_INFINITY;
                }
                let before = causes.ln();
                // What carries next to nothing is not followed to the end.
                let least = most - LN_LEAST - before;
                let weight = before + inquiry.follow((suspect, point), taken, Some(least)).0;
                most = most.max(weight);
                weight
            };
            weights.push(causes.iter().enumerate().map(weight).collect::<Vec<f64>>());
        }
        for weight in weights.iter_mut().flatten() {
            *weight = (*weight - most).exp();
        }
        let all: f64 = weights.iter().flatten().sum();
        for weight in weights.iter_mut().flatten() {
            *weight /= all;
        }
        Some(Self { weights })
    }

    /// Share of a suspect.
    pub fn share(&self, suspect: usize) -> f64 {
        self.weights[suspect].iter().sum()
    }
}

impl Inquiry {
    /// What the meter shows at a measurement if this point of this suspect is so.
    pub(super) fn curve(&self, (suspect, point): (usize, usize), at: Measurement) -> Curve {
        let foretold = self.suspects[suspect].foretold(point, at.state, at.quantity);
        self.scale(at.quantity).curve(&self.meter, foretold)
    }

    /// Natural logarithm of how likely these readings are if this point is so, and what they say
    /// about the next one. Stops early where that falls below `least`.
    pub(super) fn follow(
        &self,
        point: (usize, usize),
        taken: &[(Measurement, &Reading)],
        least: Option<f64>,
    ) -> (f64, Row) {
        let (mut row, mut sum) = (Row::default(), 0.0);
        for (at, reading) in taken {
            if least.is_some_and(|least| sum < least) {
                return (f64::NEG_INFINITY, row);
            }
            let curve = self.curve(point, *at);
            let scale = self.scale(at.quantity);
            let (ln, is_told) =
                scale.ln_likelihood(row.next(&curve), reading.shown, reading.last_digit);
            sum += ln;
            // A slip says nothing about the readings after it.
            if let (Curve::Normal(normal), Some(value), true) =
                (curve, figure(reading.shown), is_told)
            {
                row.add(normal, value);
            }
        }
        (sum, row)
    }

    /// The stretch of values that carries nine tenths of a suspect's likelihood, and the mean of
    /// those about the likeliest: of too much and too little alike the mean is neither.
    pub(super) fn value(&self, suspect: usize, belief: &Belief) -> Option<(f64, f64, f64)> {
        let weights = &belief.weights[suspect];
        let mut points: Vec<(f64, f64)> = (0..weights.len())
            .filter_map(|point| Some((self.suspects[suspect].value(point)?, weights[point])))
            .collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let all: f64 = points.iter().map(|(_, weight)| weight).sum();
        // Values of either sign are meant in volts, others by ratio.
        let is_ratio = points.iter().all(|(value, _)| *value > 0.0);
        let top = (0..points.len()).max_by(|a, b| points[*a].1.total_cmp(&points[*b].1))?;
        if all <= 0.0 {
            return None;
        }
        let counts = |point: &&(f64, f64)| point.1 >= points[top].1 / 20.0;
        let above = points[top..].iter().take_while(counts);
        let about: Vec<&(f64, f64)> =
            points[..top].iter().rev().take_while(counts).chain(above).collect();
        let mean = |of: &dyn Fn(f64) -> f64| {
            let sum: f64 = about.iter().map(|(_, weight)| weight).sum();
            about.iter().map(|(value, weight)| of(*value) * weight).sum::<f64>() / sum
        };
        let best = if is_ratio { mean(&f64::ln).exp() } else { mean(&|value| value) };
        let at = |share: f64| {
            let mut sum = 0.0;
            points
                .iter()
                .find(|(_, weight)| {
                    sum += weight;
                    sum >= share * all
                })
                .map(|(value, _)| *value)
        };
        Some((at(0.05)?.min(best), best, at(0.95)?.max(best)))
    }
}
