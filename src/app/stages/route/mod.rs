//! Stage Route: places and runs of the machine, and the wires that lie in them.

mod bar;
mod bundle;
mod canvas;
mod card;
mod gesture;
mod hit;
mod inline;
mod lists;
mod menu;
mod names;
mod overlay;
mod paint;
mod parts;
mod picture;
mod scene;
mod seats;
mod state;
mod strokes;
mod tags;
#[cfg(test)]
mod tests;
mod tray;
mod ui;
mod wires;

pub use card::route_card_ui;
pub use state::RouteState;
pub use ui::route_ui;
