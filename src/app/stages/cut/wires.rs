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
const TICK: f32 = 50.0;
/// The same where room is scarce.
const SCARCE_TICK: f32 = 42.0;

/// Least width in which all columns can be read.
const LEAST_WIDTH: f32 = 676.0;
/// Below this width the length stands beside the name, and the route comes last.
const ROOMY: f32 = LEAST_WIDTH;
/// Least width then.
const SCARCE_WIDTH: f32 = 640.0;

/// What stands in a column.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shown {
    Wire,
    Ends,
    Size,
    Route,
    Done,
    Cut,
}

/// Columns where there is room: the length large at the right end.
const USUAL: [Shown; 6] =
    [Shown::Wire, Shown::Ends, Shown::Size, Shown::Route, Shown::Done, Shown::Cut];
/// Columns where there is little: what one cuts by comes first, the route is scrolled to.
const SCARCE: [Shown; 6] =
    [Shown::Wire, Shown::Cut, Shown::Ends, Shown::Size, Shown::Done, Shown::Route];

impl Shown {
    fn head(self) -> &'static str {
        match self {
            Self::Wire => "Wire",
            Self::Ends => "From … to",
            Self::Size => "Size and colour",
            Self::Route => "Route",
            Self::Done => "Done",
            Self::Cut => "Cut",
        }
    }

    fn width(self, is_scarce: bool) -> Column {
        let some = |scarce: f32, usual: f32| {
            let width = if is_scarce { scarce } else { usual };
            Column::initial(width).at_least(56.0).clip(true).resizable(true)
        };
        match self {
            Self::Wire => some(78.0, 136.0),
            Self::Ends => some(72.0, 96.0),
            Self::Size => some(112.0, 120.0),
            Self::Route => Column::remainder().at_least(80.0).clip(true),
            Self::Done => Column::exact(tick(is_scarce) * 3.0 + 4.0),
            Self::Cut => Column::exact(if is_scarce { 92.0 } else { 104.0 }),
        }
    }
}

fn tick(is_scarce: bool) -> f32 {
    if is_scarce { SCARCE_TICK } else { TICK }
}

/// All wires; a click selects one, and the card beside shows its properties.
pub fn wires_ui(ui: &mut Ui, view: View<'_>, rows: &[CutRow], actions: &mut Actions) {
    let is_scarce = ui.available_width() < ROOMY;
    // What does not fit beside other pages scrolls; no column is lost.
    egui::ScrollArea::horizontal().id_salt("cut list across").auto_shrink(false).show(ui, |ui| {
        ui.set_min_width(if is_scarce { SCARCE_WIDTH } else { LEAST_WIDTH });
        table_ui(ui, view, rows, (is_scarce, actions));
    });
}

fn table_ui(
    ui: &mut Ui,
    view: View<'_>,
    rows: &[CutRow],
    (is_scarce, actions): (bool, &mut Actions),
) {
    let columns = if is_scarce { SCARCE } else { USUAL };
    let mut builder = TableBuilder::new(ui)
        // Widths that were dragged hold for one order of the columns.
        .id_salt(("cut list", is_scarce))
        .striped(true)
        .sense(Sense::click())
        .cell_layout(Layout::top_down(Align::Min))
        .auto_shrink(false)
        .min_scrolled_height(60.0);
    for column in columns {
        builder = builder.column(column.width(is_scarce));
    }
    builder
        .header(24.0, |mut header| {
            for column in columns {
                header.col(|ui| head_ui(ui, view, column, is_scarce));
            }
        })
        .body(|body| {
            body.rows(ROW_HEIGHT, rows.len(), |mut table_row| {
                if let Some(row) = rows.get(table_row.index()) {
                    row_ui(&mut table_row, view, (row, &columns, is_scarce), actions);
                }
            });
        });
}

fn head_ui(ui: &mut Ui, view: View<'_>, column: Shown, is_scarce: bool) {
    let small = |word: &str| RichText::new(word).small().color(view.palette.quiet);
    match column {
        Shown::Done => {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = 0.0;
                for word in ["cut", "crimp", "test"] {
                    tick_cell(ui, is_scarce, |ui| ui.label(small(word)));
                }
            });
        }
        Shown::Cut => {
            ui.with_layout(Layout::right_to_left(Align::Min), |ui| {
                ui.add_space(8.0);
                ui.label(small(column.head()))
            });
        }
        Shown::Wire | Shown::Ends | Shown::Size | Shown::Route => {
            ui.label(small(column.head()));
        }
    }
}

fn row_ui(
    table_row: &mut TableRow<'_, '_>,
    view: View<'_>,
    (row, columns, is_scarce): (&CutRow, &[Shown], bool),
    actions: &mut Actions,
) {
    table_row.set_selected(view.selection.contains(&Item::Wire(row.wire)));
    for column in columns {
        table_row.col(|ui| match column {
            Shown::Done => ticks_ui(ui, row, is_scarce, actions),
            Shown::Wire | Shown::Ends | Shown::Size | Shown::Route | Shown::Cut => {
                cell_ui(ui, view, row, *column);
            }
        });
    }
    let response = table_row.response();
    let name = format!("cut list row, wire {}", row.name);
    response
        .widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Row, true, name.clone()));
    if response.clicked() {
        actions.push(Action::Select([Item::Wire(row.wire)].into()));
    }
}

fn cell_ui(ui: &mut Ui, view: View<'_>, row: &CutRow, column: Shown) {
    let palette = view.palette;
    let small = |text: &str| RichText::new(text).small().color(palette.quiet);
    match column {
        Shown::Wire => {
            let name = RichText::new(&row.name).font(theme::bold(theme::TEXT_BODY));
            two_lines(ui, name.color(palette.ink), small(&row.circuit));
        }
        Shown::Ends => {
            two_lines(ui, RichText::new(&row.from), RichText::new(format!("→ {}", row.to)));
        }
        Shown::Size => {
            ui.spacing_mut().item_spacing.y = 1.0;
            ui.spacing_mut().interact_size.y = 17.0;
            ui.add_space(4.0);
            ui.horizontal(|ui| {
                swatch(ui, row.colour, view);
                line(ui, RichText::new(row.size.text()));
            });
            line(ui, small(&row.colour.text()));
        }
        Shown::Route => route_ui(ui, view, row),
        Shown::Cut => length_ui(ui, view, row),
        Shown::Done => {}
    }
}

/// The way, or why there is none.
fn route_ui(ui: &mut Ui, view: View<'_>, row: &CutRow) {
    let small = |text: &str| RichText::new(text).small().color(view.palette.quiet);
    match (&row.finding, row.routed_mm) {
        (Some(finding), _) => {
            let text = RichText::new(format!("⚠ {}", finding.what)).small();
            two_lines(ui, text.color(view.palette.warning), small(&finding.cure));
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
    }
}

/// The length to cut, large, and what speaks against it.
fn length_ui(ui: &mut Ui, view: View<'_>, row: &CutRow) {
    let palette = view.palette;
    ui.spacing_mut().item_spacing.y = 1.0;
    ui.with_layout(Layout::top_down(Align::Max), |ui| {
        let cut = row.cut_mm.map_or_else(|| "?".into(), |mm| view.preferences.length_text(mm));
        ui.add_space(2.0);
        let text = RichText::new(cut).font(theme::bold(17.0)).color(palette.ink);
        ui.add(Label::new(text).selectable(false));
        let beneath = |ui: &mut Ui, words: String, colour| {
            let text = RichText::new(words).small().color(colour);
            ui.add(Label::new(text).truncate().selectable(false));
        };
        if row.ticks.is_cut && !row.ticks.is_cut_as(row.size, row.colour) {
            beneath(ui, "⚠ cut as other".into(), palette.warning);
        } else if let Some(cut_to_mm) = too_short(row) {
            let words = format!("⚠ was cut to {}", view.preferences.length_text(cut_to_mm));
            beneath(ui, words, palette.warning);
        } else if let Some(extra) = row.allowance_mm {
            beneath(ui, format!("+ {}", view.preferences.length_text(extra)), palette.quiet);
        }
    });
}

/// Three boxes: cut, crimped, tested. A tick of cut keeps the length it was cut to.
fn ticks_ui(ui: &mut Ui, row: &CutRow, is_scarce: bool, actions: &mut Actions) {
    ui.add_space(10.0);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        let now = row.ticks;
        for (word, is_done) in
            [("cut", now.is_cut), ("crimped", now.is_crimped), ("tested", now.is_tested)]
        {
            let mut is_ticked = is_done;
            let response =
                tick_cell(ui, is_scarce, |ui| ui.checkbox(&mut is_ticked, "")).on_hover_text(word);
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
fn tick_cell(
    ui: &mut Ui,
    is_scarce: bool,
    add: impl FnOnce(&mut Ui) -> egui::Response,
) -> egui::Response {
    let size = egui::vec2(tick(is_scarce), ui.spacing().interact_size.y);
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
