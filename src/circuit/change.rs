//! A circuit with something changed in it: broken, bridged, stuck or of another value.

use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::circuit::netlist::{Edge, Netlist, Source, Switch};
use crate::circuit::nominal::Pull;
use crate::circuit::ohm::Ohm;
use crate::model::PartId;
use crate::units::Range;

/// One change to a circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// What joins two nodes never conducts.
    Open(Source),
    /// A resistance has another value, in ohms.
    Value(Source, f64),
    /// A resistance is so many times its usual value.
    Scaled(Source, f64),
    /// A resistance has so many ohms more.
    Added(Source, f64),
    /// A contact stays in one throw whatever the controls do.
    Stuck(PartId, u8),
    /// Two nodes are joined by so many ohms.
    Bridge(NodeIndex, NodeIndex, f64),
    /// A node hangs on a potential of its own: what the pull of another pin does.
    Pulled(NodeIndex, Pull),
}

/// A throw no contact has: an edge that waits for it never conducts.
const NEVER: u8 = u8::MAX;

impl Netlist {
    /// The same circuit with changes. Edges keep their indices; bridges come after them.
    pub fn changed(&self, changes: &[Change]) -> Self {
        let mut list = self.clone();
        for change in changes {
            list.change(*change);
        }
        list
    }

    fn change(&mut self, change: Change) {
        let of = |list: &Self, source: Source| -> Vec<EdgeIndex> {
            list.graph.edge_indices().filter(|edge| list.graph[*edge].source == source).collect()
        };
        match change {
            Change::Open(source) => {
                for edge in of(self, source) {
                    self.never(edge);
                }
            }
            Change::Value(source, ohm) => {
                for edge in of(self, source) {
                    self.graph[edge].ohm = Ohm::same(Range::exact(ohm));
                }
            }
            Change::Scaled(source, factor) => {
                for edge in of(self, source) {
                    let ohm = self.graph[edge].ohm.worst.nominal * factor;
                    self.graph[edge].ohm = Ohm::same(Range::exact(ohm));
                }
            }
            Change::Added(source, more) => {
                for edge in of(self, source) {
                    let ohm = self.graph[edge].ohm.worst.nominal + more;
                    self.graph[edge].ohm = Ohm::same(Range::exact(ohm));
                }
            }
            Change::Stuck(contact, throw) => {
                for edge in of(self, Source::Part(contact)) {
                    match self.graph[edge].switch {
                        Some(switch) if switch.throw == throw => self.graph[edge].switch = None,
                        Some(_) | None => self.never(edge),
                    }
                }
            }
            Change::Bridge(a, b, ohm) => self.bridge(a, b, ohm),
            Change::Pulled(node, pull) => {
                let at = self.graph[node].at;
                let held = self.add_hidden_potential(at, Range::exact(pull.volt), at.part);
                self.bridge(node, held, pull.ohm);
            }
        }
    }

    fn bridge(&mut self, a: NodeIndex, b: NodeIndex, ohm: f64) {
        let edge = Edge {
            source: Source::Bridge,
            ohm: Ohm::same(Range::exact(ohm)),
            switch: None,
            is_resistor: ohm > 0.0,
        };
        self.graph.add_edge(a, b, edge);
    }

    fn never(&mut self, edge: EdgeIndex) {
        let Source::Part(contact) = self.graph[edge].source else {
            self.graph[edge].switch = Some(Switch { contact: PartId(u32::MAX), throw: NEVER });
            return;
        };
        self.graph[edge].switch = Some(Switch { contact, throw: NEVER });
    }
}
