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

/// The table; returns the place among the rows shown that was clicked.
pub fn table_ui(
    ui: &mut Ui,
    view: View<'_>,
    facts: &TableFacts<'_>,
    sort: &mut Sort,
    actions: &mut Actions,
) -> Option<usize> {
    let mut clicked = None;
    let columns = Column::shown(facts.pin, facts.table);
    egui::ScrollArea::horizontal().id_salt("state table").auto_shrink(false).show(ui, |ui| {
        let viewport = ui.clip_rect();
        ui.spacing_mut().item_spacing = egui::vec2(10.0, 2.0);
        ui.style_mut().interaction.selectable_labels = false;
        ui.visuals_mut().selection.bg_fill = view.palette.wash(view.palette.live, 0.15);
        let mut builder = TableBuilder::new(ui)
            .id_salt("states")
            .sense(Sense::click())
            .auto_shrink(false)
            .min_scrolled_height(40.0)
            .cell_layout(Layout::left_to_right(Align::Center));
        for column in &columns {
            builder = builder.column(width(*column));
        }
        if let Some(row) = facts.scroll_to {
            builder = builder.scroll_to_row(row, Some(Align::Center));
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
                    if row_ui(&mut row, view, facts, (state, is_current, viewport), &columns) {
                        clicked = Some(at);
                        actions.push(Action::GoToState(state.state.clone()));
                    }
                });
            });
    });
    clicked
}

fn width(column: Column) -> Width {
    match column {
        Column::Verdict => Width::exact(78.0),
        Column::Controls => Width::remainder().at_least(216.0).clip(true),
        Column::Ohm => Width::exact(78.0),
        Column::WorstOhm => Width::exact(150.0),
        Column::Volt => Width::exact(170.0),
        Column::Count => Width::exact(118.0),
        Column::Decoded => Width::exact(112.0).clip(true),
        Column::Asked => Width::exact(116.0).clip(true),
        Column::Margin => Width::exact(70.0),
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

/// One row; returns whether it was clicked.
fn row_ui(
    row: &mut TableRow<'_, '_>,
    view: View<'_>,
    facts: &TableFacts<'_>,
    (state, is_current, viewport): (&StateRow, bool, egui::Rect),
    columns: &[Column],
) -> bool {
    let palette = view.palette;
    let colour = verdict_colour(palette, state.verdict);
    let has_problem = is_problem(state);
    for column in columns {
        let text = column.text(view.project, facts.pin, facts.table, state);
        row.col(|ui| {
            if has_problem && !is_current {
                let cell =
                    ui.max_rect().expand2(egui::vec2(ui.spacing().item_spacing.x / 2.0, 1.0));
                // The wash reaches halfway to the next cell, which the cell's own clip would cut off.
                let clip = egui::Rect::from_x_y_ranges(cell.x_range(), ui.clip_rect().y_range());
                let mut painter = ui.painter().clone();
                painter.set_clip_rect(clip.intersect(viewport));
                painter.rect_filled(cell, 0.0, palette.wash(colour, 0.10));
            }
            let label = match column {
                Column::Verdict => {
                    if is_current {
                        let at = ui.max_rect().left_center();
                        let font = theme::plain(theme::TEXT_SMALL);
                        ui.painter().text(at, egui::Align2::LEFT_CENTER, "▸", font, palette.live);
                    }
                    ui.add_space(14.0);
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
    let name =
        || state_text(view.project, &facts.table.controls, &state.state, StateNames::OffRest);
    response.widget_info(|| {
        WidgetInfo::selected(Role::Row, true, is_current, format!("Row {}", name()))
    });
    let response = response.on_hover_ui(|ui| {
        ui.set_max_width(420.0);
        let all = state_text(view.project, &facts.table.controls, &state.state, StateNames::All);
        ui.label(RichText::new(all).font(theme::bold(theme::TEXT_BODY)));
        if !state.why.is_empty() {
            ui.label(capital(&state.why));
        }
        ui.label(RichText::new("click to move the controls there").color(palette.quiet));
    });
    response.clicked()
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
