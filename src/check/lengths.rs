//! Wires whose length is not known, and splices beside the way of their wire.

use std::collections::BTreeMap;

use crate::check::findings::Found;
use crate::harness::{LengthResult, TapPlace, tap_places, wire_lengths};
use crate::model::{Colour, PartKind, Project, Subject, Wire, WireId, WireSize, WireUse};
use crate::units::trim_zeros;

/// A typed length below so many times the route does not reach. Common practice, no source.
const TYPED_LEAST: f64 = 0.8;

/// Looks at every harness wire, those that are cut already, and every tapped splice.
pub fn check(project: &Project, lengths: BTreeMap<WireId, LengthResult>, found: &mut Found) {
    cut_too_short(project, &lengths, found);
    cut_as_other(project, found);
    typed_too_short(project, found);
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

/// Wires that were cut when they had another size or colour.
fn cut_as_other(project: &Project, found: &mut Found) {
    for (id, ticks) in project.cutting.ticks.iter().filter(|(_, ticks)| ticks.is_cut) {
        let Some(wire) = project.wires.get(id) else { continue };
        if ticks.is_cut_as(wire.size, wire.colour) {
            continue;
        }
        let words = |size: WireSize, colour: Colour| format!("{} {}", size.text(), colour.text());
        let was =
            words(ticks.cut_size.unwrap_or(wire.size), ticks.cut_colour.unwrap_or(wire.colour));
        let now = words(wire.size, wire.colour);
        found.warning(
            Subject::Wire(id),
            format!("wire {} was cut as {was} and must be {now} now", wire.name),
            "cut it anew and tick it again, or give it back what it was",
        );
    }
}

/// Typed lengths that are far from reaching along the way that is drawn.
fn typed_too_short(project: &Project, found: &mut Found) {
    let is_typed = |wire: &Wire| wire.usage == WireUse::Harness && wire.typed_length_mm.is_some();
    let typed: Vec<WireId> =
        project.wires.iter().filter(|(_, wire)| is_typed(wire)).map(|(id, _)| id).collect();
    if typed.is_empty() || project.runs.is_empty() {
        return;
    }
    let mut by_route = project.clone();
    for id in &typed {
        if let Some(wire) = by_route.wires.get_mut(*id) {
            wire.typed_length_mm = None;
        }
    }
    let routes = wire_lengths(&by_route);
    for id in typed {
        let Some((wire, Ok(route))) = project.wires.get(id).zip(routes.get(&id)) else { continue };
        let typed_mm = wire.typed_length_mm.unwrap_or_default();
        if typed_mm < route.routed_mm * TYPED_LEAST {
            found.warning(
                Subject::Wire(id),
                format!(
                    "wire {}: typed {} mm, the route is {} mm",
                    wire.name,
                    trim_zeros(&format!("{typed_mm:.1}")),
                    trim_zeros(&format!("{:.1}", route.routed_mm))
                ),
                "measure again, clear the typed length, or correct the runs",
            );
        }
    }
}
