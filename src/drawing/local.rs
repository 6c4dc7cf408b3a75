//! A pen that draws in a symbol's own millimetres and leaves marks on the sheet, turned and mirrored.

use crate::drawing::TEXT_MM;
use crate::drawing::mark::{Align, Fill, Mark, TextRole, Tone, Weight, text_width_mm};
use crate::geometry::{Point, Rect, point};
use crate::model::Part;

/// Place on the sheet of an offset in the symbol's own millimetres.
pub(super) fn to_sheet(part: &Part, offset: Point) -> Point {
    part.pos + direction(part, offset)
}

/// An offset of the symbol, mirrored and turned; `0.0` instead of `-0.0`.
pub(super) fn direction(part: &Part, offset: Point) -> Point {
    let turned = part.turn.apply(part.flip.apply(offset));
    point(turned.x_mm + 0.0, turned.y_mm + 0.0)
}

/// A rectangle of the symbol on the sheet.
pub(super) fn rect_on_sheet(part: &Part, rect: Rect) -> Rect {
    Rect::spanning(to_sheet(part, rect.min), to_sheet(part, rect.max))
}

/// Collects the marks of one part.
pub(super) struct Pen<'a> {
    part: &'a Part,
    marks: Vec<Mark>,
}

impl<'a> Pen<'a> {
    /// A pen for one part.
    pub(super) fn new(part: &'a Part) -> Self {
        Self { part, marks: Vec::new() }
    }

    /// Everything drawn.
    pub(super) fn into_marks(self) -> Vec<Mark> {
        self.marks
    }

    /// Whether the symbol stands on end: its own left and right are up and down on the sheet.
    pub(super) fn is_on_end(&self) -> bool {
        direction(self.part, point(1.0, 0.0)).x_mm == 0.0
    }

    /// A mark that is already on the sheet.
    pub(super) fn push(&mut self, mark: Mark) {
        self.marks.push(mark);
    }

    /// A line through points of the symbol.
    pub(super) fn line(&mut self, points: &[(f64, f64)], weight: Weight, tone: Tone) {
        let points = points.iter().map(|(x, y)| to_sheet(self.part, point(*x, *y))).collect();
        self.marks.push(Mark::Line { points, weight, tone });
    }

    /// A rectangle of the symbol with rounded corners.
    pub(super) fn rect(&mut self, rect: Rect, round_mm: f64, fill: Fill, pen: (Weight, Tone)) {
        let rect = rect_on_sheet(self.part, rect);
        self.marks.push(Mark::Rect { rect, round_mm, fill, weight: pen.0, tone: pen.1 });
    }

    /// A circle of the symbol.
    pub(super) fn circle(&mut self, centre: (f64, f64), radius_mm: f64, fill: Fill) {
        let centre = to_sheet(self.part, point(centre.0, centre.1));
        let (weight, tone) = (Weight::Ink, Tone::Ink);
        self.marks.push(Mark::Circle { centre, radius_mm, fill, weight, tone });
    }

    /// Text at a place of the symbol. `align` is meant for the upright symbol: it changes sides
    /// when the symbol is mirrored, and text beside a line that stands on end is centred on it.
    pub(super) fn text(
        &mut self,
        at: (f64, f64),
        align: Align,
        text: &str,
        style: (TextRole, Tone),
    ) {
        if text.is_empty() {
            return;
        }
        let along = direction(self.part, point(1.0, 0.0));
        let align = match align {
            Align::Middle => Align::Middle,
            Align::Left if along.x_mm > 0.5 => Align::Left,
            Align::Right if along.x_mm < -0.5 => Align::Left,
            Align::Left if along.x_mm < -0.5 => Align::Right,
            Align::Right if along.x_mm > 0.5 => Align::Right,
            Align::Left | Align::Right => Align::Middle,
        };
        let at = to_sheet(self.part, point(at.0, at.1));
        self.upright_text(at, align, text, style);
    }

    /// Text outside the symbol on the side that is up (`-1.0`) or down (`1.0`) when it is not
    /// turned, `away_mm` from the middle line; a turned symbol has it beside itself.
    pub(super) fn label(&mut self, side: f64, away_mm: f64, text: &str, role: TextRole) {
        if text.is_empty() {
            return;
        }
        let out = direction(self.part, point(0.0, side));
        let tone = match role {
            TextRole::Note => Tone::Quiet,
            TextRole::Name | TextRole::Cavity => Tone::Ink,
        };
        let (align, away_mm) = if out.x_mm > 0.5 {
            (Align::Left, away_mm - TEXT_MM / 2.0)
        } else if out.x_mm < -0.5 {
            (Align::Right, away_mm - TEXT_MM / 2.0)
        } else {
            (Align::Middle, away_mm)
        };
        let at = self.part.pos + point(out.x_mm * away_mm, out.y_mm * away_mm);
        self.upright_text(at, align, text, (role, tone));
    }

    fn upright_text(&mut self, at: Point, align: Align, text: &str, style: (TextRole, Tone)) {
        let (role, tone) = style;
        self.marks.push(Mark::Text {
            at,
            align,
            size_mm: TEXT_MM,
            text: text.to_owned(),
            role,
            tone,
        });
    }
}

/// The text, cut with an ellipsis so that it is no wider than `width_mm`.
pub(super) fn fitted(text: &str, width_mm: f64) -> String {
    if text_width_mm(text, TEXT_MM) <= width_mm {
        return text.to_owned();
    }
    let mut cut: String = text.to_owned();
    while !cut.is_empty() && text_width_mm(&cut, TEXT_MM) + text_width_mm("…", TEXT_MM) > width_mm
    {
        cut.pop();
    }
    format!("{}…", cut.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_words_are_cut_to_the_width() {
        assert_eq!(fitted("RANGE signal", 50.0), "RANGE signal");
        let cut = fitted("START INHIBIT loop of the front panel", 30.0);
        assert!(cut.ends_with('…') && text_width_mm(&cut, TEXT_MM) <= 30.0, "{cut}");
    }
}
