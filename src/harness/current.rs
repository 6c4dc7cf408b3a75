//! Which current each wire carries: typed, told by the circuit, or followed along a chain of wires.

use std::collections::BTreeMap;

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
/// What is typed goes first; it is followed through plugs, fuses, contacts and splices as long as
/// exactly one wire goes on. `circuit` holds what the circuit tells.
pub fn wire_currents(
    project: &Project,
    circuit: &BTreeMap<WireId, f64>,
) -> BTreeMap<WireId, Current> {
    let chain = Chain::new(project);
    let mut out: BTreeMap<WireId, Current> = BTreeMap::new();
    let mut todo: Vec<(WireId, f64, Told)> = Vec::new();
    for (id, wire) in project.wires.iter() {
        if wire.make.duty == Duty::Spare {
            out.insert(id, Current { amp: 0.0, told: Told::Spare });
        } else if let Some(amp) = wire.make.current_amp {
            out.insert(id, Current { amp, told: Told::Typed });
            todo.push((id, amp, Told::Along(id)));
        }
    }
    for (id, part) in project.parts.iter() {
        let PartKind::Element(Element::Load(load)) = &part.kind else { continue };
        let Draw::Amp(amp) = load.draw else { continue };
        for terminal in 0..2 {
            if let Some(wire) = chain.only_wire(TerminalRef { part: id, terminal })
                && !out.contains_key(&wire)
            {
                out.insert(wire, Current { amp: amp.high, told: Told::Load });
                todo.push((wire, amp.high, Told::Load));
            }
        }
    }
    while let Some((wire, amp, told)) = todo.pop() {
        for next in chain.next(project, wire) {
            if let std::collections::btree_map::Entry::Vacant(entry) = out.entry(next) {
                entry.insert(Current { amp, told });
                todo.push((next, amp, told));
            }
        }
    }
    for (wire, amp) in circuit {
        out.entry(*wire).or_insert(Current { amp: *amp, told: Told::Circuit });
    }
    out
}

/// Wire ends by terminal, and wires something is tapped onto.
struct Chain {
    ends: BTreeMap<TerminalRef, Vec<WireId>>,
    tapped: Vec<WireId>,
}

impl Chain {
    fn new(project: &Project) -> Self {
        let mut ends: BTreeMap<TerminalRef, Vec<WireId>> = BTreeMap::new();
        for (id, wire) in project.wires.iter() {
            for end in [wire.from, wire.to] {
                ends.entry(end.terminal).or_default().push(id);
            }
        }
        let tap = |kind: &PartKind| match kind {
            PartKind::Splice { on, .. } => *on,
            _ => None,
        };
        let mut tapped: Vec<WireId> =
            project.parts.iter().filter_map(|(_, part)| tap(&part.kind)).collect();
        tapped.sort_unstable();
        Self { ends, tapped }
    }

    fn only_wire(&self, terminal: TerminalRef) -> Option<WireId> {
        match self.ends.get(&terminal).map(Vec::as_slice) {
            Some([wire]) => Some(*wire),
            Some(_) | None => None,
        }
    }

    /// The wires that carry on where this one ends, if nothing branches off.
    fn next(&self, project: &Project, wire: WireId) -> Vec<WireId> {
        let Some(row) = project.wires.get(wire) else { return Vec::new() };
        if self.tapped.binary_search(&wire).is_ok() {
            return Vec::new();
        }
        [row.from.terminal, row.to.terminal]
            .into_iter()
            .filter_map(|terminal| self.beyond(project, wire, terminal))
            .filter(|next| self.tapped.binary_search(next).is_err())
            .collect()
    }

    fn beyond(&self, project: &Project, wire: WireId, terminal: TerminalRef) -> Option<WireId> {
        let here = self.ends.get(&terminal)?;
        let kind = &project.parts.get(terminal.part)?.kind;
        if let (PartKind::Splice { on: None, .. } | PartKind::TestPoint, [a, b]) =
            (kind, here.as_slice())
        {
            return Some(if *a == wire { *b } else { *a });
        }
        if here.len() != 1 {
            return None;
        }
        self.only_wire(TerminalRef { terminal: far_side(kind, terminal.terminal)?, ..terminal })
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
