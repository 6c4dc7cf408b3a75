//! The harness as a physical thing: routes, lengths, what a wire weighs in the circuit.

mod layout;
mod length;
mod lengths;
mod ohms;
mod taps;
mod via;
mod wire_data;

pub use layout::{Layout, RouteTree};
pub use length::{LengthResult, WireLength};
pub use lengths::{cut_length_mm, end_kinds, end_places, wire_lengths};
pub use ohms::wire_ohms;
pub use taps::{TapPlace, tap_fractions, tap_places};
pub use via::{missing_run, via_through, without_via};
pub use wire_data::{COPPER_PER_K, OhmPerMetre, Standing, ohm_per_metre};
