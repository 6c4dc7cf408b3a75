//! Fields that several panels share: text that is checked, choices, colours, sizes, faces of connectors.

mod choice;
mod colour;
mod face;
mod field;
mod halves;
mod optional;
mod pen;
mod plot;
mod quantity;
mod range;
mod rings;
mod row;
mod terminal;

pub use choice::{choice, choice_wide};
pub use colour::{colour_ui, swatch};
pub use face::{CavityLook, CavityMark, face_ui, plan_ui};
pub use field::{Field, Fields, Taking, Typing};
pub use halves::{Half, halves_from_ui, halves_ui};
pub use optional::{UNKNOWN, optional_row, tolerance_row};
pub use pen::Pen;
pub use plot::{quiet_axis, still_plot};
pub use quantity::{
    number_text, ohm_text, parse_count, parse_named, parse_ohms, parse_positive, parse_size,
    parse_unit, percent_text, range_text, size_in_other_system,
};
pub use range::{RangeUnit, range_row};
pub use rings::{ring_names, rings_ui};
pub use row::{add_word, heading, is_out_of_sight, label_cell, quiet, remove_sign, word_button};
pub use terminal::{terminal_choice, terminal_words};
