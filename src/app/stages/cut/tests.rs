//! The stage in a harness: rows select their wires, export is a command.

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use crate::app::{Action, Actions, AppState, Command, dispatch, theme};
use crate::edit::Item;
use crate::model::{Project, WireId};
use crate::samples;

use super::cut_ui;

struct Bench {
    state: AppState,
    done: Vec<Action>,
}

fn stage(state: AppState, size: [f32; 2]) -> Harness<'static, Bench> {
    let ui = |ui: &mut egui::Ui, bench: &mut Bench| {
        let state = &mut bench.state;
        theme::apply(ui.ctx(), &state.preferences);
        let revision = state.history.revision();
        state.derived.refresh(state.history.project(), revision, &state.bench, &state.meter);
        let mut actions = Actions::default();
        let (view, _, _, stages) = state.split();
        egui::CentralPanel::default()
            .show(ui, |ui| cut_ui(ui, view, &mut stages.cut, &mut actions));
        for action in actions.take() {
            bench.done.push(action.clone());
            dispatch(state, action);
        }
    };
    let mut harness = Harness::builder()
        .with_size(size)
        .with_max_steps(30)
        .with_context_setup(theme::install_fonts)
        .build_ui_state(ui, Bench { state, done: Vec::new() });
    harness.run();
    harness
}

fn forwarder() -> AppState {
    AppState::new(samples::open("forwarder").unwrap())
}

fn wire_named(project: &Project, name: &str) -> WireId {
    project.wires.iter().find(|(_, wire)| wire.name == name).unwrap().0
}

const TALL: [f32; 2] = [1100.0, 1800.0];

#[test]
fn a_row_selects_its_wire() {
    let mut harness = stage(forwarder(), TALL);
    harness.get_by_label("cut list row, wire D6").click();
    harness.run();
    let state = &harness.state().state;
    assert_eq!(state.selection, [Item::Wire(wire_named(state.project(), "D6"))].into());
}

#[test]
fn export_is_a_command() {
    let mut harness = stage(forwarder(), TALL);
    harness.get_by_label("Export cut list…").click();
    harness.run();
    assert!(harness.state().done.contains(&Action::Run(Command::ExportCutList)));
}
