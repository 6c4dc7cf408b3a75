//! What a table would do to a project: row by row, with every error by row and column, and one edit.

use std::collections::BTreeMap;

use crate::cutting::Difference;
use crate::drawing;
use crate::edit::{Edit, apply, parse_placing};
use crate::geometry::point;
use crate::model::{End, Project, Wire, WireId, WireUse, limits};
use crate::tables::cell::{colour, is_dash, length_mm, size};
use crate::tables::column::{Column, Header, Matching};
use crate::tables::matched::{FreeNames, Said, changed, differences, ends_text, matched, moves};
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
    /// A wire of this name lies between other terminals: it is led anew, if that is asked for.
    Moves(WireId),
    /// The wire is there just so.
    Same(WireId),
    /// Something is wrong with it.
    Wrong,
}

/// What to do about a row whose wire has other ends in the project.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moving {
    /// It is an error of the row.
    Refuse,
    /// The wire is led to the ends of the row.
    Take,
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
    /// What becomes different at the wire that is there.
    pub differences: Vec<Difference>,
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
    /// The one step, as long as nothing is wrong and anything would change.
    edit: Option<Edit>,
}

impl ImportPlan {
    /// Rows with a new wire, rows that change one, rows that stay as they are.
    pub fn counts(&self) -> (usize, usize, usize) {
        let count = |wanted: fn(Fate) -> bool| self.rows.iter().filter(|r| wanted(r.fate)).count();
        (
            count(|fate| fate == Fate::New),
            count(|fate| matches!(fate, Fate::Change(_) | Fate::Moves(_))),
            count(|fate| matches!(fate, Fate::Same(_))),
        )
    }

    /// Whether any row means a wire that lies between other terminals.
    pub fn has_moves(&self) -> bool {
        self.rows.iter().any(|row| matches!(row.fate, Fate::Moves(_)))
    }

    /// Whether there is something to do and nothing wrong.
    pub fn is_ready(&self) -> bool {
        self.edit.is_some()
    }

    /// The one edit; `None` where anything is wrong or nothing would change.
    pub fn edit(&self) -> Option<Edit> {
        self.edit.clone()
    }
}

/// Plans an import. The project is only looked at. Costs about as much as looking up two names a row.
pub fn plan(
    project: &Project,
    table: &RawTable,
    matching: &Matching,
    (missing, moving): (Missing, Moving),
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
    let can_read = problems.is_empty();
    // Where the first row names the columns, no row has more cells than it.
    let width = match (matching.header, table.rows.first()) {
        (Header::FirstRow, Some(head)) => head.cells.len(),
        (Header::FirstRow, None) | (Header::None, _) => table.n_columns(),
    };
    let mut read: Vec<Option<Said>> = Vec::new();
    for row in rows {
        let said =
            if can_read { said((row, width), matching, &names, &mut problems) } else { None };
        read.push(said);
    }
    let known = matched(project, &read);
    shared_names(project, (rows, &read, &known), matching, &mut problems);
    let mut free = FreeNames::new(project, &read);
    let mut planned = Vec::new();
    for ((row, said), id) in rows.iter().zip(&read).zip(known) {
        let old = id.and_then(|id| Some((id, project.wires.get(id)?)));
        let (fate, differences) = match (said, old) {
            (None, _) => (Fate::Wrong, Vec::new()),
            (Some(said), Some((id, old))) => {
                let new = changed(old, said);
                let is_moved = moves(old, said);
                let differences = differences(old, &new, &names);
                if is_moved && moving == Moving::Refuse {
                    problems.push(moved(row, matching, (old, &new), &names));
                }
                let is_same = new == *old;
                if !is_same {
                    edits.push(Edit::SetWire(id, Box::new(new)));
                }
                let fate = match (is_moved, is_same) {
                    (true, _) => Fate::Moves(id),
                    (false, true) => Fate::Same(id),
                    (false, false) => Fate::Change(id),
                };
                (fate, differences)
            }
            (Some(said), None) => {
                let told = Told { said, row, matching };
                (new_wire(&told, &mut free, (&mut edits, &mut problems)), Vec::new())
            }
        };
        let cells = row.cells.clone();
        planned.push(PlannedRow { line: row.line, cells, fate, differences });
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
    let mut out = ImportPlan { rows: planned, problems, made, edit: None };
    if out.problems.is_empty() && !edits.is_empty() {
        let (new, changed, _) = out.counts();
        let n = new + changed;
        let title = format!("import {n} wire{}", if n == 1 { "" } else { "s" });
        out.edit = Some(Edit::Together { title, edits });
    }
    out
}

/// A wire that lies elsewhere is not led anew unasked.
fn moved(
    row: &RawRow,
    matching: &Matching,
    (old, new): (&Wire, &Wire),
    names: &TerminalNames,
) -> CellProblem {
    let what = format!(
        "wire {} lies at {} and would move to {}: ask for moves, or correct its name or its ends",
        old.name.trim(),
        ends_text(old, names),
        ends_text(new, names)
    );
    CellProblem { line: row.line, slot: matching.slot(Column::Wire), what }
}

/// A name stands in one row, unless the project itself has several wires of that name just there.
fn shared_names(
    project: &Project,
    (rows, read, known): (&[RawRow], &[Option<Said>], &[Option<WireId>]),
    matching: &Matching,
    problems: &mut Vec<CellProblem>,
) {
    // Name to the line it stood on first, and whether the project has that wire at these ends.
    let mut first: BTreeMap<&str, (usize, bool)> = BTreeMap::new();
    for ((row, said), id) in rows.iter().zip(read).zip(known) {
        let Some((said, name)) = said.as_ref().and_then(|said| Some((said, said.name.as_deref()?)))
        else {
            continue;
        };
        let old = id.and_then(|id| project.wires.get(id));
        let is_there = old.is_some_and(|old| !moves(old, said));
        match first.get(name) {
            None => {
                first.insert(name, (row.line, is_there));
            }
            Some((_, true)) if is_there => {}
            Some((line, _)) => {
                let what = format!("expected each wire once, found {name} here and on line {line}");
                problems.push(CellProblem {
                    line: row.line,
                    slot: matching.slot(Column::Wire),
                    what,
                });
            }
        }
    }
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
        let Ok(mut placement) = parse_placing(&format!("plug 1x{}", cavities.min(100))) else {
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
    (row, width): (&RawRow, usize),
    matching: &Matching,
    names: &TerminalNames,
    problems: &mut Vec<CellProblem>,
) -> Option<Said> {
    let before = problems.len();
    let mut blame = |slot: Option<usize>, what: String| {
        problems.push(CellProblem { line: row.line, slot, what });
    };
    let extra = row.cells.iter().enumerate().skip(width).find(|(_, cell)| !cell.is_empty());
    if let Some((slot, cell)) = extra {
        blame(
            Some(slot),
            format!("expected {width} cells as in the first row, found \"{cell}\" behind them"),
        );
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
    if let Some((slot, text)) = cell(Column::Length).filter(|(_, text)| !text.is_empty()) {
        match length_mm(text, matching.decimal, matching.length_unit) {
            Ok(value) => length_said = Some(value),
            Err(sentence) => blame(Some(slot), sentence),
        }
    }
    let [from, to] = ends;
    // Nothing keeps what is there; a dash says that there is none.
    let text = |column| {
        cell(column).map(|(_, text)| text.to_owned()).filter(|text: &String| !text.is_empty())
    };
    let said = Said {
        name: text(Column::Wire).filter(|name| !is_dash(name)),
        circuit: text(Column::Circuit)
            .map(|text| if is_dash(&text) { String::new() } else { text }),
        ends: [from?, to?],
        size: size_said,
        colour: colour_said,
        length_mm: length_said,
    };
    (problems.len() == before).then_some(said)
}

/// A row that could be read.
struct Told<'a> {
    said: &'a Said,
    row: &'a RawRow,
    matching: &'a Matching,
}

/// The edit for a wire the project does not have.
fn new_wire(
    told: &Told<'_>,
    names: &mut FreeNames,
    (edits, problems): (&mut Vec<Edit>, &mut Vec<CellProblem>),
) -> Fate {
    let Told { said, row, matching } = *told;
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
        name: said.name.clone().unwrap_or_else(|| names.next()),
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
