//! The name on a frame.

use crate::drawing::TEXT_MM;
use crate::drawing::mark::{Align, Mark, TextRole, Tone, text_width_mm};
use crate::geometry::{Rect, point};
use crate::model::Frame;

/// The frame's name as text inside its upper left corner.
pub fn frame_title(frame: &Frame) -> Mark {
    Mark::Text {
        at: frame.rect.min + point(3.0, 4.0),
        align: Align::Left,
        size_mm: TEXT_MM,
        text: frame.name.clone(),
        role: TextRole::Note,
        tone: Tone::Quiet,
    }
}

/// Where the name can be grabbed: its line, at least 10 mm wide.
pub fn frame_title_rect(frame: &Frame) -> Rect {
    let width_mm = text_width_mm(&frame.name, TEXT_MM).max(10.0);
    let corner = frame.rect.min;
    Rect::spanning(corner + point(1.0, 1.5), corner + point(width_mm + 4.0, 6.5))
}
