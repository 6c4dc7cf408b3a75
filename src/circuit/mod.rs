//! The circuit as a network of resistances: what is joined to what, and what that reads.
//!
//! Two ways that share no code lead to every reading: [`PinNetwork`] (reduce once, walk the
//! controls as a tree) and [`solve`] (plain node equations of one state).

mod active;
mod blocks;
mod change;
mod cut;
mod degenerate;
mod halves;
mod live;
mod netlist;
mod nominal;
mod ohm;
mod pin;
mod port_net;
mod powered;
mod reduce;
pub mod solve;
mod split;
mod states;
mod working;

pub use active::{Active, Law};
pub use change::Change;
pub use degenerate::{bridged_findings, loop_findings, supply_findings};
pub use live::{edge_currents, live_edges};
pub use netlist::{Edge, Netlist, Node, Potential, Source, Switch, WireData};
pub use nominal::{Held, NominalNetwork, Pull};
pub use ohm::{Corner, Ohm};
pub use pin::{MAX_LOOKED_AT, MAX_STATES, PinNetwork, settled};
pub use powered::{Closed, Figure, Powered, RELAYS_MOST, Settled, Tap, Unsettled, Values};
pub use reduce::{Reduced, ohm_between, reduce};
pub use working::working;
