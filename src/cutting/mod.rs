//! From routes to what lies on the bench: cut list, wire ends, pieces on hand, what to buy.

mod allot;
pub mod allotment;
mod compare;
mod compare_parts;
mod csv_text;
mod cut_done;
mod cut_list;
mod drawer;
mod ends;
#[cfg(test)]
mod fixture;
mod natural;
mod shopping;

pub use allot::{Allotment, Cut, NewWire, PiecePlan, allot, allot_within};
pub use compare::{Compared, Comparison, Difference, Fate, compare};
pub use compare_parts::{ComparedResistor, UNCLEAR, compare_resistors, unclear_resistors};
pub use csv_text::{CSV_COLUMNS, csv_text};
pub use cut_done::cut_done;
pub use cut_list::{CutList, CutRow, CutTotal, cut_list};
pub use drawer::{
    LEAST_TIMES_EXPECTED, MOST_TIMES_EXPECTED, NOT_MEASURED, PieceVerdict, is_good, judge_pieces,
};
pub use ends::{EndPlan, build_order, build_steps, end_plans, half_of, tolerance_mm};
pub use natural::natural_order;
pub use shopping::{Goods, Item, ShoppingList, Unit, shopping_list, wire_name};
