//! Questions that wait for an answer: unsaved work, work left over from a crash, a path.
//!
//! They stand on a calm card under the top bar and block nothing.

use std::path::{Path, PathBuf};

use egui::{Align2, Area, Button, Id, Key, Label, Modifiers, Order, RichText, TextEdit, Ui, vec2};

use crate::app::action::{Action, Actions, UnsavedAnswer};
use crate::app::dialogs::DialogPurpose;
use crate::app::state::{AppState, PathField, Recovery};
use crate::app::theme;
use crate::app::theme::Palette;

/// Width of the card.
const WIDTH: f32 = 520.0;

/// Shows the one question that is most pressing, if any.
pub fn questions_ui(ui: &Ui, state: &mut AppState, actions: &mut Actions) {
    let palette = Palette::of(state.preferences.theme);
    let is_new = |seen: &mut Option<Question>, now: Question| seen.replace(now) != Some(now);
    let seen = &mut state.panels.question_seen;
    if let Some(field) = &mut state.path_field {
        let is_new = is_new(seen, Question::Path);
        card_ui(ui, palette, |ui| path_ui(ui, palette, field, is_new, actions));
    } else if state.pending.is_some() {
        let is_new = is_new(seen, Question::Unsaved);
        let title = state.history.project().title.as_str();
        card_ui(ui, palette, |ui| unsaved_ui(ui, palette, title, is_new, actions));
    } else if let Some(recovery) = &state.recovery {
        *seen = Some(Question::Recovery);
        card_ui(ui, palette, |ui| recovery_ui(ui, palette, recovery, actions));
    } else {
        *seen = None;
    }
}

/// Which question stands on the card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Question {
    /// Where a file is or goes.
    Path,
    /// What to do with unsaved work.
    Unsaved,
    /// What to do with work left over from a crash.
    Recovery,
}

fn card_ui(ui: &Ui, palette: &Palette, add: impl FnOnce(&mut Ui)) {
    let width = WIDTH.min(ui.max_rect().width() - 24.0);
    Area::new(Id::unique("question"))
        .order(Order::Foreground)
        .anchor(Align2::CENTER_TOP, vec2(0.0, 54.0))
        .show(ui.ctx(), |ui| {
            let frame = theme::card(palette)
                .stroke(egui::Stroke::new(1.5, palette.live))
                .inner_margin(egui::Margin::symmetric(18, 14))
                .shadow(egui::Shadow {
                    offset: [0, 4],
                    blur: 18,
                    spread: 0,
                    color: egui::Color32::from_black_alpha(60),
                });
            let inside = width - frame.total_margin().sum().x;
            frame.show(ui, |ui| {
                ui.set_width(inside);
                add(ui);
            });
        });
}

fn heading_ui(ui: &mut Ui, text: &str) {
    ui.add(Label::new(RichText::new(text).font(theme::bold(theme::TEXT_HEADING))).wrap());
}

fn unsaved_ui(ui: &mut Ui, palette: &Palette, title: &str, is_new: bool, actions: &mut Actions) {
    heading_ui(ui, &format!("“{title}” has changes that are not saved."));
    let mut answer = None;
    ui.horizontal_wrapped(|ui| {
        let save = main_button(ui, palette, "Save");
        if is_new {
            save.request_focus();
        }
        if save.clicked() {
            answer = Some(UnsavedAnswer::Save);
        }
        if ui.button("Throw the changes away").clicked() {
            answer = Some(UnsavedAnswer::Discard);
        }
        if ui.button("Stay here").clicked() {
            answer = Some(UnsavedAnswer::Cancel);
        }
    });
    if is_escape(ui) {
        answer = Some(UnsavedAnswer::Cancel);
    }
    if let Some(answer) = answer {
        actions.push(Action::AnswerUnsaved(answer));
    }
}

fn recovery_ui(ui: &mut Ui, palette: &Palette, recovery: &Recovery, actions: &mut Actions) {
    heading_ui(ui, "Ohmloom stopped before your last changes were saved.");
    let from = match &recovery.file {
        Some(path) => format!("from {}", path.display()),
        None => "never saved to a file".into(),
    };
    let text = format!("“{}”, {from}, as it was {}.", recovery.project.title, recovery.age);
    ui.add(Label::new(RichText::new(text).color(palette.quiet)).wrap());
    ui.horizontal_wrapped(|ui| {
        if main_button(ui, palette, "Take the changes over").clicked() {
            actions.push(Action::AnswerRecovery(true));
        }
        if ui.button("Throw them away").clicked() {
            actions.push(Action::AnswerRecovery(false));
        }
    });
}

fn path_ui(
    ui: &mut Ui,
    palette: &Palette,
    field: &mut PathField,
    is_new: bool,
    actions: &mut Actions,
) {
    let (heading, word) = match field.purpose {
        DialogPurpose::Open => ("Path of the project to open", "Open"),
        DialogPurpose::CompareWith => ("Path of the version to compare with", "Compare"),
        DialogPurpose::SaveProject(_) => ("Path to save the project under", "Save"),
        DialogPurpose::OpenLog => ("Path of the log to open", "Open"),
        DialogPurpose::TakePicture => ("Path of the picture to put beneath the layout", "Take"),
        DialogPurpose::ExportCutList(_) => ("Path to write the cut list to", "Write"),
        DialogPurpose::OpenWireTable => ("Path of the wire table to read", "Read"),
        DialogPurpose::ExportWires(_) => ("Path to write the wires to", "Write"),
        DialogPurpose::SavePacket(what, _) => (what.question(), "Write"),
    };
    heading_ui(ui, heading);
    let edit = TextEdit::singleline(&mut field.text)
        .id_salt("path field")
        .desired_width(f32::INFINITY)
        .hint_text(match field.purpose {
            DialogPurpose::OpenLog => "such as /home/me/field-day.csv",
            DialogPurpose::OpenWireTable | DialogPurpose::ExportWires(_) => {
                "such as /home/me/wires.csv"
            }
            DialogPurpose::ExportCutList(_) => "such as /home/me/cut-list.csv",
            DialogPurpose::TakePicture => "such as /home/me/loader.jpg",
            DialogPurpose::SavePacket(..) => "such as /home/me/loader.pdf",
            DialogPurpose::Open | DialogPurpose::CompareWith | DialogPurpose::SaveProject(_) => {
                "such as /home/me/loader.ohmloom"
            }
        });
    let response = ui.add(edit);
    response
        .widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, "Path of the file"));
    if is_new {
        response.request_focus();
    }
    if is_new || response.changed() {
        field.finding = finding_about(&field.purpose, &field.text, field.own_file.as_deref());
    }
    let (word, is_ready) = match &field.finding {
        PathFinding::Fine => (word, true),
        PathFinding::Replaces => ("Replace it", true),
        PathFinding::IntoFolder => (word, true),
        PathFinding::Refused(_) => (word, false),
    };
    match &field.finding {
        PathFinding::Fine => {}
        PathFinding::Replaces => {
            let text = "There is a file of that name already.";
            ui.label(RichText::new(format!("▲ {text}")).color(palette.warning));
        }
        PathFinding::IntoFolder => {
            let text = "That folder is there: files of the same names in it are replaced.";
            ui.label(RichText::new(format!("▲ {text}")).color(palette.warning));
        }
        PathFinding::Refused(why) => {
            ui.add(Label::new(RichText::new(why).color(palette.quiet)).wrap());
        }
    }
    let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    // Enter alone never replaces a file: that takes the button.
    let entered = entered && matches!(field.finding, PathFinding::Fine);
    let mut answer = None;
    ui.horizontal(|ui| {
        let go = ui.add_enabled_ui(is_ready, |ui| main_button(ui, palette, word)).inner;
        if go.clicked() || entered {
            answer = Some(Some(expanded(&field.text)));
        }
        if ui.button("Leave it").clicked() {
            answer = Some(None);
        }
    });
    if is_escape(ui) {
        answer = Some(None);
    }
    if let Some(answer) = answer {
        actions.push(Action::AnswerPath(answer));
    }
}

/// What is to be said about a typed path.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum PathFinding {
    /// Nothing.
    #[default]
    Fine,
    /// A file would be replaced.
    Replaces,
    /// The folder is there; files of the same names in it would be replaced.
    IntoFolder,
    /// It cannot be used, and why.
    Refused(String),
}

fn finding_about(purpose: &DialogPurpose, text: &str, own_file: Option<&Path>) -> PathFinding {
    let refused = |why: &str| PathFinding::Refused(why.into());
    if text.trim().is_empty() {
        return refused("Type a path, or drop a file on the window.");
    }
    let path = expanded(text);
    match purpose {
        DialogPurpose::Open
        | DialogPurpose::OpenWireTable
        | DialogPurpose::CompareWith
        | DialogPurpose::OpenLog
        | DialogPurpose::TakePicture => {
            if path.is_file() {
                PathFinding::Fine
            } else {
                refused("There is no such file yet.")
            }
        }
        DialogPurpose::SavePacket(what, _) if what.is_folder() => {
            let parent = path.parent().filter(|folder| !folder.as_os_str().is_empty());
            if path.is_file() {
                refused("That is a file: type the name of a folder.")
            } else if parent.is_some_and(|folder| !folder.is_dir()) {
                refused("There is no such folder yet.")
            } else if path.is_dir() {
                PathFinding::IntoFolder
            } else {
                PathFinding::Fine
            }
        }
        DialogPurpose::SaveProject(_)
        | DialogPurpose::ExportCutList(_)
        | DialogPurpose::SavePacket(..)
        | DialogPurpose::ExportWires(_) => {
            let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
            if path.is_dir() {
                refused("That is a folder: add the name of the file.")
            } else if folder.is_some_and(|folder| !folder.is_dir()) {
                refused("There is no such folder yet.")
            } else if path.exists() && own_file != Some(&path) {
                PathFinding::Replaces
            } else {
                PathFinding::Fine
            }
        }
    }
}

/// The path as typed, with `~` as the home folder.
fn expanded(text: &str) -> PathBuf {
    let text = text.trim();
    match (text.strip_prefix("~/"), std::env::home_dir()) {
        (Some(rest), Some(home)) => home.join(rest),
        (Some(_), None) | (None, _) => text.into(),
    }
}

fn main_button(ui: &mut Ui, palette: &Palette, word: &str) -> egui::Response {
    let text = RichText::new(word).font(theme::bold(theme::TEXT_BODY)).color(palette.card);
    ui.add(Button::new(text).fill(palette.live))
}

fn is_escape(ui: &Ui) -> bool {
    ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_judged_before_anything_is_written() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name).display().to_string();
        std::fs::write(folder.path().join("there.ohmloom"), "x").unwrap();
        let save = DialogPurpose::SaveProject(String::new());
        let judge = |purpose: &DialogPurpose, text: &str| finding_about(purpose, text, None);
        assert_eq!(judge(&save, &at("new.ohmloom")), PathFinding::Fine);
        assert_eq!(judge(&save, &at("there.ohmloom")), PathFinding::Replaces);
        assert!(matches!(judge(&save, &at("")), PathFinding::Refused(_)));
        assert!(matches!(judge(&save, &at("no folder/a.ohmloom")), PathFinding::Refused(_)));
        assert!(matches!(judge(&save, "  "), PathFinding::Refused(_)));
        assert_eq!(judge(&DialogPurpose::Open, &at("there.ohmloom")), PathFinding::Fine);
        assert!(matches!(judge(&DialogPurpose::Open, &at("gone")), PathFinding::Refused(_)));
        let own = folder.path().join("there.ohmloom");
        assert_eq!(finding_about(&save, &at("there.ohmloom"), Some(&own)), PathFinding::Fine);
    }
}
