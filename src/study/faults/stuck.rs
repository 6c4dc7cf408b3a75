//! Stuck: each contact that stays in one throw, whatever the control does.

use crate::circuit::{Change, Source};
use crate::model::{ContactForm, PartKind, Subject};
use crate::study::faults::base::Base;
use crate::study::faults::{Cause, Fault, FaultKind};

/// One fault for each throw of each contact.
pub fn list(base: &Base<'_>) -> Vec<Fault> {
    let mut faults = Vec::new();
    for source in base.sources() {
        let Source::Part(part) = source else { continue };
        let Some(row) = base.project.parts.get(part) else { continue };
        let PartKind::Contact(contact) = &row.kind else { continue };
        for throw in 0..contact.form.throws() {
            let title = format!("{} stuck {}", row.name, throw_word(contact.form, throw));
            let cause = Cause::Circuit(vec![Change::Stuck(part, throw)]);
            let subjects = vec![Subject::Part(part)];
            faults.push(Fault { kind: FaultKind::Stuck, title, subjects, cause });
        }
    }
    faults
}

fn throw_word(form: ContactForm, throw: u8) -> String {
    match (form.joined(throw), form.throws()) {
        (None, _) => "open".into(),
        (Some(_), 2) if form.joined(1 - throw).is_none() => "closed".into(),
        (Some(_), _) => format!("in throw {}", throw + 1),
    }
}
