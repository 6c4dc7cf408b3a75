//! Where wires that share a terminal part from each other: the dots of a drawing.

use std::collections::{BTreeMap, BTreeSet};

use crate::geometry::Point;
use crate::model::{PartKind, Project, TerminalRef, WireId};

/// Points at which to draw a dot because wires of one net part there. Splices have a dot of their
/// own and are left out. In order of place, each once; `paths` as from [`crate::drawing::wire_paths`].
pub fn junctions(project: &Project, paths: &BTreeMap<WireId, Vec<Point>>) -> Vec<Point> {
    let mut wires_at: BTreeMap<TerminalRef, Vec<WireId>> = BTreeMap::new();
    for (id, wire) in project.wires.iter() {
        for end in [wire.from, wire.to] {
            wires_at.entry(end.terminal).or_default().push(id);
        }
    }
    let dots = wires_at.iter().flat_map(|(at, wires)| partings(project, paths, *at, wires));
    dots.map(Key).collect::<BTreeSet<Key>>().into_iter().map(|key| key.0).collect()
}

/// The dots of [`junctions`] that belong to one terminal: where the wires that end there part. `wires`
/// by identity; one with both ends there stands in it twice. In order of place, each once.
pub fn partings(
    project: &Project,
    paths: &BTreeMap<WireId, Vec<Point>>,
    at: TerminalRef,
    wires: &[WireId],
) -> Vec<Point> {
    if wires.len() < 2 {
        return Vec::new();
    }
    let mut leaving: Vec<Vec<Point>> = Vec::with_capacity(wires.len());
    let mut last = None;
    for id in wires {
        let is_second = last.replace(*id) == Some(*id);
        let Some(wire) = project.wires.get(*id).filter(|_| !is_second) else { continue };
        let Some(path) = paths.get(id).filter(|path| path.len() >= 2) else { continue };
        if wire.from.terminal == at {
            leaving.push(path.clone());
        }
        if wire.to.terminal == at {
            leaving.push(path.iter().rev().copied().collect());
        }
    }
    let part = project.parts.get(at.part);
    let is_splice = part.is_some_and(|part| matches!(part.kind, PartKind::Splice { .. }));
    let mut dots = BTreeSet::new();
    for (n, a) in leaving.iter().enumerate() {
        for b in &leaving[..n] {
            let Some(dot) = parting(a, b) else { continue };
            if !(is_splice && dot == a[0]) {
                dots.insert(Key(dot));
            }
        }
    }
    dots.into_iter().map(|key| key.0).collect()
}

/// The last point two runs from one terminal have in common; `None` where one covers the other.
fn parting(a: &[Point], b: &[Point]) -> Option<Point> {
    let (mut a, mut b) = (a.to_vec(), b.to_vec());
    let (mut ia, mut ib) = (0, 0);
    let mut common = *a.first()?;
    loop {
        let (to_a, to_b) = (*a.get(ia + 1)?, *b.get(ib + 1)?);
        let way = |to: Point| (sign(to.x_mm - common.x_mm), sign(to.y_mm - common.y_mm));
        if way(to_a) != way(to_b) {
            return Some(common);
        }
        // Both go the same way: on to the nearer of the two corners.
        if common.distance(to_a) <= common.distance(to_b) {
            common = to_a;
            ia += 1;
            if to_a == to_b {
                ib += 1;
            } else {
                b[ib] = common;
            }
        } else {
            common = to_b;
            ib += 1;
            a[ia] = common;
        }
    }
}

fn sign(v: f64) -> i8 {
    i8::from(v > 0.0) - i8::from(v < 0.0)
}

/// A point that can stand in a set; places are finite.
#[derive(Clone, Copy, PartialEq)]
struct Key(Point);

impl Eq for Key {}

impl Ord for Key {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        let by_x = self.0.x_mm.total_cmp(&other.0.x_mm);
        by_x.then(self.0.y_mm.total_cmp(&other.0.y_mm))
    }
}

impl PartialOrd for Key {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::fixtures::{project_of, resistor_part, splice_part, wire};
    use crate::drawing::wire_paths;
    use crate::geometry::point;
    use crate::model::Part;

    #[test]
    fn two_wires_that_leave_one_terminal_part_where_they_turn_away() {
        let at = |x, y| Part { pos: point(x, y), ..resistor_part("R", 1e3) };
        let (project, parts) = project_of(&[at(0.0, 0.0), at(60.0, 0.0), at(60.0, 20.0)]);
        let (project, _) = wire(project, (parts[0], 1), (parts[1], 0), &[]);
        let bends = [point(30.0, 20.0), point(30.0, 0.0)];
        let (project, _) = wire(project, (parts[2], 0), (parts[0], 1), &bends);
        assert_eq!(junctions(&project, &wire_paths(&project)), [point(30.0, 0.0)]);
    }

    #[test]
    fn a_single_wire_and_a_splice_need_no_dot() {
        let at = |x, y| Part { pos: point(x, y), ..resistor_part("R", 1e3) };
        let splice = Part { pos: point(30.0, 0.0), ..splice_part(None) };
        let (project, parts) = project_of(&[at(0.0, 0.0), at(60.0, 0.0), splice]);
        let (project, _) = wire(project, (parts[0], 1), (parts[2], 0), &[]);
        assert!(junctions(&project, &wire_paths(&project)).is_empty());
        let (project, _) = wire(project, (parts[2], 0), (parts[1], 0), &[]);
        assert!(junctions(&project, &wire_paths(&project)).is_empty());
    }
}
