//! The card beside the layout: figures of the place, the run or the wire that is selected.

use egui::{Id, Label, RichText, Ui};

use crate::app::action::{Action, Actions, LayoutItem};
use crate::app::command::Command;
use crate::app::reading::capital;
use crate::app::stages::route::canvas::{ask_run, selected_wire};
use crate::app::stages::route::lists::{run_changed, run_fields};
use crate::app::stages::route::state::RouteState;
use crate::app::stages::route::wires::lead_there;
use crate::app::stages::route::{laid, make, run_figures, wire_figures};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{
    Field, Pen, heading, is_out_of_sight, label_cell, parse_named, quiet, remove_sign, swatch,
    word_button,
};
use crate::edit::{Edit, Item};
use crate::harness::{missing_run, without_via};
use crate::model::{Place, PlaceId, Run, RunId, Wire, WireId, WireUse};

/// The card, if there is something to say; returns whether there was.
pub fn route_card_ui(ui: &mut Ui, view: View<'_>, own: &mut RouteState, actions: &mut Actions) {
    ui.spacing_mut().item_spacing.y = 6.0;
    match view.layout {
        Some(LayoutItem::Place(id)) => {
            if let Some(place) = view.project.places.get(id) {
                return place_card(ui, view, own, (id, place), actions);
            }
        }
        Some(LayoutItem::Run(id)) => {
            if let Some(run) = view.project.runs.get(id) {
                return run_card(ui, view, own, (id, run), actions);
            }
        }
        Some(LayoutItem::Underlay) | None => {}
    }
    match selected_wire(view).and_then(|id| Some((id, view.project.wires.get(id)?))) {
        Some(wire) => wire_card(ui, view, own, wire, actions),
        None => summary_card(ui, view),
    }
}

fn title_ui(ui: &mut Ui, view: View<'_>, title: &str, actions: &mut Actions) {
    ui.horizontal(|ui| {
        ui.label(RichText::new(title).font(theme::bold(theme::TEXT_HEADING)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let word = word_button(ui, Command::Delete.label(), view.palette.chosen);
            if word.on_hover_text(Command::Delete.tip()).clicked() {
                actions.push(Action::Run(Command::Delete));
            }
        });
    });
}

/// What there is, while nothing is selected.
fn summary_card(ui: &mut Ui, view: View<'_>) {
    ui.label(RichText::new("Layout").font(theme::bold(theme::TEXT_HEADING)));
    let project = view.project;
    let total_mm: f64 = project.runs.iter().map(|(_, run)| run.length_mm).sum();
    let counted = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    let together = match project.runs.len() {
        0 => "no run yet".to_owned(),
        n => {
            format!("{} of {} together", counted(n, "run"), view.preferences.length_text(total_mm))
        }
    };
    let words = format!("{}, {together}.", counted(project.places.len(), "place"));
    quiet(ui, words, view.palette);
    let words = "Click a place, a run or a wire of the list to see its figures here. Drag from dot to dot for a run; drag a name to move its place.";
    quiet(ui, words, view.palette);
}

fn place_card(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    (id, place): (PlaceId, &Place),
    actions: &mut Actions,
) {
    title_ui(ui, view, "Place", actions);
    let field = Field::words(Id::unique(("place card name", id)), "Name", place.name.as_str());
    let mut pen = Pen { view, fields: &mut own.fields, actions };
    pen.row(ui, "Name", &field, |text| {
        let name = parse_named(text)?;
        Ok(Edit::SetPlace(id, Place { name, ..place.clone() }))
    });
    heading(ui, "Parts here");
    let parts = own.scene.parts_at.get(&id).cloned().unwrap_or_default();
    if parts.is_empty() {
        quiet(ui, "None yet; drag them here from the list.", view.palette);
    }
    for part_id in parts {
        let Some(part) = view.project.parts.get(part_id) else { continue };
        ui.horizontal(|ui| {
            let name = format!("{} {}", part.name, part.kind.noun());
            let what = format!("{} from this place", part.name);
            if remove_sign(ui, &what, view.palette).clicked() {
                let part = crate::model::Part { place: None, ..part.clone() };
                actions.edit(Edit::SetPart(part_id, Box::new(part)));
            }
            if word_button(ui, &name, view.palette.ink).clicked() {
                actions.push(Action::Select([Item::Part(part_id)].into()));
            }
        });
    }
    heading(ui, "Runs from here");
    let runs = view.project.runs.iter().filter(|(_, run)| run.from == id || run.to == id);
    let mut n_runs = 0;
    for (run_id, run) in runs {
        n_runs += 1;
        let other = if run.from == id { run.to } else { run.from };
        let to = view.project.places.get(other).map_or("?", |place| place.name.as_str());
        let text = format!("{} to {to}", view.preferences.length_text(run.length_mm));
        if word_button(ui, &text, view.palette.chosen).on_hover_text(&run.name).clicked() {
            actions.push(Action::SelectLayout(Some(LayoutItem::Run(run_id))));
            own.show_wanted = Some(LayoutItem::Run(run_id));
        }
    }
    if n_runs == 0 {
        quiet(ui, "None yet; drag from its dot to another place.", view.palette);
    }
}

fn run_card(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    (id, run): (RunId, &Run),
    actions: &mut Actions,
) {
    title_ui(ui, view, "Run", actions);
    let name = Field::words(Id::unique(("run card name", id)), "Name", run.name.as_str());
    let [length, slack] = run_fields(view.preferences, (id, run), "in the card");
    let mut pen = Pen { view, fields: &mut own.fields, actions };
    pen.row(ui, "Name", &name, |text| {
        let name = parse_named(text)?;
        Ok(run_changed((id, run), |run| run.name = name))
    });
    pen.row(ui, "Length", &length, |text| {
        let length_mm = view.preferences.parse_length_mm(text)?;
        Ok(run_changed((id, run), |run| run.length_mm = length_mm))
    });
    pen.row(ui, "Loop", &slack, |text| {
        let text = text.trim();
        let loop_mm =
            if text.is_empty() { None } else { Some(view.preferences.parse_length_mm(text)?) };
        Ok(run_changed((id, run), |run| run.loop_mm = loop_mm))
    });
    for (label, place) in [("From", run.from), ("To", run.to)] {
        ui.horizontal(|ui| {
            label_cell(ui, label, view.palette);
            let name = view.project.places.get(place).map_or("?", |place| place.name.as_str());
            if word_button(ui, name, view.palette.chosen).clicked() {
                actions.push(Action::SelectLayout(Some(LayoutItem::Place(place))));
            }
        });
    }
    let mut pen = Pen { view, fields: &mut own.fields, actions };
    laid::laid_ui(ui, &mut pen, (id, run));
    run_figures::run_figures_ui(ui, view, (id, run));
    let Some(routes) = view.derived.routes() else { return };
    let wires = routes.wires_in(id);
    heading(ui, &format!("Wires inside: {}", wires.len()));
    if wires.is_empty() {
        quiet(ui, "No wire takes this run.", view.palette);
    }
    for wire_id in wires {
        if is_out_of_sight(ui, 24.0) {
            continue;
        }
        let Some(wire) = view.project.wires.get(*wire_id) else { continue };
        wire_row(ui, view, (*wire_id, wire), actions);
    }
}

/// A wire of a run; a click lights its way.
fn wire_row(ui: &mut Ui, view: View<'_>, (id, wire): (WireId, &Wire), actions: &mut Actions) {
    ui.horizontal(|ui| {
        ui.spacing_mut().interact_size.y = 20.0;
        swatch(ui, wire.colour, view);
        let text = format!("{} {}", wire.name, wire.size.text());
        let word = word_button(ui, &text, view.palette.ink);
        if word.on_hover_text("Show its route").clicked() {
            actions.push(Action::Select([Item::Wire(id)].into()));
        }
        if !wire.circuit.is_empty() {
            let circuit = RichText::new(&wire.circuit).small().color(view.palette.quiet);
            ui.add(Label::new(circuit).truncate());
        }
    });
}

/// The route of a wire: its runs, the places it is pinned through, or what is missing.
fn wire_card(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    (id, wire): (WireId, &Wire),
    actions: &mut Actions,
) {
    ui.horizontal(|ui| {
        swatch(ui, wire.colour, view);
        let title = RichText::new(format!("Route of {}", wire.name));
        ui.label(title.font(theme::bold(theme::TEXT_HEADING)));
    });
    if wire.usage == WireUse::Internal {
        quiet(ui, "It lies inside a box and takes no run.", view.palette);
        return;
    }
    match view.derived.routes().and_then(|routes| routes.lengths.get(&id)) {
        None => {
            quiet(ui, "Looking for its route …", view.palette);
        }
        Some(Err(finding)) => {
            let text = format!("⚠ {}. {}.", capital(&finding.what), capital(&finding.cure));
            ui.add(Label::new(RichText::new(text).small().color(view.palette.warning)).wrap());
            missing_ui(ui, view, own, (id, wire), actions);
        }
        Some(Ok(length)) if length.runs.is_empty() => {
            let text = format!(
                "Its length of {} was typed by hand; no route is sought.",
                view.preferences.length_text(length.routed_mm)
            );
            quiet(ui, text, view.palette);
        }
        Some(Ok(length)) => {
            let text = format!("{} along", view.preferences.length_text(length.routed_mm));
            ui.label(text);
            for run_id in &length.runs {
                let Some(run) = view.project.runs.get(*run_id) else { continue };
                let text = format!("{}  {}", view.preferences.length_text(run.length_mm), run.name);
                if word_button(ui, &text, view.palette.chosen).clicked() {
                    actions.push(Action::SelectLayout(Some(LayoutItem::Run(*run_id))));
                }
            }
        }
    }
    pins_ui(ui, view, (id, wire), actions);
    wire_figures::wire_figures_ui(ui, view, id);
    let mut pen = Pen { view, fields: &mut own.fields, actions };
    make::make_ui(ui, &mut pen, (id, wire));
}

fn missing_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    wire: (WireId, &Wire),
    actions: &mut Actions,
) {
    if let Some([from, to]) = missing_run(view.project, wire.1) {
        let name = |id| view.project.places.get(id).map_or("?", |place: &Place| &place.name);
        let text = format!("Missing: a run from {} to {}.", name(from), name(to));
        ui.add(Label::new(text).wrap());
        if word_button(ui, "Draw this run …", view.palette.chosen).clicked() {
            own.missing = None;
            own.tray_shown = false;
            ask_run(view, own, [from, to]);
        }
    }
    if word_button(ui, "Show where", view.palette.chosen).clicked() {
        lead_there(view, own, wire, actions);
    }
}

fn pins_ui(ui: &mut Ui, view: View<'_>, (id, wire): (WireId, &Wire), actions: &mut Actions) {
    if wire.via.is_empty() {
        let words = "It takes the shortest route. To send it through a place, drag one of its runs onto the place, or right-click the place.";
        quiet(ui, words, view.palette);
        return;
    }
    heading(ui, "Pinned through");
    for place in &wire.via {
        let name = view.project.places.get(*place).map_or("?", |place| place.name.as_str());
        ui.horizontal(|ui| {
            if remove_sign(ui, &format!("the pin at {name}"), view.palette).clicked() {
                let wire = Wire { via: without_via(wire, *place), ..wire.clone() };
                actions.edit(Edit::SetWire(id, Box::new(wire)));
            }
            ui.label(name);
        });
    }
}
