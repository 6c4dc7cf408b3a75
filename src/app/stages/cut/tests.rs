//! The stage in a harness: lengths follow places and runs as they are typed.

use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use crate::app::{Action, Actions, AppState, Command, dispatch, theme};
use crate::edit::Item;
use crate::model::{Project, RunId, WireId};
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

fn cut_mm(harness: &Harness<'_, Bench>, name: &str) -> Option<f64> {
    let state = &harness.state().state;
    let id = wire_named(state.project(), name);
    state.derived.cut_list().unwrap().rows.iter().find(|row| row.wire == id).unwrap().cut_mm
}

fn run_named(project: &Project, name: &str) -> RunId {
    project.runs.iter().find(|(_, run)| run.name == name).unwrap().0
}

fn type_into(harness: &mut Harness<'_, Bench>, field: &str, text: &str) {
    harness.get_by_role_and_label(Role::TextInput, field).focus();
    harness.run();
    harness.get_by_role_and_label(Role::TextInput, field).type_text(text);
    harness.run();
}

const TALL: [f32; 2] = [1100.0, 1800.0];

#[test]
fn a_run_that_gets_longer_makes_its_wires_longer() {
    let mut harness = stage(forwarder(), TALL);
    // 3040 mm x 1.03 + 80 + 80 = 3291.2 mm, up to 3300 mm (rule and figures of our own sample machine).
    assert_eq!(cut_mm(&harness, "D2"), Some(3300.0));
    let name = "S3 bulkhead tee to controller";
    type_into(&mut harness, &format!("Length of {name}"), "1580 mm");
    // 3140 x 1.03 + 160 = 3394.2.
    assert_eq!(cut_mm(&harness, "D2"), Some(3400.0));
    let run = run_named(harness.state().state.project(), name);
    type_into(&mut harness, &format!("Length of {name}"), "far");
    let words = harness.get_by_label_contains("Not taken:").value().unwrap();
    assert!(
        words.contains("a length such as 620 mm") && words.contains("1580 mm is kept"),
        "{words}"
    );
    assert_eq!(harness.state().state.project().runs.get(run).unwrap().length_mm, 1580.0);
}

#[test]
fn adding_a_run_gives_a_wire_its_length() {
    let mut state = forwarder();
    let run = run_named(state.project(), "S3 bulkhead tee to controller");
    dispatch(&mut state, Action::Edit(crate::edit::Edit::RemoveRun(run), None));
    let mut harness = stage(state, TALL);
    assert_eq!(cut_mm(&harness, "D2"), None);
    harness.get_by_label("⚠ 3 without a length");
    harness.get_by_role_and_label(Role::Button, "+ Add a run").click();
    harness.run();
    let project = harness.state().state.project();
    let (_, added) = project.runs.iter().last().unwrap();
    let place = |id| project.places.get(id).unwrap().name.clone();
    assert!(
        [place(added.from), place(added.to)].contains(&"controller".to_owned()),
        "it reaches what nothing reached"
    );
    assert!(cut_mm(&harness, "D2").is_some());
}

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

#[test]
fn list_and_layout_take_turns_in_a_narrow_window() {
    let mut harness = stage(forwarder(), [600.0, 1400.0]);
    assert!(harness.query_by_label("+ Add a place").is_none());
    harness.get_by_role_and_label(Role::Button, "Places and runs").click();
    harness.run();
    harness.get_by_label("+ Add a place").click();
    harness.run();
    assert_eq!(harness.state().state.project().places.iter().last().unwrap().1.name, "Place 1");
}
