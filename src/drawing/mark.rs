//! What a symbol is made of: lines, rectangles, circles and text, already in sheet millimetres.

use crate::geometry::{Point, Rect, point};

/// How heavy a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Hair lines: inner edges, signs.
    Thin,
    /// Outlines and leads.
    Ink,
    /// Blades of contacts, bars of ground signs.
    Heavy,
}

impl Weight {
    /// Width in millimetres on the sheet.
    pub fn width_mm(self) -> f64 {
        match self {
            Self::Thin => 0.25,
            Self::Ink => 0.45,
            Self::Heavy => 0.65,
        }
    }
}

/// What fills a shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    /// Nothing: what lies below shows through.
    Clear,
    /// The colour of a card: hides what lies below.
    Card,
    /// A light shade of the ink: something that is not in use.
    Shade,
    /// The colour of the line itself.
    Solid,
}

/// How loud a mark is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tone {
    /// Ordinary ink.
    Ink,
    /// Quiet: explains, or is not in use.
    Quiet,
    /// Lit: the cavity that is being read.
    Lit,
}

/// Which part of a text its place names; the place is always half way up the letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// The text begins at the place.
    Left,
    /// The middle of the text stands at the place.
    Middle,
    /// The text ends at the place.
    Right,
}

/// What a text is for; the painter chooses weight and colour by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TextRole {
    /// Reference designation with value or purpose.
    Name,
    /// Explains.
    Note,
    /// Number in a cavity.
    Cavity,
}

/// One piece of a symbol.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A line through two or more points.
    Line {
        /// Its points.
        points: Vec<Point>,
        /// Its width.
        weight: Weight,
        /// Its tone.
        tone: Tone,
    },
    /// An upright rectangle.
    Rect {
        /// Its place.
        rect: Rect,
        /// Radius of its corners in millimetres.
        round_mm: f64,
        /// What fills it.
        fill: Fill,
        /// Width of its outline.
        weight: Weight,
        /// Its tone.
        tone: Tone,
    },
    /// A circle.
    Circle {
        /// Its centre.
        centre: Point,
        /// Its radius in millimetres.
        radius_mm: f64,
        /// What fills it.
        fill: Fill,
        /// Width of its outline.
        weight: Weight,
        /// Its tone.
        tone: Tone,
    },
    /// Upright text on one line.
    Text {
        /// Where it stands, half way up the letters.
        at: Point,
        /// What of it stands there.
        align: Align,
        /// Height of the letters' box in millimetres.
        size_mm: f64,
        /// The words.
        text: String,
        /// What it is for.
        role: TextRole,
        /// Its tone.
        tone: Tone,
    },
}

/// Width a text is reckoned with, in millimetres: six tenths of its size for each character.
///
/// A generous figure for an upright sans face (from memory), so that what fits here fits on paper.
pub fn text_width_mm(text: &str, size_mm: f64) -> f64 {
    text.chars().fold(0.0, |sum, _| sum + 0.6 * size_mm)
}

impl Mark {
    /// The least upright rectangle around the mark, line widths left out.
    pub fn rect(&self) -> Rect {
        match self {
            Self::Line { points, .. } => {
                let first = points.first().copied().unwrap_or_default();
                points
                    .iter()
                    .fold(Rect::spanning(first, first), |all, p| all.union(Rect::spanning(*p, *p)))
            }
            Self::Rect { rect, .. } => *rect,
            Self::Circle { centre, radius_mm, .. } => {
                Rect::spanning(*centre, *centre).grown(*radius_mm)
            }
            Self::Text { at, align, size_mm, text, .. } => {
                let width = text_width_mm(text, *size_mm);
                let left = match align {
                    Align::Left => at.x_mm,
                    Align::Middle => at.x_mm - width / 2.0,
                    Align::Right => at.x_mm - width,
                };
                let half = size_mm / 2.0;
                Rect::spanning(point(left, at.y_mm - half), point(left + width, at.y_mm + half))
            }
        }
    }
}

/// The least rectangle around all marks; `None` where there are none.
pub fn marks_rect(marks: &[Mark]) -> Option<Rect> {
    marks.iter().map(Mark::rect).reduce(Rect::union)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_reaches_to_the_side_it_is_aligned_to() {
        let text = |align| Mark::Text {
            at: point(10.0, 5.0),
            align,
            size_mm: 4.0,
            text: "R1".into(),
            role: TextRole::Name,
            tone: Tone::Ink,
        };
        let reach = |align| {
            let rect = text(align).rect();
            ((rect.min.x_mm * 10.0).round(), (rect.max.x_mm * 10.0).round())
        };
        assert_eq!(reach(Align::Left), (100.0, 148.0));
        assert_eq!(reach(Align::Middle), (76.0, 124.0));
        assert_eq!(reach(Align::Right), (52.0, 100.0));
        let rect = text(Align::Middle).rect();
        assert_eq!((rect.min.y_mm, rect.max.y_mm), (3.0, 7.0));
    }
}
