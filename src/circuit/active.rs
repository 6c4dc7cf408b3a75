//! Parts that change what they do with the voltage across them, as they stand in a netlist.

use std::collections::BTreeSet;

use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::circuit::netlist::{Edge, Netlist, Source, Switch};
use crate::circuit::ohm::Ohm;
use crate::model::{
    Diagnostic, Draw, Element, Input, KNEE_VOLT, Load, PartId, Relay, Severity, Subject,
    TerminalRef,
};
use crate::units::Range;

/// How an active part behaves between its two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// Blocks from `from` to `to` below the drop, then the drop and a resistance.
    Diode {
        /// Volts at which it begins to conduct.
        drop_volt: Range,
    },
    /// A coil: a resistance whose voltage throws the relay's contacts.
    Coil {
        /// Volts of either sign at which it surely pulls.
        pull_in_volt: f64,
        /// Volts at which it surely drops.
        drop_out_volt: f64,
    },
    /// Takes a current of its own above the knee, below it a resistance.
    Sink {
        /// Amperes.
        amp: Range,
    },
}

/// One active part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Active {
    /// The part.
    pub part: PartId,
    /// Anode, first end of the coil, first end of the load.
    pub from: NodeIndex,
    /// The other end.
    pub to: NodeIndex,
    /// What it does.
    pub law: Law,
}

/// Throw in which the switched edge of a diode or sink conducts like a resistance.
pub(super) const CONDUCTS: u8 = 1;

impl Netlist {
    /// Adds the edges of an element. Supplies off and with no current, a diode only leaks, a relay
    /// has dropped and a load of constant current takes none.
    pub(super) fn add_element(&mut self, id: PartId, element: &Element, closed_ohm: Range) {
        let at = |terminal| TerminalRef { part: id, terminal };
        let fixed =
            |source, range| Edge { source, ohm: Ohm::same(range), switch: None, is_resistor: true };
        let source = Source::Part(id);
        match element {
            Element::Diode(diode) => {
                if let Some(leak) = diode.leak_ohm {
                    self.join(at(0), at(1), fixed(source, leak));
                }
                self.add_conducting(id, Range::exact(diode.on_ohm));
                self.add_active(id, Law::Diode { drop_volt: diode.drop_volt });
            }
            Element::Relay(relay) => self.add_relay(id, relay, closed_ohm),
            Element::Load(Load { draw: Draw::Ohm(ohm), .. }) => {
                self.join(at(0), at(1), fixed(source, *ohm));
            }
            Element::Load(Load { draw: Draw::Amp(amp), .. }) => {
                let knee = |amp: f64| KNEE_VOLT / amp;
                let ohm =
                    Range { low: knee(amp.high), nominal: knee(amp.nominal), high: knee(amp.low) };
                self.add_conducting(id, ohm);
                self.add_active(id, Law::Sink { amp: *amp });
            }
            Element::Input(input) => self.add_input(id, input),
        }
    }

    fn add_conducting(&mut self, id: PartId, range: Range) {
        let at = |terminal| TerminalRef { part: id, terminal };
        let edge = Edge {
            source: Source::Part(id),
            ohm: Ohm::same(range),
            switch: Some(Switch { contact: id, throw: CONDUCTS }),
            is_resistor: true,
        };
        self.join(at(0), at(1), edge);
    }

    fn add_active(&mut self, id: PartId, law: Law) {
        let node = |terminal| self.wire_node(TerminalRef { part: id, terminal });
        if let (Some(from), Some(to)) = (node(0), node(1)) {
            self.actives.push(Active { part: id, from, to, law });
        }
    }

    fn add_relay(&mut self, id: PartId, relay: &Relay, closed_ohm: Range) {
        let at = |terminal| TerminalRef { part: id, terminal };
        let coil = Edge {
            source: Source::Coil(id),
            ohm: Ohm::same(relay.coil_ohm),
            switch: None,
            is_resistor: true,
        };
        self.join(at(0), at(1), coil);
        let ohm = Ohm::same(relay.closed_ohm.unwrap_or(closed_ohm));
        for (set, throw) in (0..relay.sets).flat_map(|set| [(set, 0), (set, 1)]) {
            let (a, b) = Relay::joined(set, throw);
            let switch = Some(Switch { contact: id, throw });
            let edge = Edge { source: Source::Part(id), ohm, switch, is_resistor: false };
            self.join(at(a), at(b), edge);
        }
        let (pull_in_volt, drop_out_volt) = (relay.pull_in_volt, relay.drop_out_volt);
        self.add_active(id, Law::Coil { pull_in_volt, drop_out_volt });
    }

    fn add_input(&mut self, id: PartId, input: &Input) {
        let at = TerminalRef { part: id, terminal: 0 };
        let Some(pull) = input.pull_ohm else {
            self.findings.push(Diagnostic {
                severity: Severity::Warning,
                subject: Subject::Part(id),
                what: "nobody knows what this input does to the pin, so it counts as not there"
                    .into(),
                cure: "measure its resistance to ground unplugged, or read it off its sheet".into(),
            });
            return;
        };
        let volt = input.pull_volt.map_or(Range::exact(0.0), |volt| volt.range());
        let far = match input.pull_volt {
            None => self.ground_node(),
            Some(_) => None,
        };
        let far = far.unwrap_or_else(|| self.add_hidden_potential(at, volt, id));
        let edge = Edge {
            source: Source::Part(id),
            ohm: Ohm::same(pull.range()),
            switch: None,
            is_resistor: true,
        };
        if let Some(node) = self.wire_node(at) {
            self.graph.add_edge(node, far, edge);
        }
    }

    /// Whether a part is a diode or a load of constant current.
    pub fn is_curved(&self, part: PartId) -> bool {
        let own = |active: &&Active| active.part == part;
        self.actives.iter().find(own).is_some_and(|active| !matches!(active.law, Law::Coil { .. }))
    }

    /// Ends of all contacts of relays.
    pub fn relay_nodes(&self) -> Vec<NodeIndex> {
        let is_relay = |part: PartId| {
            let own = |active: &Active| active.part == part;
            let coil = |active: &Active| matches!(active.law, Law::Coil { .. });
            self.actives.iter().any(|active| own(active) && coil(active))
        };
        let edges = self.graph.edge_indices();
        edges
            .filter(|edge| self.graph[*edge].switch.is_some_and(|s| is_relay(s.contact)))
            .filter_map(|edge| self.graph.edge_endpoints(edge))
            .flat_map(|(a, b)| [a, b])
            .collect()
    }

    /// Contacts that feed the coils of relays which switch what this node sees.
    pub(super) fn contacts_of_coils(&self, node: NodeIndex) -> BTreeSet<PartId> {
        let (actives, seen) = self.actives_around(&[node]);
        let has_coil = actives.iter().any(|idx| matches!(self.actives[*idx].law, Law::Coil { .. }));
        if !has_coil {
            return BTreeSet::new();
        }
        let inside = |edge: &EdgeIndex| {
            let ends = self.graph.edge_endpoints(*edge);
            ends.is_some_and(|(a, b)| seen.contains(&a) && seen.contains(&b))
        };
        let edges = self.graph.edge_indices().filter(inside);
        edges.filter_map(|edge| Some(self.graph[edge].switch?.contact)).collect()
    }

    /// Active parts that decide what these nodes see with supplies on, by index: those the nodes
    /// reach without passing a fixed potential, and the relays whose contacts stand on the way.
    pub(super) fn actives_around(&self, roots: &[NodeIndex]) -> (Vec<usize>, BTreeSet<NodeIndex>) {
        if self.actives.is_empty() {
            return (Vec::new(), BTreeSet::new());
        }
        let held: BTreeSet<NodeIndex> = self.potentials.iter().map(|p| p.node).collect();
        let mut seen: BTreeSet<NodeIndex> = BTreeSet::new();
        let mut waiting: Vec<NodeIndex> = roots.to_vec();
        let mut coils: BTreeSet<usize> = BTreeSet::new();
        loop {
            while let Some(node) = waiting.pop() {
                if seen.insert(node) && !held.contains(&node) {
                    waiting.extend(self.graph.neighbors(node));
                }
            }
            let touched: BTreeSet<PartId> = self
                .graph
                .edge_indices()
                .filter(|edge| {
                    let ends = self.graph.edge_endpoints(*edge);
                    ends.is_some_and(|(a, b)| {
                        let inner = |node| seen.contains(&node) && !held.contains(&node);
                        inner(a) || inner(b)
                    })
                })
                .filter_map(|edge| Some(self.graph[edge].switch?.contact))
                .collect();
            let more: Vec<usize> = (0..self.actives.len())
                .filter(|idx| {
                    let active = &self.actives[*idx];
                    matches!(active.law, Law::Coil { .. })
                        && touched.contains(&active.part)
                        && !coils.contains(idx)
                })
                .collect();
            if more.is_empty() {
                break;
            }
            waiting.extend(more.iter().flat_map(|i| [self.actives[*i].from, self.actives[*i].to]));
            coils.extend(more);
        }
        let inner = |node: &NodeIndex| seen.contains(node) && !held.contains(node);
        let others = (0..self.actives.len()).filter(|idx| {
            let active = &self.actives[*idx];
            !matches!(active.law, Law::Coil { .. }) && (inner(&active.from) || inner(&active.to))
        });
        let all: BTreeSet<usize> = others.chain(coils.iter().copied()).collect();
        (all.into_iter().collect(), seen)
    }
}
