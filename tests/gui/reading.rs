//! Controls, readout, ruler and state table in the whole window: moving a hand changes what the pin reads.

use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use ohmloom::app::{Action, Stage, ThemeChoice, dispatch};
use ohmloom::model::Scale;

use crate::bench::{
    SMALL, USUAL, picture, picture_of, settle, window, with_empty_project, with_project,
    with_sample,
};

/// Sums by hand: 6.81 kΩ alone; 6.81 kΩ beside 1.21 kΩ is 6.81 x 1.21 / 8.02 = 1.027 kΩ;
/// 6.81 kΩ beside 3.48 kΩ is 6.81 x 3.48 / 10.29 = 2.303 kΩ.
#[test]
fn the_figure_follows_gate_lever_and_keys() {
    let mut window = window(with_sample("forwarder"), USUAL);
    window.get_by_label("Reading open");
    window.get_by_label("Gate: HOLD").click();
    window.run();
    window.get_by_label("Reading 6.810 kΩ");
    window.get_by_label("Decodes as HOLD");
    let fore = window.get_by_label("Lever: fore (UP)").rect().center();
    window.drag_at(fore);
    window.run();
    window.get_by_label("Reading 1.027 kΩ");
    window.get_by_label("Decodes as UP");
    window.drop_at(fore);
    window.run();
    window.get_by_label("Reading 6.810 kΩ");
    // Number keys: the fourth control held down, then kept with shift.
    window.key_down(Key::Num4);
    window.run();
    window.get_by_label("Reading 2.303 kΩ");
    window.key_up(Key::Num4);
    window.run();
    window.get_by_label("Reading 6.810 kΩ");
    window.key_press_modifiers(Modifiers::SHIFT, Key::Num4);
    window.run();
    window.get_by_label("Reading 2.303 kΩ");
    window.key_press(Key::Num0);
    window.run();
    window.get_by_label("Reading open");
}

#[test]
fn without_its_gate_the_lever_stays_and_says_why() {
    let mut window = window(with_sample("forwarder"), USUAL);
    window.get_by_label("needs Gate HOLD");
    window.key_press(Key::Num2);
    window.run();
    window.get_by_label("Reading open");
    let notice = window.state().notice.as_ref().map(|notice| notice.text.as_str());
    assert_eq!(notice, Some("Lever moves only with Gate in HOLD."));
}

#[test]
fn bars_and_rows_move_the_controls_there() {
    let mut state = with_sample("forwarder");
    state.stage = Stage::Read;
    let mut window = window(state, USUAL);
    window.get_by_label_contains("State Gate HOLD, Lever aft (DOWN):").click();
    window.run();
    window.get_by_label("Reading 2.303 kΩ");
    window.get_by_label("Row Gate HOLD").click();
    window.run();
    window.get_by_label("Reading 6.810 kΩ");
    window.key_press(Key::ArrowUp);
    window.run();
    assert!(window.query_by_label("Reading 6.810 kΩ").is_none(), "the arrow went to another state");
}

#[test]
fn units_that_lack_a_figure_stay_out_of_reach() {
    let mut window = window(with_sample("forwarder"), USUAL);
    window.get_by_label("Show volts").click();
    window.run();
    window.get_by_label("Reading open");
    let mut window = self::window(with_sample("sprayer"), USUAL);
    window.get_by_label("Show ohms").click();
    window.run();
    // All toggles off leaves the end-of-line resistor of 22 kΩ.
    window.get_by_label("Reading 22.00 kΩ");
}

#[test]
fn pictures_of_readings() {
    let with = |sample: &str, stage, theme, moves: &[(usize, u8)]| {
        let mut state = with_sample(sample);
        state.stage = stage;
        state.preferences.theme = theme;
        let ids: Vec<_> = state.project().controls.ids().collect();
        for (idx, position) in moves {
            dispatch(&mut state, Action::LatchControl(ids[*idx], true));
            dispatch(&mut state, Action::MoveControl(ids[*idx], *position));
        }
        state
    };
    let clash = with("railcar-first-attempt", Stage::Read, ThemeChoice::Paper, &[(1, 1), (2, 1)]);
    picture("railcar-first-attempt-read", clash, USUAL);
    let mut counts = with("sprayer", Stage::Read, ThemeChoice::Bench, &[(0, 1)]);
    dispatch(&mut counts, Action::ReadoutScale(Scale::Count));
    picture("sprayer-read-counts", counts, USUAL);
    picture("boat-read-small", with("rescue-boat", Stage::Read, ThemeChoice::Bench, &[]), SMALL);
    let up = [(0, 1), (1, 2)];
    picture("forwarder-up-small", with("forwarder", Stage::Sketch, ThemeChoice::Paper, &up), SMALL);
    let mut dials = with_empty_project();
    for text in ["selector 4", "lever", "selector 9", "button nc", "toggle", "selector 3"] {
        let placement = ohmloom::edit::parse_placing(text).unwrap();
        dispatch(&mut dials, Action::Edit(ohmloom::edit::Edit::Place(placement), None));
    }
    picture("dials", dials, USUAL);
}

#[test]
fn a_table_of_sixteen_thousand_states_is_summed_up_and_stays_scrollable() {
    let ohms: Vec<f64> = (0..14).map(|n| 500.0 * 1.5f64.powi(n)).collect();
    let (mut sketch, pin) = ohmloom::testing::parallel_ladder(&ohms, 22_000.0);
    let sense = sketch.project.sense_pins.get_mut(pin).unwrap();
    for (name, low, high) in [("ONE", 0.0, 120.0), ("TWO", 130.0, 200.0), ("IDLE", 15e3, 25e3)] {
        sense.bands.push(ohmloom::model::Band {
            name: name.into(),
            role: ohmloom::model::BandRole::Action,
            low,
            high: Some(high),
            harm: ohmloom::model::Harm::Nuisance,
        });
    }
    let mut state = with_project(sketch.project);
    state.stage = Stage::Read;
    let mut window = window(state, USUAL);
    settle(&mut window);
    window.get_by_label("Show the worst 40 states");
    assert!(
        window.query_all_by_label_contains(" not right").count() > 10,
        "columns tell their states"
    );
    picture_of(&mut window, "sixteen-thousand-states");
    window.get_by_label("Show all states").click();
    window.run_steps(2);
    assert!(window.query_all_by_label_contains("Row ").count() < 60, "only rows in sight are made");
    window.key_press(egui::Key::End);
    window.run_steps(3);
    settle(&mut window);
    let last: Vec<String> = (1..=14).map(|n| format!("B{n} p1")).collect();
    window.get_by_label(&format!("Row {}", last.join(", ")));
}
