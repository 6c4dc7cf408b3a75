//! A pin's network cut out of the netlist and reduced: whole, and in two halves where it falls apart.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::circuit::halves::Halves;
use crate::circuit::netlist::{Netlist, Switch};
use crate::circuit::ohm::Corner;
use crate::circuit::reduce::reduce;
use crate::circuit::split::Split;
use crate::circuit::states::{Level, Ports};
use crate::model::PartId;

/// What the reduction at every corner starts from.
pub struct Cut<'a> {
    /// The whole circuit.
    pub netlist: &'a Netlist,
    /// The pin's node.
    pub pin: NodeIndex,
    /// The reference's node.
    pub reference: NodeIndex,
    /// Edges that can carry current.
    pub edges: &'a [EdgeIndex],
    /// Those of them that a contact closes.
    pub switches: &'a [(EdgeIndex, Switch)],
    /// Contacts that some control of the walk moves.
    pub driven: BTreeSet<PartId>,
    /// Throws of the other contacts; 0 where not named.
    pub standing: BTreeMap<PartId, u8>,
}

/// The network at one corner, ready to be walked.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// All of it.
    pub whole: Ports,
    /// The same in two halves, where it falls apart.
    pub halves: Option<Halves>,
}

impl Prepared {
    /// Reduces the network at one corner.
    pub fn new(cut: &Cut<'_>, corner: Corner, levels: &[Level], split: Option<&Split>) -> Self {
        let whole = cut.ports(corner, levels, &[], |_| true);
        let halves = split.map(|split| {
            let (first, last) = levels.split_at(split.at);
            let last: Vec<Level> = last.iter().map(|level| level.counted_from(split.at)).collect();
            let is_last = |edge: EdgeIndex| {
                let (a, b) = cut.ends(edge);
                split.last.contains(&a) || split.last.contains(&b)
            };
            let shared: Vec<NodeIndex> = split.shared.into_iter().collect();
            let above = cut.ports(corner, first, &shared, |edge| !is_last(edge));
            let below = cut.ports(corner, &last, &shared, is_last);
            Halves::new((first, &above), (&last, &below), split.has_needs_across)
        });
        Self { whole, halves }
    }
}

impl Cut<'_> {
    /// Nodes at the ends of an edge.
    pub fn ends(&self, edge: EdgeIndex) -> (NodeIndex, NodeIndex) {
        self.netlist
            .graph
            .edge_endpoints(edge)
            .expect("indices come from this graph, which loses no edge")
    }

    /// Whether the edge conducts whatever the controls do.
    pub fn is_fixed(&self, edge: EdgeIndex) -> bool {
        match self.netlist.graph[edge].switch {
            None => true,
            Some(switch) => {
                let stands = self.standing.get(&switch.contact).copied().unwrap_or(0);
                !self.driven.contains(&switch.contact) && switch.throw == stands
            }
        }
    }

    /// Reduces the edges that belong to one part of the network; the `kept` nodes stay ports
    /// to the end.
    pub fn ports(
        &self,
        corner: Corner,
        levels: &[Level],
        kept: &[NodeIndex],
        belongs: impl Fn(EdgeIndex) -> bool,
    ) -> Ports {
        let of_edge = |edge: EdgeIndex| {
            let (a, b) = self.ends(edge);
            (a.index(), b.index(), self.netlist.graph[edge].ohm.at(corner))
        };
        let own = self.edges.iter().copied().filter(|edge| belongs(*edge));
        let fixed: Vec<(usize, usize, f64)> =
            own.filter(|edge| self.is_fixed(*edge)).map(of_edge).collect();
        let mut keep = vec![self.pin.index(), self.reference.index()];
        keep.extend(kept.iter().map(|node| node.index()));
        let first = keep.len();
        let used: BTreeSet<usize> = levels
            .iter()
            .flat_map(|level| &level.contacts)
            .flat_map(|contact| contact.edges.iter().map(|(_, idx)| *idx))
            .collect();
        for idx in &used {
            let (a, b, _) = of_edge(self.switches[*idx].0);
            keep.extend([a, b]);
        }
        let network = reduce(self.netlist.graph.node_count(), &fixed, &keep);
        // Switches of the other half are never asked for.
        let mut switched = vec![(0, 0, f64::INFINITY); self.switches.len()];
        for (n, idx) in used.iter().enumerate() {
            let ports = (network.port[first + 2 * n], network.port[first + 2 * n + 1]);
            switched[*idx] = (ports.0, ports.1, of_edge(self.switches[*idx].0).2);
        }
        let kept: Vec<usize> = network.port[2..first].to_vec();
        Ports::new(network, &switched, &kept, levels)
    }
}
