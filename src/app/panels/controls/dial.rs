//! A dial that is turned to one of several places.

use egui::{Align2, Pos2, Rect, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2};

use crate::app::panels::controls::face::{FACE_HEIGHT, FaceLook, Touch, word};
use crate::app::theme;
use crate::model::Control;

/// A dial with a pointer and a word at every place; a click on a place turns it there.
pub fn dial_ui(ui: &mut Ui, look: FaceLook<'_>, control: &Control) -> Touch {
    let palette = look.palette;
    let n = control.positions.len();
    let words: Vec<_> = (0u8..)
        .zip(&control.positions)
        .map(|(idx, position)| {
            let is_here = look.stands == idx;
            let font = if is_here {
                theme::bold(theme::TEXT_SMALL)
            } else {
                theme::plain(theme::TEXT_SMALL)
            };
            let colour = if is_here { palette.ink } else { palette.quiet };
            (word(ui, &position.name, font, look.tone(colour)), look.tone(colour))
        })
        .collect();
    // More places than words have room for show the word of the place the dial is on, below.
    let shows_words = n <= 6;
    let side = if shows_words {
        words.iter().map(|(galley, _)| galley.size().x).fold(10.0, f32::max) + 12.0
    } else {
        16.0
    };
    let (rect, _) = ui.allocate_exact_size(vec2(72.0 + 2.0 * side, FACE_HEIGHT), Sense::hover());
    let centre = rect.center() + vec2(0.0, if shows_words { 8.0 } else { -6.0 });
    ui.painter().circle(
        centre,
        21.0,
        palette.wash(palette.ink, 0.06),
        Stroke::new(2.0, look.tone(palette.ink)),
    );
    let mut touch = Touch::default();
    for ((idx, position), (galley, colour)) in (0u8..).zip(&control.positions).zip(words) {
        let direction = dial_direction(usize::from(idx), n);
        let dot = centre + direction * 28.0;
        let size = galley.size();
        let text_at = word_place(dot, direction, size);
        let dot_zone = Rect::from_center_size(dot, Vec2::splat(16.0));
        let zone =
            if shows_words { dot_zone.union(Rect::from_min_size(text_at, size)) } else { dot_zone };
        let is_here = look.stands == idx;
        let response = ui.interact(zone, ui.scope_id().with(("place", idx)), look.sense());
        response.widget_info(|| {
            WidgetInfo::selected(
                Role::Button,
                look.is_free,
                is_here,
                look.name(format!("{}: {}", control.name, position.name)),
            )
        });
        if response.hovered() {
            ui.painter().circle_filled(dot, 7.0, palette.wash(palette.ink, 0.14));
        }
        let is_lit = is_here && idx != control.rest;
        let tone = if is_lit {
            palette.live
        } else if is_here {
            palette.ink
        } else {
            palette.quiet
        };
        ui.painter().circle_filled(dot, if is_here { 4.0 } else { 2.5 }, look.tone(tone));
        if is_here {
            let stroke = Stroke::new(4.0, look.tone(tone));
            ui.painter()
                .line_segment([centre + direction * 5.0, centre + direction * 17.0], stroke);
        }
        if shows_words {
            ui.painter().galley(text_at, galley, colour);
        }
        look.focus_ring(ui, &response, 6);
        touch.add(&response, idx);
    }
    if !shows_words && let Some(position) = control.positions.get(usize::from(look.stands)) {
        let at = pos2(centre.x, rect.bottom());
        let font = theme::bold(theme::TEXT_SMALL);
        ui.painter().text(at, Align2::CENTER_BOTTOM, &position.name, font, look.tone(palette.ink));
    }
    touch
}

/// Upper left corner of the word beside a place: left of it, right of it, or above it.
fn word_place(dot: Pos2, direction: Vec2, size: Vec2) -> Pos2 {
    if direction.x < -0.1 {
        pos2(dot.x - 7.0 - size.x, dot.y - size.y / 2.0)
    } else if direction.x > 0.1 {
        pos2(dot.x + 7.0, dot.y - size.y / 2.0)
    } else {
        pos2(dot.x - size.x / 2.0, dot.y - size.y - 1.0)
    }
}

/// Where place `idx` of `n` is on a dial: from the lower left over the top to the lower right.
fn dial_direction(idx: usize, n: usize) -> Vec2 {
    let share = if n > 1 { idx as f32 / (n - 1) as f32 } else { 0.5 };
    let sweep = if n <= 3 { 100.0_f32 } else { 230.0 }.to_radians();
    let angle = -std::f32::consts::FRAC_PI_2 + (share - 0.5) * sweep;
    Vec2::angled(angle)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dial_runs_from_left_over_the_top_to_the_right() {
        for n in 2..=24 {
            let places: Vec<Vec2> = (0..n).map(|idx| dial_direction(idx, n)).collect();
            assert!(places[0].x < 0.0 && places[n - 1].x > 0.0);
            assert!((places[0].x + places[n - 1].x).abs() < 1e-5, "the ends mirror each other");
            for pair in places.windows(2) {
                assert!(pair[0].angle_between(pair[1]) > 0.05, "places of {n} stand apart");
            }
        }
    }

    trait AngleBetween {
        fn angle_between(self, other: Self) -> f32;
    }

    impl AngleBetween for Vec2 {
        fn angle_between(self, other: Self) -> f32 {
            self.dot(other).clamp(-1.0, 1.0).acos()
        }
    }
}
