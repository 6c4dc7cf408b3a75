//! The user's own photo or drawing beneath the layout.
//!
//! The bytes are kept as they came from the file; whether they make a picture is not judged here.

use std::fmt;
use std::sync::Arc;

use crate::geometry::Point;

/// A photo or drawing that lies beneath the layout.
#[derive(Clone, PartialEq)]
pub struct Underlay {
    /// Name of the file it came from.
    pub name: String,
    /// The file, byte for byte.
    pub bytes: Arc<[u8]>,
    /// Its upper left corner on the layout.
    pub pos: Point,
    /// How wide it lies on the layout, in millimetres of the layout; its height follows.
    pub width_mm: f64,
    /// From 0 (not to be seen) to 1 (in full).
    pub opacity: f64,
}

impl fmt::Debug for Underlay {
    /// Names the size instead of listing the bytes.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Underlay")
            .field("name", &self.name)
            .field("n_bytes", &self.bytes.len())
            .field("pos", &self.pos)
            .field("width_mm", &self.width_mm)
            .field("opacity", &self.opacity)
            .finish()
    }
}
