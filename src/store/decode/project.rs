//! The whole file: identities first, then every table, so that a reference can be checked at once.

use std::collections::BTreeSet;

use crate::model::limits;
use crate::model::{PartId, PlaceId, Project, RunId, Table, WireId};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::{bench, cutting, layout, moving, part, record, sense, story};
use crate::store::decode::{underlay, value, wire};
use crate::store::file;

/// The identities that other rows refer to.
pub struct Known {
    /// Places.
    pub places: BTreeSet<u32>,
    /// Wires.
    pub wires: BTreeSet<u32>,
    /// Runs.
    pub runs: BTreeSet<u32>,
}

impl Known {
    /// The place of this id.
    pub fn place(&self, at: &At<'_>, id: u32) -> Checked<PlaceId> {
        if self.places.contains(&id) { Ok(PlaceId(id)) } else { Err(dangling(at, "place", id)) }
    }

    /// The run of this id.
    pub fn run(&self, at: &At<'_>, id: u32) -> Checked<RunId> {
        if self.runs.contains(&id) { Ok(RunId(id)) } else { Err(dangling(at, "run", id)) }
    }

    /// The wire of this id.
    pub fn wire(&self, at: &At<'_>, id: u32) -> Checked<WireId> {
        if self.wires.contains(&id) { Ok(WireId(id)) } else { Err(dangling(at, "wire", id)) }
    }
}

/// The refusal of an id no row has.
pub fn dangling(at: &At<'_>, noun: &str, id: u32) -> crate::store::decode::Problem {
    at.refuse(format!("expected the id of a {noun}, found {id}, which no {noun} has"))
}

/// Checks everything and builds the project.
pub fn project(f: file::Project) -> Checked<Project> {
    let root = At::Root;
    let next = f.next_id;
    let ids = |name: &'static str, ids: Vec<u32>, most| {
        table_ids(&root.field(name), &ids, next, most, name)
    };
    ids("parts", f.parts.iter().map(|r| r.id).collect(), limits::PARTS)?;
    let wires = ids("wires", f.wires.iter().map(|r| r.id).collect(), limits::WIRES)?;
    ids("frames", f.frames.iter().map(|r| r.id).collect(), limits::FRAMES)?;
    ids("controls", f.controls.iter().map(|r| r.id).collect(), limits::CONTROLS)?;
    ids("sense_pins", f.sense_pins.iter().map(|r| r.id).collect(), limits::SENSE_PINS)?;
    let places = ids("places", f.places.iter().map(|r| r.id).collect(), limits::PLACES)?;
    let runs = ids("runs", f.runs.iter().map(|r| r.id).collect(), limits::RUNS)?;
    ids("pieces", f.pieces.iter().map(|r| r.id).collect(), limits::PIECES)?;
    ids("bench_runs", f.bench_runs.iter().map(|r| r.id).collect(), limits::BENCH_RUNS)?;
    ids("set_up", f.set_up.iter().map(|r| r.id).collect(), limits::SETUP_ROWS)?;
    ids("changes", f.changes.iter().map(|r| r.id).collect(), limits::CHANGES)?;
    let known = Known { places, wires, runs };

    let mut out = Project::empty("");
    out.title = value::text(&root.field("title"), f.title)?;
    out.notes = value::text_up_to(&root.field("notes"), f.notes, limits::NOTES_CHARS)?;
    out.next_id = next;
    out.settings = layout::settings(&root.field("settings"), &f.settings)?;
    out.parts = table(&root.field("parts"), f.parts, |at, row: file::Part| {
        Ok((PartId(row.id), part::part(at, row, &known)?))
    })?;
    out.controls = sense::controls(&root.field("controls"), f.controls, &out.parts)?;
    out.wires = table(&root.field("wires"), f.wires, |at, row: file::Wire| {
        Ok((WireId(row.id), wire::wire(at, row, &out.parts, &known)?))
    })?;
    out.sense_pins = table(&root.field("sense_pins"), f.sense_pins, |at, row: file::SensePin| {
        Ok((row.id.into(), sense::sense_pin(at, row, &out.parts, &out.controls)?))
    })?;
    out.frames = table(&root.field("frames"), f.frames, |at, row: file::Frame| {
        Ok((row.id.into(), layout::frame(at, row)?))
    })?;
    out.places = table(&root.field("places"), f.places, |at, row: file::Place| {
        Ok((row.id.into(), layout::place(at, row)?))
    })?;
    out.runs = table(&root.field("runs"), f.runs, |at, row: file::Run| {
        Ok((row.id.into(), layout::run(at, row, &known)?))
    })?;
    out.pieces = table(&root.field("pieces"), f.pieces, |at, row: file::Piece| {
        Ok((row.id.into(), layout::piece(at, row)?))
    })?;
    out.bench_runs = table(&root.field("bench_runs"), f.bench_runs, |at, row: file::BenchRun| {
        Ok((row.id.into(), bench::run(at, row)?))
    })?;
    let permit = f.permit.map(|row| moving::permit(&root.field("permit"), &row, &out.parts));
    out.permit = permit.transpose()?;
    out.set_up = table(&root.field("set_up"), f.set_up, |at, row: file::SetupRow| {
        Ok((row.id.into(), record::setting(at, row)?))
    })?;
    out.changes = table(&root.field("changes"), f.changes, |at, row: file::ChangeNote| {
        Ok((row.id.into(), record::change(at, row)?))
    })?;
    if let Some(row) = f.story {
        out.story = story::story(&root.field("story"), row, &out)?;
    }
    if let Some(row) = f.cutting {
        out.cutting = cutting::cutting(&root.field("cutting"), row, &out)?;
    }
    out.layout_scale =
        value::maybe(&root.field("layout_scale"), f.layout_scale, &limits::LAYOUT_SCALE)?;
    let picture = f.underlay.map(|row| underlay::underlay(&root.field("underlay"), row));
    out.underlay = picture.transpose()?;
    Ok(out)
}

/// Builds one table, row by row.
pub fn table<Row, Id: Ord + Copy, T: Clone>(
    at: &At<'_>,
    rows: Vec<Row>,
    mut decode: impl FnMut(&At<'_>, Row) -> Checked<(Id, T)>,
) -> Checked<Table<Id, T>> {
    let mut out = Table::default();
    for (idx, row) in rows.into_iter().enumerate() {
        let (id, row) = decode(&at.row(idx), row)?;
        out.put(id, row);
    }
    Ok(out)
}

/// Identities of one table: not too many, each once, each from 1 to below `next_id`.
pub fn table_ids(
    at: &At<'_>,
    ids: &[u32],
    next_id: u32,
    most: usize,
    noun: &str,
) -> Checked<BTreeSet<u32>> {
    value::at_most(at, ids, most, noun)?;
    let mut seen = BTreeSet::new();
    for (idx, id) in ids.iter().enumerate() {
        let row = at.row(idx);
        let here = row.field("id");
        if *id == 0 || *id >= next_id {
            return Err(here.refuse(format!(
                "expected an id from 1 to below next_id, which is {next_id}, found {id}"
            )));
        }
        if !seen.insert(*id) {
            let first = ids.iter().position(|other| other == id).unwrap_or_default();
            return Err(here.refuse(format!(
                "expected an id that stands once, found {id}, which {noun}[{first}] has too"
            )));
        }
    }
    Ok(seen)
}
