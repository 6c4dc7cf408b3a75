//! Pin to pin: through the wires of the harness alone, every plug pulled.

use std::collections::{BTreeMap, BTreeSet};

use crate::circuit::solve::Problem;
use crate::harness::{tap_fractions, wire_ohms};
use crate::model::{PartKind, Project, TerminalRef, WireId, WireModel, WireUse};
use crate::proving::plan::fingerprint::Fingerprint;
use crate::proving::plan::place::{View, place_words};
use crate::proving::plan::{Limits, Plan, Step, StepKind};
use crate::proving::typed::Quantity;
use crate::sense::shown_ohm;

/// Wires are delivered with up to so much more than their nominal resistance: the share at which a
/// used piece is turned down (common practice, no source).
const WIRE_HIGH: f64 = 1.15;

/// A stretch of wire: terminal, terminal, ohms as far as its length is known, wire.
type Stretch = (TerminalRef, TerminalRef, Option<f64>, WireId);

/// Terminals that wires alone join, and what joins them.
pub struct Net {
    /// Terminals a probe reaches, in order.
    pub ends: Vec<TerminalRef>,
    /// Terminal, terminal, ohms, wire.
    edges: Vec<Stretch>,
}

/// Nets of the harness as it lies on the bench, unplugged from everything, and joined by nothing
/// but its own wires and splices.
pub fn nets(project: &Project) -> Vec<Net> {
    let ohms = match project.settings.wire_model {
        WireModel::ByLength => wire_ohms(project),
        WireModel::Ideal => BTreeMap::new(),
    };
    let mut taps: BTreeMap<WireId, Vec<(f64, TerminalRef)>> = BTreeMap::new();
    let fractions = tap_fractions(project);
    for (part, row) in project.parts.iter() {
        if let PartKind::Splice { on: Some(wire) } = row.kind {
            let fraction = fractions.get(&part).copied().unwrap_or(0.5);
            taps.entry(wire).or_default().push((fraction, TerminalRef { part, terminal: 0 }));
        }
    }
    let mut edges = Vec::new();
    for (id, wire) in project.wires.iter().filter(|(_, wire)| wire.usage == WireUse::Harness) {
        let ohm = ohms.get(&id).map(|range| range.nominal);
        let mut on_it = taps.remove(&id).unwrap_or_default();
        on_it.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut from, mut done) = (wire.from.terminal, 0.0);
        for (fraction, splice) in on_it {
            edges.push((from, splice, ohm.map(|ohm| ohm * (fraction - done)), id));
            (from, done) = (splice, fraction);
        }
        edges.push((from, wire.to.terminal, ohm.map(|ohm| ohm * (1.0 - done)), id));
    }
    grouped(project, edges)
}

fn grouped(project: &Project, edges: Vec<Stretch>) -> Vec<Net> {
    let mut net_of: BTreeMap<TerminalRef, usize> = BTreeMap::new();
    let mut nets: Vec<Vec<Stretch>> = Vec::new();
    for edge in edges {
        let known = [edge.0, edge.1].map(|at| net_of.get(&at).copied());
        let into = known[0].or(known[1]).unwrap_or_else(|| {
            nets.push(Vec::new());
            nets.len() - 1
        });
        if let [Some(a), Some(b)] = known
            && a != b
        {
            let moved = std::mem::take(&mut nets[b]);
            for (from, to, ..) in &moved {
                net_of.insert(*from, a);
                net_of.insert(*to, a);
            }
            nets[a].extend(moved);
        }
        net_of.insert(edge.0, into);
        net_of.insert(edge.1, into);
        nets[into].push(edge);
    }
    let mut found: Vec<Net> = nets
        .into_iter()
        .filter(|edges| !edges.is_empty())
        .map(|edges| {
            let at: BTreeSet<TerminalRef> =
                edges.iter().flat_map(|(from, to, ..)| [*from, *to]).collect();
            let ends = at.into_iter().filter(|at| is_reachable(project, *at)).collect();
            Net { ends, edges }
        })
        .collect();
    found.sort_by(|a, b| a.ends.cmp(&b.ends));
    found
}

/// Splices lie under their covering; everything else has a place for a probe.
fn is_reachable(project: &Project, at: TerminalRef) -> bool {
    project.parts.get(at.part).is_some_and(|part| !matches!(part.kind, PartKind::Splice { .. }))
}

impl Net {
    /// Nominal ohms between two of its terminals; `None` where the length of a wire is not known.
    pub fn ohm(&self, a: TerminalRef, b: TerminalRef) -> Option<f64> {
        let terminals: BTreeSet<TerminalRef> =
            self.edges.iter().flat_map(|(from, to, ..)| [*from, *to]).collect();
        let order: Vec<TerminalRef> = terminals.into_iter().collect();
        let idx = |at: TerminalRef| order.binary_search(&at).ok();
        let mut problem = Problem { node_count: order.len(), ..Problem::default() };
        for (from, to, ohm, _) in &self.edges {
            problem.resistances.push((idx(*from)?, idx(*to)?, (*ohm)?));
        }
        problem.held.push((idx(b)?, 0.0));
        problem.fed.push((idx(a)?, 1.0));
        problem.solve().ok()?.volt(idx(a)?)
    }
}

/// From the first end of each net to every other: as many touches as prove all its wires.
pub fn add(project: &Project, plan: &mut Plan) {
    let nets = nets(project);
    for net in &nets {
        let Some((first, others)) = net.ends.split_first() else { continue };
        for other in others {
            plan.steps.push(step(project, net, *first, *other));
        }
    }
    if nets.is_empty() {
        plan.left_out.push("pin to pin: no wires of a harness are drawn".into());
    }
}

fn step(project: &Project, net: &Net, red: TerminalRef, black: TerminalRef) -> Step {
    let meter = &project.settings.meter;
    let ohm = net.ohm(red, black);
    let mut notes = Vec::new();
    let limits = ohm.map(|ohm| {
        let (low, high) = shown_ohm(meter, (0.0, ohm * WIRE_HIGH));
        Limits::Figure { low, usual: ohm + meter.lead_ohm, high }
    });
    if let (Some(tone), Some(Limits::Figure { high, .. })) = (meter.tone_ohm, &limits)
        && *high < tone
    {
        notes.push(format!("the meter must sound, as it does below {tone} Ω"));
    }
    let blocked = ohm.is_none().then(|| {
        let is_ideal = project.settings.wire_model == WireModel::Ideal;
        match is_ideal {
            true => "the project's wires are ideal, so their ohms are not known: set the wire model to by length".to_owned(),
            false => "the length of a wire on the way is not known: draw its route or type its length".to_owned(),
        }
    });
    let mut print = Fingerprint::new("wire");
    for (from, to, ohm, wire) in &net.edges {
        print.terminal(*from);
        print.terminal(*to);
        print.numbers(&[wire.0]);
        print.values(&[ohm.unwrap_or(-1.0)]);
    }
    Step {
        key: format!("wire:{}.{}-{}.{}", red.part, red.terminal, black.part, black.terminal),
        kind: StepKind::Continuity,
        title: format!("{} to {}", project.terminal_name(red), project.terminal_name(black)),
        connect: vec![
            "all plugs of the harness pulled, supplies off".into(),
            format!("red lead to {}", place_words(project, red, View::Face)),
            format!("black lead to {}", place_words(project, black, View::Face)),
        ],
        state: None,
        red: Some(red),
        black: Some(black),
        quantity: Quantity::Ohm,
        limits,
        blocked,
        notes,
        drawing: print.finish(),
    }
}
