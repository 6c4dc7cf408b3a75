//! The small bar under the figure: the band, the worst case within it, and the needle.

use egui::{
    Align2, CornerRadius, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2,
};

use crate::app::panels::readout::facts::BarFacts;
use crate::app::ruler::band_colour;
use crate::app::theme;
use crate::app::theme::Palette;

/// Paints the bar over the whole width.
pub fn band_bar_ui(ui: &mut Ui, palette: &Palette, facts: &BarFacts, label: &str) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 46.0), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Meter, true, label));
    let track = Rect::from_min_size(rect.min + vec2(0.0, 8.0), vec2(rect.width(), 16.0));
    let x = |place: f32| track.left() + track.width() * place;
    let painter = ui.painter_at(rect.expand(1.0));
    let round = CornerRadius::same(8);
    painter.rect_filled(track, round, palette.wash(palette.ink, 0.07));
    let shape = |from: f32, to: f32| {
        Rect::from_min_max(
            pos2(x(from), track.top()),
            pos2(x(to).max(x(from) + 3.0), track.bottom()),
        )
    };
    for (idx, (order, role, from, to)) in facts.bands.iter().enumerate() {
        let colour = band_colour(palette, *role, *order);
        let own = facts.own == Some(idx);
        painter.rect_filled(
            shape(*from, *to),
            round,
            palette.wash(colour, if own { 0.16 } else { 0.10 }),
        );
        if own {
            painter.rect_stroke(
                shape(*from, *to),
                round,
                Stroke::new(1.3, colour),
                StrokeKind::Inside,
            );
        }
    }
    let colour = facts
        .own
        .and_then(|own| facts.bands.get(own))
        .map_or(palette.ink, |(order, role, ..)| band_colour(palette, *role, *order));
    let spread = shape(facts.spread.0, facts.spread.1);
    painter.rect_filled(spread, CornerRadius::same(3), palette.wash(colour, 0.5));
    let needle = x(facts.needle);
    painter.line_segment(
        [pos2(needle, track.top() - 6.0), pos2(needle, track.bottom() + 5.0)],
        Stroke::new(2.4, palette.live),
    );
    paint_edges(&painter, palette, facts, track);
}

/// Edge values under their places; two that would touch are pushed apart.
fn paint_edges(painter: &egui::Painter, palette: &Palette, facts: &BarFacts, track: Rect) {
    let font = theme::plain(theme::TEXT_SMALL);
    let mut end = f32::NEG_INFINITY;
    for (place, text) in &facts.edges {
        let width = painter.layout_no_wrap(text.clone(), font.clone(), palette.quiet).size().x;
        let middle = track.left() + track.width() * place;
        let x = (middle - width / 2.0).min(track.right() - width).max(track.left()).max(end + 10.0);
        end = x + width;
        painter.text(
            pos2(x, track.bottom() + 6.0),
            Align2::LEFT_TOP,
            text,
            font.clone(),
            palette.quiet,
        );
    }
}
