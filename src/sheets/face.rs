//! The two views of a connector on paper: cavities where they are, numbers, latch, what is in them.
//! Where everything lies is the drawing's own plan of the face.

use crate::drawing::{FacePlan, FaceSide, FaceView};
use crate::geometry::{Point, Rect, point};
use crate::model::{Colour, Latch};
use crate::sheets::flow::{Flow, Style};
use crate::sheets::page::{Anchor, Ink, Item, Stroke};
use crate::sheets::words::millimetres;

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
    /// The half, seen from either side.
    pub view: FaceView,
    /// What each cavity holds, from cavity 1.
    pub fillings: Vec<Filling>,
}

/// Side of a cavity's square at most and at least, in millimetres: numbers of three figures fit into
/// the least.
const CAVITY_MOST_MM: f64 = 8.1;
const CAVITY_LEAST_MM: f64 = 6.5;
/// From the outer cavities to the outline.
const AIR_MM: f64 = 1.6;
/// The latch stands out so far.
const LATCH_MM: f64 = 2.4;

/// Draws both views, side by side where the page is wide enough, else one above the other.
pub fn draw_both(flow: &mut Flow<'_>, face: &FaceOf) {
    let plans = FaceSide::ALL.map(|side| (side, FaceView { side, ..face.view }.plan()));
    let plan = &plans[0].1;
    if plan.cavity_mm <= 0.0 || plan.spots.is_empty() {
        return;
    }
    let body_mm = flow.body().width();
    let edge = 2.0 * (AIR_MM + LATCH_MM);
    let title_mm = 8.0;
    let most = CAVITY_MOST_MM / plan.cavity_mm;
    let least = CAVITY_LEAST_MM / plan.cavity_mm;
    let height = |scale: f64| plan.height_mm * scale + edge + title_mm;
    let beside = ((body_mm / 2.0 - 4.0 - edge) / plan.width_mm).min(most);
    if beside >= least && height(beside) <= flow.body().height() {
        let room = flow.room(height(beside) + 2.0);
        for (n, (side, plan)) in plans.iter().enumerate() {
            let left = room.min.x_mm + n as f64 * body_mm / 2.0;
            draw_one(flow, face, (*side, plan), (point(left, room.min.y_mm), beside));
        }
        return;
    }
    let above = ((body_mm - edge) / plan.width_mm).min(most);
    if above >= least && height(above) <= flow.body().height() {
        for (side, plan) in &plans {
            let room = flow.room(height(above) + 2.0);
            draw_one(flow, face, (*side, plan), (room.min, above));
        }
        return;
    }
    flow.paragraph(&format!(
        "FACE VIEW and WIRE VIEW: {} cavities are too many to draw at a readable size on this paper; \
         the table below has them all. Choose A3 or landscape for the pictures.",
        plan.spots.len()
    ));
}

/// Both views at the size of the real part, to lay the connector on; only where its pitch is known.
pub fn draw_full_size(flow: &mut Flow<'_>, face: &FaceOf) {
    let plans = FaceSide::ALL.map(|side| (side, FaceView { side, ..face.view }.plan()));
    let (_, plan) = &plans[0];
    let Some(pitch_mm) = face.view.fit.pitch_mm.filter(|_| plan.is_to_scale) else { return };
    let body = flow.body();
    let title_mm = Style::QUIET.line_mm() + 2.0;
    let height_mm = plan.height_mm + title_mm + LATCH_MM + 3.0;
    // Room for both side by side; a part larger than that needs no paper to be recognised.
    if plan.width_mm + 2.0 * LATCH_MM > body.width() / 2.0 - 4.0 || height_mm > body.height() {
        return;
    }
    let room = flow.room(height_mm);
    for (n, (side, plan)) in plans.iter().enumerate() {
        let corner = point(room.min.x_mm + n as f64 * body.width() / 2.0, room.min.y_mm);
        let words = match side {
            FaceSide::Face => {
                format!("face, full size: pitch {}, print at 100 %", millimetres(pitch_mm))
            }
            FaceSide::Wires => "wires, full size; black: cavity 1".to_owned(),
        };
        let at = corner + point(0.0, Style::QUIET.rise_mm());
        flow.text_at(at, Anchor::Start, Style::QUIET, &words);
        let origin = corner + point(LATCH_MM, title_mm + LATCH_MM);
        for (idx, spot) in plan.spots.iter().enumerate() {
            let radius_mm = plan.cavity_mm * 0.3;
            let fill = if idx == 0 { Ink::Black } else { Ink::White };
            flow.push(Item::Circle {
                centre: origin + *spot,
                radius_mm,
                stroke: Some(Stroke::solid(0.2, Ink::Black)),
                fill: Some(fill),
            });
        }
    }
}

fn draw_one(
    flow: &mut Flow<'_>,
    face: &FaceOf,
    (side, plan): (FaceSide, &FacePlan),
    (corner, scale): (Point, f64),
) {
    let title = Style { size_pt: 15.0, bold: true, ink: Ink::Black };
    let words = side.words().to_uppercase();
    flow.text_at(corner + point(0.0, 5.4), Anchor::Start, title, &words);
    let origin = corner + point(LATCH_MM, 8.0 + LATCH_MM);
    let size = point(plan.width_mm * scale + 2.0 * AIR_MM, plan.height_mm * scale + 2.0 * AIR_MM);
    let outline = Rect::spanning(origin, origin + size);
    let ink = Stroke::solid(0.5, Ink::Black);
    latch(flow, plan.latch, outline);
    flow.push(Item::Rect { rect: outline, stroke: Some(ink), fill: Some(Ink::White) });
    let first = origin + point(AIR_MM, AIR_MM);
    for (cavity, spot) in (1u16..).zip(&plan.spots) {
        let centre = first + point(spot.x_mm * scale, spot.y_mm * scale);
        let filling = face.fillings.get(usize::from(cavity) - 1).unwrap_or(&Filling::Empty);
        draw_cavity(flow, centre, plan.cavity_mm * scale - 0.4, cavity, filling);
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

/// The latch, on its side of this view.
fn latch(flow: &mut Flow<'_>, latch: Latch, outline: Rect) {
    let (wide, tall) = (outline.width() * 0.4 / 2.0, outline.height() * 0.5 / 2.0);
    let middle = outline.centre();
    let (a, b) = match latch {
        Latch::Up => {
            (point(-wide, -outline.height() / 2.0 - LATCH_MM), point(wide, -outline.height() / 2.0))
        }
        Latch::Down => {
            (point(-wide, outline.height() / 2.0), point(wide, outline.height() / 2.0 + LATCH_MM))
        }
        Latch::Left => {
            (point(-outline.width() / 2.0 - LATCH_MM, -tall), point(-outline.width() / 2.0, tall))
        }
        Latch::Right => {
            (point(outline.width() / 2.0, -tall), point(outline.width() / 2.0 + LATCH_MM, tall))
        }
    };
    let ink = Stroke::solid(0.4, Ink::Black);
    let rect = Rect::spanning(middle + a, middle + b);
    flow.push(Item::Rect { rect, stroke: Some(ink), fill: Some(Ink::Pale) });
}
