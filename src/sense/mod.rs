//! From a circuit to what the controller understands.

mod convert;
mod findings;
mod reader;
mod row;
mod verdict;
mod wires;

pub use reader::{MeterReading, Reader};
pub use row::{Margin, PinTable, StateRow, Verdict};
