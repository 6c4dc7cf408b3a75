//! The sheet: drawing, pan and zoom, and what a pointer does on it.

mod state;
mod ui;

pub use state::CanvasState;
pub use ui::canvas_ui;
