//! The sheet as marks and lines: symbols, terminal places, wire runs and what lies under a point.
//!
//! Pure functions of the project in sheet millimetres. The canvas paints their results and the
//! printed sheets walk them; nothing here knows a screen, a colour or a font file.

mod connector;
mod controller;
mod element;
mod face;
#[cfg(test)]
mod fixtures;
mod frame;
mod hit;
mod junction;
mod local;
mod mark;
mod route;
mod symbol;
mod terminal;
mod wire;

pub use face::{
    Convention, FacePlan, FaceSide, FaceView, convention_words, face_pos, numbering_words,
    parse_convention, parse_numbering, seen_as,
};
pub use frame::{frame_title, frame_title_rect};
pub use hit::{FrameGrip, Hit, hit, hit_among};
pub use junction::{junctions, partings};
pub use mark::{Align, Fill, Mark, TextRole, Tone, Weight, marks_rect, text_width_mm};
pub use symbol::{ResistorSign, SymbolLook, symbol};
pub use terminal::{part_rect, terminal_exit, terminal_pos};
pub use wire::{wire_label_pos, wire_label_rect, wire_path, wire_paths};

/// Spacing of the grid all terminals stand on, in millimetres.
pub const GRID_MM: f64 = 2.5;

/// Height of ordinary text on the sheet in millimetres; 13 points of the screen at 100 %.
pub const TEXT_MM: f64 = 3.3;
