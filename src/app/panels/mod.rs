//! The cards that are in sight whatever the stage, and what opens beside the work.

mod controls;
mod help;
mod inspector;
mod meter;
mod notice;
mod preferences;
mod problems;
mod readout;
mod ruler;
mod segment;
mod working;

pub use controls::controls_ui;
pub use help::help_ui;
pub use inspector::{InspectorState, inspector_ui, place_choice};
pub use meter::meter_ui;
pub use notice::notice_ui;
pub use preferences::preferences_ui;
pub use problems::problems_ui;
pub use readout::readout_ui;
pub use ruler::ruler_ui;
pub use segment::{Segment, segment_ui};
pub use working::working_ui;

use crate::app::ruler::RulerMemo;

/// Fields and switches of the panels.
#[derive(Default)]
pub struct PanelsState {
    /// Put the cursor into the name field of the inspector.
    pub focus_name: bool,
    /// Whether the list of problems is open.
    pub problems_open: bool,
    /// Whether the preferences are open.
    pub preferences_open: bool,
    /// Whether the help page is open.
    pub help_open: bool,
    /// The inspector's fields.
    pub inspector: inspector::InspectorState,
    /// What the band ruler shows.
    pub ruler: RulerMemo,
    /// The meter's fields.
    pub meter: meter::MeterCardState,
    /// The control strip's hand.
    pub controls: controls::ControlsState,
}
