//! Circuits that cannot be what was meant: shorted supplies, supplies joined, loops without resistance.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::EdgeIndex;
use petgraph::unionfind::UnionFind;

use crate::circuit::netlist::{Netlist, Source};
use crate::model::{Diagnostic, PartId, Project, Severity, Subject};

/// Supplies that the given edges short to ground or join to each other, with no resistor between.
///
/// Fuses, contacts, wires and joints limit nothing worth the name.
pub fn supply_findings(
    project: &Project,
    netlist: &Netlist,
    closed: &[EdgeIndex],
) -> Vec<Diagnostic> {
    let mut joined = UnionFind::<usize>::new(netlist.graph.node_count());
    for edge in closed.iter().filter(|edge| !netlist.graph[**edge].is_resistor) {
        if let Some((a, b)) = netlist.graph.edge_endpoints(*edge) {
            joined.union(a.index(), b.index());
        }
    }
    let mut findings = BTreeSet::new();
    for (n, one) in netlist.potentials.iter().enumerate() {
        for other in &netlist.potentials[n + 1..] {
            if one.volt == other.volt || !joined.equiv(one.node.index(), other.node.index()) {
                continue;
            }
            let (first, second) =
                (netlist.node_name(project, one.node), netlist.node_name(project, other.node));
            let (part, what) = match (one.volt.nominal == 0.0, other.volt.nominal == 0.0) {
                (true, _) => (
                    other.part,
                    format!("shorted supply: {second} is joined to {first} without a resistor"),
                ),
                (_, true) => (
                    one.part,
                    format!("shorted supply: {first} is joined to {second} without a resistor"),
                ),
                (false, false) => (
                    one.part,
                    format!("two supplies joined: {first} and {second} meet without a resistor"),
                ),
            };
            findings.insert(Diagnostic {
                severity: Severity::Error,
                subject: Subject::Part(part),
                what,
                cure: "take out the wire or contact that joins them before anything is powered"
                    .into(),
            });
        }
    }
    findings.into_iter().collect()
}

/// Wires and parts that close a loop in which nothing has resistance, whatever the controls do.
pub fn loop_findings(netlist: &Netlist) -> Vec<Diagnostic> {
    let mut joined = UnionFind::<usize>::new(netlist.graph.node_count());
    let mut findings = BTreeSet::new();
    for edge in netlist.graph.edge_indices() {
        let weight = &netlist.graph[edge];
        if weight.switch.is_some() || weight.ohm.worst.high > 0.0 {
            continue;
        }
        let Some((a, b)) = netlist.graph.edge_endpoints(edge) else { continue };
        if !joined.union(a.index(), b.index()) {
            let subject = match weight.source {
                Source::Part(part) | Source::Coil(part) | Source::Joint { part, .. } => {
                    Subject::Part(part)
                }
                Source::Wire(wire) => Subject::Wire(wire),
                Source::Loop(pin) => Subject::SensePin(pin),
                Source::Bridge => Subject::Project,
            };
            findings.insert(Diagnostic {
                severity: Severity::Note,
                subject,
                what: "zero-ohm loop: it joins what is already joined without resistance".into(),
                cure: "leave it out, or keep it if the second way is meant".into(),
            });
        }
    }
    findings.into_iter().collect()
}

/// Resistors whose two ends are always on one net.
pub fn bridged_findings(project: &Project, netlist: &Netlist) -> Vec<Diagnostic> {
    let mut joined = UnionFind::<usize>::new(netlist.graph.node_count());
    let mut resistors: BTreeMap<PartId, (usize, usize)> = BTreeMap::new();
    for edge in netlist.graph.edge_indices() {
        let weight = &netlist.graph[edge];
        let Some((a, b)) = netlist.graph.edge_endpoints(edge) else { continue };
        match weight.source {
            Source::Part(part) | Source::Coil(part) if weight.is_resistor => {
                resistors.insert(part, (a.index(), b.index()));
            }
            Source::Part(_)
            | Source::Coil(_)
            | Source::Joint { .. }
            | Source::Wire(_)
            | Source::Loop(_)
            | Source::Bridge => {
                if weight.switch.is_none() {
                    joined.union(a.index(), b.index());
                }
            }
        }
    }
    let bridged = |(part, (a, b)): (PartId, (usize, usize))| {
        joined.equiv(a, b).then(|| Diagnostic {
            severity: Severity::Warning,
            subject: Subject::Part(part),
            what: format!(
                "both ends of {} are on one net, so it does nothing",
                project.parts.get(part).map_or("the resistor", |part| part.name.as_str())
            ),
            cure: "move one of its wires to where it was meant to go".into(),
        })
    };
    resistors.into_iter().filter_map(bridged).collect()
}
