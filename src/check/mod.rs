//! Every finding about a project in one list, and the cautions that fit it.
//!
//! A finding is no failure: a bad drawing is still a drawing. Each says cause and cure in one
//! sentence and leads to the place.

mod bands;
mod cautions;
mod controls;
mod decades;
mod feeding;
mod findings;
mod laying;
mod lengths;
mod names;
mod plugs;
mod reach;
mod resistors;
mod states;
mod supplies;
mod wiring;

pub use cautions::cautions;
pub use decades::fitting_factor;
pub use findings::{findings, findings_from, harness_findings};
pub use laying::bundles_to_search;
pub use plugs::fed_halves;
pub use states::state_words;

#[cfg(test)]
mod tests;
