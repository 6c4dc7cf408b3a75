//! The next measurement: the one whose outcome is expected to tell most between the suspects.
//!
//! What it tells is the entropy of its outcome less what of it would be left if the cause were
//! known (mutual information, Shannon 1948; choosing by it: Lindley 1956), in bits. Outcomes are
//! put into steps of about a hundredth of the reading, and the sign for over range is one more.

use crate::proving::diagnose::belief::Belief;
use crate::proving::diagnose::inquiry::{Inquiry, Measurement, Next, Reading};
use crate::proving::diagnose::suspect::Suspect;
use crate::proving::diagnose::weigh::{Row, Seen};
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
const NEARLY: f64 = 0.97;

/// Outcomes of one measurement: a slot for each step of the scale, the last for the sign.
const N_SLOTS: usize = 4096;

/// Steps below zero that volts may reach.
const BELOW_ZERO: f64 = 500.0;

/// A normal curve in five equally likely parts, by the middle of each (in standard deviations).
const CURVE: [f64; 5] = [-1.2816, -0.5244, 0.0, 0.5244, 1.2816];

/// Slots in which the readings of one point fall; nobody can say where a point is `None`.
pub type Slots = Option<[u16; CURVE.len()]>;

/// The slots of every stretch of points of every suspect, before any reading.
pub fn slots(inquiry: &Inquiry, at: Measurement) -> Vec<Vec<Slots>> {
    let row = Row::default();
    let of_suspect = |(n, suspect): (usize, &Suspect)| {
        let n_points = suspect.n_points();
        let firsts = (0..n_points).step_by(STRETCH);
        firsts.map(|first| slots_of(inquiry, (n, middle(first, n_points)), &row, at)).collect()
    };
    inquiry.suspects.iter().enumerate().map(of_suspect).collect()
}

/// Where the readings of one point fall after a row of readings.
fn slots_of(inquiry: &Inquiry, point: (usize, usize), row: &Row, at: Measurement) -> Slots {
    let scale = inquiry.scale(at.quantity);
    let slot = |value: f64| {
        let step = (scale.step(value) + BELOW_ZERO).clamp(0.0, (N_SLOTS - 2) as f64);
        step as u16
    };
    match row.next(&inquiry.curve(point, at)) {
        Seen::Unknown => None,
        Seen::OverRange => Some([N_SLOTS as u16 - 1; CURVE.len()]),
        Seen::Normal(middle, variance) => {
            let deviation = variance.sqrt();
            Some(CURVE.map(|z| slot(middle + z * deviation)))
        }
    }
}

/// Neighbour points of a line that are looked at as one: three tenths of the value at most.
const STRETCH: usize = 3;

/// The point that stands for a stretch.
fn middle(first: usize, n_points: usize) -> usize {
    (first + STRETCH / 2).min(n_points - 1)
}

/// Ohms are proposed where they tell at least so much of what volts would.
const OHMS_FIRST: f64 = 0.8;

/// So many of the best by what they tell alone are looked at closer, of ohms and of volts each.
const LOOKED_AT: usize = 8;

/// The best measurement not made yet; `None` where `keep_going` said no.
///
/// All are weighed by what they tell alone, the best of them by what they tell after the readings
/// that were taken, which narrow what the machine's own parts may be off by.
pub fn best_next(
    inquiry: &Inquiry,
    belief: &Belief,
    taken: &[(Measurement, &Reading)],
    keep_going: &dyn Fn() -> bool,
) -> Option<Advice> {
    let suspects: Vec<(usize, f64)> = (0..inquiry.suspects.len())
        .map(|suspect| (suspect, belief.share(suspect)))
        .filter(|(_, share)| *share > FAINT)
        .collect();
    let mut found: Vec<(Measurement, f64)> = Vec::new();
    for (n, at) in inquiry.measurements.iter().enumerate() {
        if !keep_going() {
            return None;
        }
        if !taken.iter().any(|(done, _)| done == at) {
            found.push((*at, bits(inquiry.slots(n), belief, &suspects)));
        }
    }
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    let of = |quantity| {
        let of = found.iter().filter(move |(at, _)| at.quantity == quantity);
        of.take(LOOKED_AT).copied().collect::<Vec<_>>()
    };
    let (mut ohms, mut volts) = (of(Quantity::Ohm), of(Quantity::Volt));
    if !taken.is_empty() {
        let heavy = Heavy::of(inquiry, belief, &suspects, taken);
        for (at, bits) in ohms.iter_mut().chain(&mut volts) {
            if !keep_going() {
                return None;
            }
            *bits = heavy.bits(inquiry, *at);
        }
    }
    let most =
        |found: &[(Measurement, f64)]| found.iter().map(|(_, bits)| *bits).fold(0.0, f64::max);
    // Nothing is switched on for a reading that ohms nearly give as well.
    let found = if most(&ohms) >= OHMS_FIRST * most(&volts) { ohms } else { volts };
    let enough = (NEARLY * most(&found)).max(BITS_LEAST);
    let best = found
        .into_iter()
        .filter(|(_, bits)| *bits >= enough)
        .min_by_key(|(at, _)| (inquiry.trouble(*at), *at))
        .map(|(measurement, bits)| Next { measurement, bits });
    Some(Advice { best })
}

/// How much a measurement is expected to tell.
fn bits(slots: &[Vec<Slots>], belief: &Belief, suspects: &[(usize, f64)]) -> f64 {
    let mut told = Told::new();
    for (suspect, share) in suspects {
        let weights = &belief.weights[*suspect];
        let faint = FAINT_POINT * share / weights.len() as f64;
        for (slots, weights) in slots[*suspect].iter().zip(weights.chunks(STRETCH)) {
            let weight: f64 = weights.iter().sum();
            if weight > faint {
                told.own.add(*slots, weight);
            }
        }
        told.close(*share);
    }
    told.bits()
}

/// Points with less than this of the mean weight of their suspect are left out.
const FAINT_POINT: f64 = 1e-3;

/// The points that count, each with the readings it was put to.
struct Heavy(Vec<(f64, Vec<HeavyPoint>)>);

/// Weight, suspect and point, and what the readings say if it is so.
type HeavyPoint = (f64, (usize, usize), Row);

impl Heavy {
    fn of(
        inquiry: &Inquiry,
        belief: &Belief,
        suspects: &[(usize, f64)],
        taken: &[(Measurement, &Reading)],
    ) -> Self {
        let of_suspect = |(suspect, share): &(usize, f64)| {
            let weights = &belief.weights[*suspect];
            let faint = 0.1 * share / weights.len() as f64;
            let points = weights.iter().enumerate().filter(|(_, weight)| **weight > faint);
            let points = points.map(|(point, weight)| {
                (*weight, (*suspect, point), inquiry.follow((*suspect, point), taken, None).1)
            });
            (*share, points.collect())
        };
        Self(suspects.iter().map(of_suspect).collect())
    }

    fn bits(&self, inquiry: &Inquiry, at: Measurement) -> f64 {
        let mut told = Told::new();
        for (share, points) in &self.0 {
            for (weight, point, row) in points {
                told.own.add(slots_of(inquiry, *point, row, at), *weight);
            }
            told.close(*share);
        }
        told.bits()
    }
}

/// What a measurement tells, gathered suspect by suspect.
struct Told {
    together: Outcomes,
    own: Outcomes,
    /// Entropy that would be left if the cause were known, and all shares.
    left: f64,
    all: f64,
}

impl Told {
    fn new() -> Self {
        Self { together: Outcomes::new(), own: Outcomes::new(), left: 0.0, all: 0.0 }
    }

    /// Takes what was gathered for one suspect.
    fn close(&mut self, share: f64) {
        let mass = self.own.mass();
        if mass > 0.0 {
            self.left += share * self.own.entropy();
            self.all += share;
            let together = &mut self.together;
            self.own.drain(|slot, weight| together.put(slot, weight * share / mass));
        }
    }

    fn bits(&self) -> f64 {
        if self.all > 0.0 { (self.together.entropy() - self.left / self.all).max(0.0) } else { 0.0 }
    }
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
