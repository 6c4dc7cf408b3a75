//! The text commands: for scripts, and for people without a screen.
//!
//! Exit codes: 0 fine, 1 problems found in the project, 2 could not do it.

mod advice;
mod args;
mod bench;
mod budget;
mod check;
mod choose;
mod controls;
mod cut;
mod cut_against;
mod cut_json;
mod cut_pieces;
mod cut_pieces_json;
mod demo;
mod diagnose;
mod faults;
mod infer;
mod json;
mod moves;
mod output;
mod permit;
mod pinout;
mod replay;
mod route;
mod setup;
mod setup_walk;
mod sheets;
mod sign_off;
mod states;
mod text_table;
mod usage;
mod wear;
mod window;
mod wires;
mod words;

pub use args::{FileArgs, Format, Opening, Request, TextCommand, parse};
pub use output::run;
pub use window::{NoWindow, has_display, readable, stopped, without_panic, without_window};
