//! The window: everything that knows egui, files picked by hand, and threads.
//!
//! During a frame the project is immutable. A panel is a function `name_ui(ui, view, own, actions)`
//! that draws and says what a hand did; after the frame [`dispatch`] makes it happen.

mod action;
pub mod canvas;
mod command;
mod derived;
mod dialogs;
mod dispatch;
#[cfg(test)]
mod fixture;
mod meter;
pub mod panels;
mod prefs;
mod reading;
mod ruler;
mod shell;
pub mod stages;
mod state;
pub mod theme;
mod view;
pub mod widgets;
mod window;

pub use action::{Action, Actions, Lead, Stage};
pub use command::Command;
pub use derived::{Derived, PinLive};
pub use dialogs::{DialogAnswer, DialogPurpose, Dialogs, NoDialogs};
pub use dispatch::dispatch;
pub use meter::{MeterMode, MeterState};
pub use prefs::{AreaUnit, LengthUnit, Preferences, ThemeChoice};
pub use shell::app_ui;
pub use state::{AppState, Notice, Pending};
pub use view::View;
pub use window::{Start, run};
