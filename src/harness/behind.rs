//! Which wires a fuse stands in front of: all between it and the next fuses, and the way back.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use crate::harness::current::far_side;
use crate::model::{Element, PartId, PartKind, Project, TerminalRef, WireId};

/// Wires that a fuse stands in front of.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Behind {
    /// Wires right at the fuse.
    pub first: BTreeSet<WireId>,
    /// All wires up to the next fuses and to what is fed.
    pub out: BTreeSet<WireId>,
    /// Wires from what is fed back to ground.
    pub back: BTreeSet<WireId>,
}

/// Joints between terminals, with the wire or the fuse they lead through.
pub(super) struct Ways<'a> {
    project: &'a Project,
    joints: BTreeMap<TerminalRef, Vec<(TerminalRef, Option<WireId>, bool)>>,
    /// How each terminal was first reached from a supply, and how far it is.
    from_supply: BTreeMap<TerminalRef, (usize, Option<TerminalRef>)>,
    /// The step towards ground of each terminal that has a way to it, without passing a fuse.
    to_ground: BTreeMap<TerminalRef, (TerminalRef, Option<WireId>)>,
}

impl<'a> Ways<'a> {
    pub(super) fn new(project: &'a Project) -> Self {
        let mut ways = Self {
            project,
            joints: BTreeMap::new(),
            from_supply: BTreeMap::new(),
            to_ground: BTreeMap::new(),
        };
        for (id, wire) in project.wires.iter() {
            ways.join(wire.from.terminal, wire.to.terminal, Some(id), false);
        }
        for (id, part) in project.parts.iter() {
            let at = |terminal| TerminalRef { part: id, terminal };
            for (a, b) in passed(&part.kind) {
                ways.join(at(a), at(b), None, matches!(part.kind, PartKind::Fuse(_)));
            }
            if let PartKind::Splice { on: Some(on), .. } = part.kind
                && let Some(wire) = project.wires.get(on)
            {
                ways.join(at(0), wire.from.terminal, Some(on), false);
                ways.join(at(0), wire.to.terminal, Some(on), false);
            }
        }
        ways.reach_from_supplies();
        ways.reach_from_grounds();
        ways
    }

    fn join(&mut self, a: TerminalRef, b: TerminalRef, wire: Option<WireId>, is_fuse: bool) {
        self.joints.entry(a).or_default().push((b, wire, is_fuse));
        self.joints.entry(b).or_default().push((a, wire, is_fuse));
    }

    fn at(&self, here: TerminalRef) -> &[(TerminalRef, Option<WireId>, bool)] {
        self.joints.get(&here).map_or(&[], Vec::as_slice)
    }

    fn kind(&self, part: PartId) -> Option<&'a PartKind> {
        self.project.parts.get(part).map(|part| &part.kind)
    }

    fn starts(&self, is_start: impl Fn(&PartKind) -> bool) -> VecDeque<TerminalRef> {
        let parts = self.project.parts.iter().filter(|(_, part)| is_start(&part.kind));
        parts.map(|(part, _)| TerminalRef { part, terminal: 0 }).collect()
    }

    fn reach_from_supplies(&mut self) {
        let mut todo = self.starts(|kind| matches!(kind, PartKind::Supply(_)));
        self.from_supply = todo.iter().map(|start| (*start, (0, None))).collect();
        while let Some(here) = todo.pop_front() {
            if matches!(self.kind(here.part), Some(PartKind::Ground)) {
                continue;
            }
            let n_steps = self.from_supply[&here].0 + 1;
            for (next, _, _) in self.joints.get(&here).into_iter().flatten() {
                if !self.from_supply.contains_key(next) {
                    self.from_supply.insert(*next, (n_steps, Some(here)));
                    todo.push_back(*next);
                }
            }
        }
    }

    fn reach_from_grounds(&mut self) {
        let mut todo = self.starts(|kind| matches!(kind, PartKind::Ground));
        let mut seen: BTreeSet<TerminalRef> = todo.iter().copied().collect();
        while let Some(here) = todo.pop_front() {
            if matches!(self.kind(here.part), Some(PartKind::Supply(_))) {
                continue;
            }
            for (next, wire, is_fuse) in self.joints.get(&here).into_iter().flatten() {
                if !is_fuse && seen.insert(*next) {
                    self.to_ground.insert(*next, (here, *wire));
                    todo.push_back(*next);
                }
            }
        }
    }

    /// What lies behind a fuse, seen from the supply; `None` where no supply reaches it.
    pub(super) fn behind_fuse(&self, fuse: PartId) -> Option<Behind> {
        let at = |terminal| TerminalRef { part: fuse, terminal };
        let by = |terminal| self.from_supply.get(&at(terminal)).map(|reached| reached.1);
        let far = match (by(0)?, by(1)?) {
            (_, Some(before)) if before == at(0) => at(1),
            (Some(before), _) if before == at(1) => at(0),
            // Fed from both sides: everything on both sides counts.
            (_, _) => {
                let mut all = self.behind([at(0)].into(), BTreeSet::new());
                let other = self.behind([at(1)].into(), BTreeSet::new());
                all.first.extend(other.first);
                all.out.extend(other.out);
                all.back.extend(other.back);
                return Some(all);
            }
        };
        Some(self.behind([far].into(), BTreeSet::new()))
    }

    /// What would lie behind a fuse at that end of a wire which is nearer to the supply.
    pub(super) fn behind_wire(&self, wire: WireId) -> Option<Behind> {
        let row = self.project.wires.get(wire)?;
        let steps = |at: &TerminalRef| self.from_supply.get(at).map_or(usize::MAX, |step| step.0);
        let mut ends = [row.from.terminal, row.to.terminal];
        ends.sort_by_key(steps);
        let taps = self.project.parts.iter().filter_map(|(part, row)| match row.kind {
            PartKind::Splice { on: Some(on), .. } if on == wire => {
                Some(TerminalRef { part, terminal: 0 })
            }
            _ => None,
        });
        let starts = taps.chain([ends[1]]).collect();
        let mut behind = self.behind(starts, [ends[0]].into());
        behind.first = [wire].into();
        behind.out.insert(wire);
        Some(behind)
    }

    fn behind(&self, starts: Vec<TerminalRef>, closed: BTreeSet<TerminalRef>) -> Behind {
        let mut behind = Behind::default();
        let mut seen: BTreeSet<TerminalRef> = closed;
        seen.extend(&starts);
        for start in &starts {
            behind.first.extend(self.at(*start).iter().filter_map(|(_, wire, _)| *wire));
        }
        let mut todo = starts;
        while let Some(here) = todo.pop() {
            let Some(kind) = self.kind(here.part) else { continue };
            if matches!(kind, PartKind::Supply(_) | PartKind::Ground) {
                continue;
            }
            for (next, wire, is_fuse) in self.at(here).iter().filter(|joint| !joint.2) {
                debug_assert!(!is_fuse);
                behind.out.extend(wire);
                if seen.insert(*next) {
                    todo.push(*next);
                }
            }
            for home in returns(self.project, kind, here) {
                self.way_home(home, &mut behind.back);
            }
        }
        behind
    }

    fn way_home(&self, from: TerminalRef, wires: &mut BTreeSet<WireId>) {
        let mut here = from;
        while let Some((next, wire)) = self.to_ground.get(&here) {
            wires.extend(wire);
            here = *next;
        }
    }
}

/// Pairs of terminals of a part that current may pass between without being held back. Resistors
/// hold it back, and what is fed is an end.
fn passed(kind: &PartKind) -> Vec<(u16, u16)> {
    let n = kind.terminal_count();
    match kind {
        PartKind::Contact(_) => (1..n).map(|terminal| (0, terminal)).collect(),
        PartKind::Element(Element::Diode(_)) => vec![(0, 1)],
        PartKind::Element(Element::Relay(_)) => {
            let sets = (2..n).step_by(3);
            sets.flat_map(|common| [(common, common + 1), (common, common + 2)])
                .filter(|(_, other)| *other < n)
                .collect()
        }
        PartKind::Fuse(_) | PartKind::Connector(_) => (0..n)
            .filter_map(|terminal| Some((terminal, far_side(kind, terminal)?)))
            .filter(|(near, far)| near < far)
            .collect(),
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Resistor(_)
        | PartKind::Splice { .. }
        | PartKind::Controller(_)
        | PartKind::TestPoint
        | PartKind::Element(Element::Load(_) | Element::Input(_)) => Vec::new(),
    }
}

/// Terminals by which the current of what is fed here goes home.
fn returns(project: &Project, kind: &PartKind, here: TerminalRef) -> Vec<TerminalRef> {
    let at = |terminal| TerminalRef { terminal, ..here };
    match kind {
        PartKind::Element(Element::Load(_)) => vec![at(here.terminal ^ 1)],
        PartKind::Element(Element::Relay(_)) if here.terminal < 2 => vec![at(here.terminal ^ 1)],
        // A pin that senses is held by its pull and sends no load current home.
        PartKind::Controller(_) => (0..kind.terminal_count())
            .map(at)
            .filter(|at| *at != here && !project.sense_pins.iter().any(|(_, p)| p.terminal == *at))
            .collect(),
        PartKind::Element(Element::Relay(_) | Element::Diode(_) | Element::Input(_))
        | PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::Connector(_)
        | PartKind::TestPoint => Vec::new(),
    }
}
