//! From a circuit to what the controller understands.

mod reader;
mod row;

pub use reader::{MeterReading, Reader};
pub use row::{Margin, PinTable, StateRow, Verdict};
