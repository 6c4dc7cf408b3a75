//! Where along a wire its splices sit.

use std::collections::BTreeMap;

use crate::harness::lengths::{end_places, wire_lengths};
use crate::model::{PartId, PartKind, PlaceId, Project, RunId, WireId};

/// Where a splice sits on the wire it is tapped onto.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TapPlace {
    /// This share of the wire lies between its first end and the splice.
    Along(f64),
    /// Unknown: no place, a typed length, or no route; half is assumed.
    Unknown,
    /// The splice has a place, but the wire does not pass it; half is assumed.
    OffRoute(PlaceId),
}

impl TapPlace {
    /// The share to reckon with, from 0 at the wire's first end to 1 at its other end.
    pub fn fraction(self) -> f64 {
        match self {
            Self::Along(fraction) => fraction,
            Self::Unknown | Self::OffRoute(_) => 0.5,
        }
    }
}

/// Share of the wire between its first end and each splice tapped onto it; half where unknown.
pub fn tap_fractions(project: &Project) -> BTreeMap<PartId, f64> {
    tap_places(project).into_iter().map(|(splice, tap)| (splice, tap.fraction())).collect()
}

/// Where each tapped-on splice sits.
pub fn tap_places(project: &Project) -> BTreeMap<PartId, TapPlace> {
    let taps: Vec<(PartId, WireId)> = project
        .parts
        .iter()
        .filter_map(|(id, part)| {
            let PartKind::Splice { on: Some(wire), .. } = part.kind else { return None };
            Some((id, wire))
        })
        .collect();
    if taps.is_empty() {
        return BTreeMap::new();
    }
    let lengths = wire_lengths(project);
    taps.into_iter()
        .map(|(splice, wire)| {
            let runs = lengths.get(&wire).and_then(|length| length.as_ref().ok());
            let tap = runs
                .map_or(TapPlace::Unknown, |length| tap_place(project, splice, wire, &length.runs));
            (splice, tap)
        })
        .collect()
}

/// Walks the runs from the wire's first end up to the splice's place.
///
/// Runs count with their loops; end allowances lie outside the runs and do not count.
fn tap_place(project: &Project, splice: PartId, wire: WireId, runs: &[RunId]) -> TapPlace {
    let Some(target) = project.parts.get(splice).and_then(|part| part.place) else {
        return TapPlace::Unknown;
    };
    let Some(wire) = project.wires.get(wire) else { return TapPlace::Unknown };
    let [Some(mut here), _] = end_places(project, wire) else { return TapPlace::Unknown };
    if runs.is_empty() {
        return TapPlace::Unknown;
    }
    let mut gone_mm = 0.0;
    let mut tapped_mm = (here == target).then_some(0.0);
    for run in runs.iter().filter_map(|run| project.runs.get(*run)) {
        gone_mm += run.length_mm + run.loop_mm.unwrap_or(0.0);
        here = if run.from == here { run.to } else { run.from };
        if here == target && tapped_mm.is_none() {
            tapped_mm = Some(gone_mm);
        }
    }
    match tapped_mm {
        Some(tapped_mm) if gone_mm > 0.0 => TapPlace::Along(tapped_mm / gone_mm),
        Some(_) => TapPlace::Unknown,
        None => TapPlace::OffRoute(target),
    }
}
