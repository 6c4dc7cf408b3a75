//! Where along a wire its splices sit.

use std::collections::BTreeMap;

use crate::harness::layout::{Stretch, splice_mm};
use crate::harness::lengths::wire_lengths;
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
    /// The splice sits along a run the wire does not pass; half is assumed.
    OffRun(RunId),
}

impl TapPlace {
    /// The share to reckon with, from 0 at the wire's first end to 1 at its other end.
    pub fn fraction(self) -> f64 {
        match self {
            Self::Along(fraction) => fraction,
            Self::Unknown | Self::OffRoute(_) | Self::OffRun(_) => 0.5,
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
                .map_or(TapPlace::Unknown, |length| tap_place(project, splice, &length.stretches));
            (splice, tap)
        })
        .collect()
}

/// Walks the wire's way from its first end up to the splice.
///
/// Runs count with their loops; end allowances lie outside the runs and do not count.
fn tap_place(project: &Project, splice: PartId, way: &[Stretch]) -> TapPlace {
    let along = match project.parts.get(splice).map(|part| &part.kind) {
        Some(PartKind::Splice { at: Some(at), .. }) => {
            splice_mm(project, splice).map(|mm| (at.run, mm))
        }
        Some(_) | None => None,
    };
    let place = project.parts.get(splice).and_then(|part| part.place);
    let (mut gone_mm, mut tapped_mm) = (0.0, None);
    for stretch in way {
        let Some(run) = project.runs.get(stretch.run) else { continue };
        let (low, high) = (stretch.from_mm.min(stretch.to_mm), stretch.from_mm.max(stretch.to_mm));
        let mm = match along {
            Some((on, mm)) => (on == stretch.run).then_some(mm),
            None if place == Some(run.from) => Some(0.0),
            None if place == Some(run.to) => Some(run.length_mm),
            None => None,
        };
        let scale = 1.0 + run.loop_mm.unwrap_or(0.0) / run.length_mm;
        if let Some(mm) = mm.filter(|mm| *mm >= low && *mm <= high)
            && tapped_mm.is_none()
        {
            tapped_mm = Some(gone_mm + (mm - stretch.from_mm).abs() * scale);
        }
        gone_mm += stretch.length_mm() * scale;
    }
    match (tapped_mm, along, place) {
        (Some(tapped_mm), _, _) if gone_mm > 0.0 => TapPlace::Along(tapped_mm / gone_mm),
        (None, Some((run, _)), _) if !way.is_empty() => TapPlace::OffRun(run),
        (None, None, Some(place)) if !way.is_empty() => TapPlace::OffRoute(place),
        (Some(_) | None, _, _) => TapPlace::Unknown,
    }
}
