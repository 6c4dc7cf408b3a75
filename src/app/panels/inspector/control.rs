//! One control: name, behaviour, positions, what each contact does in them, and what it needs.

use std::collections::BTreeSet;

use egui::{Id, RichText, Ui};

use crate::app::panels::inspector::contact::{mover, throw_word};
use crate::app::widgets::{
    Field, Pen, add_word, choice, choice_wide, heading, label_cell, parse_named, quiet,
    remove_sign, word_button,
};
use crate::edit::Edit;
use crate::model::{
    Contact, Control, ControlId, ControlKind, Need, Part, PartId, Position, Project,
};

/// Words for a behaviour.
pub fn kind_words(kind: ControlKind) -> &'static str {
    match kind {
        ControlKind::Momentary => "button, on while held",
        ControlKind::SpringReturn => "lever, springs back",
        ControlKind::Maintained => "toggle, stays",
        ControlKind::Selector => "selector, stays",
    }
}

/// All properties of a control.
pub fn control_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, control): (ControlId, &Control)) {
    let field = Field::words(
        Id::unique(("control name", id)),
        "Name of the control",
        control.name.as_str(),
    );
    pen.row(ui, "Name", &field, |text| {
        let name = parse_named(text)?;
        Ok(changed((id, control), |control| control.name = name))
    });
    ui.horizontal(|ui| {
        label_cell(ui, "Kind", pen.view.palette);
        let kinds = [
            ControlKind::Momentary,
            ControlKind::SpringReturn,
            ControlKind::Maintained,
            ControlKind::Selector,
        ];
        let options = kinds.map(|kind| (kind_words(kind).to_owned(), kind));
        if let Some(kind) =
            choice(ui, Id::unique(("control kind", id)), "Kind", kind_words(control.kind), options)
        {
            pen.edit(changed((id, control), |control| control.kind = kind));
        }
    });
    positions_ui(ui, pen, (id, control));
    contacts_ui(ui, pen, (id, control));
    needs_ui(ui, pen, (id, control));
    if word_button(ui, &format!("Delete control {}", control.name), pen.view.palette.wrong)
        .on_hover_text("Its contacts stay on the sheet")
        .clicked()
    {
        pen.edit(Edit::RemoveControl(id));
    }
}

fn changed((id, control): (ControlId, &Control), change: impl FnOnce(&mut Control)) -> Edit {
    let mut control = control.clone();
    change(&mut control);
    Edit::SetControl(id, control)
}

/// Contacts the control moves, in the order of their names' identities.
fn moved(control: &Control) -> BTreeSet<PartId> {
    control.positions.iter().flat_map(|position| position.throws.keys().copied()).collect()
}

fn contact_of(project: &Project, id: PartId) -> Option<(&Part, &Contact)> {
    let part = project.parts.get(id)?;
    Some((part, part.kind.contact()?))
}

/// Positions with their names, which of them is rest, and what every contact does there.
fn positions_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, control): (ControlId, &Control)) {
    heading(ui, "Positions");
    for (idx, position) in (0u8..).zip(&control.positions) {
        let name = format!("Position {}", idx + 1);
        let field = Field::words(Id::unique(("position", id, idx)), name, position.name.as_str());
        ui.horizontal(|ui| {
            let rests = control.rest == idx;
            let radio =
                ui.radio(rests, "").on_hover_text("Rest: where it stands when nobody moves it");
            if radio.accessible_name(format!("{} is rest", position.name)).clicked() && !rests {
                pen.edit(changed((id, control), |control| control.rest = idx));
            }
            let wide = ui.available_width() - 84.0;
            pen.field(ui, &field.clone().width(wide), |text| {
                let name = parse_named(text)?;
                Ok(changed((id, control), |control| {
                    if let Some(position) = control.positions.get_mut(usize::from(idx)) {
                        position.name = name;
                    }
                }))
            });
            if control.positions.len() > 2
                && remove_sign(ui, &format!("position {}", position.name), pen.view.palette)
                    .clicked()
            {
                pen.edit(changed((id, control), |control| remove_position(control, idx)));
            }
            if rests {
                ui.label(RichText::new("rest").small().color(pen.view.palette.quiet));
            }
        });
        pen.refusal_ui(ui, field.id, &field.shown);
        throws_ui(ui, pen, (id, control), idx);
    }
    if control.positions.len() < 24 && add_word(ui, "Add a position", pen.view.palette).clicked() {
        pen.edit(changed((id, control), |control| {
            let number = control.positions.len() + 1;
            let throws = moved(control).into_iter().map(|contact| (contact, 0)).collect();
            control.positions.push(Position { name: number.to_string(), throws });
        }));
    }
}

/// Takes a position out; rest stays where it was, or goes to the first.
fn remove_position(control: &mut Control, idx: u8) {
    if usize::from(idx) >= control.positions.len() {
        return;
    }
    control.positions.remove(usize::from(idx));
    control.rest = match control.rest.cmp(&idx) {
        std::cmp::Ordering::Less => control.rest,
        std::cmp::Ordering::Equal => 0,
        std::cmp::Ordering::Greater => control.rest - 1,
    };
}

/// What each contact does in one position: a word to click, or a choice for more than two throws.
fn throws_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, control): (ControlId, &Control), idx: u8) {
    let project = pen.view.project;
    let Some(position) = control.positions.get(usize::from(idx)) else { return };
    let mut edit = None;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.spacing_mut().button_padding = egui::vec2(6.0, 2.0);
        ui.add_space(26.0);
        for contact_id in moved(control) {
            let Some((part, contact)) = contact_of(project, contact_id) else { continue };
            let throw = position.throws.get(&contact_id).copied().unwrap_or(0);
            let put = |throw: u8| {
                changed((id, control), |control| {
                    if let Some(position) = control.positions.get_mut(usize::from(idx)) {
                        position.throws.insert(contact_id, throw);
                    }
                })
            };
            let words = format!("{} {}", part.name, throw_word(contact.form, throw));
            if contact.form.throws() > 2 {
                let options = (0..contact.form.throws()).map(|throw| {
                    (format!("{} {}", part.name, throw_word(contact.form, throw)), throw)
                });
                let name = format!("{} in {}", part.name, position.name);
                if let Some(throw) = choice_wide(
                    ui,
                    Id::unique(("throw", id, idx, contact_id)),
                    (&name, 110.0),
                    &words,
                    options,
                ) {
                    edit = Some(put(throw));
                }
            } else {
                let closed = contact.form.joined(throw).is_some();
                let word = RichText::new(words.as_str()).small();
                let button = egui::Button::new(word).selected(throw != 0).corner_radius(9.0);
                let tip = if closed { "joins; click to change" } else { "open; click to change" };
                let response = ui.add(button).on_hover_text(tip);
                if response.accessible_name(format!("{words} in {}", position.name)).clicked() {
                    edit = Some(put(1 - throw.min(1)));
                }
            }
        }
    });
    if let Some(edit) = edit {
        pen.edit(edit);
    }
}

/// Which contacts the control moves; more can be given to it.
fn contacts_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, control): (ControlId, &Control)) {
    let project = pen.view.project;
    heading(ui, "Contacts");
    let own = moved(control);
    if own.is_empty() {
        quiet(ui, "It moves no contact yet.", pen.view.palette);
    }
    ui.horizontal_wrapped(|ui| {
        for contact_id in &own {
            let Some(part) = project.parts.get(*contact_id) else { continue };
            ui.label(part.name.as_str()).on_hover_text(part.label.as_str());
            if remove_sign(ui, &format!("{} from {}", part.name, control.name), pen.view.palette)
                .clicked()
            {
                pen.edit(changed((id, control), |control| {
                    for position in &mut control.positions {
                        position.throws.remove(contact_id);
                    }
                }));
            }
        }
    });
    let free: Vec<(String, PartId)> = project
        .parts
        .iter()
        .filter(|(part, _)| contact_of(project, *part).is_some() && mover(project, *part).is_none())
        .map(|(part, row)| (format!("{} {}", row.name, row.label).trim_end().to_owned(), part))
        .collect();
    if free.is_empty() {
        quiet(ui, "Every contact on the sheet has its control.", pen.view.palette);
    } else if let Some(contact) =
        choice(ui, Id::unique(("add contact", id)), "Add a contact", "add a contact …", free)
    {
        pen.edit(changed((id, control), |control| {
            let rest = usize::from(control.rest);
            let works = (0..control.positions.len()).find(|idx| *idx != rest);
            for (idx, position) in control.positions.iter_mut().enumerate() {
                position.throws.insert(contact, u8::from(Some(idx) == works));
            }
        }));
    }
}

/// What must hold before the control can leave rest.
fn needs_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, control): (ControlId, &Control)) {
    let project = pen.view.project;
    let others = || project.controls.iter().filter(move |(other, _)| *other != id);
    if others().next().is_none() {
        return;
    }
    let now = control.needs.and_then(|need| {
        let other = project.controls.get(need.control)?;
        Some(format!("{} in {}", other.name, other.positions.get(usize::from(need.position))?.name))
    });
    let nothing = "nothing".to_owned();
    ui.horizontal(|ui| {
        label_cell(ui, "Needs", pen.view.palette);
        let options = others().flat_map(|(other_id, other)| {
            (0u8..).zip(&other.positions).map(move |(position, row)| {
                (
                    format!("{} in {}", other.name, row.name),
                    Some(Need { control: other_id, position }),
                )
            })
        });
        let options = std::iter::once((nothing.clone(), None)).chain(options);
        let picked = choice(
            ui,
            Id::unique(("needs", id)),
            "Needs",
            now.as_ref().unwrap_or(&nothing),
            options,
        );
        if let Some(needs) = picked {
            pen.edit(changed((id, control), |control| control.needs = needs));
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rest_stays_with_its_position_when_another_goes() {
        let position = |name: &str| Position { name: name.into(), ..Position::default() };
        let control = Control {
            name: "Lever".into(),
            kind: ControlKind::SpringReturn,
            positions: ["aft", "centre", "fore"].map(position).into(),
            rest: 1,
            needs: None,
        };
        let rest_after = |idx: u8| {
            let mut control = control.clone();
            remove_position(&mut control, idx);
            control.positions[usize::from(control.rest)].name.clone()
        };
        assert_eq!(rest_after(0), "centre");
        assert_eq!(rest_after(2), "centre");
        assert_eq!(rest_after(1), "aft");
    }
}
