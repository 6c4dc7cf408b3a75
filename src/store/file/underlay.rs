//! The photo or drawing beneath the layout in the file.

use serde::{Deserialize, Serialize};

use crate::store::file::Point;

/// A photo or drawing.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Underlay {
    pub name: String,
    pub pos_mm: Point,
    pub width_mm: f64,
    pub opacity: f64,
    pub picture: String,
}
