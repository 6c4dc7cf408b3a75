//! Proving: is what was built what was drawn? The bench test, from a reading to its cause, and what
//! earlier readings say of wear; the arming story and the sign-off.

mod calendar;
pub mod diagnose;
mod divider;
pub mod mirror;
pub mod plan;
pub mod practice;
pub mod replay;
mod round;
pub mod sign_off;
pub mod story;
mod typed;
pub mod wear;
mod wiring;

pub use calendar::day_number;
pub use round::{Standing, Tally, next_open, standing};
pub use typed::{Quantity, Typed, parse_shown, shown_words};
