//! A connector's cavities seen from one side, drawn small, with the view's name and the latch.
//!
//! Where everything sits comes from `drawing`, which has it in millimetres. Mixing the two views up
//! is the oldest mistake there is, so the name stands large.

use egui::{
    Align2, FontId, Id, Pos2, Rect, Sense, Shape, Stroke, StrokeKind, Ui, Vec2, pos2, vec2,
};

use crate::app::action::Lead;
use crate::app::theme;
use crate::app::view::View;
use crate::drawing::{FacePlan, FaceSide, FaceView};
use crate::model::{Colour, Latch};

/// Size of the view's name.
const TITLE: f32 = 17.0;

/// What a cavity is filled with where no wire of the project ends in it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CavityMark {
    /// Nothing is noted.
    #[default]
    None,
    /// A wire that was there before.
    Existing,
    /// A sealing plug.
    Plug,
}

/// What is known about a cavity, for its picture.
#[derive(Clone, Debug, Default)]
pub struct CavityLook {
    /// Insulation of the wire that ends there.
    pub wire: Option<Colour>,
    /// Whether it is a sense pin.
    pub is_sense: bool,
    /// The meter lead that goes there.
    pub lead: Option<Lead>,
    /// What fills it otherwise.
    pub mark: CavityMark,
    /// Words for pointer and screen reader.
    pub words: String,
}

/// Draws the view in the width there is; returns the cavity that was clicked.
pub fn face_ui(
    ui: &mut Ui,
    id: Id,
    face: FaceView,
    chosen: Option<u16>,
    view: View<'_>,
    look: impl Fn(u16) -> CavityLook,
) -> Option<u16> {
    let tip = match face.side {
        FaceSide::Face => "Looking at the mating face",
        FaceSide::Wires => "Looking at the side the wires go in: the mirror image of the face view",
    };
    plan_ui(ui, id.with(face.side), (face.side.words(), tip), &face.plan(), (chosen, view), look)
}

/// Draws any plan of a face under a title in large letters; returns the cavity that was clicked.
pub fn plan_ui(
    ui: &mut Ui,
    id: Id,
    (title, tip): (&str, &str),
    plan: &FacePlan,
    (chosen, view): (Option<u16>, View<'_>),
    look: impl Fn(u16) -> CavityLook,
) -> Option<u16> {
    const AIR: f32 = 7.0;
    let text = egui::RichText::new(title.to_uppercase()).font(theme::bold(TITLE));
    let _ = ui.label(text).on_hover_text(tip);
    let scale = scale(plan, ui.available_width() - 2.0 * AIR - 16.0);
    let body = vec2(plan.width_mm as f32, plan.height_mm as f32) * scale + Vec2::splat(2.0 * AIR);
    let mut clicked = None;
    egui::ScrollArea::horizontal().id_salt(id).show(ui, |ui| {
        let (rect, _) = ui.allocate_exact_size(body + Vec2::splat(18.0), Sense::hover());
        let outline = Rect::from_center_size(rect.center(), body);
        paint_shell(ui, outline, plan.latch, view);
        let side = plan.cavity_mm as f32 * scale;
        for (cavity, spot) in (1u16..).zip(&plan.spots) {
            let at = vec2(spot.x_mm as f32, spot.y_mm as f32) * scale + Vec2::splat(AIR);
            let square = Rect::from_center_size(outline.min + at, Vec2::splat(side));
            let look = look(cavity);
            let response = ui.interact(square, id.with(cavity), Sense::click());
            let cell = Cell {
                rect: square,
                rounding: if plan.is_round { side / 2.0 } else { 3.0 },
                is_chosen: chosen == Some(cavity),
                is_hovered: response.hovered(),
            };
            paint_cavity(ui, cell, cavity, &look, view);
            let name = format!("cavity {cavity}, {title}");
            response.widget_info(|| {
                egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, name.clone())
            });
            if response.on_hover_text(look.words.as_str()).clicked() {
                clicked = Some(cavity);
            }
        }
    });
    clicked
}

/// Points to a millimetre: as wide as there is room for, but no number smaller than text. Where there
/// are many cavities the picture is wide and scrolls.
fn scale(plan: &FacePlan, room: f32) -> f32 {
    let cavity = plan.cavity_mm as f32;
    let least = if plan.spots.len() < 100 { 25.0 } else { 29.0 };
    (room / plan.width_mm as f32).clamp(least / cavity, (least + 6.0) / cavity)
}

/// Outline and latch.
fn paint_shell(ui: &Ui, outline: Rect, latch: Latch, view: View<'_>) {
    let ink = Stroke::new(1.4, view.palette.ink);
    ui.painter().rect_stroke(outline, 5.0, ink, StrokeKind::Middle);
    let latch = latch_rect(outline, latch);
    ui.painter().rect_filled(latch, 3.0, view.palette.wash(view.palette.ink, 0.12));
    ui.painter().rect_stroke(latch, 3.0, ink, StrokeKind::Middle);
}

/// Where the latch sits.
fn latch_rect(outline: Rect, latch: Latch) -> Rect {
    let across = vec2((outline.width() * 0.4).clamp(18.0, 60.0), 7.0);
    let along = vec2(7.0, (outline.height() * 0.5).clamp(14.0, 40.0));
    let (centre, size): (Pos2, Vec2) = match latch {
        Latch::Up => (outline.center_top() - vec2(0.0, 3.5), across),
        Latch::Down => (outline.center_bottom() + vec2(0.0, 3.5), across),
        Latch::Left => (outline.left_center() - vec2(3.5, 0.0), along),
        Latch::Right => (outline.right_center() + vec2(3.5, 0.0), along),
    };
    Rect::from_center_size(centre, size)
}

/// One cavity on the screen.
#[derive(Clone, Copy)]
struct Cell {
    rect: Rect,
    rounding: f32,
    is_chosen: bool,
    is_hovered: bool,
}

fn paint_cavity(ui: &Ui, cell: Cell, cavity: u16, look: &CavityLook, view: View<'_>) {
    let painter = ui.painter();
    let palette = view.palette;
    let (square, is_plug) = (cell.rect, look.wire.is_none() && look.mark == CavityMark::Plug);
    let fill = if look.is_sense {
        palette.wash(palette.live, 0.16)
    } else if is_plug {
        palette.wash(palette.ink, 0.18)
    } else {
        palette.sheet
    };
    painter.rect_filled(square, cell.rounding, fill);
    if is_plug {
        // A plug fills the hole: its cross goes from edge to edge, behind the number.
        let half = square.width() * if cell.rounding > 3.0 { 0.34 } else { 0.44 };
        let line = Stroke::new(1.2, palette.quiet);
        for down in [half, -half] {
            let by = vec2(half, down);
            painter.line_segment([square.center() - by, square.center() + by], line);
        }
    }
    if let Some(wire) = look.wire {
        paint_wire(ui, cell, wire, view);
    }
    let edge = match (cell.is_chosen, look.is_sense, cell.is_hovered) {
        (true, _, _) => Stroke::new(2.2, palette.chosen),
        (false, true, _) => Stroke::new(1.8, palette.live),
        (false, false, true) => Stroke::new(1.4, palette.chosen),
        (false, false, false) => Stroke::new(1.0, palette.quiet),
    };
    painter.rect_stroke(square, cell.rounding, edge, StrokeKind::Inside);
    if let Some(lead) = look.lead {
        let colour = lead_colour(lead, palette);
        let ring = Stroke::new(4.0, colour);
        painter.rect_filled(square, cell.rounding, palette.wash(colour, 0.30));
        painter.rect_stroke(square, cell.rounding, ring, StrokeKind::Outside);
    }
    let is_there_before = look.mark == CavityMark::Existing;
    let colour =
        match (look.is_sense && look.lead.is_none(), is_there_before && look.wire.is_none()) {
            (true, _) => palette.live,
            (false, true) => palette.quiet,
            (false, false) => palette.ink,
        };
    let font = if look.is_sense || look.lead.is_some() {
        theme::bold(theme::TEXT_SMALL)
    } else {
        FontId::proportional(theme::TEXT_SMALL)
    };
    let lift = if look.wire.is_some() { 4.0 } else { 0.0 };
    let at = square.center() - vec2(0.0, lift);
    let galley = painter.layout_no_wrap(cavity.to_string(), font, colour);
    if is_plug {
        let behind = Rect::from_center_size(at, galley.size() + vec2(3.0, -3.0));
        painter.rect_filled(behind, 2.0, palette.sheet);
    }
    let text = Align2::CENTER_CENTER.anchor_size(at, galley.size());
    painter.galley(text.min, galley, colour);
    if is_there_before && look.wire.is_none() {
        // The end of a wire nobody has to draw: a dot.
        painter.circle_filled(square.center_bottom() - vec2(0.0, 5.0), 2.2, palette.quiet);
    }
}

/// Colour of a meter lead.
fn lead_colour(lead: Lead, palette: &theme::Palette) -> egui::Color32 {
    match lead {
        Lead::Red => palette.lead_red,
        Lead::Black => palette.ink,
    }
}

/// The wire in a cavity: a stretch of its insulation below the number, the tracer along its middle.
fn paint_wire(ui: &Ui, cell: Cell, colour: Colour, view: View<'_>) {
    let square = cell.rect;
    let inset = square.width() * if cell.rounding > 3.0 { 0.24 } else { 0.16 };
    let bar = Rect::from_min_max(
        pos2(square.left() + inset, square.bottom() - 10.0),
        pos2(square.right() - inset, square.bottom() - 3.5),
    );
    ui.painter().rect_filled(bar, 1.0, theme::insulation(colour.base));
    if let Some(tracer) = colour.tracer {
        let line = Stroke::new(2.2, theme::insulation(tracer));
        let y = bar.center().y;
        let dashes =
            Shape::dashed_line(&[pos2(bar.left(), y), pos2(bar.right(), y)], line, 5.0, 2.5);
        ui.painter().extend(dashes);
    }
    ui.painter().rect_stroke(bar, 1.0, Stroke::new(0.8, view.palette.ink), StrokeKind::Outside);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{CavityFit, CavityLayout, HalfSide, Numbering};

    #[test]
    fn numbers_are_never_smaller_than_text_and_few_cavities_fill_no_more_than_they_need() {
        for (layout, many) in [
            (CavityLayout::Grid { rows: 2, columns: 3 }, false),
            (CavityLayout::Grid { rows: 10, columns: 20 }, true),
            (CavityLayout::Ring { around: 6, centre: true }, false),
        ] {
            for pitch_mm in [None, Some(0.5), Some(12.0)] {
                let plan = FaceView {
                    layout,
                    numbering: Numbering::FORWARD,
                    latch: Latch::Up,
                    fit: CavityFit { pitch_mm, ..CavityFit::default() },
                    half: HalfSide::First,
                    side: FaceSide::Face,
                }
                .plan();
                for room in [10.0, 300.0, 4000.0] {
                    let side = scale(&plan, room) * plan.cavity_mm as f32;
                    let least = if many { 29.0 } else { 25.0 };
                    assert!(side >= least - 0.01 && side <= least + 6.01, "{side}");
                }
            }
        }
    }
}
