//! A row of words of which one is chosen: units, meter modes, filters.

use egui::{Align2, CornerRadius, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use crate::app::theme;
use crate::app::theme::Palette;

/// One word of the row.
pub struct Segment<'a> {
    /// What it shows.
    pub text: &'a str,
    /// What a screen reader says.
    pub label: String,
    /// Tip; for one that cannot be chosen, why.
    pub tip: String,
    /// Whether it can be chosen.
    pub is_enabled: bool,
}

/// Paints the row and returns the index of what was clicked.
pub fn segment_ui(
    ui: &mut Ui,
    palette: &Palette,
    segments: &[Segment<'_>],
    chosen: Option<usize>,
) -> Option<usize> {
    let font = theme::plain(theme::TEXT_SMALL);
    let widths: Vec<f32> = segments
        .iter()
        .map(|segment| {
            ui.painter().layout_no_wrap(segment.text.into(), font.clone(), palette.ink).size().x
                + 11.0
        })
        .collect();
    let size = vec2(widths.iter().fold(0.0, |sum, width| sum + width), 24.0);
    let (rect, row) = ui.allocate_exact_size(size, Sense::hover());
    let round = CornerRadius::same(7);
    ui.painter().rect_filled(rect, round, palette.wash(palette.ink, 0.05));
    let mut clicked = None;
    let mut x = rect.left();
    for (idx, (segment, width)) in segments.iter().zip(&widths).enumerate() {
        let cell = Rect::from_min_size(pos2(x, rect.top()), vec2(*width, rect.height()));
        x += width;
        let sense = if segment.is_enabled { Sense::click() } else { Sense::hover() };
        let response = ui.interact(cell, row.id.with(segment.text), sense);
        let is_chosen = chosen == Some(idx);
        if is_chosen {
            ui.painter().rect(
                cell.shrink(1.0),
                round,
                palette.card,
                Stroke::new(1.0, palette.quiet),
                egui::StrokeKind::Inside,
            );
        } else if response.hovered() && segment.is_enabled {
            ui.painter().rect_filled(cell.shrink(1.0), round, palette.wash(palette.ink, 0.09));
        }
        if response.has_focus() {
            let stroke = Stroke::new(1.5, palette.chosen);
            ui.painter().rect_stroke(cell.shrink(1.0), round, stroke, egui::StrokeKind::Inside);
        }
        let colour = match (segment.is_enabled, is_chosen) {
            (false, _) => palette.quiet.gamma_multiply(0.6),
            (true, true) => palette.ink,
            (true, false) => palette.quiet,
        };
        ui.painter().text(cell.center(), Align2::CENTER_CENTER, segment.text, font.clone(), colour);
        response.widget_info(|| {
            WidgetInfo::selected(Role::Button, segment.is_enabled, is_chosen, &segment.label)
        });
        if response.clicked() {
            clicked = Some(idx);
        }
        response.on_hover_text(&segment.tip);
    }
    clicked
}
