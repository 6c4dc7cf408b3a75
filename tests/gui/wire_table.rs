//! A table of wires in the window: pasted, matched, looked at, taken over as one step.

use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use ohmloom::app::{Action, AppState, Command, ThemeChoice, dispatch};
use ohmloom::tables::wire_table_text;

use crate::bench::{USUAL, picture_of, window, with_sample};

const FIELD: &str = "Text of the wire table";

fn opened(size: [f32; 2], theme: ThemeChoice) -> Harness<'static, AppState> {
    let mut state = with_sample("forwarder");
    state.preferences.theme = theme;
    dispatch(&mut state, Action::Run(Command::WireTable));
    let mut harness = window(state, size);
    harness.run();
    harness
}

fn paste(harness: &mut Harness<'_, AppState>, text: &str) {
    harness.get_by_role_and_label(Role::MultilineTextInput, FIELD).focus();
    harness.run();
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    harness.run();
    harness.event(egui::Event::Paste(text.into()));
    harness.run();
    harness.run();
}

fn pick(harness: &mut Harness<'_, AppState>, choice: &str, option: &str) {
    harness.get_by_role_and_label(Role::ComboBox, choice).click();
    harness.run();
    harness.get_by_role_and_label(Role::Button, option).click();
    harness.run();
    harness.run();
}

#[test]
fn a_table_is_pasted_corrected_and_taken_over_as_one_step() {
    let mut harness = opened([1500.0, 1300.0], ThemeChoice::Paper);
    let before = harness.state().project().clone();
    // The size column stands where the guess cannot know it, and one cavity is not there.
    paste(&mut harness, "a;b;c;d\nX1-12;G1;red;0,5\nX1-99;G1;blue;0,75\n");
    harness.get_by_label_contains("X1 (it has 16), found \"X1-99\"");
    assert!(harness.query_all_by_label_contains("line 1").count() > 1, "the head is no wire");
    assert_eq!(*harness.state().project(), before, "looking changes nothing");
    pick(&mut harness, "First row", "names the columns");
    pick(&mut harness, "Meaning of column 3", "colour");
    pick(&mut harness, "Meaning of column 4", "size");
    pick(&mut harness, "Decimal mark", "comma, 0,5");
    harness.get_by_label("1 problem");
    let button = harness.get_by_role_and_label(Role::Button, "Take over 1 wire");
    assert!(button.accesskit_node().is_disabled());
    paste(
        &mut harness,
        "from;to;colour;size;length\nX1-12;G1;red;0,5;1,2 m\nX1-13;G1;blue/white;20 AWG;\n",
    );
    harness.get_by_label("2 new, 0 changed, 0 as they are.");
    harness.get_by_role_and_label(Role::Button, "Take over 2 wires").click();
    harness.run();
    let state = harness.state_mut();
    assert_eq!(state.project().wires.len(), before.wires.len() + 2);
    let longest =
        state.project().wires.iter().filter_map(|(_, w)| w.typed_length_mm).fold(0.0, f64::max);
    assert_eq!(longest, 1200.0);
    let after = wire_table_text(state.project());
    assert_eq!(state.history.undo().as_deref(), Some("import 2 wires"));
    assert_eq!(state.project().wires, before.wires);
    state.history.redo();
    // What the project says now reads back as nothing to do.
    harness.run();
    paste(&mut harness, &after);
    harness.get_by_label_contains("0 new, 0 changed");
}

/// A wire is led to other ends only where the box for it is ticked, and then keeps its name and make.
#[test]
fn a_wire_is_moved_only_where_the_box_is_ticked() {
    let mut harness = opened([1500.0, 1300.0], ThemeChoice::Paper);
    let before = harness.state().project().clone();
    let (id, old) = before.wires.iter().find(|(_, wire)| wire.name == "D2").unwrap();
    let text = "wire;from;to;size;colour\nD2;X1-12;X1-13;0.5 mm2;VT\n";
    paste(&mut harness, text);
    harness.get_by_label_contains("wire D2 lies at");
    harness.get_by_label("1 problem");
    let take = harness.get_by_role_and_label(Role::Button, "Take over 1 wire");
    assert!(take.accesskit_node().is_disabled());
    let the_box = "Move wires the project has between other terminals";
    harness.get_by_role_and_label(Role::CheckBox, the_box).click();
    harness.run();
    harness.get_by_label("0 new, 1 changed, 0 as they are.");
    // Taken off again, it is refused again.
    harness.get_by_role_and_label(Role::CheckBox, the_box).click();
    harness.run();
    harness.get_by_label("1 problem");
    harness.get_by_role_and_label(Role::CheckBox, the_box).click();
    harness.run();
    picture_of(&mut harness, "wire-table-moves");
    harness.get_by_role_and_label(Role::Button, "Take over 1 wire").click();
    harness.run();
    let now = harness.state().project().wires.get(id).unwrap().clone();
    assert_eq!((now.name.as_str(), &now.make), ("D2", &old.make));
    let names = [now.from, now.to].map(|end| harness.state().project().terminal_name(end.terminal));
    assert_eq!(names, ["X1-12", "X1-13"]);
    assert_eq!((now.typed_length_mm, now.via, now.bends.len()), (None, Vec::new(), 0));
    harness.state_mut().history.undo();
    assert_eq!(harness.state().project().wires, before.wires);
}

#[test]
fn pictures_of_wire_tables() {
    let text = "Wire;From;To;Size;Colour;Length\nD2;X2-2 pins;X1-11;0,5;VT;815\nK1;X1-12;G1;20 AWG;RD/BK;1,2 m\nK2;X1-99;G1;thick;red;\nK3;X9-1;X9-2;0,75;gnye;90 cm\n";
    for (theme, name) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
        let mut harness = opened([1500.0, 1300.0], theme);
        picture_of(&mut harness, &format!("wire-table-empty-{name}"));
        paste(&mut harness, text);
        picture_of(&mut harness, &format!("wire-table-{name}"));
    }
    let mut harness = opened(USUAL, ThemeChoice::Paper);
    paste(&mut harness, text);
    picture_of(&mut harness, "wire-table-usual");
}
