//! What every part has: name, label, place in the harness; then the editor of its kind.

use egui::{Id, RichText, Ui};

use crate::app::action::Action;
use crate::app::command::Command;
use crate::app::panels::inspector::connector;
use crate::app::panels::inspector::contact;
use crate::app::panels::inspector::element;
use crate::app::panels::inspector::resistor;
use crate::app::panels::inspector::simple;
use crate::app::panels::inspector::{Next, Unfolded};
use crate::app::theme;
use crate::app::widgets::{Field, Pen, choice, label_cell, parse_named, word_button};
use crate::edit::Edit;
use crate::model::{Part, PartId, PartKind};

/// Turns a change of a part into an edit.
pub fn set_part(
    (id, part): (PartId, &Part),
    change: impl FnOnce(&mut Part) -> Result<(), String>,
) -> Result<Edit, String> {
    let mut part = part.clone();
    change(&mut part)?;
    Ok(Edit::SetPart(id, Box::new(part)))
}

/// All properties of one part.
pub fn part_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    focus_name: bool,
    unfolded: &mut Unfolded,
    next: &mut Next,
) {
    title_ui(ui, pen, part.kind.noun());
    let name = Field::words(Id::unique(("part name", id)), "Name", part.name.as_str());
    if focus_name {
        ui.memory_mut(|memory| memory.request_focus(name.id));
    }
    pen.row(ui, "Name", &name, |text| {
        let name = parse_named(text)?;
        set_part((id, part), |part| {
            part.name = name;
            Ok(())
        })
    });
    let label = Field::words(Id::unique(("part label", id)), "Label", part.label.as_str())
        .hint("what it is for");
    pen.row(ui, "Label", &label, |text| {
        set_part((id, part), |part| {
            part.label = text.to_owned();
            Ok(())
        })
    });
    match &part.kind {
        PartKind::Resistor(resistor) => resistor::resistor_ui(ui, pen, (id, part), resistor),
        PartKind::Supply(supply) => simple::supply_ui(ui, pen, (id, part), supply),
        PartKind::Fuse(fuse) => simple::fuse_ui(ui, pen, (id, part), fuse),
        PartKind::Contact(contact) => contact::contact_ui(ui, pen, (id, part), contact, next),
        PartKind::Splice { on, .. } => simple::splice_ui(ui, pen, (id, part), *on),
        PartKind::Connector(plug) => connector::connector_ui(ui, pen, (id, part), plug, unfolded),
        PartKind::Controller(controller) => {
            connector::controller_ui(ui, pen, (id, part), controller, (unfolded, next));
        }
        PartKind::Ground => {
            crate::app::widgets::quiet(ui, "All ground points are one net.", pen.view.palette);
        }
        PartKind::Element(element) => element::element_ui(ui, pen, (id, part), element),
        PartKind::TestPoint => {
            crate::app::widgets::quiet(ui, "A place to put a meter lead.", pen.view.palette);
        }
    }
    place_ui(ui, pen, (id, part));
}

/// Noun of what is selected, with the actions that fit anything.
pub fn title_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, noun: &str) {
    let mut letters = noun.chars();
    let title = letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect());
    ui.horizontal(|ui| {
        ui.label(RichText::new(title).font(theme::bold(theme::TEXT_HEADING)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 12.0;
            for command in [Command::Delete, Command::Duplicate] {
                let word = word_button(ui, command.label(), pen.view.palette.chosen);
                if word.on_hover_text(command.tip()).clicked() {
                    pen.actions.push(Action::Run(command));
                }
            }
        });
    });
}

/// Where the part sits in the harness layout.
fn place_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, part): (PartId, &Part)) {
    let project = pen.view.project;
    if project.places.is_empty() {
        return;
    }
    ui.horizontal(|ui| {
        label_cell(ui, "Place", pen.view.palette);
        place_choice(ui, pen, (id, part));
    });
}

/// The choice of a part's place, also for tables.
pub fn place_choice(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, part): (PartId, &Part)) {
    let project = pen.view.project;
    let now = part
        .place
        .and_then(|place| project.places.get(place))
        .map_or("none yet", |place| place.name.as_str());
    let none = std::iter::once(("none yet".to_owned(), None));
    let places = project.places.iter().map(|(place, row)| (row.name.clone(), Some(place)));
    let name = format!("Place of {}", part.name);
    if let Some(place) = choice(ui, Id::unique(("part place", id)), &name, now, none.chain(places))
    {
        let mut part = part.clone();
        part.place = place;
        pen.edit(Edit::SetPart(id, Box::new(part)));
    }
}
