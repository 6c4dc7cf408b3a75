//! `ohmloom cut FILE`: the cut list.

use crate::cli::args::{FileArgs, Format};
use crate::cli::cut_json::document;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::millimetres;
use crate::cutting::{CutList, CutRow, build_steps, csv_text, cut_list};
use crate::harness::{OhmPerMetre, ohm_per_metre};
use crate::model::{Project, Ticks, WireSize};
use crate::units::{counted, trim_zeros};

/// Makes the cut list and writes it as asked.
pub fn answer(project: &Project, args: &FileArgs) -> Answer {
    let list = cut_list(project);
    let text = match args.format {
        Format::Table => text(project, &list),
        Format::Csv => csv_text(&list),
        Format::Json => document(project, &list),
    };
    let health = if list.findings.is_empty() { Health::Fine } else { Health::Problems };
    Answer { text, health }
}

/// The cut list with its totals as aligned text.
pub fn text(project: &Project, list: &CutList) -> String {
    let n_wires = counted(list.rows.len(), "wire");
    let mut text = wrapped("", &format!("Cut list of {}: {n_wires}", project.title), 0);
    if list.rows.is_empty() {
        return text;
    }
    text += "\n";
    let columns = [
        ("wire", Align::Left),
        ("circuit", Align::Left),
        ("from", Align::Left),
        ("to", Align::Left),
        ("size", Align::Right),
        ("colour", Align::Left),
        ("routed mm", Align::Right),
        ("twist", Align::Right),
        ("allowance mm", Align::Right),
        ("cut mm", Align::Right),
    ];
    let is_twisted = |row: &CutRow| row.twist_factor.is_some_and(|factor| factor > 1.0);
    let has_twist = list.rows.iter().any(is_twisted);
    let known = |length_mm: Option<f64>| match length_mm {
        Some(_) => millimetres(length_mm),
        None => "?".into(),
    };
    let rows: Vec<Vec<String>> = list
        .rows
        .iter()
        .map(|row| {
            vec![
                row.name.clone(),
                row.circuit.clone(),
                row.from.clone(),
                row.to.clone(),
                row.size.text(),
                row.colour.text(),
                if row.is_typed {
                    format!("typed {}", known(row.routed_mm))
                } else {
                    known(row.routed_mm)
                },
                row.twist_factor
                    .filter(|_| is_twisted(row))
                    .map_or_else(String::new, |factor| format!("× {factor:.4}")),
                known(row.allowance_mm),
                known(row.cut_mm),
            ]
        })
        .collect();
    let (columns, rows) = without_column(columns.into(), rows, TWIST, has_twist);
    text += &table(&columns, &rows);
    text += "\n";
    text += &wrapped("", &rule_words(project, has_twist), 2);
    text += &totals_text(list);
    text += &ends_text(list);
    text += "\nBuild order\n";
    for row in &list.rows {
        text += &wrapped("- ", &format!("{}: {}", row.name, build_steps(row).join("; ")), 2);
    }
    text += "\nWire resistance reckoned with\n";
    for (size, data) in resistances(list) {
        text += &wrapped("- ", &format!("{}: {data}", size.text()), 2);
    }
    if !list.findings.is_empty() {
        text += "\nLengths not known\n";
        for finding in &list.findings {
            text += &wrapped("- ", &format!("{}: {}", finding.what, finding.cure), 2);
        }
    }
    text
}

/// How much wire of each size and colour is needed.
fn totals_text(list: &CutList) -> String {
    if list.totals.is_empty() {
        return String::new();
    }
    let columns = [
        ("size", Align::Right),
        ("colour", Align::Left),
        ("wires", Align::Right),
        ("metres", Align::Right),
    ];
    let rows: Vec<Vec<String>> = list
        .totals
        .iter()
        .map(|total| {
            let metres = format!("{:.2}", total.cut_mm / 1e3);
            vec![total.size.text(), total.colour.text(), total.n_wires.to_string(), metres]
        })
        .collect();
    format!("\nWire to have, without spoilage\n\n{}", table(&columns, &rows))
}

/// Place of the twist factor among the columns.
const TWIST: usize = 7;

/// Leaves a column out that nothing stands in.
fn without_column(
    mut columns: Vec<(&str, Align)>,
    mut rows: Vec<Vec<String>>,
    at: usize,
    is_used: bool,
) -> (Vec<(&str, Align)>, Vec<Vec<String>>) {
    if !is_used {
        columns.remove(at);
        rows.iter_mut().for_each(|row| drop(row.remove(at)));
    }
    (columns, rows)
}

/// How the lengths come about.
fn rule_words(project: &Project, has_twist: bool) -> String {
    let settings = &project.settings;
    let factor = trim_zeros(&format!("{:.4}", settings.length_factor));
    let rounding = trim_zeros(&format!("{:.3}", settings.rounding_mm));
    let twist = if has_twist { " × twist" } else { "" };
    format!(
        "Cut = routed × {factor}{twist} + allowance (both ends and loops), rounded up to {rounding} mm."
    )
}

/// What goes onto each end. Columns of which nothing is written down are left out.
fn ends_text(list: &CutList) -> String {
    let length = |mm: Option<f64>| millimetres(mm);
    let mut columns: Vec<(&str, Align)> = [
        "wire",
        "end",
        "marker",
        "strip mm",
        "terminal",
        "seal",
        "boot",
        "longer by at most mm",
        "done",
    ]
    .map(|head| (head, if head.ends_with("mm") { Align::Right } else { Align::Left }))
    .into();
    let mut rows: Vec<Vec<String>> = Vec::new();
    for row in &list.rows {
        for end in &row.ends {
            rows.push(vec![
                row.name.clone(),
                end.name.clone(),
                end.marker.clone(),
                length(end.strip_mm),
                end.terminal.clone(),
                end.seal.clone(),
                end.boot.clone(),
                length(row.tolerance_mm),
                done_words(row.ticks),
            ]);
        }
    }
    for column in (0..columns.len()).rev() {
        if rows.iter().all(|row| row[column].is_empty()) {
            columns.remove(column);
            rows.iter_mut().for_each(|row| drop(row.remove(column)));
        }
    }
    let source = "longer by: IPC/WHMA-A-620B, draft, Table 11-1";
    format!("\nWire ends (never cut shorter; {source})\n\n{}", table(&columns, &rows))
}

/// `cut, crimped`, or nothing.
fn done_words(ticks: Ticks) -> String {
    [(ticks.is_cut, "cut"), (ticks.is_crimped, "crimped"), (ticks.is_tested, "tested")]
        .into_iter()
        .filter_map(|(is_done, word)| is_done.then_some(word))
        .collect::<Vec<_>>()
        .join(", ")
}

/// Resistance per metre of every size in the list, thickest first, with its source.
pub fn resistances(list: &CutList) -> Vec<(WireSize, OhmPerMetre)> {
    let mut sizes: Vec<WireSize> = Vec::new();
    for row in &list.rows {
        if !sizes.contains(&row.size) {
            sizes.push(row.size);
        }
    }
    sizes.sort_by(|a, b| b.area_mm2().total_cmp(&a.area_mm2()));
    sizes.into_iter().map(|size| (size, ohm_per_metre(size))).collect()
}
