//! Every fault the survey lists reads what the same circuit reads when it is drawn with that fault in it.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::collections::BTreeMap;

use ohmloom::circuit::{Change, Netlist, Source};
use ohmloom::model::{
    Draw, Element, End, Part, PartId, PartKind, Project, Relay, Resistor, Scale, SensePinId,
    TerminalRef, Wire, WireId, WireUse,
};
use ohmloom::samples;
use ohmloom::sense::{Reader, wire_data};
use ohmloom::study::faults::{Cause, Effect, FaultKind, Survey, survey};
use ohmloom::testing::Sketch;
use ohmloom::units::{Range, Tolerant};
use petgraph::graph::NodeIndex;

fn surveys(name: &str) -> (Project, Vec<Survey>) {
    let project = samples::open(name).unwrap();
    let all = project.sense_pins.ids().filter_map(|pin| survey(&project, pin, &|| true)).collect();
    (project, all)
}

fn resistor_between(project: &mut Project, a: TerminalRef, b: TerminalRef, ohm: f64) {
    let resistor = Resistor { ohm, tolerance: 0.0, tempco_ppm_per_k: 0.0, power_watt: 1.0 };
    let id: PartId = project.fresh_id();
    let template = project.parts.iter().next().unwrap().1.clone();
    let kind = PartKind::Resistor(resistor);
    project.parts.put(id, Part { name: "RX".into(), kind, place: None, ..template });
    wire_between(project, a, TerminalRef { part: id, terminal: 0 });
    wire_between(project, TerminalRef { part: id, terminal: 1 }, b);
}

fn wire_between(project: &mut Project, a: TerminalRef, b: TerminalRef) {
    let id: WireId = project.fresh_id();
    let end = |terminal| End { terminal, kind: None };
    let template = project.wires.iter().next().unwrap().1.clone();
    let (from, to) = (end(a), end(b));
    let bare = Wire { from, to, usage: WireUse::Internal, bends: vec![], via: vec![], ..template };
    project.wires.put(id, Wire { typed_length_mm: None, ..bare });
}

fn is_tapped(project: &Project, wire: WireId) -> bool {
    let on_it =
        |part: &Part| matches!(part.kind, PartKind::Splice { on: Some(on), .. } if on == wire);
    project.parts.iter().any(|(_, part)| on_it(part))
}

fn relay_mut(project: &mut Project, part: PartId) -> Option<&mut Relay> {
    match &mut project.parts.get_mut(part)?.kind {
        PartKind::Element(Element::Relay(relay)) => Some(relay),
        _ => None,
    }
}

fn swap_rest_and_work(project: &mut Project, relay: PartId) {
    let ids: Vec<WireId> = project.wires.ids().collect();
    for id in ids {
        let wire = project.wires.get_mut(id).unwrap();
        for end in [&mut wire.from.terminal, &mut wire.to.terminal] {
            if end.part == relay && end.terminal > 2 {
                end.terminal = match (end.terminal - 2) % 3 {
                    1 => end.terminal + 1,
                    2 => end.terminal - 1,
                    _ => end.terminal,
                };
            }
        }
    }
}

/// Draws one change into a project, by what a person would do with pliers and iron.
/// `None` where the drawing has no such stroke.
fn draw(project: &mut Project, netlist: &Netlist, change: &Change) -> Option<()> {
    let at = |node: NodeIndex| netlist.graph[node].at;
    match change {
        Change::Open(Source::Wire(wire)) => {
            if is_tapped(project, *wire) {
                return None;
            }
            project.wires.remove(*wire)?;
        }
        Change::Open(Source::Part(part)) => {
            let row = project.parts.get_mut(*part)?;
            match &mut row.kind {
                PartKind::Resistor(resistor) => resistor.ohm = 1e12,
                PartKind::Element(Element::Diode(diode)) => {
                    diode.drop_volt = Range::exact(900.0);
                }
                PartKind::Element(Element::Load(load)) => {
                    load.draw = Draw::Ohm(Range::exact(1e12));
                }
                PartKind::Element(Element::Input(input)) => input.pull_ohm = None,
                _ => return None,
            }
        }
        Change::Open(Source::Joint { part, cavity }) => {
            let cut = TerminalRef { part: *part, terminal: 2 * (cavity - 1) };
            let ids: Vec<WireId> = project.wires.ids().collect();
            let gone: Vec<WireId> = ids
                .into_iter()
                .filter(|id| {
                    let wire = project.wires.get(*id).unwrap();
                    [wire.from.terminal, wire.to.terminal].contains(&cut)
                })
                .collect();
            // More wires than one in a cavity would still be joined to each other, and what hangs on a
            // splice along the wire would go with it.
            if gone.len() != 1 || is_tapped(project, gone[0]) {
                return None;
            }
            project.wires.remove(gone[0]);
        }
        Change::Open(Source::Coil(part)) => {
            relay_mut(project, *part)?.coil_ohm = Range::exact(1e12);
        }
        Change::Open(Source::Loop(_) | Source::Bridge) => return None,
        Change::Value(Source::Part(part), ohm) => match &mut project.parts.get_mut(*part)?.kind {
            PartKind::Resistor(resistor) => resistor.ohm = *ohm,
            _ => return None,
        },
        Change::Value(..) | Change::Scaled(..) | Change::Added(..) => return None,
        Change::Stuck(relay, throw) if relay_mut(project, *relay).is_some() => {
            // It never pulls; where it should have stuck pulled, rest and work wires change places.
            let row = relay_mut(project, *relay)?;
            (row.pull_in_volt, row.drop_out_volt) = (1e6, 1e5);
            if *throw == 1 {
                swap_rest_and_work(project, *relay);
            }
        }
        Change::Stuck(contact, throw) => {
            // Every position of every control that moves it leaves it in the one throw.
            let ids: Vec<_> = project.controls.ids().collect();
            for id in ids {
                let control = project.controls.get_mut(id)?;
                if control.positions.iter().any(|position| position.throws.contains_key(contact)) {
                    for position in &mut control.positions {
                        position.throws.insert(*contact, *throw);
                    }
                }
            }
        }
        Change::Bridge(a, b, ohm) if *ohm > 0.0 => resistor_between(project, at(*a), at(*b), *ohm),
        Change::Bridge(a, b, _) => wire_between(project, at(*a), at(*b)),
        Change::Pulled(..) => return None,
    }
    Some(())
}

#[test]
fn every_fault_reads_what_the_circuit_drawn_with_it_reads() {
    let (mut drawn, mut rows) = (0, 0);
    for sample in samples::LIST {
        let (project, all) = surveys(sample.name);
        let netlist = Netlist::new(&project, &wire_data(&project));
        for survey in all {
            rows += survey.rows.len();
            for row in &survey.rows {
                let faulty = match &row.fault.cause {
                    Cause::Circuit(changes) => {
                        let mut work = project.clone();
                        if changes.iter().any(|change| draw(&mut work, &netlist, change).is_none())
                        {
                            continue;
                        }
                        work
                    }
                    Cause::Drawing(project) => (**project).clone(),
                    Cause::Pin(pin) => {
                        let mut work = project.clone();
                        work.sense_pins.put(survey.pin, (**pin).clone());
                        work
                    }
                    Cause::Offset(_) => continue,
                };
                drawn += 1;
                compare(&faulty, survey.pin, &survey, row, sample.name);
            }
        }
    }
    assert!(rows > 500 && drawn * 10 > rows * 8, "{drawn} of {rows} faults were drawn");
}

fn compare(
    faulty: &Project,
    pin: SensePinId,
    survey: &Survey,
    row: &ohmloom::study::faults::FaultRow,
    sample: &str,
) {
    let reader = Reader::new(faulty);
    // The railcar's 256 states are looked at in steps; their numbers are made the same way. Where a
    // relay decides, every state is settled by itself, some eighty times.
    let most = if sample == "cable-ferry" { 3 } else { 40 };
    let step = survey.states.len().div_ceil(most);
    for (state, symptom) in survey.states.iter().zip(&row.symptoms).step_by(step) {
        let want = reader.row(pin, state).unwrap();
        let place =
            || format!("{sample}, {}, {state:?}: {symptom:?}, drawn {want:?}", row.fault.title);
        // A resistor that is open is drawn with a teraohm.
        let is_open = |ohm: f64| ohm > 1e10;
        assert!(
            (is_open(symptom.ohm) && is_open(want.ohm.nominal))
                || want.ohm.nominal.is_finite()
                    && (symptom.ohm - want.ohm.nominal).abs() <= 1e-6 * want.ohm.nominal + 1e-9,
            "{}",
            place()
        );
        let is_short = !reader.findings_in(state).is_empty();
        match (symptom.volt, want.volt) {
            (Some(got), Some(want)) => {
                assert!((got - want.nominal).abs() < 1e-6, "{}", place());
            }
            (None, Some(_)) => assert!(is_short, "{}", place()),
            (Some(_), None) => panic!("{}", place()),
            (None, None) => {}
        }
    }
}

#[test]
fn the_sound_circuit_has_no_wrong_action_in_the_samples_that_work() {
    for name in ["forwarder", "sprayer", "rescue-boat"] {
        for survey in surveys(name).1 {
            let wrong = |effect: Option<Effect>| effect == Some(Effect::WrongAction);
            assert!(survey.sound.iter().all(|symptom| !wrong(symptom.effect)), "{name}");
        }
    }
}

/// Counted by hand in the description of the machine: combinations that read as an action nobody pressed.
#[test]
fn the_railcar_has_fifteen_combinations_that_nobody_meant_and_its_first_attempt_twenty_six() {
    for (name, want, want_of_two) in [("railcar", 15, 0), ("railcar-first-attempt", 26, 2)] {
        let (project, all) = surveys(name);
        let survey = all.iter().max_by_key(|survey| survey.states.len()).unwrap();
        assert_eq!(survey.states.len(), 256);
        let pressed = |state: &ohmloom::model::State| {
            let is_moved = |(id, position): (&ohmloom::model::ControlId, &u8)| {
                project.controls.get(*id).unwrap().rest != *position
            };
            state.0.iter().filter(|entry| is_moved(*entry)).count()
        };
        let wrong: Vec<usize> = survey
            .states
            .iter()
            .zip(&survey.sound)
            .filter(|(_, symptom)| symptom.effect == Some(Effect::WrongAction))
            .map(|(state, _)| pressed(state))
            .collect();
        assert_eq!(wrong.len(), want, "{name}: {wrong:?}");
        assert_eq!(wrong.iter().filter(|n| **n == 2).count(), want_of_two, "{name}");
    }
}

#[test]
fn twins_read_alike_within_the_meter_and_their_parting_measurement_tells_them_apart() {
    let mut parted = 0;
    for sample in samples::LIST {
        let (project, all) = surveys(sample.name);
        let meter = &project.settings.meter;
        for survey in all {
            for group in survey.twins.iter().filter(|group| group.len() == 2).take(3) {
                let (one, other) = (&survey.rows[group[0]], &survey.rows[group[1]]);
                for (a, b) in one.symptoms.iter().zip(&other.symptoms) {
                    let room = meter.fraction * a.ohm.min(b.ohm) + meter.offset_ohm;
                    assert!(a.ohm == b.ohm || (a.ohm - b.ohm).abs() <= room);
                }
                if let Some(parting) = survey.parting(&project, group[0], group[1]) {
                    let (a, b) = parting.ohm;
                    assert!((a - b).abs() > meter.fraction * a.min(b) + meter.offset_ohm);
                    parted += 1;
                }
            }
        }
    }
    assert!(parted > 0);
}

#[test]
fn every_kind_of_fault_turns_up_in_the_samples() {
    let mut seen: BTreeMap<FaultKind, usize> = BTreeMap::new();
    for sample in samples::LIST {
        for survey in surveys(sample.name).1 {
            for row in &survey.rows {
                *seen.entry(row.fault.kind).or_default() += 1;
            }
        }
    }
    let missing: Vec<&str> = FaultKind::ALL
        .iter()
        .filter(|kind| !seen.contains_key(kind))
        .map(|kind| kind.word())
        .collect();
    assert!(missing.is_empty(), "{missing:?}; seen {seen:?}");
}

/// Two pins that touch hang on both pulls: 5 V over 1 kΩ with 1.5 kΩ to the return, beside 5 V over
/// 2.2 kΩ with 1 kΩ. By the node equation at the joined pins, worked here.
#[test]
fn a_neighbour_pin_brings_its_own_pull() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(3);
    let at = |terminal| TerminalRef { part: controller, terminal };
    sketch.resistor_between("R1", 1500.0, at(0), at(2));
    sketch.resistor_between("R2", 1000.0, at(1), at(2));
    let exact = |nominal| Some(Tolerant { nominal, tolerance: 0.0 });
    let pins = [(at(0), 1000.0), (at(1), 2200.0)].map(|(terminal, pull)| {
        let id = sketch.pin(terminal, at(2));
        let row = sketch.project.sense_pins.get_mut(id).unwrap();
        (row.pull_ohm, row.reference_volt) = (exact(pull), exact(5.0));
        row.scale = Scale::Volt;
        id
    });
    for (bridge_ohm, kind) in [(0.0, FaultKind::Short), (10_000.0, FaultKind::Wet)] {
        let survey = survey(&sketch.project, pins[0], &|| true).unwrap();
        let touches = |title: &str| title.contains("X1-1") && title.contains("X1-2");
        let row = survey
            .rows
            .iter()
            .find(|row| row.fault.kind == kind && touches(&row.fault.title))
            .unwrap();
        let own = (1.0 / 1000.0 + 1.0 / 1500.0, 5.0 / 1000.0);
        let other = (1.0 / 2200.0 + 1.0 / 1000.0, 5.0 / 2200.0);
        let want = if bridge_ohm == 0.0 {
            (own.1 + other.1) / (own.0 + other.0)
        } else {
            let g: f64 = 1.0 / bridge_ohm;
            let (a, b) = (own.0 + g, other.0 + g);
            (own.1 * b + other.1 * g) / (a * b - g * g)
        };
        let got = row.symptoms[0].volt.unwrap();
        assert!((got - want).abs() < 1e-9, "{kind:?}: {got} instead of {want}");
        assert!((got - survey.sound[0].volt.unwrap()).abs() > 1e-3, "the neighbour shows");
    }
}
