//! The routing sheet: a map of places and runs, what lies in each run, where splices sit.

use std::collections::BTreeMap;

use crate::geometry::{Point, Rect, point};
use crate::harness::{LengthResult, Standing, TapPlace, run_reports, tap_places, wire_lengths};
use crate::model::{Grommet, PlaceId, Project, RunId, WireId};
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
    flow.note(
        "What is blank is not written down in the project. Common practice, no source: a clip every \
         200 to 300 mm and beside every bend and branch; nothing hot, sharp or moving within reach.",
    );
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
            own + point(turn.cos(), turn.sin()).scaled(f64::from(n) * 0.06)
        });
        let free = std::iter::once(own).chain(spiral).find(is_free);
        spots.insert(id, free.unwrap_or(own));
    }
    spots
}

trait Scaled {
    fn scaled(self, factor: f64) -> Self;
}

impl Scaled for Point {
    fn scaled(self, factor: f64) -> Self {
        point(self.x_mm * factor, self.y_mm * factor)
    }
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
            flow.blank(format!("bundle of run {}: an outside diameter is not known", run.name));
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
    let mut table =
        Table::new(&["splice", "on wire", ">from its first end", "first end", "place", "done"]);
    for (id, tap) in taps {
        let Some(part) = project.parts.get(id) else { continue };
        let crate::model::PartKind::Splice { on: Some(wire_id), .. } = part.kind else { continue };
        let Some(wire) = project.wires.get(wire_id) else { continue };
        let way_mm = lengths.get(&wire_id).and_then(|l| l.as_ref().ok()).map(|length| {
            let runs = length.runs.iter().filter_map(|run| project.runs.get(*run));
            runs.fold(0.0, |sum, run| sum + run.length_mm + run.loop_mm.unwrap_or(0.0))
        });
        let distance = match (tap, way_mm) {
            (TapPlace::Along(share), Some(way_mm)) => Some(millimetres(share * way_mm)),
            (
                TapPlace::Along(_)
                | TapPlace::Unknown
                | TapPlace::OffRoute(_)
                | TapPlace::OffRun(_),
                _,
            ) => None,
        };
        if distance.is_none() {
            flow.blank(format!("where splice {} sits along wire {}", part.name, wire.name));
        }
        let place = part.place.and_then(|place| project.places.get(place));
        table.row(vec![
            Cell::Strong(part.name.clone()),
            wire.name.as_str().into(),
            Cell::or_blank(distance),
            project.terminal_name(wire.from.terminal).into(),
            Cell::or_blank(place.map(|place| place.name.clone())),
            Cell::Tick,
        ]);
    }
    flow.heading("Splices");
    flow.table("routing-splices", table);
}
