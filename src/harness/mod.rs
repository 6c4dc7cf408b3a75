//! The harness as a physical thing: routes, lengths, bundles, what a wire weighs in the circuit, how
//! much it may carry.

mod ampacity;
mod behind;
mod bundle;
mod current;
mod current_tables;
mod feeds;
mod fuse;
mod gauge;
mod layout;
mod length;
mod lengths;
mod ohms;
mod outside;
mod packing;
mod plugs;
mod taps;
mod twist;
mod via;
mod volt;
mod wire_data;

pub use ampacity::{Ampacity, Surroundings, ampacity};
pub use bundle::{
    BEND_LONG_TERM, BEND_NEVER_BELOW, BundleSize, HOLE_CLEARANCE_MM, RunReport, SUPPORT_MM,
    run_reports, run_reports_of, support_mm,
};
pub use current::{Current, Told, asked_currents, wire_currents};
pub use current_tables::{BLADE_AMP, space_bundle_factor};
pub use feeds::{DROP_LIMITS, Feed, WARM_C, feeds};
pub use fuse::{BLADE_VOLT, FUSE_LOADED_TO, FuseAdvice, drawn_fuses, fuse_advice};
pub use gauge::{AIRCRAFT_LOADED_TO, WireReport, ohm_at, run_loading, wire_reports};
pub use layout::{Layout, RouteTree, Stop, Stretch, splice_mm};
pub use length::{LengthResult, WireLength};
pub use lengths::{cut_length_mm, end_kinds, end_places, wire_lengths};
pub use ohms::wire_ohms;
pub use outside::{NoOutside, Outside, outside_of};
pub use packing::{EQUAL, Effort, Found, Packing, pack, rule_of_thumb_mm};
pub use plugs::{HalfFill, half_fills};
pub use taps::{TapPlace, tap_fractions, tap_places};
pub use twist::{take_up_of, twist_take_up};
pub use via::{missing_run, via_through, without_via};
pub use volt::judged_volt;
pub use wire_data::{
    COPPER_PER_K, OhmPerMetre, Standing, insulation_of, ohm_per_metre, ohm_per_metre_of,
    own_sources_of,
};
