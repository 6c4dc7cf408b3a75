//! Sheets of paper: everything a stranger needs to build, repair or copy the job without the program.
//!
//! A sheet fills [`Page`]s, lists of items at fixed places in millimetres; [`svg`] and [`pdf`] only
//! walk them. Nothing here reads the clock, a file or the network, so equal projects give equal bytes.

mod bidi;
mod board;
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
mod states;
mod straight;
mod svg;
mod table;
mod taken;
mod test;
mod tiles;
mod words;

pub use bidi::{Way, stretches};
pub use csv_text::{csv_text, file_names};
pub use flow::{Blank, NamedTable};
pub use measure::{Fonts, LEAST_PT};
pub use packet::{Bookmark, Packet, packet};
pub use page::{Anchor, Ink, Item, Orientation, Page, Paper, Stroke, Text, Tint};
pub use pdf::pdf;
pub use setup::{Setup, SheetKind};
pub use svg::svg;
pub use table::{Cell, Column, Side, Table};
