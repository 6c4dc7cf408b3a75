//! The window's layout: stage words on top, the stage, the cards beside it, the controls below.

use egui::{Align, Layout, Panel, RichText, Ui};

use crate::app::action::{Action, Actions, Stage};
use crate::app::canvas::canvas_ui;
use crate::app::command::Command;
use crate::app::dialogs::DialogAnswer;
use crate::app::dialogs::DialogPurpose;
use crate::app::dispatch::dispatch;
use crate::app::panels;
use crate::app::stages;
use crate::app::state::AppState;
use crate::app::theme;
use crate::app::view::View;
use crate::model::Severity;

/// Width of the cards beside the stage.
const SIDE_WIDTH: f32 = 340.0;
/// Height of the strip below.
const STRIP_HEIGHT: f32 = 196.0;

/// One frame of the whole window: brings results up to date, draws, carries out what was done.
pub fn app_ui(ui: &mut Ui, state: &mut AppState) {
    theme::apply(ui.ctx(), &state.preferences);
    take_dialog_answer(state);
    let revision = state.history.revision();
    let busy = state.derived.refresh(state.history.project(), revision, &state.bench, &state.meter);
    if busy || state.dialogs.is_open() {
        ui.ctx().request_repaint_after(std::time::Duration::from_millis(30));
    }
    let mut actions = Actions::default();
    command_keys(ui, &mut actions);
    panels::notice_ui(ui, state, &mut actions);
    frame_ui(ui, state, &mut actions);
    for action in actions.take() {
        dispatch(state, action);
    }
}

fn frame_ui(ui: &mut Ui, state: &mut AppState, actions: &mut Actions) {
    let recent = state.recent.clone();
    let (view, canvas, panels, stages) = state.split();
    let margin = egui::Margin::symmetric(16, 8);
    Panel::top("top bar")
        .frame(egui::Frame::new().fill(view.palette.card).inner_margin(margin))
        .show_separator_line(false)
        .show(ui, |ui| top_bar_ui(ui, view, &recent, actions));
    let surface =
        egui::Frame::new().fill(view.palette.background).inner_margin(egui::Margin::same(7));
    Panel::bottom("strip")
        .frame(surface)
        .exact_size(STRIP_HEIGHT)
        .show_separator_line(false)
        .show(ui, |ui| strip_ui(ui, view, panels, actions));
    Panel::right("side")
        .frame(surface)
        .exact_size(SIDE_WIDTH)
        .show_separator_line(false)
        .show(ui, |ui| side_ui(ui, view, panels, actions));
    egui::CentralPanel::default().frame(surface).show(ui, |ui| {
        theme::card(view.palette).show(ui, |ui| {
            ui.set_min_size(ui.available_size());
            match view.stage {
                Stage::Sketch => canvas_ui(ui, view, canvas, actions),
                Stage::Read => stages::read_ui(ui, view, &mut stages.read, actions),
                Stage::Cut => stages::cut_ui(ui, view, &mut stages.cut, actions),
            }
        });
    });
    panels::problems_ui(ui, view, &mut panels.problems_open, actions);
    panels::preferences_ui(ui, view, &mut panels.preferences_open, actions);
    panels::help_ui(ui, view, &mut panels.help_open, actions);
}

/// Title, stage words, warnings, undo and the menu.
fn top_bar_ui(ui: &mut Ui, view: View<'_>, recent: &[std::path::PathBuf], actions: &mut Actions) {
    ui.horizontal(|ui| {
        ui.label(RichText::new(&view.project.title).font(theme::bold(16.0)));
        let saved = if view.unsaved { "● not saved" } else { "saved" };
        ui.label(RichText::new(saved).small().color(view.palette.quiet));
        ui.add_space(28.0);
        for stage in Stage::ALL {
            stage_word_ui(ui, view, stage, actions);
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            menu_ui(ui, recent, actions);
            for command in [Command::Redo, Command::Undo] {
                let step = match command {
                    Command::Undo => view.history.undo_title(),
                    _ => view.history.redo_title(),
                };
                let button = egui::Button::new(command.label()).frame(false);
                let tip = step.map_or_else(
                    || command.tip().to_owned(),
                    |step| format!("{}: {step}", command.label()),
                );
                if ui.add_enabled(step.is_some(), button).on_hover_text(tip).clicked() {
                    actions.push(Action::Run(command));
                }
            }
            problems_word_ui(ui, view, actions);
        });
    });
}

fn stage_word_ui(ui: &mut Ui, view: View<'_>, stage: Stage, actions: &mut Actions) {
    let chosen = view.stage == stage;
    let text = RichText::new(stage.word());
    let text = if chosen {
        text.font(theme::bold(15.0))
    } else {
        text.color(view.palette.quiet).size(15.0)
    };
    let response = ui
        .add(egui::Button::new(text).frame(false).selected(false))
        .on_hover_text(stage.question());
    if chosen {
        let at = response.rect.left_bottom() + egui::vec2(2.0, 4.0);
        let line = egui::Rect::from_min_size(at, egui::vec2(response.rect.width() - 4.0, 3.0));
        ui.painter().rect_filled(line, 1.5, view.palette.live);
    }
    if response.clicked() {
        actions.push(Action::ShowStage(stage));
    }
    ui.add_space(14.0);
}

fn problems_word_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let count =
        |severity| view.derived.findings().iter().filter(|f| f.severity == severity).count();
    let (errors, warnings) = (count(Severity::Error), count(Severity::Warning));
    let plural =
        |n: usize, word: &str| if n == 1 { format!("1 {word}") } else { format!("{n} {word}s") };
    let (text, colour) = match (errors, warnings) {
        (0, 0) => ("no problems".to_owned(), view.palette.right),
        (0, warnings) => (plural(warnings, "warning"), view.palette.warning),
        (errors, 0) => (plural(errors, "error"), view.palette.wrong),
        (errors, warnings) => (
            format!("{}, {}", plural(errors, "error"), plural(warnings, "warning")),
            view.palette.wrong,
        ),
    };
    let button = egui::Button::new(RichText::new(text).color(colour)).frame(false);
    if ui.add(button).on_hover_text(Command::Problems.tip()).clicked() {
        actions.push(Action::Run(Command::Problems));
    }
}

fn menu_ui(ui: &mut Ui, recent: &[std::path::PathBuf], actions: &mut Actions) {
    ui.menu_button("Project", |ui| {
        for command in [
            Command::New,
            Command::Open,
            Command::Save,
            Command::SaveAs,
            Command::ExportCutList,
            Command::Preferences,
        ] {
            menu_item_ui(ui, command, actions);
        }
        ui.separator();
        ui.menu_button("Samples", |ui| {
            for sample in crate::samples::LIST {
                if ui.button(sample.title).clicked() {
                    actions.push(Action::OpenSample(sample.name.into()));
                    ui.close();
                }
            }
        });
        ui.menu_button("Recent files", |ui| {
            if recent.is_empty() {
                ui.label("none yet");
            }
            for path in recent {
                let name = path
                    .file_name()
                    .map_or_else(|| path.to_string_lossy(), |name| name.to_string_lossy());
                if ui.button(name).on_hover_text(path.display().to_string()).clicked() {
                    actions.push(Action::OpenFile(path.clone()));
                    ui.close();
                }
            }
        });
        ui.separator();
        menu_item_ui(ui, Command::Help, actions);
        menu_item_ui(ui, Command::Quit, actions);
    });
}

fn menu_item_ui(ui: &mut Ui, command: Command, actions: &mut Actions) {
    let keys = command.shortcut().map_or_else(String::new, |keys| ui.ctx().format_shortcut(&keys));
    let button = egui::Button::new(command.label()).shortcut_text(keys);
    if ui.add(button).on_hover_text(command.tip()).clicked() {
        actions.push(Action::Run(command));
        ui.close();
    }
}

fn strip_ui(ui: &mut Ui, view: View<'_>, own: &mut panels::PanelsState, actions: &mut Actions) {
    let ruler_width = (ui.available_width() * 0.34).clamp(300.0, 620.0);
    theme::card(view.palette).show(ui, |ui| {
        ui.set_min_size(ui.available_size());
        Panel::right("ruler below")
            .frame(egui::Frame::new())
            .exact_size(ruler_width)
            .show_separator_line(false)
            .show(ui, |ui| panels::ruler_ui(ui, view, &mut own.ruler, actions));
        egui::CentralPanel::default()
            .frame(egui::Frame::new())
            .show(ui, |ui| panels::controls_ui(ui, view, &mut own.controls, actions));
    });
}

fn side_ui(ui: &mut Ui, view: View<'_>, own: &mut panels::PanelsState, actions: &mut Actions) {
    egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 10.0;
        let width = ui.available_width();
        let mut card = |ui: &mut Ui, add: &mut dyn FnMut(&mut Ui, &mut Actions)| {
            theme::card(view.palette).show(ui, |ui| {
                ui.set_width(width - 30.0);
                add(ui, actions);
            });
        };
        card(ui, &mut |ui, actions| panels::readout_ui(ui, view, actions));
        let focus = std::mem::take(&mut own.focus_name);
        let inspector = &mut own.inspector;
        let mut inspect = |ui: &mut Ui, actions: &mut Actions| {
            panels::inspector_ui(ui, view, focus, inspector, actions);
        };
        // While wires are cut, what is selected matters more than the sum and the meter.
        if view.stage == Stage::Cut {
            card(ui, &mut inspect);
        }
        card(ui, &mut |ui, actions| panels::working_ui(ui, view, actions));
        card(ui, &mut |ui, actions| panels::meter_ui(ui, view, &mut own.meter, actions));
        if view.stage != Stage::Cut {
            card(ui, &mut inspect);
        }
    });
}

/// Keys that run commands, unless a field takes the text.
fn command_keys(ui: &mut Ui, actions: &mut Actions) {
    let typing = ui.ctx().egui_wants_keyboard_input();
    for command in Command::ALL {
        let Some(shortcut) = command.shortcut() else { continue };
        if typing && !command.works_while_typing() {
            continue;
        }
        if ui.input_mut(|input| input.consume_shortcut(&shortcut)) {
            actions.push(Action::Run(command));
        }
    }
}

fn take_dialog_answer(state: &mut AppState) {
    match state.dialogs.answer() {
        Some(DialogAnswer::Picked(purpose, path)) => {
            let action = match purpose {
                DialogPurpose::Open => Action::OpenFile(path),
                DialogPurpose::SaveProject(_) => Action::SaveTo(path),
                DialogPurpose::ExportCutList(_) => Action::ExportCutList(path),
            };
            dispatch(state, action);
        }
        Some(DialogAnswer::NoneHere(purpose)) => state.show_path_field(purpose),
        Some(DialogAnswer::Cancelled) => state.pending_after_save = None,
        None => {}
    }
}
