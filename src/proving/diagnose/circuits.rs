//! What a meter may find at one pin in every state, for a circuit with something changed in it: at
//! room temperature, everything low, usual and high.

use std::collections::BTreeSet;

use petgraph::graph::NodeIndex;

use crate::circuit::{
    Change, Corner, Held, Netlist, NominalNetwork, Ohm, PinNetwork, Pull, Source,
};
use crate::model::{ControlId, PartId, Project, SensePin, Side, State};
use crate::proving::divider::Divider;
use crate::sense::Live;
use crate::units::{Range, Tolerant};

/// True ohms and volts at the pin, state by state; `None` where nothing can be said.
#[derive(Clone, Debug, PartialEq)]
pub struct Spans {
    /// Between pin and reference, supplies off, controller unplugged; infinite where open.
    pub ohm: Vec<Option<Range>>,
    /// At the pin, supplies on, controller plugged in.
    pub volt: Vec<Option<Range>>,
    /// The same with one thing moved by a standard deviation, for each thing that all readings of
    /// one machine share; empty where nobody knows.
    pub moved: Vec<Usual>,
}

/// Usual ohms and volts, state by state.
#[derive(Clone, Debug, PartialEq)]
pub struct Usual {
    /// Between pin and reference.
    pub ohm: Vec<f64>,
    /// At the pin; not a number where nothing can be said.
    pub volt: Vec<f64>,
}

/// Something that is off within its tolerance in every built machine, and by the same in all of the
/// machine's readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spread {
    /// One resistor.
    Resistor(PartId),
    /// All contacts and fuses together.
    Contacts,
    /// All joints and wires together.
    Joints,
    /// The pull.
    Pull,
    /// The reference.
    Reference,
    /// The offset of the return.
    Lift,
}

/// Standard deviations in the half width of a span in which every value is as likely.
const HALF_WIDTH: f64 = 1.732_050_807_568_877_2;

/// A circuit to be measured.
pub struct Circuit<'a> {
    /// The drawing.
    pub project: &'a Project,
    /// Its graph.
    pub netlist: &'a Netlist,
    /// What the controller measures with.
    pub pin: &'a SensePin,
    /// Volts by which the return is lifted.
    pub lifted_volt: f64,
    /// What all readings share.
    pub spreads: &'a [Spread],
}

/// The networks of a circuit, everything low, usual and high, and with one thing moved.
pub struct Nets {
    corners: [NominalNetwork; 3],
    ohm: Vec<Range>,
    /// For each spread that is in the network, and what it then reads.
    moved: Vec<Option<(NominalNetwork, Vec<f64>)>>,
}

impl Circuit<'_> {
    /// Spans in every state of these controls. `None` where pin or reference is gone, or where a
    /// diode, a relay or a load decides.
    pub fn spans(&self, controls: &BTreeSet<ControlId>) -> Option<Spans> {
        Some(self.spans_of(&self.nets(controls)?))
    }

    /// The networks, whatever the controller measures them with.
    pub fn nets(&self, controls: &BTreeSet<ControlId>) -> Option<Nets> {
        if Live::of_pin(self.project, self.netlist, self.pin).is_some() {
            return None;
        }
        let at =
            |corner| NominalNetwork::at(self.project, self.netlist, self.pin, controls, corner);
        let corners = [at(Corner::BenchLow)?, at(Corner::Nominal)?, at(Corner::BenchHigh)?];
        let [low, usual, high] = corners.each_ref().map(NominalNetwork::ohms);
        let ohm: Vec<Range> = low
            .iter()
            .zip(usual.iter().zip(&high))
            .map(|(low, (nominal, high))| Range {
                low: low.min(*nominal),
                nominal: *nominal,
                high: high.max(*nominal),
            })
            .collect();
        let moved = self.spreads.iter().map(|spread| {
            let list = moved(self.netlist, self.spreads, *spread)?;
            let net = NominalNetwork::new(self.project, &list, self.pin, controls)?;
            let ohms = net.ohms();
            Some((net, ohms))
        });
        let moved = moved.collect();
        Some(Nets { corners, ohm, moved })
    }

    /// What these networks read at this pin.
    pub fn spans_of(&self, nets: &Nets) -> Spans {
        let divider =
            Divider::new(self.project, self.pin).map(|divider| divider.lifted(self.lifted_volt));
        let is_mixed = nets.corners[1].is_mixed();
        let volt = match divider {
            None => vec![None; nets.ohm.len()],
            Some(divider) if is_mixed => mixed_volts(&nets.corners, &divider),
            Some(divider) => nets.ohm.iter().map(|ohm| Some(divider.volts(*ohm))).collect(),
        };
        let usual: Vec<f64> = nets.ohm.iter().map(|ohm| ohm.nominal).collect();
        let moved = self.spreads.iter().zip(&nets.moved).map(|(spread, moved)| {
            let (net, ohm) =
                moved.as_ref().map_or((&nets.corners[1], &usual), |(net, ohm)| (net, ohm));
            let divider = divider.map(|divider| moved_divider(divider, *spread));
            let volt = match divider {
                None => vec![f64::NAN; ohm.len()],
                Some(divider) if is_mixed => usual_mixed_volts(net, &divider),
                Some(divider) => ohm.iter().map(|ohm| divider.usual_volt(*ohm)).collect(),
            };
            Usual { ohm: ohm.clone(), volt }
        });
        let moved = moved.collect();
        Spans { ohm: nets.ohm.iter().copied().map(Some).collect(), volt, moved }
    }
}

impl Circuit<'_> {
    /// Volts with each thing moved, where diodes, relays or loads decide: every state settled anew.
    pub fn moved_live(&self, states: &[State]) -> Vec<Usual> {
        let of_spread = |spread: &Spread| {
            let moved = moved(self.netlist, self.spreads, *spread);
            let list = moved.as_ref().unwrap_or(self.netlist);
            let mut pin = self.pin.clone();
            let mut lifted_volt = self.lifted_volt;
            let up = |value: &mut Option<Tolerant>| {
                if let Some(value) = value {
                    value.nominal *= 1.0 + value.tolerance / HALF_WIDTH;
                }
            };
            match spread {
                Spread::Pull => up(&mut pin.pull_ohm),
                Spread::Reference => up(&mut pin.reference_volt),
                Spread::Lift if pin.side == Side::Ground => {
                    lifted_volt += pin.ground_offset_volt.abs() / HALF_WIDTH;
                }
                Spread::Lift | Spread::Resistor(_) | Spread::Contacts | Spread::Joints => {}
            }
            if moved.is_none() && pin == *self.pin && lifted_volt == self.lifted_volt {
                return Usual { ohm: Vec::new(), volt: Vec::new() };
            }
            let live = Live::of_pin(self.project, list, &pin);
            let volt = |state| live.as_ref()?.nominal_volt(&pin, state, lifted_volt);
            let volts = states.iter().map(|state| volt(state).unwrap_or(f64::NAN));
            Usual { ohm: Vec::new(), volt: volts.collect() }
        };
        self.spreads.iter().map(of_spread).collect()
    }
}

/// What is off by itself in this circuit, at this pin.
pub fn spreads(project: &Project, netlist: &Netlist, pin: &SensePin) -> Vec<Spread> {
    let mut spreads = Vec::new();
    let network = PinNetwork::new(project, netlist, pin);
    let edges = network.iter().flat_map(|network| &network.edges);
    let parts: BTreeSet<PartId> = edges
        .filter_map(|edge| netlist.graph[*edge].source.part())
        .filter(|part| project.parts.get(*part).is_some_and(|p| p.kind.resistor().is_some()))
        .collect();
    spreads.extend(parts.into_iter().map(Spread::Resistor));
    spreads.extend([
        Spread::Contacts,
        Spread::Joints,
        Spread::Pull,
        Spread::Reference,
        Spread::Lift,
    ]);
    spreads
}

/// The circuit with one thing a standard deviation up; `None` where it is not part of the circuit.
fn moved(netlist: &Netlist, spreads: &[Spread], spread: Spread) -> Option<Netlist> {
    let is_moved = |source: Source| match (spread, source) {
        (Spread::Resistor(part), Source::Part(other)) => part == other,
        (Spread::Contacts, Source::Part(part)) => !spreads.contains(&Spread::Resistor(part)),
        (Spread::Joints, Source::Joint { .. } | Source::Wire(_) | Source::Loop(_)) => true,
        (
            Spread::Resistor(_)
            | Spread::Contacts
            | Spread::Joints
            | Spread::Pull
            | Spread::Reference
            | Spread::Lift,
            _,
        ) => false,
    };
    let mut list = netlist.clone();
    let mut is_there = false;
    for edge in list.graph.edge_weights_mut().filter(|edge| is_moved(edge.source)) {
        let (low, high) = edge.ohm.bench;
        if high > low && high.is_finite() {
            let off = (high - low) / (2.0 * HALF_WIDTH);
            edge.ohm.worst.nominal += off;
            is_there = true;
        }
    }
    is_there.then_some(list)
}

fn moved_divider(mut divider: Divider, spread: Spread) -> Divider {
    let range = match spread {
        Spread::Pull => &mut divider.pull,
        Spread::Reference => &mut divider.reference,
        Spread::Lift => &mut divider.offset_volt,
        Spread::Resistor(_) | Spread::Contacts | Spread::Joints => return divider,
    };
    range.nominal += (range.high - range.low) / (2.0 * HALF_WIDTH);
    divider
}

fn usual_mixed_volts(net: &NominalNetwork, divider: &Divider) -> Vec<f64> {
    let volt = match divider.side {
        Side::Ground => divider.reference.nominal,
        Side::Supply => 0.0,
    };
    let held = net.volts(Some(Pull { ohm: divider.pull.nominal, volt })).unwrap_or_default();
    let volts = held.into_iter().map(|held| match held {
        Held::Volt(volt) => volt,
        Held::Shorted | Held::Floating => f64::NAN,
    });
    volts.collect()
}

/// Volts where the network touches more than one potential: all resistances low or high with every
/// corner of the pull and of what it hangs on. No strict worst case, as the law that makes it one
/// holds for resistances alone; the other potentials stand at their usual volts.
fn mixed_volts(nets: &[NominalNetwork; 3], divider: &Divider) -> Vec<Option<Range>> {
    let (pull, reference) = (divider.pull, divider.reference);
    let hangs_on = match divider.side {
        Side::Ground => reference,
        Side::Supply => Range::exact(0.0),
    };
    let volts = |net: &NominalNetwork, ohm, volt| net.volts(Some(Pull { ohm, volt }));
    let Some(usual) = volts(&nets[1], pull.nominal, hangs_on.nominal) else { return Vec::new() };
    let mut out: Vec<Option<Range>> = usual
        .into_iter()
        .map(|held| match held {
            Held::Volt(volt) => Some(Range::exact(volt)),
            Held::Shorted | Held::Floating => None,
        })
        .collect();
    for net in [&nets[0], &nets[2]] {
        for (ohm, volt) in [
            (pull.low, hangs_on.low),
            (pull.low, hangs_on.high),
            (pull.high, hangs_on.low),
            (pull.high, hangs_on.high),
        ] {
            for (range, held) in out.iter_mut().zip(volts(net, ohm, volt).unwrap_or_default()) {
                if let (Some(range), Held::Volt(volt)) = (range.as_mut(), held) {
                    range.low = range.low.min(volt);
                    range.high = range.high.max(volt);
                }
            }
        }
    }
    out
}

/// The circuit with changes. A resistor of another value keeps the share it may be off by.
pub fn changed(project: &Project, netlist: &Netlist, changes: &[Change]) -> Netlist {
    let mut list = netlist.changed(changes);
    for change in changes {
        let Change::Value(Source::Part(part), ohm) = *change else { continue };
        let resistor = project.parts.get(part).and_then(|part| part.kind.resistor());
        let Some(tolerance) = resistor.map(|resistor| resistor.tolerance.min(1.0)) else {
            continue;
        };
        let room = Range::plus_minus(ohm, tolerance);
        set_ohm(&mut list, Source::Part(part), |_| Ohm::same(room));
    }
    list
}

/// The circuit with so many ohms more in what a source stands for, its own spread kept.
pub fn with_more(netlist: &Netlist, source: Source, more_ohm: f64) -> Netlist {
    let mut list = netlist.clone();
    set_ohm(&mut list, source, |ohm| {
        let mut more = *ohm;
        let worst = &mut more.worst;
        for value in [&mut worst.low, &mut worst.nominal, &mut worst.high] {
            *value += more_ohm;
        }
        more.bench = (ohm.bench.0 + more_ohm, ohm.bench.1 + more_ohm);
        more
    });
    list
}

/// The circuit with exactly so many ohms in what a source stands for.
pub fn with_ohm(netlist: &Netlist, source: Source, ohm: f64) -> Netlist {
    let mut list = netlist.clone();
    set_ohm(&mut list, source, |_| Ohm::same(Range::exact(ohm)));
    list
}

/// The circuit with two nodes joined.
pub fn bridged(netlist: &Netlist, a: NodeIndex, b: NodeIndex, ohm: f64) -> Netlist {
    netlist.changed(&[Change::Bridge(a, b, ohm)])
}

fn set_ohm(list: &mut Netlist, source: Source, ohm: impl Fn(&Ohm) -> Ohm) {
    for edge in list.graph.edge_weights_mut().filter(|edge| edge.source == source) {
        edge.ohm = ohm(&edge.ohm);
    }
}
