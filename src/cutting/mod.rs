//! From routes to what lies on the bench: the cut list.

pub mod allotment;
mod csv_text;
mod cut_list;
#[cfg(test)]
mod fixture;
mod natural;

pub use csv_text::{CSV_COLUMNS, csv_text};
pub use cut_list::{CutList, CutRow, CutTotal, cut_list};
pub use natural::natural_order;
