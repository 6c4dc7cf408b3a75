//! Names that stand for two things, and things without a name.

use std::collections::BTreeMap;

use crate::check::findings::Found;
use crate::model::{PartKind, Project, Subject, WireUse};

/// Looks at the names of parts and halves, harness wires, controls, places and positions.
pub fn check(project: &Project, found: &mut Found) {
    same_names(
        found,
        "part",
        "give one of them another reference, lists cannot tell them apart",
        parts(project),
    );
    let wires = project.wires.iter().filter(|(_, wire)| wire.usage == WireUse::Harness);
    let wires = wires.map(|(id, wire)| (wire.name.clone(), Subject::Wire(id)));
    same_names(
        found,
        "wire",
        "give one of them another number, their markers would be alike",
        wires,
    );
    let controls =
        project.controls.iter().map(|(id, row)| (row.name.clone(), Subject::Control(id)));
    same_names(found, "control", "give one of them another name, state tables name it", controls);
    let places = project.places.iter().map(|(id, row)| (row.name.clone(), Subject::Place(id)));
    same_names(found, "place", "give one of them another name, routes name it", places);
    for (id, control) in project.controls.iter() {
        let positions = control.positions.iter().map(|p| (p.name.clone(), Subject::Control(id)));
        let noun = format!("position of {}", control.name);
        same_names(found, &noun, "give one of them another name, state tables name it", positions);
    }
}

/// Names of parts, of connectors' halves and of controllers' plugs.
fn parts(project: &Project) -> impl Iterator<Item = (String, Subject)> + '_ {
    project.parts.iter().flat_map(|(id, part)| {
        let mut names = vec![part.name.clone()];
        match &part.kind {
            PartKind::Connector(connector) => {
                let halves = [Some(&connector.first), connector.second.as_ref()];
                names.extend(halves.into_iter().flatten().map(|half| half.name.clone()));
            }
            PartKind::Controller(controller) => {
                names.push(controller.plug.name.clone());
            }
            PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Fuse(_)
            | PartKind::Resistor(_)
            | PartKind::Contact(_)
            | PartKind::Splice { .. }
            | PartKind::TestPoint
            | PartKind::Element(_) => {}
        }
        // A connector and its halves may share a name: that is one thing, not two.
        names.sort();
        names.dedup();
        names.into_iter().map(move |name| (name, Subject::Part(id)))
    })
}

fn same_names(
    found: &mut Found,
    noun: &str,
    cure: &str,
    names: impl Iterator<Item = (String, Subject)>,
) {
    let mut by_name: BTreeMap<String, Vec<Subject>> = BTreeMap::new();
    for (name, subject) in names {
        by_name.entry(name.trim().to_owned()).or_default().push(subject);
    }
    for (name, subjects) in by_name {
        if name.is_empty() {
            for subject in subjects {
                found.warning(
                    subject,
                    format!("a {noun} has no name"),
                    "give it a name, lists need one",
                );
            }
        } else if let [_, .., last] = subjects.as_slice() {
            let n = subjects.len();
            found.warning(*last, format!("{n} {} are named {name}", plural(noun)), cure);
        }
    }
}

/// `parts`; `positions of Gate`.
fn plural(noun: &str) -> String {
    match noun.split_once(' ') {
        Some((first, rest)) => format!("{first}s {rest}"),
        None => format!("{noun}s"),
    }
}
