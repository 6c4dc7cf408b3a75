//! The wires of a harness as a table that reads back equal.

use crate::csv_text::csv_records;
use crate::model::{Project, WireUse};
use crate::tables::names::TerminalNames;

/// Names of the columns, in order.
pub const EXPORT_COLUMNS: [&str; 7] =
    ["wire", "circuit", "from", "to", "size", "colour", "length_mm"];

/// One wire in words.
#[derive(Clone, Debug, PartialEq)]
pub struct WireRecord {
    /// Name on its marker.
    pub wire: String,
    /// Circuit it carries.
    pub circuit: String,
    /// First end.
    pub from: String,
    /// Other end.
    pub to: String,
    /// Size as it was given.
    pub size: String,
    /// Codes of IEC 60757, tracer behind a slash.
    pub colour: String,
    /// Length typed by hand; a wire without one takes the length of its route.
    pub length_mm: Option<f64>,
}

/// All wires that are cut, in the order they were drawn; wires inside a box are not among them.
pub fn records(project: &Project) -> Vec<WireRecord> {
    let names = TerminalNames::of(project);
    project
        .wires
        .iter()
        .filter(|(_, wire)| wire.usage == WireUse::Harness)
        .map(|(_, wire)| WireRecord {
            wire: wire.name.clone(),
            circuit: wire.circuit.clone(),
            from: names.name(wire.from.terminal).to_owned(),
            to: names.name(wire.to.terminal).to_owned(),
            size: wire.size.text(),
            colour: wire.colour.code(),
            length_mm: wire.typed_length_mm,
        })
        .collect()
}

/// The table as comma-separated values (RFC 4180): a header row, CRLF, UTF-8.
pub fn wire_table_text(project: &Project) -> String {
    let mut table = vec![EXPORT_COLUMNS.map(str::to_owned).to_vec()];
    for row in records(project) {
        // A dash says that there is none; an empty cell would keep what a wire has.
        let length = row.length_mm.map_or_else(|| "-".into(), |mm| mm.to_string());
        let circuit = if row.circuit.trim().is_empty() { "-".into() } else { row.circuit };
        table.push(vec![row.wire, circuit, row.from, row.to, row.size, row.colour, length]);
    }
    csv_records(&table)
}
