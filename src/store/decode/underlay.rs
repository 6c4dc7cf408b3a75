//! The photo or drawing beneath the layout: its size and place are checked, its bytes only read.

use crate::model;
use crate::model::limits;
use crate::store::base64;
use crate::store::decode::at::{At, Checked};
use crate::store::decode::value;
use crate::store::file;

/// The photo or drawing. One that is damaged is kept as it is: the window says so.
pub fn underlay(at: &At<'_>, row: file::Underlay) -> Checked<model::Underlay> {
    let picture_at = at.field("picture");
    let bytes = base64::decode(&row.picture).ok_or_else(|| {
        picture_at.refuse("expected a picture in base64 (RFC 4648), found other text".into())
    })?;
    if bytes.is_empty() || bytes.len() > limits::PICTURE_BYTES {
        return Err(picture_at.refuse(format!(
            "expected a picture of 1 to {} bytes, found {}",
            limits::PICTURE_BYTES,
            bytes.len()
        )));
    }
    Ok(model::Underlay {
        name: value::text(&at.field("name"), row.name)?,
        bytes: bytes.into(),
        pos: value::point(&at.field("pos_mm"), row.pos_mm)?,
        width_mm: value::number(&at.field("width_mm"), row.width_mm, &limits::LENGTH_MM)?,
        opacity: value::number(&at.field("opacity"), row.opacity, &limits::OPACITY)?,
    })
}
