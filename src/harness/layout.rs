//! The harness layout as a graph: places are nodes, runs are edges, the shortest way wins.
//!
//! Lengths are counted in whole millionths of a millimetre, so sums are exact, and a route does
//! not depend on the direction it is asked for or on the order of the rows.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::collections::BinaryHeap;

use petgraph::graph::{NodeIndex, UnGraph};
use petgraph::visit::EdgeRef;

use crate::model::{PlaceId, Project, RunId};

/// Length of a run in millionths of a millimetre.
type Micro = u64;

/// The layout graph of one project revision.
///
/// ```
/// use ohmloom::geometry::point;
/// use ohmloom::harness::Layout;
/// use ohmloom::model::{Place, Project, Run};
///
/// let mut project = Project::empty("two places");
/// let (a, b) = (project.fresh_id(), project.fresh_id());
/// for id in [a, b] {
///     let pos = point(0.0, 0.0);
///     project.places.put(id, Place { name: format!("place {id}"), pos });
/// }
/// let run = project.fresh_id();
/// let name = "along the floor".to_owned();
/// project.runs.put(run, Run { name, from: a, to: b, length_mm: 1250.0, loop_mm: None });
/// let layout = Layout::new(&project);
/// let tree = layout.tree(a).expect("the place exists");
/// assert_eq!(layout.route(&tree, b), Some(vec![run]));
/// ```
pub struct Layout {
    graph: UnGraph<PlaceId, (RunId, Micro)>,
    nodes: BTreeMap<PlaceId, NodeIndex>,
}

/// The shortest ways from one place to all others.
pub struct RouteTree {
    source: NodeIndex,
    /// Per node: length so far, and the node and run it was reached by.
    reached: Vec<Option<Step>>,
}

impl Layout {
    /// Builds the graph. Runs with a missing place or a length that is not a positive number
    /// are left out; so are runs from a place to itself, which lead nowhere.
    pub fn new(project: &Project) -> Self {
        let mut graph = UnGraph::default();
        let mut nodes = BTreeMap::new();
        for (id, _) in project.places.iter() {
            nodes.insert(id, graph.add_node(id));
        }
        for (id, run) in project.runs.iter() {
            if let (Some(&from), Some(&to)) = (nodes.get(&run.from), nodes.get(&run.to))
                && let Some(length) = micro(run.length_mm)
                && from != to
            {
                graph.add_edge(from, to, (id, length));
            }
        }
        Self { graph, nodes }
    }

    /// Whether the place is in the layout.
    pub fn contains(&self, place: PlaceId) -> bool {
        self.nodes.contains_key(&place)
    }

    /// Shortest ways from `source` to every place (Dijkstra 1959), `None` where there is no such place.
    ///
    /// Of equally long ways the one with fewer runs wins, then the one whose last run has the
    /// lower identity. Cost: O((places + runs) log places).
    pub fn tree(&self, source: PlaceId) -> Option<RouteTree> {
        let source = *self.nodes.get(&source)?;
        let mut reached: Vec<Option<Step>> = vec![None; self.graph.node_count()];
        let mut settled = vec![false; self.graph.node_count()];
        let mut queue = BinaryHeap::new();
        reached[source.index()] = Some(Step { length: 0, n_runs: 0, by: None });
        queue.push(Reverse((0 as Micro, 0_u32, source)));
        while let Some(Reverse((length, n_runs, node))) = queue.pop() {
            if std::mem::replace(&mut settled[node.index()], true) {
                continue;
            }
            for edge in self.graph.edges(node) {
                let next = if edge.source() == node { edge.target() } else { edge.source() };
                let (run, run_length) = *edge.weight();
                let step = Step {
                    length: length.saturating_add(run_length),
                    n_runs: n_runs + 1,
                    by: Some((run, node)),
                };
                let known = &mut reached[next.index()];
                if !settled[next.index()] && known.is_none_or(|known| step < known) {
                    *known = Some(step);
                    queue.push(Reverse((step.length, step.n_runs, next)));
                }
            }
        }
        Some(RouteTree { source, reached })
    }

    /// Runs from the tree's source to `target` in order; `None` where no way leads there.
    pub fn route(&self, tree: &RouteTree, target: PlaceId) -> Option<Vec<RunId>> {
        let mut node = *self.nodes.get(&target)?;
        let mut runs = Vec::new();
        while node != tree.source {
            let (run, before) = tree.reached[node.index()]?.by?;
            runs.push(run);
            node = before;
        }
        runs.reverse();
        Some(runs)
    }

    /// Length of the way to `target` in millimetres; `None` where no way leads there.
    pub fn length_mm(&self, tree: &RouteTree, target: PlaceId) -> Option<f64> {
        let step = tree.reached[self.nodes.get(&target)?.index()]?;
        Some(step.length as f64 / 1e6)
    }

    /// All places a way leads to from the tree's source, itself included.
    pub fn reached<'a>(&'a self, tree: &'a RouteTree) -> impl Iterator<Item = PlaceId> + 'a {
        let is_reached = |node: &NodeIndex| tree.reached[node.index()].is_some();
        self.graph.node_indices().filter(is_reached).map(|node| self.graph[node])
    }
}

/// How a node was reached; ordered from better to worse.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Step {
    length: Micro,
    n_runs: u32,
    by: Option<(RunId, NodeIndex)>,
}

/// Whole millionths of a millimetre, at least one; `None` for what is no length.
fn micro(length_mm: f64) -> Option<Micro> {
    let scaled = (length_mm * 1e6).round();
    (length_mm > 0.0 && scaled.is_finite()).then(|| (scaled as Micro).max(1))
}

#[cfg(test)]
mod tests {
    use petgraph::algo::bellman_ford;
    use petgraph::graph::DiGraph;

    use super::*;
    use crate::geometry::point;
    use crate::model::{Place, Run};

    fn project(n_places: u32, runs: &[(u32, u32, f64)]) -> Project {
        let mut project = Project::empty("layout");
        for n in 0..n_places {
            let place = Place { name: format!("P{n}"), pos: point(0.0, 0.0) };
            project.places.put(PlaceId(n), place);
        }
        for (i, &(from, to, length_mm)) in runs.iter().enumerate() {
            let (from, to) = (PlaceId(from), PlaceId(to));
            let run = Run { name: format!("R{i}"), from, to, length_mm, loop_mm: None };
            project.runs.put(RunId(i as u32), run);
        }
        project
    }

    fn route(project: &Project, from: u32, to: u32) -> Option<Vec<u32>> {
        let layout = Layout::new(project);
        let tree = layout.tree(PlaceId(from))?;
        Some(layout.route(&tree, PlaceId(to))?.into_iter().map(|run| run.0).collect())
    }

    #[test]
    fn the_shorter_way_wins_and_ties_have_a_rule() {
        let detour = project(3, &[(0, 2, 100.0), (0, 1, 40.0), (1, 2, 50.0)]);
        assert_eq!(route(&detour, 0, 2), Some(vec![1, 2]));
        let equal = project(3, &[(0, 1, 40.0), (1, 2, 60.0), (0, 2, 100.0), (2, 0, 100.0)]);
        assert_eq!(route(&equal, 0, 2), Some(vec![2]), "fewer runs, then the lower identity");
        assert_eq!(route(&equal, 2, 0), Some(vec![2]));
        assert_eq!(route(&project(3, &[(0, 1, 5.0)]), 0, 2), None, "no way");
        assert_eq!(route(&detour, 1, 1), Some(vec![]), "already there");
        assert_eq!(route(&detour, 7, 1), None, "no such place");
    }

    #[test]
    fn tenths_of_a_millimetre_do_not_break_a_tie() {
        // 0.1 + 0.2 is not 0.3 in binary; here they are the same length.
        let tie = project(3, &[(0, 1, 0.1), (1, 2, 0.2), (0, 2, 0.3)]);
        assert_eq!(route(&tie, 0, 2), Some(vec![2]));
    }

    /// Oracle: petgraph's Bellman-Ford (another algorithm, by another hand) on random layouts.
    #[test]
    fn lengths_agree_with_bellman_ford() {
        let mut seed = 0x2545_f491_4f6c_dd1d_u64;
        let mut draw = |below: u64| {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            seed % below
        };
        for _ in 0..40 {
            let n = 2 + draw(30) as u32;
            let runs: Vec<(u32, u32, f64)> = (0..draw(80))
                .map(|_| {
                    let (a, b) = (draw(n.into()) as u32, draw(n.into()) as u32);
                    (a, b, 1.0 + draw(500) as f64)
                })
                .collect();
            let project = project(n, &runs);
            let mut graph = DiGraph::<(), f64>::new();
            let nodes: Vec<_> = (0..n).map(|_| graph.add_node(())).collect();
            for &(a, b, length) in &runs {
                graph.add_edge(nodes[a as usize], nodes[b as usize], length);
                graph.add_edge(nodes[b as usize], nodes[a as usize], length);
            }
            let want = bellman_ford(&graph, nodes[0]).expect("no run is negative").distances;
            for (to, want) in want.iter().enumerate() {
                let got = route(&project, 0, to as u32)
                    .map_or(f64::INFINITY, |way| way.iter().map(|&r| runs[r as usize].2).sum());
                assert_eq!(got, *want, "to {to} of {runs:?}");
            }
        }
    }
}
