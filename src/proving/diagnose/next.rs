//! The next measurement: the one whose outcome is expected to tell most between the suspects.
//!
//! What it tells is the entropy of its outcome less what of it would be left if the cause were
//! known (mutual information, Shannon 1948; choosing by it: Lindley 1956), in bits. Outcomes are
//! put into steps of about a hundredth of the reading, and the sign for over range is one more.

use std::collections::BTreeMap;

use crate::proving::diagnose::inquiry::{Belief, Inquiry, Measurement, Next};
use crate::proving::diagnose::weigh::Expected;

/// What is worth measuring.
pub struct Advice {
    /// The best; `None` where nothing tells more.
    pub best: Option<Next>,
}

/// Suspects with less than this share are left out.
const FAINT: f64 = 1e-4;

/// Less than this is not worth a measurement.
const BITS_LEAST: f64 = 0.02;

/// Of measurements that tell nearly as much as the best, the least trouble is proposed.
const NEARLY: f64 = 0.95;

/// The best measurement not made yet; `None` where `keep_going` said no.
pub fn best_next(
    inquiry: &Inquiry<'_>,
    belief: &Belief,
    done: &[Measurement],
    keep_going: &dyn Fn() -> bool,
) -> Option<Advice> {
    let suspects: Vec<(usize, f64)> = (0..inquiry.suspects.len())
        .map(|suspect| (suspect, belief.share(suspect)))
        .filter(|(_, share)| *share > FAINT)
        .collect();
    let all: f64 = suspects.iter().map(|(_, share)| share).sum();
    let mut found: Vec<(Measurement, f64)> = Vec::new();
    for at in &inquiry.measurements {
        if !keep_going() {
            return None;
        }
        if !done.contains(at) {
            found.push((*at, bits(inquiry, belief, (&suspects, all), *at)));
        }
    }
    let most = found.iter().map(|(_, bits)| *bits).fold(0.0, f64::max);
    let best = found
        .into_iter()
        .filter(|(_, bits)| *bits >= BITS_LEAST && *bits >= NEARLY * most)
        .min_by_key(|(at, _)| (inquiry.trouble(*at), *at))
        .map(|(measurement, bits)| Next { measurement, bits });
    Some(Advice { best })
}

/// How much a measurement is expected to tell.
fn bits(
    inquiry: &Inquiry<'_>,
    belief: &Belief,
    (suspects, all): (&[(usize, f64)], f64),
    at: Measurement,
) -> f64 {
    let mut together: BTreeMap<i64, f64> = BTreeMap::new();
    let mut left = 0.0;
    for (suspect, share) in suspects {
        let mut outcomes: BTreeMap<i64, f64> = BTreeMap::new();
        for (point, weight) in belief.weights[*suspect].iter().enumerate() {
            if *weight > 1e-3 * share / belief.weights[*suspect].len() as f64 {
                let expected = inquiry.expected(*suspect, point, at);
                spread(inquiry, at, expected, *weight, &mut outcomes);
            }
        }
        let mass: f64 = outcomes.values().sum();
        if mass <= 0.0 {
            continue;
        }
        left += share / all * entropy(outcomes.values().map(|weight| weight / mass));
        for (outcome, weight) in outcomes {
            *together.entry(outcome).or_default() += weight / mass * share / all;
        }
    }
    (entropy(together.into_values()) - left).max(0.0)
}

/// Shares of a normal curve at half deviations from -2 to 2.
const CURVE: [(f64, f64); 9] = [
    (-2.0, 0.0276),
    (-1.5, 0.0663),
    (-1.0, 0.1238),
    (-0.5, 0.1802),
    (0.0, 0.2042),
    (0.5, 0.1802),
    (1.0, 0.1238),
    (1.5, 0.0663),
    (2.0, 0.0276),
];

/// Puts a weight where its readings would fall.
fn spread(
    inquiry: &Inquiry<'_>,
    at: Measurement,
    expected: Expected,
    weight: f64,
    outcomes: &mut BTreeMap<i64, f64>,
) {
    let scale = inquiry.scale(at.quantity);
    match expected {
        Expected::OverRange => *outcomes.entry(i64::MAX).or_default() += weight,
        // It may show anything: spread thinly, so that it tells nothing.
        Expected::Unknown => {
            for n in 0..200 {
                *outcomes.entry(n * 10).or_default() += weight / 200.0;
            }
        }
        Expected::Figure(low, high) => {
            let (middle, deviation) = scale.curve(low, high);
            for (z, share) in CURVE {
                let step = scale.step(middle + z * deviation).floor() as i64;
                *outcomes.entry(step).or_default() += weight * share;
            }
        }
    }
}

/// Entropy in bits.
fn entropy(shares: impl Iterator<Item = f64>) -> f64 {
    shares.filter(|share| *share > 0.0).map(|share| -share * share.log2()).sum()
}
