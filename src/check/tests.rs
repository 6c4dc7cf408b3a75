//! One change to a sample at a time, and the finding it must bring.

use super::*;
use crate::model::{
    Control, ControlId, Diagnostic, Gender, PartId, PartKind, Project, Severity, Subject,
    TerminalRef, Ticks, Wire, WireId, WireUse,
};
use crate::samples;

mod harness;

fn sample(name: &str) -> Project {
    samples::open(name).unwrap()
}

fn part(project: &Project, name: &str) -> PartId {
    project.parts.iter().find(|(_, part)| part.name == name).unwrap().0
}

fn wire(project: &Project, name: &str) -> WireId {
    project.wires.iter().find(|(_, wire)| wire.name == name).unwrap().0
}

fn control(project: &Project, name: &str) -> ControlId {
    project.controls.iter().find(|(_, control)| control.name == name).unwrap().0
}

fn with_control(project: &mut Project, name: &str, change: impl FnOnce(&mut Control)) {
    let id = control(project, name);
    change(project.controls.get_mut(id).unwrap());
}

fn with_wire(project: &mut Project, name: &str, change: impl FnOnce(&mut Wire)) {
    let id = wire(project, name);
    change(project.wires.get_mut(id).unwrap());
}

/// Findings that a change brings which the sample did not have.
fn brought(name: &str, change: impl FnOnce(&mut Project)) -> Vec<Diagnostic> {
    let mut project = sample(name);
    let before = findings(&project);
    change(&mut project);
    findings(&project).into_iter().filter(|finding| !before.contains(finding)).collect()
}

/// The change brings a finding of this severity whose text holds `what`.
#[track_caller]
fn check(name: &str, severity: Severity, what: &str, change: impl FnOnce(&mut Project)) {
    let found = brought(name, change);
    assert!(
        found.iter().any(|f| f.severity == severity && f.what.contains(what)),
        "wanted {severity:?} {what:?}, found {found:#?}"
    );
    for finding in &found {
        assert!(!finding.cure.is_empty(), "{finding:?}");
        for text in [&finding.what, &finding.cure] {
            assert!(!text.ends_with('.') && !text.contains("  ") && !text.contains('\n'), "{text}");
        }
    }
}

#[test]
fn good_samples_have_no_problems() {
    for name in ["forwarder", "sprayer", "rescue-boat"] {
        let problems: Vec<Diagnostic> = findings(&sample(name))
            .into_iter()
            .filter(|finding| finding.severity != Severity::Note)
            .collect();
        assert!(problems.is_empty(), "{name}: {problems:#?}");
    }
}

#[test]
fn a_value_ten_times_its_neighbour_is_asked_about() {
    let ohm = |name: &'static str, ohm: f64| {
        move |project: &mut Project| {
            let id = part(project, name);
            let part = project.parts.get_mut(id).unwrap();
            let PartKind::Resistor(resistor) = &mut part.kind else { panic!("{name}") };
            resistor.ohm = ohm;
        }
    };
    let says = "R2 is 20 kΩ, 13 times its neighbour R1, 1.5 kΩ: sure?";
    check("sprayer", Severity::Note, says, ohm("R2", 20e3));
    let says = "R2 is 200 Ω, its neighbour R3 16 times that, 3.3 kΩ: sure?";
    check("sprayer", Severity::Note, says, ohm("R2", 200.0));
    let about = |found: Vec<Diagnostic>| {
        let is_one = |f: &&Diagnostic| fitting_factor(f).is_some();
        found.iter().filter(is_one).count()
    };
    assert_eq!(about(brought("sprayer", ohm("R2", 10e3))), 0, "not yet ten times");
    for name in samples::LIST.map(|sample| sample.name) {
        assert_eq!(about(findings(&sample(name))), 0, "{name}");
    }
}

/// Our own worked example: the railcar's values decode as an action nobody pressed in 15 of the
/// 255 combinations of its eight buttons, those of its first attempt in 26.
#[test]
fn clashes_are_counted_and_named() {
    for (name, count) in [("railcar", 15), ("railcar-first-attempt", 26)] {
        let found = findings(&sample(name));
        let clash = format!("{count} of 256 states clash");
        let finding = found.iter().find(|f| f.what.contains(&clash)).unwrap();
        assert_eq!(finding.severity, Severity::Error);
        assert!(finding.what.contains(&format!("and {} more", count - 2)), "{}", finding.what);
    }
    check("forwarder", Severity::Error, "states lie in no band", |project| {
        let id = project
            .parts
            .iter()
            .find(|(_, p)| matches!(&p.kind, PartKind::Resistor(r) if r.ohm == 6810.0))
            .unwrap()
            .0;
        if let PartKind::Resistor(r) = &mut project.parts.get_mut(id).unwrap().kind {
            r.ohm = 9090.0;
        }
    });
}

#[test]
fn names_that_stand_for_two_things() {
    check("forwarder", Severity::Warning, "2 wires are named D2", |project| {
        with_wire(project, "D1", |wire| wire.name = "D2".into());
    });
    check("forwarder", Severity::Warning, "2 controls are named Gate", |project| {
        with_control(project, "Lever", |control| control.name = "Gate".into());
    });
    check("forwarder", Severity::Warning, "2 positions of Gate are named HOLD", |project| {
        with_control(project, "Gate", |control| control.positions[0].name = "HOLD".into());
    });
    check("forwarder", Severity::Warning, "2 parts are named F1", |project| {
        let id = part(project, "G1");
        project.parts.get_mut(id).unwrap().name = "F1".into();
    });
    check("forwarder", Severity::Warning, "a wire has no name", |project| {
        with_wire(project, "D1", |wire| wire.name = " ".into());
    });
}

#[test]
fn wires_to_nowhere_and_cavities_taken_twice() {
    check("forwarder", Severity::Error, "both ends of wire D1", |project| {
        with_wire(project, "D1", |wire| wire.to = wire.from);
    });
    check("forwarder", Severity::Warning, "2 wires end in cavity X1-11", |project| {
        let to = project.wires.get(wire(project, "D2")).unwrap().to;
        with_wire(project, "D3", |wire| wire.to = to);
    });
    check("sprayer", Severity::Warning, "which is noted as plugged", |project| {
        let part = part(project, "A1");
        with_wire(project, "A4", |wire| wire.to.terminal = TerminalRef { part, terminal: 5 });
    });
    check("forwarder", Severity::Note, "nothing is wired to R", |project| {
        let resistor = project
            .parts
            .iter()
            .find(|(_, part)| matches!(part.kind, PartKind::Resistor(_)))
            .unwrap()
            .0;
        let ends: Vec<WireId> = project
            .wires
            .iter()
            .filter(|(_, w)| [w.from, w.to].iter().any(|e| e.terminal.part == resistor))
            .map(|(id, _)| id)
            .collect();
        project.wires.remove(ends[0]);
    });
}

#[test]
fn bare_pins_on_the_live_half() {
    check("sprayer", Severity::Note, "stays live when it is pulled", |project| {
        let id = part(project, "X2");
        if let PartKind::Connector(connector) = &mut project.parts.get_mut(id).unwrap().kind {
            for half in [Some(&mut connector.first), connector.second.as_mut()] {
                half.unwrap().gender = Gender::Pins;
            }
        }
    });
}

#[test]
fn controls_that_cannot_work() {
    check("forwarder", Severity::Warning, "no control moves contact S1", |project| {
        with_control(project, "Gate", |control| control.positions[1].throws.clear());
    });
    check("forwarder", Severity::Error, "contact S1 is moved by Gate and by Neutral", |project| {
        let contact = part(project, "S1");
        with_control(project, "Neutral", |control| {
            control.positions[0].throws.insert(contact, 1);
        });
    });
    check("forwarder", Severity::Error, "in throw 3, but it has 2", |project| {
        let contact = part(project, "S1");
        with_control(project, "Gate", |control| {
            control.positions[1].throws.insert(contact, 2);
        });
    });
    check("forwarder", Severity::Error, "Gate needs itself by way of Lever", |project| {
        let lever = control(project, "Lever");
        let position = u8::from(project.controls.get(lever).unwrap().rest == 0);
        with_control(project, "Gate", |control| {
            control.needs = Some(crate::model::Need { control: lever, position });
        });
    });
    check("forwarder", Severity::Error, "Gate needs itself, so", |project| {
        let gate = control(project, "Gate");
        with_control(project, "Gate", |control| {
            control.needs = Some(crate::model::Need { control: gate, position: 1 });
        });
    });
    check("forwarder", Severity::Error, "in a position it does not have", |project| {
        with_control(project, "Lever", |control| {
            control.needs.as_mut().unwrap().position = 9;
        });
    });
    check("forwarder", Severity::Error, "needs a control that is gone", |project| {
        let gate = control(project, "Gate");
        project.controls.remove(gate);
    });
}

#[test]
fn bands_and_what_is_asked() {
    fn pin(project: &mut Project) -> &mut crate::model::SensePin {
        let id = project.sense_pins.ids().next().unwrap();
        project.sense_pins.get_mut(id).unwrap()
    }
    check("sprayer", Severity::Error, "overlap from 2.1 V to 2.15 V", |project| {
        let band = pin(project).bands.iter_mut().find(|b| b.name == "ALL ON").unwrap();
        band.high = Some(2.15);
        let band = pin(project).bands.iter_mut().find(|b| b.name == "LEFT+CENTRE").unwrap();
        band.low = 2.1;
    });
    let touching = brought("sprayer", |project| {
        let band = pin(project).bands.iter_mut().find(|b| b.name == "LEFT+CENTRE").unwrap();
        band.low = 2.1;
    });
    assert!(touching.iter().all(|finding| !finding.what.contains("overlap")), "{touching:?}");
    check("sprayer", Severity::Warning, "starts at 7 V, above full scale, 5 V", |project| {
        let bands = &mut pin(project).bands;
        let last = bands.iter_mut().find(|b| b.name == "OPEN WIRE").unwrap();
        (last.low, last.high) = (7.0, None);
    });
    check("sprayer", Severity::Error, "is asked for NOWHERE, but has no band", |project| {
        pin(project).expectations[0].action = "NOWHERE".into();
    });
    check("forwarder", Severity::Note, "names Neutral, which cannot change", |project| {
        let neutral = control(project, "Neutral");
        pin(project).expectations[0].when.insert(neutral, 1);
    });
    check("forwarder", Severity::Note, "has no bands", |project| pin(project).bands.clear());
    check("forwarder", Severity::Warning, "is no cavity of a controller", |project| {
        let terminal = TerminalRef { part: part(project, "F1"), terminal: 1 };
        pin(project).terminal = terminal;
    });
    check("railcar", Severity::Note, "256 of 256 states have no verdict", |project| {
        pin(project).pull_ohm = None;
    });
}

#[test]
fn supplies_without_fuse_and_pins_above_their_limit() {
    check("forwarder", Severity::Warning, "without a fuse on the way", |project| {
        let (supply, contact) = (part(project, "G1"), part(project, "S1"));
        let mut bypass = project.wires.get(wire(project, "D1")).unwrap().clone();
        bypass.usage = WireUse::Internal;
        bypass.from.terminal = TerminalRef { part: supply, terminal: 0 };
        bypass.to.terminal = TerminalRef { part: contact, terminal: 0 };
        let id: WireId = project.fresh_id();
        project.wires.put(id, bypass);
    });
    for (limit_volt, n) in [(9.0, 1), (11.0, 0)] {
        // The railcar's reference is 10 V give or take 1 %.
        let found = brought("railcar", |project| {
            let id = project.sense_pins.ids().next().unwrap();
            project.sense_pins.get_mut(id).unwrap().limit_volt = Some(limit_volt);
        });
        let over = found.iter().filter(|f| f.what.contains("can put up to 10.100 V on X1-6"));
        assert_eq!(over.count(), n, "{limit_volt} V: {found:#?}");
    }
}

#[test]
fn lengths_that_are_not_known() {
    check("sprayer", Severity::Error, "no run leads from", |project| {
        let id = project.runs.ids().next_back().unwrap();
        project.runs.remove(id);
    });
    check("forwarder", Severity::Warning, "where wire D1 does not pass", |project| {
        let splice = part(project, "SP1");
        let controller = project.parts.get(part(project, "A1")).unwrap().place;
        project.parts.get_mut(splice).unwrap().place = controller;
    });
    let bare = brought("sprayer", |project| {
        project.places = Default::default();
        project.runs = Default::default();
    });
    let about_lengths: Vec<&Diagnostic> =
        bare.iter().filter(|finding| finding.what.contains("length")).collect();
    assert_eq!(about_lengths.len(), 1, "{bare:#?}");
    assert_eq!(about_lengths[0].subject, Subject::Project);
}

#[test]
fn a_wire_that_was_cut_before_its_way_grew() {
    let tick = |project: &mut Project, cut_to_mm: f64| {
        let id = wire(project, "A1");
        let ticks = Ticks { is_cut: true, cut_to_mm: Some(cut_to_mm), ..Ticks::default() };
        project.cutting.ticks.put(id, ticks);
    };
    let what = "A1 was cut to 3480 mm and must be 3490 mm long now";
    check("sprayer", Severity::Warning, what, |project| tick(project, 3480.0));
    assert!(brought("sprayer", |project| tick(project, 3490.0)).is_empty());
}

#[test]
fn a_tick_that_outlived_what_was_cut() {
    let what = "A1 was cut as 20 AWG pink and must be";
    check("sprayer", Severity::Warning, what, |project| {
        let id = wire(project, "A1");
        let ticks = Ticks {
            is_cut: true,
            cut_size: Some(crate::model::WireSize::Awg(20)),
            cut_colour: crate::model::Colour::from_text("pink"),
            ..Ticks::default()
        };
        project.cutting.ticks.put(id, ticks);
    });
}

#[test]
fn a_typed_length_that_cannot_reach() {
    check("sprayer", Severity::Warning, "A1: typed 1010 mm, the route is", |project| {
        with_wire(project, "A1", |wire| wire.typed_length_mm = Some(1010.0));
    });
}

#[test]
fn the_worst_comes_first_and_nothing_twice() {
    let mut project = sample("railcar-first-attempt");
    with_wire(&mut project, "C2", |wire| wire.name = "C1".into());
    let found = findings(&project);
    assert!(found.is_sorted_by(|a, b| a < b), "{found:#?}");
    assert!(found.len() >= 3);
    assert_eq!(found, findings(&project));
}

#[test]
fn cautions_fit_the_project_and_end_with_the_rules() {
    let of = |name: &str| cautions(&sample(name)).join("\n");
    assert!(of("forwarder").contains("airbag") && of("forwarder").contains("never bridge"));
    assert!(!of("sprayer").contains("airbag"));
    assert!(of("sprayer").contains("fuse"));
    let empty = cautions(&Project::empty("nothing"));
    assert_eq!(empty.len(), 1);
    for name in ["forwarder", "sprayer", "rescue-boat", "railcar"] {
        assert_eq!(cautions(&sample(name)).last(), empty.last(), "{name}");
    }
}
