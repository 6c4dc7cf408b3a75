//! Isolation: neighbour cavities on a face that must not touch, every plug pulled.

use std::collections::{BTreeMap, BTreeSet};

use crate::drawing::{FaceSide, face_pos};
use crate::model::{PartKind, Project, TerminalRef};
use crate::proving::plan::fingerprint::Fingerprint;
use crate::proving::plan::place::place_words;
use crate::proving::plan::{Limits, Plan, Step, StepKind};
use crate::proving::typed::Quantity;
use crate::proving::wiring::nets;
use crate::units::format_ohm;

/// Least ohms between two dry cavities (10 MΩ; from memory, a design assumption).
pub const DRY_OHM: f64 = 10e6;

/// A meter whose ranges end below this proves no isolation (1 MΩ; a design assumption).
const LEAST_USEFUL_OHM: f64 = 1e6;

/// One step for each two nets that lie side by side in some plug, at the first such place.
pub fn add(project: &Project, plan: &mut Plan) {
    let nets = nets(project);
    let net_of: BTreeMap<TerminalRef, usize> = nets
        .iter()
        .enumerate()
        .flat_map(|(n, net)| net.ends.iter().map(move |at| (*at, n)))
        .collect();
    let is_ground = |at: &TerminalRef| {
        project.parts.get(at.part).is_some_and(|part| matches!(part.kind, PartKind::Ground))
    };
    let is_grounded: Vec<bool> = nets.iter().map(|net| net.ends.iter().any(is_ground)).collect();
    let mut done: BTreeSet<(usize, usize)> = BTreeSet::new();
    for (part, row) in project.parts.iter() {
        let (layout, numbering, halves): (_, _, &[(u16, u16)]) = match &row.kind {
            PartKind::Connector(row) => (row.layout, row.numbering, &[(2, 0), (2, 1)]),
            PartKind::Controller(row) => (row.layout, row.numbering, &[(1, 0)]),
            PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Fuse(_)
            | PartKind::Resistor(_)
            | PartKind::Contact(_)
            | PartKind::Splice { .. }
            | PartKind::TestPoint
            | PartKind::Element(_) => continue,
        };
        let places: Vec<_> =
            (1..=layout.count()).map(|cavity| face_pos(layout, numbering, cavity)).collect();
        let pairs = neighbours(&places);
        for (step, first) in halves {
            for (one, two) in &pairs {
                let at = |cavity: usize| TerminalRef {
                    part,
                    terminal: u16::try_from(cavity).unwrap_or(u16::MAX) * step + first,
                };
                let (a, b) = (at(*one), at(*two));
                let (Some(net_a), Some(net_b)) = (net_of.get(&a), net_of.get(&b)) else { continue };
                let pair = (*net_a.min(net_b), *net_a.max(net_b));
                // The machine's own ground joins all that is bolted to it.
                let are_grounded = is_grounded[*net_a] && is_grounded[*net_b];
                if net_a != net_b && !are_grounded && done.insert(pair) {
                    plan.steps.push(self::step(project, a, b));
                }
            }
        }
    }
}

/// Pairs of places that touch, by index: none farther apart than a fifth more than the nearest.
fn neighbours(places: &[crate::geometry::Point]) -> Vec<(usize, usize)> {
    let pairs: Vec<(usize, usize, f64)> = (0..places.len())
        .flat_map(|a| (a + 1..places.len()).map(move |b| (a, b)))
        .map(|(a, b)| {
            let (p, q) = (places[a], places[b]);
            (a, b, (p.x_mm - q.x_mm).hypot(p.y_mm - q.y_mm))
        })
        .collect();
    let nearest = pairs.iter().map(|(_, _, far)| *far).fold(f64::INFINITY, f64::min);
    pairs.into_iter().filter(|(_, _, far)| *far <= nearest * 1.2).map(|(a, b, _)| (a, b)).collect()
}

fn step(project: &Project, red: TerminalRef, black: TerminalRef) -> Step {
    let mut print = Fingerprint::new("apart");
    print.terminal(red);
    print.terminal(black);
    let most = project.settings.meter.ohm_ranges.last().map(|range| range.most);
    let least_ohm = most.map_or(DRY_OHM, |most| most.min(DRY_OHM));
    let blocked = (least_ohm < LEAST_USEFUL_OHM).then(|| {
        format!(
            "the meter's greatest range ends at {}: over range there proves no isolation; take a meter that reads 1 MΩ or more and enter its ranges in the settings",
            format_ohm(least_ohm)
        )
    });
    let note = if least_ohm < DRY_OHM {
        "the meter's greatest range ends below 10 MΩ: its sign for over range is enough".to_owned()
    } else {
        "10 MΩ between dry cavities is a design assumption, from memory; local rules go first"
            .to_owned()
    };
    Step {
        key: format!("apart:{}.{}-{}.{}", red.part, red.terminal, black.part, black.terminal),
        kind: StepKind::Isolation,
        title: format!("{} from {}", project.terminal_name(red), project.terminal_name(black)),
        connect: vec![
            "all plugs of the harness pulled, supplies off".into(),
            format!("red lead to {}", place_words(project, red, FaceSide::Face)),
            format!("black lead to {}", place_words(project, black, FaceSide::Face)),
        ],
        state: None,
        red: Some(red),
        black: Some(black),
        quantity: Quantity::Ohm,
        limits: blocked.is_none().then_some(Limits::Open { least_ohm }),
        notes: if blocked.is_some() { Vec::new() } else { vec![note] },
        blocked,
        drawing: print.finish(),
    }
}
