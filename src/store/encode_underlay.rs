//! The photo or drawing beneath the layout to its file struct.

use crate::model;
use crate::store::base64;
use crate::store::file;

/// The photo or drawing.
pub fn underlay(row: &model::Underlay) -> file::Underlay {
    file::Underlay {
        name: row.name.clone(),
        pos_mm: [row.pos.x_mm, row.pos.y_mm],
        width_mm: row.width_mm,
        opacity: row.opacity,
        picture: base64::encode(&row.bytes),
    }
}
