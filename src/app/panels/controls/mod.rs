//! The control strip: levers and buttons as the hand finds them.

mod face;
mod hand;
mod keys;
mod lever;
mod ui;

pub use ui::{ControlsState, controls_ui};
