//! All steps of the round beside the one at hand, each with what it has come to.

use egui::{Align, Label, Layout, RichText, ScrollArea, Sense, Ui};

use crate::app::theme::Palette;
use crate::app::view::View;
use crate::model::BenchRun;
use crate::proving::plan::Plan;
use crate::proving::{Standing, standing};

/// Height of a line.
const LINE: f32 = 38.0;

/// A sign and a colour for what a step has come to; the words stand beside it.
pub fn mark(standing: Standing, palette: &Palette) -> (&'static str, egui::Color32) {
    match standing {
        Standing::Open => ("○", palette.quiet),
        Standing::Blocked => ("–", palette.quiet),
        Standing::Read(outcome) if outcome.is_good() => ("✔", palette.right),
        Standing::Read(_) => ("✖", palette.wrong),
        Standing::Skipped => ("↷", palette.warning),
        Standing::Stale => ("↻", palette.warning),
    }
}

/// The list; returns the step that was clicked. Only lines in sight are drawn.
pub fn steps_ui(
    ui: &mut Ui,
    view: View<'_>,
    (plan, run): (&Plan, &BenchRun),
    at: usize,
    follow: bool,
) -> Option<usize> {
    let mut clicked = None;
    ui.spacing_mut().item_spacing.y = 0.0;
    ui.spacing_mut().scroll = egui::style::ScrollStyle::thin();
    let mut area = ScrollArea::vertical().id_salt("bench steps").auto_shrink(false);
    if follow {
        let middle = at as f32 * LINE - ui.available_height() / 2.0 + LINE / 2.0;
        area = area.vertical_scroll_offset(middle.max(0.0));
    }
    area.show_rows(ui, LINE, plan.steps.len(), |ui, rows| {
        for n in rows {
            let Some(step) = plan.steps.get(n) else { continue };
            let stands = standing(step, run.readings.get(&step.key));
            let size = egui::vec2(ui.available_width(), LINE);
            let (rect, response) = ui.allocate_exact_size(size, Sense::click());
            let palette = view.palette;
            if n == at {
                ui.painter().rect_filled(rect, 5.0, palette.wash(palette.chosen, 0.16));
            } else if response.hovered() {
                ui.painter().rect_filled(rect, 5.0, palette.wash(palette.ink, 0.05));
            }
            if response.has_focus() {
                let edge = egui::Stroke::new(2.0, palette.chosen);
                ui.painter().rect_stroke(rect, 5.0, edge, egui::StrokeKind::Inside);
            }
            let (sign, colour) = mark(stands, palette);
            let inner = rect.shrink2(egui::vec2(6.0, 2.0));
            let builder =
                egui::UiBuilder::new().max_rect(inner).layout(Layout::left_to_right(Align::Center));
            ui.scope_builder(builder, |ui| {
                ui.add_sized([16.0, LINE - 4.0], Label::new(RichText::new(sign).color(colour)));
                ui.vertical(|ui| {
                    ui.spacing_mut().item_spacing.y = 0.0;
                    ui.add(Label::new(step.title.as_str()).truncate().selectable(false));
                    let words = format!("{}: {}", step.kind.word(), stands.words());
                    let words = RichText::new(words).small().color(palette.quiet);
                    ui.add(Label::new(words).truncate().selectable(false));
                });
            });
            let name = format!("step {}: {}, {}", n + 1, step.title, stands.words());
            response.widget_info(|| {
                egui::WidgetInfo::selected(egui::Role::Button, true, n == at, name.as_str())
            });
            if response.on_hover_text(step.title.as_str()).clicked() {
                clicked = Some(n);
            }
        }
    });
    clicked
}
