//! What to do in a step: leads, faces, how to hold the controls, notes.

use egui::{Align, Layout, RichText, Ui};

use crate::app::panels::held_ui;
use crate::app::stages::prove::bench::connect;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::check::state_words;
use crate::model::State;
use crate::proving::plan::Step;

/// Title, leads, faces, controls, notes.
pub(super) fn what_ui(ui: &mut Ui, view: View<'_>, step: &Step, is_low: bool) {
    let palette = view.palette;
    let size = if is_low { 17.0 } else { 22.0 };
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(&step.title).font(theme::bold(size)));
        quiet(ui, step.kind.word(), palette);
    });
    if let Some(why) = &step.blocked {
        let words = format!("– Cannot be done yet: {why}.");
        ui.label(RichText::new(words).font(theme::plain(16.0)).color(palette.warning));
    }
    ui.add_space(2.0);
    let has_faces = step.red.is_some() || step.black.is_some();
    let full = ui.available_width();
    if has_faces && full >= 560.0 {
        ui.horizontal_top(|ui| {
            let size = egui::vec2((full * 0.5).floor(), 10.0);
            ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
                ui.set_min_width(size.x);
                connect_ui(ui, step);
            });
            ui.vertical(|ui| connect::faces_ui(ui, view, step));
        });
    } else {
        connect_ui(ui, step);
    }
    if let Some(state) = &step.state {
        hold_ui(ui, view, state);
    }
    if has_faces && full < 560.0 {
        connect::faces_ui(ui, view, step);
    }
    for note in &step.notes {
        quiet(ui, format!("• {note}"), palette);
    }
}

/// What to connect, in words.
fn connect_ui(ui: &mut Ui, step: &Step) {
    for (n, line) in step.connect.iter().enumerate() {
        ui.label(RichText::new(format!("{}  {line}", n + 1)).font(theme::plain(16.0)));
    }
}

/// How to hold the controls, in words and drawn.
fn hold_ui(ui: &mut Ui, view: View<'_>, state: &State) {
    ui.horizontal_wrapped(|ui| {
        quiet(ui, "Hold the controls:", view.palette);
        let words = state_words(view.project, state);
        ui.label(RichText::new(words).font(theme::bold(16.0)).color(view.palette.live));
    });
    let all = if state.0.is_empty() { all_of(view) } else { state.clone() };
    held_ui(ui, view, &all);
}

/// Every control at rest, spelled out.
fn all_of(view: View<'_>) -> State {
    State(view.project.controls.iter().map(|(id, control)| (id, control.rest)).collect())
}
