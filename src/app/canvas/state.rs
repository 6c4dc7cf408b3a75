//! What the sheet remembers between frames: where it is looked at, and wishes from commands.

use crate::edit::Item;

/// Zoom, pan and wishes. Wishes are set by dispatch and cleared by the sheet once fulfilled.
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
}
