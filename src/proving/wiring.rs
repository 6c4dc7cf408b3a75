//! Nets of the harness as it lies on the bench, and their ohms.

use std::collections::{BTreeMap, BTreeSet};

use crate::circuit::solve::Problem;
use crate::harness::{tap_fractions, wire_ohms};
use crate::model::{PartKind, Project, TerminalRef, WireId, WireModel, WireUse};

/// A stretch of wire: terminal, terminal, ohms as far as its length is known, wire.
pub type Stretch = (TerminalRef, TerminalRef, Option<f64>, WireId);

/// Terminals that wires alone join, and what joins them.
pub struct Net {
    /// Terminals a probe reaches, in order.
    pub ends: Vec<TerminalRef>,
    /// Terminal, terminal, ohms, wire.
    /// Its stretches of wire.
    pub edges: Vec<Stretch>,
}

/// Nets of the harness as it lies on the bench, unplugged from everything, and joined by nothing
/// but its own wires and splices.
pub fn nets(project: &Project) -> Vec<Net> {
    let ohms = match project.settings.wire_model {
        WireModel::ByLength => wire_ohms(project),
        WireModel::Ideal => BTreeMap::new(),
    };
    let mut taps: BTreeMap<WireId, Vec<(f64, TerminalRef)>> = BTreeMap::new();
    let fractions = tap_fractions(project);
    for (part, row) in project.parts.iter() {
        if let PartKind::Splice { on: Some(wire), .. } = row.kind {
            let fraction = fractions.get(&part).copied().unwrap_or(0.5);
            taps.entry(wire).or_default().push((fraction, TerminalRef { part, terminal: 0 }));
        }
    }
    let mut edges = Vec::new();
    for (id, wire) in project.wires.iter().filter(|(_, wire)| wire.usage == WireUse::Harness) {
        let ohm = ohms.get(&id).map(|range| range.nominal);
        let mut on_it = taps.remove(&id).unwrap_or_default();
        on_it.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut from, mut done) = (wire.from.terminal, 0.0);
        for (fraction, splice) in on_it {
            edges.push((from, splice, ohm.map(|ohm| ohm * (fraction - done)), id));
            (from, done) = (splice, fraction);
        }
        edges.push((from, wire.to.terminal, ohm.map(|ohm| ohm * (1.0 - done)), id));
    }
    grouped(project, edges)
}

fn grouped(project: &Project, edges: Vec<Stretch>) -> Vec<Net> {
    let mut net_of: BTreeMap<TerminalRef, usize> = BTreeMap::new();
    let mut nets: Vec<Vec<Stretch>> = Vec::new();
    for edge in edges {
        let known = [edge.0, edge.1].map(|at| net_of.get(&at).copied());
        let into = known[0].or(known[1]).unwrap_or_else(|| {
            nets.push(Vec::new());
            nets.len() - 1
        });
        if let [Some(a), Some(b)] = known
            && a != b
        {
            let moved = std::mem::take(&mut nets[b]);
            for (from, to, ..) in &moved {
                net_of.insert(*from, a);
                net_of.insert(*to, a);
            }
            nets[a].extend(moved);
        }
        net_of.insert(edge.0, into);
        net_of.insert(edge.1, into);
        nets[into].push(edge);
    }
    let mut found: Vec<Net> = nets
        .into_iter()
        .filter(|edges| !edges.is_empty())
        .map(|edges| {
            let at: BTreeSet<TerminalRef> =
                edges.iter().flat_map(|(from, to, ..)| [*from, *to]).collect();
            let ends = at.into_iter().filter(|at| is_reachable(project, *at)).collect();
            Net { ends, edges }
        })
        .collect();
    found.sort_by(|a, b| a.ends.cmp(&b.ends));
    found
}

/// Splices lie under their covering; everything else has a place for a probe.
fn is_reachable(project: &Project, at: TerminalRef) -> bool {
    project.parts.get(at.part).is_some_and(|part| !matches!(part.kind, PartKind::Splice { .. }))
}

impl Net {
    /// Nominal ohms between two of its terminals; `None` where the length of a wire is not known.
    pub fn ohm(&self, a: TerminalRef, b: TerminalRef) -> Option<f64> {
        let terminals: BTreeSet<TerminalRef> =
            self.edges.iter().flat_map(|(from, to, ..)| [*from, *to]).collect();
        let order: Vec<TerminalRef> = terminals.into_iter().collect();
        let idx = |at: TerminalRef| order.binary_search(&at).ok();
        let mut problem = Problem { node_count: order.len(), ..Problem::default() };
        for (from, to, ohm, _) in &self.edges {
            problem.resistances.push((idx(*from)?, idx(*to)?, (*ohm)?));
        }
        problem.held.push((idx(b)?, 0.0));
        problem.fed.push((idx(a)?, 1.0));
        problem.solve().ok()?.volt(idx(a)?)
    }
}
