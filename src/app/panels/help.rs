//! The help page: how to start, and all keys.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::view::View;

/// The help page: how to start, and all keys.
pub fn help_ui(ui: &mut Ui, view: View<'_>, open: &mut bool, actions: &mut Actions) {
    let _ = (view, actions);
    if !*open {
        return;
    }
    ui.label("Help");
}
