//! The sheet: drawing, pan and zoom, and what a pointer does on it.

mod bar;
mod base;
mod chips;
mod draw;
mod find;
mod gesture;
mod hand;
mod leads;
mod menu;
mod names;
mod paint;
mod pointer;
mod rows;
mod scene;
mod squares;
mod state;
mod symbols;
mod transform;
mod ui;
mod wires;
mod wiring;

pub use gesture::step;
pub use hand::{Hand, Input, SheetView};
pub(in crate::app) use paint::{Brush, paint_ground, paint_words};
pub(in crate::app) use pointer::pan_and_zoom;
pub(in crate::app) use squares::Squares;
pub use state::CanvasState;
pub use transform::{Lens, PX_PER_MM, Transform};
pub use ui::canvas_ui;
