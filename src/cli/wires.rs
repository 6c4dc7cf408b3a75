//! `ohmloom wires FILE`: the wires as a table, or a table taken over into a new file.

use std::path::Path;

use serde::Serialize;

use crate::cli::args::{DecimalWord, Format, LengthWord, SizeWord, WiresArgs};
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::edit::apply;
use crate::files;
use crate::model::{Project, SizeUnit};
use crate::tables::{
    Decimal, Fate, Header, ImportPlan, LengthUnit, Matching, Missing, Moving, PlannedRow,
    WireRecord, decoded, parse_columns, plan, read_table, records, wire_table_text,
};
use crate::units::counted;

/// Problems named before the rest is only counted.
const PROBLEMS_NAMED: usize = 20;

/// The wires of a project as asked.
pub fn answer(project: &Project, args: &WiresArgs) -> Answer {
    let rows = records(project);
    let text = match args.file.format {
        Format::Table => text(project, &rows),
        Format::Csv => wire_table_text(project),
        Format::Json => document(project, &rows),
    };
    Answer { text, health: Health::Fine }
}

/// Takes a table over: looks at it, and writes the new file only where one is named and nothing is wrong.
///
/// # Errors
/// A sentence, or a list of everything that is wrong by line and column; nothing has been written then.
pub fn import(args: &WiresArgs, table_path: &Path) -> Result<String, String> {
    let out = args.file.out.as_deref();
    if let Some(out) = out {
        for (other, what) in [(args.file.file.as_path(), "project"), (table_path, "table")] {
            if files::is_same_file(other, out) {
                return Err(format!(
                    "could not write over the {what} file itself: choose another name after --out"
                ));
            }
        }
    }
    let project = files::load(&args.file.file).map_err(|error| error.to_string())?;
    let bytes = files::read_bytes(table_path).map_err(|error| error.to_string())?;
    let named = |sentence: String| format!("{}: {sentence}", table_path.display());
    let raw = read_table(decoded(&bytes).map_err(named)?, None).map_err(named)?;
    let matching = matching(&raw, args)?;
    let missing = if args.make { Missing::Make } else { Missing::Refuse };
    let moving = if args.moves { Moving::Take } else { Moving::Refuse };
    let plan = plan(&project, &raw, &matching, (missing, moving));
    if !plan.problems.is_empty() {
        return Err(problem_text(&plan, &matching, table_path, args));
    }
    let mut text = plan_text(&plan, &matching, raw.delimiter.noun());
    match (plan.edit(), out) {
        (_, None) => text += "Nothing has been written: name a new file with --out.\n",
        (None, Some(out)) => {
            files::save(out, &project).map_err(|error| error.to_string())?;
            text += &format!("{} is written; it is equal to the project.\n", out.display());
        }
        (Some(edit), Some(out)) => {
            let mut changed = project;
            apply(&mut changed, edit).map_err(|error| error.to_string())?;
            files::save(out, &changed).map_err(|error| error.to_string())?;
            text += &format!("{} is written.\n", out.display());
        }
    }
    Ok(text)
}

fn matching(raw: &crate::tables::RawTable, args: &WiresArgs) -> Result<Matching, String> {
    let mut matching = Matching::guess(raw);
    if let Some(words) = &args.columns {
        let mut columns = parse_columns(words)?;
        let n = raw.n_columns();
        if columns.len() > n {
            return Err(format!(
                "expected at most as many columns as the table has ({n}), found {}",
                columns.len()
            ));
        }
        columns.resize(n, None);
        matching.columns = columns;
    }
    if args.no_header {
        matching.header = Header::None;
    } else if args.header {
        matching.header = Header::FirstRow;
    }
    match args.decimal {
        Some(DecimalWord::Point) => matching.decimal = Decimal::Point,
        Some(DecimalWord::Comma) => matching.decimal = Decimal::Comma,
        None => {}
    }
    match args.sizes {
        Some(SizeWord::Mm2) => matching.size_unit = SizeUnit::Mm2,
        Some(SizeWord::Awg) => matching.size_unit = SizeUnit::Awg,
        None => {}
    }
    match args.lengths {
        Some(LengthWord::Mm) => matching.length_unit = LengthUnit::Mm,
        Some(LengthWord::Cm) => matching.length_unit = LengthUnit::Cm,
        Some(LengthWord::M) => matching.length_unit = LengthUnit::Metre,
        Some(LengthWord::In) => matching.length_unit = LengthUnit::Inch,
        None => {}
    }
    Ok(matching)
}

/// How the table was understood, and what comes of it.
fn plan_text(plan: &ImportPlan, matching: &Matching, delimiter: &str) -> String {
    let columns: Vec<&str> =
        matching.columns.iter().map(|c| c.map_or("-", |column| column.word())).collect();
    let decimal = match matching.decimal {
        Decimal::Point => "point",
        Decimal::Comma => "comma",
    };
    let size = match matching.size_unit {
        SizeUnit::Mm2 => "mm²",
        SizeUnit::Awg => "AWG",
    };
    let mut text = wrapped(
        "",
        &format!(
            "Columns: {}; delimiter {delimiter}; decimal {decimal}; bare sizes in {size}, bare lengths in {}",
            columns.join(", "),
            matching.length_unit.sign()
        ),
        2,
    );
    let (new, changed, same) = plan.counts();
    for made in &plan.made {
        let cavities = counted(usize::from(made.cavities), "cavity").replace("cavitys", "cavities");
        text += &wrapped(
            "- ",
            &format!(
                "connector {} is made with {cavities} in a row, sockets, sealed: correct it afterwards",
                made.name
            ),
            2,
        );
    }
    for row in &plan.rows {
        if let Some(words) = row_words(row) {
            text += &wrapped("- ", &format!("line {} {words}", row.line), 2);
        }
    }
    text += &format!("{}, {} changed, {} as they were\n", counted(new, "new wire"), changed, same);
    text
}

/// What a row does to a wire that is there, as it was and as it becomes.
fn row_words(row: &PlannedRow) -> Option<String> {
    let does = match row.fate {
        Fate::Change(_) => "changes a wire",
        Fate::Moves(_) => "moves a wire",
        Fate::New | Fate::Same(_) | Fate::Wrong => return None,
    };
    let what: Vec<String> =
        row.differences.iter().map(|d| format!("{}: {} → {}", d.what, d.before, d.now)).collect();
    Some(format!("{does} ({}): {}", row.cells.join(" | "), what.join("; ")))
}

fn problem_text(plan: &ImportPlan, matching: &Matching, path: &Path, args: &WiresArgs) -> String {
    let mut lines: Vec<String> =
        plan.problems.iter().take(PROBLEMS_NAMED).map(|p| p.words(matching)).collect();
    if plan.problems.len() > PROBLEMS_NAMED {
        lines.push(format!("and {} more", plan.problems.len() - PROBLEMS_NAMED));
    }
    if !args.make && plan.problems.iter().any(|p| p.what.contains("have it made")) {
        lines.push("with --make connectors that are missing are made".into());
    }
    if !args.moves && plan.has_moves() {
        lines.push("with --move wires are led to the ends the table names".into());
    }
    let n = counted(plan.problems.len(), "problem");
    format!("{}: {n}, nothing is imported\n  {}", path.display(), lines.join("\n  "))
}

/// The wires as aligned text.
fn text(project: &Project, rows: &[WireRecord]) -> String {
    let n = counted(rows.len(), "wire");
    let mut text = wrapped("", &format!("Wires of {}: {n}", project.title), 0);
    if rows.is_empty() {
        return text;
    }
    let columns = [
        ("wire", Align::Left),
        ("circuit", Align::Left),
        ("from", Align::Left),
        ("to", Align::Left),
        ("size", Align::Right),
        ("colour", Align::Left),
        ("typed mm", Align::Right),
    ];
    let cells: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            vec![
                row.wire.clone(),
                row.circuit.clone(),
                row.from.clone(),
                row.to.clone(),
                row.size.clone(),
                row.colour.clone(),
                row.length_mm.map_or_else(|| "by route".into(), |mm| mm.to_string()),
            ]
        })
        .collect();
    text += "\n";
    text += &table(&columns, &cells);
    text
}

fn document(project: &Project, rows: &[WireRecord]) -> String {
    #[derive(Serialize)]
    struct Document<'a> {
        project: &'a str,
        wires: Vec<Row<'a>>,
    }
    #[derive(Serialize)]
    struct Row<'a> {
        wire: &'a str,
        circuit: &'a str,
        from: &'a str,
        to: &'a str,
        size: &'a str,
        colour: &'a str,
        length_mm: Option<f64>,
    }
    let wires = rows
        .iter()
        .map(|row| Row {
            wire: &row.wire,
            circuit: &row.circuit,
            from: &row.from,
            to: &row.to,
            size: &row.size,
            colour: &row.colour,
            length_mm: row.length_mm,
        })
        .collect();
    json::document(&Document { project: &project.title, wires })
}
