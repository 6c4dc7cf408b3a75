//! The notice line and the questions that wait for an answer.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::state::AppState;

/// The notice line and the questions that wait for an answer.
pub fn notice_ui(ui: &mut Ui, state: &mut AppState, actions: &mut Actions) {
    let _ = (state, actions);
    let _ = ui;
}
