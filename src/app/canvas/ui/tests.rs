//! The sheet in a window, driven by a pointer at what its drawn things are called.

use egui::{
    Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, PointerButton, Pos2, TouchPhase, vec2,
};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use crate::app::{AppState, Lead, app_ui, theme};
use crate::edit::{Edit, Item, parse_placing};
use crate::geometry::{Point, point};
use crate::model::{PartId, Project, TerminalRef};

fn window(placed: &[(&str, f64, f64)]) -> Harness<'static, AppState> {
    let mut state = AppState::new(Project::empty("test"));
    for (text, x_mm, y_mm) in placed {
        let placement = parse_placing(text).unwrap().at(point(*x_mm, *y_mm));
        state.history.commit(Edit::Place(placement), None).unwrap();
    }
    let mut harness = Harness::builder()
        .with_size([1200.0, 800.0])
        .with_step_dt(1.0 / 60.0)
        .with_context_setup(theme::install_fonts)
        .build_ui_state(app_ui, state);
    harness.run_steps(3);
    harness
}

fn place_of(harness: &Harness<'_, AppState>, label: &str) -> Pos2 {
    harness.get_by_label(label).rect().center()
}

fn drag(harness: &mut Harness<'_, AppState>, from: Pos2, to: Pos2) {
    harness.hover_at(from);
    harness.run_steps(1);
    harness.drag_at(from);
    harness.run_steps(1);
    harness.hover_at(from + (to - from) * 0.5);
    harness.run_steps(1);
    harness.hover_at(to);
    harness.run_steps(1);
    harness.drop_at(to);
    harness.run_steps(2);
}

fn press(harness: &mut Harness<'_, AppState>, at: Pos2, button: PointerButton) {
    harness.hover_at(at);
    harness.run_steps(1);
    for pressed in [true, false] {
        harness.event(Event::PointerButton {
            pos: at,
            button,
            pressed,
            modifiers: Modifiers::NONE,
        });
        harness.run_steps(1);
    }
    harness.run_steps(1);
}

fn part(harness: &Harness<'_, AppState>, name: &str) -> (PartId, Point) {
    let project = harness.state().project();
    let (id, part) = project.parts.iter().find(|(_, part)| part.name == name).unwrap();
    (id, part.pos)
}

fn scale(harness: &Harness<'_, AppState>) -> f32 {
    4.0 * harness.state().canvas.transform.unwrap().zoom as f32
}

#[test]
fn a_part_is_dragged_by_its_name_a_wire_drawn_and_both_undone() {
    let mut window = window(&[("4k7", 0.0, 0.0), ("button", 60.0, 20.0)]);
    let from = place_of(&window, "R1 resistor 4.7 kΩ");
    let by = vec2(0.0, 15.0 * scale(&window));
    drag(&mut window, from, from + by);
    assert_eq!(part(&window, "R1").1, point(0.0, 15.0));
    let id = part(&window, "R1").0;
    assert_eq!(window.state().selection, [Item::Part(id)].into());

    let ends = [place_of(&window, "terminal R1-2"), place_of(&window, "terminal S1-1")];
    drag(&mut window, ends[0], ends[1]);
    let wires: Vec<_> =
        window.state().project().wires.iter().map(|(_, wire)| wire.clone()).collect();
    assert_eq!(wires.len(), 1);
    assert_eq!(wires[0].from.terminal, TerminalRef { part: id, terminal: 1 });
    assert!(window.query_by_label("wire W1").is_some());

    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run_steps(2);
    assert!(window.query_by_label("wire W1").is_none());
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run_steps(2);
    assert_eq!(part(&window, "R1").1, point(0.0, 0.0));
}

#[test]
fn typing_and_two_enters_place_without_a_pointer() {
    let mut window = window(&[]);
    window.key_press(Key::P);
    window.run_steps(2);
    window.get_by_label("Place").type_text("6k81");
    window.run_steps(1);
    window.key_press(Key::Enter);
    window.run_steps(2);
    assert!(window.state().project().parts.is_empty(), "it is in the hand");
    window.key_press(Key::Enter);
    window.run_steps(2);
    assert!(window.query_by_label("R1 resistor 6.81 kΩ").is_some());
    // The field has the cursor again, for the next one.
    window.get_by_label("Place").type_text("banana");
    window.run_steps(1);
    window.key_press(Key::Enter);
    window.run_steps(3);
    assert_eq!(window.state().project().parts.len(), 1);
    let error = window.state().canvas.placing.error.clone().unwrap();
    assert!(error.contains("banana"), "{error}");
    assert_eq!(window.state().canvas.placing.text, "banana", "nothing typed is lost");
}

#[test]
fn a_small_part_is_dragged_from_the_strip_onto_the_sheet() {
    let mut window = window(&[]);
    let chip = place_of(&window, "Place supply");
    let sheet = window.get_by_label("Sheet").rect();
    drag(&mut window, chip, sheet.center() + vec2(40.0, 30.0));
    assert!(window.query_by_label("G1 supply 12 V").is_some());
    let chip = place_of(&window, "Place lever");
    press(&mut window, chip, PointerButton::Primary);
    press(&mut window, sheet.center() - vec2(200.0, 60.0), PointerButton::Primary);
    assert_eq!(window.state().project().controls.len(), 1);
    let chip = place_of(&window, "Place fuse");
    drag(&mut window, chip, chip + vec2(40.0, 0.0));
    assert!(window.query_by_label("F1 fuse 5 A").is_none(), "let go on the strip");
}

#[test]
fn meter_leads_are_dragged_on_and_off() {
    let mut window = window(&[("4k7", 0.0, 0.0)]);
    let id = part(&window, "R1").0;
    let (handle, terminal) =
        (place_of(&window, "Red meter lead"), place_of(&window, "terminal R1-1"));
    drag(&mut window, handle, terminal);
    assert_eq!(window.state().meter.lead(Lead::Red), Some(TerminalRef { part: id, terminal: 0 }));
    let probe = place_of(&window, "Red lead at R1-1");
    drag(&mut window, probe, probe + vec2(30.0, 160.0));
    assert_eq!(window.state().meter.lead(Lead::Red), None);
    let terminal = place_of(&window, "terminal R1-2");
    press(&mut window, terminal, PointerButton::Secondary);
    window.get_by_label("Put the black meter lead on R1-2").click();
    window.run_steps(2);
    assert_eq!(window.state().meter.lead(Lead::Black), Some(TerminalRef { part: id, terminal: 1 }));
}

#[test]
fn the_menu_turns_and_deletes_what_it_was_opened_on() {
    let mut window = window(&[("4k7", 0.0, 0.0), ("1k", 0.0, 30.0)]);
    let at = place_of(&window, "R2 resistor 1 kΩ");
    press(&mut window, at, PointerButton::Secondary);
    // The inspector has one, too; the menu's is the one at the pointer.
    let all: Vec<_> = window.get_all_by_label_contains("Delete").collect();
    let nearest = all
        .iter()
        .min_by(|a, b| a.rect().center().distance(at).total_cmp(&b.rect().center().distance(at)));
    nearest.unwrap().click();
    window.run_steps(3);
    let names: Vec<_> =
        window.state().project().parts.iter().map(|(_, part)| part.name.clone()).collect();
    assert_eq!(names, ["R1"]);
}

#[test]
fn finding_by_name_selects_and_brings_into_view() {
    let mut window = window(&[("4k7", 0.0, 0.0), ("1k", 0.0, 30.0)]);
    window.state_mut().canvas.transform.as_mut().unwrap().centre = point(5000.0, 0.0);
    window.run_steps(2);
    assert!(window.query_by_label("R2 resistor 1 kΩ").is_none(), "out of sight");
    window.key_press_modifiers(Modifiers::COMMAND, Key::F);
    window.run_steps(2);
    window.get_by_label("Find").type_text("r2");
    window.run_steps(2);
    window.key_press(Key::Enter);
    window.run_steps(3);
    let id = part(&window, "R2").0;
    assert_eq!(window.state().selection, [Item::Part(id)].into());
    assert!(window.query_by_label("R2 resistor 1 kΩ").is_some());
}

#[test]
fn the_wheel_zooms_about_the_pointer_and_the_middle_button_pans() {
    let mut window = window(&[("4k7", 0.0, 0.0), ("1k", 80.0, 60.0)]);
    let before = place_of(&window, "R1 resistor 4.7 kΩ");
    let old = scale(&window);
    window.hover_at(before);
    window.run_steps(1);
    let delta = vec2(0.0, 120.0);
    let phase = TouchPhase::Move;
    let (unit, source) = (MouseWheelUnit::Point, MouseWheelSource::Wheel);
    window.event(Event::MouseWheel { unit, delta, phase, source, modifiers: Modifiers::NONE });
    window.run_steps(30);
    assert!(scale(&window) > 1.2 * old);
    assert!(place_of(&window, "R1 resistor 4.7 kΩ").distance(before) < 1.0);

    let button = PointerButton::Middle;
    let modifiers = Modifiers::NONE;
    window.event(Event::PointerButton { pos: before, button, pressed: true, modifiers });
    window.run_steps(1);
    let to = before + vec2(60.0, 45.0);
    window.hover_at(before + vec2(30.0, 20.0));
    window.run_steps(1);
    window.hover_at(to);
    window.run_steps(1);
    window.event(Event::PointerButton { pos: to, button, pressed: false, modifiers });
    window.run_steps(1);
    assert!(place_of(&window, "R1 resistor 4.7 kΩ").distance(to) < 1.5);
}

#[test]
fn keys_nudge_and_a_double_click_moves_a_control() {
    let mut window = window(&[("toggle", 0.0, 0.0), ("4k7", 0.0, 30.0)]);
    let at = place_of(&window, "R1 resistor 4.7 kΩ");
    press(&mut window, at, PointerButton::Primary);
    window.key_press(Key::ArrowRight);
    window.key_press(Key::ArrowRight);
    window.key_press_modifiers(Modifiers::SHIFT, Key::ArrowUp);
    window.run_steps(3);
    assert_eq!(part(&window, "R1").1, point(5.0, 20.0));
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run_steps(2);
    assert_eq!(part(&window, "R1").1, point(0.0, 30.0), "quick nudges are one step");
    let at = place_of(&window, "S1 contact");
    press(&mut window, at, PointerButton::Primary);
    press(&mut window, at, PointerButton::Primary);
    assert_eq!(window.state().bench.0.values().copied().collect::<Vec<_>>(), [1]);
}
