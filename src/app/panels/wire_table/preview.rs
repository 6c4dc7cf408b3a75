//! The table as it was read: a meaning above each column, what becomes of each row, and what is wrong.

use std::collections::BTreeMap;

use egui::{Align, Color32, Id, Label, Layout, RichText, Ui, Vec2, vec2};

use crate::app::panels::wire_table::WireTableState;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{choice_wide, heading, quiet};
use crate::tables::{Column, Fate, PlannedRow};

/// Width of what stands before the cells.
const BEFORE: f32 = 66.0;
/// Distance of two cells.
const GAP: f32 = 4.0;
/// Height of the rows in sight.
const IN_SIGHT: f32 = 230.0;

/// The columns' meanings and the rows.
pub(super) fn preview_ui(ui: &mut Ui, view: View<'_>, own: &mut WireTableState) {
    heading(ui, "What the columns mean, and what becomes of the rows");
    let Some(Ok(read)) = &mut own.read else { return };
    let Some((_, plan)) = &own.plan else { return };
    let mut wrong: BTreeMap<(usize, Option<usize>), &str> = BTreeMap::new();
    for problem in &plan.problems {
        wrong.entry((problem.line, problem.slot)).or_insert(&problem.what);
    }
    let n_columns = read.matching.columns.len();
    // As wide as there is room for; many columns scroll.
    let room = (ui.available_width() - BEFORE) / n_columns.max(1) as f32 - GAP;
    let cell = room.clamp(86.0, 130.0);
    let mut picked = None;
    egui::ScrollArea::horizontal().id_salt("wire table columns").show(ui, |ui| {
        ui.spacing_mut().item_spacing.x = GAP;
        ui.horizontal(|ui| {
            ui.allocate_space(vec2(BEFORE, 1.0));
            for (slot, column) in read.matching.columns.iter().enumerate() {
                let now = column.map_or("left out", Column::word);
                let none = [("left out".to_owned(), None)];
                let all = Column::ALL.map(|c| (c.word().to_owned(), Some(c)));
                let name = format!("Meaning of column {}", slot + 1);
                let id = Id::unique(("wire table column", slot));
                let options = none.into_iter().chain(all);
                if let Some(column) = choice_wide(ui, id, (&name, cell), now, options) {
                    picked = Some((slot, column));
                }
            }
        });
        let height = ui.spacing().interact_size.y.max(20.0);
        let width = BEFORE + n_columns as f32 * (cell + GAP);
        ui.set_min_width(width);
        egui::ScrollArea::vertical()
            .id_salt("wire table rows")
            .max_height(IN_SIGHT)
            .auto_shrink([false, true])
            .show_rows(ui, height, plan.rows.len(), |ui, range| {
                for row in plan.rows.get(range).unwrap_or(&[]) {
                    row_ui(ui, view, row, (n_columns, vec2(cell, height)), &wrong);
                }
            });
    });
    if plan.rows.is_empty() {
        quiet(ui, "No row of wires.", view.palette);
    }
    if let Some((slot, column)) = picked {
        read.matching.set(slot, column);
        own.forget_plan();
        ui.ctx().request_repaint();
        let ctx = ui.ctx().clone();
        own.refresh_plan(view, &ctx);
    }
}

fn row_ui(
    ui: &mut Ui,
    view: View<'_>,
    row: &PlannedRow,
    (n_columns, cell): (usize, Vec2),
    wrong: &BTreeMap<(usize, Option<usize>), &str>,
) {
    ui.horizontal(|ui| {
        let (sign, colour) = fate_look(view, row.fate);
        let changes = change_words(row);
        let what = wrong.get(&(row.line, None)).copied().unwrap_or(&changes);
        let text = RichText::new(format!("{} {sign}", row.line)).small().color(colour);
        cell_ui(ui, vec2(BEFORE, cell.y), text, Some(what));
        for slot in 0..n_columns.max(row.cells.len()) {
            let text = row.cells.get(slot).map_or("", String::as_str);
            match wrong.get(&(row.line, Some(slot))) {
                Some(what) => {
                    let words = if text.is_empty() { "⚠ nothing" } else { text };
                    let words =
                        if text.is_empty() { words.to_owned() } else { format!("⚠ {words}") };
                    let rich =
                        RichText::new(words).size(theme::TEXT_SMALL).color(view.palette.wrong);
                    cell_ui(ui, cell, rich, Some(what));
                }
                None => {
                    let rich = RichText::new(one_line(text)).size(theme::TEXT_SMALL);
                    cell_ui(ui, cell, rich, None);
                }
            }
        }
    });
}

fn cell_ui(ui: &mut Ui, size: Vec2, text: RichText, tip: Option<&str>) {
    ui.allocate_ui_with_layout(size, Layout::left_to_right(Align::Center), |ui| {
        ui.set_min_width(size.x);
        ui.set_max_width(size.x);
        let response = ui.add(Label::new(text).truncate());
        if let Some(tip) = tip {
            response.on_hover_text(tip);
        }
    });
}

/// A row stays one line high, whatever its cells hold.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What becomes of a row; every change with before and after.
fn change_words(row: &PlannedRow) -> String {
    let mut words = fate_words(row.fate).to_owned();
    for d in &row.differences {
        words += &format!("\n{}: {} → {}", d.what, d.before, d.now);
    }
    words
}

fn fate_look(view: View<'_>, fate: Fate) -> (&'static str, Color32) {
    match fate {
        Fate::New => ("new", view.palette.right),
        Fate::Change(_) => ("change", view.palette.chosen),
        Fate::Moves(_) => ("moves", view.palette.warning),
        Fate::Same(_) => ("same", view.palette.quiet),
        Fate::Wrong => ("wrong", view.palette.wrong),
    }
}

fn fate_words(fate: Fate) -> &'static str {
    match fate {
        Fate::New => "A new wire",
        Fate::Change(_) => "A wire that is there gets these properties",
        Fate::Moves(_) => "A wire of this name lies between other terminals",
        Fate::Same(_) => "The project has this wire just so",
        Fate::Wrong => "Something is wrong with this row",
    }
}
