//! Connectors as they are filled by hand: like colours, wires that do not fit, alike plugs within
//! reach of each other, cavities without a plug, a feed on pins.

use std::collections::{BTreeMap, BTreeSet};

use crate::check::findings::Found;
use crate::check::reach::{Joins, Reach, Through};
use crate::harness::{self, HalfFill, Standing, half_fills};
use crate::model::{
    CavityLayout, Colour, Gender, HalfSide, Part, PartId, PartKind, PlaceId, Project, Run, Span,
    Subject, TerminalRef, Wire, cavity_of_terminal,
};
use crate::units::trim_zeros;

/// Looks at every half that hangs on harness wires.
pub fn check(project: &Project, found: &mut Found) {
    let fills = half_fills(project);
    for fill in &fills {
        like_colours(project, fill, found);
        fits(project, fill, found);
        empty_cavities(fill, found);
    }
    alike_plugs(project, &fills, found);
    fed_plugs(project, found);
}

/// Halves of a connector that stay live when it is pulled apart, from the supplies, fuses and closed
/// contacts of the drawing; for a controller, its plug.
pub fn fed_halves(project: &Project, part: PartId) -> Vec<HalfSide> {
    let Some(row) = project.parts.get(part) else { return Vec::new() };
    if row.kind.cavities().is_none() {
        return Vec::new();
    }
    let joins = Joins::new(project, Through::FusesAndContacts);
    let reach = Reach::of_supplies(project, &joins, Some(part));
    let is_connector = matches!(row.kind, PartKind::Connector(_));
    [HalfSide::First, HalfSide::Second]
        .into_iter()
        .filter(|side| {
            (0..row.kind.terminal_count()).any(|terminal| {
                let of =
                    if is_connector { cavity_of_terminal(terminal).1 } else { HalfSide::First };
                of == *side && reach.contains(TerminalRef { part, terminal })
            })
        })
        .collect()
}

/// Wires of one colour in one half are told apart by their markers only.
fn like_colours(project: &Project, fill: &HalfFill, found: &mut Found) {
    let mut by_colour: BTreeMap<Colour, Vec<(u16, &str)>> = BTreeMap::new();
    for (cavity, ids) in &fill.wires {
        for wire in ids.iter().filter_map(|id| project.wires.get(*id)) {
            by_colour.entry(wire.colour).or_default().push((*cavity, wire.name.as_str()));
        }
    }
    for (colour, wires) in by_colour {
        let mut cavities: Vec<u16> = wires.iter().map(|(cavity, _)| *cavity).collect();
        cavities.dedup();
        if cavities.len() < 2 {
            continue;
        }
        let names: Vec<&str> = wires.iter().map(|(_, name)| *name).collect();
        found.note(
            Subject::Part(fill.part),
            format!(
                "{} wires of {} are {}: {}",
                names.len(),
                fill.name,
                colour.text(),
                names.join(", ")
            ),
            "give all but one another colour or tracer, or mark both ends of each before the plug is filled",
        );
    }
}

/// Outside diameter of a wire's insulation in millimetres, where it was measured or typed: seals are
/// not held against a recalled figure.
fn outside_mm(project: &Project, wire: &Wire) -> Option<f64> {
    let outside = harness::outside_of(project, wire).ok()?;
    (outside.standing == Standing::Typed).then_some(outside.mm)
}

/// Conductor and insulation against what the maker says fits.
fn fits(project: &Project, fill: &HalfFill, found: &mut Found) {
    let Some(fit) =
        project.parts.get(fill.part).and_then(|part| Some(part.kind.arrangement()?.fit))
    else {
        return;
    };
    for (cavity, ids) in &fill.wires {
        for (id, wire) in ids.iter().filter_map(|id| Some((*id, project.wires.get(*id)?))) {
            let at = format!("{}-{cavity}", fill.name);
            let area = wire.size.area_mm2();
            if let Some((word, span)) = outside_of(fit.conductor_mm2, area) {
                found.warning(
                    Subject::Wire(id),
                    format!(
                        "wire {} ({}) is too {word} for the terminals of {at}, which take {}",
                        wire.name,
                        wire.size.text(),
                        span_words(span, "mm²")
                    ),
                    "choose terminals for this size, another cavity, or another wire",
                );
            }
            let outside = outside_mm(project, wire);
            if let Some((mm, (word, span))) =
                outside.and_then(|mm| Some((mm, outside_of(fit.insulation_mm, mm)?)))
            {
                found.warning(
                    Subject::Wire(id),
                    format!(
                        "the insulation of wire {} ({}) is too {word} for the seals of {at}, which hold {}",
                        wire.name,
                        span_words(Span { low: mm, high: mm }, "mm"),
                        span_words(span, "mm")
                    ),
                    "choose seals for this diameter, or wire with another insulation",
                );
            }
        }
    }
}

/// `thick` or `thin` where a value lies outside a span. A thousandth either way is no difference:
/// gauges are areas by formula, spans are round numbers.
fn outside_of(span: Option<Span>, value: f64) -> Option<(&'static str, Span)> {
    let span = span?;
    if value > span.high * 1.001 {
        Some(("thick", span))
    } else if value < span.low * 0.999 {
        Some(("thin", span))
    } else {
        None
    }
}

fn span_words(span: Span, unit: &str) -> String {
    let figure = |value: f64| trim_zeros(&format!("{value:.3}"));
    if span.low == span.high {
        format!("{} {unit}", figure(span.low))
    } else {
        format!("{} to {} {unit}", figure(span.low), figure(span.high))
    }
}

/// A sealed half leaks through every cavity that is left open.
fn empty_cavities(fill: &HalfFill, found: &mut Found) {
    if !fill.is_sealed || fill.empty.is_empty() {
        return;
    }
    let numbers: Vec<String> = fill.empty.iter().map(u16::to_string).collect();
    let what = match numbers.as_slice() {
        [one] => format!("cavity {one} of the sealed half {} is open", fill.name),
        _ => format!("cavities {} of the sealed half {} are open", numbers.join(", "), fill.name),
    };
    let cure = "note a plug for each, so that it is counted, or the wire that was there before";
    found.warning(Subject::Part(fill.part), what, cure);
}

/// What a plug fits into: two are alike where all of it is equal.
#[derive(Clone, Copy, PartialEq)]
struct Shape {
    layout: CavityLayout,
    gender: Gender,
}

/// Plugs that can be put into each other's place. A plug moves as far as its wires are loose: the
/// allowance of its end (the wire behind it before the first support).
fn alike_plugs(project: &Project, fills: &[HalfFill], found: &mut Found) {
    let plugs: Vec<(&HalfFill, Shape, &Part)> = fills
        .iter()
        .filter_map(|fill| {
            let part = project.parts.get(fill.part)?;
            Some((fill, shape(part, fill.side)?, part))
        })
        .collect();
    let near = Near::new(project, plugs.iter().map(|(_, _, part)| part.place));
    for (n, (one, like, part)) in plugs.iter().enumerate() {
        for other_n in near.plugs_behind(n, part.place) {
            let (other, shape, other_part) = &plugs[other_n];
            if like != shape || one.part == other.part {
                continue;
            }
            let Some(why) = near.why(project, part.place, other_part.place) else { continue };
            let what = if one.name == other.name {
                format!("two plugs named {} are alike and {why}", one.name)
            } else {
                format!("plugs {} and {} are alike and {why}", one.name, other.name)
            };
            found.warning(
                Subject::Part(other.part),
                what,
                "choose another number of cavities, another key or colour for one, or mark both plugs and both counterparts",
            );
        }
    }
}

/// The shape of a half that can be plugged: a connector with a counterpart, or a controller's plug.
fn shape(part: &Part, side: HalfSide) -> Option<Shape> {
    if let PartKind::Connector(connector) = &part.kind
        && (connector.rotating || connector.second.is_none())
    {
        return None;
    }
    let layout = part.kind.arrangement()?.layout;
    Some(Shape { layout, gender: part.kind.half(side)?.gender })
}

/// Which plugs can be near enough to each other to change places.
struct Near<'a> {
    /// Plugs at each place, by their number.
    at: BTreeMap<PlaceId, Vec<usize>>,
    /// The shortest run between two places, where a plug's wires are loose enough to reach along it.
    runs: BTreeMap<(PlaceId, PlaceId), &'a Run>,
    /// Places that such a run leads to.
    beside: BTreeMap<PlaceId, BTreeSet<PlaceId>>,
}

impl<'a> Near<'a> {
    /// From the place of each plug.
    fn new(project: &'a Project, places: impl Iterator<Item = Option<PlaceId>>) -> Self {
        let mut at: BTreeMap<PlaceId, Vec<usize>> = BTreeMap::new();
        for (n, place) in places.enumerate() {
            if let Some(place) = place {
                at.entry(place).or_default().push(n);
            }
        }
        let mut runs: BTreeMap<(PlaceId, PlaceId), &Run> = BTreeMap::new();
        for (_, run) in project.runs.iter() {
            let kept = runs.entry(ordered(run.from, run.to)).or_insert(run);
            if run.length_mm < kept.length_mm {
                *kept = run;
            }
        }
        let loose_mm = 2.0 * project.settings.allowances.sealed_mm;
        runs.retain(|_, run| run.length_mm <= loose_mm + run.loop_mm.unwrap_or(0.0));
        let mut beside: BTreeMap<PlaceId, BTreeSet<PlaceId>> = BTreeMap::new();
        for (a, b) in runs.keys() {
            beside.entry(*a).or_default().insert(*b);
            beside.entry(*b).or_default().insert(*a);
        }
        Self { at, runs, beside }
    }

    /// Numbers above `n` of the plugs that may be near one at `place`, in order.
    fn plugs_behind(&self, n: usize, place: Option<PlaceId>) -> BTreeSet<usize> {
        let beside = place.and_then(|place| self.beside.get(&place)).into_iter().flatten();
        let places = place.iter().chain(beside);
        let plugs = places.filter_map(|place| self.at.get(place)).flatten();
        plugs.copied().filter(|other| *other > n).collect()
    }

    /// Why two plugs can change places, in words; `None` where they cannot or nobody knows.
    fn why(&self, project: &Project, a: Option<PlaceId>, b: Option<PlaceId>) -> Option<String> {
        let (a, b) = (a?, b?);
        if a == b {
            let place = project.places.get(a).map_or("one place", |place| place.name.as_str());
            return Some(format!("sit at one place ({place})"));
        }
        let run = self.runs.get(&ordered(a, b))?;
        Some(format!(
            "stand {} mm apart, less than their wires are loose",
            trim_zeros(&format!("{:.0}", run.length_mm))
        ))
    }
}

fn ordered(a: PlaceId, b: PlaceId) -> (PlaceId, PlaceId) {
    (a.min(b), a.max(b))
}

/// A controller's plug that stays live when it is pulled must not have bare pins. Connectors are
/// looked at with the wiring. Common practice, no source.
fn fed_plugs(project: &Project, found: &mut Found) {
    for (id, part) in project.parts.iter() {
        let PartKind::Controller(controller) = &part.kind else { continue };
        if controller.plug.gender == Gender::Pins
            && fed_halves(project, id).contains(&HalfSide::First)
        {
            found.note(
                Subject::Part(id),
                format!(
                    "plug {} stays live when it is pulled and has bare pins",
                    controller.plug.name
                ),
                "give the live plug sockets and the controller pins",
            );
        }
    }
}
