//! Which wire is cut from which piece on hand, and what must be bought new.
//!
//! What is best, in this order: the fewest metres bought new; then the fewest pieces cut into; then
//! the most useful wire left, which is the greatest sum of the squares of the lengths left of all
//! pieces (one long rest is worth more than two short ones); then the fewest substitutes. Lengths
//! are whole micrometres, so nothing is lost to rounding and a proof is a proof.

mod bound;
mod greedy;
mod packing;
mod search;
mod split;
#[cfg(test)]
mod tests;
mod values;

pub use packing::{Demand, Fit, Packing, Places, Score, Stock};
pub use search::{Found, NODES, Proof};
pub use split::best_of_groups;
