//! The cut list: one row per harness wire, in the order of its names, with totals to buy.

use std::cmp::Ordering;

use crate::cutting::ends::{EndPlan, end_plans, tolerance_mm};
use crate::cutting::natural::natural_order;
use crate::harness::{LengthResult, wire_lengths};
use crate::model::{Colour, Diagnostic, Project, Ticks, Wire, WireId, WireSize};

/// One wire to cut.
#[derive(Clone, Debug, PartialEq)]
pub struct CutRow {
    /// The wire.
    pub wire: WireId,
    /// Its name.
    pub name: String,
    /// Circuit it carries.
    pub circuit: String,
    /// First end, such as `X2-2`.
    pub from: String,
    /// Other end.
    pub to: String,
    /// Conductor size.
    pub size: WireSize,
    /// Colour with tracer.
    pub colour: Colour,
    /// Names of the runs along the way; empty where the length was typed.
    pub route: Vec<String>,
    /// Whether the length was typed by hand.
    pub is_typed: bool,
    /// Routed or typed length in millimetres.
    pub routed_mm: Option<f64>,
    /// How much longer the wire is than its way because it is twisted; 1 where it is not.
    pub twist_factor: Option<f64>,
    /// Allowances and loops in millimetres.
    pub allowance_mm: Option<f64>,
    /// Cut length in millimetres.
    pub cut_mm: Option<f64>,
    /// How much longer it may be, never shorter, in millimetres (IPC/WHMA-A-620B, draft, Table 11-1).
    pub tolerance_mm: Option<f64>,
    /// Both ends, made ready.
    pub ends: [EndPlan; 2],
    /// What is done already.
    pub ticks: Ticks,
    /// Why the length is not known.
    pub finding: Option<Diagnostic>,
}

/// How much wire of one size and colour is needed.
#[derive(Clone, Debug, PartialEq)]
pub struct CutTotal {
    /// Conductor size.
    pub size: WireSize,
    /// Colour with tracer.
    pub colour: Colour,
    /// Number of wires whose length is known.
    pub n_wires: usize,
    /// Sum of their cut lengths in millimetres; saw kerf and spoilage are not in it.
    pub cut_mm: f64,
}

/// Everything to cut.
#[derive(Clone, Debug, PartialEq)]
pub struct CutList {
    /// One row per harness wire, in natural order of their names.
    pub rows: Vec<CutRow>,
    /// Needs by size and colour, thickest first, then in the colours' standard order.
    pub totals: Vec<CutTotal>,
    /// Why lengths are missing, in the order of the rows.
    pub findings: Vec<Diagnostic>,
}

/// Makes the cut list. Internal wires are not cut and not listed.
pub fn cut_list(project: &Project) -> CutList {
    let mut rows: Vec<CutRow> = wire_lengths(project)
        .into_iter()
        .filter_map(|(id, length)| Some(row(project, id, project.wires.get(id)?, length)))
        .collect();
    rows.sort_by(|a, b| natural_order(&a.name, &b.name).then(a.wire.cmp(&b.wire)));
    let totals = totals(&rows);
    let findings = rows.iter().filter_map(|row| row.finding.clone()).collect();
    CutList { rows, totals, findings }
}

fn row(project: &Project, id: WireId, wire: &Wire, length: LengthResult) -> CutRow {
    let run_name = |id| project.runs.get(id).map_or_else(|| "?".into(), |run| run.name.clone());
    let (length, finding) = match length {
        Ok(length) => (Some(length), None),
        Err(finding) => (None, Some(finding)),
    };
    let length = length.as_ref();
    CutRow {
        wire: id,
        name: wire.name.clone(),
        circuit: wire.circuit.clone(),
        from: project.terminal_name(wire.from.terminal),
        to: project.terminal_name(wire.to.terminal),
        size: wire.size,
        colour: wire.colour,
        route: length.map_or_else(Vec::new, |l| l.runs.iter().copied().map(run_name).collect()),
        is_typed: wire.typed_length_mm.is_some(),
        routed_mm: length.map(|length| length.routed_mm),
        twist_factor: length.map(|length| length.take_up),
        allowance_mm: length.map(|length| length.allowance_mm),
        cut_mm: length.map(|length| length.cut_mm),
        tolerance_mm: length.map(|length| tolerance_mm(length.cut_mm)),
        ends: end_plans(project, id, wire),
        ticks: project.cutting.ticks_of(id),
        finding,
    }
}

fn totals(rows: &[CutRow]) -> Vec<CutTotal> {
    let mut totals: Vec<CutTotal> = Vec::new();
    let mut known: Vec<&CutRow> = rows.iter().filter(|row| row.cut_mm.is_some()).collect();
    known.sort_by(|a, b| by_size(a.size, b.size).then(a.colour.cmp(&b.colour)));
    for row in known {
        let cut_mm = row.cut_mm.unwrap_or(0.0);
        match totals.last_mut() {
            Some(last) if last.size == row.size && last.colour == row.colour => {
                last.n_wires += 1;
                last.cut_mm += cut_mm;
            }
            Some(_) | None => {
                let (size, colour) = (row.size, row.colour);
                totals.push(CutTotal { size, colour, n_wires: 1, cut_mm });
            }
        }
    }
    totals
}

/// Thickest first; a metric size and a gauge of one area stay apart.
pub(super) fn by_size(a: WireSize, b: WireSize) -> Ordering {
    let is_gauge = |size| matches!(size, WireSize::Awg(_));
    b.area_mm2().total_cmp(&a.area_mm2()).then(is_gauge(a).cmp(&is_gauge(b)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::fixture::{parallel_pair, wire_between};
    use crate::model::BaseColour;

    #[test]
    fn rows_stand_in_the_order_of_names_and_totals_by_size_and_colour() {
        let (mut project, a, b) = parallel_pair();
        for (name, mm2, colour) in [
            ("D10", 0.5, "violet"),
            ("D2", 2.5, "red"),
            ("D1", 0.5, "violet/black"),
            ("D3", 0.5, "violet"),
        ] {
            wire_between(&mut project, name, [a, b], WireSize::Mm2(mm2), colour);
        }
        wire_between(&mut project, "D0", [a, b], WireSize::Awg(20), "violet");
        let list = cut_list(&project);
        let names: Vec<&str> = list.rows.iter().map(|row| row.name.as_str()).collect();
        assert_eq!(names, ["D0", "D1", "D2", "D3", "D10"]);
        let totals: Vec<(String, String, usize, f64)> = list
            .totals
            .iter()
            .map(|t| (t.size.text(), t.colour.text(), t.n_wires, t.cut_mm))
            .collect();
        // 1000 mm run x 1.03 + two tags of 40 mm = 1110 mm each.
        assert_eq!(
            totals,
            [
                ("2.5 mm²".into(), "red".into(), 1, 1110.0),
                ("20 AWG".into(), "violet".into(), 1, 1110.0),
                ("0.5 mm²".into(), "violet".into(), 2, 2220.0),
                ("0.5 mm²".into(), "violet/black".into(), 1, 1110.0),
            ]
        );
        assert_eq!(list.rows[0].route, ["along the floor"]);
        assert!(list.findings.is_empty());
    }

    #[test]
    fn a_wire_without_length_stays_in_the_list_and_says_why() {
        let (mut project, a, b) = parallel_pair();
        let wire = wire_between(&mut project, "D1", [a, b], WireSize::Mm2(0.5), "red");
        project.parts.get_mut(a).unwrap().place = None;
        let list = cut_list(&project);
        assert_eq!(list.rows.len(), 1);
        assert_eq!((list.rows[0].wire, list.rows[0].cut_mm), (wire, None));
        assert!(list.findings[0].what.contains("A-1 has no place"), "{:?}", list.findings);
        assert_eq!(list.rows[0].finding.as_ref(), list.findings.first());
        assert!(list.totals.is_empty());
        assert_eq!(Colour::plain(BaseColour::Red), list.rows[0].colour);
    }
}
