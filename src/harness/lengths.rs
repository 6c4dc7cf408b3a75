//! Cut lengths of all wires: typed or routed, with allowances, loops and rounding.

use std::collections::BTreeMap;

use crate::harness::layout::{Layout, Stop, Stretch, splice_mm};
use crate::harness::length::{LengthResult, WireLength};
use crate::harness::twist::take_up_of;
use crate::model::{
    Diagnostic, End, EndKind, PlaceId, Project, Settings, Severity, Subject, Wire, WireId, WireUse,
};

/// Length of every harness wire, or why it is not known. Internal wires are not listed.
///
/// Rule: cut length = (sum of the runs times the length factor, plus the allowances of both ends,
/// plus the loops of moving runs), rounded up; a twisted wire takes its runs and loops times the take-up
/// of its pair, which is 1 while its outside diameter is not known. A typed length takes the place of the runs; then no
/// loop is added. Common practice, no source. Cost: one shortest-way tree per place that is used.
pub fn wire_lengths(project: &Project) -> BTreeMap<WireId, LengthResult> {
    let layout = Layout::new(project);
    let mut results = BTreeMap::new();
    let mut legs = Vec::new();
    for (id, wire) in project.wires.iter().filter(|(_, wire)| wire.usage == WireUse::Harness) {
        match wire.typed_length_mm {
            Some(typed_mm) => {
                results.insert(id, Ok(finish(project, wire, Vec::new(), (typed_mm, 0.0))));
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
        let found = found.and_then(|way| twist_known(project, id, wire).map(|()| way));
        results.insert(id, found.map(|way| routed(project, wire, way)));
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

/// Where both ends are led to: the point along a run where a splice sits, else the part's place.
fn end_stops(project: &Project, wire: &Wire) -> [Option<Stop>; 2] {
    [wire.from, wire.to].map(|end: End| {
        let part = end.terminal.part;
        match splice_mm(project, part) {
            Some(_) => Some(Stop::Splice(part)),
            None => project.parts.get(part)?.place.map(Stop::Place),
        }
    })
}

/// One leg of a wire's way, between two neighbouring stops.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Leg {
    /// The lower of both stops: its tree answers for both directions.
    source: Stop,
    wire: WireId,
    at: usize,
    from: Stop,
    to: Stop,
}

/// The stops of a wire: first end, places it must pass, other end.
fn stops(
    project: &Project,
    layout: &Layout,
    id: WireId,
    wire: &Wire,
) -> Result<Vec<Stop>, Diagnostic> {
    let refuse = |severity, what: String, cure: &str| Diagnostic {
        severity,
        subject: Subject::Wire(id),
        what,
        cure: cure.to_owned(),
    };
    let places = end_stops(project, wire);
    let ends = [wire.from, wire.to];
    let without: Vec<String> = ends
        .iter()
        .zip(places)
        .filter(|(_, place)| place.is_none_or(|place| !layout.has(place)))
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
            format!("both ends of wire {} are at {}", wire.name, stop_name(project, from)),
            "type its length, name a place it must pass, or mark it as internal",
        ));
    }
    let mut stops = vec![from];
    stops.extend(wire.via.iter().copied().map(Stop::Place));
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
) -> BTreeMap<WireId, Result<Vec<Stretch>, Diagnostic>> {
    legs.sort_unstable();
    let mut found: BTreeMap<(WireId, usize), Result<Vec<Stretch>, Diagnostic>> = BTreeMap::new();
    for group in legs.chunk_by(|a, b| a.source == b.source) {
        let tree = layout.tree_at(group[0].source).expect("stops are nodes of the layout");
        for leg in group {
            let other = if leg.from == leg.source { leg.to } else { leg.from };
            let way = layout.way(&tree, other).map(|mut runs| {
                if leg.from != leg.source {
                    runs.reverse();
                    runs.iter_mut().for_each(|stretch| *stretch = stretch.reversed());
                }
                runs
            });
            found.insert((leg.wire, leg.at), way.ok_or_else(|| no_way(project, leg)));
        }
    }
    let mut joined: BTreeMap<WireId, Result<Vec<Stretch>, Diagnostic>> = BTreeMap::new();
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
            stop_name(project, leg.from),
            stop_name(project, leg.to)
        ),
        cure: "join the two places with runs, or type the wire's length".to_owned(),
    }
}

fn stop_name(project: &Project, stop: Stop) -> &str {
    match stop {
        Stop::Place(place) => project.places.get(place).map_or("?", |place| place.name.as_str()),
        Stop::Splice(part) => project.parts.get(part).map_or("?", |part| part.name.as_str()),
    }
}

/// A twisted wire is longer than its way, by how much only its diameter tells.
fn twist_known(project: &Project, id: WireId, wire: &Wire) -> Result<(), Diagnostic> {
    if take_up_of(project, wire).is_some() {
        return Ok(());
    }
    Err(Diagnostic {
        severity: Severity::Warning,
        subject: Subject::Wire(id),
        what: format!(
            "the length of wire {} is not known: it is twisted, and its outside diameter is not known",
            wire.name
        ),
        cure: "measure the diameter or name the insulation, or type the length it takes, twist \
               included"
            .to_owned(),
    })
}

/// Sums up a found way.
fn routed(project: &Project, wire: &Wire, way: Vec<Stretch>) -> WireLength {
    let (mut routed_mm, mut loops_mm) = (0.0, 0.0);
    for stretch in &way {
        let Some(run) = project.runs.get(stretch.run) else { continue };
        let length_mm = stretch.length_mm();
        routed_mm += length_mm;
        // A wire that ends on the way takes its share of the loop.
        loops_mm += run.loop_mm.unwrap_or(0.0) * (length_mm / run.length_mm);
    }
    finish(project, wire, way, (routed_mm, loops_mm))
}

/// Adds allowances, factor, take-up and rounding.
fn finish(
    project: &Project,
    wire: &Wire,
    stretches: Vec<Stretch>,
    (routed_mm, loops_mm): (f64, f64),
) -> WireLength {
    let settings = &project.settings;
    let ends_mm =
        end_kinds(project, wire).iter().fold(0.0, |sum, kind| sum + settings.allowances.of(*kind));
    // A typed length stands as it is where the diameter is not known.
    let take_up = take_up_of(project, wire).unwrap_or(1.0);
    let allowance_mm = ends_mm + loops_mm * take_up;
    let cut_mm = cut_length_mm(settings, routed_mm * take_up, allowance_mm);
    let mut runs: Vec<_> = stretches.iter().map(|stretch| stretch.run).collect();
    for at in (1..stretches.len()).rev() {
        if stretches[at - 1].goes_on(&stretches[at]) {
            runs.remove(at);
        }
    }
    WireLength { runs, stretches, routed_mm, allowance_mm, take_up, cut_mm }
}

#[cfg(test)]
mod tests;
