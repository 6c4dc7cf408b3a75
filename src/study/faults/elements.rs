//! Elements that fail: diodes open, shorted or the wrong way round, relays that stick or lose their
//! coil, lamps that burn out, second inputs that are not plugged in.

use std::collections::BTreeSet;

use crate::circuit::{Change, Source};
use crate::model::{Element, Part, PartId, PartKind, Project, Subject, TerminalRef};
use crate::sense::Live;
use crate::study::faults::base::Base;
use crate::study::faults::{Cause, Fault, FaultKind};

/// Faults of every element that can change what the pin reads.
pub fn list(base: &Base<'_>) -> Vec<Fault> {
    let on_path = base.sources().into_iter().filter_map(|source| match source {
        Source::Part(part) | Source::Coil(part) => Some(part),
        Source::Wire(_) | Source::Joint { .. } | Source::Loop(_) | Source::Bridge => None,
    });
    let live = Live::of_pin(base.project, &base.netlist, base.sense);
    let active = live.iter().flat_map(|live| live.parts().collect::<Vec<_>>());
    let mut parts: BTreeSet<PartId> = on_path.chain(active).collect();
    // What stands beside a coil can take its voltage away.
    parts.extend(beside_coils(base.project, &parts));
    parts
        .into_iter()
        .filter_map(|id| {
            let part = base.project.parts.get(id)?;
            match &part.kind {
                PartKind::Element(element) => Some(faults(base, (id, part), element)),
                PartKind::Supply(_)
                | PartKind::Ground
                | PartKind::Fuse(_)
                | PartKind::Resistor(_)
                | PartKind::Contact(_)
                | PartKind::Splice { .. }
                | PartKind::Connector(_)
                | PartKind::Controller(_)
                | PartKind::TestPoint => None,
            }
        })
        .flatten()
        .collect()
}

fn faults(base: &Base<'_>, (id, part): (PartId, &Part), element: &Element) -> Vec<Fault> {
    let name = &part.name;
    let fault = |kind, title: String, cause| Fault {
        kind,
        title,
        subjects: vec![Subject::Part(id)],
        cause,
    };
    let open = |source| Cause::Circuit(vec![Change::Open(source)]);
    let stuck = |throw| Cause::Circuit(vec![Change::Stuck(id, throw)]);
    match element {
        Element::Diode(_) => {
            let node = |terminal| base.netlist.wire_node(TerminalRef { part: id, terminal });
            let bridge = node(0).zip(node(1)).map(|(a, b)| {
                let cause = Cause::Circuit(vec![Change::Bridge(a, b, 0.0)]);
                fault(FaultKind::Short, format!("{name} shorted through"), cause)
            });
            let turned = Cause::Drawing(Box::new(turned(base.project, id)));
            [
                fault(FaultKind::Open, format!("{name} open"), open(Source::Part(id))),
                fault(FaultKind::Reversed, format!("{name} the wrong way round"), turned),
            ]
            .into_iter()
            .chain(bridge)
            .collect()
        }
        Element::Relay(_) => vec![
            fault(FaultKind::Open, format!("coil of {name} open"), open(Source::Coil(id))),
            fault(FaultKind::Stuck, format!("{name} stuck dropped"), stuck(0)),
            fault(FaultKind::Stuck, format!("{name} stuck pulled"), stuck(1)),
        ],
        Element::Load(_) => {
            vec![fault(FaultKind::Open, format!("{name} burnt out"), open(Source::Part(id)))]
        }
        Element::Input(_) => {
            vec![fault(FaultKind::Open, format!("{name} not plugged in"), open(Source::Part(id)))]
        }
    }
}

/// The same drawing with a part's two terminals wired the other way round.
fn turned(project: &Project, id: PartId) -> Project {
    let mut project = project.clone();
    let wires: Vec<_> = project.wires.ids().collect();
    for wire in wires {
        let Some(row) = project.wires.get_mut(wire) else { continue };
        for end in [&mut row.from, &mut row.to] {
            if end.terminal.part == id {
                end.terminal.terminal = 1 - end.terminal.terminal.min(1);
            }
        }
    }
    project
}

/// Elements wired straight to the coil of one of these relays.
fn beside_coils(project: &Project, parts: &BTreeSet<PartId>) -> BTreeSet<PartId> {
    let is_coil = |terminal: TerminalRef| {
        let relay = project.parts.get(terminal.part).map(|part| &part.kind);
        parts.contains(&terminal.part)
            && terminal.terminal < 2
            && matches!(relay, Some(PartKind::Element(Element::Relay(_))))
    };
    let ends = project.wires.iter().map(|(_, wire)| (wire.from.terminal, wire.to.terminal));
    ends.filter_map(|(from, to)| match (is_coil(from), is_coil(to)) {
        (true, false) => Some(to.part),
        (false, true) => Some(from.part),
        (true, true) | (false, false) => None,
    })
    .collect()
}
