//! From a circuit to what the controller understands.

mod apparent;
mod convert;
mod currents;
mod eats;
mod ends;
mod findings;
mod harness_report;
mod meter;
mod powered;
mod reader;
mod row;
mod verdict;
mod wires;

pub use convert::{Measure, NetworkOhm, Reading};
pub use eats::{Eater, Slope};
pub use ends::Ends;
pub use harness_report::HarnessReport;
pub use meter::{ohm_error, shown_ohm, shown_volt, volt_error};
pub use powered::{DRAWS, Live, PinVolt};
pub use reader::{Judge, MeterReading, Reader, Run};
pub use row::{Margin, PinTable, StateRow, Verdict};
pub use verdict::{Outcome, asked, decode, judge};
pub use wires::wire_data;
