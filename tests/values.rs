//! Best values against brute force, a numpy search and worked figures of the sprayer.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use ohmloom::model::{Expectation, PartId, PartKind, Project, Scale, SensePinId};
use ohmloom::random::Random;
use ohmloom::samples;
use ohmloom::sense::{Measure, NetworkOhm, Reader};
use ohmloom::series::Series;
use ohmloom::study::values::{
    Answer, Bands, Candidate, MarginUnit, Question, Recipe, Single, choose, drawer, from_series,
};
use ohmloom::testing::parallel_ladder;
use ohmloom::units::{Range, Tolerant};

fn named(project: &Project, names: &[&str]) -> Vec<PartId> {
    let find = |name: &&str| project.parts.iter().find(|(_, part)| part.name == **name).unwrap().0;
    names.iter().map(find).collect()
}

fn with_values(project: &Project, parts: &[PartId], values: &[f64], tolerance: f64) -> Project {
    let mut work = project.clone();
    for (part, value) in parts.iter().zip(values) {
        let PartKind::Resistor(resistor) = &mut work.parts.get_mut(*part).unwrap().kind else {
            panic!("not a resistor");
        };
        (resistor.ohm, resistor.tolerance) = (*value, tolerance);
    }
    work
}

/// The worst gap between states that ask for different things, in volts, from the table of a fresh reader.
fn gap(project: &Project, pin: SensePinId) -> f64 {
    let table = Reader::new(project).table(pin).unwrap();
    let rows: Vec<(f64, f64, Vec<String>)> = table
        .rows
        .into_iter()
        .filter(|row| row.asked.len() == 1)
        .map(|row| (row.volt.unwrap().low, row.volt.unwrap().high, row.asked))
        .collect();
    let mut least = f64::INFINITY;
    for (n, one) in rows.iter().enumerate() {
        for other in rows[..n].iter().filter(|other| other.2 != one.2) {
            least = least.min((one.0 - other.1).max(other.0 - one.1));
        }
    }
    least
}

/// The worst margin over all states that ask for one action; minus infinity where one clashes.
fn margin(project: &Project, pin: SensePinId) -> f64 {
    let table = Reader::new(project).table(pin).unwrap();
    table
        .rows
        .iter()
        .map(|row| match row.verdict.unwrap() {
            ohmloom::sense::Verdict::Clash | ohmloom::sense::Verdict::Gap => f64::NEG_INFINITY,
            _ => row.margin.and_then(|margin| margin.value()).unwrap_or(f64::INFINITY),
        })
        .fold(f64::INFINITY, f64::min)
}

fn ask(project: &Project, parts: &[PartId], candidates: Vec<Candidate>, bands: Bands) -> Answer {
    let pin = project.sense_pins.ids().next().unwrap();
    // 100 ppm per kelvin over 60 K, as the resistors of the sample have.
    let question =
        Question { pin, parts: parts.to_vec(), candidates, drift: 0.006, bands, unit: None };
    let answer = choose(project, &question, &mut |_| true).unwrap();
    assert!(answer.is_proven);
    answer
}

/// Worked beforehand for the sprayer with 1 % parts, bands free, pull and end resistor fixed; every
/// cause of the sample counted: the best E24 set is 1.5k, 2.0k, 3.3k with 103 mV between the worst
/// neighbours; 1.5k, 3.0k, 6.2k leaves 67 mV and 1.5k, 2.7k, 5.6k leaves 78 mV.
#[test]
fn the_sprayers_best_e24_set_leaves_103_millivolts() {
    let project = samples::open("sprayer").unwrap();
    let pin = project.sense_pins.ids().next().unwrap();
    let parts = named(&project, &["R1", "R2", "R3"]);
    let candidates = from_series(Series::E24, 100.0, 99e3, 0.01);
    let answer = ask(&project, &parts, candidates.clone(), Bands::Free);
    assert_eq!(answer.unit, MarginUnit::Volt);
    let values: Vec<f64> = answer.best[0].picks.iter().map(|pick| candidates[*pick].ohm).collect();
    assert_eq!(values, [1500.0, 2000.0, 3300.0]);
    let millivolt =
        |values: &[f64]| (gap(&with_values(&project, &parts, values, 0.01), pin) * 1e3).round();
    assert_eq!((answer.best[0].margin * 1e3).round(), 103.0);
    assert_eq!(millivolt(&values), 103.0);
    assert_eq!(millivolt(&[1500.0, 3000.0, 6200.0]), 67.0);
    assert_eq!(millivolt(&[1500.0, 2700.0, 5600.0]), 78.0);
    // All four resistors of the box in 5 %.
    let all = named(&project, &["R1", "R2", "R3", "R4"]);
    let coarse = with_values(&project, &all, &[1500.0, 2000.0, 3300.0, 22e3], 0.05);
    assert_eq!((gap(&coarse, pin) * 1e3).round(), 5.0);
}

#[test]
fn margins_of_the_best_are_those_of_a_fresh_reader() {
    for (name, changing, bands) in [
        ("sprayer", &["R1", "R2", "R3"][..], Bands::Fixed),
        ("sprayer", &["R1", "R2"], Bands::Free),
        ("forwarder", &["R1", "R2", "R3"], Bands::Fixed),
        ("rescue-boat", &["R1", "R2", "R3"], Bands::Fixed),
    ] {
        let project = samples::open(name).unwrap();
        let pin = project.sense_pins.ids().next().unwrap();
        let parts = named(&project, changing);
        let candidates = from_series(Series::E12, 100.0, 22e3, 0.01);
        let answer = ask(&project, &parts, candidates.clone(), bands);
        for choice in &answer.best {
            let values: Vec<f64> = choice.picks.iter().map(|pick| candidates[*pick].ohm).collect();
            let drawn = with_values(&project, &parts, &values, 0.01);
            let want = match bands {
                Bands::Fixed => margin(&drawn, pin),
                Bands::Free => gap(&drawn, pin),
            };
            let near = (choice.margin - want).abs() <= 1e-9 * want.abs().max(1.0);
            assert!(near, "{name} {values:?}: {} is not {want}", choice.margin);
        }
    }
}

/// Switches side by side, every state asked for something of its own, 5 V over 1 kΩ of 1 %.
fn side_by_side(n_switches: u8) -> (Project, SensePinId) {
    let values: Vec<f64> = (0..n_switches).map(|n| 1e3 * f64::from(1u32 << n)).collect();
    let (mut sketch, pin) = parallel_ladder(&values, 22e3);
    let controls: Vec<_> = sketch.project.controls.ids().collect();
    let row = sketch.project.sense_pins.get_mut(pin).unwrap();
    row.pull_ohm = Some(Tolerant { nominal: 1e3, tolerance: 0.01 });
    row.reference_volt = Some(Tolerant { nominal: 5.0, tolerance: 0.0 });
    row.expectations = (0..1u8 << n_switches)
        .map(|state| Expectation {
            when: controls.iter().enumerate().map(|(n, id)| (*id, state >> n & 1)).collect(),
            action: format!("{state}"),
        })
        .collect();
    let end = named(&sketch.project, &["R0"]);
    (with_values(&sketch.project, &end, &[22e3], 0.01), pin)
}

/// The least gap of resistors side by side, by the sum of their siemens and the divider's formula.
fn gap_by_hand(values: &[&Candidate]) -> f64 {
    let mut ends: Vec<(f64, f64)> = (0..1u32 << values.len())
        .map(|state| {
            let volt = |sign: f64| {
                let mut siemens = 1.0 / (22e3 * (1.0 + sign * 0.01));
                for (_, value) in values.iter().enumerate().filter(|(n, _)| state >> n & 1 == 1) {
                    siemens += 1.0 / (value.ohm * (1.0 + sign * value.tolerance));
                }
                5.0 / siemens / (1.0 / siemens + 1e3 * (1.0 - sign * 0.01))
            };
            (volt(-1.0), volt(1.0))
        })
        .collect();
    ends.sort_by(|a, b| (a.0 + a.1).total_cmp(&(b.0 + b.1)));
    let gaps = (1..ends.len()).flat_map(|n| (0..n).map(move |m| (m, n)));
    gaps.map(|(m, n)| ends[n].0 - ends[m].1).fold(f64::INFINITY, f64::min)
}

/// All choices of three and of four resistors, with values of several tolerances, so that a greater
/// value may reach below a lesser one.
#[test]
fn no_choice_is_left_out_wrongly() {
    let mut r = Random::new(29);
    for round in 0..12 {
        let n_parts = 3 + round % 2;
        let (project, pin) = side_by_side(n_parts as u8);
        let mut candidates: Vec<Candidate> = (0..[14, 9][round % 2])
            .map(|_| {
                let ohm = r.decades(300.0, 30e3).round();
                let tolerance = r.pick(&[0.001, 0.01, 0.05, 0.1]);
                Candidate {
                    ohm,
                    tolerance,
                    recipe: Recipe::One(Single { ohm, tolerance }),
                    quantity: None,
                }
            })
            .collect();
        // In no order, and one value twice with another tolerance.
        candidates.push(Candidate { tolerance: 0.02, ..candidates[0] });
        let n = candidates.len();
        let mut want: Vec<(f64, Vec<usize>)> = (0..n.pow(n_parts as u32))
            .map(|code| (0..n_parts).map(|part| code / n.pow(part as u32) % n).collect())
            .map(|picks: Vec<usize>| {
                let values: Vec<&Candidate> = picks.iter().map(|pick| &candidates[*pick]).collect();
                let margin = gap_by_hand(&values);
                let mut picks = picks;
                picks.sort_unstable();
                (margin, picks)
            })
            .collect();
        want.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        want.dedup_by(|a, b| a.1 == b.1);
        let parts = named(&project, &["R1", "R2", "R3", "R4"][..n_parts]);
        let question =
            Question { pin, parts, candidates, drift: 0.0, bands: Bands::Free, unit: None };
        let answer = choose(&project, &question, &mut |_| true).unwrap();
        assert!(answer.is_proven && answer.best.len() == 10);
        for (choice, (margin, picks)) in answer.best.iter().zip(&want) {
            let mut found = choice.picks.clone();
            found.sort_unstable();
            let is_near = (choice.margin - margin).abs() < 1e-9;
            assert!(is_near, "round {round}: {found:?} {} {picks:?} {margin}", choice.margin);
        }
    }
}

/// Answers of `tests/data/best_values.py`, which tries all choices with numpy and shares no code.
#[test]
fn a_search_by_numpy_finds_the_same_ten() {
    let (project, pin) = side_by_side(3);
    let parts = named(&project, &["R1", "R2", "R3"]);
    let candidates = from_series(Series::E12, 100.0, 82e3, 0.02);
    let question = Question { pin, parts, candidates, drift: 0.0, bands: Bands::Free, unit: None };
    let answer = choose(&project, &question, &mut |_| true).unwrap();
    let mut reader = csv::Reader::from_path(
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/best_values.csv"),
    )
    .unwrap();
    let want: Vec<Vec<f64>> = reader
        .records()
        .map(|record| record.unwrap().iter().map(|field| field.parse().unwrap()).collect())
        .collect();
    assert_eq!((want.len(), answer.best.len()), (10, 10));
    for (choice, want) in answer.best.iter().zip(&want) {
        let mut values: Vec<f64> =
            choice.picks.iter().map(|pick| question.candidates[*pick].ohm).collect();
        values.sort_by(f64::total_cmp);
        assert!((choice.margin - want[3]).abs() < 1e-8, "{values:?} {} {want:?}", choice.margin);
        assert_eq!(values, want[..3], "{}", choice.margin);
    }
}

/// All choices tried one by one with a fresh reader each.
fn brute(project: &Project, parts: &[PartId], list: &[Candidate], bands: Bands) -> f64 {
    let pin = project.sense_pins.ids().next().unwrap();
    let mut best = f64::NEG_INFINITY;
    let mut picks = vec![0; parts.len()];
    loop {
        let values: Vec<f64> = picks.iter().map(|pick: &usize| list[*pick].ohm).collect();
        let drawn = with_values(project, parts, &values, 0.01);
        best = best.max(match bands {
            Bands::Fixed => margin(&drawn, pin),
            Bands::Free => gap(&drawn, pin),
        });
        let Some(at) = (0..picks.len()).find(|at| picks[*at] + 1 < list.len()) else { return best };
        picks[at] += 1;
        picks[..at].fill(0);
    }
}

#[test]
fn brute_force_finds_nothing_better() {
    let mut r = Random::new(3);
    let list =
        drawer("220 x9, 470 x9, 1k x9, 1k5 x9, 2k2 x9, 3k3 x9, 6k8 x9, 15k x9", 0.01).unwrap();
    for name in ["sprayer", "forwarder", "rescue-boat"] {
        let project = samples::open(name).unwrap();
        for bands in [Bands::Free, Bands::Fixed] {
            if bands == Bands::Free && name == "forwarder" {
                // Its pull is not known, so there are no volts to compare.
                continue;
            }
            let names = [["R1", "R2"], ["R2", "R3"], ["R1", "R3"]][r.below(3)];
            let parts = named(&project, &names);
            let answer = ask(&project, &parts, list.clone(), bands);
            let want = brute(&project, &parts, &list, bands);
            let got = answer.best.first().map_or(f64::NEG_INFINITY, |choice| choice.margin);
            assert!(got == want || (got - want).abs() < 1e-9, "{name} {bands:?}: {got}, {want}");
        }
    }
}

#[test]
fn a_drawer_with_one_of_each_gives_no_value_twice() {
    let project = samples::open("sprayer").unwrap();
    let parts = named(&project, &["R1", "R2", "R3"]);
    let list = drawer("1k5, 2k, 3k3, 4k7", 0.01).unwrap();
    let answer = ask(&project, &parts, list.clone(), Bands::Free);
    for choice in &answer.best {
        let mut picks = choice.picks.clone();
        picks.sort_unstable();
        picks.dedup();
        assert_eq!(picks.len(), 3);
    }
    assert_eq!(answer.best.len(), 4);
}

/// Two of one value in two tolerances are two kinds: one of each does not make two of the better.
#[test]
fn the_drawer_is_counted_by_value_and_tolerance() {
    let project = samples::open("sprayer").unwrap();
    let parts = named(&project, &["R1", "R2"]);
    let list = drawer("2k 1% x1, 2k 10% x9, 1k5 1% x9", 0.01).unwrap();
    let answer = ask(&project, &parts, list.clone(), Bands::Free);
    for choice in &answer.best {
        let fine = choice
            .picks
            .iter()
            .filter(|pick| list[**pick].ohm == 2000.0 && list[**pick].tolerance == 0.01);
        assert!(fine.count() <= 1, "{choice:?}");
    }
    assert!(!answer.best.is_empty());
}

#[test]
fn a_search_that_is_stopped_says_so_and_keeps_what_it_has() {
    let project = samples::open("sprayer").unwrap();
    let pin = project.sense_pins.ids().next().unwrap();
    let parts = named(&project, &["R1", "R2", "R3", "R4"]);
    let candidates = from_series(Series::E24, 100.0, 99e3, 0.01);
    let question = Question { pin, parts, candidates, drift: 0.0, bands: Bands::Free, unit: None };
    let mut asked = 0;
    let answer = choose(&project, &question, &mut |_| {
        asked += 1;
        asked < 3
    });
    let answer = answer.unwrap();
    assert!(!answer.is_proven && asked == 3);
    assert!(!answer.best.is_empty() && answer.bound >= answer.best[0].margin);
}

/// The short way to the ends of the volts agrees with all corners, for any pin.
#[test]
fn volts_at_the_ends_are_those_of_all_corners() {
    let mut r = Random::new(17);
    for _ in 0..2000 {
        let mut project = samples::open(["sprayer", "rescue-boat", "railcar"][r.below(3)]).unwrap();
        let pin = project.sense_pins.ids().next().unwrap();
        let row = project.sense_pins.get_mut(pin).unwrap();
        row.leak_low_ohm = r.maybe(|r| r.decades(1e3, 1e6));
        row.ground_offset_volt = r.between(0.0, 0.3);
        row.scale = r.pick(&[Scale::Ohm, Scale::Volt, Scale::Percent]);
        if let Some(converter) = &mut row.converter {
            converter.error_count = r.between(0.0, 9.0);
        }
        let measure = Measure::new(&project, project.sense_pins.get(pin).unwrap());
        let low = r.decades(1.0, 1e5);
        let high = if r.once_in(9) { f64::INFINITY } else { low * r.between(1.0, 1.5) };
        let worst = Range { low, nominal: (low * high).sqrt(), high };
        let want = measure.reading(&NetworkOhm { worst, bench: (low, high) }).volt.unwrap();
        let (least, most) = measure.volt_ends(low, high).unwrap();
        assert!((least - want.low).abs() < 1e-12, "{least} {want:?}");
        assert!((most - want.high).abs() < 1e-12, "{most} {want:?}");
        let scaled = measure.reading(&NetworkOhm { worst, bench: (low, high) }).scaled.unwrap();
        let short = measure.scaled_range(&worst).unwrap();
        for (got, want) in
            [(short.low, scaled.low), (short.nominal, scaled.nominal), (short.high, scaled.high)]
        {
            assert!(got == want || (got - want).abs() < 1e-9, "{short:?} {scaled:?}");
        }
        let fraction = |ohm: f64| if ohm.is_finite() { [ohm, 1.0] } else { [1.0, 0.0] };
        let ends = measure.ends().unwrap();
        let (bound_low, bound_high) = ends.volts_apart(fraction(low), fraction(high));
        assert!(bound_low >= least && bound_high <= most, "what no choice exceeds is no bound");
    }
}

/// Logarithm of the ohms a divider of 1 kΩ to 5 V usually reads at these volts, by its formula.
fn ratio_by_hand(volt: f64) -> f64 {
    if volt >= 5.0 { f64::INFINITY } else { (1e3 * volt / (5.0 - volt)).ln() }
}

/// All choices tried with a fresh reader; gaps and margins turned into each unit by hand.
#[test]
fn margins_in_volts_counts_and_percent_are_those_by_hand() {
    let project = samples::open("sprayer").unwrap();
    let pin = project.sense_pins.ids().next().unwrap();
    let parts = named(&project, &["R1", "R2"]);
    let list = drawer("1k x9, 1k2 x9, 1k5 x9, 1k8 x9, 2k x9, 2k4 x9", 0.01).unwrap();
    for (unit, of_volt) in [
        (MarginUnit::Volt, &(|volt| volt) as &dyn Fn(f64) -> f64),
        (MarginUnit::Count, &|volt| volt / 5.0 * 1023.0),
        (MarginUnit::Ratio, &ratio_by_hand),
    ] {
        for bands in [Bands::Free, Bands::Fixed] {
            let question = Question {
                pin,
                parts: parts.clone(),
                candidates: list.clone(),
                drift: 0.006,
                bands,
                unit: Some(unit),
            };
            let answer = choose(&project, &question, &mut |_| true).unwrap();
            assert!(answer.is_proven && answer.unit == unit);
            let by_hand = |picks: [usize; 2]| {
                let values = picks.map(|pick| list[pick].ohm);
                let drawn = with_values(&project, &parts, &values, 0.01);
                match bands {
                    Bands::Free => gap_along(&drawn, pin, of_volt),
                    Bands::Fixed => margin_along(&drawn, pin, of_volt),
                }
            };
            let mut all: Vec<f64> = (0..36).map(|code| by_hand([code / 6, code % 6])).collect();
            all.sort_by(|a, b| b.total_cmp(a));
            let got = answer.best[0].margin;
            assert!((got - all[0]).abs() < 1e-9, "{unit:?} {bands:?}: {got}, {}", all[0]);
            for choice in &answer.best {
                let want = by_hand([choice.picks[0], choice.picks[1]]);
                assert!(
                    (choice.margin - want).abs() < 1e-9,
                    "{unit:?} {bands:?}: {choice:?} {want}"
                );
            }
        }
    }
}

fn gap_along(project: &Project, pin: SensePinId, of_volt: &dyn Fn(f64) -> f64) -> f64 {
    let table = Reader::new(project).table(pin).unwrap();
    let mut ends: Vec<(f64, f64)> = table
        .rows
        .iter()
        .map(|row| (of_volt(row.volt.unwrap().low), of_volt(row.volt.unwrap().high)))
        .collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    ends.windows(2).map(|pair| pair[1].0 - pair[0].1).fold(f64::INFINITY, f64::min)
}

/// Every state of the sample asks for the one band of its name.
fn margin_along(project: &Project, pin: SensePinId, of_volt: &dyn Fn(f64) -> f64) -> f64 {
    let bands = &project.sense_pins.get(pin).unwrap().bands;
    let table = Reader::new(project).table(pin).unwrap();
    let margin = |row: &ohmloom::sense::StateRow| {
        let band = bands.iter().find(|band| band.name == row.asked[0]).unwrap();
        let (volt, high) = (row.volt.unwrap(), band.high.unwrap());
        if volt.nominal < band.low || volt.nominal > high {
            return f64::NEG_INFINITY;
        }
        let below = of_volt(volt.low) - of_volt(band.low);
        below.min(of_volt(high) - of_volt(volt.high))
    };
    table.rows.iter().map(margin).fold(f64::INFINITY, f64::min)
}

/// Bands in ohms on the supply side, where volts fall as ohms grow: in percent of the ohms the best
/// choice is the best of all by the edges' own ratios, and volts are refused while the pull is not
/// known, with the reason.
#[test]
fn bands_in_ohms_are_compared_by_ratio_and_in_volts_where_the_pull_is_known() {
    let mut project = samples::open("forwarder").unwrap();
    let pin = project.sense_pins.ids().next().unwrap();
    let parts = named(&project, &["R1", "R2"]);
    // Around the values of the drawing, which work.
    let drawn = |part: &PartId| project.parts.get(*part).unwrap().kind.resistor().unwrap().ohm;
    let near = |ohm: f64| [0.9, 0.97, 1.0, 1.03, 1.1].map(|factor| ohm * factor);
    let list: Vec<Candidate> = parts
        .iter()
        .flat_map(|part| near(drawn(part)))
        .map(|ohm| {
            let recipe = Recipe::One(Single { ohm, tolerance: 0.01 });
            Candidate { ohm, tolerance: 0.01, recipe, quantity: None }
        })
        .collect();
    let ask = |project: &Project, unit| {
        let (parts, candidates) = (parts.clone(), list.clone());
        let question = Question { pin, parts, candidates, drift: 0.006, bands: Bands::Fixed, unit };
        choose(project, &question, &mut |_| true)
    };
    let refused = ask(&project, Some(MarginUnit::Volt)).unwrap_err();
    assert_eq!(refused, "pull or reference is not known, so margins cannot be reckoned in volts");
    let in_ohms = ask(&project, None).unwrap();
    assert_eq!(in_ohms.unit, MarginUnit::Scale);
    assert!(in_ohms.best[0].margin > 0.0);
    for choice in &ask(&project, Some(MarginUnit::Ratio)).unwrap().best {
        let values: Vec<f64> = choice.picks.iter().map(|pick| list[*pick].ohm).collect();
        let drawn = with_values(&project, &parts, &values, 0.01);
        // A margin on one axis has the sign of that on the other.
        assert_eq!(choice.margin > 0.0, margin(&drawn, pin) > 0.0, "{values:?}");
    }
    let row = project.sense_pins.get_mut(pin).unwrap();
    row.pull_ohm = Some(Tolerant { nominal: 2.2e3, tolerance: 0.01 });
    row.reference_volt = Some(Tolerant { nominal: 5.0, tolerance: 0.0 });
    let in_volts = ask(&project, Some(MarginUnit::Volt)).unwrap();
    assert_eq!(in_volts.best[0].margin > 0.0, in_ohms.best[0].margin > 0.0);
}
