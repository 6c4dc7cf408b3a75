//! What a meter may find at one pin in every state, for a circuit with something changed in it: at
//! room temperature, everything low, usual and high.

use std::collections::BTreeSet;

use petgraph::graph::NodeIndex;

use crate::circuit::{Change, Corner, Held, Netlist, NominalNetwork, Ohm, Pull, Source};
use crate::model::{ControlId, Project, SensePin, Side};
use crate::proving::divider::Divider;
use crate::sense::Live;
use crate::units::Range;

/// True ohms and volts at the pin, state by state; `None` where nothing can be said.
#[derive(Clone, Debug, PartialEq)]
pub struct Spans {
    /// Between pin and reference, supplies off, controller unplugged; infinite where open.
    pub ohm: Vec<Option<Range>>,
    /// At the pin, supplies on, controller plugged in.
    pub volt: Vec<Option<Range>>,
}

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
}

impl Circuit<'_> {
    /// Spans in every state of these controls. `None` where pin or reference is gone, or where a
    /// diode, a relay or a load decides.
    pub fn spans(&self, controls: &BTreeSet<ControlId>) -> Option<Spans> {
        if Live::of_pin(self.project, self.netlist, self.pin).is_some() {
            return None;
        }
        let at =
            |corner| NominalNetwork::at(self.project, self.netlist, self.pin, controls, corner);
        let nets = [at(Corner::BenchLow)?, at(Corner::Nominal)?, at(Corner::BenchHigh)?];
        let [low, usual, high] = nets.each_ref().map(NominalNetwork::ohms);
        let ohm: Vec<Range> = low
            .iter()
            .zip(usual.iter().zip(&high))
            .map(|(low, (nominal, high))| Range {
                low: low.min(*nominal),
                nominal: *nominal,
                high: high.max(*nominal),
            })
            .collect();
        let divider =
            Divider::new(self.project, self.pin).map(|divider| divider.lifted(self.lifted_volt));
        let volt = match divider {
            None => vec![None; ohm.len()],
            Some(divider) if nets[1].is_mixed() => mixed_volts(&nets, &divider),
            Some(divider) => ohm.iter().map(|ohm| Some(divider.volts(*ohm))).collect(),
        };
        Some(Spans { ohm: ohm.into_iter().map(Some).collect(), volt })
    }
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
