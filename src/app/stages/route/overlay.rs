//! What lies below and above the layout: the picture, what is under the pointer, what the hand holds, the scale.

use egui::{Align2, Color32, Pos2, Rect, Shape, Stroke, pos2, vec2};

use crate::app::action::LayoutItem;
use crate::app::canvas::{Brush, paint_words};
use crate::app::pictures::Shown;
use crate::app::stages::route::canvas::picture_rect;
use crate::app::stages::route::gesture::Hand;
use crate::app::stages::route::hit::{Hit, drop_place};
use crate::app::stages::route::state::{Asking, RouteState};
use crate::app::theme;
use crate::app::view::View;
use crate::geometry;
use crate::model::PlaceId;

/// Size of the corner by which the picture grows, in points.
pub const CORNER: f32 = 12.0;

/// The photo or drawing, seen through as far as the user wants.
pub fn paint_picture(brush: &Brush<'_>, view: View<'_>) {
    let (Some(underlay), Some(rect)) = (&view.project.underlay, picture_rect(view)) else { return };
    let Some(Shown::Ready(texture)) = view.pictures.shown() else { return };
    let rect = brush.lens.screen_rect(rect);
    let uv = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    let tint = Color32::WHITE.gamma_multiply(underlay.opacity as f32);
    brush.painter.image(texture.id(), rect, uv, tint);
    if view.layout == Some(LayoutItem::Underlay) {
        let stroke = Stroke::new(1.6, brush.palette.chosen);
        brush.painter.rect_stroke(rect, 0.0, stroke, egui::StrokeKind::Outside);
        let corner = Rect::from_center_size(rect.max, vec2(CORNER, CORNER));
        brush.painter.rect(corner, 2.0, brush.palette.sheet, stroke, egui::StrokeKind::Inside);
    }
}

/// What lies under the pointer stands out.
pub fn paint_hover(brush: &Brush<'_>, view: View<'_>, own: &RouteState, hover: Option<Hit>) {
    let stroke = Stroke::new(2.0, brush.palette.quiet);
    match hover {
        Some(Hit::Dot(id)) => {
            if let Some(place) = view.project.places.get(id) {
                brush.painter.circle_stroke(brush.pos(place.pos), 10.0, stroke);
            }
        }
        Some(Hit::Tag(id)) => {
            if let Some(tag) = own.painted.as_ref().and_then(|painted| painted.tag(id)) {
                brush.painter.rect_stroke(tag.rect, 5.0, stroke, egui::StrokeKind::Outside);
            }
        }
        Some(Hit::Run(id)) => {
            if let Some(line) = own.scene.lines.get(&id) {
                brush.line(line, 12.0, Brush::glaze(brush.palette.quiet, 0.22));
            }
        }
        Some(Hit::Chip(_)) | None => {}
    }
}

/// What the hand holds.
pub fn paint_hand(brush: &Brush<'_>, view: View<'_>, own: &RouteState) {
    let palette = brush.palette;
    let chosen = Stroke::new(2.4, palette.chosen);
    let place_pos = |id: PlaceId| view.project.places.get(id).map(|place| brush.pos(place.pos));
    let painted = own.painted.as_ref();
    let mark_target = |at: geometry::Point| {
        let pos = brush.pos(at);
        let over = drop_place(view.project, painted, &brush.lens, pos);
        if let Some(pos) = over.and_then(place_pos) {
            brush.painter.circle_stroke(pos, 13.0, chosen);
        }
        over
    };
    match &own.hand {
        Hand::Drawing(from, at) => {
            let Some(start) = place_pos(*from) else { return };
            let end = mark_target(*at).and_then(place_pos).unwrap_or(brush.pos(*at));
            brush.painter.line_segment([start, end], chosen);
            paint_hint(brush, "Let go on another place to draw a run");
        }
        Hand::Carrying(_, noun, Some(at)) => {
            let over = mark_target(*at);
            ghost(brush, brush.pos(*at), noun);
            let hint = match over.and_then(|id| view.project.places.get(id)) {
                Some(place) => format!("Put {noun} at {}", place.name),
                None => format!("Let go on a place, or on free ground for a new one: {noun}"),
            };
            paint_hint(brush, &hint);
        }
        Hand::Pinning(wire, run, at) => {
            let (Some(wire), Some(run)) =
                (view.project.wires.get(*wire), view.project.runs.get(*run))
            else {
                return;
            };
            let over = mark_target(*at);
            let tip = over.and_then(place_pos).unwrap_or(brush.pos(*at));
            for end in [run.from, run.to].into_iter().filter_map(place_pos) {
                brush.painter.extend(Shape::dashed_line(&[end, tip], chosen, 7.0, 4.0));
            }
            paint_hint(brush, &format!("Let go on a place to send {} through it", wire.name));
        }
        Hand::Measuring(first, at) => {
            if let (Some(first), Some(at)) = (first, at) {
                brush.painter.line_segment([brush.pos(*first), brush.pos(*at)], chosen);
            }
            let hint = match first {
                None => "Click one end of a stretch whose length you know",
                Some(_) => "Now click its other end",
            };
            paint_hint(brush, &format!("{hint} · Esc leaves it"));
        }
        Hand::Idle
        | Hand::Moving(..)
        | Hand::Carrying(_, _, None)
        | Hand::Picture(_)
        | Hand::Panning => {}
    }
    if let Some(Asking::Scale { ends, .. }) = &own.asking {
        brush.painter.line_segment(ends.map(|p| brush.pos(p)), chosen);
    }
    if let Some(Asking::NewRun { ends, .. }) = &own.asking
        && let [Some(a), Some(b)] = ends.map(place_pos)
    {
        brush.painter.line_segment([a, b], chosen);
    }
}

fn ghost(brush: &Brush<'_>, at: Pos2, text: &str) {
    let palette = brush.palette;
    let font = theme::plain(theme::TEXT_SMALL);
    let galley = brush.painter.layout_no_wrap(text.to_owned(), font, palette.ink);
    let rect = Rect::from_min_size(at + vec2(10.0, 6.0), galley.size() + vec2(12.0, 6.0));
    let stroke = Stroke::new(1.5, palette.chosen);
    brush.painter.rect(rect, 5.0, palette.card, stroke, egui::StrokeKind::Inside);
    brush.painter.galley(rect.min + vec2(6.0, 3.0), galley, palette.ink);
}

/// What the hand can do next, at the lower edge.
fn paint_hint(brush: &Brush<'_>, text: &str) {
    let pos = brush.lens.view.left_bottom() + vec2(14.0, -10.0);
    let font = theme::plain(theme::TEXT_SMALL);
    let galley = brush.painter.layout_no_wrap(text.to_owned(), font, brush.palette.ink);
    let rect = Align2::LEFT_BOTTOM.anchor_size(pos, galley.size()).expand2(vec2(6.0, 3.0));
    brush.painter.rect_filled(rect, 5.0, brush.palette.sheet);
    brush.painter.galley(rect.min + vec2(6.0, 3.0), galley, brush.palette.ink);
}

/// A bar of a round length, where the scale is known.
pub fn paint_scale_bar(brush: &Brush<'_>, view: View<'_>) {
    let Some(scale) = view.project.layout_scale else { return };
    let px_per_machine_mm = f64::from(brush.lens.scale()) / scale;
    let Some(length_mm) = round_length_mm(110.0 / px_per_machine_mm) else { return };
    let long = (length_mm * px_per_machine_mm) as f32;
    let end = brush.lens.view.right_bottom() + vec2(-16.0, -14.0);
    let start = end - vec2(long, 0.0);
    let pen = Stroke::new(1.6, brush.palette.ink);
    brush.painter.line_segment([start, end], pen);
    for at in [start, end] {
        brush.painter.line_segment([at - vec2(0.0, 4.0), at + vec2(0.0, 4.0)], pen);
    }
    let text = view.preferences.length_text(length_mm);
    let middle = start + (end - start) / 2.0 - vec2(0.0, 4.0);
    let font = theme::plain(theme::TEXT_SMALL);
    brush.painter.text(middle, Align2::CENTER_BOTTOM, text, font, brush.palette.ink);
}

/// The greatest of 1, 2 and 5 times a power of ten that is not above a length.
fn round_length_mm(most_mm: f64) -> Option<f64> {
    if !(most_mm.is_finite() && most_mm > 0.0) {
        return None;
    }
    let decade = 10f64.powf(most_mm.log10().floor());
    [5.0, 2.0, 1.0].into_iter().map(|step| step * decade).find(|mm| *mm <= most_mm * 1.000_001)
}

/// What to do with a layout that has no places.
pub fn paint_invitation(brush: &Brush<'_>) {
    let lines = [
        "Double-click where something ends, branches or is clipped: a box, a tee, the controller.",
        "Drag from place to place for a run, and type the length of your rope.",
        "Then drag parts from the list to where they sit; the wires find their routes.",
    ];
    paint_words(brush, "No places yet", &lines);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scale_bars_are_round() {
        let round = |most| round_length_mm(most);
        assert_eq!(round(1.0), Some(1.0));
        assert_eq!(round(180.0), Some(100.0));
        assert_eq!(round(499.0), Some(200.0));
        assert_eq!(round(7000.0), Some(5000.0));
        assert_eq!((round(0.0), round(f64::NAN)), (None, None));
    }
}
