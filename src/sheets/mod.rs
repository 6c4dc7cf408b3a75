//! Sheets of paper: everything a stranger needs to build, repair or copy the job without the program.
//!
//! A sheet fills [`Page`]s, lists of items at fixed places in millimetres; [`svg`] and [`pdf`] only
//! walk them. Nothing here reads the clock, a file or the network, so equal projects give equal bytes.

mod bidi;
mod board;
mod board_map;
mod cautions;
mod clip;
mod connectors;
mod controller;
mod csv_text;
mod cut;
mod drawing;
mod face;
mod faults;
mod flow;
mod label_sheet;
mod labels;
mod measure;
mod owner;
mod packet;
mod page;
mod pdf;
mod record;
mod rope;
mod routing;
mod ruler;
mod setup;
mod sign_off;
mod state_letters;
mod states;
mod straight;
mod svg;
mod table;
mod taken;
mod test;
mod tiles;
mod words;

pub use bidi::{Way, stretches};
pub use csv_text::{csv_text, file_names, page_names};
pub use flow::{Blank, NamedTable};
pub use label_sheet::LabelSheet;
pub use measure::{Fonts, LEAST_PT};
pub use packet::{Bookmark, Making, Packet, packet, packet_told};
pub use page::{
    Anchor, Ink, Item, MM_PER_POINT, Orientation, Page, Paper, Stroke, Text, Tint, tick_corners,
    wire_strokes,
};
pub use pdf::pdf;
pub use setup::{Setup, SheetKind};
pub use svg::svg;
pub use table::{Cell, Column, Side, Table};
