//! The sample projects against the machines they draw: `tests/data/machines`, our own invented data,
//! typed in by hand apart from the drawings and read here with a general JSON library only.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use serde_json::Value;

use ohmloom::model::{
    Colour, ControlKind, EndKind, FullScale, PartKind, Project, Scale, SensePin, TerminalRef, Wire,
    WireSize, WireUse,
};
use ohmloom::samples;

/// Samples with the machine each draws; the last is the railcar's design that clashes.
const MACHINES: [(&str, &str); 5] = [
    ("forwarder", "forwarder"),
    ("sprayer", "sprayer"),
    ("rescue-boat", "rescue-boat"),
    ("railcar", "railcar"),
    ("railcar-first-attempt", "railcar"),
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn machine(name: &str) -> Value {
    let path = root().join(format!("tests/data/machines/{name}.json"));
    serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

fn each(check: impl Fn(&str, &Project, &Value)) {
    for (sample, name) in MACHINES {
        check(sample, &samples::open(sample).unwrap(), &machine(name));
    }
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_else(|| panic!("{value} is no text"))
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

fn rows(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn pin(project: &Project) -> &SensePin {
    assert_eq!(project.sense_pins.len(), 1);
    project.sense_pins.iter().next().unwrap().1
}

fn is_near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

#[test]
fn the_list_and_the_folder_hold_the_same_files() {
    let listed: BTreeSet<String> =
        samples::LIST.iter().map(|s| format!("{}.ohmloom", s.name)).collect();
    let found: BTreeSet<String> = fs::read_dir(root().join("sample-projects"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| name.ends_with(".ohmloom"))
        .collect();
    assert_eq!(listed, found);
    let titles: BTreeSet<_> = samples::LIST.iter().map(|s| s.title).collect();
    assert_eq!(titles.len(), samples::LIST.len());
}

/// `X2-1` from `X2-1`; `SP1` from `SP1 (on D1 at bulkhead tee)`; `F1` from `F1-out`; `G1` from `G1 ring`.
fn end_of(said: &str) -> &str {
    let name = said.split(' ').next().unwrap();
    name.strip_suffix("-out").unwrap_or(name)
}

fn is_end(project: &Project, terminal: TerminalRef, said: &str) -> bool {
    let wanted = end_of(said);
    let name = project.terminal_name(terminal);
    let part = &project.parts.get(terminal.part).unwrap().kind;
    match part {
        PartKind::Fuse(_) => name.strip_suffix("-2") == Some(wanted),
        // The machine calls the ground point by the ring on it.
        PartKind::Ground => said.ends_with("ring"),
        PartKind::Supply(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::Connector(_)
        | PartKind::Controller(_)
        | PartKind::TestPoint
        | PartKind::Element(_) => name == wanted,
    }
}

fn end_kind(project: &Project, wire: &Wire, is_first: bool) -> EndKind {
    let end = if is_first { wire.from } else { wire.to };
    end.kind.unwrap_or_else(|| {
        project.parts.get(end.terminal.part).unwrap().end_kind(end.terminal.terminal)
    })
}

#[test]
fn every_wire_goes_where_the_machine_has_it() {
    each(|sample, project, machine| {
        let wanted = rows(&machine["wires"]);
        let drawn: Vec<&Wire> =
            project.wires.iter().map(|(_, w)| w).filter(|w| w.usage == WireUse::Harness).collect();
        let names: BTreeSet<&str> = drawn.iter().map(|w| w.name.as_str()).collect();
        assert_eq!(names, wanted.iter().map(|w| text(&w["no"])).collect(), "{sample}");
        assert_eq!(drawn.len(), wanted.len(), "{sample}");
        for want in wanted {
            let no = text(&want["no"]);
            let wire = drawn.iter().find(|w| w.name == no).unwrap();
            let (from, to) = (text(&want["frm"]), text(&want["to"]));
            let straight =
                is_end(project, wire.from.terminal, from) && is_end(project, wire.to.terminal, to);
            let turned =
                is_end(project, wire.from.terminal, to) && is_end(project, wire.to.terminal, from);
            assert!(
                straight || turned,
                "{sample} {no}: {} to {}, wanted {from} to {to}",
                project.terminal_name(wire.from.terminal),
                project.terminal_name(wire.to.terminal)
            );
            assert_eq!(
                end_kind(project, wire, straight).noun(),
                text(&want["from_type"]),
                "{sample} {no}"
            );
            assert_eq!(
                end_kind(project, wire, !straight).noun(),
                text(&want["to_type"]),
                "{sample} {no}"
            );
            assert_eq!(
                wire.size,
                WireSize::Mm2(text(&want["mm2"]).parse().unwrap()),
                "{sample} {no}"
            );
            assert_eq!(
                Some(wire.colour),
                Colour::from_text(text(&want["colour"])),
                "{sample} {no}"
            );
        }
    });
}

#[test]
fn every_run_is_as_long_as_the_machine_says() {
    each(|sample, project, machine| {
        let segments = machine["segments"].as_object().unwrap();
        assert_eq!(project.runs.len(), segments.len(), "{sample}");
        for (name, want) in segments {
            let run = project.runs.iter().map(|(_, r)| r).find(|r| r.name == *name);
            let run = run.unwrap_or_else(|| panic!("{sample}: no run {name}"));
            assert_eq!(run.length_mm, number(&want["mm"]), "{sample} {name}");
            assert_eq!(run.loop_mm, want["flex_add"].as_f64(), "{sample} {name}");
        }
        let allowances = machine["end_allowance_mm"].as_object().unwrap();
        for kind in EndKind::ALL {
            assert_eq!(
                project.settings.allowances.of(kind),
                number(&allowances[kind.noun()]),
                "{sample}"
            );
        }
        assert_eq!(
            (project.settings.length_factor, project.settings.rounding_mm),
            (1.03, 10.0),
            "{sample}"
        );
    });
}

#[test]
fn every_band_is_where_the_machine_has_it() {
    each(|sample, project, machine| {
        let pin = pin(project);
        let controller = &machine["controller"];
        let mut wanted: Vec<(String, f64, Option<f64>)> = if sample == "railcar-first-attempt" {
            let bands = machine["first_attempt"]["bands"].as_object().unwrap();
            bands.iter().map(|(name, b)| (name.clone(), number(&b[0]), b[1].as_f64())).collect()
        } else {
            let in_ohm =
                rows(&controller["bands_ohm"]).iter().map(|b| (&b["name"], &b["lo"], &b["hi"]));
            let in_volt =
                rows(&controller["bands"]).iter().map(|b| (&b["name"], &b["lo_v"], &b["hi_v"]));
            in_ohm
                .chain(in_volt)
                .map(|(name, low, high)| (text(name).to_owned(), number(low), high.as_f64()))
                .collect()
        };
        let mut drawn: Vec<_> = pin.bands.iter().map(|b| (b.name.clone(), b.low, b.high)).collect();
        if sample == "railcar-first-attempt" {
            // The first attempt only changes the bands of the actions; the machine lists just those.
            drawn.retain(|(name, ..)| wanted.iter().any(|(other, ..)| other == name));
        }
        wanted.sort_by(|a, b| a.1.total_cmp(&b.1));
        drawn.sort_by(|a, b| a.1.total_cmp(&b.1));
        assert_eq!(drawn, wanted, "{sample}");
        assert_eq!(
            pin.scale,
            if sample == "forwarder" { Scale::Ohm } else { Scale::Volt },
            "{sample}"
        );
        let debounce = controller["debounce_ms"]
            .as_f64()
            .or_else(|| machine["timing"]["debounce_ms"].as_f64());
        assert_eq!(pin.debounce_ms, debounce, "{sample}");
    });
}

#[test]
fn the_controller_measures_as_the_machine_says() {
    each(|sample, project, machine| {
        let pin = pin(project);
        let controller = &machine["controller"];
        let tolerant = |value: &str, tolerance: &str| {
            controller[value].as_f64().map(|nominal| (nominal, number(&controller[tolerance])))
        };
        assert_eq!(
            pin.pull_ohm.map(|t| (t.nominal, t.tolerance)),
            tolerant("pull_ohm", "pull_tol"),
            "{sample}"
        );
        let reference = pin.reference_volt.map(|t| (t.nominal, t.tolerance));
        assert_eq!(reference, tolerant("reference_v", "reference_tol"), "{sample}");
        assert_eq!(
            pin.converter.map(|c| f64::from(c.max_count)),
            controller["adc_max"].as_f64(),
            "{sample}"
        );
        assert_eq!(
            pin.converter.map(|c| c.error_count),
            controller["adc_error_counts"].as_f64(),
            "{sample}"
        );
        assert_eq!(
            pin.full_scale.map(FullScale::volt),
            controller["adc_full_scale_v"].as_f64(),
            "{sample}"
        );
        let is_ratiometric = pin.full_scale.map(|f| matches!(f, FullScale::Ratiometric { .. }));
        assert_eq!(is_ratiometric, controller["ratiometric"].as_bool(), "{sample}");
        if let Some(FullScale::Fixed(full_scale)) = pin.full_scale {
            assert_eq!(full_scale.tolerance, number(&controller["adc_full_scale_tol"]), "{sample}");
        }
        let ladder = &machine["ladder"];
        let wire_loop = pin.wire_loop_ohm.unwrap();
        assert_eq!(wire_loop.high, number(&ladder["wire_loop_max_ohm"]), "{sample}");
        assert_eq!(wire_loop.nominal, ladder["wire_loop_ohm"].as_f64().unwrap_or(0.0), "{sample}");
        assert_eq!(pin.leak_low_ohm, ladder["leak_min_ohm"].as_f64(), "{sample}");
        assert_eq!(
            pin.ground_offset_volt,
            ladder["return_offset_v"].as_f64().unwrap_or(0.0),
            "{sample}"
        );
        assert_eq!(
            project.settings.contact_ohm.high,
            number(&ladder["contact_max_ohm"]),
            "{sample}"
        );
    });
}

#[test]
fn every_resistor_has_a_value_of_the_machine() {
    each(|sample, project, machine| {
        let ladder = &machine["ladder"];
        let mut wanted: Vec<f64> = if sample == "railcar-first-attempt" {
            // Values are given once for both ends.
            let values = machine["first_attempt"]["resistors"].as_object().unwrap();
            values.values().flat_map(|v| [number(v), number(v)]).collect()
        } else {
            ladder["resistors"].as_object().unwrap().values().map(number).collect()
        };
        wanted.extend(ladder["end_of_line_ohm"].as_f64());
        let mut drawn = Vec::new();
        for (_, part) in project.parts.iter() {
            if let PartKind::Resistor(resistor) = part.kind {
                drawn.push(resistor.ohm);
                assert_eq!(resistor.tolerance, number(&ladder["tol"]), "{sample} {}", part.name);
                let drift = resistor.tempco_ppm_per_k * 1e-6 * project.settings.temperature_span_k;
                assert!(
                    is_near(drift, number(&ladder["temp_tol"])),
                    "{sample} {}: {drift}",
                    part.name
                );
            }
        }
        wanted.sort_by(f64::total_cmp);
        drawn.sort_by(f64::total_cmp);
        assert_eq!(drawn, wanted, "{sample}");
    });
}

#[test]
fn every_piece_on_hand_is_there() {
    each(|sample, project, machine| {
        let stock = rows(&machine["salvage"]["stock"]);
        assert_eq!(project.pieces.len(), stock.len(), "{sample}");
        for want in stock {
            let id = text(&want["id"]);
            let piece = project.pieces.iter().map(|(_, p)| p).find(|p| p.name == id).unwrap();
            assert!(is_near(piece.length_mm, number(&want["len_m"]) * 1000.0), "{sample} {id}");
            assert!(
                is_near(piece.measured_ohm.unwrap(), number(&want["mohm"]) / 1000.0),
                "{sample} {id}"
            );
            assert_eq!(piece.outside_mm, want["od"].as_f64(), "{sample} {id}");
            assert_eq!(
                piece.size,
                WireSize::Mm2(text(&want["mm2"]).parse().unwrap()),
                "{sample} {id}"
            );
            // What is said of the insulation beside its colour stands with the condition.
            let (colour, rest) =
                text(&want["colour"]).split_once(' ').unwrap_or((text(&want["colour"]), ""));
            assert_eq!(Some(piece.colour), Colour::from_text(colour), "{sample} {id}");
            let condition = [rest, text(&want["cond"])].into_iter().filter(|t| !t.is_empty());
            assert_eq!(piece.condition, condition.collect::<Vec<_>>().join("; "), "{sample} {id}");
            assert_eq!(piece.source, text(&want["src"]), "{sample} {id}");
        }
    });
}

#[test]
fn the_forwarders_controls_move_what_the_machine_says() {
    let project = samples::open("forwarder").unwrap();
    let machine = machine("forwarder");
    let wanted = rows(&machine["controls"]);
    assert_eq!(project.controls.len(), wanted.len());
    for ((_, control), want) in project.controls.iter().zip(wanted) {
        assert_eq!(control.name, text(&want["name"]));
        let kind = match control.kind {
            ControlKind::Momentary => "momentary",
            ControlKind::SpringReturn => "spring return",
            ControlKind::Maintained => "maintained",
            ControlKind::Selector => "selector",
        };
        assert_eq!(kind, text(&want["kind"]), "{}", control.name);
        assert_eq!(
            control.positions[usize::from(control.rest)].name,
            text(&want["rest"]),
            "{}",
            control.name
        );
        let positions = want["positions"].as_object().unwrap();
        assert_eq!(control.positions.len(), positions.len(), "{}", control.name);
        for position in &control.positions {
            let closed: BTreeSet<&str> = position
                .throws
                .iter()
                .filter(|(_, throw)| **throw == 1)
                .map(|(contact, _)| project.parts.get(*contact).unwrap().name.as_str())
                .collect();
            let want: BTreeSet<&str> = rows(&positions[&position.name]).iter().map(text).collect();
            assert_eq!(closed, want, "{} {}", control.name, position.name);
        }
        let need = control.needs.map(|need| {
            let other = project.controls.get(need.control).unwrap();
            format!("{}={}", other.name, other.positions[usize::from(need.position)].name)
        });
        assert_eq!(need.as_deref(), want["needs"].as_str(), "{}", control.name);
    }
}
