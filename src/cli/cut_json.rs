//! The JSON of `ohmloom cut FILE`.

use serde::Serialize;

use crate::cli::cut::resistances;
use crate::cli::json;
use crate::cutting::{CutList, CutRow, build_steps};
use crate::model::{Colour, Project};

#[derive(Serialize)]
struct Document<'a> {
    project: &'a str,
    length_factor: Option<f64>,
    rounded_up_to_mm: Option<f64>,
    wires: Vec<Row<'a>>,
    totals: Vec<Total>,
    wire_resistance: Vec<Resistance>,
}

#[derive(Serialize)]
struct Resistance {
    size: String,
    ohm_per_metre_at_20_c: Option<f64>,
    source: String,
}

#[derive(Serialize)]
struct Row<'a> {
    wire: &'a str,
    circuit: &'a str,
    from: &'a str,
    to: &'a str,
    size: String,
    colour: &'static str,
    tracer: Option<&'static str>,
    is_typed: bool,
    routed_mm: Option<f64>,
    twist_factor: Option<f64>,
    allowance_mm: Option<f64>,
    cut_mm: Option<f64>,
    route: &'a [String],
    note: Option<String>,
    tolerance_plus_mm: Option<f64>,
    ends: Vec<End<'a>>,
    build_order: Vec<String>,
    is_cut: bool,
    is_crimped: bool,
    is_tested: bool,
}

#[derive(Serialize)]
struct End<'a> {
    end: &'a str,
    marker: &'a str,
    strip_mm: Option<f64>,
    terminal: &'a str,
    seal: &'a str,
    boot: &'a str,
}

#[derive(Serialize)]
struct Total {
    size: String,
    colour: &'static str,
    tracer: Option<&'static str>,
    wires: usize,
    cut_mm: Option<f64>,
}

/// The cut list as a document.
pub fn document(project: &Project, list: &CutList) -> String {
    json::document(&Document {
        project: &project.title,
        length_factor: json::number(project.settings.length_factor),
        rounded_up_to_mm: json::number(project.settings.rounding_mm),
        wires: list.rows.iter().map(row).collect(),
        totals: list
            .totals
            .iter()
            .map(|total| Total {
                size: total.size.text(),
                colour: total.colour.base.name(),
                tracer: tracer(total.colour),
                wires: total.n_wires,
                cut_mm: json::number(total.cut_mm),
            })
            .collect(),
        wire_resistance: resistances(list)
            .into_iter()
            .map(|(size, data)| Resistance {
                size: size.text(),
                ohm_per_metre_at_20_c: json::number(data.ohm_per_m),
                source: data.provenance(),
            })
            .collect(),
    })
}

fn tracer(colour: Colour) -> Option<&'static str> {
    colour.tracer.map(|tracer| tracer.name())
}

fn row(row: &CutRow) -> Row<'_> {
    Row {
        wire: &row.name,
        circuit: &row.circuit,
        from: &row.from,
        to: &row.to,
        size: row.size.text(),
        colour: row.colour.base.name(),
        tracer: tracer(row.colour),
        is_typed: row.is_typed,
        routed_mm: row.routed_mm.and_then(json::number),
        twist_factor: row.twist_factor.and_then(json::number),
        allowance_mm: row.allowance_mm.and_then(json::number),
        cut_mm: row.cut_mm.and_then(json::number),
        route: &row.route,
        note: row.finding.as_ref().map(|f| format!("{}: {}", f.what, f.cure)),
        tolerance_plus_mm: row.tolerance_mm.and_then(json::number),
        ends: row
            .ends
            .iter()
            .map(|end| End {
                end: &end.name,
                marker: &end.marker,
                strip_mm: end.strip_mm.and_then(json::number),
                terminal: &end.terminal,
                seal: &end.seal,
                boot: &end.boot,
            })
            .collect(),
        build_order: build_steps(row),
        is_cut: row.ticks.is_cut,
        is_crimped: row.ticks.is_crimped,
        is_tested: row.ticks.is_tested,
    }
}
