//! The harness laid out flat: runs drawn straight at their length, branches at angles that can be read.
//!
//! The longest way is the trunk and lies level. Each branch tries a list of angles and takes the
//! first at which it keeps clear of what lies there already. Runs that close a ring are not drawn.

use std::collections::{BTreeMap, BTreeSet};

use crate::geometry::{Point, point};
use crate::model::{PlaceId, Project, RunId};

/// Longer runs are drawn with a break.
pub const LONGEST_MM: f64 = 3000.0;
/// What of a broken run is drawn.
pub const BROKEN_MM: f64 = 800.0;
/// Branches keep so far from each other.
const CLEAR_MM: f64 = 28.0;
/// From one separate harness to the next.
const APART_MM: f64 = 120.0;

/// A run on the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Laid {
    /// The run.
    pub run: RunId,
    /// Where it begins and ends.
    pub ends: [Point; 2],
    /// Its length with its loop, in millimetres.
    pub length_mm: f64,
}

impl Laid {
    /// Whether it is drawn shorter than it is.
    pub fn is_broken(&self) -> bool {
        self.length_mm > LONGEST_MM
    }
}

/// The whole layout.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flat {
    /// Where every place lies.
    pub places: BTreeMap<PlaceId, Point>,
    /// Runs in the order they were laid.
    pub runs: Vec<Laid>,
    /// Runs that would close a ring.
    pub left_out: Vec<RunId>,
}

type Links = BTreeMap<PlaceId, Vec<(RunId, PlaceId, f64)>>;

/// Lays out all places that runs join; what it has so far where `keep_going` says no, which it is asked
/// for every run.
pub fn flat(project: &Project, keep_going: &dyn Fn() -> bool) -> Flat {
    let mut flat = Flat::default();
    let (links, left_out) = tree(project);
    flat.left_out = left_out;
    let mut seen: BTreeSet<PlaceId> = BTreeSet::new();
    let mut below_mm = 0.0;
    for start in links.keys() {
        if seen.contains(start) {
            continue;
        }
        if !keep_going() {
            break;
        }
        // The far end of the far end: both ends of the longest way through a tree.
        let one = farthest(&links, *start);
        let other = farthest(&links, one);
        let mut part = Flat::default();
        lay(&links, (one, other), &mut part, keep_going);
        seen.extend(part.places.keys());
        let top = part.places.values().map(|p| p.y_mm).fold(f64::INFINITY, f64::min);
        let bottom = part.places.values().map(|p| p.y_mm).fold(f64::NEG_INFINITY, f64::max);
        let shift = point(0.0, below_mm - top);
        below_mm += bottom - top + APART_MM;
        flat.places.extend(part.places.into_iter().map(|(id, at)| (id, at + shift)));
        flat.runs.extend(
            part.runs
                .into_iter()
                .map(|run| Laid { ends: [run.ends[0] + shift, run.ends[1] + shift], ..run }),
        );
    }
    flat
}

/// Runs that join what was not joined yet, in their order; the others are left out.
fn tree(project: &Project) -> (Links, Vec<RunId>) {
    let mut root: BTreeMap<PlaceId, PlaceId> = project.places.ids().map(|id| (id, id)).collect();
    let mut links = Links::new();
    let mut left_out = Vec::new();
    for (id, run) in project.runs.iter() {
        let (Some(a), Some(b)) = (find(&root, run.from), find(&root, run.to)) else { continue };
        if a == b {
            left_out.push(id);
            continue;
        }
        root.insert(a, b);
        let length_mm = run.length_mm + run.loop_mm.unwrap_or(0.0);
        links.entry(run.from).or_default().push((id, run.to, length_mm));
        links.entry(run.to).or_default().push((id, run.from, length_mm));
    }
    (links, left_out)
}

fn find(root: &BTreeMap<PlaceId, PlaceId>, place: PlaceId) -> Option<PlaceId> {
    let mut at = place;
    loop {
        let above = *root.get(&at)?;
        if above == at {
            return Some(at);
        }
        at = above;
    }
}

/// Drawn length of a run.
fn drawn_mm(length_mm: f64) -> f64 {
    if length_mm > LONGEST_MM { BROKEN_MM } else { length_mm }
}

/// The place farthest from another; of equals the one with the lowest identity.
fn farthest(links: &Links, from: PlaceId) -> PlaceId {
    let reached = reach(links, from);
    let mut best = (from, 0.0);
    for (place, (_, far)) in &reached {
        if *far > best.1 {
            best = (*place, *far);
        }
    }
    best.0
}

/// From where each place is reached, and how far it is.
fn reach(links: &Links, from: PlaceId) -> BTreeMap<PlaceId, (PlaceId, f64)> {
    let mut reached = BTreeMap::from([(from, (from, 0.0))]);
    let mut open = vec![from];
    while let Some(at) = open.pop() {
        let far = reached[&at].1;
        for (_, next, length_mm) in links.get(&at).into_iter().flatten() {
            if !reached.contains_key(next) {
                reached.insert(*next, (at, far + drawn_mm(*length_mm)));
                open.push(*next);
            }
        }
    }
    reached
}

/// Angles a branch tries, in degrees from the way it leaves.
const ANGLES: [f64; 14] =
    [60.0, -60.0, 90.0, -90.0, 45.0, -45.0, 120.0, -120.0, 30.0, -30.0, 75.0, -75.0, 135.0, -135.0];

fn lay(
    links: &Links,
    (one, other): (PlaceId, PlaceId),
    flat: &mut Flat,
    keep_going: &dyn Fn() -> bool,
) {
    let before = reach(links, one);
    let mut trunk = vec![other];
    while let Some(last) = trunk.last().filter(|last| **last != one) {
        trunk.push(before[last].0);
    }
    trunk.reverse();
    flat.places.insert(one, point(0.0, 0.0));
    let mut x = 0.0;
    for pair in trunk.windows(2) {
        let Some((run, _, length_mm)) =
            links[&pair[0]].iter().find(|(_, next, _)| *next == pair[1]).copied()
        else {
            continue;
        };
        let from = point(x, 0.0);
        x += drawn_mm(length_mm);
        flat.places.insert(pair[1], point(x, 0.0));
        flat.runs.push(Laid { run, ends: [from, point(x, 0.0)], length_mm });
    }
    let mut open: Vec<(PlaceId, f64)> = trunk.iter().rev().map(|place| (*place, 0.0)).collect();
    while let Some((at, way)) = open.pop() {
        for (run, next, length_mm) in links.get(&at).into_iter().flatten() {
            if flat.places.contains_key(next) {
                continue;
            }
            if !keep_going() {
                return;
            }
            let from = flat.places[&at];
            let end_at = |turn: f64| {
                let angle = (way + turn).to_radians();
                from + point(angle.cos(), angle.sin()).times(drawn_mm(*length_mm))
            };
            let is_trunk = way == 0.0;
            let straight = (!is_trunk).then_some(0.0);
            let turns = straight.into_iter().chain(ANGLES);
            let turn = turns
                .clone()
                .find(|turn| is_clear(&flat.runs, from, end_at(*turn)))
                .unwrap_or(ANGLES[0]);
            let to = end_at(turn);
            flat.places.insert(*next, to);
            flat.runs.push(Laid { run: *run, ends: [from, to], length_mm: *length_mm });
            open.push((*next, way + turn));
        }
    }
}

trait Times {
    fn times(self, factor: f64) -> Self;
}

impl Times for Point {
    fn times(self, factor: f64) -> Self {
        point(self.x_mm * factor, self.y_mm * factor)
    }
}

/// Whether a new stretch keeps clear of all others, its own beginning left out.
fn is_clear(runs: &[Laid], from: Point, to: Point) -> bool {
    let length = from.distance(to);
    let n = (length / 12.0).ceil().max(1.0) as u32;
    runs.iter().all(|run| {
        (1..=n).all(|step| {
            let share = f64::from(step) / f64::from(n);
            let at = from + (to - from).times(share);
            // Close to its own beginning a branch cannot be clear of what it leaves.
            let needed = CLEAR_MM.min(share * length * 0.45);
            distance(at, run.ends) >= needed - 1e-6
        })
    })
}

/// Distance of a point from a stretch.
fn distance(p: Point, [a, b]: [Point; 2]) -> f64 {
    let (dx, dy) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    let square = dx * dx + dy * dy;
    let share = if square > 0.0 {
        (((p.x_mm - a.x_mm) * dx + (p.y_mm - a.y_mm) * dy) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    p.distance(point(a.x_mm + share * dx, a.y_mm + share * dy))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Place, Run};

    fn project(runs: &[(u32, u32, f64)]) -> Project {
        let mut project = Project::empty("layout");
        for (n, (from, to, length_mm)) in runs.iter().enumerate() {
            for id in [*from, *to] {
                let pos = point(0.0, 0.0);
                project.places.put(PlaceId(id), Place { name: format!("P{id}"), pos });
            }
            let (from, to) = (PlaceId(*from), PlaceId(*to));
            let run = Run {
                name: format!("R{n}"),
                from,
                to,
                length_mm: *length_mm,
                loop_mm: None,
                laid: crate::model::Laid::default(),
            };
            project.runs.put(RunId(n as u32), run);
        }
        project
    }

    #[test]
    fn every_run_has_its_length_and_branches_keep_clear() {
        let project = project(&[
            (1, 2, 500.0),
            (2, 3, 700.0),
            (2, 4, 300.0),
            (2, 5, 350.0),
            (3, 6, 900.0),
            (3, 7, 100.0),
            (7, 8, 80.0),
            (7, 9, 80.0),
        ]);
        let flat = flat(&project, &|| true);
        assert_eq!(flat.runs.len(), 8);
        for run in &flat.runs {
            let drawn = run.ends[0].distance(run.ends[1]);
            assert!((drawn - run.length_mm).abs() < 1e-9, "{run:?}");
        }
        // 1 - 2 - 3 - 6 is the longest way: 2100 mm, level.
        assert_eq!(flat.places[&PlaceId(1)].distance(flat.places[&PlaceId(6)]), 2100.0);
        for (n, a) in flat.runs.iter().enumerate() {
            for b in &flat.runs[..n] {
                let shares_place = a.ends.iter().any(|p| b.ends.contains(p));
                let gap = a.ends.map(|p| distance(p, b.ends)).into_iter().fold(1e9, f64::min);
                assert!(shares_place || gap > 20.0, "{a:?} {b:?}");
            }
        }
    }

    #[test]
    fn who_stops_it_does_not_wait_for_the_rest() {
        let runs: Vec<(u32, u32, f64)> = (2..400).map(|n| (n / 3, n, 100.0)).collect();
        let project = project(&runs);
        let n_asked = std::cell::Cell::new(0);
        let few = || {
            n_asked.set(n_asked.get() + 1);
            n_asked.get() < 20
        };
        assert!(flat(&project, &few).runs.len() < 60);
        assert!(n_asked.get() <= 21, "{}", n_asked.get());
        assert!(flat(&project, &|| true).runs.len() > 390);
    }

    #[test]
    fn rings_and_separate_parts_are_told_apart() {
        let project = project(&[(1, 2, 100.0), (2, 3, 100.0), (3, 1, 100.0), (4, 5, 5000.0)]);
        let flat = flat(&project, &|| true);
        assert_eq!(flat.left_out, [RunId(2)]);
        assert_eq!(flat.places.len(), 5);
        let long = flat.runs.iter().find(|run| run.is_broken()).unwrap();
        assert_eq!(long.ends[0].distance(long.ends[1]), BROKEN_MM);
        assert!(flat.places[&PlaceId(4)].y_mm > flat.places[&PlaceId(1)].y_mm);
    }
}
