//! Stage Read: does the controller understand every position of every control?

mod header;
mod rows;
mod table;
mod ui;

pub use ui::{ReadState, read_ui};
