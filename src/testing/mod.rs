//! Random numbers with a seed, random projects and small circuits in a few lines, for tests, fuzzing and benches.

mod project;
mod random;
mod sketch;

pub use project::project;
pub use random::Random;
pub use sketch::{Sketch, at, bare_pin, expectation, parallel_ladder};
