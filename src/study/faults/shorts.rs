//! Shorts: each net to ground, to every supply and to its neighbour cavities, hard or wet.

use std::collections::BTreeSet;

use petgraph::graph::NodeIndex;

use crate::circuit::Change;
use crate::drawing::face_pos;
use crate::model::{CavityLayout, Numbering, PartId, Subject, TerminalRef};
use crate::sense::Measure;
use crate::study::faults::base::Base;
use crate::study::faults::{Cause, Fault, FaultKind};

/// A film of salt water between two terminals, in ohms (common practice, no source).
const WET_OHM: f64 = 10_000.0;

/// Bridges between two nets, each pair once.
pub fn list(base: &Base<'_>) -> Vec<Fault> {
    let (nets, net_of) = base.nets();
    let mut done: BTreeSet<(usize, usize)> = BTreeSet::new();
    let mut faults = Vec::new();
    let mut add = |a: NodeIndex, b: NodeIndex, other: &str| {
        let (one, two) = (net_of[a.index()], net_of[b.index()]);
        if one != two && done.insert((one.min(two), one.max(two))) {
            let pulls = neighbours_pulls(base, [one, two], &net_of);
            faults.extend(bridges(base, (a, b), other, &pulls));
        }
    };
    for potential in &base.netlist.potentials {
        let name = base.netlist.node_name(base.project, potential.node);
        for node in nets.values() {
            add(*node, potential.node, &name);
        }
    }
    for (part, row) in base.project.parts.iter() {
        let Some(face) = row.kind.arrangement() else { continue };
        let step = if row.kind.controller().is_some() { 1 } else { 2 };
        for (one, two) in neighbours(face.layout, face.numbering) {
            let node = |cavity: u16| cavity_node(base, part, (cavity - 1) * step);
            let (Some(a), Some(b)) = (node(one), node(two)) else { continue };
            let (a, b) = if nets.contains_key(&net_of[a.index()]) { (a, b) } else { (b, a) };
            let is_wired = base.netlist.graph.neighbors(b).next().is_some();
            if is_wired && nets.contains_key(&net_of[a.index()]) {
                add(a, b, &base.netlist.node_name(base.project, b));
            }
        }
    }
    faults
}

fn cavity_node(base: &Base<'_>, part: PartId, terminal: u16) -> Option<NodeIndex> {
    base.netlist.node(TerminalRef { part, terminal })
}

/// Other sense pins on these nets bring their own pull with them.
fn neighbours_pulls(base: &Base<'_>, nets: [usize; 2], net_of: &[usize]) -> Vec<Change> {
    let others = base.project.sense_pins.iter().map(|(_, pin)| pin);
    let others = others.filter(|pin| !std::ptr::eq(*pin, base.sense));
    let pulled = others.filter_map(|pin| {
        let node = base.netlist.node(pin.terminal)?;
        let pull = Measure::new(base.project, pin).pull()?;
        nets.contains(&net_of[node.index()]).then_some(Change::Pulled(node, pull))
    });
    pulled.collect()
}

fn bridges(
    base: &Base<'_>,
    (a, b): (NodeIndex, NodeIndex),
    other: &str,
    pulls: &[Change],
) -> [Fault; 2] {
    let name = base.netlist.node_name(base.project, a);
    let at_wires =
        |node: NodeIndex| base.netlist.wire_node(base.netlist.graph[node].at).unwrap_or(node);
    let (a, b) = (at_wires(a), at_wires(b));
    let parts: BTreeSet<PartId> =
        [a, b].into_iter().map(|node| base.netlist.graph[node].at.part).collect();
    let subjects: Vec<Subject> = parts.into_iter().map(Subject::Part).collect();
    let fault = |kind, ohm: f64, title: String| Fault {
        kind,
        title,
        subjects: subjects.clone(),
        cause: Cause::Circuit(
            std::iter::once(Change::Bridge(a, b, ohm)).chain(pulls.iter().copied()).collect(),
        ),
    };
    [
        fault(FaultKind::Short, 0.0, format!("{name} shorted to {other}")),
        fault(FaultKind::Wet, WET_OHM, format!("{name} wet to {other} (10 kΩ)")),
    ]
}

/// Pairs of cavities that touch on the face, each once.
fn neighbours(layout: CavityLayout, numbering: Numbering) -> Vec<(u16, u16)> {
    let places: Vec<_> =
        (1..=layout.count()).map(|cavity| face_pos(layout, numbering, cavity)).collect();
    let distance = |a: usize, b: usize| {
        (places[a].x_mm - places[b].x_mm).hypot(places[a].y_mm - places[b].y_mm)
    };
    let pairs: Vec<(usize, usize)> =
        (0..places.len()).flat_map(|a| (a + 1..places.len()).map(move |b| (a, b))).collect();
    let nearest = pairs.iter().map(|(a, b)| distance(*a, *b)).fold(f64::INFINITY, f64::min);
    pairs
        .into_iter()
        .filter(|(a, b)| distance(*a, *b) <= nearest * 1.2)
        .map(|(a, b)| (a as u16 + 1, b as u16 + 1))
        .collect()
}
