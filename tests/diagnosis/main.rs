//! The diagnosis put to the test: faults are hidden in machines built within their tolerances and
//! measured with a meter that is off within its leaflet.
//!
//! All faults of all samples in turn take a quarter of an hour without optimisation, so the usual run
//! takes one in so many; `OHMLOOM_STRIDE=1 cargo test --release --test diagnosis -- --nocapture`
//! takes all, some minutes, prints the figures and tells every miss.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

mod bench;
mod count;

use ohmloom::model::{Project, Shown, State};
use ohmloom::proving::Quantity;
use ohmloom::proving::diagnose::{Blame, Inquiry, Reading, Verdict};
use ohmloom::random::Random;
use ohmloom::samples;

use bench::Machine;
use count::read;

/// Machines without a fault, every value within its tolerance: 20 at every pin of every sample,
/// three readings each.
#[test]
fn no_sound_machine_is_called_faulty() {
    let mut n_pins = 0;
    for sample in samples::LIST {
        let project = samples::open(sample.name).unwrap();
        for id in project.sense_pins.ids() {
            let Some(inquiry) = Inquiry::new(&project, id, &|| true) else { continue };
            n_pins += 1;
            let r = &mut Random::new(41);
            for n in 0..20 {
                let machine = Machine::build(&project, id, None, r);
                let all = &inquiry.measurements;
                let mut readings = Vec::new();
                for _ in 0..3 {
                    let at = all[r.below(all.len())];
                    let Some(reading) = read(&inquiry, &machine, at, r) else { continue };
                    let inside = inquiry.is_within(at, reading.shown, 0.0);
                    let state = &reading.state;
                    assert!(inside, "{} {n}: {:?} {state:?}", sample.name, reading.shown);
                    readings.push(reading);
                }
                if n == 0 {
                    let answer = inquiry.diagnose(&project, &readings, &|| true).unwrap().unwrap();
                    assert_eq!(answer.verdict, Verdict::WithinLimits, "{}", sample.name);
                    let first = &inquiry.suspects[answer.ranked[0].suspect].blame;
                    assert!(matches!(first, Blame::Nothing { .. }));
                }
            }
        }
    }
    assert!(n_pins >= samples::LIST.len(), "{n_pins}");
}

fn sprayer() -> (Project, ohmloom::model::SensePinId) {
    let project = samples::open("sprayer").unwrap();
    let id = project.sense_pins.ids().next().unwrap();
    (project, id)
}

/// A reading with the named toggles on.
fn reading(project: &Project, on: &[&str], shown: Shown) -> Reading {
    let mut state = State::rest();
    for name in on {
        let (id, control) = project.controls.iter().find(|(_, c)| c.name == *name).unwrap();
        state.0.insert(id, 1 - control.rest);
    }
    Reading { state, shown, last_digit: 1.0 }
}

/// By hand: 140 Ω in series with everything. LEFT reads 1404.9 + 140, CENTRE 1833.9 + 140, RIGHT
/// 2870.2 + 140, all off 22000.6 + 140 (within its limits).
#[test]
fn the_same_ohms_everywhere_are_told_as_common() {
    let (project, id) = sprayer();
    let inquiry = Inquiry::new(&project, id, &|| true).unwrap();
    let readings = [
        reading(&project, &["LEFT"], Shown::Ohm(1545.0)),
        reading(&project, &["CENTRE"], Shown::Ohm(1974.0)),
        reading(&project, &["LEFT", "CENTRE", "RIGHT"], Shown::Ohm(800.6)),
        reading(&project, &[], Shown::Ohm(22140.0)),
    ];
    let answer = inquiry.diagnose(&project, &readings, &|| true).unwrap().unwrap();
    assert_eq!(answer.verdict, Verdict::Found);
    let first = &answer.ranked[0];
    let blame = &inquiry.suspects[first.suspect].blame;
    assert!(matches!(blame, Blame::MoreOhms { is_common: true, .. }), "{blame:?}");
    let (low, best, high) = first.value.unwrap();
    assert!(low <= 140.0 && 140.0 <= high && (best - 140.0).abs() < 14.0, "{low} {best} {high}");
    let words = ohmloom::proving::diagnose::blame_title(&project, &inquiry, first);
    assert!(words.starts_with("all high by the same "), "{words}");
    assert!(words.contains("common wire, joint or rotating contact"), "{words}");
}

/// By hand: 9.8 kΩ across the pin. LEFT 1404.9 ∥ 9800 = 1228.7, CENTRE 1833.9 ∥ 9800 = 1544.8,
/// RIGHT 2870.2 ∥ 9800 = 2220.0, all off 22000.6 ∥ 9800 = 6779.9.
#[test]
fn the_same_siemens_everywhere_are_told_as_a_leak() {
    let (project, id) = sprayer();
    let inquiry = Inquiry::new(&project, id, &|| true).unwrap();
    let readings = [
        reading(&project, &["LEFT"], Shown::Ohm(1229.0)),
        reading(&project, &["CENTRE"], Shown::Ohm(1545.0)),
        reading(&project, &["RIGHT"], Shown::Ohm(2220.0)),
        reading(&project, &[], Shown::Ohm(6780.0)),
    ];
    let answer = inquiry.diagnose(&project, &readings, &|| true).unwrap().unwrap();
    // R4 at 6.8 kΩ, or a leak beside it, reads the same within a fraction of an ohm.
    let is_at_pin = |one: &&ohmloom::proving::diagnose::Ranked| {
        let blame = &inquiry.suspects[one.suspect].blame;
        matches!(blame, Blame::Leak { is_at_pin: true, .. })
    };
    let leak = answer.ranked.iter().find(is_at_pin).unwrap();
    let first = &answer.ranked[0];
    assert!(first == leak || first.alike.contains(&leak.suspect), "{:?}", answer.ranked);
    let (low, _, high) = leak.value.unwrap();
    assert!(low <= 10_300.0 && 9_000.0 <= high, "{:?}", leak.value);
    let words = ohmloom::proving::diagnose::blame_title(&project, &inquiry, leak);
    assert!(words.contains("across the pin, or a second module"), "{words}");
}

#[test]
fn what_nothing_explains_is_said_to_be_unexplained_and_stopping_is_obeyed() {
    let (project, id) = sprayer();
    let inquiry = Inquiry::new(&project, id, &|| true).unwrap();
    // LEFT is nearly shorted, everything together is open: no single cause does that.
    let readings = [
        reading(&project, &["LEFT"], Shown::Ohm(3.0)),
        reading(&project, &["LEFT", "CENTRE", "RIGHT"], Shown::OverRange),
        reading(&project, &["CENTRE"], Shown::Ohm(150.0)),
    ];
    let answer = inquiry.diagnose(&project, &readings, &|| true).unwrap().unwrap();
    assert_eq!(answer.verdict, Verdict::Unexplained);
    assert!(answer.ranked.len() >= 2);
    assert_eq!(inquiry.diagnose(&project, &readings, &|| false), Ok(None));
    assert!(Inquiry::new(&project, id, &|| false).is_none());
    let length = reading(&project, &[], Shown::Millimetre(3.0));
    assert!(inquiry.diagnose(&project, &[length], &|| true).is_err());
}

#[test]
fn the_first_measurement_needs_no_reading_and_is_worth_most() {
    let (project, id) = sprayer();
    let inquiry = Inquiry::new(&project, id, &|| true).unwrap();
    let answer = inquiry.diagnose(&project, &[], &|| true).unwrap().unwrap();
    assert_eq!(answer.verdict, Verdict::NothingMeasured);
    let next = answer.next.unwrap();
    assert!(next.bits > 0.5, "{next:?}");
    let at = next.measurement;
    assert_eq!(at.quantity, Quantity::Volt, "volts tell of pull and reference as well");
    assert!(project.n_off_rest(&inquiry.survey.states[at.state]) > 0);
}

/// By hand: LEFT reads 1404.9 Ω, and 5 V · 1404.9 / 2404.9 = 2.921 V over the pull of 1 kΩ: as drawn.
/// A pull of somewhat more or less fits nearly as well, so in the middle stands the drawn one: no
/// suspect. The same for the resistors, whether the readings lie within their limits or not.
#[test]
fn a_suspect_with_the_drawn_value_is_dropped() {
    let (project, id) = sprayer();
    let inquiry = Inquiry::new(&project, id, &|| true).unwrap();
    let sound = reading(&project, &["LEFT"], Shown::Volt(2.921));
    let high = reading(&project, &["CENTRE"], Shown::Ohm(1974.0));
    for readings in [vec![sound.clone()], vec![sound, high]] {
        let answer = inquiry.diagnose(&project, &readings, &|| true).unwrap().unwrap();
        let mut n_values = 0;
        for one in &answer.ranked {
            let drawn = match &inquiry.suspects[one.suspect].blame {
                Blame::OtherPull => inquiry.pin.pull_ohm.map(|pull| (pull.nominal, pull.tolerance)),
                Blame::OtherValue { part, .. } => {
                    let resistor = project.parts.get(*part).unwrap().kind.resistor().unwrap();
                    Some((resistor.ohm, resistor.tolerance))
                }
                _ => None,
            };
            let Some(((ohm, tolerance), (_, best, _))) = drawn.zip(one.value) else { continue };
            n_values += 1;
            assert!((best / ohm - 1.0).abs() > tolerance, "{best} of {ohm}: {one:?}");
        }
        assert!(n_values > 0 || readings.len() == 1, "{:?}", answer.ranked);
    }
}
