//! The window's layout: stage words on top, the stage, the cards beside it, the controls below.

mod frame;
mod keys;
mod menu;
mod room;
mod top_bar;

pub use frame::app_ui;
