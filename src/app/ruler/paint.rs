//! Where the ruler's labels stand, and how its bars, bands and needle are painted.

use egui::{Color32, CornerRadius, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use crate::app::theme;
use crate::app::theme::Palette;
use crate::model::BandRole;
use crate::sense::Verdict;

/// Rows for names of bands above the bars, at most.
const LABEL_ROWS: usize = 2;

/// Colour of a band by its place among the pin's bands; bands nobody acts on stay quiet.
pub fn band_colour(palette: &Palette, role: BandRole, order: usize) -> Color32 {
    match role {
        BandRole::Action => palette.bands[order % palette.bands.len()],
        BandRole::Idle | BandRole::Open | BandRole::Short => palette.quiet,
    }
}

/// Left edge and row of every label: in the middle of its band, kept within the ruler, and on the
/// second row where it would touch the one before; `None` where neither row has room.
pub fn place_labels(labels: &[(f32, f32)], left: f32, right: f32) -> Vec<Option<(f32, usize)>> {
    let mut order: Vec<usize> = (0..labels.len()).collect();
    order.sort_by(|a, b| labels[*a].0.total_cmp(&labels[*b].0));
    let mut ends = [f32::NEG_INFINITY; LABEL_ROWS];
    let mut places = vec![None; labels.len()];
    for idx in order {
        let (middle, width) = labels[idx];
        let x = (middle - width / 2.0).min(right - width).max(left);
        if let Some(row) = (0..LABEL_ROWS).find(|row| x >= ends[*row] + 6.0) {
            ends[row] = x + width;
            places[idx] = Some((x, row));
        }
    }
    places
}

/// One bar from worst low to worst high with its nominal mark; the mark's shape tells the verdict.
pub struct BarLook {
    /// Worst low, middle of the bar in height.
    pub from: Pos2,
    /// Worst high.
    pub to: Pos2,
    /// Nominal.
    pub nominal: Pos2,
    /// Height of the bar.
    pub height: f32,
    /// Verdict, for the shape of the mark.
    pub verdict: Option<Verdict>,
    /// Colour of bar and mark.
    pub colour: Color32,
    /// No path: an arrow instead of a mark.
    pub is_open: bool,
}

impl BarLook {
    /// The space it takes, for the pointer.
    pub fn rect(&self) -> Rect {
        let reach = (self.height / 2.0).max(4.0);
        Rect::from_min_max(self.from - vec2(4.0, reach), self.to + vec2(4.0, reach))
    }

    /// Paints it.
    pub fn paint(&self, painter: &Painter) {
        let thickness = (self.height * 0.62).clamp(2.0, 7.0);
        let half = vec2(0.0, thickness / 2.0);
        if !self.is_open || self.to.x - self.from.x > 2.0 {
            let rect = Rect::from_min_max(
                self.from - half - vec2(1.0, 0.0),
                self.to + half + vec2(1.0, 0.0),
            );
            painter.rect_filled(rect, CornerRadius::same(2), self.colour.gamma_multiply(0.45));
        }
        let at = self.nominal;
        let reach = (self.height * 0.5).clamp(2.5, 5.0);
        let stroke = Stroke::new(1.8, self.colour);
        if self.is_open {
            let points = vec![
                at + vec2(-reach, -reach),
                at + vec2(reach + 1.0, 0.0),
                at + vec2(-reach, reach),
            ];
            painter.add(Shape::convex_polygon(points, self.colour, Stroke::NONE));
            return;
        }
        match self.verdict {
            Some(Verdict::Clash) => {
                painter.line_segment([at + vec2(-reach, -reach), at + vec2(reach, reach)], stroke);
                painter.line_segment([at + vec2(-reach, reach), at + vec2(reach, -reach)], stroke);
            }
            Some(Verdict::Gap) => {
                painter.circle_stroke(at, reach, stroke);
            }
            Some(Verdict::Thin) => {
                let points = vec![
                    at + vec2(0.0, -reach),
                    at + vec2(reach, reach * 0.8),
                    at + vec2(-reach, reach * 0.8),
                ];
                painter.add(Shape::convex_polygon(points, self.colour, Stroke::NONE));
            }
            Some(Verdict::Ok) | None => {
                let mark = Rect::from_center_size(at, egui::Vec2::splat((reach * 1.3).max(3.0)));
                painter.rect_filled(mark, CornerRadius::same(1), self.colour);
            }
        }
    }
}

/// The needle for now: a line over the whole height with a tip above.
pub fn paint_needle(painter: &Painter, area: Rect, x: f32, palette: &Palette) {
    painter.line_segment(
        [pos2(x, area.top()), pos2(x, area.bottom())],
        Stroke::new(2.0, palette.live),
    );
    let top = pos2(x, area.top() + 1.0);
    let tip = vec![top + vec2(-5.0, 0.0), top + vec2(5.0, 0.0), top + vec2(0.0, 7.0)];
    painter.add(Shape::convex_polygon(tip, palette.live, Stroke::NONE));
}

/// A band as a calm wash with edges, and lines across it below its name where it stands for a fault.
pub fn paint_band(
    painter: &Painter,
    rect: Rect,
    below_names: f32,
    (colour, role): (Color32, BandRole),
    palette: &Palette,
) {
    let share = match role {
        BandRole::Action => 0.17,
        BandRole::Idle | BandRole::Open | BandRole::Short => 0.09,
    };
    painter.rect_filled(rect, CornerRadius::same(3), palette.wash(colour, share));
    let edge = Stroke::new(1.0, palette.wash(colour, 0.5));
    for x in [rect.left(), rect.right()] {
        painter.line_segment([pos2(x, rect.top()), pos2(x, rect.bottom())], edge);
    }
    match role {
        BandRole::Action | BandRole::Idle => {}
        BandRole::Open | BandRole::Short => {
            let line = Stroke::new(1.0, palette.wash(colour, 0.28));
            let mut y = below_names;
            while y < rect.bottom() {
                painter.line_segment([pos2(rect.left(), y), pos2(rect.right(), y)], line);
                y += 7.0;
            }
        }
    }
}

/// Font of band names.
pub fn label_font() -> egui::FontId {
    theme::bold(theme::TEXT_SMALL)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_bands_never_touch_and_stay_within_the_ruler() {
        let labels = [(20.0, 60.0), (40.0, 50.0), (200.0, 40.0), (296.0, 60.0), (60.0, 60.0)];
        let places = place_labels(&labels, 0.0, 300.0);
        assert_eq!(places[0], Some((0.0, 0)));
        assert_eq!(places[3], Some((240.0, 0)), "kept within the right end");
        for (a, place_a) in places.iter().enumerate() {
            for (b, place_b) in places.iter().enumerate().skip(a + 1) {
                let (Some((xa, row_a)), Some((xb, row_b))) = (place_a, place_b) else { continue };
                let apart = xa + labels[a].1 <= *xb || xb + labels[b].1 <= *xa;
                assert!(row_a != row_b || apart, "{a} touches {b}");
            }
        }
        assert_eq!(places[4], None, "both rows are taken there");
    }
}
