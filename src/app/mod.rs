//! The window: everything that knows egui, files picked by hand, and threads.
//!
//! During a frame the project is immutable. A panel is a function `name_ui(ui, view, own, actions)`
//! that draws and says what a hand did; after the frame [`dispatch`] makes it happen.

mod action;
mod as_if;
mod break_studies;
pub mod canvas;
mod command;
mod cut_studies;
mod derived;
mod dialogs;
mod dispatch;
mod file_work;
#[cfg(test)]
mod fixture;
mod harness_study;
mod keeper;
mod layout_work;
mod log_study;
mod meter;
mod packet;
mod packet_work;
pub mod panels;
mod pictures;
mod prefs;
mod prove_studies;
mod reading;
mod record_pictures;
mod routes;
mod ruler;
mod shell;
pub mod stages;
mod start;
mod state;
mod studies;
pub mod theme;
mod view;
pub mod widgets;
mod window;
mod wire_tables;

pub use action::{Action, Actions, LayoutItem, Lead, Stage, UnsavedAnswer};
pub use break_studies::{BreakPage, BreakStudies, Counsel};
pub use command::Command;
pub use cut_studies::{CutPage, CutPlan, CutStudies};
pub use derived::{Derived, PinLive};
pub use dialogs::{DialogAnswer, DialogPurpose, Dialogs, NoDialogs};
pub use dispatch::dispatch;
pub use harness_study::HarnessStudy;
pub use keeper::Keeper;
pub use log_study::LogAsk;
pub use meter::{MeterMode, MeterState};
pub use packet::{PacketState, PacketStudy, PrintChoices, SaveWhat};
pub use pictures::{Pictures, Shown};
pub use prefs::{AreaUnit, LengthUnit, Preferences, SignChoice, ThemeChoice};
pub use prove_studies::{ProveAsk, ProvePage, ProveStudies};
pub use routes::Routes;
pub use shell::app_ui;
pub use start::{Start, run};
pub use state::{AppState, Notice, PathField, Pending, Recovery};
pub use studies::{Choices, Studies};
pub use view::View;
