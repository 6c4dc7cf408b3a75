//! What eats the margin: Cohn's theorem against its sum, against finite differences and by hand.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use ohmloom::circuit::Source;
use ohmloom::model::{PartKind, State};
use ohmloom::samples;
use ohmloom::sense::Reader;
use ohmloom::testing::{Sketch, at};

#[test]
fn resistances_times_slopes_add_up_to_the_resistance() {
    let mut seen = 0;
    for sample in samples::LIST {
        let project = samples::open(sample.name).unwrap();
        let reader = Reader::new(&project);
        for pin in project.sense_pins.ids() {
            for row in reader.table(pin).unwrap().rows.iter().step_by(3) {
                let slopes = reader.slopes(pin, &row.state);
                let sum: f64 = slopes.iter().map(|slope| slope.ohm * slope.slope).sum();
                if row.ohm.nominal.is_infinite() {
                    assert!(slopes.is_empty());
                    continue;
                }
                // The ohms of a row count the leak in its low end only.
                let near = (sum - row.ohm.nominal).abs() <= 1e-9 * row.ohm.nominal;
                assert!(near, "{}: {sum}, {}", sample.name, row.ohm.nominal);
                seen += 1;
            }
        }
    }
    assert!(seen > 100, "{seen}");
}

#[test]
fn slopes_are_those_of_finite_differences() {
    for name in ["sprayer", "forwarder", "rescue-boat", "railcar"] {
        let project = samples::open(name).unwrap();
        let reader = Reader::new(&project);
        let pin = project.sense_pins.ids().next().unwrap();
        for row in reader.table(pin).unwrap().rows.iter().step_by(11) {
            for slope in reader.slopes(pin, &row.state) {
                let Source::Part(part) = slope.source else { continue };
                let ohm = |factor: f64| {
                    let mut work = project.clone();
                    match &mut work.parts.get_mut(part).unwrap().kind {
                        PartKind::Resistor(resistor) => resistor.ohm *= factor,
                        _ => return None,
                    }
                    Some(Reader::new(&work).row(pin, &row.state).unwrap().ohm.nominal)
                };
                let (Some(less), Some(more)) = (ohm(1.0 - 1e-5), ohm(1.0 + 1e-5)) else { continue };
                let want = (more - less) / (2e-5 * slope.ohm);
                assert!((slope.slope - want).abs() < 1e-6, "{name}: {slope:?}, {want}");
            }
        }
    }
}

/// By hand: 1 kΩ in series with 1 kΩ beside 3 kΩ. All current goes through the first, three quarters
/// through the second, one quarter through the third: slopes 1, 9/16 and 1/16, and
/// 1000 + 562.5 + 187.5 = 1750 = 1000 + 1000 ∥ 3000.
#[test]
fn a_ladder_by_hand() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    let middle = at(sketch.splice("SP1"), 0);
    let parts = [
        sketch.resistor_between("R1", 1000.0, pin, middle),
        sketch.resistor_between("R2", 1000.0, middle, reference),
        sketch.resistor_between("R3", 3000.0, middle, reference),
    ];
    let id = sketch.pin(pin, reference);
    let slopes = Reader::new(&sketch.project).slopes(id, &State::rest());
    for (part, want) in parts.iter().zip([1.0, 9.0 / 16.0, 1.0 / 16.0]) {
        let found = slopes.iter().find(|slope| slope.source == Source::Part(*part)).unwrap();
        assert!((found.slope - want).abs() < 1e-12, "{found:?}");
    }
}

/// The linear shares add up to the exact range within a tenth where spreads are small.
#[test]
fn eaters_add_up_to_about_the_whole_range() {
    let project = samples::open("sprayer").unwrap();
    let reader = Reader::new(&project);
    let pin = project.sense_pins.ids().next().unwrap();
    for row in reader.table(pin).unwrap().rows {
        let eaters = reader.eaters(pin, &row.state);
        let sum: f64 = eaters.iter().map(|eater| eater.spread).sum();
        let volt = row.volt.unwrap();
        let whole = volt.high - volt.low;
        assert!((sum / whole - 1.0).abs() < 0.1, "{sum} of {whole}: {eaters:?}");
        assert!(eaters.windows(2).all(|pair| pair[0].spread >= pair[1].spread));
    }
}
