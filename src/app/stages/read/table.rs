//! The state table on the screen: sortable, problem rows marked, a click moves the controls there.

use egui::{Align, Key, Label, Layout, Modifiers, RichText, Role, Sense, Ui, WidgetInfo};
use egui_extras::{Column as Width, TableBuilder, TableRow};

use crate::app::action::{Action, Actions};
use crate::app::reading::{StateNames, capital, state_text, verdict_colour, verdict_sign};
use crate::app::stages::read::rows::{Column, Sort, is_problem};
use crate::app::theme;
use crate::app::view::View;
use crate::model::SensePin;
use crate::sense::{PinTable, StateRow};

/// Height of a row.
const ROW_HEIGHT: f32 = 24.0;

/// What the table shows.
pub struct TableFacts<'a> {
    /// The pin.
    pub pin: &'a SensePin,
    /// Its table.
    pub table: &'a PinTable,
    /// Rows in the order shown.
    pub shown: &'a [usize],
    /// Place of the current state among `shown`.
    pub current: Option<usize>,
    /// Bring this one into view.
    pub scroll_to: Option<usize>,
}

/// The table; returns whether the order was changed.
pub fn table_ui(
    ui: &mut Ui,
    view: View<'_>,
    facts: &TableFacts<'_>,
    sort: &mut Sort,
    actions: &mut Actions,
) {
    let columns = Column::shown(facts.table);
    egui::ScrollArea::horizontal().id_salt("state table").auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing = egui::vec2(14.0, 2.0);
        ui.style_mut().interaction.selectable_labels = false;
        ui.visuals_mut().selection.bg_fill = view.palette.wash(view.palette.live, 0.15);
        let mut builder = TableBuilder::new(ui)
            .id_salt("states")
            .sense(Sense::click())
            .auto_shrink(false)
            .cell_layout(Layout::left_to_right(Align::Center));
        for column in &columns {
            builder = builder.column(width(*column));
        }
        if let Some(row) = facts.scroll_to {
            builder = builder.scroll_to_row(row, None);
        }
        builder
            .header(26.0, |mut header| {
                for column in &columns {
                    header.col(|ui| heading_ui(ui, view, *column, sort));
                }
            })
            .body(|body| {
                body.rows(ROW_HEIGHT, facts.shown.len(), |mut row| {
                    let at = row.index();
                    let Some(state) =
                        facts.shown.get(at).and_then(|idx| facts.table.rows.get(*idx))
                    else {
                        return;
                    };
                    let is_current = facts.current == Some(at);
                    row.set_selected(is_current);
                    row_ui(&mut row, view, facts, (state, is_current), &columns, actions);
                });
            });
    });
}

fn width(column: Column) -> Width {
    match column {
        Column::Verdict => Width::exact(86.0),
        Column::Controls => Width::remainder().at_least(190.0).clip(true),
        Column::Ohm => Width::exact(78.0),
        Column::WorstOhm => Width::exact(150.0),
        Column::Volt => Width::exact(172.0),
        Column::Count => Width::exact(124.0),
        Column::Decoded => Width::exact(104.0).clip(true),
        Column::Asked => Width::exact(116.0).clip(true),
        Column::Margin => Width::exact(74.0),
    }
}

/// A heading that sorts: once rising, again falling.
fn heading_ui(ui: &mut Ui, view: View<'_>, column: Column, sort: &mut Sort) {
    let is_here = sort.column == column;
    let arrow = match (is_here, sort.is_falling) {
        (false, _) => "",
        (true, false) => " ▴",
        (true, true) => " ▾",
    };
    let colour = if is_here { view.palette.ink } else { view.palette.quiet };
    let text = RichText::new(format!("{}{arrow}", column.heading()))
        .font(theme::bold(theme::TEXT_SMALL))
        .color(colour);
    let button = egui::Button::new(text).frame(false).truncate();
    let response = ui.add(button);
    response.widget_info(|| {
        WidgetInfo::labeled(Role::Button, true, format!("Sort by {}", column.heading()))
    });
    if response.on_hover_text("Click to sort, again to turn the order around").clicked() {
        *sort = Sort { column, is_falling: is_here && !sort.is_falling };
    }
}

fn row_ui(
    row: &mut TableRow<'_, '_>,
    view: View<'_>,
    facts: &TableFacts<'_>,
    (state, is_current): (&StateRow, bool),
    columns: &[Column],
    actions: &mut Actions,
) {
    let palette = view.palette;
    let colour = verdict_colour(palette, state.verdict);
    let has_problem = is_problem(state);
    for column in columns {
        let text = column.text(view.project, facts.pin, facts.table, state);
        row.col(|ui| {
            if has_problem && !is_current {
                let cell =
                    ui.max_rect().expand2(egui::vec2(ui.spacing().item_spacing.x / 2.0, 1.0));
                ui.painter().rect_filled(cell, 0.0, palette.wash(colour, 0.10));
            }
            let label = match column {
                Column::Verdict => {
                    let now = if is_current { "▸" } else { " " };
                    ui.add_sized(
                        [10.0, ROW_HEIGHT],
                        Label::new(RichText::new(now).color(palette.live)),
                    );
                    let text = format!("{} {text}", verdict_sign(state.verdict));
                    RichText::new(text).color(colour).font(theme::bold(theme::TEXT_SMALL))
                }
                Column::Controls | Column::Ohm | Column::Decoded => {
                    RichText::new(text).color(palette.ink)
                }
                Column::Margin if has_problem => RichText::new(text).color(colour),
                Column::WorstOhm
                | Column::Volt
                | Column::Count
                | Column::Asked
                | Column::Margin => RichText::new(text).color(palette.quiet),
            };
            ui.add(Label::new(label).truncate());
        });
    }
    let response = row.response();
    let name = state_text(view.project, &facts.table.controls, &state.state, StateNames::OffRest);
    response
        .widget_info(|| WidgetInfo::selected(Role::Row, true, is_current, format!("Row {name}")));
    let response = response.on_hover_ui(|ui| {
        ui.set_max_width(420.0);
        let all = state_text(view.project, &facts.table.controls, &state.state, StateNames::All);
        ui.label(RichText::new(all).font(theme::bold(theme::TEXT_BODY)));
        if !state.why.is_empty() {
            ui.label(capital(&state.why));
        }
        ui.label(RichText::new("click to move the controls there").color(palette.quiet));
    });
    if response.clicked() {
        actions.push(Action::GoToState(state.state.clone()));
    }
}

/// Arrow and page keys go from state to state; returns the place among the rows shown to go to.
pub fn step_by_keys(ui: &Ui, current: Option<usize>, n: usize) -> Option<usize> {
    if n == 0 || ui.ctx().egui_wants_keyboard_input() {
        return None;
    }
    let pressed = |key: Key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    let last = n - 1;
    let from = |first: usize, step: &dyn Fn(usize) -> usize| current.map_or(first, step);
    if pressed(Key::ArrowDown) {
        Some(from(0, &|at| (at + 1).min(last)))
    } else if pressed(Key::ArrowUp) {
        Some(from(last, &|at| at.saturating_sub(1)))
    } else if pressed(Key::PageDown) {
        Some(from(0, &|at| (at + 10).min(last)))
    } else if pressed(Key::PageUp) {
        Some(from(last, &|at| at.saturating_sub(10)))
    } else if pressed(Key::Home) {
        Some(0)
    } else if pressed(Key::End) {
        Some(last)
    } else {
        None
    }
}
