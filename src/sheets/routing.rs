//! The routing sheet: a map of places and runs, what lies in each run, where splices sit.

use std::collections::BTreeMap;

use crate::geometry::{Point, Rect, point};
use crate::harness::{
    LengthResult, SUPPORT_MM, Standing, Stretch, TapPlace, WireLength, end_kinds, run_reports,
    tap_places, wire_lengths,
};
use crate::model::{Grommet, Part, PartKind, PlaceId, Project, RunId, Subject, Wire, WireId};
use crate::sheets::flow::{Flow, Style};
use crate::sheets::packet::Job;
use crate::sheets::page::{Anchor, Ink, Item, Stroke};
use crate::sheets::table::{Cell, Table};
use crate::sheets::words::millimetres;

/// Height of the map.
const MAP_MM: f64 = 92.0;
/// Radius of a place on the map; numbers of three figures fit in.
const PLACE_MM: f64 = 3.6;
/// More places than this are not drawn: their circles would cover each other.
const MAX_MAPPED: usize = 120;

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    let project = job.project;
    if project.places.is_empty() {
        flow.paragraph(
            "No place is entered yet: lengths are typed, or not known. The rope sheet has lines for \
             what is measured at the machine.",
        );
        flow.blank("places and runs: draw them on stage Route");
        return;
    }
    let numbers: BTreeMap<PlaceId, usize> =
        project.places.ids().enumerate().map(|(n, id)| (id, n + 1)).collect();
    map(project, flow, &numbers);
    places(job, flow, &numbers);
    let lengths = wire_lengths(project);
    runs(project, flow, &lengths);
    laying(project, flow, &lengths);
    splices(project, flow, &lengths);
    flow.note(&format!(
        "What is blank is not written down in the project. Supports stand as typed for the run, \
         else no more than {SUPPORT_MM:.0} mm apart (FAA AC 43.13-1B 11-96a), and beside every bend \
         and branch; nothing hot, sharp or moving within reach (common practice, no source).",
    ));
}

/// Where each place stands on paper: the drawing's own places, scaled, moved apart where they touch.
fn spots(project: &Project, room: Rect) -> BTreeMap<PlaceId, Point> {
    let inner = room.grown(-PLACE_MM - 1.0);
    let all = project.places.iter().map(|(_, place)| Rect::spanning(place.pos, place.pos));
    let Some(extent) = all.reduce(Rect::union) else { return BTreeMap::new() };
    let scale = (inner.width() / extent.width().max(1e-9))
        .min(inner.height() / extent.height().max(1e-9))
        .min(1e6);
    let used = point(extent.width() * scale, extent.height() * scale);
    let corner = inner.centre() - point(used.x_mm / 2.0, used.y_mm / 2.0);
    let mut spots: BTreeMap<PlaceId, Point> = BTreeMap::new();
    for (id, place) in project.places.iter() {
        let from = place.pos - extent.min;
        let own = corner + point(from.x_mm * scale, from.y_mm * scale);
        let is_free = |at: &Point| {
            inner.contains(*at) && spots.values().all(|o| o.distance(*at) > 2.0 * PLACE_MM + 1.0)
        };
        let spiral = (0..2000).map(|n| {
            let turn = f64::from(n) * 0.7;
            let reach_mm = f64::from(n) * 0.06;
            own + point(turn.cos() * reach_mm, turn.sin() * reach_mm)
        });
        let free = std::iter::once(own).chain(spiral).find(is_free);
        spots.insert(id, free.unwrap_or(own));
    }
    spots
}

fn map(project: &Project, flow: &mut Flow<'_>, numbers: &BTreeMap<PlaceId, usize>) {
    if project.places.len() > MAX_MAPPED {
        flow.paragraph(
            "There are too many places for a map on one sheet; the tables have them all.",
        );
        return;
    }
    flow.heading("Map of the harness");
    let room = flow.room(MAP_MM);
    let spots = spots(project, room);
    for (_, run) in project.runs.iter() {
        let (Some(from), Some(to)) = (spots.get(&run.from), spots.get(&run.to)) else { continue };
        let stroke = match run.loop_mm {
            Some(_) => Stroke::dashed(0.7, Ink::Black, (2.5, 1.2)),
            None => Stroke::solid(0.7, Ink::Black),
        };
        flow.line(*from, *to, stroke);
    }
    for (id, at) in &spots {
        flow.push(Item::Circle {
            centre: *at,
            radius_mm: PLACE_MM,
            stroke: Some(Stroke::solid(0.4, Ink::Black)),
            fill: Some(Ink::White),
        });
        let number = numbers.get(id).map_or_else(String::new, usize::to_string);
        let style = Style { size_pt: 9.0, bold: true, ink: Ink::Black };
        flow.text_at(*at + point(0.0, 1.15), Anchor::Middle, style, &number);
    }
    flow.note("Numbers as in the table of places; dashed runs move. Not to scale.");
}

fn places(job: &Job<'_>, flow: &mut Flow<'_>, numbers: &BTreeMap<PlaceId, usize>) {
    let project = job.project;
    let mut table = Table::new(&[">no.", "place", "what sits there", "fixed with"]);
    for (id, place) in project.places.iter() {
        let parts = job.parts_at.get(&id).map_or(&[][..], Vec::as_slice);
        table.row(vec![
            numbers.get(&id).map_or_else(String::new, usize::to_string).into(),
            Cell::Strong(place.name.clone()),
            parts.join(", ").into(),
            Cell::Blank,
        ]);
    }
    flow.heading("Places");
    flow.table("routing-places", table);
}

fn runs(project: &Project, flow: &mut Flow<'_>, lengths: &BTreeMap<WireId, LengthResult>) {
    if project.runs.is_empty() {
        flow.blank("runs between the places: draw them on stage Route");
        return;
    }
    let mut inside: BTreeMap<RunId, Vec<&str>> = BTreeMap::new();
    for (id, length) in lengths {
        let Some(wire) = project.wires.get(*id) else { continue };
        for run in length.iter().flat_map(|length| &length.runs) {
            inside.entry(*run).or_default().push(&wire.name);
        }
    }
    let name = |id| project.places.get(id).map_or("?", |place| place.name.as_str());
    let mut table = Table::new(&[
        "run", "from", "to", ">length", ">loop", ">wires", "which", "measured", "laid",
    ]);
    for (id, run) in project.runs.iter() {
        let wires = inside.get(&id).map_or(&[][..], Vec::as_slice);
        table.row(vec![
            Cell::Strong(run.name.clone()),
            name(run.from).into(),
            name(run.to).into(),
            millimetres(run.length_mm).into(),
            run.loop_mm.map_or_else(|| "does not move".to_owned(), millimetres).into(),
            wires.len().to_string().into(),
            wires.join(" ").into(),
            Cell::Blank,
            Cell::Tick,
        ]);
    }
    flow.heading("Runs");
    flow.table("routing-runs", table);
}

/// What surrounds each run, what covers it, what it passes and how far it may bend.
fn laying(project: &Project, flow: &mut Flow<'_>, lengths: &BTreeMap<WireId, LengthResult>) {
    if project.runs.is_empty() {
        return;
    }
    let reports = run_reports(project, lengths);
    let mut table =
        Table::new(&["run", ">bundle", "covering", "hole", "lies", ">bend, no less than", ">held"]);
    for (id, run) in project.runs.iter() {
        let report = reports.get(&id);
        let is_empty = report.is_none_or(|report| report.wires.is_empty());
        let bundle = report.and_then(|report| report.size.as_ref().ok()).map(|size| {
            let mark = if size.standing == Standing::FromMemory { " (*)" } else { "" };
            format!("{:.1} mm{mark}", size.diameter_mm)
        });
        let bundle = if is_empty { Some("no wire".to_owned()) } else { bundle };
        if bundle.is_none() {
            let what = format!("bundle of run {}: an outside diameter is not known", run.name);
            flow.blank_of(Subject::Run(id), what);
        }
        let laid = &run.laid;
        let covering = laid.covering.as_ref().map(|covering| {
            format!("{} {}", covering.kind.noun(), covering.words).trim_end().to_owned()
        });
        let hole = laid.hole.map(|hole| {
            let edge = match hole.grommet {
                Grommet::Fitted => "grommet",
                Grommet::Missing => "NO GROMMET noted",
            };
            format!("bore {}, {edge}", millimetres(hole.bore_mm))
        });
        let zones: Vec<&str> = laid.zones.iter().map(|zone| zone.noun()).collect();
        let zones = (!zones.is_empty()).then(|| zones.join(", "));
        let bend = report.and_then(|report| report.bend_mm).map(|mm| format!("{mm:.0} mm"));
        let held = laid.support_mm.map(|mm| format!("every {}", millimetres(mm)));
        let or_blank = |text: Option<String>| Cell::or_blank(text);
        let mut row = vec![Cell::Strong(run.name.clone())];
        row.extend([bundle, covering, hole, zones, bend, held].map(or_blank));
        table.row(row);
    }
    flow.heading("How the runs are laid");
    flow.table("routing-laid", table);
    flow.note(
        "(*) reckoned from outside diameters that are recalled from memory: measure the wire.",
    );
}

fn splices(project: &Project, flow: &mut Flow<'_>, lengths: &BTreeMap<WireId, LengthResult>) {
    let taps = tap_places(project);
    if taps.is_empty() {
        return;
    }
    let mut table = Table::new(&[
        "splice",
        "on wire",
        ">on the cut wire, from its first end",
        "first end",
        "place",
        "done",
    ]);
    for (id, tap) in taps {
        let Some(part) = project.parts.get(id) else { continue };
        let PartKind::Splice { on: Some(wire_id), .. } = part.kind else { continue };
        let Some(wire) = project.wires.get(wire_id) else { continue };
        let length = lengths.get(&wire_id).and_then(|length| length.as_ref().ok());
        let distance = match (tap, length) {
            (TapPlace::Along(share), Some(length)) => {
                Some(millimetres(along_wire_mm(project, wire, length, share).round()))
            }
            (
                TapPlace::Along(_)
                | TapPlace::Unknown
                | TapPlace::OffRoute(_)
                | TapPlace::OffRun(_),
                _,
            ) => None,
        };
        if distance.is_none() {
            let what = format!("where splice {} sits along wire {}", part.name, wire.name);
            flow.blank_of(Subject::Part(id), what);
        }
        table.row(vec![
            Cell::Strong(part.name.clone()),
            wire.name.as_str().into(),
            Cell::or_blank(distance),
            project.terminal_name(wire.from.terminal).into(),
            Cell::or_blank(splice_place(project, part)),
            Cell::Tick,
        ]);
    }
    flow.heading("Splices");
    flow.table("routing-splices", table);
    flow.note(
        "On the cut wire: with the allowance of its first end, the length factor, loops and the \
         take-up of a twist, before rounding; what rounding adds stays at the other end.",
    );
}

/// Millimetres from the first end of the cut wire to a point at this share of its way.
fn along_wire_mm(project: &Project, wire: &Wire, length: &WireLength, share: f64) -> f64 {
    let settings = &project.settings;
    let span = |stretch: &Stretch| {
        let run = project.runs.get(stretch.run)?;
        let length_mm = stretch.length_mm();
        Some((length_mm, run.loop_mm.unwrap_or(0.0) * length_mm / run.length_mm))
    };
    let spans: Vec<(f64, f64)> = length.stretches.iter().filter_map(span).collect();
    let mut left_mm = share * spans.iter().map(|(run, slack)| run + slack).sum::<f64>();
    let mut along_mm = settings.allowances.of(end_kinds(project, wire)[0]);
    for (run_mm, loop_mm) in spans {
        let part = (left_mm / (run_mm + loop_mm).max(1e-9)).clamp(0.0, 1.0);
        along_mm += part * (run_mm * settings.length_factor + loop_mm) * length.take_up;
        left_mm -= run_mm + loop_mm;
    }
    along_mm
}

/// The place of a splice, or the run it sits along and how far from which of its ends.
fn splice_place(project: &Project, part: &Part) -> Option<String> {
    let place = |id| project.places.get(id).map_or("?", |place| place.name.as_str());
    if let PartKind::Splice { at: Some(at), .. } = part.kind {
        let run = project.runs.get(at.run).map_or("?", |run| run.name.as_str());
        return Some(format!("run {run}, {} from {}", millimetres(at.distance_mm), place(at.from)));
    }
    part.place.map(|id| place(id).to_owned())
}
