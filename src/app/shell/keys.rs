//! Keys that run commands.

use egui::Ui;

use crate::app::action::{Action, Actions};
use crate::app::command::Command;

/// Takes the keys of commands, except those a text field needs while it is typed in.
pub fn command_keys(ui: &Ui, actions: &mut Actions) {
    let is_typing = ui.ctx().text_edit_focused();
    for command in Command::ALL {
        let Some(shortcut) = command.shortcut() else { continue };
        if is_typing && !command.works_while_typing() {
            continue;
        }
        if ui.input_mut(|input| input.consume_shortcut(&shortcut)) {
            actions.push(Action::Run(command));
        }
    }
}
