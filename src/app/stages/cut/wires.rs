//! The table of wires to cut: two lines a wire, the length to cut large.

use egui::{Align, Label, Layout, RichText, Sense, Ui};
use egui_extras::{Column, TableBuilder, TableRow};

use crate::app::action::{Action, Actions};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::swatch;
use crate::cutting::CutRow;
use crate::edit::{CuttingEdit, Edit, Item};

/// Height of one row.
const ROW_HEIGHT: f32 = 44.0;
/// Width of one of the three boxes.
const TICK: f32 = 44.0;

/// Least width in which all columns can be read.
const LEAST_WIDTH: f32 = 676.0;

/// All wires; a click selects one, and the card beside shows its properties.
pub fn wires_ui(ui: &mut Ui, view: View<'_>, rows: &[CutRow], actions: &mut Actions) {
    let narrow = ui.available_width() < 600.0;
    // What does not fit beside other pages scrolls; no column is lost.
    egui::ScrollArea::horizontal().id_salt("cut list across").auto_shrink(false).show(ui, |ui| {
        ui.set_min_width(LEAST_WIDTH);
        table_ui(ui, view, rows, (narrow, actions));
    });
}

fn table_ui(ui: &mut Ui, view: View<'_>, rows: &[CutRow], (narrow, actions): (bool, &mut Actions)) {
    let heads = ["Wire", "From … to", "Size and colour", "Route", "Done", "Cut"];
    TableBuilder::new(ui)
        .id_salt("cut list")
        .striped(true)
        .sense(Sense::click())
        .cell_layout(Layout::top_down(Align::Min))
        .auto_shrink(false)
        .min_scrolled_height(60.0)
        .column(
            Column::initial(if narrow { 104.0 } else { 136.0 })
                .at_least(70.0)
                .clip(true)
                .resizable(true),
        )
        .column(
            Column::initial(if narrow { 84.0 } else { 96.0 })
                .at_least(70.0)
                .clip(true)
                .resizable(true),
        )
        .column(
            Column::initial(if narrow { 112.0 } else { 120.0 })
                .at_least(70.0)
                .clip(true)
                .resizable(true),
        )
        .column(Column::remainder().at_least(80.0).clip(true))
        .column(Column::exact(TICK * 3.0 + 4.0))
        .column(Column::exact(104.0))
        .header(24.0, |mut header| {
            for (idx, head) in heads.iter().enumerate() {
                header.col(|ui| {
                    let text = RichText::new(*head).small().color(view.palette.quiet);
                    if *head == "Done" {
                        ui.horizontal(|ui| {
                            ui.spacing_mut().item_spacing.x = 0.0;
                            for word in ["cut", "crimp", "test"] {
                                let text = RichText::new(word).small().color(view.palette.quiet);
                                tick_cell(ui, |ui| ui.label(text));
                            }
                        });
                    } else if idx + 1 == heads.len() {
                        ui.with_layout(Layout::right_to_left(Align::Min), |ui| {
                            ui.add_space(8.0);
                            ui.label(text)
                        });
                    } else {
                        ui.label(text);
                    }
                });
            }
        })
        .body(|body| {
            body.rows(ROW_HEIGHT, rows.len(), |mut table_row| {
                if let Some(row) = rows.get(table_row.index()) {
                    row_ui(&mut table_row, view, row, actions);
                }
            });
        });
}

fn row_ui(table_row: &mut TableRow<'_, '_>, view: View<'_>, row: &CutRow, actions: &mut Actions) {
    let palette = view.palette;
    table_row.set_selected(view.selection.contains(&Item::Wire(row.wire)));
    let strong =
        |text: &str| RichText::new(text).font(theme::bold(theme::TEXT_BODY)).color(palette.ink);
    let small = |text: &str| RichText::new(text).small().color(palette.quiet);
    table_row.col(|ui| {
        two_lines(ui, strong(&row.name), small(&row.circuit));
    });
    table_row.col(|ui| {
        two_lines(ui, RichText::new(&row.from), RichText::new(format!("→ {}", row.to)));
    });
    table_row.col(|ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.spacing_mut().interact_size.y = 17.0;
        ui.add_space(4.0);
        ui.horizontal(|ui| {
            swatch(ui, row.colour, view);
            line(ui, RichText::new(row.size.text()));
        });
        line(ui, small(&row.colour.text()));
    });
    table_row.col(|ui| match (&row.finding, row.routed_mm) {
        (Some(finding), _) => {
            let text = format!("⚠ {}", finding.what);
            two_lines(ui, RichText::new(text).small().color(palette.warning), small(&finding.cure));
        }
        (None, Some(routed_mm)) => {
            let length = view.preferences.length_text(routed_mm);
            let how = if row.route.is_empty() {
                "typed by hand".to_owned()
            } else {
                row.route.join(" · ")
            };
            two_lines(ui, RichText::new(length), small(&how));
        }
        (None, None) => {}
    });
    table_row.col(|ui| ticks_ui(ui, row, actions));
    table_row.col(|ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.with_layout(Layout::top_down(Align::Max), |ui| {
            let cut = row.cut_mm.map_or_else(|| "?".into(), |mm| view.preferences.length_text(mm));
            ui.add_space(2.0);
            ui.add(
                Label::new(RichText::new(cut).font(theme::bold(17.0)).color(palette.ink))
                    .selectable(false),
            );
            if row.ticks.is_cut && !row.ticks.is_cut_as(row.size, row.colour) {
                let text = RichText::new("⚠ cut as other").small().color(palette.warning);
                ui.add(Label::new(text).truncate().selectable(false));
            } else if let Some(cut_to_mm) = too_short(row) {
                let words = format!("⚠ was cut to {}", view.preferences.length_text(cut_to_mm));
                let text = RichText::new(words).small().color(palette.warning);
                ui.add(Label::new(text).truncate().selectable(false));
            } else if let Some(extra) = row.allowance_mm {
                let words = format!("+ {}", view.preferences.length_text(extra));
                ui.add(Label::new(small(&words)).truncate().selectable(false));
            }
        });
    });
    let response = table_row.response();
    let name = format!("cut list row, wire {}", row.name);
    response
        .widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Row, true, name.clone()));
    if response.clicked() {
        actions.push(Action::Select([Item::Wire(row.wire)].into()));
    }
}

/// Three boxes: cut, crimped, tested. A tick of cut keeps the length it was cut to.
fn ticks_ui(ui: &mut Ui, row: &CutRow, actions: &mut Actions) {
    ui.add_space(10.0);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        let now = row.ticks;
        for (word, is_done) in
            [("cut", now.is_cut), ("crimped", now.is_crimped), ("tested", now.is_tested)]
        {
            let mut is_ticked = is_done;
            let response = tick_cell(ui, |ui| ui.checkbox(&mut is_ticked, "")).on_hover_text(word);
            let name = format!("Wire {} is {word}", row.name);
            if response.accessible_name(name).changed() {
                let mut ticks = now;
                match word {
                    "cut" => {
                        ticks.is_cut = is_ticked;
                        ticks.cut_to_mm = row.cut_mm.filter(|_| is_ticked);
                        ticks.cut_size = is_ticked.then_some(row.size);
                        ticks.cut_colour = is_ticked.then_some(row.colour);
                    }
                    "crimped" => ticks.is_crimped = is_ticked,
                    _ => ticks.is_tested = is_ticked,
                }
                actions.edit(Edit::SetCutting(CuttingEdit::Ticks(row.wire, ticks)));
            }
        }
    });
}

/// Room of one box and of the word above it.
fn tick_cell(ui: &mut Ui, add: impl FnOnce(&mut Ui) -> egui::Response) -> egui::Response {
    let size = egui::vec2(TICK, ui.spacing().interact_size.y);
    let layout = Layout::left_to_right(Align::Center);
    let cell = ui.allocate_ui_with_layout(size, layout, |ui| {
        ui.set_min_width(size.x);
        add(ui)
    });
    cell.inner
}

/// The length a wire was cut to, where that is less than it must have now.
fn too_short(row: &CutRow) -> Option<f64> {
    let cut_to_mm = row.ticks.cut_to_mm.filter(|_| row.ticks.is_cut)?;
    (cut_to_mm < row.cut_mm?).then_some(cut_to_mm)
}

fn two_lines(ui: &mut Ui, first: RichText, second: RichText) {
    ui.spacing_mut().item_spacing.y = 1.0;
    ui.add_space(4.0);
    line(ui, first);
    line(ui, second);
}

/// One line that does not wrap; pointing at it shows all of it.
fn line(ui: &mut Ui, text: RichText) {
    ui.add(Label::new(text).truncate().selectable(false));
}
