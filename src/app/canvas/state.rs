//! What the sheet remembers between frames: where it is looked at, what the hand holds, and wishes from commands.

use crate::app::canvas::base::Base;
use crate::app::canvas::hand::Hand;
use crate::app::canvas::scene::Scene;
use crate::app::canvas::transform::Transform;
use crate::drawing::Hit;
use crate::edit::{Gesture, Item};
use crate::geometry::Point;

/// Gestures of the sheet are numbered from here, apart from those of fields.
const FIRST_GESTURE: u64 = 1 << 40;

/// Zoom, pan, hand and wishes. Wishes are set by dispatch and cleared by the sheet once fulfilled.
#[derive(Clone, Debug, Default)]
pub struct CanvasState {
    /// Show the whole drawing at the next frame.
    pub fit_wanted: bool,
    /// Zoom by this factor at the next frame.
    pub zoom_wanted: Option<f32>,
    /// Bring this item into view at the next frame.
    pub show_wanted: Option<Item>,
    /// Put the cursor into the placing field.
    pub focus_placing: bool,
    /// Put the cursor into the find field.
    pub focus_find: bool,
    /// Pan and zoom; `None` until the sheet was first seen.
    pub transform: Option<Transform>,
    /// What the hand holds.
    pub hand: Hand,
    pub(super) scene: Scene,
    pub(super) base: Base,
    pub(super) placing: PlacingField,
    pub(super) find: FindField,
    /// What the menu of the right button is about.
    pub(super) menu_at: Option<(Point, Option<Hit>)>,
    /// Arrow keys in quick succession are one step: its number, and when the last one came.
    pub(super) nudge: Option<(Gesture, f64)>,
    gestures: u64,
}

/// The field in which things to place are typed.
#[derive(Clone, Debug, Default)]
pub(super) struct PlacingField {
    /// What is typed.
    pub text: String,
    /// Why it was not understood.
    pub error: Option<String>,
    /// The hint the arrow keys have reached.
    pub chosen: Option<usize>,
}

/// The field in which names are searched.
#[derive(Clone, Debug, Default)]
pub(super) struct FindField {
    /// What is typed.
    pub text: String,
    /// The match the arrow keys have reached.
    pub chosen: usize,
}

impl CanvasState {
    /// A number no gesture has had.
    pub(super) fn fresh_gesture(&mut self) -> Gesture {
        self.gestures += 1;
        Gesture(FIRST_GESTURE + self.gestures)
    }
}
