//! Theme, text size, units, resistor sign.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::view::View;

/// Theme, text size, units, resistor sign.
pub fn preferences_ui(ui: &mut Ui, view: View<'_>, open: &mut bool, actions: &mut Actions) {
    let _ = (view, actions);
    if !*open {
        return;
    }
    ui.label("Preferences");
}
