//! Published one-pin decodes: keys over one converter input, counts and thresholds as printed.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::collections::BTreeMap;

use ohmloom::model::{
    Band, BandRole, ContactForm, Converter, FullScale, Harm, Scale, SensePin, SensePinId, State,
};
use ohmloom::sense::{Measure, Reader, Verdict};
use ohmloom::testing::{Sketch, at, expectation, parallel_ladder};
use ohmloom::units::Tolerant;

/// Rows of the table by their identity: inputs, what was printed, what was recomputed.
fn rows() -> BTreeMap<String, [String; 3]> {
    let text = include_str!("data/worked_examples.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader
        .records()
        .map(|row| {
            let row = row.unwrap();
            (row[0].to_owned(), [2, 3, 4].map(|field: usize| row[field].to_owned()))
        })
        .collect()
}

/// A pin that pulls up to 5 V and converts with 10 bits, its greatest count one below the reference,
/// as both articles reckon: counts are 1024 times the share of the reference.
fn ten_bits(row: &mut SensePin, pull_ohm: f64, edges: &[(String, f64, f64)]) {
    row.pull_ohm = Some(Tolerant { nominal: pull_ohm, tolerance: 0.0 });
    row.reference_volt = Some(Tolerant { nominal: 5.0, tolerance: 0.0 });
    row.scale = Scale::Count;
    row.converter = Some(Converter { max_count: 1023, error_count: 0.0 });
    row.full_scale = Some(FullScale::Ratiometric { volt: 5.0 * 1023.0 / 1024.0 });
    row.bands = edges
        .iter()
        .map(|(name, low, high)| Band {
            name: name.clone(),
            role: BandRole::Action,
            low: *low,
            high: Some(*high),
            harm: Harm::Nuisance,
        })
        .collect();
}

fn count(sketch: &Sketch, pin: SensePinId, state: &State) -> (u32, Option<Verdict>) {
    let row = Reader::new(&sketch.project).row(pin, state).unwrap();
    (row.count.unwrap().1, row.verdict)
}

/// H. Wallace, One-Pin Keypad Features Low Component Count, Electronic Design, 26 May 2003: a
/// resistor for each of eight keys, pull-up 10 kΩ, 10 bits, eight equal bins with each key in the
/// middle of its own. Key 1 is printed with 2308 Ω; the others follow from the printed formula.
#[test]
fn a_keypad_of_eight_equal_bins_reads_in_the_middle_of_each() {
    let table = rows();
    let published: Vec<(u32, f64, f64)> = [1, 2, 4, 5, 7]
        .into_iter()
        .map(|key| {
            let [_, _, recomputed] = &table[&format!("ADC-W-{key}")];
            let figure = |name: &str| -> f64 {
                let rest = &recomputed[recomputed.find(name).unwrap() + name.len()..];
                rest.split(',').next().unwrap().parse().unwrap()
            };
            (key, figure("X="), figure("R="))
        })
        .collect();
    // Key 0 reads 64 by the same formula; all eight are drawn.
    let ohm = |count: f64| 10_000.0 * count / (1024.0 - count);
    let middles: Vec<f64> = (0..8).map(|key| 64.0 + 128.0 * f64::from(key)).collect();
    let values: Vec<f64> = middles.iter().map(|count| ohm(*count)).collect();
    let (mut sketch, pin) = parallel_ladder(&values, 1e12);
    let edges: Vec<(String, f64, f64)> = (0..8)
        .map(|key| {
            let low = 128.0 * f64::from(key);
            (format!("key {key}"), low, low + 127.0)
        })
        .collect();
    let controls: Vec<_> = sketch.project.controls.ids().collect();
    let row = sketch.project.sense_pins.get_mut(pin).unwrap();
    ten_bits(row, 10_000.0, &edges);
    row.expectations = controls
        .iter()
        .enumerate()
        .map(|(key, control)| expectation(&[(*control, 1)], &format!("key {key}")))
        .collect();
    let measure = Measure::new(&sketch.project, sketch.project.sense_pins.get(pin).unwrap());
    for (key, middle, published_ohm) in published {
        let at_key = key as usize;
        assert!((values[at_key] - published_ohm).abs() < 0.006, "key {key}");
        let (count, verdict) = count(&sketch, pin, &State([(controls[at_key], 1)].into()));
        assert_eq!((f64::from(count), verdict), (middle, Some(Verdict::Ok)), "key {key}");
        // And back: what resistance reads the middle of the bin.
        let back = measure.ohm_at(middle).unwrap();
        assert!((back - published_ohm).abs() < 0.006, "key {key}: {back}");
    }
    assert_eq!(table["ADC-W-1"][1], "2308 ohm printed");
    assert_eq!(values[1].round(), 2308.0);
}

/// 'Pushing ADC limits with the perfect multi-button input resistor ladder', 19 July 2018: equal
/// 1 kΩ in series with a pull-up of 1 kΩ, five keys, 10 bits; ideal counts and the thresholds half
/// way between them, rounded half up.
#[test]
fn a_ladder_of_equal_resistors_reads_the_printed_counts_and_thresholds() {
    let [_, _, recomputed] = &rows()["ADC-L"];
    let numbers = |text: &str| -> Vec<f64> {
        let list = text.trim().trim_start_matches("midpoints").split(',');
        list.map(|number| number.trim().parse().unwrap()).collect()
    };
    let (counts, thresholds) = recomputed.split_once(';').unwrap();
    let (counts, thresholds) = (numbers(counts), numbers(thresholds));
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let mut node = at(controller, 0);
    let mut controls = Vec::new();
    for key in 0..5 {
        let contact = sketch.contact(&format!("S{key}"), ContactForm::NormallyOpen);
        sketch.wire(node, at(contact, 0));
        sketch.wire(at(contact, 1), at(controller, 1));
        controls.push(sketch.control(&format!("key {key}"), contact, 2));
        if key < 4 {
            let next = at(sketch.splice(&format!("SP{key}")), 0);
            sketch.resistor_between(&format!("R{key}"), 1000.0, node, next);
            node = next;
        }
    }
    let pin = sketch.pin(at(controller, 0), at(controller, 1));
    let lower: Vec<f64> = std::iter::once(0.0).chain(thresholds.iter().copied()).collect();
    let edges: Vec<(String, f64, f64)> =
        (0..5).map(|key| (format!("key {key}"), lower[key], lower[key + 1] - 1.0)).collect();
    let row = sketch.project.sense_pins.get_mut(pin).unwrap();
    ten_bits(row, 1000.0, &edges);
    row.expectations = controls
        .iter()
        .enumerate()
        .map(|(key, control)| expectation(&[(*control, 1)], &format!("key {key}")))
        .collect();
    for (key, control) in controls.iter().enumerate() {
        let (count, verdict) = count(&sketch, pin, &State([(*control, 1)].into()));
        assert_eq!(f64::from(count), counts[key], "key {key}");
        assert_eq!(verdict, Some(Verdict::Ok), "key {key}");
    }
    // The thresholds are half way from count to count; above the last key it is the open line, at the greatest count.
    let ideal: Vec<f64> =
        (0..5).map(|key| 1024.0 * f64::from(key) / (f64::from(key) + 1.0)).collect();
    let above: Vec<f64> = ideal[1..].iter().copied().chain([1023.0]).collect();
    for (key, threshold) in thresholds.iter().enumerate() {
        let middle = ideal[key].round().midpoint(above[key].round());
        assert_eq!((middle + 0.5).floor(), *threshold, "above key {key}");
    }
}
