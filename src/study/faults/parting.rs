//! The one extra measurement that parts two faults which look alike at the pin.

use std::collections::BTreeSet;

use crate::circuit::{Corner, Netlist, ohm_between};
use crate::model::{PartKind, State, TerminalRef};
use crate::sense::wire_data;
use crate::study::faults::base::Base;
use crate::study::faults::twins::is_same_ohm;
use crate::study::faults::{Cause, Fault};

/// A measurement in ohms: supplies off, controller unplugged.
#[derive(Clone, Debug, PartialEq)]
pub struct Parting {
    /// Red lead.
    pub red: TerminalRef,
    /// Black lead.
    pub black: TerminalRef,
    /// How the controls stand.
    pub state: State,
    /// What it shows with the first fault, and with the second; infinite where open.
    pub ohm: (f64, f64),
}

/// Not more terminals than this are probed.
const MAX_TERMINALS: usize = 24;

/// The measurement in which the two faults differ most; `None` where none tells them apart.
pub fn parting(base: &Base<'_>, one: &Fault, other: &Fault) -> Option<Parting> {
    let (first, second) = (faulty(base, one), faulty(base, other));
    let states: Vec<&State> = base
        .states
        .iter()
        .filter(|state| {
            let moved = |(id, position): (&crate::model::ControlId, &u8)| {
                base.project.controls.get(*id).is_some_and(|control| control.rest != *position)
            };
            state.0.iter().filter(|entry| moved(*entry)).count() <= 1
        })
        .collect();
    let terminals = probes(base);
    let meter = &base.project.settings.meter;
    let mut best: Option<(f64, Parting)> = None;
    for state in states {
        let closed = [&first, &second].map(|list| list.closed_edges(base.project, state));
        for (n, red) in terminals.iter().enumerate() {
            for black in &terminals[n + 1..] {
                let ohm = |list: &Netlist, edges: &[_]| {
                    let (a, b) = (list.node(*red)?, list.node(*black)?);
                    Some(ohm_between(list, edges, Corner::Nominal, a, b))
                };
                let (Some(a), Some(b)) = (ohm(&first, &closed[0]), ohm(&second, &closed[1])) else {
                    continue;
                };
                if is_same_ohm(a, b, meter) {
                    continue;
                }
                let score = distance(a, b);
                if best.as_ref().is_none_or(|(most, _)| score > *most) {
                    let parting =
                        Parting { red: *red, black: *black, state: state.clone(), ohm: (a, b) };
                    best = Some((score, parting));
                }
            }
        }
    }
    best.map(|(_, parting)| parting)
}

/// How far apart two readings are on a meter: decades, open counted as a gigaohm.
fn distance(a: f64, b: f64) -> f64 {
    let decade = |ohm: f64| ohm.clamp(0.1, 1e9).log10();
    (decade(a) - decade(b)).abs()
}

fn faulty(base: &Base<'_>, fault: &Fault) -> Netlist {
    match &fault.cause {
        Cause::Circuit(changes) => base.netlist.changed(changes),
        Cause::Drawing(project) => Netlist::new(project, &wire_data(project)),
        Cause::Pin(_) | Cause::Offset(_) => base.netlist.clone(),
    }
}

/// Terminals a probe reaches: cavities of connectors and the controller, and test points.
fn probes(base: &Base<'_>) -> Vec<TerminalRef> {
    let ends =
        base.network.edges.iter().filter_map(|edge| base.netlist.graph.edge_endpoints(*edge));
    let nodes: BTreeSet<_> = ends.flat_map(|(a, b)| [a, b]).collect();
    let mut found: BTreeSet<TerminalRef> =
        nodes.into_iter().map(|node| base.netlist.graph[node].at).collect();
    found.retain(|at| {
        base.project.parts.get(at.part).is_some_and(|part| match part.kind {
            PartKind::Connector(_)
            | PartKind::Controller(_)
            | PartKind::TestPoint
            | PartKind::Element(_) => true,
            PartKind::Ground | PartKind::Supply(_) => true,
            PartKind::Fuse(_)
            | PartKind::Resistor(_)
            | PartKind::Contact(_)
            | PartKind::Splice { .. } => false,
        })
    });
    found.into_iter().take(MAX_TERMINALS).collect()
}
