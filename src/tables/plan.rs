//! What a table would do to a project: row by row, with every error by row and column, and one edit.

use std::collections::{BTreeMap, BTreeSet};

use crate::drawing;
use crate::edit::{Edit, apply, parse_placing};
use crate::geometry::point;
use crate::model::Colour;
use crate::model::{End, Project, TerminalRef, Wire, WireId, WireSize, WireUse, limits};
use crate::tables::cell::{colour, length_mm, size};
use crate::tables::column::{Column, Header, Matching};
use crate::tables::names::{Found, Missing, TerminalNames};
use crate::tables::raw::{RawRow, RawTable};

/// What is wrong with a cell, a row or the matching.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CellProblem {
    /// Line of the text; 0 where the whole table is meant.
    pub line: usize,
    /// Column of the table from 0; `None` where no cell is meant.
    pub slot: Option<usize>,
    /// What was expected and found.
    pub what: String,
}

impl CellProblem {
    /// `line 4, column 3 (size): expected …`.
    pub fn words(&self, matching: &Matching) -> String {
        let column = self.slot.map(|slot| {
            let meaning = matching.columns.get(slot).copied().flatten();
            let meaning = meaning.map_or_else(String::new, |c| format!(" ({})", c.word()));
            format!("column {}{meaning}", slot + 1)
        });
        let line = (self.line > 0).then(|| format!("line {}", self.line));
        let place: Vec<String> = line.into_iter().chain(column).collect();
        if place.is_empty() {
            self.what.clone()
        } else {
            format!("{}: {}", place.join(", "), self.what)
        }
    }
}

/// What becomes of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// A new wire.
    New,
    /// A wire that is there gets other properties.
    Change(WireId),
    /// The wire is there just so.
    Same(WireId),
    /// Something is wrong with it.
    Wrong,
}

/// One row of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedRow {
    /// Line of the text.
    pub line: usize,
    /// Cells as they stand in the text.
    pub cells: Vec<String>,
    /// What becomes of it.
    pub fate: Fate,
}

/// A connector that would be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MadeConnector {
    /// Its name.
    pub name: String,
    /// Its cavities: the highest number the table names.
    pub cavities: u16,
}

/// The whole plan.
#[derive(Clone, Debug, PartialEq)]
pub struct ImportPlan {
    /// Rows of wires, in the order of the table.
    pub rows: Vec<PlannedRow>,
    /// Everything that is wrong, in the order of the table.
    pub problems: Vec<CellProblem>,
    /// Connectors that would be made.
    pub made: Vec<MadeConnector>,
    edits: Vec<Edit>,
}

impl ImportPlan {
    /// Rows with a new wire, rows that change one, rows that stay as they are.
    pub fn counts(&self) -> (usize, usize, usize) {
        let count = |wanted: fn(Fate) -> bool| self.rows.iter().filter(|r| wanted(r.fate)).count();
        (
            count(|fate| fate == Fate::New),
            count(|fate| matches!(fate, Fate::Change(_))),
            count(|fate| matches!(fate, Fate::Same(_))),
        )
    }

    /// The one edit; `None` where anything is wrong or nothing would change.
    pub fn edit(&self) -> Option<Edit> {
        let is_ready = self.problems.is_empty() && !self.edits.is_empty();
        let (new, changed, _) = self.counts();
        let n = new + changed;
        let title = format!("import {n} wire{}", if n == 1 { "" } else { "s" });
        is_ready.then(|| Edit::Together { title, edits: self.edits.clone() })
    }
}

/// Plans an import. The project is only looked at. Costs about as much as looking up two names a row.
pub fn plan(
    project: &Project,
    table: &RawTable,
    matching: &Matching,
    missing: Missing,
) -> ImportPlan {
    let mut problems = matching_problems(matching);
    let skip = usize::from(matching.header == Header::FirstRow);
    let rows = table.rows.get(skip..).unwrap_or(&[]);
    if rows.is_empty() {
        let what = "expected a row for each wire, found only the names of columns".to_owned();
        problems.push(CellProblem { line: 0, slot: None, what });
    }
    let mut work = project.clone();
    let (made, mut edits) = made_connectors(&mut work, rows, matching, missing, &mut problems);
    let names = TerminalNames::of(&work);
    let mut read: Vec<Option<Said>> = Vec::new();
    for row in rows {
        let said = if problems.iter().any(|p| p.line == 0) {
            None
        } else {
            said(row, matching, &names, &mut problems)
        };
        read.push(said);
    }
    let known = matched(project, &read);
    let mut planned = Vec::new();
    for ((row, said), id) in rows.iter().zip(&read).zip(known) {
        let fate = match said {
            None => Fate::Wrong,
            Some(said) => fate(project, said, id, (row, matching), (&mut edits, &mut problems)),
        };
        planned.push(PlannedRow { line: row.line, cells: row.cells.clone(), fate });
    }
    let made_edits = edits.iter().any(|edit| !matches!(edit, Edit::Place(_)));
    if !made_edits {
        edits.clear();
    }
    if problems.is_empty() && !edits.is_empty() {
        let together = Edit::Together { title: String::new(), edits: edits.clone() };
        if let Err(error) = apply(&mut project.clone(), together) {
            problems.push(CellProblem { line: 0, slot: None, what: error.to_string() });
        }
    }
    problems.sort_by_key(|p| (p.line, p.slot));
    ImportPlan { rows: planned, problems, made, edits }
}

/// What is missing before any row can be read.
fn matching_problems(matching: &Matching) -> Vec<CellProblem> {
    let wrong = |what: String| CellProblem { line: 0, slot: None, what };
    let mut problems = Vec::new();
    for column in [Column::From, Column::To] {
        if matching.slot(column).is_none() {
            problems.push(wrong(format!(
                "expected a column that means \"{}\", found none: match one",
                column.word()
            )));
        }
    }
    problems
}

/// Makes the connectors the table names and the project lacks, on the copy.
fn made_connectors(
    work: &mut Project,
    rows: &[RawRow],
    matching: &Matching,
    missing: Missing,
    problems: &mut Vec<CellProblem>,
) -> (Vec<MadeConnector>, Vec<Edit>) {
    let mut wanted: BTreeMap<(usize, String), u16> = BTreeMap::new();
    if missing == Missing::Refuse {
        return (Vec::new(), Vec::new());
    }
    let names = TerminalNames::of(work);
    for row in rows {
        for end in [Column::From, Column::To] {
            if let Found::NoSuchConnector(name, cavity) =
                names.find(&end_text(row, matching, end).0)
            {
                // X10 behind X9: shorter names first.
                let most = wanted.entry((name.len(), name)).or_default();
                *most = (*most).max(cavity);
            }
        }
    }
    let right = work.parts.iter().map(|(_, part)| drawing::part_rect(part).max.x_mm);
    let right = right.fold(0.0, f64::max) + 40.0;
    let mut down = 20.0;
    let (mut made, mut edits) = (Vec::new(), Vec::new());
    for ((_, name), cavities) in wanted {
        let what = format!("{name} must have 1 to {} cavities, found {cavities}", limits::CAVITIES);
        let too_many = CellProblem { line: 0, slot: None, what };
        let Ok(mut placement) = parse_placing(&format!("X 1x{}", cavities.min(100))) else {
            continue;
        };
        if cavities > 100 {
            problems.push(too_many);
            continue;
        }
        let at = point(right, down + f64::from(cavities) * 2.5).snapped(drawing::GRID_MM);
        down += f64::from(cavities) * 5.0 + 20.0;
        for part in &mut placement.parts {
            part.name.clone_from(&name);
        }
        let edit = Edit::Place(placement.at(at));
        match apply(work, edit.clone()) {
            Ok(_) => {
                edits.push(edit);
                made.push(MadeConnector { name, cavities });
            }
            Err(error) => {
                problems.push(CellProblem { line: 0, slot: None, what: error.to_string() });
            }
        }
    }
    (made, edits)
}

/// What a row says; `None` in a field the table has no column for.
struct Said {
    name: Option<String>,
    circuit: Option<String>,
    ends: [TerminalRef; 2],
    size: Option<WireSize>,
    colour: Option<Colour>,
    length_mm: Option<Option<f64>>,
}

/// The text of an end, cavity included, and the column to blame.
fn end_text(row: &RawRow, matching: &Matching, end: Column) -> (String, Option<usize>) {
    let cavity = if end == Column::From { Column::FromCavity } else { Column::ToCavity };
    let text = |column| {
        let slot = matching.slot(column)?;
        Some(row.cells.get(slot).map_or("", String::as_str)).filter(|text| !text.is_empty())
    };
    let slot = matching.slot(end);
    match (text(end), text(cavity)) {
        (Some(part), Some(cavity)) => (format!("{part}-{cavity}"), slot),
        (part, _) => (part.unwrap_or("").to_owned(), slot),
    }
}

/// Reads a row; everything wrong with it is told.
fn said(
    row: &RawRow,
    matching: &Matching,
    names: &TerminalNames,
    problems: &mut Vec<CellProblem>,
) -> Option<Said> {
    let before = problems.len();
    let mut blame = |slot: Option<usize>, what: String| {
        problems.push(CellProblem { line: row.line, slot, what });
    };
    if let Some(extra) = row.cells.get(matching.columns.len()..).filter(|cells| !cells.is_empty()) {
        let (n, more) = (matching.columns.len(), extra.len());
        blame(None, format!("expected {n} cells, found {} ", n + more).trim_end().to_owned());
    }
    let cell = |column| {
        let slot = matching.slot(column)?;
        Some((slot, row.cells.get(slot).map_or("", String::as_str)))
    };
    let mut ends = [None; 2];
    for (end, column) in ends.iter_mut().zip([Column::From, Column::To]) {
        let (text, slot) = end_text(row, matching, column);
        match names.find(&text) {
            Found::One(at) => *end = Some(at),
            Found::NoSuchConnector(name, _) => blame(
                slot,
                format!(
                    "expected a terminal the project has, found \"{text}\": there is no {name}, have it made or correct the name"
                ),
            ),
            Found::Wrong(sentence) => blame(slot, sentence),
        }
    }
    if let [Some(a), Some(b)] = ends
        && a == b
    {
        let what = format!("expected two different terminals, found {} twice", names.name(a));
        blame(matching.slot(Column::To), what);
    }
    let mut size_said = None;
    if let Some((slot, text)) = cell(Column::Size).filter(|(_, text)| !text.is_empty()) {
        match size(text, matching.decimal, matching.size_unit) {
            Ok(value) => size_said = Some(value),
            Err(sentence) => blame(Some(slot), sentence),
        }
    }
    let mut colour_said = None;
    let tracer = cell(Column::Tracer);
    if let Some((slot, text)) = cell(Column::Colour).filter(|(_, text)| !text.is_empty()) {
        match colour(text, tracer.map(|(_, text)| text)) {
            Ok(value) => colour_said = Some(value),
            Err(sentence) => blame(Some(slot), sentence),
        }
    }
    let mut length_said = None;
    if let Some((slot, text)) = cell(Column::Length) {
        match length_mm(text, matching.decimal, matching.length_unit) {
            Ok(value) => length_said = Some(value),
            Err(sentence) => blame(Some(slot), sentence),
        }
    }
    let [from, to] = ends;
    let text = |column| cell(column).map(|(_, text)| text.to_owned());
    let said = Said {
        name: text(Column::Wire).filter(|name| !name.is_empty()),
        circuit: text(Column::Circuit),
        ends: [from?, to?],
        size: size_said,
        colour: colour_said,
        length_mm: length_said,
    };
    (problems.len() == before).then_some(said)
}

/// The wire of the project each row means: by name and ends, then by name, then by ends alone.
fn matched(project: &Project, read: &[Option<Said>]) -> Vec<Option<WireId>> {
    let sorted = |ends: [TerminalRef; 2]| {
        let [a, b] = ends;
        if a <= b { [a, b] } else { [b, a] }
    };
    let mut by_name: BTreeMap<&str, Vec<WireId>> = BTreeMap::new();
    let mut by_ends: BTreeMap<[TerminalRef; 2], Vec<WireId>> = BTreeMap::new();
    for (id, wire) in project.wires.iter().filter(|(_, wire)| wire.usage == WireUse::Harness) {
        by_name.entry(wire.name.trim()).or_default().push(id);
        by_ends.entry(sorted([wire.from.terminal, wire.to.terminal])).or_default().push(id);
    }
    let mut taken: BTreeSet<WireId> = BTreeSet::new();
    let mut out = vec![None; read.len()];
    for pass in 0..3 {
        for (slot, said) in out.iter_mut().zip(read) {
            let (None, Some(said)) = (*slot, said) else { continue };
            let named = || said.name.as_deref().and_then(|name| by_name.get(name));
            let ended = by_ends.get(&sorted(said.ends));
            let ids: &[WireId] = match (pass, &said.name) {
                (0, Some(_)) | (2, None) => ended.map_or(&[], Vec::as_slice),
                (1, Some(_)) => named().map_or(&[], Vec::as_slice),
                (_, _) => &[],
            };
            let fits = |id: &&WireId| {
                let has_name = || {
                    project
                        .wires
                        .get(**id)
                        .is_some_and(|w| Some(w.name.trim()) == said.name.as_deref())
                };
                !taken.contains(*id) && (pass != 0 || has_name())
            };
            if let Some(id) = ids.iter().find(fits) {
                taken.insert(*id);
                *slot = Some(*id);
            }
        }
    }
    out
}

/// What becomes of a row, and the edit for it.
fn fate(
    project: &Project,
    said: &Said,
    id: Option<WireId>,
    (row, matching): (&RawRow, &Matching),
    (edits, problems): (&mut Vec<Edit>, &mut Vec<CellProblem>),
) -> Fate {
    if let Some((id, old)) = id.and_then(|id| Some((id, project.wires.get(id)?))) {
        let wire = changed(old, said);
        if wire == *old {
            return Fate::Same(id);
        }
        edits.push(Edit::SetWire(id, Box::new(wire)));
        return Fate::Change(id);
    }
    let mut blame = |column: Column| {
        let what = match matching.slot(column) {
            Some(_) => format!("expected the {} of a new wire, found nothing", column.word()),
            None => format!(
                "expected the {} of a new wire, found no column that means it: match one",
                column.word()
            ),
        };
        problems.push(CellProblem { line: row.line, slot: matching.slot(column), what });
    };
    if said.size.is_none() {
        blame(Column::Size);
    }
    if said.colour.is_none() {
        blame(Column::Colour);
    }
    let (Some(size), Some(colour)) = (said.size, said.colour) else { return Fate::Wrong };
    let end = |terminal| End { terminal, kind: None };
    edits.push(Edit::AddWire(Wire {
        name: said.name.clone().unwrap_or_default(),
        circuit: said.circuit.clone().unwrap_or_default(),
        from: end(said.ends[0]),
        to: end(said.ends[1]),
        bends: Vec::new(),
        size,
        colour,
        usage: WireUse::Harness,
        via: Vec::new(),
        typed_length_mm: said.length_mm.flatten(),
        make: Default::default(),
    }));
    Fate::New
}

/// The wire with what the row says; what the table has no column for stays.
fn changed(old: &Wire, said: &Said) -> Wire {
    let mut wire = old.clone();
    let ends = [old.from.terminal, old.to.terminal];
    let is_turned = said.ends == [ends[1], ends[0]];
    if said.ends != ends && !is_turned {
        for (end, terminal) in [(&mut wire.from, said.ends[0]), (&mut wire.to, said.ends[1])] {
            if end.terminal != terminal {
                *end = End { terminal, kind: None };
            }
        }
        // Corners set by hand belong to the old way.
        wire.bends.clear();
    }
    let differs = |new: &Option<String>, old: &str| new.as_ref().is_some_and(|n| n != old.trim());
    if differs(&said.name, &old.name) {
        wire.name = said.name.clone().unwrap_or_default();
    }
    if differs(&said.circuit, &old.circuit) {
        wire.circuit = said.circuit.clone().unwrap_or_default();
    }
    wire.size = said.size.unwrap_or(old.size);
    wire.colour = said.colour.unwrap_or(old.colour);
    wire.typed_length_mm = said.length_mm.unwrap_or(old.typed_length_mm);
    wire
}
