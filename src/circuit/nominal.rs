//! One pin's network at its usual values, or at another corner, over a given set of controls: what studies of many
//! variants of a circuit are made of.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::circuit::cut::Cut;
use crate::circuit::netlist::{Netlist, Potential, Switch};
use crate::circuit::ohm::Corner;
use crate::circuit::pin::{levels, mixed_potentials, relevant_edges};
use crate::circuit::port_net::PortNet;
use crate::circuit::states::{Level, Ports, walk, walk_nets};
use crate::model::{ControlId, PartId, Project, SensePin, State};

/// A pin's network, ready to be read in every state of the controls it was made for.
///
/// Other controls stand at rest. States come in the order of the table of a pin with these controls.
/// Two that are equal read the same in every state.
#[derive(Clone, Debug, PartialEq)]
pub struct NominalNetwork {
    ports: Ports,
    levels: Vec<Level>,
    /// The network seen from the pin and every potential, where it touches more than one.
    mixed: Option<(Ports, Vec<Potential>)>,
    reference_volt: Option<f64>,
}

/// What holds the pin beside its network: the controller's pull.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// Resistance in ohms.
    pub ohm: f64,
    /// Where it goes, in volts against ground.
    pub volt: f64,
}

/// Volts at a pin, or why there are none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Held {
    /// So many volts against ground.
    Volt(f64),
    /// Two potentials are joined without resistance.
    Shorted,
    /// Nothing holds the pin.
    Floating,
}

impl NominalNetwork {
    /// Reduces the network at its usual values. `None` where pin or reference does not exist.
    pub fn new(
        project: &Project,
        netlist: &Netlist,
        pin: &SensePin,
        controls: &BTreeSet<ControlId>,
    ) -> Option<Self> {
        Self::at(project, netlist, pin, controls, Corner::Nominal)
    }

    /// The same at another corner.
    pub fn at(
        project: &Project,
        netlist: &Netlist,
        pin: &SensePin,
        controls: &BTreeSet<ControlId>,
        corner: Corner,
    ) -> Option<Self> {
        let (node, reference) = (netlist.node(pin.terminal)?, netlist.node(pin.reference)?);
        let edges = relevant_edges(netlist, node, reference);
        let switches: Vec<(EdgeIndex, Switch)> =
            edges.iter().filter_map(|edge| Some((*edge, netlist.graph[*edge].switch?))).collect();
        let levels = levels(project, controls, &switches);
        let driven: BTreeSet<PartId> = controls
            .iter()
            .filter_map(|id| project.controls.get(*id))
            .flat_map(|control| &control.positions)
            .flat_map(|position| position.throws.keys().copied())
            .collect();
        let rest = State::rest();
        let standing: BTreeMap<PartId, u8> = switches
            .iter()
            .filter(|(_, switch)| !driven.contains(&switch.contact))
            .map(|(_, switch)| (switch.contact, project.throw(switch.contact, &rest)))
            .collect();
        let cut = Cut {
            netlist,
            pin: node,
            reference,
            edges: &edges,
            switches: &switches,
            driven,
            standing,
        };
        let ports = cut.ports(corner, &levels, &[], |_| true);
        let others = mixed_potentials(netlist, &edges, reference);
        let mixed = (!others.is_empty()).then(|| {
            let kept: Vec<NodeIndex> = others.iter().map(|potential| potential.node).collect();
            (cut.ports(corner, &levels, &kept, |_| true), others)
        });
        let reference_volt =
            netlist.potentials.iter().find(|p| p.node == reference).map(|p| p.volt.nominal);
        Some(Self { ports, levels, mixed, reference_volt })
    }

    /// Ohms between pin and reference in every state, supplies off; infinite where open.
    pub fn ohms(&self) -> Vec<f64> {
        walk(&self.levels, &self.ports)
    }

    /// Whether the network touches potentials other than its reference, so that ohms do not make volts.
    pub fn is_mixed(&self) -> bool {
        self.mixed.is_some()
    }

    /// Volts at the pin in every state, supplies on; `None` where the network touches no potential
    /// but its reference, because the divider of pull and ohms says it all.
    pub fn volts(&self, pull: Option<Pull>) -> Option<Vec<Held>> {
        let (ports, others) = self.mixed.as_ref()?;
        let n_states = self.levels.iter().map(|level| usize::from(level.positions)).product();
        let mut volts = Vec::with_capacity(n_states);
        walk_nets(&self.levels, ports, &mut |_, net| {
            volts.push(held(net, self.reference_volt, others, pull));
        });
        Some(volts)
    }
}

/// Mean of all potentials by their conductance to the pin.
fn held(
    net: &PortNet,
    reference_volt: Option<f64>,
    others: &[Potential],
    pull: Option<Pull>,
) -> Held {
    let reference = reference_volt.map(|volt| (1, volt));
    let places = net.place.iter().map(|place| usize::from(*place));
    let held =
        || reference.into_iter().chain(places.clone().zip(others.iter().map(|p| p.volt.nominal)));
    let mut by_port: BTreeMap<usize, f64> = BTreeMap::new();
    for (port, volt) in held() {
        let port = if port == 1 && net.is_shorted { 0 } else { port };
        if *by_port.entry(port).or_insert(volt) != volt {
            return Held::Shorted;
        }
    }
    if let Some(volt) = by_port.get(&0) {
        return Held::Volt(*volt);
    }
    let (mut siemens, mut amp) = match pull {
        Some(pull) => (1.0 / pull.ohm, pull.volt / pull.ohm),
        None => (0.0, 0.0),
    };
    for (port, volt) in by_port {
        let to_pin = net.siemens[port];
        siemens += to_pin;
        amp += to_pin * volt;
    }
    if siemens > 0.0 { Held::Volt(amp / siemens) } else { Held::Floating }
}
