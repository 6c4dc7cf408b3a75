//! Stage Cut: the cut list.

#[cfg(test)]
mod tests;
mod totals;
mod wires;

use egui::{Align, Button, Layout, RichText, Ui};

use crate::app::action::{Action, Actions};
use crate::app::command::Command;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{number_text, quiet};

/// Stage Cut: the cut list.
pub fn cut_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    head_ui(ui, view, actions);
    ui.add_space(4.0);
    list_ui(ui, view, actions);
}

/// Title, rule of the lengths, export.
fn head_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Cut list").font(theme::bold(theme::TEXT_HEADING)));
        if let Some(list) = view.derived.cut_list() {
            let missing = list.rows.iter().filter(|row| row.cut_mm.is_none()).count();
            let wires = if list.rows.len() == 1 {
                "1 wire".into()
            } else {
                format!("{} wires", list.rows.len())
            };
            ui.label(RichText::new(wires).small().color(view.palette.quiet));
            if missing > 0 {
                let words = format!("⚠ {missing} without a length");
                ui.label(RichText::new(words).small().color(view.palette.warning));
            }
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let command = Command::ExportCutList;
            if ui.add(Button::new(command.label())).on_hover_text(command.tip()).clicked() {
                actions.push(Action::Run(command));
            }
        });
    });
    quiet(ui, rule_text(view), view.palette);
}

/// How the lengths come about, in one sentence.
fn rule_text(view: View<'_>) -> String {
    let settings = &view.project.settings;
    format!(
        "Cut = route × {} + both ends + loops, rounded up to {}. Cut long: plus something, minus nothing.",
        number_text(settings.length_factor, ""),
        view.preferences.length_text(settings.rounding_mm)
    )
}

fn list_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    match view.derived.cut_list() {
        None => {
            quiet(ui, "Reckoning the lengths …", view.palette);
        }
        Some(list) if list.rows.is_empty() => {
            ui.add_space(24.0);
            ui.label(RichText::new("Nothing to cut yet").font(theme::bold(theme::TEXT_HEADING)));
            let words = "Draw a wire on the sheet and mark its use as Harness; wires inside a box are not cut.";
            quiet(ui, words, view.palette);
        }
        Some(list) => {
            let room = totals::height(list.totals.len()).min(ui.available_height() * 0.3);
            let table =
                egui::vec2(ui.available_width(), (ui.available_height() - room - 12.0).max(120.0));
            ui.allocate_ui(table, |ui| {
                ui.set_min_size(table);
                wires::wires_ui(ui, view, &list.rows, actions);
            });
            totals::totals_ui(ui, view, &list.totals);
        }
    }
}
