//! Stage Cut: wires, places and runs beside the cut list.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::view::View;

/// What the stage remembers between frames.
#[derive(Default)]
pub struct CutState {}

/// Stage Cut: wires, places and runs beside the cut list.
pub fn cut_ui(ui: &mut Ui, view: View<'_>, own: &mut CutState, actions: &mut Actions) {
    let _ = (view, own, actions);
    ui.label("Cut");
}
