//! The same from the same seed, readings against papers worked out beforehand, what is rounded away.

use super::*;
use crate::proving::diagnose::Expected;
use crate::samples;

fn sprayer() -> (Project, Inquiry) {
    let project = samples::open("sprayer").unwrap();
    let pin = project.sense_pins.ids().next().unwrap();
    let inquiry = Inquiry::new(&project, pin, &|| true).unwrap();
    (project, inquiry)
}

#[test]
fn the_same_seed_hides_the_same_fault_and_reads_the_same() {
    let (project, inquiry) = sprayer();
    let hide = |seed| Practice::hide(&project, &inquiry, seed, &|| true).unwrap();
    let (one, again, other) = (hide(3), hide(3), hide(4));
    assert_eq!(one.answer(), again.answer());
    assert_eq!(one.engine(), again.engine());
    let mut differs = one.answer() != other.answer();
    for state in &inquiry.survey.states {
        let read = |p: &Practice| p.measure(state, Leads::PinOhms);
        assert_eq!(read(&one), read(&again));
        assert_eq!(read(&one), read(&one), "the same again");
        differs |= read(&one) != read(&other);
    }
    assert!(differs);
    assert!(Practice::hide(&project, &inquiry, 3, &|| false).is_none());
}

/// One state of the sprayer's papers (our invented machine, worked out beforehand by another
/// program): the state, ohms nominal, low, high, volts low, high; limits of ohms with the
/// meter's error in.
fn papers(project: &Project) -> Vec<(State, [f64; 5])> {
    let row = |line: &str| {
        let field: Vec<&str> = line.split(',').collect();
        let mut state = State::rest();
        for (id, control) in project.controls.iter() {
            if field[1].split(' ').any(|on| !on.is_empty() && control.name.starts_with(on)) {
                state.0.insert(id, 1 - control.rest);
            }
        }
        (state, [2, 3, 4, 7, 8].map(|n| field[n].parse().unwrap()))
    };
    include_str!("../../../tests/data/sprayer_readings.csv").lines().skip(1).map(row).collect()
}

/// Whether some state reads outside the limits of the papers.
fn is_off_the_table(project: &Project, practice: &Practice) -> bool {
    papers(project).iter().any(|(state, [_, low, high, volt_low, volt_high])| {
        let ohms = match practice.measure(state, Leads::PinOhms) {
            Ok(Shown::Ohm(ohm)) => (*low..=*high).contains(&ohm),
            _ => false,
        };
        let volts = match practice.measure(state, Leads::PinVolts) {
            Ok(Shown::Volt(volt)) => (*volt_low..=*volt_high).contains(&volt),
            _ => false,
        };
        !ohms || !volts
    })
}

fn built(project: &Project, inquiry: &Inquiry, cause: &Cause, seed: u64) -> Machine {
    Machine::build(project, inquiry.survey.pin, cause, &mut Random::new(seed)).unwrap()
}

fn ohms(machine: &Machine, state: &State, leads: Leads, seed: u64) -> f64 {
    let shown = machine.measure(state, leads, &mut Random::new(seed)).unwrap();
    let Shown::Ohm(ohm) = shown else { panic!("{shown:?}") };
    ohm
}

/// A machine without a fault reads as its papers say, to the last figure shown.
#[test]
fn a_sound_machine_reads_as_its_papers_say() {
    let (project, inquiry) = sprayer();
    let table = papers(&project);
    assert_eq!(table.len(), 8);
    for seed in 0..20 {
        let machine = built(&project, &inquiry, &Cause::Circuit(Vec::new()), seed);
        for (state, [_, low, high, ..]) in &table {
            let ohm = ohms(&machine, state, Leads::PinOhms, seed);
            let room = 0.5 * last_digit(Shown::Ohm(ohm));
            assert!(ohm >= low - room && ohm <= high + room, "{low} {ohm} {high}");
        }
    }
}

/// With LEFT's resistor open, LEFT changes nothing: its states read as those without it.
#[test]
fn a_machine_with_an_open_resistor_reads_as_the_papers_without_it() {
    let (project, inquiry) = sprayer();
    let rows = &inquiry.survey.rows;
    let open = rows.iter().find(|row| row.fault.title.contains("R1 open")).unwrap();
    let left = project.controls.iter().find(|(_, row)| row.name == "LEFT").unwrap().0;
    let table = papers(&project);
    let machine = built(&project, &inquiry, &open.fault.cause, 7);
    let mut n_moved = 0;
    for (state, _) in &table {
        let mut without = state.clone();
        n_moved += usize::from(without.0.remove(&left).is_some());
        let (_, [_, low, high, ..]) = table.iter().find(|(at, _)| *at == without).unwrap();
        let ohm = ohms(&machine, state, Leads::PinOhms, 7);
        let room = 0.5 * last_digit(Shown::Ohm(ohm));
        assert!(ohm >= low - room && ohm <= high + room, "{low} {ohm} {high}");
    }
    assert_eq!(n_moved, 4);
}

/// A figure that is rounded past its limit is within it, by half of its last figure and no more.
#[test]
fn what_is_rounded_away_counts_for_neither_side() {
    for (shown, worth) in [
        (Shown::Ohm(1834.0), 1.0),
        (Shown::Ohm(22_440.0), 10.0),
        (Shown::Ohm(1000.0), 1.0),
        (Shown::Ohm(0.7123), 0.0001),
        (Shown::Ohm(0.0), 0.0),
        (Shown::Volt(2.921), 0.001),
        (Shown::OverRange, 0.0),
    ] {
        assert!((last_digit(shown) - worth).abs() < 1e-12, "{shown:?}");
    }
    let (_, inquiry) = sprayer();
    let mut n_rounded_up = 0;
    for at in inquiry.measurements.iter().filter(|at| at.quantity == Quantity::Ohm) {
        let Expected::Figure(_, high) = inquiry.expected(0, 0, *at) else { continue };
        let shown = round_figures(high, OHM_FIGURES);
        let step = last_digit(Shown::Ohm(shown));
        n_rounded_up += usize::from(shown > high);
        assert!(is_as_drawn(&inquiry, *at, Shown::Ohm(shown)), "{high} {shown}");
        let beyond = round_figures(high + 1.5 * step, OHM_FIGURES);
        assert!(!is_as_drawn(&inquiry, *at, Shown::Ohm(beyond)), "{high} {beyond}");
    }
    assert!(n_rounded_up > 0);
}

/// Over many seeds: some state always reads outside its papers, only its own fault is right, and
/// the diagnosis finds nearly all within its measurements.
#[test]
fn hidden_faults_show_and_are_found_by_the_diagnosis() {
    let (project, inquiry) = sprayer();
    let mut found = 0;
    let seeds = 12;
    for seed in 0..seeds {
        let practice = Practice::hide(&project, &inquiry, seed, &|| true).unwrap();
        assert!(is_off_the_table(&project, &practice), "{seed}");
        let row = practice.answer();
        assert_eq!(practice.judge(&inquiry, row), Named::Right);
        for twin in inquiry.survey.twins_of(row) {
            assert_eq!(practice.judge(&inquiry, twin), Named::Alike);
        }
        let right: Vec<usize> = choices(&inquiry)
            .into_iter()
            .filter(|row| practice.judge(&inquiry, *row) == Named::Right)
            .collect();
        assert_eq!(right, [row]);
        if let Some(n) = practice.engine() {
            assert!((1..=ENGINE_MOST).contains(&n), "{n}");
            found += 1;
        }
    }
    assert!(found * 10 >= seeds * 8, "{found} of {seeds}");
}

/// What a meter shows lies within its leaflet of what the machine has: leads held together read
/// nothing but their own error, and with all at rest, where nothing else lies across them, the
/// resistors of LEFT, CENTRE and RIGHT read 1500, 2000 and 3300 Ω by their own two ends.
#[test]
fn leads_go_anywhere_and_the_meter_is_off_within_its_leaflet() {
    let (project, inquiry) = sprayer();
    let practice = Practice::hide(&project, &inquiry, 5, &|| true).unwrap();
    let at = inquiry.pin.terminal;
    let shown = practice.measure(&State::rest(), Leads::Between(at, at)).unwrap();
    let Shown::Ohm(ohm) = shown else { panic!("{shown:?}") };
    assert!(ohm <= project.settings.meter.offset_ohm + 1e-9, "{ohm}");
    let machine = built(&project, &inquiry, &Cause::Circuit(Vec::new()), 5);
    for (name, value) in [("R1", 1500.0), ("R2", 2000.0), ("R3", 3300.0)] {
        let (part, row) = project.parts.iter().find(|(_, part)| part.name == name).unwrap();
        let ends = [0, 1].map(|terminal| TerminalRef { part, terminal });
        let ohm = ohms(&machine, &State::rest(), Leads::Between(ends[0], ends[1]), 5);
        let tolerance = row.kind.resistor().unwrap().tolerance;
        let meter = &project.settings.meter;
        let off = value * tolerance + ohm_error(meter, value * (1.0 + tolerance)) + 0.5;
        assert!((ohm - meter.lead_ohm - value).abs() <= off, "{name}: {ohm}");
    }
    let nowhere = TerminalRef { part: crate::model::PartId(9999), terminal: 0 };
    assert!(practice.measure(&State::rest(), Leads::Between(at, nowhere)).is_err());
}
