//! The band ruler: bands, states and a needle for now.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::view::View;

/// The band ruler: bands, states and a needle for now.
pub fn ruler_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let _ = (view, actions);
    ui.label("Ruler");
}
