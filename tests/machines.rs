//! Invented machines with known readings: the sprayer's table to the last printed digit, the railcar's clashes.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::collections::BTreeMap;

use ohmloom::model::{
    Band, BandRole, Contact, ContactForm, Converter, FullScale, Harm, PartKind, Resistor, Side,
    State,
};
use ohmloom::model::{ControlId, Scale, SensePinId};
use ohmloom::random::Random;
use ohmloom::sense::{PinTable, Reader, Verdict};
use ohmloom::testing::{Sketch, at, expectation};
use ohmloom::units::{Range, Tolerant};

/// Bands of the sprayer in volts.
const SPRAYER_BANDS: [(&str, f64, f64); 10] = [
    ("SHORT/GROUND", 0.0, 0.6),
    ("ALL ON", 1.85, 2.1),
    ("LEFT+CENTRE", 2.15, 2.35),
    ("LEFT+RIGHT", 2.38, 2.57),
    ("CENTRE+RIGHT", 2.6, 2.8),
    ("LEFT", 2.83, 3.03),
    ("CENTRE", 3.1, 3.4),
    ("RIGHT", 3.55, 3.95),
    ("ALL OFF", 4.55, 4.87),
    ("OPEN WIRE", 4.93, 5.1),
];

fn bands(list: &[(&str, f64, f64)]) -> Vec<Band> {
    list.iter()
        .map(|(name, low, high)| {
            let role = match *name {
                "SHORT/GROUND" | "SHORT TO REF" => BandRole::Short,
                "OPEN WIRE" => BandRole::Open,
                "IDLE" => BandRole::Idle,
                _ => BandRole::Action,
            };
            Band { name: (*name).into(), role, low: *low, high: Some(*high), harm: Harm::Nuisance }
        })
        .collect()
}

/// Branches of contact and resistor between pin and reference, and a resistor at the end of the line.
fn ladder(
    branches: &[(&str, f64)],
    end_ohm: f64,
    ppm: f64,
    span_k: f64,
    contact_ohm: f64,
) -> (Sketch, Vec<ControlId>, SensePinId) {
    let mut sketch = Sketch::new();
    sketch.project.settings.temperature_span_k = span_k;
    sketch.project.settings.contact_ohm = Range::up_to(contact_ohm);
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    let resistor = |ohm| {
        PartKind::Resistor(Resistor {
            ohm,
            tolerance: 0.01,
            tempco_ppm_per_k: ppm,
            power_watt: 0.25,
        })
    };
    let end = sketch.part("R9", resistor(end_ohm));
    sketch.wire(pin, at(end, 0));
    sketch.wire(at(end, 1), reference);
    let mut controls = Vec::new();
    for (name, ohm) in branches {
        let r = sketch.part(&format!("R {name}"), resistor(*ohm));
        let contact = sketch.part(
            &format!("S {name}"),
            PartKind::Contact(Contact { form: ContactForm::NormallyOpen, closed_ohm: None }),
        );
        sketch.wire(pin, at(contact, 0));
        sketch.wire(at(contact, 1), at(r, 0));
        sketch.wire(at(r, 1), reference);
        controls.push(sketch.control(name, contact, 2));
    }
    let id = sketch.pin(pin, reference);
    (sketch, controls, id)
}

fn sprayer() -> (Sketch, Vec<ControlId>, SensePinId) {
    let (mut sketch, controls, id) =
        ladder(&[("L", 1500.0), ("C", 2000.0), ("R", 3300.0)], 22000.0, 100.0, 60.0, 3.0);
    let pin = sketch.project.sense_pins.get_mut(id).unwrap();
    pin.side = Side::Ground;
    pin.pull_ohm = Some(Tolerant { nominal: 1000.0, tolerance: 0.01 });
    pin.reference_volt = Some(Tolerant { nominal: 5.0, tolerance: 0.02 });
    pin.full_scale = Some(FullScale::Ratiometric { volt: 5.0 });
    pin.converter = Some(Converter { max_count: 1023, error_count: 2.0 });
    pin.scale = Scale::Volt;
    pin.bands = bands(&SPRAYER_BANDS);
    pin.wire_loop_ohm = Some(Range { low: 0.0, nominal: 0.6, high: 2.0 });
    pin.leak_low_ohm = Some(100_000.0);
    pin.ground_offset_volt = 0.01;
    let names = [
        "ALL OFF",
        "RIGHT",
        "CENTRE",
        "CENTRE+RIGHT",
        "LEFT",
        "LEFT+RIGHT",
        "LEFT+CENTRE",
        "ALL ON",
    ];
    for (bits, name) in names.iter().enumerate() {
        let when: Vec<(ControlId, u8)> =
            controls.iter().enumerate().map(|(n, id)| (*id, (bits >> (2 - n) & 1) as u8)).collect();
        pin.expectations.push(expectation(&when, name));
    }
    (sketch, controls, id)
}

/// Equal to the digits that are printed.
fn printed(got: f64, want: &str, what: &str) {
    let decimals = want.split_once('.').map_or(0, |(_, digits)| digits.len());
    assert_eq!(
        ohmloom::units::trim_zeros(&format!("{got:.decimals$}")),
        ohmloom::units::trim_zeros(want),
        "{what}"
    );
}

#[test]
fn sprayer_reads_as_worked_out_beforehand() {
    let (sketch, controls, id) = sprayer();
    let reader = Reader::new(&sketch.project);
    let table = reader.table(id).unwrap();
    assert_eq!(table.rows.len(), 8);
    assert!(table.findings.is_empty(), "{:?}", table.findings);
    let mut seen = 0;
    for line in include_str!("data/sprayer_readings.csv").lines().skip(1) {
        let field: Vec<&str> = line.split(',').collect();
        let state = State(
            controls
                .iter()
                .zip(["L", "C", "R"])
                .map(|(id, letter)| {
                    (*id, u8::from(field[1].split(' ').any(|closed| closed == letter)))
                })
                .collect(),
        );
        let row = table.rows.iter().find(|row| row.state == state).unwrap();
        assert_eq!(reader.row(id, &state).as_ref(), Some(row), "live row and table differ");
        let name = field[0];
        let (volt, count, margin) = (row.volt.unwrap(), row.count.unwrap(), row.margin.unwrap());
        printed(row.ohm.nominal, field[2], name);
        printed(row.bench_ohm.0, field[3], name);
        printed(row.bench_ohm.1, field[4], name);
        printed(volt.nominal, field[5], name);
        assert_eq!(count.1.to_string(), field[6], "{name}");
        printed(volt.low, field[7], name);
        printed(volt.high, field[8], name);
        assert_eq!(
            (count.0.to_string(), count.2.to_string()),
            (field[9].into(), field[10].into()),
            "{name}"
        );
        printed(margin.below.unwrap(), field[11], name);
        printed(margin.above.unwrap(), field[12], name);
        assert_eq!(row.asked, [name]);
        assert_eq!(row.verdict, Some(Verdict::Ok), "{}", row.why);
        seen += 1;
    }
    assert_eq!(seen, 8);
}

#[test]
fn sprayer_draws_never_leave_the_bounds() {
    let (sketch, _, id) = sprayer();
    let table = Reader::new(&sketch.project).table(id).unwrap();
    let mut random = Random::new(22_000);
    let tolerance = 0.01 + 0.006;
    let mut nearest: f64 = 1.0;
    for _ in 0..4000 {
        for row in &table.rows {
            let closed: Vec<bool> = row.state.0.values().map(|position| *position == 1).collect();
            // The formulas as a person would write them for this one circuit.
            let mut siemens = 1.0 / (22_000.0 * (1.0 + random.between(-tolerance, tolerance)));
            for (ohm, is_closed) in [1500.0, 2000.0, 3300.0].into_iter().zip(closed) {
                let branch =
                    ohm * (1.0 + random.between(-tolerance, tolerance)) + random.between(0.0, 3.0);
                siemens += if is_closed { 1.0 / branch } else { 0.0 };
            }
            let network = 1.0 / siemens + random.between(0.0, 2.0);
            let ohm = 1.0 / (1.0 / network + random.between(0.0, 1.0 / 100_000.0));
            let (pull, volt) = (
                1000.0 * (1.0 + random.between(-0.01, 0.01)),
                5.0 * (1.0 + random.between(-0.02, 0.02)),
            );
            let offset = random.between(-0.01, 0.01);
            let pin_volt = (offset + (volt - offset) * ohm / (ohm + pull)) * 5.0 / volt;
            let count = pin_volt / 5.0 * 1023.0 + random.between(-2.0, 2.0);
            let (ohms, volts, counts) = (row.ohm, row.volt.unwrap(), row.count.unwrap());
            assert!(ohms.low <= ohm && ohm <= ohms.high, "{ohm} outside {ohms:?}");
            let seen = count / 1023.0 * 5.0;
            assert!(volts.low <= seen && seen <= volts.high, "{seen} outside {volts:?}");
            assert!(
                (counts.0..=counts.2).contains(&(count.round() as u32)),
                "{count} outside {counts:?}"
            );
            nearest = nearest.min((volts.high - seen) / (volts.high - volts.low));
        }
    }
    assert!(
        nearest < 0.2,
        "the draws stay {nearest} away from the bounds: the bounds are too wide"
    );
}

/// The railcar: four buttons at each end on one supply-side wire.
fn railcar(values: [f64; 4], list: &[(&str, f64, f64)]) -> (PinTable, Vec<Band>) {
    let (sketch, id) = railcar_sketch(values, list);
    let bands = sketch.project.sense_pins.get(id).unwrap().bands.clone();
    (Reader::new(&sketch.project).table(id).unwrap(), bands)
}

fn railcar_sketch(values: [f64; 4], list: &[(&str, f64, f64)]) -> (Sketch, SensePinId) {
    let names = ["SAND", "BLOWER", "LIGHTS", "CALL"];
    let branches: Vec<(String, &str, f64)> = ["F", "R"]
        .iter()
        .flat_map(|end| {
            names.iter().zip(values).map(move |(name, ohm)| (format!("{name} {end}"), *name, ohm))
        })
        .collect();
    let named: Vec<(&str, f64)> =
        branches.iter().map(|(full, _, ohm)| (full.as_str(), *ohm)).collect();
    let (mut sketch, controls, id) = ladder(&named, 33000.0, 100.0, 40.0, 5.0);
    let pin = sketch.project.sense_pins.get_mut(id).unwrap();
    pin.side = Side::Supply;
    pin.pull_ohm = Some(Tolerant { nominal: 1000.0, tolerance: 0.01 });
    pin.reference_volt = Some(Tolerant { nominal: 10.0, tolerance: 0.01 });
    pin.full_scale = Some(FullScale::Fixed(Tolerant { nominal: 10.24, tolerance: 0.005 }));
    pin.converter = Some(Converter { max_count: 1023, error_count: 2.0 });
    pin.scale = Scale::Volt;
    pin.bands = bands(list);
    pin.wire_loop_ohm = Some(Range { low: 0.0, nominal: 1.4, high: 4.0 });
    pin.leak_low_ohm = Some(220_000.0);
    for (control, (_, name, _)) in controls.iter().zip(&branches) {
        pin.expectations.push(expectation(&[(*control, 1)], name));
    }
    let off: Vec<(ControlId, u8)> = controls.iter().map(|id| (*id, 0)).collect();
    pin.expectations.push(expectation(&off, "IDLE"));
    (sketch, id)
}

/// States that decode as an action that nobody pressed, by the number of buttons held.
fn clashes(table: &PinTable) -> BTreeMap<usize, usize> {
    let mut counts = BTreeMap::new();
    for row in table.rows.iter().filter(|row| row.verdict == Some(Verdict::Clash)) {
        let held = row.state.0.values().filter(|position| **position != 0).count();
        *counts.entry(held).or_insert(0) += 1;
    }
    counts
}

#[test]
fn railcar_clashes_only_when_three_or_more_press() {
    let (table, bands) = railcar(
        [390.0, 1100.0, 3000.0, 8200.0],
        &[
            ("OPEN WIRE", 0.0, 0.08),
            ("IDLE", 0.18, 0.6),
            ("CALL", 1.1, 1.6),
            ("LIGHTS", 2.4, 3.0),
            ("BLOWER", 4.4, 5.4),
            ("SAND", 6.8, 8.8),
            ("SHORT TO REF", 9.3, 10.24),
        ],
    );
    assert_eq!(table.rows.len(), 256);
    let found = clashes(&table);
    // Our own invented machine: 15 of 255, none with two buttons (worked out by another program).
    assert_eq!(found.values().sum::<usize>(), 15, "{found:?}");
    assert_eq!(found.keys().min(), Some(&3), "{found:?}");
    for row in table.rows.iter().filter(|row| row.state.0.values().filter(|p| **p != 0).count() < 2)
    {
        assert_eq!(row.verdict, Some(Verdict::Ok), "{}", row.why);
        assert_eq!(row.band.map(|idx| bands[idx].name.as_str()), Some(row.asked[0].as_str()));
    }
}

#[test]
fn railcar_as_first_tried_clashes_with_two_buttons() {
    let (table, _) = railcar(
        [390.0, 1000.0, 2400.0, 6800.0],
        &[
            ("IDLE", 0.18, 0.6),
            ("CALL", 1.2, 1.85),
            ("LIGHTS", 2.6, 3.6),
            ("BLOWER", 4.5, 5.6),
            ("SAND", 6.6, 8.0),
        ],
    );
    let found = clashes(&table);
    assert_eq!(found.values().sum::<usize>(), 26, "{found:?}");
    assert_eq!(found.get(&2), Some(&2), "{found:?}");
}

#[test]
fn railcar_draws_never_leave_the_bounds() {
    let (sketch, id) = railcar_sketch([390.0, 1100.0, 3000.0, 8200.0], &[("SAND", 6.8, 8.8)]);
    let table = Reader::new(&sketch.project).table(id).unwrap();
    let ohms = [390.0, 1100.0, 3000.0, 8200.0, 390.0, 1100.0, 3000.0, 8200.0];
    let mut random = Random::new(33_000);
    let tolerance = 0.01 + 0.004;
    let mut nearest: (f64, f64) = (1.0, 1.0);
    for _ in 0..300 {
        for row in &table.rows {
            let mut siemens = 1.0 / (33_000.0 * (1.0 + random.between(-tolerance, tolerance)));
            for (ohm, position) in ohms.into_iter().zip(row.state.0.values()) {
                let branch =
                    ohm * (1.0 + random.between(-tolerance, tolerance)) + random.between(0.0, 5.0);
                siemens += if *position == 1 { 1.0 / branch } else { 0.0 };
            }
            let ohm = 1.0 / siemens + random.between(0.0, 4.0);
            let pull = 1000.0 * (1.0 + random.between(-0.01, 0.01));
            let pull = 1.0 / (1.0 / pull + random.between(0.0, 1.0 / 220_000.0));
            let reference = 10.0 * (1.0 + random.between(-0.01, 0.01));
            let full_scale = 10.24 * (1.0 + random.between(-0.005, 0.005));
            let count =
                reference * pull / (pull + ohm) / full_scale * 1023.0 + random.between(-2.0, 2.0);
            let (volts, counts) = (row.volt.unwrap(), row.count.unwrap());
            let seen = count / 1023.0 * 10.24;
            assert!(volts.low <= seen && seen <= volts.high, "{seen} outside {volts:?}");
            assert!(
                (counts.0..=counts.2).contains(&(count.round() as u32)),
                "{count} outside {counts:?}"
            );
            let width = volts.high - volts.low;
            nearest.0 = nearest.0.min((seen - volts.low) / width);
            nearest.1 = nearest.1.min((volts.high - seen) / width);
        }
    }
    assert!(
        nearest.0 < 0.2 && nearest.1 < 0.2,
        "the bounds are too wide: draws stay {nearest:?} away"
    );
}

#[test]
fn bands_may_be_in_counts_or_percent_and_missing_figures_are_named() {
    let (mut sketch, _, id) = sprayer();
    let volts = Reader::new(&sketch.project).table(id).unwrap();
    let in_scale = |sketch: &mut Sketch, scale, factor: f64| {
        let pin = sketch.project.sense_pins.get_mut(id).unwrap();
        pin.scale = scale;
        pin.bands =
            bands(&SPRAYER_BANDS.map(|(name, low, high)| (name, low * factor, high * factor)));
        Reader::new(&sketch.project).table(id).unwrap()
    };
    let percents = in_scale(&mut sketch, Scale::Percent, 20.0);
    let counts = in_scale(&mut sketch, Scale::Count, 1023.0 / 5.0);
    for ((volt, percent), count) in volts.rows.iter().zip(&percents.rows).zip(&counts.rows) {
        assert_eq!((percent.verdict, count.verdict), (volt.verdict, volt.verdict));
        let (in_volts, in_percent) =
            (volt.margin.unwrap().value().unwrap(), percent.margin.unwrap().value().unwrap());
        assert!((in_percent - in_volts * 20.0).abs() < 1e-9, "{in_percent} and {in_volts}");
        let scaled = count.scaled.unwrap();
        let (low, nominal, high) = volt.count.unwrap();
        assert_eq!(
            (scaled.low, scaled.nominal, scaled.high),
            (f64::from(low), f64::from(nominal), f64::from(high))
        );
    }
    sketch.project.sense_pins.get_mut(id).unwrap().pull_ohm = None;
    let unknown = Reader::new(&sketch.project).table(id).unwrap();
    for row in &unknown.rows {
        assert_eq!((row.verdict, row.volt, row.scaled, row.count), (None, None, None, None));
        assert!(row.why.contains("the pull resistor is not known"), "{}", row.why);
    }
    assert!(
        unknown
            .findings
            .iter()
            .any(|finding| finding.what.contains("the pull resistor is not known"))
    );
}
