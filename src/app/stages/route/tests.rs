//! The stage in a harness: lengths follow places and runs as they are typed.

use egui::accesskit::Role;
use egui::{Rect, Vec2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use crate::app::canvas::PX_PER_MM;
use crate::app::stages::route::tags::Tag;
use crate::app::{Action, Actions, AppState, dispatch, theme};
use crate::edit::{Edit, Item};
use crate::geometry::point;
use crate::model::{Part, PartId, Project, RunId, WireId};
use crate::samples;

use super::route_ui;

fn stage(state: AppState, size: [f32; 2]) -> Harness<'static, AppState> {
    let ui = |ui: &mut egui::Ui, state: &mut AppState| {
        theme::apply(ui.ctx(), &state.preferences);
        let revision = state.history.revision();
        state.derived.refresh(state.history.project(), revision, &state.bench, &state.meter);
        let mut actions = Actions::default();
        let (view, _, _, stages) = state.split();
        egui::CentralPanel::default()
            .show(ui, |ui| route_ui(ui, view, &mut stages.route, &mut actions));
        for action in actions.take() {
            dispatch(state, action);
        }
    };
    let mut state = state;
    state.stage = crate::app::Stage::Route;
    let mut harness = Harness::builder()
        .with_size(size)
        .with_max_steps(30)
        .with_context_setup(theme::install_fonts)
        .build_ui_state(ui, state);
    harness.run();
    harness
}

fn forwarder() -> AppState {
    AppState::new(samples::open("forwarder").unwrap())
}

fn wire_named(project: &Project, name: &str) -> WireId {
    project.wires.iter().find(|(_, wire)| wire.name == name).unwrap().0
}

fn cut_mm(harness: &Harness<'_, AppState>, name: &str) -> Option<f64> {
    let state = harness.state();
    let id = wire_named(state.project(), name);
    state.derived.cut_list().unwrap().rows.iter().find(|row| row.wire == id).unwrap().cut_mm
}

fn run_named(project: &Project, name: &str) -> RunId {
    project.runs.iter().find(|(_, run)| run.name == name).unwrap().0
}

fn type_into(harness: &mut Harness<'_, AppState>, field: &str, text: &str) {
    harness.get_by_role_and_label(Role::TextInput, field).focus();
    harness.run();
    harness.get_by_role_and_label(Role::TextInput, field).type_text(text);
    harness.run();
}

fn page(harness: &mut Harness<'_, AppState>, word: &str) {
    harness.get_by_role_and_label(Role::Button, word).click();
    harness.run();
}

const TALL: [f32; 2] = [1100.0, 1800.0];

#[test]
fn a_run_that_gets_longer_makes_its_wires_longer() {
    let mut harness = stage(forwarder(), TALL);
    page(&mut harness, "Runs");
    // 3040 mm x 1.03 + 80 + 80 = 3291.2 mm, up to 3300 mm (rule and figures of our own sample machine).
    assert_eq!(cut_mm(&harness, "D2"), Some(3300.0));
    let name = "S3 bulkhead tee to controller";
    type_into(&mut harness, &format!("Length of {name}"), "1580 mm");
    // 3140 x 1.03 + 160 = 3394.2.
    assert_eq!(cut_mm(&harness, "D2"), Some(3400.0));
    let run = run_named(harness.state().project(), name);
    type_into(&mut harness, &format!("Length of {name}"), "far");
    let words = harness.get_by_label_contains("Not taken:").value().unwrap();
    assert!(words.contains("a length such as 620 mm") && words.contains("1580 mm is kept"));
    assert_eq!(harness.state().project().runs.get(run).unwrap().length_mm, 1580.0);
}

#[test]
fn a_run_of_the_list_asks_for_its_length_and_gives_a_wire_its_route() {
    let mut state = forwarder();
    let run = run_named(state.project(), "S3 bulkhead tee to controller");
    dispatch(&mut state, Action::Edit(Edit::RemoveRun(run), None));
    let mut harness = stage(state, TALL);
    assert_eq!(cut_mm(&harness, "D2"), None);
    harness.get_by_label_contains("wires have no route");
    page(&mut harness, "Runs");
    let before = harness.state().project().runs.len();
    harness.get_by_role_and_label(Role::Button, "+ Add a run …").click();
    harness.run();
    assert_eq!(harness.state().project().runs.len(), before, "nothing is made up");
    harness.get_by_role_and_label(Role::TextInput, "Length of the new run").type_text("1.48 m");
    harness.run();
    harness.key_press(egui::Key::Enter);
    harness.run();
    let project = harness.state().project();
    let (_, added) = project.runs.iter().last().unwrap();
    let place = |id| project.places.get(id).unwrap().name.clone();
    assert_eq!(added.length_mm, 1480.0);
    assert!([place(added.from), place(added.to)].contains(&"controller".to_owned()));
    assert!(cut_mm(&harness, "D2").is_some());
}

#[test]
fn a_wire_without_a_route_says_which_run_is_missing_and_leads_there() {
    let mut state = forwarder();
    let run = run_named(state.project(), "S2 floor grommet to bulkhead tee");
    dispatch(&mut state, Action::Edit(Edit::RemoveRun(run), None));
    let mut harness = stage(state, TALL);
    page(&mut harness, "Wires");
    harness.get_by_label("Show what D2 lacks").click();
    harness.run();
    let state = harness.state();
    assert_eq!(state.selection, [Item::Wire(wire_named(state.project(), "D2"))].into());
    let names = state
        .stages
        .route
        .missing
        .unwrap()
        .map(|id| state.project().places.get(id).unwrap().name.clone());
    assert_eq!(names, ["floor grommet", "bulkhead tee"]);
}

#[test]
fn lists_and_layout_take_turns_in_a_narrow_window() {
    let mut harness = stage(forwarder(), [600.0, 900.0]);
    assert!(harness.query_by_role_and_label(Role::Canvas, "Layout").is_some());
    assert!(harness.query_by_role_and_label(Role::Button, "Runs").is_none());
    page(&mut harness, "Lists");
    page(&mut harness, "Runs");
    harness.get_by_label("+ Add a place").click();
    harness.run();
    assert_eq!(harness.state().project().places.iter().last().unwrap().1.name, "Place 1");
}

/// What the layout shows now: names of places, lengths, and how far all of it was moved since it was painted.
fn painted(harness: &Harness<'_, AppState>) -> (Vec<Tag>, Vec<(RunId, Rect)>, Vec2) {
    let painted = harness.state().stages.route.painted.as_ref().unwrap();
    (painted.picture.tags.clone(), painted.picture.labels.clone(), painted.moved)
}

#[test]
fn a_pan_takes_along_what_was_painted_and_at_rest_it_is_painted_anew() {
    let mut harness = stage(forwarder(), TALL);
    let (tags, labels, moved) = painted(&harness);
    assert!(moved == Vec2::ZERO && !tags.is_empty() && !labels.is_empty());
    let scale = {
        let transform = harness.state_mut().stages.route.transform.as_mut().unwrap();
        transform.centre = transform.centre + point(5.0, -3.0);
        (PX_PER_MM * transform.zoom) as f32
    };
    harness.step();
    let by = vec2(-5.0, 3.0) * scale;
    let (panned, panned_labels, moved) = painted(&harness);
    assert!((moved - by).length() < 0.01, "{moved:?} {by:?}");
    for (before, after) in tags.iter().zip(&panned) {
        assert!((after.rect.min - before.rect.min - by).length() < 0.01, "{before:?} {after:?}");
    }
    assert_eq!(panned_labels.len(), labels.len());
    harness.run();
    let rested = painted(&harness);
    assert_eq!(rested.2, Vec2::ZERO);
    harness.state_mut().stages.route.painted = None;
    harness.run();
    assert_eq!(painted(&harness), rested, "the same as painted from nothing");
    // A step beyond what was painted leaves nothing out.
    let transform = harness.state_mut().stages.route.transform.as_mut().unwrap();
    transform.centre = transform.centre + point(400.0 / f64::from(scale), 0.0);
    harness.step();
    assert_eq!(painted(&harness).2, Vec2::ZERO);
}

#[test]
fn lists_follow_an_edit_while_the_layout_is_out_of_sight() {
    let mut state = forwarder();
    let seated: Vec<(PartId, Part)> = state
        .project()
        .parts
        .iter()
        .filter(|(_, part)| part.place.is_some())
        .take(2)
        .map(|(id, part)| (id, part.clone()))
        .collect();
    let loosened = |place: bool, (id, part): &(PartId, Part)| {
        let place = part.place.filter(|_| place);
        Action::Edit(Edit::SetPart(*id, Box::new(Part { place, ..part.clone() })), None)
    };
    for row in &seated {
        dispatch(&mut state, loosened(false, row));
    }
    let mut harness = stage(state, [600.0, 900.0]);
    page(&mut harness, "Lists");
    let listed = |harness: &Harness<'_, AppState>, at: usize| {
        let part = &seated[at].1;
        let label = if part.label.is_empty() {
            format!("{}, {}: without a place", part.name, part.kind.noun())
        } else {
            format!("{}, {}, {}: without a place", part.name, part.kind.noun(), part.label)
        };
        harness.query_by_label(&label).is_some()
    };
    assert!(listed(&harness, 0) && listed(&harness, 1));
    dispatch(harness.state_mut(), loosened(true, &seated[0]));
    harness.run();
    assert!(!listed(&harness, 0) && listed(&harness, 1), "the other one is still to be placed");
}
