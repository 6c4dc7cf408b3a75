//! What the pin reads now: the large figure, the decoded action, the band, one sentence.

mod as_if;
mod band_bar;
mod facts;
mod ui;

pub use ui::readout_ui;
