//! What a supply can reach through wires, joints, contacts and splices.

use std::collections::{BTreeMap, BTreeSet};

use crate::model::{Mating, Part, PartId, PartKind, Project, TerminalRef};

/// What current may pass on its way.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Through {
    /// Wires, mated joints and splices only.
    Joints,
    /// Fuses, and contacts in any throw, too.
    FusesAndContacts,
    /// Resistors too.
    Everything,
}

/// Joins between terminals of a project.
pub struct Joins {
    next: BTreeMap<TerminalRef, Vec<TerminalRef>>,
}

impl Joins {
    /// All joins of the given kinds.
    pub fn new(project: &Project, through: Through) -> Self {
        let mut joins = Self { next: BTreeMap::new() };
        for (_, wire) in project.wires.iter() {
            joins.put(wire.from.terminal, wire.to.terminal);
        }
        for (id, part) in project.parts.iter() {
            let at = |terminal| TerminalRef { part: id, terminal };
            match &part.kind {
                PartKind::Splice { on: Some(wire), .. } => {
                    if let Some(wire) = project.wires.get(*wire) {
                        joins.put(at(0), wire.from.terminal);
                        joins.put(at(0), wire.to.terminal);
                    }
                }
                PartKind::Connector(connector) => {
                    let is_joined = connector.second.is_some() && connector.mating == Mating::Mated;
                    if is_joined {
                        for cavity in 0..connector.layout.count() {
                            joins.put(at(2 * cavity), at(2 * cavity + 1));
                        }
                    }
                }
                PartKind::Fuse(_) if through != Through::Joints => joins.put(at(0), at(1)),
                PartKind::Contact(contact) if through != Through::Joints => {
                    for throw in 0..contact.form.throws() {
                        if let Some((a, b)) = contact.form.joined(throw) {
                            joins.put(at(a), at(b));
                        }
                    }
                }
                PartKind::Resistor(_) if through == Through::Everything => joins.put(at(0), at(1)),
                PartKind::Supply(_)
                | PartKind::Ground
                | PartKind::Fuse(_)
                | PartKind::Resistor(_)
                | PartKind::Contact(_)
                | PartKind::Splice { .. }
                | PartKind::Controller(_)
                | PartKind::TestPoint
                | PartKind::Element(_) => {}
            }
        }
        joins
    }

    fn put(&mut self, a: TerminalRef, b: TerminalRef) {
        self.next.entry(a).or_default().push(b);
        self.next.entry(b).or_default().push(a);
    }
}

/// A set of terminals that are joined to where the walk began.
pub struct Reach(BTreeSet<TerminalRef>);

impl Reach {
    /// Everything joined to one terminal, itself included.
    pub fn from(joins: &Joins, start: TerminalRef) -> Self {
        Self::walk(joins, vec![start], None)
    }

    /// Everything joined to the supplies; `pulled` is a connector taken as pulled apart.
    pub fn of_supplies(project: &Project, joins: &Joins, pulled: Option<PartId>) -> Self {
        let is_supply = |part: &Part| matches!(part.kind, PartKind::Supply(_));
        let supplies = project.parts.iter().filter(|(_, part)| is_supply(part));
        let starts = supplies.map(|(part, _)| TerminalRef { part, terminal: 0 }).collect();
        Self::walk(joins, starts, pulled)
    }

    /// Walks all joins but those between the two halves of the pulled connector.
    fn walk(joins: &Joins, starts: Vec<TerminalRef>, pulled: Option<PartId>) -> Self {
        let mut seen: BTreeSet<TerminalRef> = starts.iter().copied().collect();
        let mut todo = starts;
        while let Some(here) = todo.pop() {
            for next in joins.next.get(&here).into_iter().flatten() {
                let is_mating = here.part == next.part && here.terminal ^ 1 == next.terminal;
                if !(is_mating && pulled == Some(here.part)) && seen.insert(*next) {
                    todo.push(*next);
                }
            }
        }
        Self(seen)
    }

    /// Whether a terminal is reached.
    pub fn contains(&self, terminal: TerminalRef) -> bool {
        self.0.contains(&terminal)
    }

    /// All terminals reached, lowest first.
    pub fn iter(&self) -> impl Iterator<Item = TerminalRef> + '_ {
        self.0.iter().copied()
    }
}
