//! Every change to a project: what can be changed, the change itself, undo and redo.
//!
//! Only [`apply`] changes a project. Moving a control is no change to it.

mod apply;
mod arrange;
mod bench;
mod cutting_edit;
mod edit_kind;
mod guard;
mod guard_element;
mod guard_fit;
mod guard_sense;
mod guard_wiring;
mod history;
mod names;
mod place_element;
mod placing;
mod record;
mod removal;
mod rows;
mod story_edit;
mod underlay;

pub use apply::{Applied, EditError, apply};
pub use cutting_edit::CuttingEdit;
pub use edit_kind::{Edge, Edit, Item, Selection};
pub use guard::{check_part, check_positive};
pub use guard_sense::check_band;
pub use history::{Gesture, History, Revision};
pub use names::free_name;
pub use placing::{PLACING_HINTS, Placement, parse_placing};
pub use record::RecordEdit;
pub use story_edit::StoryEdit;
