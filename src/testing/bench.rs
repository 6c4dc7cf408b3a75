//! Random bench runs and meters.

use crate::model::{BenchReading, BenchRun, BenchRunId, MeterRange, Project, Shown};
use crate::random::Random;
use crate::testing::project::word;

/// A few rounds in a third of the projects, and a meter with ranges in some of them.
pub(super) fn add_runs(p: &mut Project, r: &mut Random) {
    if !r.once_in(3) {
        return;
    }
    for _ in 0..r.below(3) {
        let id: BenchRunId = p.fresh_id();
        let run = run(r);
        p.bench_runs.put(id, run);
    }
    let meter = &mut p.settings.meter;
    meter.lead_ohm = r.pick(&[0.0, 0.2]);
    meter.over_range = r.pick(&["OL", "1 ."]).into();
    meter.tone_ohm = r.maybe(|r| r.between(1.0, 100.0));
    let range = |most: f64, r: &mut Random| MeterRange {
        most,
        fraction: r.between(0.0, 0.05),
        counts: r.pick(&[0.0, 2.0, 3.0]),
        step: most / 6000.0,
    };
    meter.ohm_ranges = (0..r.below(4)).map(|n| range(600.0 * 10f64.powi(n as i32), r)).collect();
    meter.volt_ranges = (0..r.below(3)).map(|n| range(6.0 * 10f64.powi(n as i32), r)).collect();
}

fn run(r: &mut Random) -> BenchRun {
    let n_readings = r.below(6);
    BenchRun {
        name: word(r),
        date: r.pick(&["", "2027-03-14"]).into(),
        initials: word(r),
        temperature_c: r.maybe(|r| r.between(-20.0, 40.0)),
        meter: word(r),
        notes: word(r),
        is_hand_over: r.once_in(2),
        readings: (0..n_readings).map(|n| (format!("ohm:{n}"), reading(r))).collect(),
    }
}

fn reading(r: &mut Random) -> BenchReading {
    let shown = match r.below(7) {
        0 => None,
        1 => Some(Shown::Ohm(r.decades(0.1, 1e7))),
        2 => Some(Shown::Volt(r.between(-1.0, 30.0))),
        3 => Some(Shown::Millimetre(r.between(0.0, 5000.0))),
        4 => Some(Shown::OverRange),
        5 => Some(Shown::Yes),
        _ => Some(Shown::No),
    };
    let last_digit = r.pick(&[0.0, 0.1, 1.0, 10.0]);
    BenchReading { shown, last_digit, note: word(r), drawing: r.bits() }
}
