//! Wires whose length is not known, and splices beside the way of their wire.

use std::collections::BTreeMap;

use crate::check::findings::Found;
use crate::harness::{LengthResult, TapPlace, tap_places};
use crate::model::{PartKind, Project, Subject, WireId};

/// Looks at every harness wire and every tapped splice.
pub fn check(project: &Project, lengths: BTreeMap<WireId, LengthResult>, found: &mut Found) {
    if project.places.is_empty() && project.runs.is_empty() {
        // A sketch without a layout is not told the same thing once per wire.
        let n_unknown = lengths.values().filter(|length| length.is_err()).count();
        if n_unknown > 0 {
            found.note(
                Subject::Project,
                format!("the lengths of {n_unknown} wires are not known yet: there is no layout"),
                "add places and runs, or type the lengths, before anything is cut",
            );
        }
    } else {
        for finding in lengths.into_values().filter_map(Result::err) {
            found.push(finding);
        }
    }
    for (splice, tap) in tap_places(project) {
        let Some(part) = project.parts.get(splice) else { continue };
        let place = match tap {
            TapPlace::OffRoute(place) => project.places.get(place).map(|place| &place.name),
            TapPlace::OffRun(run) => project.runs.get(run).map(|run| &run.name),
            TapPlace::Along(_) | TapPlace::Unknown => continue,
        };
        let PartKind::Splice { on: Some(wire), .. } = part.kind else { continue };
        let name = project.wires.get(wire).map_or("?", |wire| wire.name.as_str());
        let place = place.map_or("?", String::as_str);
        found.warning(
            Subject::Part(splice),
            format!("splice {} sits at {place}, where wire {name} does not pass", part.name),
            "move the splice to a place on the wire's way, or lead the wire through its place",
        );
    }
}
