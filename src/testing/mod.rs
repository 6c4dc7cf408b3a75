//! Random numbers with a seed and random projects, for tests, fuzzing and benches.

mod project;
mod random;

pub use project::project;
pub use random::Random;
