//! The meter with its two leads.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::view::View;

/// The meter with its two leads.
pub fn meter_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let _ = (view, actions);
    ui.label("Meter");
}
