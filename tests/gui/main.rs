//! The window, driven by what its parts are called, as a screen reader would find them.

mod bench;
mod pictures;
mod raster;
mod reading;
mod shell;
mod story;
