//! Draws the sheet and turns pointer and keys into actions.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::canvas::state::CanvasState;
use crate::app::view::View;

/// The sheet with its placing field.
pub fn canvas_ui(ui: &mut Ui, view: View<'_>, own: &mut CanvasState, actions: &mut Actions) {
    let _ = (view, own, actions);
    ui.label("Sheet");
}
