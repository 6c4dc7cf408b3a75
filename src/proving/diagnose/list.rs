//! The list of suspects of one pin: nothing, every fault and mistake, and dirt of unknown size.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::NodeIndex;

use crate::circuit::{Change, Netlist, PinNetwork, Source};
use crate::model::{ControlId, PartKind, Project, SensePin, Side, Subject};
use crate::proving::diagnose::circuits::{
    Circuit, Spans, Spread, bridged, changed, spreads, with_more, with_ohm,
};
use crate::proving::diagnose::suspect::{Blame, Shape, Suspect};
use crate::proving::divider::Divider;
use crate::sense::wire_data;
use crate::study::faults::{Cause, Fault, FaultKind, FaultRow, Survey, Symptom};
use crate::units::{Range, Tolerant};

/// Points a decade of an unknown resistance: each stands for a stretch of about a tenth.
const A_DECADE: usize = 24;

/// The lesser of the two leaks from which a line of leaks is reckoned; not none, as that may short a
/// supply.
const LEAST_LEAK_OHM: f64 = 1.0;

/// The sound circuit of one pin, and how to read it with something changed.
pub struct Bench<'a> {
    /// The drawing.
    pub project: &'a Project,
    /// The pin.
    pub pin: &'a SensePin,
    netlist: Netlist,
    controls: BTreeSet<ControlId>,
    survey: &'a Survey,
    sound: Spans,
    spreads: Vec<Spread>,
    /// Whether diodes, relays or loads decide: then only volts are measured.
    pub is_live: bool,
}

impl<'a> Bench<'a> {
    /// `None` where the pin reads nothing.
    pub fn new(project: &'a Project, pin: &'a SensePin, survey: &'a Survey) -> Option<Self> {
        let netlist = Netlist::new(project, &wire_data(project));
        let controls = PinNetwork::new(project, &netlist, pin)?.controls().collect();
        let spreads = spreads(project, &netlist, pin);
        let circuit =
            Circuit { project, netlist: &netlist, pin, lifted_volt: 0.0, spreads: &spreads };
        let sound = circuit.spans(&controls);
        let is_live = sound.is_none();
        let sound = sound.unwrap_or_else(|| live_spans(&circuit, survey, &survey.sound));
        Some(Self { project, pin, netlist, controls, survey, sound, spreads, is_live })
    }

    /// Everything that may be wrong; `None` where it was told to stop.
    pub fn suspects(&self, keep_going: &dyn Fn() -> bool) -> Option<Vec<Suspect>> {
        let mut all = Gathered::default();
        all.add(
            Blame::Nothing { unseen: Vec::new() },
            Shape::Point(self.sound.clone()),
            Known::default(),
        );
        // Dirt of unknown size stands for the faults that are cases of it.
        let cases =
            if self.is_live { BTreeSet::new() } else { self.add_dirt(&mut all, keep_going)? };
        for (idx, row) in self.survey.rows.iter().enumerate() {
            if !keep_going() {
                return None;
            }
            if !cases.contains(&idx) {
                let shape = Shape::Point(self.fault_spans(row));
                all.add(Blame::Faults(vec![idx]), shape, Known::default());
            }
        }
        let mut suspects = all.suspects;
        let n_others: usize = suspects.iter().skip(1).map(|suspect| suspect.n_causes).sum();
        // Before the first reading the circuit is as likely sound as not.
        suspects[0].n_causes += n_others;
        Some(suspects)
    }

    /// What is known of the values of a line beforehand.
    fn known(&self, blame: &Blame) -> Known {
        let value = |row: &usize| match &self.survey.rows[*row].fault.cause {
            Cause::Circuit(changes) => match changes.first() {
                Some(Change::Value(_, ohm) | Change::Bridge(_, _, ohm)) => Some(*ohm),
                Some(
                    Change::Open(_)
                    | Change::Scaled(..)
                    | Change::Added(..)
                    | Change::Stuck(..)
                    | Change::Pulled(..),
                )
                | None => None,
            },
            Cause::Drawing(_) | Cause::Pin(_) | Cause::Offset(_) => None,
        };
        let cases = blame.rows().iter().filter_map(value).collect();
        let drawn = match blame {
            Blame::OtherValue { part, .. } => {
                let resistor = self.project.parts.get(*part).and_then(|p| p.kind.resistor());
                // Two figures are told, so what rounds to the drawn value counts as that.
                resistor.map(|r| {
                    let room = Range::plus_minus(r.ohm, r.tolerance.max(0.01) + 1e-9);
                    (room.low, room.high)
                })
            }
            Blame::Nothing { .. }
            | Blame::Faults(_)
            | Blame::MoreOhms { .. }
            | Blame::Leak { .. }
            | Blame::Lifted
            | Blame::OtherPull => None,
        };
        (cases, drawn)
    }

    fn fault_spans(&self, row: &FaultRow) -> Spans {
        let spans = |project, netlist, pin, lifted_volt| {
            let spreads = &self.spreads;
            let circuit = Circuit { project, netlist, pin, lifted_volt, spreads };
            let live = || live_spans(&circuit, self.survey, &row.symptoms);
            circuit.spans(&self.controls).unwrap_or_else(live)
        };
        match &row.fault.cause {
            Cause::Circuit(changes) => {
                let list = changed(self.project, &self.netlist, changes);
                spans(self.project, &list, self.pin, 0.0)
            }
            Cause::Drawing(project) => {
                let list = Netlist::new(project, &wire_data(project));
                spans(project, &list, self.pin, 0.0)
            }
            Cause::Pin(pin) => spans(self.project, &self.netlist, pin, 0.0),
            Cause::Offset(volt) => spans(self.project, &self.netlist, self.pin, *volt),
        }
    }

    fn circuit<'b>(&'b self, netlist: &'b Netlist, pin: &'b SensePin) -> Circuit<'b> {
        let spreads = &self.spreads;
        Circuit { project: self.project, netlist, pin, lifted_volt: 0.0, spreads }
    }

    fn read(&self, list: &Netlist) -> Option<Spans> {
        self.circuit(list, self.pin).spans(&self.controls)
    }

    /// Adds the lines, and returns the faults of the survey that are cases of one of them.
    fn add_dirt(
        &self,
        all: &mut Gathered,
        keep_going: &dyn Fn() -> bool,
    ) -> Option<BTreeSet<usize>> {
        let sources = PinNetwork::new(self.project, &self.netlist, self.pin)
            .map(|network| {
                let edges = network.edges.iter();
                edges.map(|edge| self.netlist.graph[*edge].source).collect::<BTreeSet<_>>()
            })
            .unwrap_or_default();
        let mut found = Vec::new();
        for source in sources {
            if !keep_going() {
                return None;
            }
            found.extend(self.more_ohms(source));
            found.extend(self.other_value(source));
        }
        found.extend(self.leaks());
        found.extend(self.lifted());
        found.extend(self.other_pull());
        let mut cases = BTreeSet::new();
        for (blame, shape) in found {
            let rows = blame.rows().to_vec();
            let known = self.known(&blame);
            if all.add(blame, shape, known) {
                cases.extend(rows);
            }
        }
        Some(cases)
    }

    /// More ohms in a contact, a joint, a fuse or a wire.
    fn more_ohms(&self, source: Source) -> Option<(Blame, Shape)> {
        let is_dirty =
            match source {
                Source::Part(part) => self.project.parts.get(part).is_some_and(|part| {
                    matches!(part.kind, PartKind::Contact(_) | PartKind::Fuse(_))
                }),
                Source::Wire(_) | Source::Joint { .. } | Source::Loop(_) => true,
                Source::Coil(_) | Source::Bridge => false,
            };
        if !is_dirty {
            return None;
        }
        let some = self.read(&with_more(&self.netlist, source, 1000.0))?;
        let open = self.read(&self.netlist.changed(&[Change::Open(source)]))?;
        let adds_all = |(sound, more): (&Option<Range>, &Option<Range>)| match (sound, more) {
            (Some(sound), Some(more)) => {
                let want = sound.nominal + 1000.0;
                more.nominal == want || (more.nominal - want).abs() < 1e-6 * want
            }
            (_, _) => false,
        };
        let is_common = self.sound.ohm.iter().zip(&some.ohm).all(adds_all);
        let grid = decades(1.0, 1e6);
        let none = self.sound.clone();
        let shape = Shape::Line { none, some, all: open, at_ohm: (0.0, 1000.0), grid };
        Some((Blame::MoreOhms { at: vec![source], is_common }, shape))
    }

    /// A resistor of another value.
    fn other_value(&self, source: Source) -> Option<(Blame, Shape)> {
        let Source::Part(part) = source else { return None };
        let ohm = self.project.parts.get(part)?.kind.resistor()?.ohm;
        let none = self.read(&with_ohm(&self.netlist, source, 0.0))?;
        let some = self.read(&with_ohm(&self.netlist, source, ohm))?;
        let all = self.read(&self.netlist.changed(&[Change::Open(source)]))?;
        let shape = Shape::Line { none, some, all, at_ohm: (0.0, ohm), grid: about(ohm) };
        let is_case = |row: &FaultRow| {
            matches!(row.fault.kind, FaultKind::Drift | FaultKind::Decade)
                && row.fault.subjects.contains(&Subject::Part(part))
        };
        let rows = &self.survey.rows;
        let rows = (0..rows.len()).filter(|idx| is_case(&rows[*idx])).collect();
        Some((Blame::OtherValue { part, rows }, shape))
    }

    /// A leak across the pin, and between every two nets the survey finds near each other.
    fn leaks(&self) -> Vec<(Blame, Shape)> {
        let mut leaks = Vec::new();
        let bridge = |fault: &Fault| match &fault.cause {
            Cause::Circuit(changes) => match changes.as_slice() {
                [Change::Bridge(a, b, ohm)] => Some((*a, *b, *ohm)),
                _ => None,
            },
            Cause::Drawing(_) | Cause::Pin(_) | Cause::Offset(_) => None,
        };
        for (idx, row) in self.survey.rows.iter().enumerate() {
            if row.fault.kind != FaultKind::Wet {
                continue;
            }
            let Some((a, b, ohm)) = bridge(&row.fault) else { continue };
            let read = |ohm| self.read(&bridged(&self.netlist, a, b, ohm));
            if let (Some(none), Some(some)) = (read(LEAST_LEAK_OHM), read(ohm)) {
                let is_at_pin = self.is_pin(a, b) || self.is_pin(b, a);
                let between = if is_at_pin { Vec::new() } else { vec![self.between(a, b)] };
                let blame = Blame::Leak { between, rows: vec![idx], is_at_pin };
                leaks.push((blame, self.leak(none, some, ohm)));
            }
        }
        let has_pin = |(blame, _): &(Blame, Shape)| matches!(blame, Blame::Leak { is_at_pin, .. } if *is_at_pin);
        let ends = self.netlist.node(self.pin.terminal).zip(self.netlist.node(self.pin.reference));
        if let Some((a, b)) = ends.filter(|_| !leaks.iter().any(has_pin)) {
            let read = |ohm| self.read(&bridged(&self.netlist, a, b, ohm));
            if let (Some(none), Some(some)) = (read(LEAST_LEAK_OHM), read(10e3)) {
                let blame = Blame::Leak { between: Vec::new(), rows: Vec::new(), is_at_pin: true };
                leaks.push((blame, self.leak(none, some, 10e3)));
            }
        }
        leaks
    }

    fn leak(&self, none: Spans, some: Spans, ohm: f64) -> Shape {
        let at_ohm = (LEAST_LEAK_OHM, ohm);
        Shape::Line { none, some, all: self.sound.clone(), at_ohm, grid: decades(10.0, 1e7) }
    }

    /// Whether one node is the pin, before or behind its wire loop, and the other its reference.
    fn is_pin(&self, a: NodeIndex, b: NodeIndex) -> bool {
        let list = &self.netlist;
        let is =
            |node: NodeIndex, at| list.node(at) == Some(node) || list.wire_node(at) == Some(node);
        is(a, self.pin.terminal) && is(b, self.pin.reference)
    }

    fn between(&self, a: NodeIndex, b: NodeIndex) -> String {
        let name = |node| self.netlist.node_name(self.project, node);
        format!("{} and {}", name(a), name(b))
    }

    /// The return lifted by so many volts, up to a tenth of the reference at each end and beyond.
    fn lifted(&self) -> Option<(Blame, Shape)> {
        let divider = Divider::new(self.project, self.pin)?;
        if self.pin.side != Side::Ground {
            return None;
        }
        let grid: Vec<f64> = (1..=60)
            .map(|n| f64::from(n) / 60.0 * 0.6 * divider.reference.nominal)
            .flat_map(|volt| [volt, -volt / 3.0])
            .collect();
        let circuit = self.circuit(&self.netlist, self.pin);
        let nets = circuit.nets(&self.controls)?;
        let spans =
            grid.iter().map(|volt| Circuit { lifted_volt: *volt, ..circuit }.spans_of(&nets));
        let spans = spans.collect();
        Some((Blame::Lifted, Shape::List { grid, spans }))
    }

    /// The pull of another value, exactly so many ohms.
    fn other_pull(&self) -> Option<(Blame, Shape)> {
        let pull = self.pin.pull_ohm?;
        let grid: Vec<f64> = decades(pull.nominal / 10.0, pull.nominal * 10.0)
            .into_iter()
            .filter(|ohm| (ohm / pull.nominal - 1.0).abs() > pull.tolerance + 0.02)
            .collect();
        let nets = self.circuit(&self.netlist, self.pin).nets(&self.controls)?;
        let read = |ohm: &f64| {
            let mut pin = self.pin.clone();
            pin.pull_ohm = Some(Tolerant { nominal: *ohm, tolerance: 0.05 });
            self.circuit(&self.netlist, &pin).spans_of(&nets)
        };
        let spans = grid.iter().map(read).collect();
        Some((Blame::OtherPull, Shape::List { grid, spans }))
    }
}

/// Volts of usual symptoms where diodes, relays or loads decide: spread by the same share of the
/// reference to either side as the sheet's tolerances of pull and reference.
fn live_spans(circuit: &Circuit<'_>, survey: &Survey, symptoms: &[Symptom]) -> Spans {
    let divider = Divider::new(circuit.project, circuit.pin);
    let spread = |volt: f64| {
        let share = divider.map_or(0.05, |d| {
            let share = |range: Range| (range.high - range.low) / (2.0 * range.nominal);
            share(d.reference) + share(d.pull) / 2.0 + 0.02
        });
        let floor = divider.map_or(0.05, |d| 0.01 * d.reference.nominal);
        let room = (share * volt.abs()).max(floor);
        Range { low: volt - room, nominal: volt, high: volt + room }
    };
    Spans {
        ohm: vec![None; survey.states.len()],
        volt: symptoms.iter().map(|symptom| symptom.volt.map(spread)).collect(),
        moved: circuit.moved_live(&survey.states),
    }
}

/// Values from `low` to `high`, evenly by ratio.
fn decades(low: f64, high: f64) -> Vec<f64> {
    let n_steps = ((high / low).log10() * A_DECADE as f64).round() as i32;
    let step = (high / low).powf(1.0 / f64::from(n_steps));
    (0..=n_steps).map(|n| low * step.powi(n)).collect()
}

/// Values about a drawn one, from a hundredth to a hundred times: every fiftieth near it, further
/// off every tenth.
fn about(ohm: f64) -> Vec<f64> {
    let mut grid: Vec<f64> = (-14..=14).map(|n| ohm * 1.02f64.powi(n)).collect();
    let far = decades(ohm / 100.0, ohm * 100.0);
    let (low, high) = (grid[0], grid[grid.len() - 1]);
    grid.extend(far.into_iter().filter(|far| *far < low / 1.05 || *far > high * 1.05));
    grid.sort_by(f64::total_cmp);
    grid
}

/// Suspects, those that read alike put together.
#[derive(Default)]
struct Gathered {
    suspects: Vec<Suspect>,
    known: BTreeMap<Vec<u64>, usize>,
}

/// Values of the faults that are cases of a line, and between which values it is as drawn.
type Known = (Vec<f64>, Option<(f64, f64)>);

impl Gathered {
    /// Whether it is on the list: a line that changes no reading is not.
    fn add(&mut self, blame: Blame, shape: Shape, (cases, drawn): Known) -> bool {
        if let Shape::Line { none, some, .. } = &shape
            && none.ohm == some.ohm
            && none.volt == some.volt
        {
            return false;
        }
        // Dirt of unknown size is a cause of its own, beside those of known size.
        let n_causes = 1 + cases.len();
        let key = key(&blame, &shape);
        match self.known.get(&key).map(|idx| &mut self.suspects[*idx]) {
            Some(like) => {
                like.n_causes += n_causes;
                like.cases.extend(cases);
                join(&mut like.blame, blame);
            }
            None => {
                self.known.insert(key, self.suspects.len());
                self.suspects.push(Suspect { blame, n_causes, cases, drawn, shape });
            }
        }
        true
    }
}

/// Puts the names of one blame to another that reads the same.
fn join(known: &mut Blame, new: Blame) {
    match (known, new) {
        (Blame::Faults(rows) | Blame::Nothing { unseen: rows }, Blame::Faults(more)) => {
            rows.extend(more);
        }
        (Blame::MoreOhms { at, .. }, Blame::MoreOhms { at: more, .. }) => at.extend(more),
        (
            Blame::Leak { between, rows, is_at_pin },
            Blame::Leak { between: more, rows: cases, is_at_pin: other },
        ) => {
            between.extend(more);
            rows.extend(cases);
            *is_at_pin |= other;
        }
        // Blames of other kinds have other keys.
        (_, _) => {}
    }
}

/// Equal for suspects that read the same to six figures in every state. Kinds that are told in
/// different words are kept apart, points from lines too; all that reads as sound is one.
fn key(blame: &Blame, shape: &Shape) -> Vec<u64> {
    let mut key = vec![match blame {
        Blame::Nothing { .. } | Blame::Faults(_) => 0,
        Blame::MoreOhms { .. } => 1,
        Blame::OtherValue { part, .. } => 1000 + u64::from(part.0),
        Blame::Leak { .. } => 2,
        Blame::Lifted => 3,
        Blame::OtherPull => 4,
    }];
    let figures = |value: f64| {
        let rounded: f64 = format!("{value:.5e}").parse().unwrap_or(value);
        (if rounded == 0.0 { 0.0 } else { rounded }).to_bits()
    };
    let mut put = |spans: &Spans| {
        for range in spans.ohm.iter().chain(&spans.volt) {
            match range {
                Some(range) => {
                    key.extend([range.low, range.nominal, range.high].map(figures));
                }
                None => key.push(u64::MAX),
            }
        }
    };
    match shape {
        Shape::Point(spans) => put(spans),
        Shape::Line { some, all, .. } => {
            put(some);
            put(all);
        }
        Shape::List { spans, .. } => spans.iter().for_each(put),
    }
    key
}
