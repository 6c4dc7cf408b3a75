//! The cards that are in sight whatever the stage, and what opens beside the work.

mod controls;
mod help;
mod inspector;
mod meter;
mod notice;
mod page;
mod preferences;
mod problems;
mod questions;
mod readout;
mod ruler;
mod segment;
mod wire_table;
mod working;

pub use controls::{controls_ui, held_ui};
pub use inspector::{InspectorState, inspector_ui, meter_profile_ui, place_choice};
pub use meter::meter_ui;
pub use notice::notice_ui;
pub use page::{Page, page_ui};
pub use questions::{PathFinding, Question, questions_ui};
pub use readout::readout_ui;
pub use ruler::ruler_ui;
pub use segment::{Segment, segment_ui};
pub use wire_table::{WireTableState, wire_table_ui};
pub use working::working_ui;

use crate::app::ruler::RulerMemo;
use crate::app::state::Notice;

/// Fields and switches of the panels.
#[derive(Default)]
pub struct PanelsState {
    /// Put the cursor into the name field of the inspector.
    pub focus_name: bool,
    /// The page open beside the stage.
    pub page: Option<Page>,
    /// The sentence at the lower edge as it was last seen, and since when in seconds.
    pub notice_seen: (Option<Notice>, f64),
    /// The text scale of the last frame.
    pub text_scale_seen: Option<f32>,
    /// The question that was on the card in the last frame.
    pub question_seen: Option<Question>,
    /// The inspector's fields.
    pub inspector: inspector::InspectorState,
    /// The wire table being looked at.
    pub wire_table: WireTableState,
    /// What the band ruler shows.
    pub ruler: RulerMemo,
    /// The meter's fields.
    pub meter: meter::MeterCardState,
    /// The control strip's hand.
    pub controls: controls::ControlsState,
}
