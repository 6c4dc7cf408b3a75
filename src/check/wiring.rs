//! What is wired to what: loose ends, wires to nowhere, cavities taken twice.

use std::collections::{BTreeMap, BTreeSet};

use crate::check::findings::Found;
use crate::check::reach::{Joins, Reach, Through};
use crate::model::{
    Cavity, CavityFill, Connector, ContactForm, Controller, Element, Gender, HalfSide, Part,
    PartId, PartKind, Project, Subject, TerminalRef, WireUse, cavity_of_terminal,
};

/// Looks at every wire end and every terminal.
pub fn check(project: &Project, found: &mut Found) {
    self_joined(project, found);
    let ends = Ends::new(project);
    let joins = Joins::new(project, Through::FusesAndContacts);
    let live = Reach::of_supplies(project, &joins, None);
    for (id, part) in project.parts.iter() {
        loose_terminals(&ends, id, part, found);
        match &part.kind {
            PartKind::Connector(connector) => {
                connector_cavities(&ends, id, part, connector, found);
                if has_live_pins(id, connector, &live) {
                    live_half(project, &joins, id, connector, found);
                }
            }
            PartKind::Controller(controller) => {
                controller_cavities(&ends, id, part, controller, found);
            }
            PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Fuse(_)
            | PartKind::Resistor(_)
            | PartKind::Contact(_)
            | PartKind::Splice { .. }
            | PartKind::TestPoint
            | PartKind::Element(_) => {}
        }
    }
}

/// How many wire ends there are at each terminal, and which terminals sense pins use.
struct Ends {
    harness: BTreeMap<TerminalRef, usize>,
    internal: BTreeSet<TerminalRef>,
    /// Terminals of sense pins and their references: the controller itself joins them.
    sensed: BTreeSet<TerminalRef>,
}

impl Ends {
    fn new(project: &Project) -> Self {
        let mut ends =
            Self { harness: BTreeMap::new(), internal: BTreeSet::new(), sensed: BTreeSet::new() };
        for (_, wire) in project.wires.iter() {
            for terminal in [wire.from.terminal, wire.to.terminal] {
                match wire.usage {
                    WireUse::Harness => *ends.harness.entry(terminal).or_default() += 1,
                    WireUse::Internal => {
                        ends.internal.insert(terminal);
                    }
                }
            }
        }
        for (_, pin) in project.sense_pins.iter() {
            ends.sensed.extend([pin.terminal, pin.reference]);
        }
        ends
    }

    fn n_harness(&self, terminal: TerminalRef) -> usize {
        self.harness.get(&terminal).copied().unwrap_or(0)
    }

    fn is_wired(&self, part: PartId, terminal: u16) -> bool {
        let terminal = TerminalRef { part, terminal };
        self.n_harness(terminal) > 0 || self.internal.contains(&terminal)
    }
}

fn self_joined(project: &Project, found: &mut Found) {
    for (id, wire) in project.wires.iter() {
        if wire.from.terminal == wire.to.terminal {
            let at = project.terminal_name(wire.from.terminal);
            found.error(
                Subject::Wire(id),
                format!("both ends of wire {} are at {at}", wire.name),
                "lead one end to where it is meant to go, or delete the wire",
            );
        }
    }
}

/// Parts that hang in the air, wholly or by one terminal.
fn loose_terminals(ends: &Ends, id: PartId, part: &Part, found: &mut Found) {
    let wired = |terminal: u16| ends.is_wired(id, terminal);
    let any_wired = (0..part.kind.terminal_count()).any(wired);
    let loose: Vec<u16> = match &part.kind {
        PartKind::Connector(_) | PartKind::Controller(_) => {
            if any_wired {
                Vec::new()
            } else {
                vec![0]
            }
        }
        PartKind::Contact(contact) => match contact.form {
            ContactForm::NormallyOpen | ContactForm::NormallyClosed => {
                (0..2).filter(|terminal| !wired(*terminal)).collect()
            }
            // A changeover or selector may leave some of its throws unused, but not all.
            ContactForm::Changeover | ContactForm::Ways(_) => {
                if !wired(0) {
                    vec![0]
                } else if (1..contact.form.terminals()).any(wired) {
                    Vec::new()
                } else {
                    vec![1]
                }
            }
        },
        // Contact sets of a relay may stay unused, its coil may not.
        PartKind::Element(Element::Relay(_)) if any_wired => {
            (0..2).filter(|terminal| !wired(*terminal)).collect()
        }
        PartKind::Splice { on: Some(_), .. } if any_wired => Vec::new(),
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => {
            (0..part.kind.terminal_count()).filter(|terminal| !wired(*terminal)).collect()
        }
    };
    let subject = Subject::Part(id);
    let cure = "draw the missing wire, or delete the part";
    if !any_wired {
        found.note(
            subject,
            format!("nothing is wired to {} {}", part.kind.noun(), part.name),
            cure,
        );
    } else if !loose.is_empty() {
        let names: Vec<String> = loose.iter().map(|t| part.terminal_name(*t)).collect();
        found.note(subject, format!("nothing is wired to {}", names.join(" and ")), cure);
    }
}

fn connector_cavities(
    ends: &Ends,
    id: PartId,
    part: &Part,
    connector: &Connector,
    found: &mut Found,
) {
    for terminal in 0..part.kind.terminal_count() {
        let (cavity, side) = cavity_of_terminal(terminal);
        let cavity = connector.cavities.get(&cavity);
        one_cavity(ends, id, part, terminal, cavity, found);
        let other = terminal ^ 1;
        if side == HalfSide::First
            && connector.second.is_some()
            && ends.is_wired(id, terminal) != ends.is_wired(id, other)
        {
            let (with, without) =
                if ends.is_wired(id, terminal) { (terminal, other) } else { (other, terminal) };
            found.note(
                Subject::Part(id),
                format!(
                    "{} has a wire but {} opposite has none",
                    part.terminal_name(with),
                    part.terminal_name(without)
                ),
                "draw the wire of the other half, or take this one out",
            );
        }
    }
    let carries = |side| {
        (0..part.kind.terminal_count()).any(|terminal| {
            cavity_of_terminal(terminal).1 == side
                && ends.n_harness(TerminalRef { part: id, terminal }) > 0
        })
    };
    if connector.second.as_ref().is_some_and(|second| second.name == connector.first.name)
        && carries(HalfSide::First)
        && carries(HalfSide::Second)
    {
        found.note(
            Subject::Part(id),
            format!(
                "both halves of {} carry wires and are named {}",
                part.name, connector.first.name
            ),
            "give each half a name of its own, so that the cut list tells them apart",
        );
    }
    numbers_beyond(id, part, connector.layout.count(), connector.cavities.keys(), found);
}

fn controller_cavities(
    ends: &Ends,
    id: PartId,
    part: &Part,
    controller: &Controller,
    found: &mut Found,
) {
    for terminal in 0..part.kind.terminal_count() {
        one_cavity(ends, id, part, terminal, controller.cavities.get(&(terminal + 1)), found);
    }
    for (number, cavity) in &controller.cavities {
        let Some(terminal) = number.checked_sub(1) else { continue };
        let at = TerminalRef { part: id, terminal };
        let is_used = ends.is_wired(id, terminal) || ends.sensed.contains(&at);
        if cavity.fill == CavityFill::Free && !cavity.circuit.is_empty() && !is_used {
            let what = format!(
                "{} is for {} but has no wire",
                part.terminal_name(terminal),
                cavity.circuit
            );
            let cure = "draw its wire, or note the cavity as existing or plugged";
            found.note(Subject::Part(id), what, cure);
        }
    }
    numbers_beyond(id, part, controller.layout.count(), controller.cavities.keys(), found);
}

fn one_cavity(
    ends: &Ends,
    id: PartId,
    part: &Part,
    terminal: u16,
    cavity: Option<&Cavity>,
    found: &mut Found,
) {
    let name = part.terminal_name(terminal);
    let subject = Subject::Part(id);
    let n_wires = ends.n_harness(TerminalRef { part: id, terminal });
    if n_wires > 1 {
        found.warning(
            subject,
            format!("{n_wires} wires end in cavity {name}"),
            "join them in a splice and lead one wire to the cavity",
        );
    }
    match cavity.map(|cavity| cavity.fill) {
        Some(CavityFill::Plug) if n_wires > 0 => found.warning(
            subject,
            format!("a wire ends in cavity {name}, which is noted as plugged"),
            "take the note off if the plug comes out, or choose another cavity",
        ),
        Some(CavityFill::Existing) if n_wires > 0 => found.warning(
            subject,
            format!("a wire ends in cavity {name}, which holds a wire that stays"),
            "choose another cavity, or splice onto the wire that is there",
        ),
        Some(CavityFill::Plug | CavityFill::Existing | CavityFill::Free) | None => {}
    }
}

fn numbers_beyond<'a>(
    id: PartId,
    part: &Part,
    count: u16,
    numbers: impl Iterator<Item = &'a u16>,
    found: &mut Found,
) {
    let beyond: Vec<String> =
        numbers.filter(|n| **n == 0 || **n > count).map(u16::to_string).collect();
    if !beyond.is_empty() {
        found.note(
            Subject::Part(id),
            format!("{} has {count} cavities but notes on number {}", part.name, beyond.join(", ")),
            "correct the number of cavities, or delete the notes",
        );
    }
}

/// Whether a half with pins is live while everything is plugged together: only then the walk of
/// [`live_half`] is worth its time.
fn has_live_pins(id: PartId, connector: &Connector, live: &Reach) -> bool {
    let is_live = |side| {
        (0..connector.layout.count().saturating_mul(2)).any(|terminal| {
            cavity_of_terminal(terminal).1 == side
                && live.contains(TerminalRef { part: id, terminal })
        })
    };
    let halves =
        [(HalfSide::First, Some(&connector.first)), (HalfSide::Second, connector.second.as_ref())];
    halves
        .into_iter()
        .any(|(side, half)| half.is_some_and(|half| half.gender == Gender::Pins) && is_live(side))
}

/// A half that stays live when the connector is pulled should have sockets, so that no live pin
/// can touch anything. Common practice, no source.
fn live_half(
    project: &Project,
    joins: &Joins,
    id: PartId,
    connector: &Connector,
    found: &mut Found,
) {
    let (Some(second), false) = (&connector.second, connector.rotating) else { return };
    let reach = Reach::of_supplies(project, joins, Some(id));
    let live = |side: HalfSide| {
        (0..connector.layout.count().saturating_mul(2)).any(|terminal| {
            cavity_of_terminal(terminal).1 == side
                && reach.contains(TerminalRef { part: id, terminal })
        })
    };
    for (side, half, other) in [
        (HalfSide::First, &connector.first, HalfSide::Second),
        (HalfSide::Second, second, HalfSide::First),
    ] {
        if half.gender == Gender::Pins && live(side) && !live(other) {
            found.note(
                Subject::Part(id),
                format!("half {} stays live when it is pulled and has bare pins", half.name),
                "give the live half sockets and the other one pins",
            );
        }
    }
}
