//! Mirror check: with the fewest touches of a meter, prove that no plug of the harness was filled
//! from the wrong side, left and right exchanged.
//!
//! A touch puts one lead into the cavity that is lit on the face view and the other into the cavity
//! its net leads to. It can prove the two halves it touches, no others, so every half that could be
//! filled wrongly must be in some touch: the touches are an edge cover of the graph whose nodes are
//! the halves and whose edges are the touches that would notice it whichever of their two halves is
//! mirrored, or both. The least edge cover has as many edges as there are nodes, less those of a
//! greatest matching (Gallai 1959), so no fewer touches can do.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::algo::maximum_matching;
use petgraph::graph::{NodeIndex, UnGraph};

use crate::drawing::{FaceSide, face_pos};
use crate::model::{CavityLayout, HalfSide, Numbering, PartId, PartKind, Project, TerminalRef};
use crate::proving::plan::place_words;
use crate::proving::wiring::{Net, nets};

/// One half of a connector, or the controller's plug.
pub type HalfId = (PartId, HalfSide);

/// One touch: red and black lead.
#[derive(Clone, Debug, PartialEq)]
pub struct Touch {
    /// Red lead, in the cavity that is lit.
    pub red: TerminalRef,
    /// Black lead.
    pub black: TerminalRef,
    /// Halves it proves.
    pub proves: Vec<HalfId>,
    /// Nominal ohms if all is right; `None` where the length of a wire is not known.
    pub usual_ohm: Option<f64>,
}

/// The check of a harness.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MirrorCheck {
    /// Touches in the order in which to make them.
    pub touches: Vec<Touch>,
    /// Halves that no touch can prove, because every wire in them would lead to the same net.
    pub unprovable: Vec<HalfId>,
    /// Halves that look the same when they are mirrored: nothing to prove.
    pub symmetric: Vec<HalfId>,
}

/// Where a terminal lies on the mirror image of its half; `None` for what is no cavity.
pub fn mirrored(project: &Project, at: TerminalRef) -> Option<TerminalRef> {
    let (layout, numbering, step, first) = face(project, at)?;
    let cavity = (at.terminal - first) / step + 1;
    let place = |cavity| face_pos(layout, numbering, cavity);
    let all = 1..=layout.count();
    let xs = all.clone().map(|cavity| place(cavity).x_mm);
    let (low, high) =
        xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
    let here = place(cavity);
    let other = all.into_iter().find(|other| {
        let there = place(*other);
        (there.x_mm - (low + high - here.x_mm)).abs() < 0.1 && (there.y_mm - here.y_mm).abs() < 0.1
    })?;
    Some(TerminalRef { part: at.part, terminal: (other - 1) * step + first })
}

/// Layout and numbering, distance of a half's terminals, and the first of them.
fn face(project: &Project, at: TerminalRef) -> Option<(CavityLayout, Numbering, u16, u16)> {
    match &project.parts.get(at.part)?.kind {
        PartKind::Connector(row) => Some((row.layout, row.numbering, 2, at.terminal % 2)),
        PartKind::Controller(row) => Some((row.layout, row.numbering, 1, 0)),
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => None,
    }
}

/// The half a terminal belongs to; `None` for what is no cavity.
pub fn half_of(project: &Project, at: TerminalRef) -> Option<HalfId> {
    let (_, side) = project.parts.get(at.part)?.kind.seat(at.terminal)?;
    Some((at.part, side))
}

/// What lies where in a harness.
pub struct Harness<'a> {
    project: &'a Project,
    nets: Vec<Net>,
    net_of: BTreeMap<TerminalRef, usize>,
}

impl<'a> Harness<'a> {
    /// Reads the nets of the harness.
    pub fn new(project: &'a Project) -> Self {
        let nets = nets(project);
        let ends = nets.iter().enumerate();
        let net_of = ends.flat_map(|(n, net)| net.ends.iter().map(move |at| (*at, n))).collect();
        Self { project, nets, net_of }
    }

    /// Whether a touch reads joined while these halves are filled from the wrong side.
    pub fn is_joined(
        &self,
        wrong: &BTreeSet<HalfId>,
        (red, black): (TerminalRef, TerminalRef),
    ) -> bool {
        let net = |at: TerminalRef| {
            let is_wrong = half_of(self.project, at).is_some_and(|half| wrong.contains(&half));
            // The wire that belongs into the mirror place sits here then.
            let from = if is_wrong { mirrored(self.project, at)? } else { at };
            self.net_of.get(&from).copied()
        };
        matches!((net(red), net(black)), (Some(a), Some(b)) if a == b)
    }

    /// Halves that wires end in.
    pub fn halves(&self) -> BTreeSet<HalfId> {
        self.net_of.keys().filter_map(|at| half_of(self.project, *at)).collect()
    }

    /// Whether a half mirrored holds every wire where it belongs.
    fn is_symmetric(&self, half: HalfId) -> bool {
        let own = self.net_of.iter().filter(|(at, _)| half_of(self.project, **at) == Some(half));
        own.into_iter().all(|(at, net)| {
            mirrored(self.project, *at).and_then(|there| self.net_of.get(&there)) == Some(net)
        })
    }

    /// Touches from end to end of every net that notice each and any of their halves mirrored.
    pub fn touches(&self) -> Vec<((TerminalRef, TerminalRef), BTreeSet<HalfId>)> {
        let mut found = Vec::new();
        for net in &self.nets {
            for (n, red) in net.ends.iter().enumerate() {
                for black in &net.ends[n + 1..] {
                    let halves: BTreeSet<HalfId> = [*red, *black]
                        .iter()
                        .filter_map(|at| half_of(self.project, *at))
                        .filter(|half| !self.is_symmetric(*half))
                        .collect();
                    if !halves.is_empty() && self.notices_all(&halves, (*red, *black)) {
                        found.push(((*red, *black), halves));
                    }
                }
            }
        }
        found
    }

    fn notices_all(&self, halves: &BTreeSet<HalfId>, touch: (TerminalRef, TerminalRef)) -> bool {
        let all: Vec<HalfId> = halves.iter().copied().collect();
        (1..1usize << all.len()).all(|mask| {
            let wrong = (0..all.len()).filter(|n| mask >> n & 1 == 1).map(|n| all[n]).collect();
            !self.is_joined(&wrong, touch)
        })
    }
}

/// The fewest touches that prove every half that can be proved.
///
/// Where a half can only be proved together with one that masks it, it counts as unprovable here and
/// is left to the pin to pin steps. Cost: that of a greatest matching in a graph of the halves.
pub fn mirror_check(project: &Project) -> MirrorCheck {
    let harness = Harness::new(project);
    let touches = harness.touches();
    let mut check = MirrorCheck::default();
    let mut graph: UnGraph<HalfId, usize> = UnGraph::default();
    let mut node_of: BTreeMap<HalfId, NodeIndex> = BTreeMap::new();
    for half in harness.halves() {
        if harness.is_symmetric(half) {
            check.symmetric.push(half);
        } else if touches.iter().any(|(_, halves)| halves.contains(&half)) {
            node_of.insert(half, graph.add_node(half));
        } else {
            check.unprovable.push(half);
        }
    }
    for (n, (_, halves)) in touches.iter().enumerate() {
        let ends: Vec<NodeIndex> =
            halves.iter().filter_map(|half| node_of.get(half)).copied().collect();
        if let [a, b] = ends.as_slice()
            && graph.find_edge(*a, *b).is_none()
        {
            graph.add_edge(*a, *b, n);
        }
    }
    let matching = maximum_matching(&graph);
    let mut chosen: BTreeSet<usize> = matching
        .edges()
        .filter_map(|(a, b)| graph.find_edge(a, b))
        .map(|edge| graph[edge])
        .collect();
    for (half, node) in &node_of {
        if !matching.contains_node(*node) {
            // Any touch of it will do; the first in order.
            chosen.extend(touches.iter().position(|(_, halves)| halves.contains(half)));
        }
    }
    let mut proved: BTreeSet<HalfId> = BTreeSet::new();
    for n in chosen {
        let ((red, black), halves) = &touches[n];
        let net = harness.net_of.get(red).map(|net| &harness.nets[*net]);
        let proves = halves.iter().filter(|half| proved.insert(**half)).copied().collect();
        let usual_ohm = net.and_then(|net| net.ohm(*red, *black));
        check.touches.push(Touch { red: *red, black: *black, proves, usual_ohm });
    }
    check
}

/// Name of a half.
pub fn half_name(project: &Project, (part, side): HalfId) -> String {
    let Some(row) = project.parts.get(part) else { return "?".into() };
    let half = row.kind.half(side).or_else(|| row.kind.half(HalfSide::First));
    half.map_or_else(|| row.name.clone(), |half| half.name.clone())
}

/// `red lead to X2P-3 (face view …), black lead to X3-1 (…): proves X2P and X3`.
pub fn touch_words(project: &Project, touch: &Touch) -> String {
    let place = |at| place_words(project, at, FaceSide::Face);
    let names: Vec<String> = touch.proves.iter().map(|half| half_name(project, *half)).collect();
    format!(
        "red lead to {}, black lead to {}: proves {}",
        place(touch.red),
        place(touch.black),
        names.join(" and ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    /// Every way in which halves can be filled wrongly is noticed by some touch, and no smaller set
    /// of touches (of all that join two ends of a net) notices every single half: by trying all.
    #[test]
    fn all_mirrors_are_noticed_and_no_fewer_touches_would_do() {
        let mut n_proved = 0;
        for sample in samples::LIST {
            let project = samples::open(sample.name).unwrap();
            let check = mirror_check(&project);
            let harness = Harness::new(&project);
            let halves: Vec<HalfId> = harness
                .halves()
                .into_iter()
                .filter(|half| !check.symmetric.contains(half) && !check.unprovable.contains(half))
                .collect();
            n_proved += halves.len();
            assert!(halves.len() < 16, "too many to try all");
            for mask in 1..1usize << halves.len() {
                let wrong: BTreeSet<HalfId> =
                    (0..halves.len()).filter(|n| mask >> n & 1 == 1).map(|n| halves[n]).collect();
                let is_noticed = check
                    .touches
                    .iter()
                    .any(|touch| !harness.is_joined(&wrong, (touch.red, touch.black)));
                assert!(is_noticed, "{}: {wrong:?}", sample.name);
            }
            // A touch notices no half but its own two.
            let pairs: Vec<(TerminalRef, TerminalRef)> = harness
                .nets
                .iter()
                .flat_map(|net| {
                    let ends = &net.ends;
                    (0..ends.len())
                        .flat_map(move |a| (a + 1..ends.len()).map(move |b| (ends[a], ends[b])))
                })
                .collect();
            let noticed: BTreeSet<Vec<HalfId>> = pairs
                .iter()
                .map(|pair| {
                    let alone =
                        |half: &&HalfId| !harness.is_joined(&BTreeSet::from([**half]), *pair);
                    halves.iter().filter(alone).copied().collect()
                })
                .collect();
            let sets: Vec<Vec<HalfId>> =
                noticed.into_iter().filter(|set| !set.is_empty()).collect();
            assert!(
                !covers(&sets, &halves, check.touches.len().saturating_sub(1)),
                "{}: fewer touches would do",
                sample.name
            );
            assert!(
                halves.is_empty() || covers(&sets, &halves, check.touches.len()),
                "{}",
                sample.name
            );
        }
        assert!(n_proved >= 10, "{n_proved}");
    }

    /// Whether at most `n` of the sets hold every half.
    fn covers(sets: &[Vec<HalfId>], halves: &[HalfId], n: usize) -> bool {
        let Some(first) = halves.first() else { return true };
        n > 0
            && sets.iter().filter(|set| set.contains(first)).any(|set| {
                let left: Vec<HalfId> =
                    halves.iter().filter(|half| !set.contains(half)).copied().collect();
                covers(sets, &left, n - 1)
            })
    }

    /// By hand for the sprayer: four halves with wires, X3, X2P, X2S and X1; a wire from X3 to X2P and
    /// one from X2S to X1, so two touches; less than one touch for two halves cannot be.
    #[test]
    fn the_sprayer_takes_two_touches() {
        let project = samples::open("sprayer").unwrap();
        let check = mirror_check(&project);
        let names: Vec<String> = check
            .touches
            .iter()
            .flat_map(|touch| touch.proves.iter().map(|half| half_name(&project, *half)))
            .collect();
        let known: BTreeSet<&str> = names.iter().map(String::as_str).collect();
        assert_eq!(known, BTreeSet::from(["X1", "X2P", "X2S", "X3"]));
        assert_eq!(check.touches.len(), 2, "{:?}", check.touches);
        assert!(touch_words(&project, &check.touches[0]).contains("proves"));
    }
}
