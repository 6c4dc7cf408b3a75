//! The control strip: levers and buttons as the hand finds them.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::view::View;

/// What the panel remembers between frames.
#[derive(Default)]
pub struct ControlsState {}

/// The control strip: levers and buttons as the hand finds them.
pub fn controls_ui(ui: &mut Ui, view: View<'_>, own: &mut ControlsState, actions: &mut Actions) {
    let _ = (view, actions, own);
    ui.label("Controls");
}
