//! Which current each wire carries: typed, told by the circuit, or followed along a chain of wires.

use std::collections::{BTreeMap, BTreeSet};

use crate::harness::volt::judged_volt;
use crate::model::{
    Draw, Duty, Element, Mating, PartKind, Project, TerminalRef, WireId, cavity_of_terminal,
};

/// How a current is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// Typed at the wire.
    Typed,
    /// The wire is spare and carries none.
    Spare,
    /// Nothing branches off between here and a wire whose current was typed.
    Along(WireId),
    /// Nothing branches off between here and a load.
    Load,
    /// Sum of all others it meets: the worst case.
    Sum,
    /// Reckoned from the circuit.
    Circuit,
}

/// Greatest current of a wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Current {
    /// Amperes.
    pub amp: f64,
    /// How it is known.
    pub told: Told,
}

/// Current of every wire where it is known.
///
/// What is typed goes first, then loads. Where all but one of the wires that meet are known, the last
/// one may carry the sum of the others: the worst case. `circuit` holds what the circuit tells.
pub fn wire_currents(
    project: &Project,
    circuit: &BTreeMap<WireId, f64>,
) -> BTreeMap<WireId, Current> {
    let mut out: BTreeMap<WireId, Current> = BTreeMap::new();
    for (id, wire) in project.wires.iter() {
        if let (Some(amp), true) = (wire.make.current_amp, wire.make.duty != Duty::Spare) {
            out.insert(id, Current { amp, told: Told::Typed });
        }
    }
    reckon(project, out, circuit)
}

/// What the loads alone ask of every wire, whatever is typed.
pub fn asked_currents(project: &Project) -> BTreeMap<WireId, Current> {
    reckon(project, BTreeMap::new(), &BTreeMap::new())
}

/// Greatest current of a load in amperes; `None` where it is not known.
pub(super) fn load_amp(draw: &Draw, volt: Option<f64>) -> Option<f64> {
    match draw {
        Draw::Amp(amp) => Some(amp.high),
        Draw::Ohm(ohm) => volt.filter(|_| ohm.low > 0.0).map(|volt| volt / ohm.low),
    }
}

fn reckon(
    project: &Project,
    mut out: BTreeMap<WireId, Current>,
    circuit: &BTreeMap<WireId, f64>,
) -> BTreeMap<WireId, Current> {
    for (id, _) in project.wires.iter().filter(|(_, wire)| wire.make.duty == Duty::Spare) {
        out.insert(id, Current { amp: 0.0, told: Told::Spare });
    }
    let nodes = nodes(project);
    fill(&nodes, &mut out, 2);
    level(&nodes, &mut out);
    fill(&nodes, &mut out, usize::MAX);
    level(&nodes, &mut out);
    for (wire, amp) in circuit {
        out.entry(*wire).or_insert(Current { amp: *amp, told: Told::Circuit });
    }
    fill(&nodes, &mut out, usize::MAX);
    for node in &nodes {
        if let Some(amp) = node.within(&out) {
            for wire in &node.tapped {
                out.entry(*wire).or_insert(Current { amp, told: Told::Sum });
            }
        }
    }
    out
}

/// Terminals that are one point to the current, and what meets there.
#[derive(Default)]
struct Node {
    wires: Vec<WireId>,
    /// Loads, with their currents where these are known.
    loads: Vec<Option<f64>>,
    /// Wires something is tapped onto: both their ends lie in here.
    tapped: Vec<WireId>,
    /// Supplies and grounds: what flows there is not told by the wires.
    has_source: bool,
    /// Anything else that may draw a current nobody knows.
    is_blind: bool,
}

impl Node {
    /// The one wire that is not known, and what the others add up to.
    fn missing(
        &self,
        known: &BTreeMap<WireId, Current>,
        most_items: usize,
    ) -> Option<(WireId, Current)> {
        let n_items = self.wires.len() + self.loads.len();
        if self.has_source || self.is_blind || n_items < 2 || n_items > most_items {
            return None;
        }
        let mut unknown = self.wires.iter().filter(|wire| !known.contains_key(wire));
        let (missing, None) = (*unknown.next()?, unknown.next()) else { return None };
        let mut amp = 0.0;
        let mut told = Told::Sum;
        for load in &self.loads {
            amp += (*load)?;
            told = Told::Load;
        }
        for wire in self.wires.iter().filter(|wire| **wire != missing) {
            let current = known.get(wire)?;
            amp += current.amp;
            told = if current.told == Told::Typed { Told::Along(*wire) } else { current.told };
        }
        if n_items > 2 {
            told = Told::Sum;
        }
        // A chain behind a spare wire is not known to be spare.
        (told != Told::Spare).then_some((missing, Current { amp, told }))
    }

    /// The most that may flow along a tapped wire in here.
    fn within(&self, known: &BTreeMap<WireId, Current>) -> Option<f64> {
        if self.is_blind || self.tapped.is_empty() {
            return None;
        }
        let wires = self.wires.iter().map(|wire| known.get(wire).map(|current| current.amp));
        let amps: Vec<f64> = wires.chain(self.loads.iter().copied()).collect::<Option<_>>()?;
        let sum: f64 = amps.iter().sum();
        let greatest = amps.iter().copied().fold(0.0, f64::max);
        match (amps.is_empty(), self.has_source) {
            (true, _) => None,
            (false, true) => Some(sum),
            (false, false) => Some(greatest.max(sum - greatest)),
        }
    }
}

/// Finds missing currents until no more follow. What both ends of a wire tell, the greater goes.
fn fill(nodes: &[Node], out: &mut BTreeMap<WireId, Current>, most_items: usize) {
    loop {
        let mut more: BTreeMap<WireId, Current> = BTreeMap::new();
        for (wire, current) in nodes.iter().filter_map(|node| node.missing(out, most_items)) {
            let entry = more.entry(wire).or_insert(current);
            if current.amp > entry.amp {
                *entry = current;
            }
        }
        if more.is_empty() {
            return;
        }
        out.extend(more);
    }
}

/// Where a chain was reached from both sides, all of it takes the greater current. What is typed
/// stays.
fn level(nodes: &[Node], out: &mut BTreeMap<WireId, Current>) {
    let mut is_settled = false;
    while !is_settled {
        is_settled = true;
        for node in nodes.iter().filter(|node| !node.has_source && !node.is_blind) {
            let from = match (node.wires.as_slice(), node.loads.as_slice()) {
                ([a, b], []) => [(Some(*a), *b), (Some(*b), *a)].to_vec(),
                ([a], [_]) => vec![(None, *a)],
                (_, _) => continue,
            };
            for (other, wire) in from {
                let told = match other {
                    Some(other) => out.get(&other).copied(),
                    None => node.loads[0].map(|amp| Current { amp, told: Told::Load }),
                };
                let (Some(told), Some(own)) = (told, out.get_mut(&wire)) else { continue };
                let is_fixed = matches!(own.told, Told::Typed | Told::Spare);
                if !is_fixed && told.amp > own.amp && told.told != Told::Typed {
                    *own = told;
                    is_settled = false;
                }
            }
        }
    }
}

fn nodes(project: &Project) -> Vec<Node> {
    let mut groups = Groups::default();
    let mut tapped: BTreeSet<WireId> = BTreeSet::new();
    for (id, part) in project.parts.iter() {
        let at = |terminal| TerminalRef { part: id, terminal };
        for terminal in 0..part.kind.terminal_count() {
            groups.join(at(terminal), at(far_side(&part.kind, terminal).unwrap_or(terminal)));
        }
        if let PartKind::Splice { on: Some(on), .. } = part.kind
            && let Some(wire) = project.wires.get(on)
        {
            groups.join(at(0), wire.from.terminal);
            groups.join(at(0), wire.to.terminal);
            tapped.insert(on);
        }
    }
    let mut nodes: BTreeMap<TerminalRef, Node> = BTreeMap::new();
    for (id, wire) in project.wires.iter() {
        let ends = [wire.from, wire.to].map(|end| groups.head(end.terminal));
        if tapped.contains(&id) {
            nodes.entry(ends[0]).or_default().tapped.push(id);
        } else if ends[0] != ends[1] {
            ends.into_iter().for_each(|end| nodes.entry(end).or_default().wires.push(id));
        }
    }
    let volt = judged_volt(project);
    for (id, part) in project.parts.iter() {
        for terminal in 0..part.kind.terminal_count() {
            let head = groups.head(TerminalRef { part: id, terminal });
            let Some(node) = nodes.get_mut(&head) else { continue };
            match &part.kind {
                PartKind::Supply(_) | PartKind::Ground => node.has_source = true,
                PartKind::Element(Element::Load(load)) => {
                    node.loads.push(load_amp(&load.draw, volt));
                }
                PartKind::Splice { .. } | PartKind::TestPoint => {}
                PartKind::Fuse(_) | PartKind::Connector(_) | PartKind::Contact(_) => {
                    node.is_blind |= far_side(&part.kind, terminal).is_none();
                }
                PartKind::Resistor(_)
                | PartKind::Controller(_)
                | PartKind::Element(Element::Diode(_) | Element::Relay(_) | Element::Input(_)) => {
                    node.is_blind = true;
                }
            }
        }
    }
    nodes.into_values().collect()
}

/// Terminals joined into groups.
#[derive(Default)]
struct Groups(BTreeMap<TerminalRef, TerminalRef>);

impl Groups {
    fn head(&mut self, at: TerminalRef) -> TerminalRef {
        let mut head = at;
        while let Some(next) = self.0.get(&head).filter(|next| **next != head) {
            head = *next;
        }
        if head != at {
            self.0.insert(at, head);
        }
        head
    }

    fn join(&mut self, a: TerminalRef, b: TerminalRef) {
        let (a, b) = (self.head(a), self.head(b));
        self.0.insert(a.max(b), a.min(b));
    }
}

/// The other side of a part that lets current through from one terminal to one other.
pub(super) fn far_side(kind: &PartKind, terminal: u16) -> Option<u16> {
    match kind {
        PartKind::Connector(connector) => {
            let joins = connector.second.is_some() && connector.mating == Mating::Mated;
            debug_assert!(cavity_of_terminal(terminal ^ 1).0 == cavity_of_terminal(terminal).0);
            joins.then_some(terminal ^ 1)
        }
        PartKind::Fuse(_) => Some(terminal ^ 1),
        PartKind::Contact(contact) => (contact.form.terminals() == 2).then_some(terminal ^ 1),
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Resistor(_)
        | PartKind::Splice { .. }
        | PartKind::Controller(_)
        | PartKind::TestPoint
        | PartKind::Element(_) => None,
    }
}
