//! The shield a wire lies under: its name, its drain, its measured diameter, and which wires it holds.
//!
//! Every wire under a shield carries the same three figures, so a figure typed at one is typed at all.

use std::collections::BTreeSet;

use egui::{Id, Ui};

use crate::app::action::Action;
use crate::app::widgets::{
    Field, Pen, choice, heading, label_cell, number_text, parse_positive, parse_size, quiet,
    remove_sign, word_button,
};
use crate::edit::{Edit, Item};
use crate::model::{Project, RunId, Shield, Wire, WireId, WireUse};

/// More wires than this are not offered in one list.
const OFFERED: usize = 60;

/// All wires under the shield of this name.
fn members<'a>(project: &'a Project, name: &'a str) -> impl Iterator<Item = (WireId, &'a Wire)> {
    project.wires.iter().filter(move |(_, wire)| {
        wire.make.shield.as_ref().is_some_and(|shield| shield.name == name)
    })
}

fn with_shield((id, wire): (WireId, &Wire), shield: Option<Shield>) -> Edit {
    let mut wire = wire.clone();
    wire.make.shield = shield;
    Edit::SetWire(id, Box::new(wire))
}

/// Puts a wire under the shield of this name, with the figures of those that lie there; an empty name
/// takes it out.
fn named(project: &Project, wire: (WireId, &Wire), name: &str) -> Edit {
    let name = name.trim();
    if name.is_empty() {
        return with_shield(wire, None);
    }
    let there = members(project, name).find_map(|(_, other)| other.make.shield.clone());
    let own = wire.1.make.shield.clone();
    let blank = Shield { name: String::new(), outside_mm: None, drain: None };
    let shield = Shield { name: name.to_owned(), ..there.or(own).unwrap_or(blank) };
    with_shield(wire, Some(shield))
}

/// Changes the shield at every wire under it, as one step.
fn changed(project: &Project, shield: &Shield, change: impl Fn(&mut Shield)) -> Edit {
    let edits = members(project, &shield.name)
        .map(|row| {
            let mut now = shield.clone();
            change(&mut now);
            with_shield(row, Some(now))
        })
        .collect();
    Edit::Together { title: format!("change shield {}", shield.name), edits }
}

/// The fields of a wire's shield.
pub fn shield_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, wire): (WireId, &Wire)) {
    heading(ui, "Shield");
    let project = pen.view.project;
    let shield = wire.make.shield.as_ref();
    let name = shield.map_or("", |shield| shield.name.as_str());
    let field = Field::words(Id::unique(("make shield", id)), "Shield it lies under", name)
        .hint("not shielded");
    pen.row(ui, "Under", &field, |text| Ok(named(project, (id, wire), text)));
    let Some(shield) = shield else { return };
    let drain = shield.drain.map_or_else(String::new, |size| size.text());
    let field = Field::figure(Id::unique(("make drain", id)), "Drain of the shield", drain)
        .hint("no drain");
    pen.row(ui, "Drain, bare", &field, |text| {
        let text = text.trim();
        let drain = if text.is_empty() { None } else { Some(parse_size(text)?) };
        Ok(changed(project, shield, |shield| shield.drain = drain))
    });
    let outside = shield.outside_mm.map_or_else(String::new, |mm| number_text(mm, "mm"));
    let field = Field::figure(Id::unique(("make cable", id)), "Measured diameter over it", outside)
        .hint("not measured");
    pen.row(ui, "Ø over it", &field, |text| {
        let text = text.trim();
        let mm = if text.is_empty() {
            None
        } else {
            Some(parse_positive(text, "mm", "a diameter such as 5.2 mm")?)
        };
        Ok(changed(project, shield, |shield| shield.outside_mm = mm))
    });
    members_ui(ui, pen, (id, shield));
    let words = if shield.drain.is_none() {
        "No drain is typed: say how the shield is joined to ground. Common practice, no source: at one \
         end only, so that no current runs along it."
    } else {
        "The drain is not in the cut list: strip it out of the shield and join it to ground. Common \
         practice, no source: at one end only, so that no current runs along it."
    };
    quiet(ui, words, pen.view.palette);
}

/// The wires under the shield, and what may come under it too.
fn members_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, shield): (WireId, &Shield)) {
    let view = pen.view;
    let rows: Vec<(WireId, &Wire)> = members(view.project, &shield.name).take(OFFERED).collect();
    ui.horizontal_wrapped(|ui| {
        label_cell(ui, "Wires under it", view.palette);
        for (other, row) in &rows {
            if word_button(ui, &row.name, view.palette.ink).clicked() && *other != id {
                pen.actions.push(Action::Select([Item::Wire(*other)].into()));
            }
            let what = format!("{} from under shield {}", row.name, shield.name);
            if remove_sign(ui, &what, view.palette).clicked() {
                pen.edit(with_shield((*other, row), None));
            }
        }
    });
    let offered = beside(view.project, id, |wire| {
        view.derived.routes().map_or(&[][..], |routes| routes.runs_of(wire))
    });
    if offered.is_empty() {
        return;
    }
    ui.horizontal(|ui| {
        label_cell(ui, "", view.palette);
        let options = offered.into_iter().filter_map(|wire| {
            let row = view.project.wires.get(wire)?;
            let circuit = if row.circuit.is_empty() { "" } else { ", " };
            Some((format!("{}{circuit}{}", row.name, row.circuit), wire))
        });
        let picked = choice(
            ui,
            Id::unique(("shield adds", id)),
            "Wire to put under the shield",
            "add a wire …",
            options,
        );
        if let Some((wire, row)) =
            picked.and_then(|wire| Some((wire, view.project.wires.get(wire)?)))
        {
            pen.edit(with_shield((wire, row), Some(shield.clone())));
        }
    });
}

/// Wires under no shield that share a run with this one.
fn beside<'a>(
    project: &Project,
    id: WireId,
    runs_of: impl Fn(WireId) -> &'a [RunId],
) -> Vec<WireId> {
    let own: BTreeSet<RunId> = runs_of(id).iter().copied().collect();
    project
        .wires
        .iter()
        .filter(|(other, wire)| {
            *other != id && wire.usage == WireUse::Harness && wire.make.shield.is_none()
        })
        .filter(|(other, _)| runs_of(*other).iter().any(|run| own.contains(run)))
        .map(|(other, _)| other)
        .take(OFFERED)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::apply;
    use crate::model::WireSize;
    use crate::samples;

    #[test]
    fn all_wires_under_a_shield_carry_the_same_figures() {
        let mut project = samples::open("sprayer").unwrap();
        let ids: Vec<WireId> = project.wires.ids().take(3).collect();
        let shield =
            |project: &Project, at: usize| project.wires.get(ids[at]).unwrap().make.shield.clone();
        for at in [0, 1] {
            let wire = project.wires.get(ids[at]).unwrap().clone();
            let edit = named(&project, (ids[at], &wire), " SH1 ");
            apply(&mut project, edit).unwrap();
        }
        let of_first = shield(&project, 0).unwrap();
        let drain = Some(WireSize::Mm2(0.35));
        let edit = changed(&project, &of_first, |shield| shield.drain = drain);
        apply(&mut project, edit).unwrap();
        assert_eq!(shield(&project, 1).unwrap().drain, drain);
        assert_eq!(shield(&project, 2), None);
        // What comes under it later takes its figures over.
        let wire = project.wires.get(ids[2]).unwrap().clone();
        let edit = named(&project, (ids[2], &wire), "SH1");
        apply(&mut project, edit).unwrap();
        assert_eq!(shield(&project, 2), shield(&project, 0));
        let wire = project.wires.get(ids[2]).unwrap().clone();
        let edit = named(&project, (ids[2], &wire), "");
        apply(&mut project, edit).unwrap();
        assert_eq!((shield(&project, 2), members(&project, "SH1").count()), (None, 2));
    }
}
