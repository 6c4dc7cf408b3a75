//! Wires whose length is not known, and splices beside the way of their wire.

use std::collections::BTreeMap;

use crate::check::findings::Found;
use crate::harness::{LengthResult, TapPlace, tap_places};
use crate::model::{PartKind, Project, Subject, WireId};
use crate::units::trim_zeros;

/// Looks at every harness wire, those that are cut already, and every tapped splice.
pub fn check(project: &Project, lengths: BTreeMap<WireId, LengthResult>, found: &mut Found) {
    cut_too_short(project, &lengths, found);
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

/// Wires that were cut when they were shorter than they must be now.
fn cut_too_short(project: &Project, lengths: &BTreeMap<WireId, LengthResult>, found: &mut Found) {
    for (wire, ticks) in project.cutting.ticks.iter().filter(|(_, ticks)| ticks.is_cut) {
        let needed_mm = lengths.get(&wire).and_then(|length| Some(length.as_ref().ok()?.cut_mm));
        let (Some(was_mm), Some(needed_mm)) = (ticks.cut_to_mm, needed_mm) else { continue };
        if was_mm < needed_mm {
            let name = project.wires.get(wire).map_or("?", |wire| wire.name.as_str());
            let millimetres = |mm: f64| trim_zeros(&format!("{mm:.1}"));
            found.warning(
                Subject::Wire(wire),
                format!(
                    "wire {name} was cut to {} mm and must be {} mm long now",
                    millimetres(was_mm),
                    millimetres(needed_mm)
                ),
                "cut it anew, or give it a shorter way; then tick it again",
            );
        }
    }
}
