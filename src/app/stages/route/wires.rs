//! The route of every wire; those without one first, with what is missing.

use std::cmp::Reverse;

use egui::{Label, RichText, Sense, Ui, vec2};

use crate::app::action::{Action, Actions, LayoutItem};
use crate::app::reading::capital;
use crate::app::stages::route::state::RouteState;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{heading, is_out_of_sight, quiet, swatch, word_button};
use crate::edit::Item;
use crate::harness::missing_run;
use crate::model::{Diagnostic, PlaceId, Wire, WireId};

/// Height of one row.
const ROW_HEIGHT: f32 = 42.0;

/// All harness wires.
pub fn wires_ui(ui: &mut Ui, view: View<'_>, own: &mut RouteState, actions: &mut Actions) {
    let Some(routes) = view.derived.routes() else {
        quiet(ui, "Looking for the routes …", view.palette);
        return;
    };
    heading(ui, "Routes of the wires");
    if routes.lengths.is_empty() {
        quiet(ui, "Draw a wire on the sheet and mark its use as Harness.", view.palette);
    }
    let mut rows: Vec<_> = routes.lengths.iter().collect();
    rows.sort_by_key(|(id, length)| (Reverse(length.is_err()), **id));
    for (id, length) in rows {
        let Some(wire) = view.project.wires.get(*id) else { continue };
        if let Err(finding) = length {
            missing_ui(ui, view, own, (*id, wire, finding), actions);
            continue;
        }
        if is_out_of_sight(ui, ROW_HEIGHT) {
            continue;
        }
        let names: Vec<&str> = routes
            .runs_of(*id)
            .iter()
            .filter_map(|run| view.project.runs.get(*run))
            .map(|run| run.name.as_str())
            .collect();
        let way =
            if names.is_empty() { "length typed by hand".to_owned() } else { names.join(" · ") };
        let pins = wire.via.len();
        let pinned = match pins {
            0 => String::new(),
            1 => "pinned through 1 place · ".to_owned(),
            n => format!("pinned through {n} places · "),
        };
        row_ui(ui, view, (*id, wire), &format!("{pinned}{way}"), actions);
    }
}

/// One wire with its route; a click lights it.
fn row_ui(
    ui: &mut Ui,
    view: View<'_>,
    (id, wire): (WireId, &Wire),
    way: &str,
    actions: &mut Actions,
) {
    let is_chosen = view.selection.contains(&Item::Wire(id));
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), ROW_HEIGHT), Sense::click());
    let label = format!("route of wire {}", wire.name);
    response.widget_info(|| {
        egui::WidgetInfo::selected(egui::Role::Button, true, is_chosen, label.as_str())
    });
    if is_chosen || response.hovered() {
        let share = if is_chosen { 0.18 } else { 0.07 };
        ui.painter().rect_filled(rect, 5.0, view.palette.wash(view.palette.chosen, share));
    }
    let inner = rect.shrink2(vec2(6.0, 3.0));
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(inner));
    child.spacing_mut().item_spacing.y = 0.0;
    child.spacing_mut().interact_size.y = 18.0;
    child.horizontal(|ui| {
        swatch(ui, wire.colour, view);
        let name = RichText::new(&wire.name).font(theme::bold(theme::TEXT_SMALL));
        ui.add(Label::new(name).selectable(false));
        let ends =
            [wire.from.terminal, wire.to.terminal].map(|end| view.project.terminal_name(end));
        let ends = RichText::new(format!("{} → {}", ends[0], ends[1])).small();
        ui.add(Label::new(ends.color(view.palette.quiet)).truncate().selectable(false));
    });
    let way_text = RichText::new(way).small().color(view.palette.quiet);
    child.add(Label::new(way_text).truncate().selectable(false));
    if response.on_hover_text(way).clicked() {
        actions.push(Action::Select([Item::Wire(id)].into()));
    }
}

/// A wire without a route: why, and what leads to it.
fn missing_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    (id, wire, finding): (WireId, &Wire, &Diagnostic),
    actions: &mut Actions,
) {
    let text = format!("⚠ {}. {}.", capital(&finding.what), capital(&finding.cure));
    ui.add(Label::new(RichText::new(text).small().color(view.palette.warning)).wrap());
    ui.horizontal(|ui| {
        let label = format!("Show what {} lacks", wire.name);
        if word_button(ui, &label, view.palette.chosen).clicked() {
            lead_there(view, own, (id, wire), actions);
        }
    });
    ui.add_space(4.0);
}

/// Leads to what a wire lacks: the gap that a run would close, or the part without a place.
pub fn lead_there(
    view: View<'_>,
    own: &mut RouteState,
    (id, wire): (WireId, &Wire),
    actions: &mut Actions,
) {
    if let Some([from, to]) = missing_run(view.project, wire) {
        actions.push(Action::Select([Item::Wire(id)].into()));
        own.missing = Some([from, to]);
        own.fit_wanted = true;
        return;
    }
    let unplaced = [wire.from, wire.to].into_iter().find(|end| {
        view.project.parts.get(end.terminal.part).is_some_and(|part| part.place.is_none())
    });
    match unplaced {
        Some(end) => {
            actions.push(Action::Select([Item::Part(end.terminal.part)].into()));
            own.page = super::state::TrayPage::Parts;
        }
        None => {
            actions.push(Action::Select([Item::Wire(id)].into()));
            let place: Option<PlaceId> =
                view.project.parts.get(wire.from.terminal.part).and_then(|part| part.place);
            own.show_wanted = place.map(LayoutItem::Place);
        }
    }
}
