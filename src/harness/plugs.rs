//! What fills the cavities of every half that hangs on harness wires: wires, plugs, nothing.

use std::collections::BTreeMap;

use crate::model::{
    CavityFill, EndKind, HalfSide, PartId, PartKind, Project, TerminalRef, WireId, WireUse,
    cavity_of_terminal,
};

/// One half and its cavities, by number from 1.
#[derive(Clone, Debug, PartialEq)]
pub struct HalfFill {
    /// The connector or controller.
    pub part: PartId,
    /// Which half; a controller's plug is the first.
    pub side: HalfSide,
    /// Name of the half.
    pub name: String,
    /// Whether its ends are sealed.
    pub is_sealed: bool,
    /// Wires of the harness in each cavity that has any.
    pub wires: BTreeMap<u16, Vec<WireId>>,
    /// Cavities that get a sealing plug.
    pub plugged: Vec<u16>,
    /// Cavities with neither wire nor plug nor a wire that was there before.
    pub empty: Vec<u16>,
}

impl HalfFill {
    /// Sealing plugs to have: those noted, and on a sealed half one for every empty cavity too.
    pub fn plugs_needed(&self) -> usize {
        self.plugged.len() + if self.is_sealed { self.empty.len() } else { 0 }
    }
}

/// All halves that harness wires end in, in the order of their parts. Halves whose wires are all
/// inside a box belong to the box.
pub fn half_fills(project: &Project) -> Vec<HalfFill> {
    let mut ends: BTreeMap<TerminalRef, Vec<WireId>> = BTreeMap::new();
    let mut internal: BTreeMap<TerminalRef, ()> = BTreeMap::new();
    for (id, wire) in project.wires.iter() {
        for terminal in [wire.from.terminal, wire.to.terminal] {
            match wire.usage {
                WireUse::Harness => ends.entry(terminal).or_default().push(id),
                WireUse::Internal => {
                    internal.insert(terminal, ());
                }
            }
        }
    }
    let mut out = Vec::new();
    for (part, row) in project.parts.iter() {
        let halves = [HalfSide::First, HalfSide::Second]
            .map(|side| row.kind.half(side).map(|half| (side, half)));
        for (side, half) in halves.into_iter().flatten() {
            let mut fill = HalfFill {
                part,
                side,
                name: half.name.clone(),
                is_sealed: half.end_kind == EndKind::Sealed,
                wires: BTreeMap::new(),
                plugged: Vec::new(),
                empty: Vec::new(),
            };
            let is_connector = matches!(row.kind, PartKind::Connector(_));
            for terminal in 0..row.kind.terminal_count() {
                let (cavity, of) = if is_connector {
                    cavity_of_terminal(terminal)
                } else {
                    (terminal + 1, HalfSide::First)
                };
                if of != side {
                    continue;
                }
                let at = TerminalRef { part, terminal };
                let note = row.kind.cavity_at(terminal).map_or(CavityFill::Free, |c| c.fill);
                match (ends.get(&at), note) {
                    (Some(wires), _) => {
                        fill.wires.insert(cavity, wires.clone());
                    }
                    (None, CavityFill::Plug) => fill.plugged.push(cavity),
                    (None, CavityFill::Free) if !internal.contains_key(&at) => {
                        fill.empty.push(cavity);
                    }
                    (None, CavityFill::Existing | CavityFill::Free) => {}
                }
            }
            if !fill.wires.is_empty() {
                out.push(fill);
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::parse_placing;
    use crate::model::{BaseColour, Cavity, Colour, End, Wire, WireSize};

    /// Two connectors of one half with four cavities each, and one wire between their first ones.
    fn pair() -> (Project, [PartId; 2]) {
        let mut project = Project::empty("pair");
        let ids = ["X1", "X2"].map(|name| {
            let mut part = parse_placing("X 2x2").unwrap().parts.remove(0);
            part.name = name.into();
            if let PartKind::Connector(c) = &mut part.kind {
                c.first.name = name.into();
            }
            let id: PartId = project.fresh_id();
            project.parts.put(id, part);
            id
        });
        let end = |part| End { terminal: TerminalRef { part, terminal: 0 }, kind: None };
        let id: WireId = project.fresh_id();
        project.wires.put(id, wire(end(ids[0]), end(ids[1])));
        (project, ids)
    }

    fn wire(from: End, to: End) -> Wire {
        Wire {
            name: "W1".into(),
            circuit: String::new(),
            from,
            to,
            bends: vec![],
            size: WireSize::Mm2(0.5),
            colour: Colour::plain(BaseColour::Red),
            usage: WireUse::Harness,
            via: vec![],
            typed_length_mm: None,
            make: Default::default(),
        }
    }

    #[test]
    fn every_cavity_is_counted_once() {
        let (mut project, [x1, _]) = pair();
        if let PartKind::Connector(c) = &mut project.parts.get_mut(x1).unwrap().kind {
            let note = |fill| Cavity { circuit: String::new(), fill };
            c.cavities.insert(2, note(CavityFill::Plug));
            c.cavities.insert(3, note(CavityFill::Existing));
        }
        let fills = half_fills(&project);
        assert_eq!(fills.len(), 2);
        assert_eq!((&fills[0].plugged, &fills[0].empty), (&vec![2], &vec![4]));
        assert_eq!((fills[0].plugs_needed(), fills[1].plugs_needed()), (2, 3));
        for (_, wire) in project.clone().wires.iter() {
            let inside = Wire { usage: WireUse::Internal, ..wire.clone() };
            let id = project.wires.ids().next().unwrap();
            project.wires.put(id, inside);
        }
        assert_eq!(half_fills(&project), [], "inside a box nothing is plugged by the harness");
    }
}
