//! The packet in the window: sheets chosen and put in order, pages looked at, PDF, SVGs and tables saved.
//!
//! Pages are made and files written by workers; the window never waits for either.

mod choices;
mod header;
mod labels;
mod lists;
mod pages;
mod paper;
mod preview;
mod saving;
mod sheets;
mod state;
mod study;
mod ui;
mod walker;
mod worker;

pub use choices::PrintChoices;
pub use saving::SaveWhat;
pub use state::PacketState;
pub use study::PacketStudy;
pub use ui::packet_ui;
