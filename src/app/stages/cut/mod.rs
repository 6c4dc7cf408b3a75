//! Stage Cut: the cut list with its ticks, pieces on hand, what is cut from what, what to buy and redo.

mod bars;
mod compare;
mod drawer;
mod ends;
mod settings;
mod shopping;
#[cfg(test)]
mod tests;
mod totals;
mod wires;

use egui::{Align, Button, Layout, RichText, Ui};

use crate::app::action::{Action, Actions};
use crate::app::command::Command;
use crate::app::cut_studies::{CutPage, CutPlan};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Fields, Pen, heading, number_text, quiet};

/// What the stage remembers between frames.
#[derive(Default)]
pub struct CutState {
    fields: Fields,
    /// The table of pieces being pasted.
    paste: Option<String>,
    /// Whether wire ends are typed for a half or one wire.
    scope: ends::Scope,
    /// In a narrow window: whether the wire ends show instead of the list.
    ends_shown: bool,
}

/// Below this width list and wire ends take turns.
const WIDE: f32 = 860.0;
/// Below this height the sentence about lengths is left out.
const LOW: f32 = 240.0;
/// With less room than this the count of the wires is left out.
const SLIM: f32 = 220.0;
/// Below this width the pages' words stand closer.
const SCARCE: f32 = 600.0;

/// Stage Cut: the pages, and the one that is asked for.
pub fn cut_ui(ui: &mut Ui, view: View<'_>, own: &mut CutState, actions: &mut Actions) {
    let page = view.studies.cutting.page;
    pages_ui(ui, view, page, actions);
    match page {
        CutPage::List => list_page_ui(ui, view, own, actions),
        CutPage::Drawer => {
            let mut pen = Pen { view, fields: &mut own.fields, actions };
            drawer::drawer_ui(ui, &mut pen, &mut own.paste);
        }
        CutPage::Allotment => plan_ui(ui, view, (own, actions), bars::bars_ui),
        CutPage::Shopping => plan_ui(ui, view, (own, actions), shopping::shopping_ui),
        CutPage::Compare => compare::compare_ui(ui, view, actions),
    }
}

fn pages_ui(ui: &mut Ui, view: View<'_>, shown: CutPage, actions: &mut Actions) {
    ui.horizontal_wrapped(|ui| {
        // All five stand in one line beside another page, too.
        if ui.available_width() < SCARCE {
            ui.spacing_mut().item_spacing.x = 2.0;
            ui.spacing_mut().button_padding.x = 6.0;
        }
        for page in CutPage::ALL {
            let is_shown = shown == page;
            let word = RichText::new(page.word()).font(theme::bold(theme::TEXT_BODY));
            let word = word.color(if is_shown { view.palette.ink } else { view.palette.quiet });
            if ui.selectable_label(is_shown, word).clicked() {
                actions.push(Action::ShowCutPage(page));
            }
        }
    });
    ui.add_space(2.0);
}

/// A page that shows the plan, or says that it is still sought.
fn plan_ui(
    ui: &mut Ui,
    view: View<'_>,
    (own, actions): (&mut CutState, &mut Actions),
    page: fn(&mut Ui, &mut Pen<'_, '_>, &CutPlan),
) {
    match view.studies.cutting.plan(view.history.revision()) {
        None => {
            ui.horizontal(|ui| {
                ui.spinner();
                quiet(ui, "Looking for the best way to cut …", view.palette);
            });
        }
        Some(None) => {
            let words = "The allotment could not be reckoned; the project is unharmed.";
            ui.label(RichText::new(words).color(view.palette.wrong));
        }
        Some(Some(plan)) => {
            let mut pen = Pen { view, fields: &mut own.fields, actions };
            page(ui, &mut pen, plan);
        }
    }
}

/// The cut list, and beside it the ends of the chosen wire.
fn list_page_ui(ui: &mut Ui, view: View<'_>, own: &mut CutState, actions: &mut Actions) {
    let wide = ui.available_width() >= WIDE;
    head_ui(ui, view, (wide, own), actions);
    ui.add_space(4.0);
    if wide {
        let full = ui.available_size();
        let left = (full.x * 0.6).floor();
        ui.horizontal_top(|ui| {
            ui.allocate_ui_with_layout(
                egui::vec2(left, full.y),
                Layout::top_down(Align::Min),
                |ui| {
                    ui.set_min_size(egui::vec2(left, full.y));
                    list_ui(ui, view, actions);
                },
            );
            ui.add_space(10.0);
            let size = ui.available_size();
            ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
                beside_ui(ui, view, own, actions)
            });
        });
    } else if own.ends_shown {
        beside_ui(ui, view, own, actions);
    } else {
        list_ui(ui, view, actions);
    }
}

/// Title, rule of the lengths, export.
fn head_ui(ui: &mut Ui, view: View<'_>, (wide, own): (bool, &mut CutState), actions: &mut Actions) {
    ui.horizontal(|ui| {
        if wide {
            ui.label(RichText::new("Cut list").font(theme::bold(theme::TEXT_HEADING)));
        } else {
            for (word, ends) in [("Cut list", false), ("Wire ends", true)] {
                if ui.selectable_label(own.ends_shown == ends, word).clicked() {
                    own.ends_shown = ends;
                }
            }
        }
        if let Some(list) = view.derived.cut_list().filter(|_| ui.available_width() > SLIM) {
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
    // In a low window the wires come first.
    if ui.available_height() > LOW {
        quiet(ui, rule_text(view), view.palette);
    }
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

/// What to mind before a wire is cut into a machine.
fn cautions_ui(ui: &mut Ui, view: View<'_>) {
    heading(ui, "Mind");
    for caution in view.derived.cautions() {
        quiet(ui, format!("• {caution}"), view.palette);
    }
}

/// The ends of the chosen wire, and what to mind.
fn beside_ui(ui: &mut Ui, view: View<'_>, own: &mut CutState, actions: &mut Actions) {
    egui::ScrollArea::vertical().id_salt("wire ends").auto_shrink(false).show(ui, |ui| {
        ui.set_max_width(ui.available_width() - 8.0);
        let mut pen = Pen { view, fields: &mut own.fields, actions };
        ends::ends_ui(ui, &mut pen, &mut own.scope);
        cautions_ui(ui, view);
    });
}
