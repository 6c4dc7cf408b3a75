//! The control strip: levers and buttons as the hand finds them.

mod dial;
mod face;
mod hand;
mod held;
mod keys;
mod lever;
#[cfg(test)]
mod tests;
mod ui;

pub use held::held_ui;
pub use ui::{ControlsState, controls_ui};
