//! File structs to model, with every check the model relies on: limits, ranges, references.

mod at;
mod bench;
mod element;
mod layout;
mod part;
mod project;
mod sense;
mod value;
mod wire;

pub use at::Problem;
pub use project::project;
