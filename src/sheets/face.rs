//! The two views of a connector on paper: cavities where they are, numbers, latch, what is in them.

use crate::geometry::{Point, Rect, point};
use crate::model::{CavityLayout, Colour, Latch, Numbering};
use crate::sheets::flow::{Flow, Style};
use crate::sheets::page::{Anchor, Ink, Item, Stroke};

/// Which side is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// The mating face.
    Face,
    /// The wires.
    Wire,
}

impl View {
    /// Its name in large letters.
    pub fn words(self) -> &'static str {
        match self {
            Self::Face => "FACE VIEW",
            Self::Wire => "WIRE VIEW",
        }
    }
}

/// What sits in a cavity.
#[derive(Clone, Debug, PartialEq)]
pub enum Filling {
    /// A wire of this project.
    Wire(Colour),
    /// A wire that was there before, or is inside the box.
    Existing,
    /// A sealing plug.
    Plug,
    /// Nothing.
    Empty,
}

/// A half as it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceOf {
    /// Arrangement.
    pub layout: CavityLayout,
    /// Numbers as they run on this half's face view.
    pub numbering: Numbering,
    /// Latch on this half's face view.
    pub latch: Latch,
    /// What each cavity holds, from cavity 1.
    pub fillings: Vec<Filling>,
}

/// Distance of neighbouring cavities at most and at least, in millimetres: numbers of three
/// figures fit into the least.
const PITCH_MOST_MM: f64 = 9.0;
const PITCH_LEAST_MM: f64 = 7.4;
/// From the outer cavities to the outline.
const AIR_MM: f64 = 1.6;
/// The latch stands out so far.
const LATCH_MM: f64 = 2.4;

/// Centres of all cavities in steps of one cavity from the middle, right and down positive.
pub fn spots(face: &FaceOf, view: View) -> Vec<(u16, f64, f64)> {
    let mirrored = (face.numbering == Numbering::Backward) != (view == View::Wire);
    (1..=face.layout.count())
        .map(|cavity| {
            let (x, y) = step(face.layout, cavity);
            (cavity, if mirrored { -x } else { x }, y)
        })
        .collect()
}

fn step(layout: CavityLayout, cavity: u16) -> (f64, f64) {
    match layout {
        CavityLayout::Grid { rows, columns } => {
            let columns = columns.max(1);
            let (row, column) = ((cavity - 1) / columns, (cavity - 1) % columns);
            let middle = |n: u16| (f64::from(n) - 1.0) / 2.0;
            (f64::from(column) - middle(columns), f64::from(row) - middle(rows))
        }
        CavityLayout::Ring { around, .. } if cavity > around => (0.0, 0.0),
        CavityLayout::Ring { around, .. } => {
            let angle = std::f64::consts::TAU * f64::from(cavity - 1) / f64::from(around.max(1));
            let radius = ring_radius(around);
            (radius * angle.sin(), -radius * angle.cos())
        }
    }
}

/// Radius at which neighbours on the ring, and the one in the centre, keep clear of each other.
fn ring_radius(around: u16) -> f64 {
    (1.15 * f64::from(around) / std::f64::consts::TAU).max(1.2)
}

/// Columns and rows the picture takes, in steps of one cavity.
fn steps(layout: CavityLayout) -> (f64, f64) {
    match layout {
        CavityLayout::Grid { rows, columns } => (f64::from(columns), f64::from(rows)),
        CavityLayout::Ring { around, .. } => {
            let across = 2.0 * ring_radius(around) + 1.0;
            (across, across)
        }
    }
}

/// Draws both views, side by side where the page is wide enough, else one above the other.
pub fn draw_both(flow: &mut Flow<'_>, face: &FaceOf) {
    let body_mm = flow.body().width();
    let (across, down) = steps(face.layout);
    let edge = 2.0 * (AIR_MM + LATCH_MM);
    let title_mm = 8.0;
    let beside = (body_mm / 2.0 - 4.0 - edge) / across;
    if beside >= PITCH_LEAST_MM {
        let pitch = beside.min(PITCH_MOST_MM);
        let height = down * pitch + edge + title_mm;
        if height <= flow.body().height() {
            let room = flow.room(height + 2.0);
            for (n, view) in [View::Face, View::Wire].into_iter().enumerate() {
                let left = room.min.x_mm + n as f64 * body_mm / 2.0;
                draw_one(flow, face, view, (point(left, room.min.y_mm), pitch));
            }
            return;
        }
    }
    let above = (body_mm - edge) / across;
    let height = down * above.min(PITCH_MOST_MM) + edge + title_mm;
    if above >= PITCH_LEAST_MM && height <= flow.body().height() {
        for view in [View::Face, View::Wire] {
            let room = flow.room(height + 2.0);
            draw_one(flow, face, view, (room.min, above.min(PITCH_MOST_MM)));
        }
        return;
    }
    flow.paragraph(&format!(
        "FACE VIEW and WIRE VIEW: {} cavities are too many to draw at a readable size on this paper; \
         the table below has them all. Choose A3 or landscape for the pictures.",
        face.layout.count()
    ));
}

fn draw_one(flow: &mut Flow<'_>, face: &FaceOf, view: View, (corner, pitch): (Point, f64)) {
    let (across, down) = steps(face.layout);
    let title = Style { size_pt: 15.0, bold: true, ink: Ink::Black };
    flow.text_at(corner + point(0.0, 5.4), Anchor::Start, title, view.words());
    let origin = corner + point(LATCH_MM, 8.0 + LATCH_MM);
    let size = point(across * pitch + 2.0 * AIR_MM, down * pitch + 2.0 * AIR_MM);
    let outline = Rect::spanning(origin, origin + size);
    let ink = Stroke::solid(0.5, Ink::Black);
    latch(flow, face.latch, view, outline);
    flow.push(Item::Rect { rect: outline, stroke: Some(ink), fill: Some(Ink::White) });
    let middle = outline.centre();
    for (cavity, x, y) in spots(face, view) {
        let centre = middle + point(x * pitch, y * pitch);
        let filling = face.fillings.get(usize::from(cavity) - 1).unwrap_or(&Filling::Empty);
        draw_cavity(flow, centre, pitch - 0.9, cavity, filling);
    }
}

fn draw_cavity(flow: &mut Flow<'_>, centre: Point, side: f64, cavity: u16, filling: &Filling) {
    let half = side / 2.0;
    let square = Rect::spanning(centre - point(half, half), centre + point(half, half));
    let (edge, fill) = match filling {
        Filling::Wire(_) => (Stroke::solid(0.45, Ink::Black), Ink::White),
        Filling::Existing => (Stroke::dashed(0.3, Ink::Black, (1.0, 0.6)), Ink::White),
        Filling::Plug => (Stroke::solid(0.2, Ink::Black), Ink::Pale),
        Filling::Empty => (Stroke::solid(0.15, Ink::Quiet), Ink::White),
    };
    flow.push(Item::Rect { rect: square, stroke: Some(edge), fill: Some(fill) });
    if *filling == Filling::Plug {
        let corner = 1.1;
        for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            let from = centre + point(x * half, y * half);
            flow.line(from, from - point(x * corner, y * corner), Stroke::solid(0.25, Ink::Black));
        }
    }
    let number = Style { size_pt: 9.0, bold: matches!(filling, Filling::Wire(_)), ink: Ink::Black };
    let lift = if matches!(filling, Filling::Wire(_)) { 0.2 } else { 1.15 };
    flow.text_at(centre + point(0.0, lift), Anchor::Middle, number, &cavity.to_string());
    if let Filling::Wire(colour) = filling {
        let y = centre.y_mm + half - 1.25;
        let points = vec![point(square.min.x_mm + 0.9, y), point(square.max.x_mm - 0.9, y)];
        flow.push(Item::Wire { points, width_mm: 1.3, colour: *colour });
    }
}

/// The latch; left and right change places with the side looked at.
fn latch(flow: &mut Flow<'_>, latch: Latch, view: View, outline: Rect) {
    let (wide, tall) = (outline.width() * 0.4, outline.height() * 0.5);
    let middle = outline.centre();
    let rect = match (latch, view) {
        (Latch::Up, _) => Rect::spanning(
            point(middle.x_mm - wide / 2.0, outline.min.y_mm - LATCH_MM),
            point(middle.x_mm + wide / 2.0, outline.min.y_mm),
        ),
        (Latch::Down, _) => Rect::spanning(
            point(middle.x_mm - wide / 2.0, outline.max.y_mm),
            point(middle.x_mm + wide / 2.0, outline.max.y_mm + LATCH_MM),
        ),
        (Latch::Left, View::Face) | (Latch::Right, View::Wire) => Rect::spanning(
            point(outline.min.x_mm - LATCH_MM, middle.y_mm - tall / 2.0),
            point(outline.min.x_mm, middle.y_mm + tall / 2.0),
        ),
        (Latch::Right, View::Face) | (Latch::Left, View::Wire) => Rect::spanning(
            point(outline.max.x_mm, middle.y_mm - tall / 2.0),
            point(outline.max.x_mm + LATCH_MM, middle.y_mm + tall / 2.0),
        ),
    };
    let ink = Stroke::solid(0.4, Ink::Black);
    flow.push(Item::Rect { rect, stroke: Some(ink), fill: Some(Ink::Pale) });
}
