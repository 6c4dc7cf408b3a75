//! Swaps: two wires in each other's cavity, two like plugs on each other's socket, the wrong side.

use std::collections::{BTreeMap, BTreeSet};

use crate::model::{
    HalfSide, PartId, PartKind, Project, Side, Subject, TerminalRef, WireId, cavity_of_terminal,
};
use crate::study::faults::base::Base;
use crate::study::faults::mirror::moved;
use crate::study::faults::{Cause, Fault, FaultKind};

/// Swapped wires, swapped plugs, a return that went to the supply.
pub fn list(base: &Base<'_>) -> Vec<Fault> {
    let mut faults = wires(base);
    faults.extend(plugs(base));
    faults.extend(wrong_side(base));
    faults
}

/// Whether a terminal is part of the pin's network.
pub(super) fn touches(base: &Base<'_>, part: PartId, terminal: u16) -> bool {
    let Some(node) = base.netlist.node(TerminalRef { part, terminal }) else { return false };
    let ends =
        base.network.edges.iter().filter_map(|edge| base.netlist.graph.edge_endpoints(*edge));
    ends.into_iter().any(|(a, b)| a == node || b == node)
}

/// Wires that end in one half of a connector, by terminal.
fn ends_in(project: &Project, part: PartId) -> BTreeMap<u16, WireId> {
    let mut ends = BTreeMap::new();
    for (id, wire) in project.wires.iter() {
        for end in [wire.from, wire.to] {
            if end.terminal.part == part {
                ends.insert(end.terminal.terminal, id);
            }
        }
    }
    ends
}

fn wires(base: &Base<'_>) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (part, row) in base.project.parts.iter() {
        let ends: Vec<(u16, WireId)> = ends_in(base.project, part).into_iter().collect();
        for (n, (one, wire)) in ends.iter().enumerate() {
            for (other, other_wire) in &ends[n + 1..] {
                let half = row.kind.seat(*one).map(|(_, side)| side);
                if half.is_none()
                    || half != row.kind.seat(*other).map(|(_, side)| side)
                    || !(touches(base, part, *one) || touches(base, part, *other))
                {
                    continue;
                }
                let to = BTreeMap::from([(*one, *other), (*other, *one)]);
                let Some(project) = moved(base.project, part, &to) else { continue };
                let (a, b) = (row.terminal_name(*one), row.terminal_name(*other));
                faults.push(Fault {
                    kind: FaultKind::WiresSwapped,
                    title: format!("wires in {a} and {b} swapped{}", which_half(&row.kind, half)),
                    subjects: vec![Subject::Wire(*wire), Subject::Wire(*other_wire)],
                    cause: Cause::Drawing(Box::new(project)),
                });
            }
        }
    }
    faults
}

/// Which half is meant, where both are called the same.
fn which_half(kind: &PartKind, side: Option<HalfSide>) -> String {
    let halves = [HalfSide::First, HalfSide::Second].map(|side| kind.half(side));
    match (halves, side.and_then(|side| kind.half(side))) {
        ([Some(first), Some(second)], Some(half)) if first.name == second.name => {
            format!(" ({} half)", half.gender.noun())
        }
        (_, _) => String::new(),
    }
}

/// Connectors of one layout with both halves: their far halves exchanged.
fn plugs(base: &Base<'_>) -> Vec<Fault> {
    let connectors: Vec<(PartId, _)> = base
        .project
        .parts
        .iter()
        .filter_map(|(id, part)| match &part.kind {
            PartKind::Connector(connector) if connector.second.is_some() => {
                Some((id, (connector.layout, connector.numbering)))
            }
            PartKind::Connector(_)
            | PartKind::Controller(_)
            | PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Fuse(_)
            | PartKind::Resistor(_)
            | PartKind::Contact(_)
            | PartKind::Splice { .. }
            | PartKind::TestPoint
            | PartKind::Element(_) => None,
        })
        .collect();
    let mut faults = Vec::new();
    for (n, (one, like)) in connectors.iter().enumerate() {
        for (other, _) in connectors[n + 1..].iter().filter(|(_, other)| other == like) {
            let is_near = |part: PartId| {
                ends_in(base.project, part).keys().any(|terminal| touches(base, part, *terminal))
            };
            if !is_near(*one) && !is_near(*other) {
                continue;
            }
            faults.push(Fault {
                kind: FaultKind::PlugsSwapped,
                title: format!(
                    "plugs of {} and {} swapped",
                    base.part_name(*one),
                    base.part_name(*other)
                ),
                subjects: vec![Subject::Part(*one), Subject::Part(*other)],
                cause: Cause::Drawing(Box::new(plugs_swapped(base.project, *one, *other))),
            });
        }
    }
    faults
}

fn plugs_swapped(project: &Project, one: PartId, other: PartId) -> Project {
    let mut work = project.clone();
    for (id, wire) in project.wires.iter() {
        let mut wire = wire.clone();
        for end in [&mut wire.from, &mut wire.to] {
            let is_second = cavity_of_terminal(end.terminal.terminal).1 == HalfSide::Second;
            if is_second && end.terminal.part == one {
                end.terminal.part = other;
            } else if is_second && end.terminal.part == other {
                end.terminal.part = one;
            }
        }
        work.wires.put(id, wire);
    }
    work
}

/// Everything wired to the reference goes to the other side: a supply for ground, ground for a supply.
fn wrong_side(base: &Base<'_>) -> Vec<Fault> {
    let reference = base.sense.reference;
    let wanted = |kind: &PartKind| match base.sense.side {
        Side::Ground => matches!(kind, PartKind::Supply(_)),
        Side::Supply => matches!(kind, PartKind::Ground),
    };
    let targets: BTreeSet<PartId> = base
        .project
        .parts
        .iter()
        .filter(|(_, part)| wanted(&part.kind))
        .map(|(id, _)| id)
        .collect();
    let Some(target) = targets.first() else { return Vec::new() };
    let mut work = base.project.clone();
    let mut is_moved = false;
    for (id, wire) in base.project.wires.iter() {
        let mut wire = wire.clone();
        for end in [&mut wire.from, &mut wire.to] {
            if end.terminal == reference {
                end.terminal = TerminalRef { part: *target, terminal: 0 };
                is_moved = true;
            }
        }
        work.wires.put(id, wire);
    }
    if !is_moved {
        return Vec::new();
    }
    let name = base.project.terminal_name(reference);
    let title = format!("built to {} instead of {name}", base.part_name(*target));
    let subjects = vec![Subject::Part(reference.part), Subject::Part(*target)];
    let cause = Cause::Drawing(Box::new(work));
    vec![Fault { kind: FaultKind::WrongSide, title, subjects, cause }]
}
