//! A lever that leans: held to a side by pressing that side, upright again when let go.

use egui::{Align2, Rect, Role, Sense, Shape, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2};

use crate::app::panels::controls::face::{FACE_HEIGHT, FaceLook, Touch, word};
use crate::app::panels::controls::hand::arc;
use crate::app::theme;
use crate::model::Control;

/// How far the outermost position leans, in radians.
const MOST_LEAN: f32 = 0.55;
/// Length of the shaft.
const SHAFT: f32 = 52.0;

/// Paints the lever with the words of its sides.
pub fn lever_ui(ui: &mut Ui, look: FaceLook<'_>, control: &Control) -> Touch {
    let palette = look.palette;
    let arc = arc(control);
    let rest_slot = arc.iter().position(|position| *position == control.rest).unwrap_or(0);
    let words: Vec<_> = arc
        .iter()
        .map(|position| {
            let name = control
                .positions
                .get(usize::from(*position))
                .map_or("", |position| position.name.as_str());
            let is_here = look.stands == *position;
            let font = if is_here {
                theme::bold(theme::TEXT_SMALL)
            } else {
                theme::plain(theme::TEXT_SMALL)
            };
            let colour = look.tone(if is_here { palette.live } else { palette.quiet });
            (word(ui, name, font, colour), colour)
        })
        .collect();
    let side = words.iter().map(|(galley, _)| galley.size().x).fold(20.0, f32::max) + 50.0;
    let (rect, _) = ui.allocate_exact_size(vec2(2.0 * side, FACE_HEIGHT), Sense::hover());
    let foot = pos2(rect.center().x, rect.bottom() - 8.0);
    let mut touch = Touch::default();
    let mut hovered = None;
    for (slot, position) in
        arc.iter().enumerate().filter(|(_, position)| **position != control.rest)
    {
        let zone = zone(rect, slot, rest_slot, arc.len());
        let response = ui.interact(zone, ui.scope_id().with(("side", *position)), look.sense());
        let name = control
            .positions
            .get(usize::from(*position))
            .map_or("", |position| position.name.as_str());
        let is_here = look.stands == *position;
        response.widget_info(|| {
            WidgetInfo::selected(
                Role::Button,
                look.is_free,
                is_here,
                look.name(format!("{}: {name}", control.name)),
            )
        });
        if response.hovered() {
            hovered = Some(zone);
        }
        look.focus_ring(ui, &response, 8);
        touch.add(&response, *position);
    }
    if let Some(zone) = hovered.filter(|_| look.is_free) {
        ui.painter().rect_filled(zone.shrink(2.0), 8.0, palette.wash(palette.ink, 0.05));
    }
    paint_words(ui, rect, rest_slot, &words, control, &arc);
    let slot = arc.iter().position(|position| *position == look.stands).unwrap_or(rest_slot);
    let lean = lean(slot, rest_slot, arc.len());
    let tip = foot + SHAFT * vec2(lean.sin(), -lean.cos());
    let painter = ui.painter();
    let base = Rect::from_center_size(foot, vec2(78.0, 15.0));
    painter.add(Shape::ellipse_filled(
        base.center(),
        base.size() / 2.0,
        palette.wash(palette.ink, 0.09),
    ));
    painter.add(Shape::ellipse_stroke(
        base.center(),
        base.size() / 2.0,
        Stroke::new(1.0, palette.edge),
    ));
    painter.line_segment([foot, tip], Stroke::new(7.0, look.tone(palette.ink)));
    let is_moved = look.stands != control.rest;
    let knob = look.tone(if is_moved { palette.live } else { palette.ink });
    painter.circle_filled(tip, 13.5, knob);
    painter.circle_stroke(tip, 13.5, Stroke::new(1.0, palette.card));
    touch
}

/// Words to the left and right, one above the other where a side has several.
fn paint_words(
    ui: &Ui,
    rect: Rect,
    rest_slot: usize,
    words: &[(std::sync::Arc<egui::Galley>, egui::Color32)],
    control: &Control,
    arc: &[u8],
) {
    for (slot, (galley, colour)) in words.iter().enumerate() {
        if arc[slot] == control.rest {
            continue;
        }
        let (on_side, order) = if slot < rest_slot {
            (rest_slot, rest_slot - slot - 1)
        } else {
            (arc.len() - rest_slot - 1, slot - rest_slot - 1)
        };
        let y = rect.top() + 26.0 + 17.0 * (order as f32 - (on_side as f32 - 1.0) / 2.0);
        let gap = 46.0;
        let (x, align) = if slot < rest_slot {
            (rect.center().x - gap, Align2::RIGHT_CENTER)
        } else {
            (rect.center().x + gap, Align2::LEFT_CENTER)
        };
        let at = align.anchor_size(pos2(x, y), galley.size());
        ui.painter().galley(at.min, galley.clone(), *colour);
    }
}

/// The part of the face a press on which leans the lever to this slot: the sides are shared out
/// evenly among their positions, the nearest to the middle first.
fn zone(rect: Rect, slot: usize, rest_slot: usize, n: usize) -> Rect {
    let (side, on_side, order) = if slot < rest_slot {
        (Rect::from_min_max(rect.min, pos2(rect.center().x - 4.0, rect.bottom())), rest_slot, slot)
    } else {
        let on_side = n - rest_slot - 1;
        (
            Rect::from_min_max(pos2(rect.center().x + 4.0, rect.top()), rect.max),
            on_side,
            slot - rest_slot - 1,
        )
    };
    let width = side.width() / on_side.max(1) as f32;
    Rect::from_min_size(side.min + Vec2::X * (width * order as f32), vec2(width, side.height()))
}

/// Angle from upright in radians, to the right positive.
fn lean(slot: usize, rest_slot: usize, n: usize) -> f32 {
    let steps = slot as f32 - rest_slot as f32;
    let most = rest_slot.max(n - 1 - rest_slot).max(1) as f32;
    MOST_LEAN * steps / most
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lever_rests_upright_and_leans_to_the_side_of_its_position() {
        assert_eq!(lean(1, 1, 3), 0.0);
        assert_eq!(lean(0, 1, 3), -MOST_LEAN);
        assert_eq!(lean(2, 1, 3), MOST_LEAN);
        assert_eq!(lean(1, 0, 2), MOST_LEAN);
        assert!(lean(1, 0, 3) < lean(2, 0, 3));
    }

    #[test]
    fn sides_are_shared_out_without_overlap() {
        let rect = Rect::from_min_size(pos2(0.0, 0.0), vec2(200.0, 80.0));
        for (rest, n) in [(1, 3), (2, 5), (0, 2), (0, 4), (3, 4)] {
            let zones: Vec<Rect> =
                (0..n).filter(|slot| *slot != rest).map(|slot| zone(rect, slot, rest, n)).collect();
            for pair in zones.windows(2) {
                assert!(pair[0].right() <= pair[1].left() + 0.01, "{zones:?}");
            }
            assert!(zones.iter().all(|zone| rect.contains_rect(*zone) && zone.width() > 10.0));
        }
    }
}
