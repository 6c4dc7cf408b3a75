//! Cut lengths of all wires: typed or routed, with allowances, loops and rounding.

use std::collections::BTreeMap;

use crate::harness::layout::Layout;
use crate::harness::length::{LengthResult, WireLength};
use crate::model::{
    Diagnostic, EndKind, PlaceId, Project, RunId, Settings, Severity, Subject, Wire, WireId,
    WireUse,
};

/// Length of every harness wire, or why it is not known. Internal wires are not listed.
///
/// Rule: cut length = (sum of the runs times the length factor, plus the allowances of both ends,
/// plus the loops of moving runs), rounded up. A typed length takes the place of the runs; then no
/// loop is added. Common practice, no source. Cost: one shortest-way tree per place that is used.
pub fn wire_lengths(project: &Project) -> BTreeMap<WireId, LengthResult> {
    let layout = Layout::new(project);
    let mut results = BTreeMap::new();
    let mut legs = Vec::new();
    for (id, wire) in project.wires.iter().filter(|(_, wire)| wire.usage == WireUse::Harness) {
        match wire.typed_length_mm {
            Some(typed_mm) => {
                results.insert(id, Ok(finish(project, wire, Vec::new(), typed_mm, 0.0)));
            }
            None => match stops(project, &layout, id, wire) {
                Ok(stops) => legs.extend(stops.windows(2).enumerate().map(|(at, pair)| Leg {
                    source: pair[0].min(pair[1]),
                    wire: id,
                    at,
                    from: pair[0],
                    to: pair[1],
                })),
                Err(finding) => {
                    results.insert(id, Err(finding));
                }
            },
        }
    }
    for (id, found) in ways(project, &layout, legs) {
        let wire = project.wires.get(id).expect("legs come from wires of this project");
        results.insert(id, found.map(|runs| routed(project, wire, runs)));
    }
    results
}

/// `(routed x factor + allowance)` rounded up to a multiple of the rounding, in millimetres.
///
/// What lies within a millionth of a step above a multiple counts as that multiple, so noise in
/// the last digits of a sum never adds a whole step.
pub fn cut_length_mm(settings: &Settings, routed_mm: f64, allowance_mm: f64) -> f64 {
    let length_mm = routed_mm * settings.length_factor + allowance_mm;
    if settings.rounding_mm <= 0.0 {
        return length_mm;
    }
    let steps = length_mm / settings.rounding_mm;
    let nearest = steps.round();
    let whole = if (steps - nearest).abs() < 1e-6 { nearest } else { steps.ceil() };
    whole * settings.rounding_mm
}

/// Kinds of both ends: as the wire says, else as the part suggests.
pub fn end_kinds(project: &Project, wire: &Wire) -> [EndKind; 2] {
    [wire.from, wire.to].map(|end| {
        end.kind.unwrap_or_else(|| {
            let part = project.parts.get(end.terminal.part);
            part.map_or(EndKind::Tag, |part| part.end_kind(end.terminal.terminal))
        })
    })
}

/// Places of both ends, as far as their parts have one.
pub fn end_places(project: &Project, wire: &Wire) -> [Option<PlaceId>; 2] {
    [wire.from, wire.to].map(|end| project.parts.get(end.terminal.part)?.place)
}

/// One leg of a wire's way, between two neighbouring stops.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Leg {
    /// The lower of both places: its tree answers for both directions.
    source: PlaceId,
    wire: WireId,
    at: usize,
    from: PlaceId,
    to: PlaceId,
}

/// The stops of a wire: first end, places it must pass, other end.
fn stops(
    project: &Project,
    layout: &Layout,
    id: WireId,
    wire: &Wire,
) -> Result<Vec<PlaceId>, Diagnostic> {
    let refuse = |severity, what: String, cure: &str| Diagnostic {
        severity,
        subject: Subject::Wire(id),
        what,
        cure: cure.to_owned(),
    };
    let places = end_places(project, wire);
    let ends = [wire.from, wire.to];
    let without: Vec<String> = ends
        .iter()
        .zip(places)
        .filter(|(_, place)| place.is_none_or(|place| !layout.contains(place)))
        .map(|(end, _)| project.terminal_name(end.terminal))
        .collect();
    let (Some(from), Some(to)) = (places[0], places[1]) else {
        return Err(no_place(refuse, wire, &without));
    };
    if !without.is_empty() {
        return Err(no_place(refuse, wire, &without));
    }
    if wire.via.iter().any(|via| !layout.contains(*via)) {
        return Err(refuse(
            Severity::Error,
            format!("wire {} must pass a place that is no longer in the layout", wire.name),
            "take the place out of the wire's way, or draw it again",
        ));
    }
    if from == to && wire.via.is_empty() {
        return Err(refuse(
            Severity::Warning,
            format!("both ends of wire {} are at {}", wire.name, place_name(project, from)),
            "type its length, name a place it must pass, or mark it as internal",
        ));
    }
    let mut stops = vec![from];
    stops.extend(&wire.via);
    stops.push(to);
    Ok(stops)
}

fn no_place(
    refuse: impl Fn(Severity, String, &str) -> Diagnostic,
    wire: &Wire,
    without: &[String],
) -> Diagnostic {
    refuse(
        Severity::Warning,
        format!(
            "the length of wire {} is not known: {} {} no place in the layout",
            wire.name,
            without.join(" and "),
            if without.len() == 1 { "has" } else { "have" },
        ),
        "give the part a place, or type the wire's length",
    )
}

/// Finds the ways of all legs, one tree at a time, and joins them per wire.
fn ways(
    project: &Project,
    layout: &Layout,
    mut legs: Vec<Leg>,
) -> BTreeMap<WireId, Result<Vec<RunId>, Diagnostic>> {
    legs.sort_unstable();
    let mut found: BTreeMap<(WireId, usize), Result<Vec<RunId>, Diagnostic>> = BTreeMap::new();
    for group in legs.chunk_by(|a, b| a.source == b.source) {
        let tree = layout.tree(group[0].source).expect("stops are places of the layout");
        for leg in group {
            let other = if leg.from == leg.source { leg.to } else { leg.from };
            let way = layout.route(&tree, other).map(|mut runs| {
                if leg.from != leg.source {
                    runs.reverse();
                }
                runs
            });
            found.insert((leg.wire, leg.at), way.ok_or_else(|| no_way(project, leg)));
        }
    }
    let mut joined: BTreeMap<WireId, Result<Vec<RunId>, Diagnostic>> = BTreeMap::new();
    for ((wire, _), way) in found {
        let so_far = joined.entry(wire).or_insert_with(|| Ok(Vec::new()));
        if let Ok(runs) = so_far {
            match way {
                Ok(more) => runs.extend(more),
                Err(finding) => *so_far = Err(finding),
            }
        }
    }
    joined
}

fn no_way(project: &Project, leg: &Leg) -> Diagnostic {
    let name = project.wires.get(leg.wire).map_or("?", |wire| wire.name.as_str());
    Diagnostic {
        severity: Severity::Error,
        subject: Subject::Wire(leg.wire),
        what: format!(
            "wire {name} cannot be routed: no run leads from {} to {}",
            place_name(project, leg.from),
            place_name(project, leg.to)
        ),
        cure: "join the two places with runs, or type the wire's length".to_owned(),
    }
}

fn place_name(project: &Project, place: PlaceId) -> &str {
    project.places.get(place).map_or("?", |place| place.name.as_str())
}

/// Sums up a found way.
fn routed(project: &Project, wire: &Wire, runs: Vec<RunId>) -> WireLength {
    let (mut routed_mm, mut loops_mm) = (0.0, 0.0);
    for run in runs.iter().filter_map(|run| project.runs.get(*run)) {
        routed_mm += run.length_mm;
        loops_mm += run.loop_mm.unwrap_or(0.0);
    }
    finish(project, wire, runs, routed_mm, loops_mm)
}

/// Adds allowances, factor and rounding.
fn finish(
    project: &Project,
    wire: &Wire,
    runs: Vec<RunId>,
    routed_mm: f64,
    loops_mm: f64,
) -> WireLength {
    let settings = &project.settings;
    let ends_mm =
        end_kinds(project, wire).iter().fold(0.0, |sum, kind| sum + settings.allowances.of(*kind));
    let allowance_mm = ends_mm + loops_mm;
    let cut_mm = cut_length_mm(settings, routed_mm, allowance_mm);
    WireLength { runs, routed_mm, allowance_mm, cut_mm }
}

#[cfg(test)]
mod tests;
