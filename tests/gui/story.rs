//! The main job in one go: open the forwarder, drag a part, move the gate and the lever, change a
//! resistor, see the state table turn red, and write a cut list one could cut from.

use std::collections::BTreeMap;

use egui::accesskit::Role;
use egui::{Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use ohmloom::app::{AppState, Stage};
use ohmloom::model::Part;
use ohmloom::sense::Verdict;

use crate::bench::{USUAL, window, with_empty_project};

type Window = Harness<'static, AppState>;

fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
}

fn drag(window: &mut Window, label: &str, by: egui::Vec2) {
    let from = window.get_by_label(label).rect().center();
    window.hover_at(from);
    window.run();
    window.drag_at(from);
    window.run();
    for share in [0.3, 0.7, 1.0] {
        window.hover_at(from + by * share);
        window.run();
    }
    window.drop_at(from + by);
    window.run();
}

fn part(window: &Window, name: &str) -> Part {
    let mut parts = window.state().project().parts.iter();
    parts.find(|(_, part)| part.name == name).unwrap().1.clone()
}

/// The readout as a screen reader hears it.
fn hears(window: &Window, reading: &str, decode: &str) {
    assert!(window.query_by_label(reading).is_some(), "{reading} is not shown");
    assert!(window.query_by_label(decode).is_some(), "{decode} is not shown");
}

fn verdicts(window: &Window) -> BTreeMap<&'static str, usize> {
    let state = window.state();
    let table = state.derived.table(state.shown_pin().unwrap()).unwrap();
    let mut counts = BTreeMap::new();
    for row in &table.rows {
        let word = match row.verdict {
            Some(Verdict::Ok) => "ok",
            Some(Verdict::Thin) => "thin",
            Some(Verdict::Gap) => "gap",
            Some(Verdict::Clash) => "clash",
            None => "unknown",
        };
        *counts.entry(word).or_default() += 1;
    }
    counts
}

fn open_the_forwarder(window: &mut Window) {
    click(window, "Project");
    click(window, "Samples");
    click(window, "Forwarder: range hold, up and down at two stations");
    assert!(window.state().project().title.contains("forwarder"));
    assert!(!window.state().is_unsaved());
}

fn move_the_controls(window: &mut Window) {
    hears(window, "Reading open", "Decodes as AUTO (open)");
    click(window, "Gate: HOLD");
    hears(window, "Reading 6.810 kΩ", "Decodes as HOLD");
    // The lever springs back, so it is held.
    let fore = window.get_by_label_contains("Lever: fore").rect().center();
    window.hover_at(fore);
    window.run();
    window.drag_at(fore);
    window.run();
    // 6.81 kΩ and 1.21 kΩ side by side: 1 / (1/6810 + 1/1210) = 1027.4 Ω.
    hears(window, "Reading 1.027 kΩ", "Decodes as UP");
    window.drop_at(fore);
    window.run();
    hears(window, "Reading 6.810 kΩ", "Decodes as HOLD");
}

fn change_a_resistor(window: &mut Window) {
    window.get_by_role_and_label(Role::TextInput, "Value").focus();
    window.run();
    window.get_by_role_and_label(Role::TextInput, "Value").type_text("2k2");
    window.run();
    window.get_by_label("R3 resistor 2.2 kΩ UP");
}

/// Cut lengths by wire, from a table with a `wire` and a `cut_mm` column.
fn cut_lengths(
    text: &str,
    is_wanted: impl Fn(&csv::StringRecord) -> bool,
) -> BTreeMap<String, f64> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headers = reader.headers().unwrap().clone();
    let column = |word: &str| headers.iter().position(|name| name.starts_with(word)).unwrap();
    let (wire, cut) = (column("wire"), column("cut"));
    let records = reader.records().map(Result::unwrap);
    records
        .filter(|record| !record[wire].is_empty() && is_wanted(record))
        .map(|record| (record[wire].to_owned(), record[cut].parse().unwrap()))
        .collect()
}

#[test]
fn from_the_sample_to_a_cut_list() {
    let mut window = window(with_empty_project(), USUAL);
    open_the_forwarder(&mut window);

    let before = part(&window, "R3").pos;
    drag(&mut window, "R3 resistor 1.21 kΩ UP", vec2(0.0, 40.0));
    assert!(part(&window, "R3").pos.y_mm > before.y_mm, "the part has moved down");
    assert!(window.state().is_unsaved());
    window.get_by_label("● not saved");
    click(&mut window, "Undo");
    assert_eq!(part(&window, "R3").pos, before);

    move_the_controls(&mut window);
    assert_eq!(verdicts(&window), [("ok", 16)].into());

    click(&mut window, "R3 resistor 1.21 kΩ UP");
    change_a_resistor(&mut window);
    click(&mut window, "Read");
    assert_eq!(window.state().stage, Stage::Read);
    let after = verdicts(&window);
    // With the gate in HOLD the pin reads 1 / (1/6810 + 1/2200) = 1663 Ω wherever UP alone is asked
    // for: from the lever, from the rim, or from both at once.
    assert_eq!(after.get("gap"), Some(&3), "{after:?}");
    // With the gate in AUTO, UP from the rim reads 2200 Ω: in the band of DOWN, which nobody asked for.
    assert_eq!(after.get("clash"), Some(&1), "{after:?}");
    window.get_by_label("✖ 1 clash");
    window.get_by_label("✖ clash");
    window.get_by_label_contains("3 gaps");

    click(&mut window, "Cut");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("forwarder.csv");
    window.key_press_modifiers(Modifiers::COMMAND, Key::E);
    window.run();
    let field = || "Path of the file";
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    window.get_by_label(field()).type_text(&path.display().to_string());
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert!(window.query_by_label(field()).is_none(), "the field is put away");
    window.get_by_label_contains("Cut list of 7 wires written to");

    let written = cut_lengths(&std::fs::read_to_string(&path).unwrap(), |_| true);
    // Worked out by another program from the runs of our own sample machine.
    let reference = include_str!("../data/sample_cut_lengths.csv");
    let expected = cut_lengths(reference, |record| &record[0] == "forwarder");
    assert_eq!(expected.len(), 7);
    assert_eq!(written, expected);
}
