//! One sense pin's network, reduced and ready to be walked.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::{EdgeIndex, NodeIndex};
use petgraph::unionfind::UnionFind;

use crate::circuit::blocks::edges_on_paths;
use crate::circuit::cut::{Cut, Prepared};
use crate::circuit::netlist::{Netlist, Potential, Switch};
use crate::circuit::ohm::Corner;
use crate::circuit::split::Split;
use crate::circuit::states::{self, Decided, Level};
use crate::model::{ControlId, PartId, Project, SensePin, State};

/// More states than this are not listed.
pub const MAX_STATES: usize = 1 << 17;

/// More states than this are not looked at one by one, even where none is kept.
pub const MAX_LOOKED_AT: usize = 1 << 24;

/// What lies between a pin and its reference, whatever the controls do.
#[derive(Clone, Debug)]
pub struct PinNetwork {
    /// The pin's node.
    pub pin: NodeIndex,
    /// The reference's node.
    pub reference: NodeIndex,
    /// Edges that can carry current to or from the pin in some state.
    pub edges: Vec<EdgeIndex>,
    /// Edges that hang on the network but can never carry current.
    pub dangling: Vec<EdgeIndex>,
    /// Whether some setting of the contacts joins pin and reference.
    pub has_path: bool,
    /// Other potentials the network touches: the reading is then no mere matter of ohms.
    pub mixed: Vec<Potential>,
    levels: Vec<Level>,
    corners: Vec<Prepared>,
}

impl PinNetwork {
    /// Cuts the pin's network out of the netlist and reduces it. `None` where pin or reference
    /// is a terminal that does not exist.
    pub fn new(project: &Project, netlist: &Netlist, pin: &SensePin) -> Option<Self> {
        let (node, reference) = (netlist.node(pin.terminal)?, netlist.node(pin.reference)?);
        let edges = relevant_edges(netlist, node, reference);
        let switches: Vec<(EdgeIndex, Switch)> =
            edges.iter().filter_map(|edge| Some((*edge, netlist.graph[*edge].switch?))).collect();
        let contacts = switches
            .iter()
            .map(|(_, switch)| switch.contact)
            .chain(netlist.contacts_of_coils(node))
            .collect();
        let levels = levels(project, &moving_controls(project, &contacts), &switches);
        let driven = driven_contacts(project);
        let cut = Cut {
            netlist,
            pin: node,
            reference,
            edges: &edges,
            switches: &switches,
            driven,
            standing: BTreeMap::new(),
        };
        let split = Split::find(&cut, &levels);
        let of_corner = |corner: &Corner| Prepared::new(&cut, *corner, &levels, split.as_ref());
        let corners = Corner::ALL.iter().map(of_corner).collect();
        let reached = reachable(netlist, node, reference);
        let has_path = node == reference || reached.contains(&reference);
        let own: BTreeSet<EdgeIndex> = edges.iter().copied().collect();
        let dangling = netlist
            .graph
            .edge_indices()
            .filter(|edge| !own.contains(edge) && is_inside(netlist, *edge, &reached, reference))
            .collect();
        let mixed = mixed_potentials(netlist, &edges, reference);
        Some(Self { pin: node, reference, edges, dangling, has_path, mixed, levels, corners })
    }

    /// Controls that can change the reading, and those they need, in the order of the control strip.
    pub fn controls(&self) -> impl Iterator<Item = ControlId> {
        self.levels.iter().map(|level| level.control)
    }

    /// How many states there are at most, before what controls need of each other is looked at.
    pub fn state_bound(&self) -> usize {
        self.levels.iter().fold(1, |n: usize, level| n.saturating_mul(usize::from(level.positions)))
    }

    /// Position on every level in a state that has been settled.
    pub fn positions(&self, project: &Project, state: &State) -> Vec<u8> {
        self.levels
            .iter()
            .map(|level| {
                project
                    .controls
                    .get(level.control)
                    .map_or(0, |control| state.position(level.control, control))
            })
            .collect()
    }

    /// Positions of every allowed state, first control slowest.
    pub fn all_positions(&self) -> Vec<Vec<u8>> {
        states::all_positions(&self.levels)
    }

    /// Positions as a state.
    pub fn state(&self, positions: &[u8]) -> State {
        State(self.controls().zip(positions.iter().copied()).collect())
    }

    /// Ohms between pin and reference in every allowed state; infinite where open.
    pub fn all_ohms(&self, corner: Corner) -> Vec<f64> {
        let prepared = &self.corners[corner as usize];
        match &prepared.halves {
            Some(halves) => halves.ohms(&self.levels),
            None => states::walk(&self.levels, &prepared.whole),
        }
    }

    /// The same in blocks, none of which is kept, so that any number of states can be looked at;
    /// stops when `visit` says not to go on.
    pub fn ohms_in_blocks(&self, corner: Corner, visit: &mut dyn FnMut(&[f64]) -> bool) {
        let prepared = &self.corners[corner as usize];
        match &prepared.halves {
            Some(halves) => halves.blocks(&self.levels, visit),
            None => states::walk_blocks(&self.levels, &prepared.whole, visit),
        }
    }

    /// Whether the states are reckoned from two halves.
    #[cfg(test)]
    pub(super) fn is_halved(&self) -> bool {
        self.corners.iter().all(|corner| corner.halves.is_some())
    }

    /// Ohms between pin and reference in one state; infinite where open.
    pub fn ohm(&self, corner: Corner, positions: &[u8]) -> f64 {
        states::one(&self.levels, &self.corners[corner as usize].whole, positions)
    }
}

/// The state the controls really stand in: what is not allowed goes back to rest.
pub fn settled(project: &Project, state: &State) -> State {
    let mut settled = state.clone();
    for _ in 0..=project.controls.len() {
        let back: Vec<(ControlId, u8)> = project
            .controls
            .iter()
            .filter(|(id, control)| {
                !project.is_allowed(*id, settled.position(*id, control), &settled)
            })
            .map(|(id, control)| (id, control.rest))
            .collect();
        if back.is_empty() {
            break;
        }
        settled.0.extend(back);
    }
    settled
}

fn ends(netlist: &Netlist, edge: EdgeIndex) -> (NodeIndex, NodeIndex) {
    netlist.graph.edge_endpoints(edge).expect("indices come from this graph, which loses no edge")
}

/// Edges on a way from the pin to its reference, where current may also go by way of another
/// potential: sources join all potentials.
pub(super) fn relevant_edges(
    netlist: &Netlist,
    pin: NodeIndex,
    reference: NodeIndex,
) -> Vec<EdgeIndex> {
    let mut pairs: Vec<(usize, usize)> = netlist
        .graph
        .edge_indices()
        .map(|edge| {
            let (a, b) = ends(netlist, edge);
            (a.index(), b.index())
        })
        .collect();
    let own = pairs.len();
    pairs.extend(netlist.potentials.iter().map(|p| (reference.index(), p.node.index())));
    let marked = edges_on_paths(netlist.graph.node_count(), &pairs, pin.index(), reference.index());
    (0..own).filter(|idx| marked[*idx]).map(EdgeIndex::new).collect()
}

/// Nodes the pin can reach without going through its reference or another potential.
fn reachable(netlist: &Netlist, pin: NodeIndex, reference: NodeIndex) -> BTreeSet<NodeIndex> {
    let held: BTreeSet<NodeIndex> = netlist.potentials.iter().map(|p| p.node).collect();
    let mut seen = BTreeSet::from([pin]);
    let mut waiting = vec![pin];
    while let Some(node) = waiting.pop() {
        if node != pin && (node == reference || held.contains(&node)) {
            continue;
        }
        for next in netlist.graph.neighbors(node) {
            if seen.insert(next) {
                waiting.push(next);
            }
        }
    }
    seen
}

fn is_inside(
    netlist: &Netlist,
    edge: EdgeIndex,
    reached: &BTreeSet<NodeIndex>,
    reference: NodeIndex,
) -> bool {
    let (a, b) = ends(netlist, edge);
    let inner = |node: NodeIndex| {
        node != reference
            && reached.contains(&node)
            && netlist.potentials.iter().all(|p| p.node != node)
    };
    inner(a) || inner(b)
}

/// Potentials on the network other than the reference and what is always joined to it.
pub(super) fn mixed_potentials(
    netlist: &Netlist,
    edges: &[EdgeIndex],
    reference: NodeIndex,
) -> Vec<Potential> {
    let mut touched = vec![false; netlist.graph.node_count()];
    for (a, b) in edges.iter().map(|edge| ends(netlist, *edge)) {
        (touched[a.index()], touched[b.index()]) = (true, true);
    }
    let mut others: Vec<Potential> = netlist.potentials.clone();
    others.retain(|other| other.node != reference && touched[other.node.index()]);
    if others.is_empty() {
        return others;
    }
    let mut joined = UnionFind::<usize>::new(netlist.graph.node_count());
    for edge in netlist.graph.edge_indices() {
        let weight = &netlist.graph[edge];
        if weight.switch.is_none() && !weight.is_resistor {
            let (a, b) = ends(netlist, edge);
            joined.union(a.index(), b.index());
        }
    }
    others.retain(|other| !joined.equiv(other.node.index(), reference.index()));
    others
}

fn driven_contacts(project: &Project) -> BTreeSet<PartId> {
    let positions = project.controls.iter().flat_map(|(_, control)| &control.positions);
    positions.flat_map(|position| position.throws.keys().copied()).collect()
}

/// The controls that move one of these contacts, and those they need.
fn moving_controls(project: &Project, contacts: &BTreeSet<PartId>) -> BTreeSet<ControlId> {
    let mut chosen: BTreeSet<ControlId> = project
        .controls
        .iter()
        .filter(|(_, control)| {
            control
                .positions
                .iter()
                .any(|p| p.throws.keys().any(|contact| contacts.contains(contact)))
        })
        .map(|(id, _)| id)
        .collect();
    let mut waiting: Vec<ControlId> = chosen.iter().copied().collect();
    while let Some(id) = waiting.pop() {
        let need = project.controls.get(id).and_then(|control| control.needs);
        if let Some(need) = need.filter(|need| project.controls.contains(need.control))
            && chosen.insert(need.control)
        {
            waiting.push(need.control);
        }
    }
    chosen
}

/// These controls as levels of the walk, with the contacts among `switches` that they decide.
pub(super) fn levels(
    project: &Project,
    chosen: &BTreeSet<ControlId>,
    switches: &[(EdgeIndex, Switch)],
) -> Vec<Level> {
    let contacts: BTreeSet<PartId> = switches.iter().map(|(_, switch)| switch.contact).collect();
    let order: BTreeMap<ControlId, usize> =
        chosen.iter().enumerate().map(|(n, id)| (*id, n)).collect();
    let mut levels: Vec<Level> = order
        .keys()
        .filter_map(|id| {
            let control = project.controls.get(*id)?;
            Some(Level {
                control: *id,
                positions: u8::try_from(control.positions.len()).unwrap_or(u8::MAX),
                rest: control.rest,
                need: control.needs.and_then(|need| Some((*order.get(&need.control)?, need))),
                contacts: Vec::new(),
            })
        })
        .collect();
    for contact in contacts {
        let throws: Vec<(usize, Vec<Option<u8>>)> = order
            .iter()
            .filter_map(|(id, level)| {
                let positions = &project.controls.get(*id)?.positions;
                let by_position: Vec<Option<u8>> = positions
                    .iter()
                    .map(|position| position.throws.get(&contact).copied())
                    .collect();
                by_position.iter().any(Option::is_some).then_some((*level, by_position))
            })
            .collect();
        if let Some((last, _)) = throws.last() {
            let edges = (0..switches.len())
                .filter(|idx| switches[*idx].1.contact == contact)
                .map(|idx| (switches[idx].1.throw, idx))
                .collect();
            levels[*last].contacts.push(Decided { throws, edges });
        }
    }
    levels
}
