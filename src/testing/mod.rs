//! Random projects and small circuits in a few lines, for tests, fuzzing and benches.

mod bench;
mod cutting;
mod parts;
mod project;
mod recording;
mod sketch;
mod story;
mod wiring;

pub use project::project;
pub use recording::{Plan, Planted, Recording, Sample, Style, recording};
pub use sketch::{Sketch, at, bare_pin, expectation, parallel_ladder};
