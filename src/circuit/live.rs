//! Which edges carry current from the pin to its reference in one state.

use std::collections::BTreeMap;

use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::circuit::netlist::Netlist;
use crate::circuit::ohm::Corner;
use crate::circuit::solve::Problem;

/// Share of the whole current below which an edge counts as dead: the middle of a balanced bridge
/// carries rounding errors, no more.
const DEAD_SHARE: f64 = 1e-9;

/// Edges among `closed` that carry current when it is fed in at `pin` and taken out at `reference`.
pub fn live_edges(
    netlist: &Netlist,
    closed: &[EdgeIndex],
    pin: NodeIndex,
    reference: NodeIndex,
) -> Vec<EdgeIndex> {
    let all = edge_currents(netlist, closed, pin, reference);
    all.into_iter().filter(|(_, amp)| amp.abs() > DEAD_SHARE).map(|(edge, _)| edge).collect()
}

/// Current through each edge among `closed`, as a share of what is fed in at `pin` and taken out at
/// `reference`; empty where nothing joins the two.
///
/// Edges without resistance share the current of their net as equal small resistances would.
/// By Cohn's theorem (1950) the square of a share is the slope of the whole resistance over that
/// edge's: dR/dRk = (Ik/I)².
pub fn edge_currents(
    netlist: &Netlist,
    closed: &[EdgeIndex],
    pin: NodeIndex,
    reference: NodeIndex,
) -> Vec<(EdgeIndex, f64)> {
    let mut problem = Problem::of_edges(netlist, closed, Corner::Nominal);
    problem.held.push((reference.index(), 0.0));
    problem.fed.push((pin.index(), 1.0));
    let Ok(solution) = problem.solve() else { return Vec::new() };
    if pin == reference || solution.volt(pin.index()).is_none() {
        return Vec::new();
    }
    let mut currents = Vec::new();
    // Amperes that enter each node from outside its own net.
    let mut entering: BTreeMap<usize, f64> = BTreeMap::from([(pin.index(), 1.0)]);
    *entering.entry(reference.index()).or_insert(0.0) -= 1.0;
    let mut ideal: BTreeMap<usize, Vec<(EdgeIndex, usize, usize)>> = BTreeMap::new();
    for (edge, (a, b, ohm)) in closed.iter().zip(&problem.resistances) {
        if *ohm == 0.0 {
            ideal.entry(solution.group(*a)).or_default().push((*edge, *a, *b));
            continue;
        }
        let (Some(volt_a), Some(volt_b)) = (solution.volt(*a), solution.volt(*b)) else { continue };
        let amp = (volt_a - volt_b) / ohm;
        currents.push((*edge, amp));
        if amp.abs() > DEAD_SHARE {
            *entering.entry(*a).or_insert(0.0) -= amp;
            *entering.entry(*b).or_insert(0.0) += amp;
        }
    }
    for edges in ideal.values() {
        currents.extend(in_net(edges, &entering));
    }
    currents.sort_by_key(|(edge, _)| *edge);
    currents
}

/// The same within one ideally joined net, given what enters it where.
fn in_net(
    edges: &[(EdgeIndex, usize, usize)],
    entering: &BTreeMap<usize, f64>,
) -> Vec<(EdgeIndex, f64)> {
    let mut number: BTreeMap<usize, usize> = BTreeMap::new();
    for (_, a, b) in edges {
        for node in [a, b] {
            let next = number.len();
            number.entry(*node).or_insert(next);
        }
    }
    let mut problem =
        Problem { node_count: number.len(), held: vec![(0, 0.0)], ..Problem::default() };
    problem.resistances = edges.iter().map(|(_, a, b)| (number[a], number[b], 1.0)).collect();
    problem.fed = number.iter().filter_map(|(node, n)| Some((*n, *entering.get(node)?))).collect();
    if problem.fed.is_empty() {
        return Vec::new();
    }
    let Ok(solution) = problem.solve() else { return Vec::new() };
    let current = |(edge, a, b): &(EdgeIndex, usize, usize)| {
        let ends = solution.volt(number[a]).zip(solution.volt(number[b]));
        (*edge, ends.map_or(0.0, |(a, b)| a - b))
    };
    edges.iter().map(current).collect()
}
