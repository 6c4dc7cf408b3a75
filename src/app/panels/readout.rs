//! What the pin reads now: the large figure, the action, the band.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::view::View;

/// What the pin reads now: the large figure, the action, the band.
pub fn readout_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let _ = (view, actions);
    ui.label("Readout");
}
