//! The band ruler: an axis of readings with the bands, every state as a bar, and a needle for now.
//!
//! Facts are built first and know no screen; [`ruler_plot_ui`] paints them, small or large.

mod axis;
mod facts;
mod histogram;
mod memo;
mod paint;
mod ui;

pub use axis::Axis;
pub use facts::current_row;
pub use histogram::SUMMARY_FROM;
pub use memo::RulerMemo;
pub use paint::band_colour;
pub use ui::{RulerSize, ruler_plot_ui};
