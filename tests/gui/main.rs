//! The window, driven by what its parts are called, as a screen reader would find them.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

mod bench;
mod breaking;
mod cutting;
mod faces;
mod harness_story;
mod log;
mod packet;
mod pictures;
mod prove;
mod raster;
mod reading;
mod route;
mod setup;
mod shell;
mod starter;
mod story;
mod studies;
mod tight;
mod wire_table;
