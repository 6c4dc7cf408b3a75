//! The sample machines read and are cut as worked out beforehand, from the files as shipped.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::collections::BTreeMap;

use ohmloom::cutting::cut_list;
use ohmloom::model::{ControlId, PartKind, Project, SensePinId, State};
use ohmloom::samples;
use ohmloom::sense::{PinTable, Reader, StateRow, Verdict};

fn open(name: &str) -> (Project, SensePinId) {
    let project = samples::open(name).unwrap_or_else(|| panic!("{name} cannot be read"));
    let pin = project.sense_pins.ids().next().unwrap();
    (project, pin)
}

fn table(project: &Project, pin: SensePinId) -> PinTable {
    let table = Reader::new(project).table(pin).unwrap();
    assert!(table.findings.is_empty(), "{:?}", table.findings);
    table
}

/// Controls by name with the names of their positions, for states written in words.
fn state(project: &Project, words: &[(&str, &str)]) -> State {
    let mut state = BTreeMap::new();
    for (name, position) in words {
        let (id, control) = project.controls.iter().find(|(_, c)| c.name == *name).unwrap();
        let idx = control.positions.iter().position(|p| p.name == *position);
        state.insert(id, u8::try_from(idx.unwrap_or_else(|| panic!("{name} {position}"))).unwrap());
    }
    State(state)
}

fn band_name(project: &Project, pin: SensePinId, row: &StateRow) -> String {
    let bands = &project.sense_pins.get(pin).unwrap().bands;
    row.band.map_or_else(String::new, |idx| bands[idx].name.clone())
}

/// Positions away from rest in one row.
fn n_moved(project: &Project, row: &StateRow) -> usize {
    let away = |(id, position): (&ControlId, &u8)| {
        project.controls.get(*id).is_some_and(|control| control.rest != *position)
    };
    row.state.0.iter().filter(|pair| away(*pair)).count()
}

/// Printed with as many decimals as the reference, the two are the same.
fn printed(got: f64, want: &str, what: &str) {
    let decimals = want.split_once('.').map_or(0, |(_, rest)| rest.len());
    assert_eq!(format!("{got:.decimals$}"), want, "{what}");
}

#[test]
fn the_forwarder_reads_by_the_rule_of_parallel_resistors() {
    let (project, pin) = open("forwarder");
    let reader = Reader::new(&project);
    // 1 / (1/6810 + 1/1210) and so on, worked out with exact fractions by another program.
    for (gate, lever, up, down, ohm, band, asked) in [
        ("AUTO", "centre", "off", "off", f64::INFINITY, "AUTO (open)", &["AUTO (open)"][..]),
        ("AUTO", "centre", "off", "on", 3480.0, "", &[]),
        ("AUTO", "centre", "on", "off", 1210.0, "", &[]),
        ("AUTO", "centre", "on", "on", 897.8252, "", &[]),
        ("HOLD", "centre", "off", "off", 6810.0, "HOLD", &["HOLD"]),
        ("HOLD", "centre", "off", "on", 2303.0904, "DOWN", &["DOWN"]),
        ("HOLD", "centre", "on", "off", 1027.4439, "UP", &["UP"]),
        ("HOLD", "fore (UP)", "off", "off", 1027.4439, "UP", &["UP"]),
        ("HOLD", "aft (DOWN)", "off", "off", 2303.0904, "DOWN", &["DOWN"]),
        ("HOLD", "fore (UP)", "on", "off", 1027.4439, "UP", &["UP"]),
        ("HOLD", "fore (UP)", "off", "on", 793.2444, "", &["DOWN", "UP"]),
        ("HOLD", "centre", "on", "on", 793.2444, "", &["DOWN", "UP"]),
    ] {
        let words = [("Gate", gate), ("Lever", lever), ("Rim UP", up), ("Rim DOWN", down)];
        let row = reader.row(pin, &state(&project, &words)).unwrap();
        let got = (row.ohm.nominal * 1e4).round() / 1e4;
        assert_eq!(got, ohm, "{words:?}");
        assert_eq!(band_name(&project, pin, &row), band, "{words:?}");
        let mut names = row.asked.clone();
        names.sort();
        assert_eq!(names, asked, "{words:?}");
        assert_eq!(row.verdict, Some(Verdict::Ok), "{words:?} {}", row.why);
    }
}

#[test]
fn the_forwarder_has_sixteen_states_and_none_is_wrong() {
    let (project, pin) = open("forwarder");
    let table = table(&project, pin);
    // Gate, lever (needs the gate in HOLD) and two buttons: (1 + 3) x 2 x 2; the neutral loop
    // is no matter of this pin.
    assert_eq!(table.rows.len(), 16);
    for row in &table.rows {
        assert_eq!(row.verdict, Some(Verdict::Ok), "{}", row.why);
    }
}

#[test]
fn a_wrong_resistor_in_the_forwarder_makes_the_table_red() {
    let (mut project, pin) = open("forwarder");
    let id = project.parts.iter().find(|(_, part)| part.name == "R3").unwrap().0;
    let PartKind::Resistor(resistor) = &mut project.parts.get_mut(id).unwrap().kind else {
        panic!("R3 is a resistor");
    };
    resistor.ohm = 3480.0;
    let wrong = table(&project, pin);
    let clashes = wrong.rows.iter().filter(|row| row.verdict == Some(Verdict::Clash)).count();
    assert!(clashes >= 2, "{clashes}");
}

#[test]
fn the_sprayer_file_reads_as_worked_out_beforehand() {
    let (project, pin) = open("sprayer");
    let table = table(&project, pin);
    assert_eq!(table.rows.len(), 8);
    let mut seen = 0;
    for line in include_str!("data/sprayer_readings.csv").lines().skip(1) {
        let field: Vec<&str> = line.split(',').collect();
        let (name, closed) = (field[0], field[1]);
        let words: Vec<(&str, &str)> = [("LEFT", "L"), ("CENTRE", "C"), ("RIGHT", "R")]
            .map(|(control, letter)| {
                let on = closed.split(' ').any(|closed| closed == letter);
                (control, if on { "on" } else { "off" })
            })
            .to_vec();
        let at = state(&project, &words);
        let row = table.rows.iter().find(|row| row.state == at).unwrap();
        let (volt, count, margin) = (row.volt.unwrap(), row.count.unwrap(), row.margin.unwrap());
        for (column, got) in [
            (2, row.ohm.nominal),
            (3, row.bench_ohm.0),
            (4, row.bench_ohm.1),
            (5, volt.nominal),
            (7, volt.low),
            (8, volt.high),
            (11, margin.below.unwrap()),
            (12, margin.above.unwrap()),
        ] {
            printed(got, field[column], &format!("{name}, column {column}"));
        }
        let counts = [count.1, count.0, count.2].map(|n| n.to_string());
        assert_eq!(counts, [field[6], field[9], field[10]], "{name}");
        assert_eq!(row.verdict, Some(Verdict::Ok), "{name}: {}", row.why);
        assert_eq!(band_name(&project, pin, row), name);
        seen += 1;
    }
    assert_eq!(seen, 8);
}

#[test]
fn the_nearest_button_of_the_rescue_boat_wins_and_all_are_right() {
    let (project, pin) = open("rescue-boat");
    let table = table(&project, pin);
    assert_eq!(table.rows.len(), 64);
    let order = ["HOME", "LEFT", "RIGHT", "FLOOD"];
    for row in &table.rows {
        assert_eq!(row.verdict, Some(Verdict::Ok), "{}", row.why);
        let nearest = order.iter().find(|action| row.asked.iter().any(|asked| asked == *action));
        assert_eq!(band_name(&project, pin, row), *nearest.unwrap_or(&"IDLE"));
    }
    // Sums of the chain from the pin: 470, 470 + 820, ... and 0.8 ohm of wire.
    let reader = Reader::new(&project);
    for (button, ohm) in
        [("HOME", 470.8), ("LEFT aft", 1290.8), ("RIGHT helm", 2790.8), ("FLOOD", 6090.8)]
    {
        let row = reader.row(pin, &state(&project, &[(button, "on")])).unwrap();
        assert!((row.ohm.nominal - ohm).abs() < 1e-9, "{button} {}", row.ohm.nominal);
    }
    assert!((reader.row(pin, &State::rest()).unwrap().ohm.nominal - 16090.8).abs() < 1e-9);
}

/// Clashing rows by the number of buttons held.
fn clashes(name: &str) -> BTreeMap<usize, usize> {
    let (project, pin) = open(name);
    let table = table(&project, pin);
    // Eight buttons; the desk keys are in loops of their own.
    assert_eq!(table.rows.len(), 256, "{name}");
    let mut counts = BTreeMap::new();
    for row in table.rows.iter().filter(|row| row.verdict == Some(Verdict::Clash)) {
        *counts.entry(n_moved(&project, row)).or_insert(0) += 1;
    }
    counts
}

#[test]
fn the_railcar_is_right_for_single_buttons_and_its_first_attempt_clashes_with_two() {
    // Worked out with exact fractions by another program.
    assert_eq!(clashes("railcar"), BTreeMap::from([(3, 4), (4, 6), (5, 4), (6, 1)]));
    assert_eq!(
        clashes("railcar-first-attempt"),
        BTreeMap::from([(2, 2), (3, 6), (4, 11), (5, 6), (6, 1)])
    );
    let (project, pin) = open("railcar");
    for row in table(&project, pin).rows.iter().filter(|row| n_moved(&project, row) < 2) {
        assert_eq!(row.verdict, Some(Verdict::Ok), "{}", row.why);
        assert_eq!(row.asked, [band_name(&project, pin, row)]);
    }
}

#[test]
fn every_harness_wire_is_listed_with_its_ends_colour_route_and_cut_length() {
    let mut rows: BTreeMap<String, Vec<Vec<String>>> = BTreeMap::new();
    let text = include_str!("data/sample_cut_lengths.csv");
    for record in csv::Reader::from_reader(text.as_bytes()).records() {
        let record = record.unwrap();
        let fields: Vec<String> = record.iter().skip(1).take(10).map(str::to_owned).collect();
        rows.entry(record[0].to_owned()).or_default().push(fields);
    }
    assert_eq!(rows.len(), 4);
    for (name, want) in rows {
        let (project, _) = open(&name);
        let list = cut_list(&project);
        assert!(list.findings.is_empty(), "{name}: {:?}", list.findings);
        let got: Vec<Vec<String>> = list
            .rows
            .iter()
            .map(|row| {
                let mut route = row.route.clone();
                route.sort();
                vec![
                    row.name.clone(),
                    row.circuit.clone(),
                    row.from.clone(),
                    row.to.clone(),
                    row.size.area_mm2().to_string(),
                    row.colour.text(),
                    route.join(" + "),
                    row.routed_mm.unwrap().to_string(),
                    row.allowance_mm.unwrap().to_string(),
                    row.cut_mm.unwrap().to_string(),
                ]
            })
            .collect();
        let want: Vec<Vec<String>> = want
            .into_iter()
            .map(|mut fields| {
                fields[4] = fields[4].parse::<f64>().unwrap().to_string();
                let mut runs: Vec<&str> = fields[6].split(" + ").collect();
                runs.sort_unstable();
                fields[6] = runs.join(" + ");
                fields
            })
            .collect();
        assert_eq!(got, want, "{name}");
    }
}

#[test]
fn a_small_term_of_a_sum_is_not_rounded_away() {
    let (project, pin) = open("sprayer");
    // All three toggles off: the end-of-line resistor and the wire loop, 22000 + 0.6.
    let lines = Reader::new(&project).working(pin, &State::rest());
    assert_eq!(lines.first().map(String::as_str), Some("R4 + loop = 22k + 0.6 = 22.0006k"));
}

/// The boat's chain as it was built, resistor by resistor within one percent, with so many ohms in
/// each contact: what the pin reads with these buttons pressed. Worked along the chain from its end.
fn boat_ohm(pressed: &dyn Fn(&str) -> bool, more: &dyn Fn(&str) -> f64) -> f64 {
    let beside = |a: f64, b: f64| 1.0 / (1.0 / a + 1.0 / b);
    // Resistor before the tap, and the buttons that join the tap to the return.
    let chain: [(f64, &[&str]); 4] = [
        (471.3, &["HOME on"]),
        (822.1, &["LEFT helm on", "LEFT aft on"]),
        (1494.8, &["RIGHT helm on", "RIGHT aft on"]),
        (3309.0, &["FLOOD on"]),
    ];
    chain.iter().rev().fold(10_043.0, |rest, (ohm, buttons)| {
        let contacts = buttons.iter().filter(|name| pressed(name));
        ohm + contacts.fold(rest, |sum, name| beside(sum, 0.4 + more(name)))
    })
}

/// Both rounds of the boat are what its chain reads, within the last digit; what has aged is found.
#[test]
fn the_rescue_boats_rounds_tell_which_contact_has_aged() {
    use ohmloom::model::Shown;
    use ohmloom::proving::plan::{StepKind, judge, plan};
    use ohmloom::proving::wear::{likely_rounds, wear};
    use ohmloom::proving::{Standing, Tally, standing};
    let project = samples::open("rescue-boat").unwrap();
    let plan = plan(&project, &|| true).unwrap();
    let (then, now) = likely_rounds(&project).unwrap();
    let (then, now) = (project.bench_runs.get(then).unwrap(), project.bench_runs.get(now).unwrap());
    assert!(then.is_hand_over && then.date < now.date);
    for (run, aged) in [(then, 0.0), (now, 42.0)] {
        let mut n = 0;
        for step in plan.steps.iter().filter(|step| step.kind == StepKind::Ohms) {
            let Some(reading) = run.readings.get(&step.key) else { continue };
            let Some(Shown::Ohm(ohm)) = reading.shown else { panic!("{}", step.title) };
            let pressed = |name: &str| step.title.contains(name);
            let more = |name: &str| if name == "LEFT helm on" { aged } else { 0.0 };
            let by_hand = boat_ohm(&pressed, &more);
            // The other contacts have gathered less than one ohm.
            let off = (ohm - by_hand).abs();
            assert!(off <= reading.last_digit + 1.0, "{}: {ohm} {by_hand}", step.title);
            assert!(judge(step, Shown::Ohm(ohm), reading.last_digit).is_good(), "{}", step.title);
            n += 1;
        }
        assert_eq!(n, 22, "rest, six buttons, fifteen pairs");
        assert_eq!(Tally::of(&plan, run).orphans, 0);
    }
    // One branch was measured before its run was changed.
    let stale: Vec<&str> = plan
        .steps
        .iter()
        .filter(|step| standing(step, then.readings.get(&step.key)) == Standing::Stale)
        .map(|step| step.title.as_str())
        .collect();
    assert!(matches!(stale[..], [one] if one.starts_with("branch S3")), "{stale:?}");
    let found = wear(&project, &plan, (then, now), &|| true).unwrap();
    let [found] = found.as_slice() else { panic!("one pin") };
    assert!(found.is_aged() && found.pairs.len() == 22, "{}", found.words());
    let first = &found.places[0];
    assert!(first.at.iter().any(|at| at == "contact S2"), "{first:?}");
    assert!((first.more_ohm - 42.0).abs() < 2.0, "{first:?}");
    assert!(first.years_left.is_some_and(|years| years > 0.0), "{first:?}");
}
