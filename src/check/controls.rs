//! Controls: contacts nobody moves, throws that do not exist, needs that cannot be met.

use std::collections::BTreeMap;

use crate::check::findings::Found;
use crate::model::{Control, ControlId, PartId, PartKind, Project, Subject};

/// Looks at every control and every contact.
pub fn check(project: &Project, found: &mut Found) {
    let mut movers: BTreeMap<PartId, Vec<ControlId>> = BTreeMap::new();
    for (id, control) in project.controls.iter() {
        one_control(project, id, control, found);
        needs(project, id, control, found);
        let mut moved: Vec<PartId> =
            control.positions.iter().flat_map(|p| p.throws.keys().copied()).collect();
        moved.sort_unstable();
        moved.dedup();
        for part in moved {
            movers.entry(part).or_default().push(id);
        }
    }
    for (id, part) in project.parts.iter() {
        let PartKind::Contact(_) = part.kind else { continue };
        match movers.get(&id).map(Vec::as_slice) {
            None | Some([]) => found.warning(
                Subject::Part(id),
                format!("no control moves contact {}, so it never changes", part.name),
                "name it in a position of a control",
            ),
            Some([_]) => {}
            Some(several) => {
                let names: Vec<&str> = several.iter().map(|c| name_of(project, *c)).collect();
                found.error(
                    Subject::Part(id),
                    format!("contact {} is moved by {}", part.name, names.join(" and by ")),
                    "leave it to one of them; give the other a contact of its own",
                );
            }
        }
    }
}

fn one_control(project: &Project, id: ControlId, control: &Control, found: &mut Found) {
    let subject = Subject::Control(id);
    let name = &control.name;
    if control.positions.len() < 2 || usize::from(control.rest) >= control.positions.len() {
        found.error(
            subject,
            format!(
                "{name} has {} positions and rests in number {}",
                control.positions.len(),
                control.rest + 1
            ),
            "give it at least two positions and a rest among them",
        );
    }
    let throws: Vec<_> = control.positions.iter().map(|position| &position.throws).collect();
    let moves = |pair: &[&BTreeMap<PartId, u8>]| {
        let parts = pair[0].keys().chain(pair[1].keys());
        let throw = |side: &BTreeMap<PartId, u8>, part| side.get(part).copied().unwrap_or(0);
        parts.into_iter().any(|part| throw(pair[0], part) != throw(pair[1], part))
    };
    if !throws.windows(2).any(moves) {
        found.note(
            subject,
            format!("{name} moves no contact"),
            "name contacts in its positions, or delete it",
        );
    }
    for position in &control.positions {
        for (part, throw) in &position.throws {
            let row = project.parts.get(*part);
            let contact = row.and_then(|row| row.kind.contact());
            let part = row.map_or("something that is gone", |row| row.name.as_str());
            match contact {
                None => found.error(
                    subject,
                    format!("{name} {} moves {part}, which is no contact", position.name),
                    "choose a contact of a switch",
                ),
                Some(contact) if *throw >= contact.form.throws() => found.error(
                    subject,
                    format!(
                        "{name} {} puts {part} in throw {}, but it has {}",
                        position.name,
                        u16::from(*throw) + 1,
                        contact.form.throws()
                    ),
                    "choose a throw the contact has, or another form of contact",
                ),
                Some(_) => {}
            }
        }
    }
}

/// A control that waits for itself, for nothing, or in a ring can never leave rest.
fn needs(project: &Project, id: ControlId, control: &Control, found: &mut Found) {
    let Some(need) = control.needs else { return };
    let subject = Subject::Control(id);
    let name = &control.name;
    let Some(other) = project.controls.get(need.control) else {
        found.error(
            subject,
            format!("{name} needs a control that is gone"),
            "choose another control, or no need",
        );
        return;
    };
    if usize::from(need.position) >= other.positions.len() {
        found.error(
            subject,
            format!("{name} needs {} in a position it does not have", other.name),
            "choose a position it has",
        );
        return;
    }
    let mut chain = vec![id];
    let mut here = Some(need);
    while let Some(step) = here {
        // A need for the other's rest is met without moving it, so no ring closes there.
        let is_met_at_rest =
            project.controls.get(step.control).is_some_and(|c| c.rest == step.position);
        if step.control == id {
            let by_way: Vec<&str> = chain[1..].iter().map(|c| name_of(project, *c)).collect();
            let way = match by_way.as_slice() {
                [] => String::new(),
                names => format!(" by way of {}", names.join(" and ")),
            };
            if !is_met_at_rest || by_way.is_empty() {
                found.error(
                    subject,
                    format!("{name} needs itself{way}, so it can never leave rest"),
                    "take one of the needs away",
                );
            }
            return;
        }
        if is_met_at_rest || chain.contains(&step.control) {
            return;
        }
        chain.push(step.control);
        here = project.controls.get(step.control).and_then(|control| control.needs);
    }
}

fn name_of(project: &Project, id: ControlId) -> &str {
    project.controls.get(id).map_or("?", |control| control.name.as_str())
}
