//! The top bar: title, stage words, problems, undo and the menu.

use std::path::PathBuf;

use egui::{Align, Button, Label, Layout, Rect, RichText, Ui, vec2};

use crate::app::action::{Action, Actions, Stage};
use crate::app::command::Command;
use crate::app::shell::menu::menu_ui;
use crate::app::shell::room::Room;
use crate::app::theme;
use crate::app::view::View;
use crate::model::Severity;

/// Air between two stage words.
const WORD_GAP: f32 = 14.0;
/// A title shorter than this is left out; the window's own title still says it.
const LEAST_TITLE: f32 = 70.0;

/// Title, stage words, problems, undo and the menu, in one line that never overlaps itself.
pub fn top_bar_ui(
    ui: &mut Ui,
    view: View<'_>,
    room: Room,
    recent: &[PathBuf],
    actions: &mut Actions,
) {
    ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            menu_ui(ui, view, recent, actions);
            if room.has_undo_words {
                step_words_ui(ui, view, actions);
            }
            problems_word_ui(ui, view, actions);
            if room.has_packet_word {
                packet_word_ui(ui, view, actions);
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let words = Stage::ALL.map(|stage| stage_word_width(ui, view, stage));
                let n_words = words.len() as f32;
                let words: f32 = words.iter().sum::<f32>() + 8.0 * n_words;
                // With large text the words move together before they leave the bar.
                let gap = ((ui.available_width() - words) / n_words).clamp(0.0, WORD_GAP);
                title_ui(ui, view, ui.available_width() - words - gap * n_words);
                if gap < WORD_GAP {
                    ui.spacing_mut().item_spacing.x = 4.0;
                    ui.spacing_mut().button_padding.x = 4.0;
                }
                for stage in Stage::ALL {
                    stage_word_ui(ui, view, stage, actions);
                    ui.add_space(gap);
                }
            });
        });
    });
}

fn title_ui(ui: &mut Ui, view: View<'_>, room: f32) {
    let (mark, tip) = match (view.unsaved, view.file) {
        (true, _) => ("● not saved", "There are changes that are not saved yet".to_owned()),
        (false, Some(path)) => ("saved", path.display().to_string()),
        (false, None) => ("", String::new()),
    };
    let mark_width = if mark.is_empty() { 0.0 } else { 90.0 };
    let title_room = room - mark_width - 28.0;
    if title_room >= LEAST_TITLE {
        let title = RichText::new(&view.project.title).font(theme::bold(16.0));
        ui.scope(|ui| {
            ui.set_max_width(title_room);
            ui.add(Label::new(title).truncate());
        });
    }
    if !mark.is_empty() && room >= mark_width {
        let mark = RichText::new(mark).small().color(view.palette.quiet);
        ui.label(mark).on_hover_text(tip);
    }
    if title_room >= LEAST_TITLE {
        ui.add_space(20.0);
    }
}

fn stage_font(is_chosen: bool) -> egui::FontId {
    if is_chosen { theme::bold(theme::TEXT_HEADING) } else { theme::plain(theme::TEXT_HEADING) }
}

fn stage_word_width(ui: &Ui, view: View<'_>, stage: Stage) -> f32 {
    let font = stage_font(is_shown(view, stage));
    let text = ui.painter().layout_no_wrap(stage.word().into(), font, view.palette.ink);
    text.size().x + 2.0 * ui.spacing().button_padding.x
}

fn stage_word_ui(ui: &mut Ui, view: View<'_>, stage: Stage, actions: &mut Actions) {
    let is_chosen = is_shown(view, stage);
    let colour = if is_chosen { view.palette.ink } else { view.palette.quiet };
    let text = RichText::new(stage.word()).font(stage_font(is_chosen)).color(colour);
    let response = ui.add(Button::new(text).frame(false)).on_hover_text(stage.question());
    response.widget_info(|| {
        egui::WidgetInfo::selected(egui::Role::Button, true, is_chosen, stage.word())
    });
    if is_chosen {
        let at = response.rect.left_bottom() + vec2(2.0, 4.0);
        let line = Rect::from_min_size(at, vec2(response.rect.width() - 4.0, 3.0));
        ui.painter().rect_filled(line, 1.5, view.palette.live);
    }
    if response.clicked() {
        actions.push(Action::ShowStage(stage));
    }
}

/// Whether the stage is in sight.
fn is_shown(view: View<'_>, stage: Stage) -> bool {
    view.stage == stage && !view.packet.is_open
}

/// Opens the packet and closes it again.
fn packet_word_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let is_open = view.packet.is_open;
    let colour = if is_open { view.palette.ink } else { view.palette.quiet };
    let word = RichText::new(Command::Packet.label()).font(stage_font(is_open)).color(colour);
    let response = ui.add(Button::new(word).frame(false));
    response.widget_info(|| {
        egui::WidgetInfo::selected(egui::Role::Button, true, is_open, Command::Packet.label())
    });
    if is_open {
        let at = response.rect.left_bottom() + vec2(2.0, 4.0);
        let line = Rect::from_min_size(at, vec2(response.rect.width() - 4.0, 3.0));
        ui.painter().rect_filled(line, 1.5, view.palette.live);
    }
    let keys = Command::Packet.shortcut().map(|keys| ui.ctx().format_shortcut(&keys));
    let tip = format!("{} ({})", Command::Packet.tip(), keys.unwrap_or_default());
    if response.on_hover_text(tip).clicked() {
        actions.push(Action::Run(Command::Packet));
    }
}

fn step_words_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let steps =
        [(Command::Redo, view.history.redo_title()), (Command::Undo, view.history.undo_title())];
    for (command, step) in steps {
        let keys =
            command.shortcut().map_or_else(String::new, |keys| ui.ctx().format_shortcut(&keys));
        let tip = step.map_or_else(
            || format!("Nothing to {}", command.label().to_lowercase()),
            |step| format!("{}: {step} ({keys})", command.label()),
        );
        let button = Button::new(command.label()).frame(false);
        let response = ui.add_enabled(step.is_some(), button);
        if response.on_hover_text(&tip).on_disabled_hover_text(&tip).clicked() {
            actions.push(Action::Run(command));
        }
    }
}

/// How many findings there are, in words; opens the list.
fn problems_word_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let (errors, warnings) =
        view.derived.findings().iter().fold((0, 0), |(e, w), finding| match finding.severity {
            Severity::Error => (e + 1, w),
            Severity::Warning => (e, w + 1),
            Severity::Note => (e, w),
        });
    let counted =
        |n: usize, word: &str| if n == 1 { format!("1 {word}") } else { format!("{n} {word}s") };
    let (text, colour) = match (view.derived.failure(), errors, warnings) {
        (Some(_), ..) => ("✖ not reckoned".to_owned(), view.palette.wrong),
        (None, 0, 0) => ("✔ no problems".to_owned(), view.palette.right),
        (None, 0, warnings) => {
            (format!("▲ {}", counted(warnings, "warning")), view.palette.warning)
        }
        (None, errors, 0) => (format!("✖ {}", counted(errors, "error")), view.palette.wrong),
        (None, errors, warnings) => (
            format!("✖ {}, {}", counted(errors, "error"), counted(warnings, "warning")),
            view.palette.wrong,
        ),
    };
    let button = Button::new(RichText::new(text).color(colour)).frame(false);
    if ui.add(button).on_hover_text(Command::Problems.tip()).clicked() {
        actions.push(Action::Run(Command::Problems));
    }
}
