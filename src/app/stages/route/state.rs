//! What stage Route remembers between frames: where it is looked at, what the hand holds, what is being typed.

use crate::app::action::LayoutItem;
use crate::app::canvas::Transform;
use crate::app::stages::route::gesture::Hand;
use crate::app::stages::route::kept::Painted;
use crate::app::stages::route::scene::Scene;
use crate::app::widgets::Fields;
use crate::edit::Gesture;
use crate::geometry::Point;
use crate::model::{PlaceId, RunId};

/// Gestures of the layout are numbered from here, apart from those of the sheet and of fields.
const FIRST_GESTURE: u64 = 5 << 60;

/// A page of the lists beside the layout.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TrayPage {
    /// Parts and where they sit.
    #[default]
    Parts,
    /// Places and runs.
    Runs,
    /// Wires and their routes.
    Wires,
    /// The photo or drawing beneath.
    Picture,
    /// The project's rules for wire.
    Rules,
}

/// What is asked for on the layout itself.
#[derive(Clone, Debug, PartialEq)]
pub enum Asking {
    /// The length of a run that was just drawn.
    NewRun {
        /// Both places.
        ends: [PlaceId; 2],
        /// What is typed.
        text: String,
        /// Why it was not understood.
        error: Option<String>,
    },
    /// How long a stretch of the picture is on the machine.
    Scale {
        /// Both ends of the stretch.
        ends: [Point; 2],
        /// What is typed.
        text: String,
        /// Why it was not understood.
        error: Option<String>,
    },
}

/// Zoom, pan, hand, wishes and texts.
#[derive(Default)]
pub struct RouteState {
    /// Show the whole layout at the next frame.
    pub fit_wanted: bool,
    /// Zoom by this factor at the next frame.
    pub zoom_wanted: Option<f32>,
    /// Bring this into view at the next frame.
    pub show_wanted: Option<LayoutItem>,
    /// Put the cursor into the field for a new place.
    pub focus_placing: bool,
    /// Put the cursor into the name of the selected place or the length of the selected run.
    pub rename_wanted: bool,
    /// Pan and zoom; `None` until the layout was first seen.
    pub transform: Option<Transform>,
    pub(super) hand: Hand,
    pub(super) asking: Option<Asking>,
    /// The field that asks has not been shown yet.
    pub(super) asking_is_new: bool,
    /// The place whose name is being typed on the layout.
    pub(super) renaming: Option<PlaceId>,
    /// The field on the layout that wants the cursor.
    pub(super) focus_name: bool,
    /// The run whose length wants the cursor.
    pub(super) focus_length: Option<RunId>,
    pub(super) new_place: String,
    pub(super) fields: Fields,
    pub(super) page: TrayPage,
    /// In a narrow window: whether the lists show instead of the layout.
    pub(super) tray_shown: bool,
    pub(super) scene: Scene,
    pub(super) painted: Option<Painted>,
    /// What the menu of the right button is about.
    pub(super) menu_at: Option<(Point, Option<super::hit::Hit>)>,
    /// Arrow keys in quick succession are one step: its number, and when the last one came.
    pub(super) nudge: Option<(Gesture, f64)>,
    /// The two places a missing run would join, shown until something else is selected.
    pub(super) missing: Option<[PlaceId; 2]>,
    gestures: u64,
}

impl RouteState {
    /// A number no gesture has had.
    pub(super) fn fresh_gesture(&mut self) -> Gesture {
        self.gestures += 1;
        Gesture(FIRST_GESTURE | self.gestures)
    }

    /// Asks something on the layout.
    pub(super) fn ask(&mut self, asking: Asking) {
        self.asking = Some(asking);
        self.asking_is_new = true;
    }
}
