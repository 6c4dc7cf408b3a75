//! A contact set: its form, its resistance, and the control that moves it.

use egui::{Id, Ui};

use crate::app::panels::inspector::Next;
use crate::app::panels::inspector::part::set_part;
use crate::app::widgets::{
    Field, Pen, RangeUnit, choice, heading, label_cell, parse_count, quiet, range_row, range_text,
    word_button,
};
use crate::edit::Edit;
use crate::model::{
    Contact, ContactForm, Control, ControlId, ControlKind, Part, PartId, PartKind, Position,
    Project, Subject,
};
use crate::units::Range;

/// All properties of a contact.
pub fn contact_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    contact: &Contact,
    next: &mut Next,
) {
    form_ui(ui, pen, (id, part), contact);
    closed_ui(ui, pen, (id, part), contact);
    moved_by_ui(ui, pen, (id, part), contact, next);
}

fn form_words(form: ContactForm) -> &'static str {
    match form {
        ContactForm::NormallyOpen => "normally open",
        ContactForm::NormallyClosed => "normally closed",
        ContactForm::Changeover => "changeover",
        ContactForm::Ways(_) => "n ways",
    }
}

fn set_contact(part: (PartId, &Part), change: impl FnOnce(&mut Contact)) -> Result<Edit, String> {
    set_part(part, |part| {
        if let PartKind::Contact(contact) = &mut part.kind {
            change(contact);
        }
        Ok(())
    })
}

fn form_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, part): (PartId, &Part), contact: &Contact) {
    ui.horizontal(|ui| {
        label_cell(ui, "Form", pen.view.palette);
        let forms = [
            ContactForm::NormallyOpen,
            ContactForm::NormallyClosed,
            ContactForm::Changeover,
            ContactForm::Ways(3),
        ];
        let options = forms.map(|form| (form_words(form).to_owned(), form));
        if let Some(form) =
            choice(ui, Id::unique(("contact form", id)), "Form", form_words(contact.form), options)
            && let Ok(edit) = set_contact((id, part), |contact| contact.form = form)
        {
            pen.edit(edit);
        }
    });
    if let ContactForm::Ways(ways) = contact.form {
        let field =
            Field::figure(Id::unique(("contact ways", id)), "Ways", ways.to_string()).when_left();
        pen.row(ui, "Ways", &field, |text| {
            let ways = parse_count(text, "a whole number from 2 to 24")?;
            let ways = u8::try_from(ways).ok().filter(|ways| (2..=24).contains(ways));
            let ways = ways.ok_or_else(|| {
                format!("expected a whole number from 2 to 24, found \"{}\"", text.trim())
            })?;
            set_contact((id, part), |contact| contact.form = ContactForm::Ways(ways))
        });
    }
}

fn closed_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (id, part): (PartId, &Part), contact: &Contact) {
    let project_range = pen.view.project.settings.contact_ohm;
    let mut own = contact.closed_ohm.is_some();
    ui.horizontal(|ui| {
        label_cell(ui, "Closed", pen.view.palette);
        let words = format!("own, else {}", range_text(project_range, "Ω"));
        if ui
            .checkbox(&mut own, words)
            .on_hover_text("Otherwise as the project's dirt says")
            .changed()
            && let Ok(edit) =
                set_contact((id, part), |contact| contact.closed_ohm = own.then_some(project_range))
        {
            pen.edit(edit);
        }
    });
    if let Some(range) = contact.closed_ohm {
        range_row(
            ui,
            pen,
            ("", "Contact resistance", Id::unique(("contact closed", id))),
            (RangeUnit::Ohm, range),
            |range: Range| set_contact((id, part), |contact| contact.closed_ohm = Some(range)),
        );
    }
}

/// The control that moves this contact, if one does.
pub fn mover(project: &Project, contact: PartId) -> Option<(ControlId, &Control)> {
    project
        .controls
        .iter()
        .find(|(_, control)| control.positions.iter().any(|p| p.throws.contains_key(&contact)))
}

/// What a throw does, in a word.
pub fn throw_word(form: ContactForm, throw: u8) -> String {
    match (form, throw) {
        (ContactForm::NormallyOpen, 0) | (ContactForm::NormallyClosed, 1) => "open".into(),
        (ContactForm::NormallyOpen | ContactForm::NormallyClosed, _) => "closed".into(),
        (ContactForm::Changeover, 0) => "rest".into(),
        (ContactForm::Changeover, _) => "work".into(),
        (ContactForm::Ways(_), way) => format!("way {}", way + 1),
    }
}

fn moved_by_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (id, part): (PartId, &Part),
    contact: &Contact,
    next: &mut Next,
) {
    heading(ui, "Moved by");
    let project = pen.view.project;
    match mover(project, id) {
        Some((control_id, control)) => {
            for position in &control.positions {
                ui.horizontal(|ui| {
                    label_cell(ui, &position.name, pen.view.palette);
                    let throw = position.throws.get(&id).copied().unwrap_or(0);
                    ui.label(throw_word(contact.form, throw));
                });
            }
            if word_button(ui, &format!("Edit control {}", control.name), pen.view.palette.chosen)
                .clicked()
            {
                next.0 = Some(Subject::Control(control_id));
            }
        }
        None => {
            quiet(ui, "No control moves this contact: it stays as it is drawn.", pen.view.palette);
            let button = ui.button(format!("Make a control for {}", part.name));
            if button
                .on_hover_text("A control of two positions; change its kind and positions then")
                .clicked()
            {
                pen.edit(Edit::AddControl(control_for((id, part), contact)));
            }
        }
    }
}

/// A control for one contact: two positions, or one for each way.
fn control_for((id, part): (PartId, &Part), contact: &Contact) -> Control {
    let name = if part.label.is_empty() { part.name.clone() } else { part.label.clone() };
    let (kind, names): (ControlKind, Vec<String>) = match contact.form {
        ContactForm::NormallyOpen | ContactForm::NormallyClosed | ContactForm::Changeover => {
            (ControlKind::Maintained, vec!["off".into(), "on".into()])
        }
        ContactForm::Ways(ways) => {
            (ControlKind::Selector, (1..=ways).map(|way| way.to_string()).collect())
        }
    };
    let positions = (0u8..)
        .zip(names)
        .map(|(throw, name)| Position { name, throws: [(id, throw)].into() })
        .collect();
    Control { name, kind, positions, rest: 0, needs: None }
}
