//! The menu of the project: files, steps, samples, pages.

use std::path::PathBuf;

use egui::{Button, Ui};

use crate::app::action::{Action, Actions};
use crate::app::command::Command;
use crate::app::view::View;
use crate::samples;

/// The one menu of the window.
pub fn menu_ui(ui: &mut Ui, view: View<'_>, recent: &[PathBuf], actions: &mut Actions) {
    let files = [Command::New, Command::Open, Command::Save, Command::SaveAs];
    ui.menu_button("Project", |ui| {
        ui.set_min_width(230.0);
        // In a low window the menu scrolls instead of leaving the screen.
        let height = ui.ctx().content_rect().height() - 70.0;
        egui::ScrollArea::vertical().max_height(height).show(ui, |ui| {
            items_ui(ui, &files, actions);
            samples_ui(ui, actions);
            recent_ui(ui, recent, actions);
            items_ui(ui, &[Command::Packet, Command::ExportCutList, Command::TakePicture], actions);
            items_ui(ui, &[Command::WireTable, Command::ExportWires], actions);
            ui.separator();
            item_ui(ui, Command::Undo, view.history.undo_title().is_some(), actions);
            item_ui(ui, Command::Redo, view.history.redo_title().is_some(), actions);
            ui.separator();
            let pages =
                [Command::Problems, Command::Preferences, Command::SwitchTheme, Command::Help];
            items_ui(ui, &pages, actions);
            ui.separator();
            items_ui(ui, &[Command::Quit], actions);
        });
    });
}

fn samples_ui(ui: &mut Ui, actions: &mut Actions) {
    ui.menu_button("Samples", |ui| {
        for sample in samples::LIST {
            if ui.button(sample.title).clicked() {
                actions.push(Action::OpenSample(sample.name.into()));
                ui.close();
            }
        }
    });
}

fn recent_ui(ui: &mut Ui, recent: &[PathBuf], actions: &mut Actions) {
    ui.menu_button("Recent files", |ui| {
        if recent.is_empty() {
            ui.label("None yet");
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
}

fn items_ui(ui: &mut Ui, commands: &[Command], actions: &mut Actions) {
    for command in commands {
        item_ui(ui, *command, true, actions);
    }
}

fn item_ui(ui: &mut Ui, command: Command, is_enabled: bool, actions: &mut Actions) {
    let keys = command.shortcut().map_or_else(String::new, |keys| ui.ctx().format_shortcut(&keys));
    let button = Button::new(command.label()).shortcut_text(keys);
    if ui.add_enabled(is_enabled, button).on_hover_text(command.tip()).clicked() {
        actions.push(Action::Run(command));
        ui.close();
    }
}
