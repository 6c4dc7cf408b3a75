//! Voltage drop out and back for everything that is fed, and the fuse in front of it.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use crate::harness::current::far_side;
use crate::harness::gauge::{WireReport, ohm_at};
use crate::harness::taps::tap_fractions;
use crate::model::{Element, PartId, PartKind, Project, TerminalRef, WireId};

/// Limits offered for the drop, as fractions of the supply: where it matters, and elsewhere (ABYC
/// recommendation; read in a reprint).
pub const DROP_LIMITS: [f64; 2] = [0.03, 0.1];

/// Temperature in degrees Celsius a drop must stand too where none is typed. Common practice, no
/// source.
pub const WARM_C: f64 = 50.0;

/// The way to one thing that is fed, and back.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    /// What is fed: a load or a controller.
    pub consumer: PartId,
    /// The supply it comes from.
    pub supply: PartId,
    /// Fuses on the way out, the one nearest to the consumer first.
    pub fuses: Vec<PartId>,
    /// Wires out, from the supply on.
    pub out: Vec<WireId>,
    /// Wires back, from the consumer on.
    pub back: Vec<WireId>,
    /// Drop of all these wires in volts.
    pub drop_volt: f64,
    /// Their resistance in ohms.
    pub ohm: f64,
    /// The drop were all of these wires at 20 °C.
    pub cold_volt: f64,
    /// Temperature of the hottest of them in degrees Celsius, where any is typed.
    pub hottest_c: Option<f64>,
    /// The drop were it 50 °C where no temperature is typed; `None` where all are typed.
    pub warm_volt: Option<f64>,
    /// Volts the drop is judged against.
    pub supply_volt: f64,
    /// Greatest drop allowed as a fraction; `None` where nobody has typed one.
    pub limit: Option<f64>,
    /// Wires on the way whose drop is not known; the true drop is greater.
    pub unknown: Vec<WireId>,
}

impl Feed {
    /// Drop as a fraction of the supply.
    pub fn fraction(&self) -> f64 {
        self.drop_volt / self.supply_volt
    }

    /// Whether the drop is over its limit; `None` where there is none.
    pub fn is_over(&self) -> Option<bool> {
        // Half a unit in the last place that is shown does not count as over.
        self.limit.map(|limit| self.fraction() > limit * (1.0 + 1e-3))
    }

    /// What it would be in hundredths at 50 °C, where the limit is kept at 20 °C only because no
    /// temperature is typed. Then there is no saying that it is within.
    pub fn over_when_warm(&self) -> Option<f64> {
        let (limit, warm) = (self.limit?, self.warm_volt? / self.supply_volt);
        (self.is_over() == Some(false) && warm > limit * (1.0 + 1e-3)).then_some(warm * 100.0)
    }

    /// What it is in hundredths at 20 °C, where it is over its limit only because the wires are warmer.
    pub fn within_when_cold(&self) -> Option<f64> {
        let (limit, cold) = (self.limit?, self.cold_volt / self.supply_volt);
        (self.is_over() == Some(true) && cold <= limit * (1.0 + 1e-3)).then_some(cold * 100.0)
    }

    /// How the drop stands to its limit, and at which temperature, in words.
    pub fn verdict(&self) -> String {
        let judged = match (self.is_over(), self.limit, self.over_when_warm()) {
            (Some(true), Some(limit), _) => match (self.within_when_cold(), self.hottest_c) {
                (Some(cold), Some(hottest)) => format!(
                    "over the limit of {:.1} % because it is warm there, up to {hottest} °C; at 20 °C \
                     it would be {cold:.1} %",
                    limit * 100.0
                ),
                (_, _) => format!("over the limit of {:.1} %", limit * 100.0),
            },
            (Some(false), Some(limit), Some(warm)) => format!(
                "whether it stays below the limit of {:.1} % is not known, as at {WARM_C} °C it would \
                 be {warm:.1} %: type the temperature",
                limit * 100.0
            ),
            (Some(false), Some(limit), None) => {
                format!("within the limit of {:.1} %", limit * 100.0)
            }
            (_, _, _) => format!(
                "no limit is typed; {:.0} % where it matters and {:.0} % elsewhere are common (ABYC)",
                DROP_LIMITS[0] * 100.0,
                DROP_LIMITS[1] * 100.0
            ),
        };
        match self.warm_volt {
            Some(_) => format!(
                "at 20 °C, because no temperature is typed; copper rises 4 % every 10 K; {judged}"
            ),
            None => judged,
        }
    }

    /// Current a dead short at the consumer draws through the wires, in amperes; less in truth,
    /// because supply, fuse and joints resist too. `None` where a wire's resistance is not known.
    pub fn short_amp(&self) -> Option<f64> {
        (self.ohm > 0.0 && self.unknown.is_empty()).then(|| self.supply_volt / self.ohm)
    }
}

/// Ways to every load and controller that a supply reaches and that has a way back to ground, as far
/// as at least one wire's current on it is known.
///
/// Only wires drop here: joints, contacts and the fuse itself come on top.
pub fn feeds(project: &Project, wires: &BTreeMap<WireId, WireReport>) -> Vec<Feed> {
    let joints = Joints::new(project, wires);
    let is_supply = |kind: &PartKind| matches!(kind, PartKind::Supply(_));
    let is_ground = |kind: &PartKind| matches!(kind, PartKind::Ground);
    let out = joints.walk(project, starts(project, is_supply));
    let back = joints.walk(project, starts(project, is_ground));
    let mut list = Vec::new();
    for (consumer, part) in project.parts.iter() {
        let is_fed = match &part.kind {
            PartKind::Controller(_) | PartKind::Element(Element::Load(_)) => true,
            PartKind::Element(Element::Diode(_) | Element::Relay(_) | Element::Input(_))
            | PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Fuse(_)
            | PartKind::Resistor(_)
            | PartKind::Contact(_)
            | PartKind::Splice { .. }
            | PartKind::Connector(_)
            | PartKind::TestPoint => false,
        };
        if is_fed {
            let worst = |walk: &Walk| walk.worst(consumer, part.kind.terminal_count());
            if let (Some(there), Some(home)) = (worst(&out), worst(&back)) {
                list.extend(feed(project, wires, consumer, (&out, there), (&back, home)));
            }
        }
    }
    list
}

fn starts(project: &Project, is_start: impl Fn(&PartKind) -> bool) -> Vec<TerminalRef> {
    let parts = project.parts.iter().filter(|(_, part)| is_start(&part.kind));
    parts.map(|(part, _)| TerminalRef { part, terminal: 0 }).collect()
}

fn feed(
    project: &Project,
    wires: &BTreeMap<WireId, WireReport>,
    consumer: PartId,
    (out, there): (&Walk, TerminalRef),
    (back, home): (&Walk, TerminalRef),
) -> Option<Feed> {
    let (start, mut way_out, fuses) = out.way(project, there);
    way_out.reverse();
    let (_, way_back, _) = back.way(project, home);
    let all = || way_out.iter().chain(&way_back).copied();
    let drop_of = |wire: WireId| wires.get(&wire).and_then(|report| report.drop_volt);
    let is_blank = |wire: WireId| wires.get(&wire).is_some_and(|r| r.around.celsius.is_none());
    if !all().any(|wire| drop_of(wire).is_some_and(|volt| volt > 0.0)) {
        return None;
    }
    let PartKind::Supply(supply) = &project.parts.get(start.part)?.kind else { return None };
    let wiring = &project.settings.wiring;
    let own = all().filter_map(|wire| project.wires.get(wire)?.make.drop_limit);
    let limit = own.fold(None, |least: Option<f64>, limit| {
        Some(least.map_or(limit, |least| least.min(limit)))
    });
    let supply_volt = wiring.supply_volt.unwrap_or(supply.volt.nominal);
    Some(Feed {
        consumer,
        supply: start.part,
        fuses,
        drop_volt: all().filter_map(drop_of).sum(),
        ohm: all().filter_map(|wire| wires.get(&wire)?.ohm).sum(),
        cold_volt: all()
            .filter_map(|wire| {
                let report = wires.get(&wire)?;
                Some(report.drop_volt? / ohm_at(1.0, report.celsius).max(f64::MIN_POSITIVE))
            })
            .sum(),
        hottest_c: all().filter_map(|wire| wires.get(&wire)?.around.celsius).reduce(f64::max),
        warm_volt: all().any(is_blank).then(|| {
            let warm = |wire: WireId| if is_blank(wire) { ohm_at(1.0, WARM_C) } else { 1.0 };
            all().filter_map(|wire| Some(drop_of(wire)? * warm(wire))).sum()
        }),
        supply_volt: (supply_volt > 0.0).then_some(supply_volt)?,
        limit: limit.or(wiring.drop_limit),
        unknown: all().filter(|wire| drop_of(*wire).is_none()).collect(),
        out: way_out,
        back: way_back,
    })
}

/// A step between terminals: volts lost in billionths, and the wire it goes through.
#[derive(Clone, Copy)]
struct Step {
    to: TerminalRef,
    nanovolt: u64,
    wire: Option<WireId>,
}

struct Joints(BTreeMap<TerminalRef, Vec<Step>>);

impl Joints {
    fn new(project: &Project, reports: &BTreeMap<WireId, WireReport>) -> Self {
        let mut joints = Self(BTreeMap::new());
        let fractions = tap_fractions(project);
        let nano = |volt: f64| (volt.clamp(0.0, 1e9) * 1e9).round() as u64;
        // Wires inside a box have no length here and drop nothing.
        let drop_of = |wire: &WireId| reports.get(wire).and_then(|r| r.drop_volt).unwrap_or(0.0);
        let listed = |wire: WireId| reports.contains_key(&wire).then_some(wire);
        for (id, wire) in project.wires.iter() {
            let ends = (wire.from.terminal, wire.to.terminal);
            joints.put(ends.0, ends.1, nano(drop_of(&id)), listed(id));
        }
        for (id, part) in project.parts.iter() {
            let at = |terminal| TerminalRef { part: id, terminal };
            for terminal in 0..part.kind.terminal_count() {
                if let Some(far) = far_side(&part.kind, terminal).filter(|far| *far > terminal) {
                    joints.put(at(terminal), at(far), 0, None);
                }
            }
            if let PartKind::Splice { on: Some(on), .. } = part.kind
                && let Some(wire) = project.wires.get(on)
            {
                let share = fractions.get(&id).copied().unwrap_or(0.5);
                let volt = drop_of(&on);
                joints.put(at(0), wire.from.terminal, nano(volt * share), listed(on));
                joints.put(at(0), wire.to.terminal, nano(volt * (1.0 - share)), listed(on));
            }
        }
        joints
    }

    fn put(&mut self, a: TerminalRef, b: TerminalRef, nanovolt: u64, wire: Option<WireId>) {
        self.0.entry(a).or_default().push(Step { to: b, nanovolt, wire });
        self.0.entry(b).or_default().push(Step { to: a, nanovolt, wire });
    }

    /// Least loss from any start to every terminal; nothing leads through a consumer.
    fn walk(&self, project: &Project, starts: Vec<TerminalRef>) -> Walk {
        let mut reached: BTreeMap<TerminalRef, Reached> = BTreeMap::new();
        let mut done = BTreeSet::new();
        let mut queue: BinaryHeap<Reverse<(u64, u32, TerminalRef)>> = BinaryHeap::new();
        for start in starts {
            reached.insert(start, Reached { cost: (0, 0), by: None });
            queue.push(Reverse((0, 0, start)));
        }
        while let Some(Reverse((nanovolt, n_steps, here))) = queue.pop() {
            let is_end = nanovolt > 0
                && project
                    .parts
                    .get(here.part)
                    .is_some_and(|part| matches!(part.kind, PartKind::Controller(_)));
            if !done.insert(here) || is_end {
                continue;
            }
            for step in self.0.get(&here).into_iter().flatten() {
                let cost = (nanovolt.saturating_add(step.nanovolt), n_steps + 1);
                let known = reached.get(&step.to).map(|known| known.cost);
                if !done.contains(&step.to) && known.is_none_or(|known| cost < known) {
                    reached.insert(step.to, Reached { cost, by: Some((here, step.wire)) });
                    queue.push(Reverse((cost.0, cost.1, step.to)));
                }
            }
        }
        Walk(reached)
    }
}

struct Reached {
    /// Nanovolts lost and steps taken.
    cost: (u64, u32),
    by: Option<(TerminalRef, Option<WireId>)>,
}

struct Walk(BTreeMap<TerminalRef, Reached>);

impl Walk {
    /// The terminal of a part with the greatest loss.
    fn worst(&self, part: PartId, n_terminals: u16) -> Option<TerminalRef> {
        (0..n_terminals)
            .map(|terminal| TerminalRef { part, terminal })
            .filter_map(|at| Some((self.0.get(&at)?.cost, at)))
            .max()
            .map(|(_, at)| at)
    }

    /// Where the way began, its wires from the end on, and the fuses it passes.
    fn way(&self, project: &Project, end: TerminalRef) -> (TerminalRef, Vec<WireId>, Vec<PartId>) {
        let (mut here, mut wires, mut fuses) = (end, Vec::new(), Vec::new());
        while let Some((before, wire)) = self.0.get(&here).and_then(|reached| reached.by) {
            wires.extend(wire);
            let is_fuse =
                |part| matches!(project.parts.get(part).map(|p| &p.kind), Some(PartKind::Fuse(_)));
            if before.part == here.part && is_fuse(here.part) {
                fuses.push(here.part);
            }
            here = before;
        }
        wires.dedup();
        (here, wires, fuses)
    }
}

#[cfg(test)]
mod tests;
