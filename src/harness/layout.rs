//! The harness layout as a graph: places are nodes, runs are edges, the shortest way wins.
//! A splice that sits along a run is a node too, and parts the run in two.
//!
//! Lengths are counted in whole millionths of a millimetre, so sums are exact, and a route does
//! not depend on the direction it is asked for or on the order of the rows.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::collections::BinaryHeap;

use petgraph::graph::{EdgeIndex, NodeIndex, UnGraph};
use petgraph::visit::EdgeRef;

use crate::model::{PartId, PartKind, PlaceId, Project, Run, RunId};

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
/// project.runs.put(run, Run { name, from: a, to: b, length_mm: 1250.0, loop_mm: None, laid: Default::default() });
/// let layout = Layout::new(&project);
/// let tree = layout.tree(a).expect("the place exists");
/// assert_eq!(layout.route(&tree, b), Some(vec![run]));
/// ```
pub struct Layout {
    graph: UnGraph<Stop, (Stretch, Micro)>,
    nodes: BTreeMap<Stop, NodeIndex>,
}

/// Where a wire may end or must pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stop {
    /// A place.
    Place(PlaceId),
    /// A splice along a run.
    Splice(PartId),
}

/// A run or a part of one, as a wire passes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// The run.
    pub run: RunId,
    /// Where the wire comes onto it, in millimetres from the run's first end.
    pub from_mm: f64,
    /// Where the wire leaves it, in millimetres from the run's first end; below `from_mm` where it
    /// passes the run backwards.
    pub to_mm: f64,
}

impl Stretch {
    /// Length in millimetres.
    pub fn length_mm(&self) -> f64 {
        (self.to_mm - self.from_mm).abs()
    }

    /// The same the other way.
    pub fn reversed(self) -> Self {
        Self { from_mm: self.to_mm, to_mm: self.from_mm, ..self }
    }

    /// Whether `next` goes on along the same run.
    pub fn goes_on(&self, next: &Self) -> bool {
        let is_same_way = (self.to_mm > self.from_mm) == (next.to_mm > next.from_mm);
        self.run == next.run && self.to_mm == next.from_mm && is_same_way
    }
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
        let mut layout = Self { graph: UnGraph::default(), nodes: BTreeMap::new() };
        for (id, _) in project.places.iter() {
            layout.add_node(Stop::Place(id));
        }
        let mut along: BTreeMap<RunId, Vec<(f64, PartId)>> = BTreeMap::new();
        for (id, part) in project.parts.iter() {
            if let PartKind::Splice { at: Some(at), .. } = part.kind
                && let Some(from_first_mm) = splice_mm(project, id)
            {
                along.entry(at.run).or_default().push((from_first_mm, id));
            }
        }
        for (id, run) in project.runs.iter() {
            layout.add_run(id, run, along.remove(&id).unwrap_or_default());
        }
        layout
    }

    fn add_node(&mut self, stop: Stop) -> NodeIndex {
        let node = self.graph.add_node(stop);
        self.nodes.insert(stop, node);
        node
    }

    /// Puts a run in, parted where splices sit.
    fn add_run(&mut self, id: RunId, run: &Run, mut splices: Vec<(f64, PartId)>) {
        let ends = [run.from, run.to].map(|place| self.nodes.get(&Stop::Place(place)).copied());
        let ([Some(from), Some(to)], Some(length)) = (ends, micro(run.length_mm)) else { return };
        if from == to {
            return;
        }
        splices.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let (mut node, mut from_mm, mut gone) = (from, 0.0, 0);
        for (at_mm, splice) in splices {
            let next = self.add_node(Stop::Splice(splice));
            let reached = ((at_mm * 1e6).round() as Micro).min(length);
            let stretch = Stretch { run: id, from_mm, to_mm: at_mm };
            self.graph.add_edge(node, next, (stretch, reached - gone));
            (node, from_mm, gone) = (next, at_mm, reached);
        }
        let stretch = Stretch { run: id, from_mm, to_mm: run.length_mm };
        self.graph.add_edge(node, to, (stretch, length - gone));
    }

    /// Whether the place is in the layout.
    pub fn contains(&self, place: PlaceId) -> bool {
        self.has(Stop::Place(place))
    }

    /// Whether the stop is in the layout.
    pub fn has(&self, stop: Stop) -> bool {
        self.nodes.contains_key(&stop)
    }

    /// Shortest ways from `source` to every place (Dijkstra 1959), `None` where there is no such place.
    ///
    /// Of equally long ways the one with fewer runs wins, then the one whose last run has the
    /// lower identity. Cost: O((places + runs) log places).
    pub fn tree(&self, source: PlaceId) -> Option<RouteTree> {
        self.tree_at(Stop::Place(source))
    }

    /// The same from any stop.
    pub fn tree_at(&self, source: Stop) -> Option<RouteTree> {
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
                let (stretch, run_length) = *edge.weight();
                let run = stretch.run;
                let step = Step {
                    length: length.saturating_add(run_length),
                    n_runs: n_runs + 1,
                    by: Some((run, edge.id(), node)),
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
        let mut runs: Vec<RunId> = Vec::new();
        for stretch in self.way(tree, Stop::Place(target))? {
            if runs.last() != Some(&stretch.run) {
                runs.push(stretch.run);
            }
        }
        Some(runs)
    }

    /// Stretches from the tree's source to a stop in order; `None` where no way leads there.
    pub fn way(&self, tree: &RouteTree, target: Stop) -> Option<Vec<Stretch>> {
        let mut node = *self.nodes.get(&target)?;
        let mut stretches = Vec::new();
        while node != tree.source {
            let (_, edge, before) = tree.reached[node.index()]?.by?;
            let stretch = self.graph[edge].0;
            let is_forward = self.graph.edge_endpoints(edge).is_some_and(|ends| ends.0 == before);
            stretches.push(if is_forward { stretch } else { stretch.reversed() });
            node = before;
        }
        stretches.reverse();
        Some(stretches)
    }

    /// Length of the way to `target` in millimetres; `None` where no way leads there.
    pub fn length_mm(&self, tree: &RouteTree, target: PlaceId) -> Option<f64> {
        let node = self.nodes.get(&Stop::Place(target))?;
        Some(tree.reached[node.index()]?.length as f64 / 1e6)
    }

    /// All places a way leads to from the tree's source, itself included.
    pub fn reached(&self, tree: &RouteTree) -> Vec<PlaceId> {
        let is_reached = |node: &NodeIndex| tree.reached[node.index()].is_some();
        let stops = self.nodes.iter().filter(|(_, node)| is_reached(node));
        let place = |(stop, _): (&Stop, _)| match stop {
            Stop::Place(id) => Some(*id),
            Stop::Splice(_) => None,
        };
        stops.filter_map(place).collect()
    }
}

/// Where a splice sits along its run, in millimetres from the run's first end; `None` for what is no
/// splice along a run, counts from a place that is no end of the run, or lies beyond its length.
pub fn splice_mm(project: &Project, splice: PartId) -> Option<f64> {
    let PartKind::Splice { at: Some(at), .. } = project.parts.get(splice)?.kind else {
        return None;
    };
    let run = project.runs.get(at.run)?;
    let lies_on_it = at.distance_mm >= 0.0 && at.distance_mm <= run.length_mm;
    if !lies_on_it {
        None
    } else if at.from == run.from {
        Some(at.distance_mm)
    } else if at.from == run.to {
        Some(run.length_mm - at.distance_mm)
    } else {
        None
    }
}

/// How a node was reached; ordered from better to worse.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Step {
    length: Micro,
    n_runs: u32,
    by: Option<(RunId, EdgeIndex, NodeIndex)>,
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
            let run = Run {
                name: format!("R{i}"),
                from,
                to,
                length_mm,
                loop_mm: None,
                laid: Default::default(),
            };
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
