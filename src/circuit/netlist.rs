//! From a drawing to a graph: terminals are nodes; whatever joins two of them is an edge in ohms.
//!
//! Edges of zero ohms stay edges here; who solves the network joins their ends, corner by corner,
//! because a contact may be ideal at best and have three ohms at worst.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use petgraph::graph::{EdgeIndex, NodeIndex, UnGraph};
use petgraph::visit::EdgeRef;

use crate::circuit::active::Active;
use crate::circuit::ohm::Ohm;
use crate::model::{
    Connector, Contact, Diagnostic, Mating, PartId, PartKind, Project, SensePinId, Severity, Side,
    State, Subject, TerminalRef, Wire, WireId, WireUse,
};
use crate::units::Range;

/// What an edge stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// A resistor, fuse, contact or element.
    Part(PartId),
    /// The coil of a relay.
    Coil(PartId),
    /// A wire or a stretch of one.
    Wire(WireId),
    /// One mated joint of a connector.
    Joint {
        /// The connector.
        part: PartId,
        /// Cavity number from 1.
        cavity: u16,
    },
    /// The wire loop that was given for a sense pin as one figure.
    Loop(SensePinId),
    /// Something that is in no drawing: water, a pinched wire.
    Bridge,
}

impl Source {
    /// The resistor, fuse, contact or element an edge stands for; `None` for a coil, which is only
    /// half of its relay, and for what is no part.
    pub fn part(self) -> Option<PartId> {
        match self {
            Self::Part(part) => Some(part),
            Self::Coil(_) | Self::Wire(_) | Self::Joint { .. } | Self::Loop(_) | Self::Bridge => {
                None
            }
        }
    }
}

/// The throw of a contact that closes an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Switch {
    /// The contact.
    pub contact: PartId,
    /// Throw in which it conducts.
    pub throw: u8,
}

/// A resistance between two nodes.
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// What it stands for.
    pub source: Source,
    /// Its resistance.
    pub ohm: Ohm,
    /// The contact throw that closes it; `None` where it always conducts.
    pub switch: Option<Switch>,
    /// Whether it is a resistor, which limits current by design.
    pub is_resistor: bool,
}

/// A point of the circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Node {
    /// A terminal to name it by.
    pub at: TerminalRef,
}

/// A node whose potential something fixes while supplies are on and the controller is plugged in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Potential {
    /// The node.
    pub node: NodeIndex,
    /// Volts against ground.
    pub volt: Range,
    /// What fixes it.
    pub part: PartId,
}

/// What other modules know about wires: resistance by wire, and how far along a wire a splice sits.
#[derive(Clone, Debug, Default)]
pub struct WireData {
    /// Resistance in ohms; a wire that is not named is ideal.
    pub ohm: BTreeMap<WireId, Range>,
    /// Share of the wire between its first end and the splice, 0 to 1; half where not named.
    pub tap_fraction: BTreeMap<PartId, f64>,
}

/// The whole drawing as a graph.
#[derive(Clone, Debug)]
pub struct Netlist {
    /// Nodes and resistances.
    pub graph: UnGraph<Node, Edge>,
    /// Nodes that something holds at a potential.
    pub potentials: Vec<Potential>,
    /// Diodes, coils and loads that decide for themselves what they do.
    pub actives: Vec<Active>,
    /// What could not be understood while reading the drawing.
    pub findings: Vec<Diagnostic>,
    ground: Option<NodeIndex>,
    /// Shared by all changed copies, because no change adds a terminal.
    node_of: Arc<BTreeMap<TerminalRef, NodeIndex>>,
    /// Far side of the wire loops that were given as one figure, by the pin's terminal.
    inner: Arc<BTreeMap<TerminalRef, NodeIndex>>,
}

impl Netlist {
    /// Reads the drawing. Cost: linear in parts and wires, times a logarithm.
    pub fn new(project: &Project, wires: &WireData) -> Self {
        let mut list = Self {
            graph: UnGraph::default(),
            potentials: Vec::new(),
            actives: Vec::new(),
            findings: Vec::new(),
            ground: None,
            node_of: Arc::default(),
            inner: Arc::default(),
        };
        list.add_nodes(project);
        list.inner = Arc::new(list.add_pin_loops(project));
        for (id, part) in project.parts.iter() {
            list.add_part(project, id, &part.kind);
        }
        let taps = taps_by_wire(project, wires);
        for (id, wire) in project.wires.iter() {
            let ohm = wires.ohm.get(&id).copied().unwrap_or(Range::exact(0.0));
            list.add_wire(id, wire, ohm, taps.get(&id).map_or(&[], Vec::as_slice));
        }
        list.idealise_looped_pins(project);
        list.add_potentials(project);
        list
    }

    /// The node of a terminal; `None` where there is no such terminal.
    pub fn node(&self, terminal: TerminalRef) -> Option<NodeIndex> {
        self.node_of.get(&terminal).copied()
    }

    /// The node a wire to this terminal ends at: beyond the pin's loop where that is one figure.
    pub fn wire_node(&self, terminal: TerminalRef) -> Option<NodeIndex> {
        self.inner.get(&terminal).copied().or_else(|| self.node(terminal))
    }

    /// Whether an edge conducts in a state.
    pub fn is_closed(&self, project: &Project, state: &State, edge: EdgeIndex) -> bool {
        self.graph[edge]
            .switch
            .is_none_or(|switch| project.throw(switch.contact, state) == switch.throw)
    }

    /// Every edge that conducts in a state.
    pub fn closed_edges(&self, project: &Project, state: &State) -> Vec<EdgeIndex> {
        self.graph.edge_indices().filter(|edge| self.is_closed(project, state, *edge)).collect()
    }

    /// Name of a node as it stands in lists.
    pub fn node_name(&self, project: &Project, node: NodeIndex) -> String {
        project.terminal_name(self.graph[node].at)
    }

    fn add_nodes(&mut self, project: &Project) {
        let mut ground = None;
        let mut node_of = BTreeMap::new();
        for (id, part) in project.parts.iter() {
            if matches!(part.kind, PartKind::Ground) {
                let at = TerminalRef { part: id, terminal: 0 };
                let node = *ground.get_or_insert_with(|| self.graph.add_node(Node { at }));
                node_of.insert(at, node);
                continue;
            }
            for terminal in (0..part.kind.terminal_count()).filter(|t| part.kind.has_terminal(*t)) {
                let at = TerminalRef { part: id, terminal };
                let node = self.graph.add_node(Node { at });
                node_of.insert(at, node);
            }
        }
        self.node_of = Arc::new(node_of);
        self.ground = ground;
        if let Some(node) = ground {
            let part = self.graph[node].at.part;
            self.potentials.push(Potential { node, volt: Range::exact(0.0), part });
        }
    }

    /// Where a pin has a wire loop of its own, puts it between the pin and all that is wired to it.
    /// Returns the nodes on the far side, by the pin's terminal.
    fn add_pin_loops(&mut self, project: &Project) -> BTreeMap<TerminalRef, NodeIndex> {
        let mut inner = BTreeMap::new();
        for (id, pin) in project.sense_pins.iter() {
            let (Some(ohm), Some(node)) = (pin.wire_loop_ohm, self.node(pin.terminal)) else {
                continue;
            };
            let ohm = Ohm::same(ohm);
            if inner.contains_key(&pin.terminal) || !ohm.is_sane() {
                continue;
            }
            let far = self.graph.add_node(Node { at: pin.terminal });
            let edge = Edge { source: Source::Loop(id), ohm, switch: None, is_resistor: false };
            self.graph.add_edge(node, far, edge);
            inner.insert(pin.terminal, far);
        }
        inner
    }

    fn add_part(&mut self, project: &Project, id: PartId, kind: &PartKind) {
        let settings = &project.settings;
        let source = Source::Part(id);
        let at = |terminal| TerminalRef { part: id, terminal };
        match kind {
            PartKind::Resistor(resistor) => {
                let ohm = Ohm::resistor(resistor, settings.temperature_span_k);
                let edge = Edge { source, ohm, switch: None, is_resistor: resistor.ohm > 0.0 };
                self.join(at(0), at(1), edge);
            }
            PartKind::Fuse(fuse) => {
                let ohm = Ohm::same(Range::exact(fuse.cold_ohm));
                self.join(at(0), at(1), Edge { source, ohm, switch: None, is_resistor: false });
            }
            PartKind::Contact(contact) => self.add_contact(project, id, contact),
            PartKind::Connector(connector) => self.add_connector(project, id, connector),
            PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Splice { .. }
            | PartKind::Controller(_)
            | PartKind::TestPoint => {}
            PartKind::Element(element) => self.add_element(id, element, settings.contact_ohm),
        }
    }

    fn add_contact(&mut self, project: &Project, id: PartId, contact: &Contact) {
        let ohm = Ohm::same(contact.closed_ohm.unwrap_or(project.settings.contact_ohm));
        for throw in 0..contact.form.throws() {
            let Some((a, b)) = contact.form.joined(throw) else { continue };
            let switch = Some(Switch { contact: id, throw });
            let edge = Edge { source: Source::Part(id), ohm, switch, is_resistor: false };
            let at = |terminal| TerminalRef { part: id, terminal };
            self.join(at(a), at(b), edge);
        }
    }

    fn add_connector(&mut self, project: &Project, id: PartId, connector: &Connector) {
        if connector.mating == Mating::Apart || connector.second.is_none() {
            return;
        }
        let ohm = Ohm::same(connector.joint_ohm.unwrap_or(project.settings.joint_ohm));
        for cavity in 1..=connector.layout.count() {
            let at = |terminal| TerminalRef { part: id, terminal };
            let source = Source::Joint { part: id, cavity };
            let first = 2 * (cavity - 1);
            self.join(
                at(first),
                at(first + 1),
                Edge { source, ohm, switch: None, is_resistor: false },
            );
        }
    }

    fn add_wire(&mut self, id: WireId, wire: &Wire, range: Range, taps: &[(f64, PartId)]) {
        let ohm = match wire.usage {
            WireUse::Internal => Ohm::same(Range::exact(0.0)),
            // All the spread of a wire comes from temperature; on the bench it has its usual value.
            WireUse::Harness => Ohm { worst: range, bench: (range.nominal, range.nominal) },
        };
        let mut from = wire.from.terminal;
        let mut done = 0.0;
        for (fraction, splice) in taps {
            let to = TerminalRef { part: *splice, terminal: 0 };
            let ohm = ohm.share(fraction - done);
            self.join(
                from,
                to,
                Edge { source: Source::Wire(id), ohm, switch: None, is_resistor: false },
            );
            (from, done) = (to, *fraction);
        }
        let ohm = ohm.share(1.0 - done);
        let edge = Edge { source: Source::Wire(id), ohm, switch: None, is_resistor: false };
        self.join(from, wire.to.terminal, edge);
    }

    pub(super) fn join(&mut self, a: TerminalRef, b: TerminalRef, edge: Edge) {
        let subject = match edge.source {
            Source::Part(part) | Source::Coil(part) | Source::Joint { part, .. } => {
                Subject::Part(part)
            }
            Source::Wire(wire) => Subject::Wire(wire),
            Source::Loop(pin) => Subject::SensePin(pin),
            Source::Bridge => Subject::Project,
        };
        if !edge.ohm.is_sane() {
            self.findings.push(Diagnostic {
                severity: Severity::Error,
                subject,
                what: "its resistance is not a number of ohms that can be reckoned with".into(),
                cure:
                    "give it a finite resistance, zero or above; until then it counts as not there"
                        .into(),
            });
            return;
        }
        match (self.wire_node(a), self.wire_node(b)) {
            (Some(a), Some(b)) => {
                self.graph.add_edge(a, b, edge);
            }
            _ => self.findings.push(Diagnostic {
                severity: Severity::Error,
                subject,
                what: "one of its ends goes to a terminal that does not exist".into(),
                cure: "draw it again or delete it; until then it counts as not there".into(),
            }),
        }
    }

    /// Wires of a pin whose loop is given as one figure are ideal: the figure holds them all.
    fn idealise_looped_pins(&mut self, project: &Project) {
        for (_, pin) in project.sense_pins.iter().filter(|(_, pin)| pin.wire_loop_ohm.is_some()) {
            let (Some(start), Some(stop)) = (self.node(pin.terminal), self.node(pin.reference))
            else {
                continue;
            };
            let held: BTreeSet<NodeIndex> = self.potentials.iter().map(|p| p.node).collect();
            let mut seen = BTreeSet::from([start]);
            let mut waiting = vec![start];
            while let Some(node) = waiting.pop() {
                if node != start
                    && (node == stop || held.contains(&node) || self.is_supply(project, node))
                {
                    continue;
                }
                let edges: Vec<(EdgeIndex, NodeIndex)> =
                    self.graph.edges(node).map(|e| (e.id(), e.target())).collect();
                for (edge, next) in edges {
                    if matches!(self.graph[edge].source, Source::Wire(_)) {
                        self.graph[edge].ohm = Ohm::same(Range::exact(0.0));
                    }
                    if seen.insert(next) {
                        waiting.push(next);
                    }
                }
            }
        }
    }

    /// The node of all ground points, where there are any.
    pub(super) fn ground_node(&self) -> Option<NodeIndex> {
        self.ground
    }

    /// A node that no drawing shows, held at a potential.
    pub(super) fn add_hidden_potential(
        &mut self,
        at: TerminalRef,
        volt: Range,
        part: PartId,
    ) -> NodeIndex {
        let node = self.graph.add_node(Node { at });
        self.potentials.push(Potential { node, volt, part });
        node
    }

    fn is_supply(&self, project: &Project, node: NodeIndex) -> bool {
        let part = project.parts.get(self.graph[node].at.part);
        part.is_some_and(|part| matches!(part.kind, PartKind::Supply(_)))
    }

    fn add_potentials(&mut self, project: &Project) {
        for (id, part) in project.parts.iter() {
            if let PartKind::Supply(supply) = &part.kind
                && let Some(node) = self.node(TerminalRef { part: id, terminal: 0 })
            {
                self.potentials.push(Potential { node, volt: supply.volt, part: id });
            }
        }
        for (_, pin) in project.sense_pins.iter() {
            let Some(part) = project.parts.get(pin.reference.part) else { continue };
            let Some(node) = self.node(pin.reference) else { continue };
            if !matches!(part.kind, PartKind::Controller(_))
                || self.potentials.iter().any(|p| p.node == node)
            {
                continue;
            }
            let volt = match pin.side {
                Side::Ground => Some(Range::exact(0.0)),
                Side::Supply => pin.reference_volt.map(|volt| volt.range()),
            };
            if let Some(volt) = volt {
                self.potentials.push(Potential { node, volt, part: pin.reference.part });
            }
        }
    }
}

/// Splices by the wire they are tapped onto, in order along it.
fn taps_by_wire(project: &Project, wires: &WireData) -> BTreeMap<WireId, Vec<(f64, PartId)>> {
    let mut taps: BTreeMap<WireId, Vec<(f64, PartId)>> = BTreeMap::new();
    for (id, part) in project.parts.iter() {
        if let PartKind::Splice { on: Some(wire), .. } = part.kind {
            let fraction = wires.tap_fraction.get(&id).copied().unwrap_or(0.5).clamp(0.0, 1.0);
            let fraction = if fraction.is_nan() { 0.5 } else { fraction };
            taps.entry(wire).or_default().push((fraction, id));
        }
    }
    for along in taps.values_mut() {
        along.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    }
    taps
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::ohm::Corner;
    use crate::circuit::reduce::ohm_between;
    use crate::testing::{Sketch, at};

    #[test]
    fn a_tapped_wire_is_split_where_the_splice_sits() {
        let mut sketch = Sketch::new();
        let controller = sketch.controller(3);
        let main = sketch.wire(at(controller, 0), at(controller, 1));
        sketch.project.wires.get_mut(main).unwrap().usage = WireUse::Harness;
        let (near, far) = (
            sketch.part("SP1", PartKind::Splice { on: Some(main), at: None }),
            sketch.part("SP2", PartKind::Splice { on: Some(main), at: None }),
        );
        sketch.wire(at(near, 0), at(controller, 2));
        let range = Range { low: 0.7, nominal: 0.8, high: 1.0 };
        let mut wires = WireData { ohm: BTreeMap::from([(main, range)]), ..WireData::default() };
        let ohm = |wires: &WireData, corner, a: TerminalRef, b: TerminalRef| {
            let list = Netlist::new(&sketch.project, wires);
            let all: Vec<EdgeIndex> = list.graph.edge_indices().collect();
            ohm_between(&list, &all, corner, list.node(a).unwrap(), list.node(b).unwrap())
        };
        let close = |got: f64, want: f64| assert!((got - want).abs() < 1e-12, "{got} and {want}");
        // Half where nothing is known: both splices in the middle.
        close(ohm(&wires, Corner::Nominal, at(controller, 0), at(controller, 2)), 0.4);
        close(ohm(&wires, Corner::Nominal, at(near, 0), at(far, 0)), 0.0);
        wires.tap_fraction = BTreeMap::from([(near, 0.75), (far, 0.25)]);
        close(ohm(&wires, Corner::High, at(controller, 0), at(controller, 2)), 0.75);
        close(ohm(&wires, Corner::Nominal, at(near, 0), at(far, 0)), 0.4);
        close(ohm(&wires, Corner::Low, at(controller, 0), at(controller, 1)), 0.7);
        // On the bench a wire is at room temperature.
        close(ohm(&wires, Corner::BenchHigh, at(controller, 0), at(controller, 1)), 0.8);
    }

    #[test]
    fn values_that_are_no_ohms_are_named_and_left_out() {
        let mut sketch = Sketch::new();
        let controller = sketch.controller(2);
        let bad = sketch.resistor_between("R1", f64::NAN, at(controller, 0), at(controller, 1));
        sketch.resistor_between("R2", 100.0, at(controller, 0), at(controller, 1));
        let list = Netlist::new(&sketch.project, &WireData::default());
        assert_eq!(list.findings.len(), 1);
        assert_eq!(list.findings[0].subject, Subject::Part(bad));
        let all: Vec<EdgeIndex> = list.graph.edge_indices().collect();
        let node = |n| list.node(at(controller, n)).unwrap();
        assert_eq!(ohm_between(&list, &all, Corner::Nominal, node(0), node(1)), 100.0);
    }
}
