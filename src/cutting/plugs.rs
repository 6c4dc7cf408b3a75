//! Empty cavities of sealed halves: each lets water in until a plug closes it.

use std::collections::{BTreeMap, BTreeSet};

use crate::model::{
    Cavity, CavityFill, Connector, EndKind, Gender, Half, PartId, PartKind, Project,
};

/// The empty cavities of one sealed half.
#[derive(Clone, Debug, PartialEq)]
pub struct EmptyCavities {
    /// The part.
    pub part: PartId,
    /// Name of the half.
    pub half: String,
    /// Numbers of the empty cavities, from 1.
    pub cavities: Vec<u16>,
}

/// Cavities of sealed halves in which no wire ends and none was before.
pub fn empty_sealed_cavities(project: &Project) -> Vec<EmptyCavities> {
    let mut used: BTreeSet<(PartId, u16)> = BTreeSet::new();
    for (_, wire) in project.wires.iter() {
        for end in [wire.from, wire.to] {
            used.insert((end.terminal.part, end.terminal.terminal));
        }
    }
    let mut out = Vec::new();
    for (id, part) in project.parts.iter() {
        let mut look = |half: &Half, count: u16, terminal: &dyn Fn(u16) -> u16, notes: &Notes| {
            if half.end_kind != EndKind::Sealed {
                return;
            }
            let is_empty = |cavity: &u16| {
                let fill = notes.get(cavity).map_or(CavityFill::Free, |note| note.fill);
                match fill {
                    CavityFill::Existing => false,
                    CavityFill::Plug => true,
                    CavityFill::Free => !used.contains(&(id, terminal(*cavity))),
                }
            };
            let cavities: Vec<u16> = (1..=count).filter(is_empty).collect();
            if !cavities.is_empty() {
                let half = half_name(&part.kind, half);
                out.push(EmptyCavities { part: id, half, cavities });
            }
        };
        match &part.kind {
            PartKind::Connector(connector) => {
                let (count, notes) = (connector.layout.count(), &connector.cavities);
                look(&connector.first, count, &|cavity| 2 * (cavity - 1), notes);
                if let Some(second) = &connector.second {
                    look(second, count, &|cavity| 2 * (cavity - 1) + 1, notes);
                }
            }
            PartKind::Controller(controller) => {
                let (count, notes) = (controller.layout.count(), &controller.cavities);
                look(&controller.plug, count, &|cavity| cavity - 1, notes);
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
    out
}

/// The half's name; with pins or sockets where both halves have one name.
fn half_name(kind: &PartKind, half: &Half) -> String {
    let PartKind::Connector(Connector { first, second: Some(second), .. }) = kind else {
        return half.name.clone();
    };
    if first.name != second.name {
        return half.name.clone();
    }
    let word = match half.gender {
        Gender::Pins => "pins",
        Gender::Sockets => "sockets",
    };
    format!("{} ({word})", half.name)
}

/// What is written down about cavities, by number from 1.
type Notes = BTreeMap<u16, Cavity>;
