//! The strip in a harness: what a pointer and keys do to it, by the names of its controls.

use super::*;
use crate::app::action::Action;
use crate::app::command::Command;
use crate::app::fixture::{Bench, ladder};
use crate::app::theme;
use crate::model::ControlId;
use egui::{Key, Modifiers};
use egui::{Role, WidgetInfo, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

struct Strip(Bench, ControlsState);

fn strip() -> Harness<'static, Strip> {
    Harness::builder()
        .with_size(vec2(900.0, 170.0))
        .with_context_setup(theme::install_fonts)
        .build_ui_state(
            |ui, strip: &mut Strip| {
                theme::apply(ui.ctx(), &strip.0.preferences);
                let (view, actions) = strip.0.split();
                controls_ui(ui, view, &mut strip.1, actions);
            },
            Strip(Bench::new(ladder().0), ControlsState::default()),
        )
}

fn ids(harness: &Harness<'_, Strip>) -> Vec<ControlId> {
    harness.state().0.history.project().controls.ids().collect()
}

#[test]
fn a_click_moves_what_stays_and_a_press_holds_what_returns() {
    let mut harness = strip();
    let ids = ids(&harness);
    harness.get_by_label("Gate: HOLD").click();
    harness.run();
    assert_eq!(harness.state_mut().0.actions.take(), [Action::MoveControl(ids[0], 1)]);
    let middle = harness.get_by_label("Rim UP").rect().center();
    harness.drag_at(middle);
    harness.run();
    assert_eq!(harness.state_mut().0.actions.take(), [Action::MoveControl(ids[2], 1)]);
    harness.run();
    assert_eq!(harness.state_mut().0.actions.take(), [], "it is held, not pressed again and again");
    harness.drop_at(middle);
    harness.run();
    assert_eq!(harness.state_mut().0.actions.take(), [Action::ReleaseControl(ids[2])]);
    harness.get_by_label("Mode: C").click();
    harness.run();
    assert_eq!(harness.state_mut().0.actions.take(), [Action::MoveControl(ids[4], 2)]);
}

#[test]
fn a_lever_is_held_by_its_side_and_looks_barred_without_what_it_needs() {
    let mut harness = strip();
    let ids = ids(&harness);
    harness.get_by_label("needs Gate HOLD");
    assert!(harness.get_by_label("Lever: fore").accesskit_node().is_disabled());
    harness.state_mut().0.state.0.insert(ids[0], 1);
    harness.run();
    assert!(harness.query_by_label("needs Gate HOLD").is_none());
    let side = harness.get_by_label("Lever: aft").rect().center();
    harness.drag_at(side);
    harness.run();
    assert_eq!(harness.state_mut().0.actions.take(), [Action::MoveControl(ids[1], 0)]);
    harness.drop_at(side);
    harness.run();
    assert_eq!(harness.state_mut().0.actions.take(), [Action::ReleaseControl(ids[1])]);
}

#[test]
fn number_keys_hold_and_shift_keeps() {
    let mut harness = strip();
    let ids = ids(&harness);
    harness.key_down(Key::Num3);
    harness.run();
    harness.key_up(Key::Num3);
    harness.run();
    let want = [Action::MoveControl(ids[2], 1), Action::ReleaseControl(ids[2])];
    assert_eq!(harness.state_mut().0.actions.take(), want);
    harness.key_press_modifiers(Modifiers::SHIFT, Key::Num3);
    harness.run();
    let want = [Action::MoveControl(ids[2], 1), Action::LatchControl(ids[2], true)];
    assert_eq!(harness.state_mut().0.actions.take(), want);
}

#[test]
fn the_keep_switch_presses_a_button_and_keeps_it() {
    let mut harness = strip();
    let ids = ids(&harness);
    harness.get_by_label("Keep Rim DOWN").click();
    harness.run();
    let want = [Action::MoveControl(ids[3], 1), Action::LatchControl(ids[3], true)];
    assert_eq!(harness.state_mut().0.actions.take(), want);
    harness.state_mut().0.state.0.insert(ids[3], 1);
    harness.state_mut().0.latched.insert(ids[3]);
    harness.run();
    harness.get_by_label("all to rest").click();
    harness.get_by_label("Let go of Rim DOWN").click();
    harness.run();
    let want = [Action::Run(Command::RestControls), Action::LatchControl(ids[3], false)];
    assert_eq!(harness.state_mut().0.actions.take(), want);
}

#[test]
fn keys_leave_a_field_alone() {
    let mut harness = Harness::builder().with_context_setup(theme::install_fonts).build_ui_state(
        |ui, (strip, text): &mut (Strip, String)| {
            let field = ui.text_edit_singleline(text);
            field.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, "a field"));
            let (view, actions) = strip.0.split();
            controls_ui(ui, view, &mut strip.1, actions);
        },
        (Strip(Bench::new(ladder().0), ControlsState::default()), String::new()),
    );
    harness.get_by_label("a field").focus();
    harness.run();
    harness.key_press(Key::Num1);
    harness.run();
    assert_eq!(harness.state_mut().0.0.actions.take(), []);
}
