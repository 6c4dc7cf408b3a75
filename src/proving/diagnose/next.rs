//! The next measurement: the one whose outcome is expected to tell most between the suspects.
//!
//! What it tells is the entropy of its outcome less what of it would be left if the cause were
//! known (mutual information, Shannon 1948; choosing by it: Lindley 1956), in bits. Outcomes are
//! put into steps of about a hundredth of the reading, and the sign for over range is one more.

use crate::proving::diagnose::inquiry::{Belief, Inquiry, Measurement, Next};
use crate::proving::diagnose::suspect::Suspect;
use crate::proving::diagnose::weigh::Expected;
use crate::proving::typed::Quantity;

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

/// Outcomes of one measurement: a slot for each step of the scale, the last for the sign.
const N_SLOTS: usize = 4096;

/// Steps below zero that volts may reach.
const BELOW_ZERO: f64 = 500.0;

/// A normal curve in five equally likely parts, by the middle of each (in standard deviations).
const CURVE: [f64; 5] = [-1.2816, -0.5244, 0.0, 0.5244, 1.2816];

/// Slots in which the readings of one point fall; nobody can say where a point is `None`.
pub type Slots = Option<[u16; CURVE.len()]>;

/// The slots of every stretch of points of every suspect.
pub fn slots(inquiry: &Inquiry, at: Measurement) -> Vec<Vec<Slots>> {
    let scale = inquiry.scale(at.quantity);
    let slot = |value: f64| {
        let step = (scale.step(value) + BELOW_ZERO).clamp(0.0, (N_SLOTS - 2) as f64);
        step as u16
    };
    let of_point = |suspect: usize, point: usize| match inquiry.expected(suspect, point, at) {
        Expected::Unknown => None,
        Expected::OverRange => Some([N_SLOTS as u16 - 1; CURVE.len()]),
        Expected::Figure(low, high) => {
            let (middle, deviation) = scale.curve(low, high);
            Some(CURVE.map(|z| slot(middle + z * deviation)))
        }
    };
    let of_suspect = |(n, suspect): (usize, &Suspect)| {
        let n_points = suspect.n_points();
        (0..n_points).step_by(STRETCH).map(|first| of_point(n, middle(first, n_points))).collect()
    };
    inquiry.suspects.iter().enumerate().map(of_suspect).collect()
}

/// Neighbour points of a line that are looked at as one: three tenths of the value at most.
const STRETCH: usize = 3;

/// The point that stands for a stretch.
fn middle(first: usize, n_points: usize) -> usize {
    (first + STRETCH / 2).min(n_points - 1)
}

/// Ohms are proposed where they tell at least so much of what volts would.
const OHMS_FIRST: f64 = 0.5;

/// The best measurement not made yet; `None` where `keep_going` said no.
pub fn best_next(
    inquiry: &Inquiry,
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
    for (n, at) in inquiry.measurements.iter().enumerate() {
        if !keep_going() {
            return None;
        }
        if !done.contains(at) {
            found.push((*at, bits(inquiry.slots(n), belief, &suspects, all)));
        }
    }
    let most =
        |found: &[(Measurement, f64)]| found.iter().map(|(_, bits)| *bits).fold(0.0, f64::max);
    let ohms: Vec<(Measurement, f64)> =
        found.iter().filter(|(at, _)| at.quantity == Quantity::Ohm).copied().collect();
    // Nothing is switched on for a reading that ohms nearly give as well.
    let found = if most(&ohms) >= OHMS_FIRST * most(&found) { ohms } else { found };
    let enough = (NEARLY * most(&found)).max(BITS_LEAST);
    let best = found
        .into_iter()
        .filter(|(_, bits)| *bits >= enough)
        .min_by_key(|(at, _)| (inquiry.trouble(*at), *at))
        .map(|(measurement, bits)| Next { measurement, bits });
    Some(Advice { best })
}

/// How much a measurement is expected to tell.
fn bits(slots: &[Vec<Slots>], belief: &Belief, suspects: &[(usize, f64)], all: f64) -> f64 {
    let mut together = Outcomes::new();
    let mut own = Outcomes::new();
    let mut left = 0.0;
    for (suspect, share) in suspects {
        let (points, weights) = (&slots[*suspect], &belief.weights[*suspect]);
        let faint = 1e-3 * share / weights.len() as f64;
        for (slots, weights) in points.iter().zip(weights.chunks(STRETCH)) {
            let weight: f64 = weights.iter().sum();
            if weight > faint {
                own.add(*slots, weight);
            }
        }
        let mass = own.mass();
        if mass > 0.0 {
            left += share / all * own.entropy();
            let factor = share / all / mass;
            own.drain(|slot, weight| together.put(slot, weight * factor));
        }
    }
    (together.entropy() - left).max(0.0)
}

/// Weights by slot, and which slots have any.
struct Outcomes {
    weights: Vec<f64>,
    used: Vec<usize>,
}

impl Outcomes {
    fn new() -> Self {
        Self { weights: vec![0.0; N_SLOTS], used: Vec::new() }
    }

    fn put(&mut self, slot: usize, weight: f64) {
        if self.weights[slot] == 0.0 {
            self.used.push(slot);
        }
        self.weights[slot] += weight;
    }

    fn add(&mut self, slots: Slots, weight: f64) {
        match slots {
            Some(slots) => {
                for slot in slots {
                    self.put(usize::from(slot), weight / CURVE.len() as f64);
                }
            }
            // It may show anything: spread thinly over the scale, so that it tells little.
            None => (0..200).for_each(|n| self.put(BELOW_ZERO as usize + n * 10, weight / 200.0)),
        }
    }

    fn mass(&self) -> f64 {
        self.used.iter().map(|slot| self.weights[*slot]).sum()
    }

    fn entropy(&self) -> f64 {
        let mass = self.mass();
        entropy(self.used.iter().map(|slot| self.weights[*slot] / mass))
    }

    /// Hands out all weights and is empty then.
    fn drain(&mut self, mut to: impl FnMut(usize, f64)) {
        for slot in self.used.drain(..) {
            to(slot, std::mem::take(&mut self.weights[slot]));
        }
    }
}

/// Entropy in bits.
fn entropy(shares: impl Iterator<Item = f64>) -> f64 {
    shares.filter(|share| *share > 0.0).map(|share| -share * share.log2()).sum()
}
