//! Stage Route: places and runs of the machine, and the wires that lie in them.

mod bar;
mod bundle;
mod canvas;
mod card;
mod gesture;
mod hit;
mod inline;
mod kept;
mod laid;
mod lists;
mod make;
mod menu;
mod names;
mod overlay;
mod own_table;
mod paint;
mod parts;
mod picture;
mod rules;
mod run_figures;
mod scene;
mod seats;
mod shield;
mod splice;
mod state;
mod strokes;
mod tags;
#[cfg(test)]
mod tests;
mod tray;
mod ui;
mod wire_figures;
mod wires;
mod zones;

pub use card::route_card_ui;
pub use state::RouteState;
pub use ui::route_ui;
