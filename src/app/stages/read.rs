//! Stage Read: the state table and the band ruler.

use egui::Ui;

use crate::app::action::Actions;
use crate::app::view::View;

/// What the stage remembers between frames.
#[derive(Default)]
pub struct ReadState {}

/// Stage Read: the state table and the band ruler.
pub fn read_ui(ui: &mut Ui, view: View<'_>, own: &mut ReadState, actions: &mut Actions) {
    let _ = (view, own, actions);
    ui.label("Read");
}
