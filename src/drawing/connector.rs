//! Connectors on the sheet: a column of numbered cavities, one or two halves wide.

use crate::drawing::local::Pen;
use crate::drawing::mark::{Align, Fill, Mark, TextRole, Tone, Weight};
use crate::drawing::symbol::SymbolLook;
use crate::geometry::{Point, Rect, point};
use crate::model::{CavityFill, Connector, HalfSide, Mating, Part, cavity_of_terminal};

/// Distance of neighbouring cavities.
const PITCH_MM: f64 = 5.0;
/// From the middle line to the terminals of either half.
const HALF_MM: f64 = 5.0;
/// How far each half draws back when they are apart.
const GAP_MM: f64 = 1.0;

/// Outline in the symbol's own millimetres.
pub(super) fn body(connector: &Connector) -> Rect {
    let half_height = half_height_mm(connector);
    let right = if connector.second.is_some() { HALF_MM } else { 0.0 };
    Rect::spanning(point(-HALF_MM, -half_height), point(right, half_height))
}

/// A terminal in the symbol's own millimetres, and which way its wire leaves.
pub(super) fn offset_and_exit(connector: &Connector, terminal: u16) -> (Point, Option<Point>) {
    let (cavity, side) = cavity_of_terminal(terminal);
    let out = match side {
        HalfSide::First => -1.0,
        HalfSide::Second => 1.0,
    };
    (point(out * HALF_MM, row_y_mm(connector, cavity)), Some(point(out, 0.0)))
}

/// All marks of a connector.
pub(super) fn symbol(part: &Part, connector: &Connector, look: &SymbolLook) -> Vec<Mark> {
    let mut pen = Pen::new(part);
    half(&mut pen, connector, HalfSide::First, look);
    if connector.second.is_some() {
        half(&mut pen, connector, HalfSide::Second, look);
    }
    names(&mut pen, connector);
    let below_mm = half_height_mm(connector) + 3.0;
    if connector.rotating {
        rotation_sign(&mut pen, below_mm + 0.75);
        pen.label(1.0, below_mm + 5.5, &part.label, TextRole::Note);
    } else {
        pen.label(1.0, below_mm, &part.label, TextRole::Note);
    }
    pen.into_marks()
}

fn half_height_mm(connector: &Connector) -> f64 {
    f64::from(connector.layout.count()) * PITCH_MM / 2.0
}

fn row_y_mm(connector: &Connector, cavity: u16) -> f64 {
    (f64::from(cavity) - 0.5) * PITCH_MM - half_height_mm(connector)
}

fn half(pen: &mut Pen<'_>, connector: &Connector, side: HalfSide, look: &SymbolLook) {
    let inner_mm = match (connector.second.is_some(), connector.mating) {
        (true, Mating::Apart) => GAP_MM,
        (true, Mating::Mated) | (false, Mating::Mated | Mating::Apart) => 0.0,
    };
    let out = match side {
        HalfSide::First => -1.0,
        HalfSide::Second => 1.0,
    };
    for cavity in 1..=connector.layout.count() {
        let y = row_y_mm(connector, cavity);
        let fill = connector.cavities.get(&cavity).map_or(CavityFill::Free, |c| c.fill);
        let (fill, tone) = square_style(fill, look.lit_cavities.contains(&cavity));
        let square = Rect::spanning(
            point(out * inner_mm, y - PITCH_MM / 2.0),
            point(out * HALF_MM, y + PITCH_MM / 2.0),
        );
        pen.rect(square, 0.6, fill, (Weight::Thin, tone));
        let middle = out * (inner_mm + HALF_MM) / 2.0;
        pen.text((middle, y), Align::Middle, &cavity.to_string(), (TextRole::Cavity, tone));
    }
    let tall = half_height_mm(connector);
    let outline = Rect::spanning(point(out * inner_mm, -tall), point(out * HALF_MM, tall));
    pen.rect(outline, 0.8, Fill::Clear, (Weight::Ink, Tone::Ink));
}

/// Fill and tone of a cavity's square.
pub(super) fn square_style(fill: CavityFill, lit: bool) -> (Fill, Tone) {
    match (lit, fill) {
        (true, _) => (Fill::Card, Tone::Lit),
        (false, CavityFill::Free) => (Fill::Card, Tone::Ink),
        (false, CavityFill::Existing) => (Fill::Card, Tone::Quiet),
        (false, CavityFill::Plug) => (Fill::Shade, Tone::Quiet),
    }
}

fn names(pen: &mut Pen<'_>, connector: &Connector) {
    let above_mm = half_height_mm(connector) + 3.0;
    let first = &connector.first.name;
    match &connector.second {
        None if pen.is_on_end() => pen.label(-1.0, above_mm, first, TextRole::Name),
        None => {
            let style = (TextRole::Name, Tone::Ink);
            pen.text((-HALF_MM / 2.0, -above_mm), Align::Middle, first, style);
        }
        Some(second) if second.name == *first => {
            pen.label(-1.0, above_mm, first, TextRole::Name);
        }
        Some(second) if pen.is_on_end() => {
            pen.label(-1.0, above_mm, &format!("{first} {}", second.name), TextRole::Name);
        }
        Some(second) => {
            let style = (TextRole::Name, Tone::Ink);
            pen.text((-0.7, -above_mm), Align::Right, first, style);
            pen.text((0.7, -above_mm), Align::Left, &second.name, style);
        }
    }
}

/// Most of a circle with an arrow head: the joint turns.
fn rotation_sign(pen: &mut Pen<'_>, y: f64) {
    let radius = 2.0;
    let on_arc = |degrees: f64| {
        let angle = degrees.to_radians();
        (radius * angle.cos(), y + radius * angle.sin())
    };
    let arc: Vec<(f64, f64)> = (0..=14).map(|step| on_arc(f64::from(step) * 20.0)).collect();
    pen.line(&arc, Weight::Ink, Tone::Ink);
    let (x, y) = on_arc(280.0);
    pen.line(&[(x - 1.0, y - 1.0), (x, y), (x - 1.1, y + 0.9)], Weight::Ink, Tone::Ink);
}
