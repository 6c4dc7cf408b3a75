//! The menu of the right button on the layout.

use egui::{Button, Response, RichText, Ui};

use crate::app::action::{Action, Actions, LayoutItem};
use crate::app::canvas::Lens;
use crate::app::command::Command;
use crate::app::stages::route::canvas::{ask_run, selected_wire, take_deed, take_input};
use crate::app::stages::route::gesture::{Deed, GRID_MM, Input, pin};
use crate::app::stages::route::hit::{Hit, hit};
use crate::app::stages::route::state::RouteState;
use crate::app::view::View;
use crate::edit::{Edit, Item};
use crate::harness::without_via;
use crate::model::{PlaceId, RunId, Wire};

/// Not more wires of a run than this are listed.
const MOST_WIRES: usize = 24;

/// Shows the menu and remembers what it is about while it is open.
pub fn menu_ui(
    response: &Response,
    view: View<'_>,
    own: &mut RouteState,
    lens: &Lens,
    actions: &mut Actions,
) {
    if response.secondary_clicked()
        && let Some(pos) = response.interact_pointer_pos()
    {
        let at = lens.sheet_from_screen(pos);
        let under = hit((view.project, &own.scene), own.painted.as_ref(), lens, pos);
        own.menu_at = Some((at, under));
        // A place keeps the selected wire selected: it may be sent through there.
        let item = match under {
            Some(Hit::Run(run)) => Some(LayoutItem::Run(run)),
            Some(Hit::Dot(place) | Hit::Tag(place)) if selected_wire(view).is_none() => {
                Some(LayoutItem::Place(place))
            }
            Some(Hit::Dot(_) | Hit::Tag(_) | Hit::Chip(_)) | None => None,
        };
        if item.is_some() {
            actions.push(Action::SelectLayout(item));
        }
    }
    let Some((at, under)) = own.menu_at else { return };
    response.context_menu(|ui| {
        ui.set_min_width(210.0);
        match under {
            Some(Hit::Dot(place) | Hit::Tag(place)) => place_menu(ui, view, own, place, actions),
            Some(Hit::Run(run)) => run_menu(ui, view, own, run, actions),
            Some(Hit::Chip(part)) => {
                let name = view.project.parts.get(part).map_or("?", |part| part.name.as_str());
                if item_ui(ui, &format!("Select {name}")) {
                    actions.push(Action::Select([Item::Part(part)].into()));
                }
                if item_ui(ui, &format!("Take {name} off this place"))
                    && let Some(row) = view.project.parts.get(part)
                {
                    let row = crate::model::Part { place: None, ..row.clone() };
                    actions.edit(Edit::SetPart(part, Box::new(row)));
                }
            }
            None => {
                if item_ui(ui, "New place here") {
                    take_deed(view, own, Deed::NewPlace(at.snapped(GRID_MM)), actions);
                }
                if item_ui(ui, "Measure a stretch for the scale") {
                    take_input(view, own, lens, Input::Measure, actions);
                }
                for command in [Command::TakePicture, Command::Fit] {
                    if item_ui(ui, command.label()) {
                        actions.push(Action::Run(command));
                    }
                }
            }
        }
    });
}

fn place_menu(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    place: PlaceId,
    actions: &mut Actions,
) {
    let Some(row) = view.project.places.get(place) else { return };
    if let Some(id) = selected_wire(view)
        && let Some(wire) = view.project.wires.get(id)
    {
        if wire.via.contains(&place) {
            if item_ui(ui, &format!("Let {} leave {} out", wire.name, row.name)) {
                let wire = Wire { via: without_via(wire, place), ..wire.clone() };
                actions.edit(Edit::SetWire(id, Box::new(wire)));
            }
        } else if let Some(action) = pin(view.project, id, place)
            && item_ui(ui, &format!("Send {} through {}", wire.name, row.name))
        {
            actions.push(action);
        }
        ui.separator();
    }
    ui.menu_button("Draw a run to", |ui| {
        egui::ScrollArea::vertical().max_height(320.0).show(ui, |ui| {
            for (other, to) in view.project.places.iter().filter(|(other, _)| *other != place) {
                if item_ui(ui, &to.name) {
                    ask_run(view, own, [place, other]);
                }
            }
        });
    });
    if item_ui(ui, "Rename") {
        take_deed(view, own, Deed::Rename(place), actions);
    }
    if item_ui(ui, "Delete the place and its runs") {
        actions.edit(Edit::RemovePlace(place));
    }
}

fn run_menu(ui: &mut Ui, view: View<'_>, own: &mut RouteState, run: RunId, actions: &mut Actions) {
    if item_ui(ui, "Type its length") {
        own.focus_length = Some(run);
    }
    let wires = view.derived.routes().map_or(&[][..], |routes| routes.wires_in(run));
    if !wires.is_empty() {
        ui.menu_button("Show the route of", |ui| {
            for id in wires.iter().take(MOST_WIRES) {
                let Some(wire) = view.project.wires.get(*id) else { continue };
                if item_ui(ui, &format!("{} {}", wire.name, wire.colour.text())) {
                    actions.push(Action::Select([Item::Wire(*id)].into()));
                }
            }
            if wires.len() > MOST_WIRES {
                ui.label(format!("and {} more, see the card", wires.len() - MOST_WIRES));
            }
        });
    }
    if item_ui(ui, "Delete the run") {
        actions.edit(Edit::RemoveRun(run));
    }
}

fn item_ui(ui: &mut Ui, label: &str) -> bool {
    let button = Button::new(RichText::new(label)).min_size(egui::vec2(200.0, 0.0));
    let is_clicked = ui.add(button).clicked();
    if is_clicked {
        ui.close();
    }
    is_clicked
}
