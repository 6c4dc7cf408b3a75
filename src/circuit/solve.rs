//! The plain second way: node equations of one state, solved densely.
//!
//! Shares no code with the reduction and the walk, so each can check the other; the meter's volts,
//! the live path and the working come from here. Accurate to rounding times the spread of the
//! values, where the reduction is accurate in every figure.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::circuit::netlist::Netlist;
use crate::circuit::ohm::Corner;

/// A circuit in one state.
#[derive(Clone, Debug, Default)]
pub struct Problem {
    /// Number of nodes.
    pub node_count: usize,
    /// Node, node, ohms; zero joins them.
    pub resistances: Vec<(usize, usize, f64)>,
    /// Nodes whose potential in volts is given.
    pub held: Vec<(usize, f64)>,
    /// Amperes fed into nodes from outside.
    pub fed: Vec<(usize, f64)>,
}

/// Why there is no solution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Trouble {
    /// Two nodes that are held at different potentials are joined without resistance.
    Conflict(usize, usize),
}

/// Potentials of a solved circuit.
#[derive(Clone, Debug)]
pub struct Solution {
    group: Vec<usize>,
    volt: Vec<Option<f64>>,
}

impl Solution {
    /// Volts of a node; `None` where nothing fixes its potential.
    pub fn volt(&self, node: usize) -> Option<f64> {
        self.volt[self.group[node]]
    }

    /// Which ideally joined group a node is in; nodes of one group share one number.
    pub fn group(&self, node: usize) -> usize {
        self.group[node]
    }
}

impl Problem {
    /// The edges of a netlist at one corner.
    pub fn of_edges(netlist: &Netlist, edges: &[EdgeIndex], corner: Corner) -> Self {
        let resistances = edges
            .iter()
            .filter_map(|edge| {
                let (a, b) = netlist.graph.edge_endpoints(*edge)?;
                Some((a.index(), b.index(), netlist.graph[*edge].ohm.at(corner)))
            })
            .collect();
        Self { node_count: netlist.graph.node_count(), resistances, ..Self::default() }
    }

    /// Adds a node that is held at a potential, and returns it.
    pub fn add_held(&mut self, volt: f64) -> usize {
        self.held.push((self.node_count, volt));
        self.node_count += 1;
        self.node_count - 1
    }

    /// Solves for the potentials of all nodes. Cost: cube of the nodes left after ideal joins.
    ///
    /// # Errors
    /// Two held nodes at different potentials are joined without resistance.
    pub fn solve(&self) -> Result<Solution, Trouble> {
        let group = self.groups();
        let mut volt: Vec<Option<f64>> = vec![None; self.node_count];
        let mut holder: BTreeMap<usize, usize> = BTreeMap::new();
        for (node, given) in &self.held {
            let first = *holder.entry(group[*node]).or_insert(*node);
            match volt[group[*node]] {
                Some(there) if there != *given => return Err(Trouble::Conflict(first, *node)),
                Some(_) | None => volt[group[*node]] = Some(*given),
            }
        }
        let unknown = self.unknown_groups(&group, &volt);
        let column: BTreeMap<usize, usize> =
            unknown.iter().enumerate().map(|(n, g)| (*g, n)).collect();
        let size = unknown.len();
        let mut matrix = vec![vec![0.0; size + 1]; size];
        for (node, amp) in &self.fed {
            if let Some(row) = column.get(&group[*node]) {
                matrix[*row][size] += amp;
            }
        }
        for (a, b, ohm) in &self.resistances {
            let (a, b) = (group[*a], group[*b]);
            if a == b {
                continue;
            }
            for (this, that) in [(a, b), (b, a)] {
                let Some(row) = column.get(&this) else { continue };
                matrix[*row][*row] += 1.0 / ohm;
                match (column.get(&that), volt[that]) {
                    (Some(col), _) => matrix[*row][*col] -= 1.0 / ohm,
                    (None, Some(given)) => matrix[*row][size] += given / ohm,
                    (None, None) => {}
                }
            }
        }
        for (row, value) in gauss(matrix).into_iter().enumerate() {
            volt[unknown[row]] = Some(value);
        }
        Ok(Solution { group, volt })
    }

    /// Solves only the part of the circuit that the wanted nodes touch without passing a held one,
    /// after cutting off branches that can carry no current.
    ///
    /// # Errors
    /// As [`Problem::solve`].
    pub fn solve_around(&self, wanted: &[usize]) -> Result<Solution, Trouble> {
        let held: BTreeSet<usize> = self.held.iter().map(|(node, _)| *node).collect();
        let mut around: Vec<Vec<usize>> = vec![Vec::new(); self.node_count];
        for (idx, (a, b, _)) in self.resistances.iter().enumerate().filter(|(_, (a, b, _))| a != b)
        {
            around[*a].push(idx);
            around[*b].push(idx);
        }
        let mut kept = vec![false; self.resistances.len()];
        let mut seen: BTreeSet<usize> = wanted.iter().copied().collect();
        let mut waiting: Vec<usize> = wanted.to_vec();
        while let Some(node) = waiting.pop() {
            // A held node ends the search, but what joins it ideally to another is kept to be checked.
            let is_end = held.contains(&node) && !wanted.contains(&node);
            for idx in &around[node] {
                let (a, b, ohm) = self.resistances[*idx];
                if is_end && ohm > 0.0 {
                    continue;
                }
                kept[*idx] = true;
                let next = if a == node { b } else { a };
                if seen.insert(next) {
                    waiting.push(next);
                }
            }
        }
        let anchored = |node: usize| held.contains(&node) || wanted.contains(&node);
        let mut degree: Vec<usize> =
            around.iter().map(|edges| edges.iter().filter(|idx| kept[**idx]).count()).collect();
        let mut loose: Vec<usize> =
            (0..self.node_count).filter(|n| degree[*n] == 1 && !anchored(*n)).collect();
        while let Some(node) = loose.pop() {
            let Some(idx) = around[node].iter().copied().find(|idx| kept[*idx]) else { continue };
            kept[idx] = false;
            let (a, b, _) = self.resistances[idx];
            for end in [a, b] {
                degree[end] -= 1;
                if degree[end] == 1 && !anchored(end) {
                    loose.push(end);
                }
            }
        }
        let mut keep = kept.iter();
        let mut part = self.clone();
        part.resistances.retain(|_| *keep.next().expect("one mark per resistance"));
        part.solve()
    }

    /// Volts of node `a` against node `b`; `Ok(Err(node))` names the one whose potential nothing fixes.
    ///
    /// # Errors
    /// As [`Problem::solve`].
    pub fn volt_between(&self, a: usize, b: usize) -> Result<Result<f64, usize>, Trouble> {
        let solution = self.solve_around(&[a, b])?;
        Ok(match (solution.volt(a), solution.volt(b)) {
            (Some(volt_a), Some(volt_b)) => {
                // Rounding leaves some 1e-15 V between nodes that no current parts.
                let volt = volt_a - volt_b;
                Ok(if volt.abs() <= 1e-12 * volt_a.abs().max(volt_b.abs()) { 0.0 } else { volt })
            }
            (None, None) if self.is_one_piece(a, b) => Ok(0.0),
            (None, _) => Err(a),
            (Some(_), None) => Err(b),
        })
    }

    /// Whether some way leads from one node to the other.
    fn is_one_piece(&self, a: usize, b: usize) -> bool {
        let mut around = vec![Vec::new(); self.node_count];
        for (from, to, _) in &self.resistances {
            around[*from].push(*to);
            around[*to].push(*from);
        }
        let label = spread(&around);
        label[a] == label[b]
    }

    /// Numbers the ideally joined groups by their first node.
    fn groups(&self) -> Vec<usize> {
        let mut around = vec![Vec::new(); self.node_count];
        for (a, b, ohm) in &self.resistances {
            if *ohm == 0.0 {
                around[*a].push(*b);
                around[*b].push(*a);
            }
        }
        spread(&around)
    }

    /// Groups without a given potential that some way joins to a given one.
    fn unknown_groups(&self, group: &[usize], volt: &[Option<f64>]) -> Vec<usize> {
        let mut around = vec![Vec::new(); self.node_count];
        for (a, b, _) in &self.resistances {
            around[group[*a]].push(group[*b]);
            around[group[*b]].push(group[*a]);
        }
        let mut reached = vec![false; self.node_count];
        let mut waiting: Vec<usize> = (0..self.node_count).filter(|g| volt[*g].is_some()).collect();
        while let Some(at) = waiting.pop() {
            for next in &around[at] {
                if !std::mem::replace(&mut reached[*next], true) && volt[*next].is_none() {
                    waiting.push(*next);
                }
            }
        }
        (0..self.node_count).filter(|g| reached[*g] && volt[*g].is_none()).collect()
    }
}

/// Ohms between two nodes over the given edges; infinite where there is no way.
pub fn ohm(
    netlist: &Netlist,
    edges: &[EdgeIndex],
    corner: Corner,
    a: NodeIndex,
    b: NodeIndex,
) -> f64 {
    let mut problem = Problem::of_edges(netlist, edges, corner);
    problem.held.push((b.index(), 0.0));
    problem.fed.push((a.index(), 1.0));
    let solution = problem.solve().expect("one held node cannot be at two potentials");
    solution.volt(a.index()).unwrap_or(f64::INFINITY)
}

/// Labels every node with the lowest node it is joined to.
fn spread(around: &[Vec<usize>]) -> Vec<usize> {
    let mut label = vec![usize::MAX; around.len()];
    for start in 0..around.len() {
        if label[start] != usize::MAX {
            continue;
        }
        label[start] = start;
        let mut waiting = vec![start];
        while let Some(at) = waiting.pop() {
            for next in &around[at] {
                if label[*next] == usize::MAX {
                    label[*next] = start;
                    waiting.push(*next);
                }
            }
        }
    }
    label
}

/// Gaussian elimination with row pivots on a regular system with its right side as last column.
fn gauss(mut rows: Vec<Vec<f64>>) -> Vec<f64> {
    let size = rows.len();
    for col in 0..size {
        let best = (col..size).max_by(|a, b| rows[*a][col].abs().total_cmp(&rows[*b][col].abs()));
        rows.swap(col, best.unwrap_or(col));
        let (above, below) = rows.split_at_mut(col + 1);
        let pivot = &above[col];
        for row in below.iter_mut().filter(|row| row[col] != 0.0) {
            let factor = row[col] / pivot[col];
            for (value, under) in row[col..].iter_mut().zip(&pivot[col..]) {
                *value -= factor * under;
            }
        }
    }
    let mut values = vec![0.0; size];
    for row in (0..size).rev() {
        let known: f64 = (row + 1..size).map(|col| rows[row][col] * values[col]).sum();
        values[row] = (rows[row][size] - known) / rows[row][row];
    }
    values
}
