//! Controllers on the sheet: a box with the plug's face view and a row for every cavity in use.
//!
//! A cavity has a row when something is noted about it and it is free; all others are reached at
//! their squares on the face.

use crate::drawing::connector::square_style;
use crate::drawing::face::{FACE_PITCH_MM, face_pos, face_size_mm};
use crate::drawing::local::{Pen, fitted};
use crate::drawing::mark::{Align, Fill, Mark, TextRole, Tone, Weight};
use crate::drawing::symbol::SymbolLook;
use crate::geometry::{Flip, Point, Rect, point};
use crate::model::{CavityFill, Controller, Latch, Part};

const LEAST_WIDTH_MM: f64 = 55.0;
const FACE_TOP_MM: f64 = 15.0;
/// Distance of neighbouring rows.
const ROW_PITCH_MM: f64 = 7.5;
const SQUARE_MM: f64 = 5.0;

/// Outline in the symbol's own millimetres; the origin is the middle of the upper edge.
pub(super) fn body(controller: &Controller) -> Rect {
    let half = half_width_mm(controller);
    let rows = rows(controller).count();
    let last = first_row_mm(controller) + ROW_PITCH_MM * (rows as f64 - 1.0);
    let bottom = if rows == 0 { face_bottom_mm(controller) + 5.0 } else { last + 5.0 };
    Rect::spanning(point(-half, 0.0), point(half, bottom))
}

/// A terminal in the symbol's own millimetres, and which way its wire leaves.
pub(super) fn offset_and_exit(
    controller: &Controller,
    flip: Flip,
    terminal: u16,
) -> (Point, Option<Point>) {
    let cavity = terminal + 1;
    match rows(controller).position(|listed| listed == cavity) {
        Some(row) => {
            let y = first_row_mm(controller) + ROW_PITCH_MM * row as f64;
            (point(-half_width_mm(controller), y), Some(point(-1.0, 0.0)))
        }
        None => (face_offset(controller, flip, cavity), None),
    }
}

/// All marks of a controller.
pub(super) fn symbol(part: &Part, controller: &Controller, look: &SymbolLook) -> Vec<Mark> {
    let mut pen = Pen::new(part);
    pen.rect(body(controller), 1.5, Fill::Card, (Weight::Ink, Tone::Ink));
    header(&mut pen, part, controller);
    latch(&mut pen, part.flip, controller);
    for cavity in 1..=controller.layout.count() {
        let at = face_offset(controller, part.flip, cavity);
        let noted = controller.cavities.get(&cavity);
        let lit = look.lit_cavities.contains(&cavity);
        let (fill, tone) = match noted {
            Some(noted) => square_style(noted.fill, lit),
            None => (Fill::Card, if lit { Tone::Lit } else { Tone::Quiet }),
        };
        square(&mut pen, at, cavity, (fill, tone));
    }
    for (row, cavity) in rows(controller).enumerate() {
        let y = first_row_mm(controller) + ROW_PITCH_MM * row as f64;
        let x = -half_width_mm(controller);
        let lit = look.lit_cavities.contains(&cavity);
        let tone = if lit { Tone::Lit } else { Tone::Ink };
        square(&mut pen, point(x + SQUARE_MM / 2.0, y), cavity, (Fill::Card, tone));
        let Some(noted) = controller.cavities.get(&cavity) else { continue };
        if !pen.is_on_end() {
            let role = if lit { TextRole::Name } else { TextRole::Note };
            let words = fitted(&noted.circuit, 2.0 * half_width_mm(controller) - 9.0);
            pen.text((x + 7.0, y), Align::Left, &words, (role, tone));
        }
    }
    pen.into_marks()
}

/// Cavities that have a row, in order.
fn rows(controller: &Controller) -> impl Iterator<Item = u16> {
    let count = controller.layout.count();
    controller
        .cavities
        .iter()
        .filter(move |(cavity, noted)| {
            noted.fill == CavityFill::Free && (1..=count).contains(*cavity)
        })
        .map(|(cavity, _)| *cavity)
}

fn half_width_mm(controller: &Controller) -> f64 {
    (face_size_mm(controller.layout).0 + 3.0 * FACE_PITCH_MM).max(LEAST_WIDTH_MM) / 2.0
}

fn face_bottom_mm(controller: &Controller) -> f64 {
    FACE_TOP_MM + face_size_mm(controller.layout).1
}

fn first_row_mm(controller: &Controller) -> f64 {
    face_bottom_mm(controller) + 7.5
}

/// A cavity on the drawn face. The face is never mirrored: it must show what a person sees.
fn face_offset(controller: &Controller, flip: Flip, cavity: u16) -> Point {
    let left = point(-face_size_mm(controller.layout).0 / 2.0, FACE_TOP_MM);
    flip.apply(left + face_pos(controller.layout, controller.numbering, cavity))
}

fn header(pen: &mut Pen<'_>, part: &Part, controller: &Controller) {
    let title = format!("{} {}", part.name, part.label);
    if pen.is_on_end() {
        pen.label(-1.0, 3.0, title.trim(), TextRole::Name);
        return;
    }
    let width_mm = 2.0 * half_width_mm(controller) - 4.0;
    let title = fitted(title.trim(), width_mm);
    pen.text((0.0, 4.0), Align::Middle, &title, (TextRole::Name, Tone::Ink));
    let side = controller.latch.noun();
    let words = fitted(&format!("{} face view, latch {side}", controller.plug.name), width_mm);
    pen.text((0.0, 8.75), Align::Middle, &words, (TextRole::Note, Tone::Quiet));
}

/// The latch as a rounded bar on its side of the face.
fn latch(pen: &mut Pen<'_>, flip: Flip, controller: &Controller) {
    let (width, height) = face_size_mm(controller.layout);
    let middle = FACE_TOP_MM + height / 2.0;
    let long = |side_mm: f64| (side_mm * 0.4).clamp(3.0, 8.0) / 2.0;
    let (a, b) = match controller.latch {
        Latch::Up => {
            (point(-long(width), FACE_TOP_MM - 2.3), point(long(width), FACE_TOP_MM - 0.7))
        }
        Latch::Down => {
            let bottom = FACE_TOP_MM + height;
            (point(-long(width), bottom + 0.7), point(long(width), bottom + 2.3))
        }
        Latch::Left => {
            let left = -width / 2.0;
            (point(left - 2.3, middle - long(height)), point(left - 0.7, middle + long(height)))
        }
        Latch::Right => {
            let right = width / 2.0;
            (point(right + 0.7, middle - long(height)), point(right + 2.3, middle + long(height)))
        }
    };
    let bar = Rect::spanning(flip.apply(a), flip.apply(b));
    pen.rect(bar, 0.8, Fill::Shade, (Weight::Thin, Tone::Ink));
}

fn square(pen: &mut Pen<'_>, at: Point, cavity: u16, style: (Fill, Tone)) {
    let rect = Rect::spanning(at, at).grown(SQUARE_MM / 2.0 - 0.25);
    pen.rect(rect, 0.6, style.0, (Weight::Thin, style.1));
    let number = cavity.to_string();
    pen.text((at.x_mm, at.y_mm), Align::Middle, &number, (TextRole::Cavity, style.1));
}
