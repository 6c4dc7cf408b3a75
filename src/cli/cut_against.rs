//! `ohmloom cut FILE --against OTHER`: what to redo when OTHER is what was built.

use serde::Serialize;

use crate::cli::args::{FileArgs, Format};
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::csv_text::csv_records;
use crate::cutting::{Compared, Comparison, Fate, UNCLEAR, compare};
use crate::model::Project;

/// Compares both versions and writes what is to be redone.
pub fn answer(before: &Project, now: &Project, args: &FileArgs) -> Answer {
    let comparison = compare(before, now);
    let text = match args.format {
        Format::Table => text(before, now, &comparison),
        Format::Csv => records(&comparison),
        Format::Json => document(before, now, &comparison),
    };
    let health = if comparison.is_same() { Health::Fine } else { Health::Problems };
    Answer { text, health }
}

fn text(before: &Project, now: &Project, comparison: &Comparison) -> String {
    let title = format!("What to redo: {}, after {} was built", now.title, before.title);
    let mut text = wrapped("", &title, 0);
    let count = |fate| comparison.count(fate);
    text += &format!(
        "\nWires: {} stay, {} change, {} new, {} go\n",
        count(Fate::Stays),
        count(Fate::Changes),
        count(Fate::New),
        count(Fate::Goes)
    );
    text += "Only wires and resistors are compared; no other part is.\n";
    for row in &comparison.resistors {
        let words =
            format!("resistor {} {}: {}; {}", row.name, row.fate().word(), row.words(), row.work());
        text += &wrapped("- ", &words, 2);
    }
    for name in &comparison.unclear {
        text += &wrapped("- ", &format!("{name} {UNCLEAR}"), 2);
    }
    let redo: Vec<&Compared> =
        comparison.rows.iter().filter(|row| row.fate != Fate::Stays).collect();
    if redo.is_empty() {
        return text;
    }
    text += "\n";
    let columns = [
        ("wire", Align::Left),
        ("fate", Align::Left),
        ("to do", Align::Left),
        ("what is different", Align::Left),
        ("markers to redo", Align::Left),
    ];
    let rows: Vec<Vec<String>> = redo
        .into_iter()
        .map(|row| {
            vec![
                row.name.clone(),
                row.fate.word().into(),
                row.work.into(),
                differences(row),
                row.labels.join("; "),
            ]
        })
        .collect();
    text += &table(&columns, &rows);
    text
}

fn differences(row: &Compared) -> String {
    let words = |text: &str| if text.is_empty() { "none" } else { text }.to_owned();
    row.differences
        .iter()
        .map(|d| format!("{}: {} → {}", d.what, words(&d.before), words(&d.now)))
        .collect::<Vec<_>>()
        .join("; ")
}

fn records(comparison: &Comparison) -> String {
    let head = ["wire", "fate", "to_do", "different", "markers_to_redo", "resistor"];
    let head = head.map(str::to_owned);
    let mut records = vec![Vec::from(head)];
    for row in &comparison.rows {
        records.push(vec![
            row.name.clone(),
            row.fate.word().into(),
            row.work.into(),
            differences(row),
            row.labels.join("; "),
            String::new(),
        ]);
    }
    for row in &comparison.resistors {
        records.push(vec![
            String::new(),
            row.fate().word().into(),
            row.work().into(),
            row.words(),
            String::new(),
            row.name.clone(),
        ]);
    }
    for name in &comparison.unclear {
        let words = ["", "not known", "compare by hand", UNCLEAR, "", name.as_str()];
        records.push(words.map(str::to_owned).to_vec());
    }
    csv_records(&records)
}

fn document(before: &Project, now: &Project, comparison: &Comparison) -> String {
    #[derive(Serialize)]
    struct Document<'a> {
        before: &'a str,
        now: &'a str,
        wires: Vec<Row<'a>>,
        resistors: Vec<Resistor<'a>>,
        resistors_to_compare_by_hand: &'a [String],
    }
    #[derive(Serialize)]
    struct Resistor<'a> {
        resistor: &'a str,
        fate: &'static str,
        to_do: &'static str,
        before_ohm: Option<f64>,
        now_ohm: Option<f64>,
        different: String,
    }
    #[derive(Serialize)]
    struct Row<'a> {
        wire: &'a str,
        fate: &'static str,
        to_do: &'static str,
        different: Vec<Change<'a>>,
        markers_to_redo: &'a [String],
    }
    #[derive(Serialize)]
    struct Change<'a> {
        what: &'static str,
        before: &'a str,
        now: &'a str,
    }
    json::document(&Document {
        before: &before.title,
        now: &now.title,
        wires: comparison
            .rows
            .iter()
            .map(|row| Row {
                wire: &row.name,
                fate: row.fate.word(),
                to_do: row.work,
                different: row
                    .differences
                    .iter()
                    .map(|d| Change { what: d.what, before: &d.before, now: &d.now })
                    .collect(),
                markers_to_redo: &row.labels,
            })
            .collect(),
        resistors: comparison
            .resistors
            .iter()
            .map(|row| Resistor {
                resistor: &row.name,
                fate: row.fate().word(),
                to_do: row.work(),
                before_ohm: row.before.and_then(|resistor| json::number(resistor.ohm)),
                now_ohm: row.now.and_then(|resistor| json::number(resistor.ohm)),
                different: row.words(),
            })
            .collect(),
        resistors_to_compare_by_hand: &comparison.unclear,
    })
}
