//! File structs to model, with every check the model relies on: limits, ranges, references.

mod at;
mod bench;
mod cutting;
mod element;
mod face;
mod layout;
mod moving;
mod part;
mod project;
mod record;
mod sense;
mod story;
mod underlay;
mod value;
mod wire;
mod wiring;

pub use at::Problem;
pub use project::project;
