//! Proving: is what was built what was drawn? The bench test, from a reading to its cause, and what
//! earlier readings say of wear.

pub mod diagnose;
mod divider;
pub mod mirror;
pub mod plan;
pub mod replay;
mod typed;
pub mod wear;
mod wiring;

pub use typed::{Quantity, Typed, parse_shown, shown_words};
