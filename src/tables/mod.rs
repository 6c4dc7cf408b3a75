//! Wire tables: text of any spreadsheet read, its columns matched, wires planned from it, and written.
//!
//! Nothing here changes a project: a plan is looked at first, and its one edit made afterwards.

mod cell;
mod column;
mod export;
mod matched;
mod names;
mod pieces;
mod plan;
mod raw;

pub use cell::{Decimal, LengthUnit};
pub use column::{Column, Header, Matching, parse_columns};
pub use export::{EXPORT_COLUMNS, WireRecord, records, wire_table_text};
pub use names::{Missing, TerminalNames};
pub use pieces::{PASTE_COLUMNS, Pasted, paste_pieces};
pub use plan::{CellProblem, Fate, ImportPlan, MadeConnector, Moving, PlannedRow, plan};
pub use raw::{Delimiter, RawRow, RawTable, TABLE_ROWS_MOST, decoded, read_table};
