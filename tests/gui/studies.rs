//! Choose and Break in the whole window: values found and tried, a fault picked and looked at.

use egui_kittest::kittest::Queryable;
use ohmloom::app::{AppState, Stage, ThemeChoice};
use ohmloom::model::{PartKind, Project};

use crate::bench::{SMALL, USUAL, picture_of, settle, window, with_empty_project, with_sample};

fn at(name: &str, stage: Stage, theme: ThemeChoice) -> AppState {
    let mut state = with_sample(name);
    state.stage = stage;
    state.preferences.theme = theme;
    state
}

fn ohm(project: &Project, name: &str) -> f64 {
    let (_, part) = project.parts.iter().find(|(_, part)| part.name == name).unwrap();
    match &part.kind {
        PartKind::Resistor(resistor) => resistor.ohm,
        _ => panic!("{name} is no resistor"),
    }
}

#[test]
fn the_best_values_are_found_tried_and_undone_in_one_step() {
    let mut state = at("sprayer", Stage::Choose, ThemeChoice::Paper);
    // A worse value to begin with.
    let project = state.project().clone();
    let (id, part) = project.parts.iter().find(|(_, part)| part.name == "R2").unwrap();
    let mut part = part.clone();
    let PartKind::Resistor(resistor) = &mut part.kind else { panic!() };
    resistor.ohm = 1800.0;
    let edit = ohmloom::edit::Edit::SetPart(id, Box::new(part));
    state.history.commit(edit, None).unwrap();
    let mut window = window(state, USUAL);
    settle(&mut window);
    window.get_by_label("R4 22.00 kΩ").click();
    window.run_steps(2);
    window.get_by_label("can be taught").click();
    window.run_steps(2);
    window.get_by_label("Find the best values").click();
    window.run_steps(2);
    settle(&mut window);
    picture_of(&mut window, "sprayer-choose-paper");
    window.get_by_label("Try choice 1").click();
    window.run_steps(3);
    settle(&mut window);
    let project = window.state().project();
    assert_eq!(
        ["R1", "R2", "R3", "R4"].map(|name| ohm(project, name)),
        [1500.0, 2000.0, 3300.0, 22e3]
    );
    assert_eq!(window.state().history.undo_title(), Some("take values for R1, R2, R3"));
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    window.run_steps(3);
    assert_eq!(ohm(window.state().project(), "R2"), 1800.0);
}

#[test]
fn the_dirt_budget_leads_to_its_state() {
    let mut window = window(at("sprayer", Stage::Choose, ThemeChoice::Bench), USUAL);
    settle(&mut window);
    picture_of(&mut window, "sprayer-choose-bench");
    window.get_by_label_contains("LEFT drops out at 153").click();
    window.run_steps(3);
    window.get_by_label("Decodes as LEFT");
}

#[test]
fn a_slider_shows_which_states_it_spoils() {
    let mut window = window(at("sprayer", Stage::Choose, ThemeChoice::Paper), USUAL);
    settle(&mut window);
    window.get_by_label("✔ every state decodes as it does at usual values");
    let wear = window.get_by_role_and_label(egui::accesskit::Role::Slider, "Contact wear").rect();
    window.drag_at(egui::pos2(wear.left() + 4.0, wear.center().y));
    window.run_steps(2);
    window.hover_at(egui::pos2(wear.left() + 60.0, wear.center().y));
    window.run_steps(2);
    window.drop_at(egui::pos2(wear.left() + 60.0, wear.center().y));
    window.run_steps(3);
    window.get_by_label_contains("states decode otherwise");
    picture_of(&mut window, "sprayer-sliders-paper");
    window.get_by_label("all to usual").click();
    window.run_steps(3);
    window.get_by_label("✔ every state decodes as it does at usual values");
}

#[test]
fn a_fault_that_is_picked_moves_the_controls_and_tells_its_twins() {
    for (theme, name) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
        let mut window = window(at("forwarder", Stage::Break, theme), USUAL);
        settle(&mut window);
        window.get_by_label_contains("Fault S1 stuck closed").click();
        window.run_steps(3);
        settle(&mut window);
        assert!(!window.state().selection.is_empty());
        window.get_by_label_contains("Looks the same at the pin");
        picture_of(&mut window, &format!("forwarder-break-{name}"));
    }
}

#[test]
fn filters_leave_what_was_asked_for() {
    let mut window = window(at("forwarder", Stage::Break, ThemeChoice::Paper), SMALL);
    settle(&mut window);
    window.get_by_label("Find a fault").click();
    window.run_steps(2);
    window.get_by_label("Find a fault").type_text("swapped");
    window.run_steps(3);
    assert!(window.query_by_label_contains("Fault S1 stuck closed").is_none());
    assert!(window.query_all_by_label_contains("swapped").count() > 0);
    picture_of(&mut window, "forwarder-break-small");
}

#[test]
fn without_a_pin_both_stages_say_what_is_missing() {
    for stage in [Stage::Choose, Stage::Break] {
        let mut state = with_empty_project();
        state.stage = stage;
        let window = window(state, SMALL);
        window.get_by_label("No sense pin yet");
    }
}

/// The picked fault stands in the readout and on the sheet until the circuit is shown as drawn.
#[test]
fn a_fault_is_shown_as_if_it_were_there() {
    let mut window = window(at("sprayer", Stage::Break, ThemeChoice::Paper), USUAL);
    settle(&mut window);
    window.get_by_label("Find a fault").click();
    window.run_steps(2);
    window.get_by_label("Find a fault").type_text("R1 open");
    window.run_steps(3);
    window.get_all_by_label_contains("R1 open").last().unwrap().click();
    window.run_steps(3);
    settle(&mut window);
    window.run_steps(2);
    window.get_by_label_contains("As if: ");
    let shown = window.state().studies.as_if.shown().expect("it is shown").clone();
    assert_ne!(shown.symptom.ohm, shown.sound.ohm);
    window.state_mut().stage = Stage::Sketch;
    window.run_steps(3);
    window.get_by_label_contains("As if: ");
    picture_of(&mut window, "sprayer-as-if-paper");
    window.get_by_label("show it as drawn").click();
    window.run_steps(3);
    assert!(window.query_by_label_contains("As if: ").is_none());
    assert!(window.state().studies.as_if.shown().is_none());
}
