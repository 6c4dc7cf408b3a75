//! Properties of what is selected.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::view::View;

/// What the panel remembers between frames.
#[derive(Default)]
pub struct InspectorState {}

/// Properties of what is selected.
pub fn inspector_ui(ui: &mut Ui, view: View<'_>, focus_name: bool, own: &mut InspectorState, actions: &mut Actions) {
    let _ = (view, actions, own, focus_name);
    ui.label("Inspector");
}
