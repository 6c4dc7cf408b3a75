//! What the pin reads now: the large figure, the decoded action, the band, one sentence.

mod band_bar;
mod facts;
mod ui;

pub use ui::readout_ui;
