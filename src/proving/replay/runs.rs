//! Rows that follow each other in one band, as one run.

use crate::model::SensePin;
use crate::proving::replay::claims::{BandIdx, Claims, GUARD};
use crate::proving::replay::log::Log;
use crate::sense::decode;

/// A run of rows in one band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// First row.
    pub first: u32,
    /// Row behind the last.
    pub end: u32,
    /// Band they lie in, or in none.
    pub band: BandIdx,
    /// Whether that is what the controls give.
    pub is_right: bool,
    /// Whether nothing was recorded directly before it.
    pub is_after_gap: bool,
    /// When it begins.
    pub from_s: f64,
    /// When what its last row says ends.
    pub to_s: f64,
}

impl Run {
    /// How long it lasts.
    pub fn length_s(&self) -> f64 {
        self.to_s - self.from_s
    }

    /// Rows it has.
    pub fn rows(&self) -> std::ops::Range<usize> {
        self.first as usize..self.end as usize
    }
}

/// The bands of a pin, ready to look a reading up.
pub struct Bands<'a> {
    pin: &'a SensePin,
    edges: Vec<(f64, f64)>,
    overlap: bool,
}

impl<'a> Bands<'a> {
    /// Gathers the edges.
    pub fn new(pin: &'a SensePin) -> Self {
        let edges: Vec<(f64, f64)> =
            pin.bands.iter().map(|band| (band.low, band.high.unwrap_or(f64::INFINITY))).collect();
        let overlap = edges
            .iter()
            .enumerate()
            .any(|(n, a)| edges[n + 1..].iter().any(|b| a.0 <= b.1 && b.0 <= a.1));
        Self { pin, edges, overlap }
    }

    /// Names of the bands that are right.
    fn asked(&self, right: &[bool]) -> Vec<String> {
        let bands = self.pin.bands.iter().zip(right).filter(|(_, is_right)| **is_right);
        bands.map(|(band, _)| band.name.clone()).collect()
    }

    /// The band of a reading, by the rule of [`decode`]: where bands overlap, one that is right.
    fn of(&self, value: f64, last: BandIdx, asked: &[String]) -> BandIdx {
        let holds = |(low, high): &(f64, f64)| *low <= value && value <= *high;
        if !self.overlap && self.edges.get(usize::from(last)).is_some_and(holds) {
            return last;
        }
        let mut inside = (0..self.edges.len()).filter(|idx| holds(&self.edges[*idx]));
        let idx = match (inside.next(), self.overlap.then(|| inside.next()).flatten()) {
            (_, Some(_)) => decode(self.pin, value, asked),
            (one, None) => one,
        };
        idx.and_then(|idx| BandIdx::try_from(idx).ok()).unwrap_or(GUARD)
    }
}

/// Cuts a log into runs; `None` where it was told to stop.
pub fn runs(
    bands: &Bands<'_>,
    claims: &Claims,
    log: &Log,
    scaled: &[f64],
    keep_going: &dyn Fn() -> bool,
) -> Option<Vec<Run>> {
    let mut all: Vec<Run> = Vec::new();
    let asked: Vec<Vec<String>> =
        claims.all.iter().map(|claim| bands.asked(&claim.bands)).collect();
    let mut last = GUARD;
    for (row, value) in scaled.iter().enumerate() {
        if row % 65_536 == 0 && !keep_going() {
            return None;
        }
        let claim = claims.at(row);
        let idx = claims.of_row.get(row).map_or(0, |idx| *idx as usize);
        let band = bands.of(*value, last, &asked[idx]);
        last = band;
        let is_right = claim.holds(band, *value);
        let is_after_gap = log.is_gap(row);
        let short = u32::try_from(row).unwrap_or(u32::MAX);
        match all.last_mut() {
            Some(run) if run.band == band && run.is_right == is_right && !is_after_gap => {
                run.end = short + 1;
            }
            Some(_) | None => all.push(Run {
                first: short,
                end: short + 1,
                band,
                is_right,
                is_after_gap,
                from_s: log.time_s[row],
                to_s: 0.0,
            }),
        }
    }
    for run in &mut all {
        run.to_s = log.end_s(run.end as usize - 1);
    }
    Some(all)
}
