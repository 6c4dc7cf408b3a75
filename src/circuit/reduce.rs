//! Kron reduction: a fixed network seen from a few of its nodes (Dörfler and Bullo, arXiv 1102.2950).
//!
//! Nodes that are not asked about are eliminated one by one, star into mesh, on conductances
//! between pairs of nodes. The diagonal of the nodal matrix is never stored, so nothing is ever
//! subtracted: every result is made of sums, products and quotients of positive numbers and is
//! good to a few parts in 1e16 in every entry, however far the values are spread
//! (Grassmann, Taksar and Heyman 1985, for Markov chains).

use std::collections::BTreeSet;

use petgraph::graph::{EdgeIndex, NodeIndex};
use petgraph::unionfind::UnionFind;

use crate::circuit::netlist::Netlist;
use crate::circuit::ohm::Corner;

/// A fixed network reduced to its ports.
#[derive(Clone, Debug, PartialEq)]
pub struct Reduced {
    /// Number of ports.
    pub count: usize,
    /// Conductance in siemens between two ports, row by row, symmetric, diagonal zero.
    pub siemens: Vec<f64>,
    /// Port of each node that was asked for, in the order asked; nodes joined without resistance share one.
    pub port: Vec<usize>,
}

/// Reduces a network of `(node, node, ohm)` to the nodes in `keep`.
///
/// Zero ohms joins two nodes; edges from a node to itself do nothing. Ports are numbered in the
/// order in which `keep` first names them. Cost: that of sparse elimination, least degree first.
pub fn reduce(node_count: usize, edges: &[(usize, usize, f64)], keep: &[usize]) -> Reduced {
    let mut joined = UnionFind::<usize>::new(node_count);
    for (a, b, ohm) in edges {
        if *ohm == 0.0 {
            joined.union(*a, *b);
        }
    }
    let mut star = Stars { around: vec![Vec::new(); node_count] };
    for (a, b, ohm) in edges.iter().filter(|(.., ohm)| *ohm > 0.0) {
        star.add(joined.find(*a), joined.find(*b), 1.0 / ohm);
    }
    let mut port_of_root: Vec<Option<usize>> = vec![None; node_count];
    let mut roots = Vec::new();
    let port: Vec<usize> = keep
        .iter()
        .map(|node| {
            let root = joined.find(*node);
            *port_of_root[root].get_or_insert_with(|| {
                roots.push(root);
                roots.len() - 1
            })
        })
        .collect();
    star.eliminate_all_but(&port_of_root);
    let count = roots.len();
    let mut siemens = vec![0.0; count * count];
    for (row, root) in roots.iter().enumerate() {
        for (other, value) in &star.around[*root] {
            if let Some(column) = port_of_root[*other] {
                siemens[row * count + column] = *value;
            }
        }
    }
    Reduced { count, siemens, port }
}

/// Ohms between two nodes over the given edges at one corner; infinite where there is no way.
pub fn ohm_between(
    netlist: &Netlist,
    edges: &[EdgeIndex],
    corner: Corner,
    a: NodeIndex,
    b: NodeIndex,
) -> f64 {
    let fixed: Vec<(usize, usize, f64)> = edges
        .iter()
        .filter_map(|edge| {
            let (a, b) = netlist.graph.edge_endpoints(*edge)?;
            Some((a.index(), b.index(), netlist.graph[*edge].ohm.at(corner)))
        })
        .collect();
    let reduced = reduce(netlist.graph.node_count(), &fixed, &[a.index(), b.index()]);
    if reduced.count == 1 { 0.0 } else { 1.0 / reduced.siemens[1] }
}

/// Conductance from each node to each of its neighbours, which stand in order.
struct Stars {
    around: Vec<Vec<(usize, f64)>>,
}

impl Stars {
    fn add(&mut self, a: usize, b: usize, siemens: f64) {
        if a != b {
            for (from, to) in [(a, b), (b, a)] {
                let around = &mut self.around[from];
                match around.binary_search_by_key(&to, |(node, _)| *node) {
                    Ok(idx) => around[idx].1 += siemens,
                    Err(idx) => around.insert(idx, (to, siemens)),
                }
            }
        }
    }

    fn eliminate_all_but(&mut self, keep: &[Option<usize>]) {
        let mut queue: BTreeSet<(usize, usize)> = (0..self.around.len())
            .filter(|node| keep[*node].is_none() && !self.around[*node].is_empty())
            .map(|node| (self.around[node].len(), node))
            .collect();
        while let Some((_, node)) = queue.pop_first() {
            let rays = std::mem::take(&mut self.around[node]);
            let sum: f64 = rays.iter().map(|(_, g)| *g).sum();
            let degree = |stars: &Self, at: usize| (stars.around[at].len(), at);
            for (at, _) in &rays {
                queue.remove(&degree(self, *at));
                self.around[*at].retain(|(other, _)| *other != node);
            }
            for (idx, (a, to_a)) in rays.iter().enumerate() {
                for (b, to_b) in &rays[idx + 1..] {
                    self.add(*a, *b, to_a * (to_b / sum));
                }
            }
            for (at, _) in &rays {
                if keep[*at].is_none() && !self.around[*at].is_empty() {
                    queue.insert(degree(self, *at));
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(edges: &[(usize, usize, f64)], from: usize, to: usize, want_ohm: f64) {
        let reduced = reduce(8, edges, &[from, to]);
        let ohm = if reduced.count == 1 { 0.0 } else { 1.0 / reduced.siemens[1] };
        let close = ohm == want_ohm || (ohm - want_ohm).abs() <= 1e-14 * want_ohm;
        assert!(close, "{edges:?}: {ohm} instead of {want_ohm}");
    }

    #[test]
    fn small_networks() {
        check(&[(0, 2, 2.0), (2, 1, 3.0)], 0, 1, 5.0);
        check(&[(0, 1, 3.0), (0, 1, 6.0)], 0, 1, 2.0);
        // Balanced bridge 1, 2 over 2, 4: textbook, the middle carries nothing.
        check(&[(0, 2, 1.0), (0, 3, 2.0), (2, 3, 5.0), (2, 1, 2.0), (3, 1, 4.0)], 0, 1, 2.0);
        // Ideal joins, a loop of them, a dangling branch, no way at all.
        check(&[(0, 2, 0.0), (2, 1, 3.0)], 0, 1, 3.0);
        check(&[(0, 1, 0.0), (1, 2, 0.0), (2, 0, 0.0)], 0, 1, 0.0);
        check(&[(0, 1, 3.0), (1, 4, 7.0), (4, 5, 7.0)], 0, 1, 3.0);
        check(&[(0, 2, 3.0)], 0, 1, f64::INFINITY);
    }

    #[test]
    fn nine_decades_keep_their_digits() {
        // 1 mΩ in series with 1 GΩ ∥ 1 GΩ, and 1 mΩ ∥ 1 GΩ: exact answers by hand.
        check(&[(0, 2, 1e-3), (2, 1, 1e9), (2, 1, 1e9)], 0, 1, 5e8 + 1e-3);
        check(&[(0, 1, 1e-3), (0, 1, 1e9)], 0, 1, 1e-3 * 1e9 / (1e9 + 1e-3));
    }
}
