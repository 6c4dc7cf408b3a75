//! From an empty project to a checked ladder, and the other pages of Choose that ask before they draw.

use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use ohmloom::app::{AppState, Stage, ThemeChoice};
use ohmloom::model::Severity;
use ohmloom::sense::Verdict;

use crate::bench::{SMALL, USUAL, picture_of, settle, window, with_empty_project, with_sample};

/// A window and how often a hand did something: every click, and every field that was typed into.
struct Hand {
    window: Harness<'static, AppState>,
    count: usize,
}

impl Hand {
    fn new(mut state: AppState, theme: ThemeChoice, size: [f32; 2]) -> Self {
        state.preferences.theme = theme;
        Self { window: window(state, size), count: 0 }
    }

    fn click(&mut self, label: &str) {
        self.window.get_by_label(label).click();
        self.window.run_steps(3);
        self.count += 1;
    }

    /// A click into the field, and what is typed.
    fn fill(&mut self, label: &str, text: &str) {
        self.window.get_by_role_and_label(role_of(text), label).click();
        self.window.run_steps(2);
        self.count += 1;
        self.window.get_by_role_and_label(role_of(text), label).type_text(text);
        self.window.run_steps(3);
        self.count += 1;
    }

    fn pick(&mut self, field: &str, word: &str) {
        self.window.get_by_role_and_label(Role::ComboBox, field).click();
        self.window.run_steps(3);
        // The list lies above everything else: the last of that name.
        let node = self.window.get_all_by_label(word).last().unwrap();
        node.click();
        self.window.run_steps(3);
        self.count += 2;
    }
}

fn role_of(text: &str) -> Role {
    if text.contains('\n') { Role::MultilineTextInput } else { Role::TextInput }
}

fn verdicts(state: &AppState) -> Vec<Option<Verdict>> {
    let table = state.derived.table(state.shown_pin().unwrap()).unwrap();
    table.rows.iter().map(|row| row.verdict).collect()
}

#[test]
fn from_an_empty_project_to_a_checked_ladder_in_few_actions() {
    let mut hand = Hand::new(with_empty_project(), ThemeChoice::Paper, USUAL);
    hand.click("Choose");
    hand.fill("Actions", "UP, DOWN, HOLD");
    hand.fill("Stations", "column, rim");
    hand.pick("What asks for UP at column", "lever");
    hand.pick("What asks for DOWN at column", "lever");
    hand.pick("What asks for HOLD at column", "toggle");
    hand.pick("What asks for HOLD at rim", "none");
    hand.fill("Pull", "1k");
    hand.fill("Reference", "5 V");
    hand.click("volts");
    picture_of(&mut hand.window, "starter-paper");
    hand.window.get_by_label_contains("✔ the worst case of every reading stays");
    hand.click("Draw it on the sheet");
    assert_eq!(hand.window.state().stage, Stage::Sketch);
    picture_of(&mut hand.window, "starter-drawn");
    // The check: the state table, and the mark that says that nothing is wrong.
    hand.click("Read");
    hand.window.get_by_label("✔ no problems");
    picture_of(&mut hand.window, "starter-read");
    assert!(hand.count <= 25, "{} actions", hand.count);

    let state = hand.window.state();
    assert_eq!(state.project().controls.len(), 4);
    assert!(state.derived.findings().iter().all(|f| f.severity == Severity::Note));
    // Lever of three, toggle of two, two buttons of two.
    assert_eq!(verdicts(state), vec![Some(Verdict::Ok); 3 * 2 * 2 * 2]);
    assert_eq!(state.history.undo_title(), Some("start a ladder"));
    hand.window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    hand.window.run_steps(3);
    let project = hand.window.state().project();
    assert!(project.parts.is_empty() && project.wires.is_empty() && project.sense_pins.is_empty());
}

#[test]
fn bands_that_stand_are_typed_and_met() {
    let mut hand = Hand::new(with_empty_project(), ThemeChoice::Bench, USUAL);
    hand.click("Choose");
    hand.fill("Actions", "HOME, LEFT, RIGHT");
    hand.fill("Pull", "4k7");
    hand.fill("Reference", "3,3");
    hand.click("volts");
    hand.click("stand");
    hand.window.get_by_label_contains("Paste the bands");
    hand.fill(
        "Bands of the papers",
        "home 0.22 0.42\nleft 0.58 0.86\nright 1.05 1.42\nidle 2.3 2.75\nopen 3.1 -",
    );
    hand.window.get_by_label_contains("✔ the worst case");
    picture_of(&mut hand.window, "starter-bands-bench");
    hand.click("Draw it on the sheet");
    assert!(verdicts(hand.window.state()).iter().all(|verdict| *verdict == Some(Verdict::Ok)));
}

#[test]
fn a_ladder_side_by_side_says_what_two_presses_would_do() {
    let mut hand = Hand::new(with_empty_project(), ThemeChoice::Bench, USUAL);
    hand.click("Choose");
    hand.window.get_by_label_contains("Type the actions");
    hand.fill("Actions", "A, B, C, D, E, F");
    hand.click("side by side");
    hand.fill("Pull", "1k");
    hand.fill("Reference", "5");
    picture_of(&mut hand.window, "starter-beside-bench");
    hand.window.get_all_by_label_contains("together read as").next().unwrap();
}

#[test]
fn the_page_can_be_filled_in_on_a_small_window() {
    let mut hand = Hand::new(with_empty_project(), ThemeChoice::Paper, SMALL);
    hand.click("Choose");
    hand.fill("Actions", "UP, DOWN");
    picture_of(&mut hand.window, "starter-small");
    assert!(hand.window.query_by_label_contains("Type the actions").is_none());
}

#[test]
fn a_second_ladder_stands_below_the_first() {
    let mut hand = Hand::new(with_sample("sprayer"), ThemeChoice::Paper, USUAL);
    hand.click("Choose");
    settle(&mut hand.window);
    hand.click("Start a ladder");
    hand.fill("Actions", "HORN");
    hand.click("Draw it on the sheet");
    let project = hand.window.state().project();
    assert_eq!(project.sense_pins.len(), 2);
    assert_eq!(hand.window.state().shown_pin(), project.sense_pins.ids().last());
    assert_eq!(verdicts(hand.window.state()), [Some(Verdict::Ok); 2]);
    picture_of(&mut hand.window, "starter-second");
}

#[test]
fn pull_reference_and_joins_are_worked_out_from_readings() {
    let mut hand = Hand::new(with_sample("rescue-boat"), ThemeChoice::Paper, USUAL);
    hand.click("Choose");
    settle(&mut hand.window);
    hand.click("From readings");
    // 5 V over 1 kΩ and 2.2 kΩ: 5 × 2.2 / 3.2 = 3.4375 V.
    hand.fill("Known resistor", "2k2");
    hand.fill("Volts at the pin", "3,4375");
    hand.fill("Volts of the reference", "5");
    hand.window.get_by_label("The pull is 1.000 kΩ");
    // 1 / (1/1210 + 1/3480) = 897.8 Ω.
    hand.fill("Ohms with the one pressed", "1k21");
    hand.fill("Ohms with the other pressed", "3k48");
    hand.fill("Ohms with both pressed", "898");
    hand.window.get_by_label_contains("side by side: the conductances");
    // 12 V over 2.2 kΩ: 12 R / (R + 2200).
    hand.fill("Ohms and volts", "680 2.833\n2k2 6.000\n4k7 8.174\nopen 12.0");
    hand.window.get_by_label("✔ pull 2.200 kΩ, reference 12.000 V: every row agrees");
    picture_of(&mut hand.window, "infer-paper");
    let take = "take pull and reference for X1-4";
    hand.window.get_all_by_label(take).last().unwrap().click();
    hand.window.run_steps(3);
    let state = hand.window.state();
    let pin = state.project().sense_pins.get(state.shown_pin().unwrap()).unwrap();
    assert_eq!(pin.pull_ohm.unwrap().nominal, 2200.0);
    assert_eq!(pin.reference_volt.unwrap().nominal, 12.0);
}

#[test]
fn a_table_that_fits_nothing_says_why() {
    let mut hand = Hand::new(with_sample("sprayer"), ThemeChoice::Bench, USUAL);
    hand.click("Choose");
    settle(&mut hand.window);
    hand.click("From readings");
    hand.fill("Ohms and volts", "680 2.833\n2k2 7.000\n4k7 8.174\n10k 9.836\nopen 12.0");
    hand.window.get_by_label("✖ No single value fits");
    hand.window.get_by_label_contains("row 2 (2.200 kΩ, 7.000 V) alone does not fit");
    picture_of(&mut hand.window, "infer-bench");
}

#[test]
fn markings_are_written_and_read() {
    let mut hand = Hand::new(with_empty_project(), ThemeChoice::Paper, USUAL);
    hand.click("Choose");
    hand.click("Resistor marking");
    hand.window.get_by_label("472 or 4701");
    hand.window.get_by_label("yellow, violet, black, brown, brown");
    hand.click("four");
    hand.pick("Ring 3", "red");
    hand.pick("Ring 4", "gold");
    picture_of(&mut hand.window, "marking-paper");
    hand.window.get_by_label("4.7 kΩ ± 5 %");
    hand.window.get_by_label("gold stands for no digit");
    hand.fill("Printed marking", "R22");
    hand.window.get_by_label("0.22 Ω");
    picture_of(&mut hand.window, "marking-paper");
}

#[test]
fn a_value_a_decade_off_is_asked_about_and_mended() {
    let mut state = with_sample("sprayer");
    let project = state.project().clone();
    let (id, _) = project.parts.iter().find(|(_, part)| part.name == "R2").unwrap();
    let edit = ohmloom::edit::Edit::SetOhms([(id, 20e3)].into());
    state.history.commit(edit, None).unwrap();
    state.selection = [ohmloom::edit::Item::Part(id)].into();
    let mut hand = Hand::new(state, ThemeChoice::Paper, [1440.0, 1300.0]);
    hand.window.get_by_label_contains("13 times its neighbour R1, 1.5 kΩ: sure?");
    picture_of(&mut hand.window, "decade-paper");
    hand.click("Take 2 kΩ");
    assert!(hand.window.query_by_label_contains("times its neighbour").is_none());
}
