//! The sum in words.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::view::View;

/// The sum in words.
pub fn working_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let _ = (view, actions);
    ui.label("Working");
}
