//! Times the supply dipped, and whether the reading moved with it.

use crate::proving::replay::claims::{BandIdx, GUARD};
use crate::proving::replay::event::{Event, EventKind, Rules};
use crate::proving::replay::log::Log;
use crate::proving::replay::runs::Run;

/// Rows compared before and behind a dip.
const BESIDE: usize = 8;
/// A dip that moves the reading by less than this share of itself does not move it.
const MOVED_SHARE: f64 = 0.25;
/// Nor does one that moves it by less than this share of the reading.
const MOVED_LEAST: f64 = 0.01;

/// What the supply did.
#[derive(Default)]
pub struct Dips {
    /// Dips that moved the reading.
    pub events: Vec<Event>,
    /// All dips.
    pub count: usize,
}

/// Looks for dips: below the usual volts (the middle of all) by a share, until nearly back.
pub fn dips(log: &Log, scaled: &[f64], runs: &[Run], rules: &Rules) -> Dips {
    let mut out = Dips::default();
    let mut known: Vec<f64> =
        log.supply_volt.iter().copied().filter(|volt| volt.is_finite()).collect();
    if known.len() < 2 * BESIDE {
        return out;
    }
    let middle = known.len() / 2;
    let usual = *known.select_nth_unstable_by(middle, f64::total_cmp).1;
    if usual <= 0.0 {
        return out;
    }
    let (begins, ends) = (usual * (1.0 - rules.dip_share), usual * (1.0 - 0.7 * rules.dip_share));
    let mut row = 0;
    while row < log.supply_volt.len() {
        if log.supply_volt[row].is_nan() || log.supply_volt[row] >= begins {
            row += 1;
            continue;
        }
        let first = row;
        let mut least = f64::INFINITY;
        while row < log.supply_volt.len()
            && (log.supply_volt[row].is_nan() || log.supply_volt[row] < ends)
        {
            least = least.min(log.supply_volt[row]);
            row += 1;
        }
        out.count += 1;
        let depth = (usual - least) / usual;
        if let Some(read) = moved(scaled, runs, first..row, depth) {
            out.events.push(Event {
                kind: EventKind::Dip,
                from_s: log.time_s[first],
                to_s: log.end_s(row - 1),
                first,
                end: row,
                read,
                band: band_at(runs, first.saturating_sub(1)),
                expected: None,
                times: 1,
                course: Some((least, usual)),
                may_count: true,
            });
        }
    }
    out
}

/// Least and greatest reading in the dip, where it moved and came back; `None` where it did not, or
/// where a hand changed something meanwhile.
fn moved(
    scaled: &[f64],
    runs: &[Run],
    dip: std::ops::Range<usize>,
    depth: f64,
) -> Option<(f64, f64)> {
    let before = dip.start.saturating_sub(BESIDE)..dip.start;
    let behind = dip.end..(dip.end + BESIDE).min(scaled.len());
    if before.is_empty() || behind.is_empty() {
        return None;
    }
    let (band_before, band_behind) =
        (band_at(runs, dip.start - 1), band_at(runs, (dip.end + BESIDE / 2).min(scaled.len() - 1)));
    if band_before != band_behind || band_before == GUARD {
        return None;
    }
    let read = super::away::span(&scaled[dip.clone()]);
    let leaves = dip.clone().any(|row| band_at(runs, row) != band_before);
    let middle = |rows: std::ops::Range<usize>| -> f64 {
        let mut values = scaled[rows].to_vec();
        let half = values.len() / 2;
        *values.select_nth_unstable_by(half, f64::total_cmp).1
    };
    let usual = middle(before);
    let shift = (read.0 - usual).abs().max((read.1 - usual).abs());
    let noise = {
        let (low, high) = super::away::span(&scaled[dip.start.saturating_sub(BESIDE)..dip.start]);
        high - low
    };
    let is_shift = shift.is_finite()
        && shift > 2.0 * noise
        && shift >= (MOVED_SHARE * depth).max(MOVED_LEAST) * usual.abs();
    (leaves || is_shift).then_some(read)
}

fn band_at(runs: &[Run], row: usize) -> BandIdx {
    let idx = runs.partition_point(|run| (run.end as usize) <= row);
    runs.get(idx).map_or(GUARD, |run| run.band)
}
