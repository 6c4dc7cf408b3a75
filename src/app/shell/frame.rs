//! One frame of the whole window.

use std::time::Duration;

use egui::{CentralPanel, Frame, Margin, Panel, Rect, ScrollArea, Ui};

use crate::app::action::{Action, Actions, Stage};
use crate::app::canvas::{CanvasState, canvas_ui};
use crate::app::dialogs::{DialogAnswer, DialogPurpose};
use crate::app::dispatch::dispatch;
use crate::app::packet::packet_ui;
use crate::app::panels::{self, Page, PanelsState};
use crate::app::prove_studies::ProvePage;
use crate::app::shell::keys::command_keys;
use crate::app::shell::room::Room;
use crate::app::shell::top_bar::top_bar_ui;
use crate::app::stages::{self, RouteState, StagesState};
use crate::app::state::AppState;
use crate::app::theme;
use crate::app::view::View;

/// How often a worker or a dialog is asked for its answer.
const ASK_AGAIN: Duration = Duration::from_millis(30);

/// Height that controls and band ruler are made for.
const STRIP_CONTENT: f32 = 156.0;

/// Height of the line above the controls, which gives way where there is less.
const STRIP_HEAD: f32 = 26.0;

/// One frame of the whole window: brings results up to date, draws, carries out what was done.
pub fn app_ui(ui: &mut Ui, state: &mut AppState) {
    if state.themed != Some(state.preferences) {
        theme::apply(ui.ctx(), &state.preferences);
        state.themed = Some(state.preferences);
    }
    fit_to_text_scale(ui, state);
    take_dialog_answer(state);
    let revision = state.history.revision();
    let project = state.history.project();
    let is_busy = state.derived.refresh(project, revision, &state.bench, &state.meter);
    let shown = state.shown_pin();
    let is_studying =
        state.studies.refresh(project, (revision, shown), (state.stage, &state.bench));
    let mut actions = Actions::default();
    let is_weighing = state.stage == Stage::Route && state.harness.refresh(state.history.project());
    state.pictures.refresh(ui.ctx(), state.history.project(), &mut actions);
    refresh_record(ui.ctx(), state);
    let is_printing = state.packet.refresh(state.history.project(), revision, &mut actions);
    if is_printing
        || is_busy
        || is_studying
        || is_weighing
        || state.pictures.is_busy()
        || state.record.is_busy()
        || state.dialogs.is_open()
    {
        ui.ctx().request_repaint_after(ASK_AGAIN);
    }
    command_keys(ui, &mut actions);
    panels::questions_ui(ui, state, &mut actions);
    let stage = frame_ui(ui, state, &mut actions);
    panels::notice_ui(ui.ctx(), stage, state, &mut actions);
    for action in actions.take() {
        dispatch(state, action);
    }
}

/// Photos and files of the set-up record are looked for while its page is in sight.
fn refresh_record(ctx: &egui::Context, state: &mut AppState) {
    let is_shown = state.stage == Stage::Prove && state.studies.proving.page == ProvePage::SetUp;
    if is_shown {
        state.record.refresh(ctx, state.history.project(), state.file.as_deref());
    } else {
        state.record.forget();
    }
}

/// A new text scale leaves the sheet another size: the drawing is fitted to it.
fn fit_to_text_scale(ui: &Ui, state: &mut AppState) {
    let scale = ui.ctx().zoom_factor();
    let seen = state.panels.text_scale_seen.replace(scale);
    if seen.is_some_and(|seen| seen != scale) {
        state.canvas.fit_wanted = true;
        state.stages.route.fit_wanted = true;
    }
}

/// Draws all regions and returns where the stage stands.
fn frame_ui(ui: &mut Ui, state: &mut AppState, actions: &mut Actions) -> Rect {
    let recent = state.recent.clone();
    let (view, canvas, panels, stages) = state.split();
    let room = Room::of(ui.max_rect().size(), panels.page.is_some_and(Page::is_wide));
    let margin = Margin::symmetric(16, 8);
    Panel::top("top bar")
        .frame(Frame::new().fill(view.palette.card).inner_margin(margin))
        .show_separator_line(false)
        .show(ui, |ui| top_bar_ui(ui, view, room, &recent, actions));
    let surface = Frame::new().fill(view.palette.background).inner_margin(Margin::same(7));
    if view.packet.is_open {
        // It takes the whole work area.
        return work_ui(ui, view, (room, surface), (panels, actions), |ui, actions| {
            packet_ui(ui, view, &mut stages.packet, actions);
        });
    }
    // A small window belongs to the page that is worked on.
    let spares = stages.prove.spares(view);
    if !(spares.strip && room.is_low) {
        Panel::bottom("strip")
            .frame(surface)
            .exact_size(room.strip)
            .show_separator_line(false)
            .show(ui, |ui| strip_ui(ui, view, panels, actions));
    }
    if !(spares.cards && room.is_tight) {
        Panel::right("side")
            .frame(surface)
            .exact_size(room.side)
            .show_separator_line(false)
            .show(ui, |ui| side_ui(ui, view, (&mut *panels, &mut stages.route), actions));
    }
    work_ui(ui, view, (room, surface), (panels, actions), |ui, actions| {
        stage_ui(ui, view, canvas, stages, actions);
    })
}

/// The work in what room is left, and an open page beside it, or in its place where there is none.
fn work_ui(
    ui: &mut Ui,
    view: View<'_>,
    (room, surface): (Room, Frame),
    (panels, actions): (&mut PanelsState, &mut Actions),
    work: impl FnOnce(&mut Ui, &mut Actions),
) -> Rect {
    if panels.page.is_some() && !room.page_covers_stage {
        Panel::right("page")
            .frame(surface)
            .exact_size(room.page)
            .show_separator_line(false)
            .show(ui, |ui| panels::page_ui(ui, view, panels, actions));
    }
    let stage = CentralPanel::default().frame(surface).show(ui, |ui| {
        if panels.page.is_some() && room.page_covers_stage {
            panels::page_ui(ui, view, panels, actions);
        } else {
            work(ui, actions);
        }
    });
    stage.response.rect
}

fn stage_ui(
    ui: &mut Ui,
    view: View<'_>,
    canvas: &mut CanvasState,
    stages: &mut StagesState,
    actions: &mut Actions,
) {
    theme::card(view.palette).show(ui, |ui| {
        ui.set_min_size(ui.available_size());
        match view.stage {
            Stage::Sketch => canvas_ui(ui, view, canvas, actions),
            Stage::Read => stages::read_ui(ui, view, &mut stages.read, actions),
            Stage::Choose => stages::choose_ui(ui, view, &mut stages.choose, actions),
            Stage::Break => stages::break_ui(ui, view, &mut stages.breaking, actions),
            Stage::Route => stages::route_ui(ui, view, &mut stages.route, actions),
            Stage::Cut => stages::cut_ui(ui, view, &mut stages.cut, actions),
            Stage::Prove => stages::prove_ui(ui, view, &mut stages.prove, actions),
        }
    });
}

/// Controls, and the band ruler beside them. With large text the line above the controls gives way to
/// their names, and the strip scrolls.
fn strip_ui(ui: &mut Ui, view: View<'_>, own: &mut PanelsState, actions: &mut Actions) {
    theme::card(view.palette).show(ui, |ui| {
        ui.set_min_size(ui.available_size());
        own.controls.has_head = ui.available_height() >= STRIP_CONTENT;
        if own.controls.has_head {
            strip_content_ui(ui, view, own, actions);
            return;
        }
        ui.spacing_mut().scroll = egui::style::ScrollStyle::thin();
        ScrollArea::vertical().id_salt("strip").auto_shrink(false).show(ui, |ui| {
            let size = egui::vec2(ui.available_width(), STRIP_CONTENT - STRIP_HEAD);
            ui.allocate_ui(size, |ui| strip_content_ui(ui, view, own, actions));
        });
    });
}

fn strip_content_ui(ui: &mut Ui, view: View<'_>, own: &mut PanelsState, actions: &mut Actions) {
    let width = ui.available_width();
    let ruler_width = (width * 0.34).clamp(190.0, 620.0).min(width * 0.5);
    Panel::right("ruler below")
        .frame(Frame::new())
        .exact_size(ruler_width)
        .show_separator_line(false)
        .show(ui, |ui| panels::ruler_ui(ui, view, &mut own.ruler, actions));
    CentralPanel::default()
        .frame(Frame::new())
        .show(ui, |ui| panels::controls_ui(ui, view, &mut own.controls, actions));
}

/// The cards beside the stage, one under the other.
fn side_ui(
    ui: &mut Ui,
    view: View<'_>,
    (own, route): (&mut PanelsState, &mut RouteState),
    actions: &mut Actions,
) {
    ui.spacing_mut().scroll = egui::style::ScrollStyle::thin();
    ScrollArea::both().auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 10.0;
        let width = ui.available_width();
        let mut card = |ui: &mut Ui, add: &mut dyn FnMut(&mut Ui, &mut Actions)| {
            let frame = theme::card(view.palette);
            let inside = width - frame.total_margin().sum().x;
            frame.show(ui, |ui| {
                ui.set_width(inside);
                add(ui, actions);
            });
        };
        card(ui, &mut |ui, actions| panels::readout_ui(ui, view, actions));
        let focus = std::mem::take(&mut own.focus_name);
        let inspector = &mut own.inspector;
        let mut inspect = |ui: &mut Ui, actions: &mut Actions| {
            panels::inspector_ui(ui, view, focus, inspector, actions);
        };
        if view.stage == Stage::Route {
            card(ui, &mut |ui, actions| stages::route_card_ui(ui, view, route, actions));
        }
        // While wires are laid and cut, what is selected matters more than the sum and the meter.
        let comes_first = match view.stage {
            Stage::Cut => true,
            Stage::Route => view.layout.is_none() && !view.selection.is_empty(),
            Stage::Sketch | Stage::Read | Stage::Choose | Stage::Break | Stage::Prove => false,
        };
        if comes_first {
            card(ui, &mut inspect);
        }
        card(ui, &mut |ui, actions| panels::working_ui(ui, view, actions));
        card(ui, &mut |ui, actions| panels::meter_ui(ui, view, &mut own.meter, actions));
        if !comes_first {
            card(ui, &mut inspect);
        }
    });
}

fn take_dialog_answer(state: &mut AppState) {
    match state.dialogs.answer() {
        Some(DialogAnswer::Picked(purpose, path)) => {
            let action = match purpose {
                DialogPurpose::Open => Action::OpenFile(path),
                DialogPurpose::CompareWith => Action::CompareWith(Some(path)),
                DialogPurpose::SaveProject(_) => Action::SaveTo(path),
                DialogPurpose::OpenLog => Action::OpenLog(Some(path)),
                DialogPurpose::TakePicture => Action::TakePicture(path),
                DialogPurpose::ExportCutList(_) => Action::ExportCutList(path),
                DialogPurpose::OpenWireTable => Action::OpenWireTable(path),
                DialogPurpose::ExportWires(_) => Action::ExportWires(path),
                DialogPurpose::SavePacket(what, _) => Action::WritePacket(what, path),
            };
            dispatch(state, action);
        }
        Some(DialogAnswer::NoneHere(purpose)) => state.show_path_field(purpose),
        Some(DialogAnswer::Cancelled) => state.pending_after_save = None,
        None => {}
    }
}
