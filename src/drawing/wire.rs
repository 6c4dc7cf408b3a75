//! The drawn run of a wire: right angles from terminal to terminal, through its corners and splices.

use std::collections::BTreeMap;

use crate::drawing::local::to_sheet;
use crate::drawing::mark::text_width_mm;
use crate::drawing::route::{LegEnd, leg, opposite, simplified, unit};
use crate::drawing::terminal::{terminal_exit, terminal_pos};
use crate::drawing::{GRID_MM, TEXT_MM};
use crate::geometry::{Point, Rect, point};
use crate::model::{PartKind, Project, TerminalRef, Wire, WireId};

/// The drawn run of a wire, ends included: right angles, leaves each terminal the way the part
/// asks for, goes through the corners a hand has set and through splices tapped onto the wire.
/// Empty where an end is missing.
pub fn wire_path(project: &Project, wire: WireId) -> Vec<Point> {
    let taps = taps(project);
    project
        .wires
        .get(wire)
        .map(|row| path(project, row, taps.get(&wire).map_or(&[], Vec::as_slice)))
        .unwrap_or_default()
}

/// The drawn runs of all wires. Costs one pass over the parts and one over the wires.
pub fn wire_paths(project: &Project) -> BTreeMap<WireId, Vec<Point>> {
    let taps = taps(project);
    project
        .wires
        .iter()
        .map(|(id, row)| (id, path(project, row, taps.get(&id).map_or(&[], Vec::as_slice))))
        .collect()
}

/// Where a wire's name goes: the middle of its longest level stretch, or of its longest stretch
/// where it has no level one that is half as long as that.
pub fn wire_label_pos(path: &[Point]) -> Point {
    let length = |pair: &[Point]| pair[0].distance(pair[1]);
    let longest = |level_only: bool| {
        path.windows(2).filter(|pair| !level_only || pair[0].y_mm == pair[1].y_mm).fold(
            None::<&[Point]>,
            |best, pair| match best {
                Some(best) if length(best) >= length(pair) => Some(best),
                _ => Some(pair),
            },
        )
    };
    let chosen = match (longest(true), longest(false)) {
        (Some(level), Some(any)) if 2.0 * length(level) >= length(any) => Some(level),
        (_, any) => any,
    };
    match chosen {
        Some(pair) => Rect::spanning(pair[0], pair[1]).centre(),
        None => path.first().copied().unwrap_or_default(),
    }
}

/// The sleeve on which a wire's name is written, about [`wire_label_pos`].
pub fn wire_label_rect(path: &[Point], name: &str) -> Rect {
    let half_width_mm = text_width_mm(name, TEXT_MM) / 2.0 + 0.8;
    let at = wire_label_pos(path);
    Rect::spanning(at - point(half_width_mm, 2.0), at + point(half_width_mm, 2.0))
}

/// Splices by the wire they are tapped onto.
fn taps(project: &Project) -> BTreeMap<WireId, Vec<Point>> {
    let mut taps: BTreeMap<WireId, Vec<Point>> = BTreeMap::new();
    for (_, part) in project.parts.iter() {
        if let PartKind::Splice { on: Some(wire), .. } = part.kind {
            taps.entry(wire).or_default().push(to_sheet(part, point(0.0, 0.0)));
        }
    }
    taps
}

fn path(project: &Project, wire: &Wire, taps: &[Point]) -> Vec<Point> {
    let end = |terminal: TerminalRef| {
        let part = project.parts.get(terminal.part)?;
        Some((terminal_pos(part, terminal.terminal), terminal_exit(part, terminal.terminal)))
    };
    let (Some(from), Some(to)) = (end(wire.from.terminal), end(wire.to.terminal)) else {
        return Vec::new();
    };
    let mut stops = vec![from.0];
    stops.extend(&wire.bends);
    stops.push(to.0);
    for tap in taps {
        insert_where_nearest(&mut stops, *tap);
    }
    if stops.len() == 2 && stops[0] == stops[1] {
        return stops;
    }
    let mut path: Vec<Point> = vec![from.0];
    for (idx, pair) in stops.windows(2).enumerate() {
        if pair[0] == pair[1] {
            continue;
        }
        let is_last = idx + 2 == stops.len();
        let back = match path.as_slice() {
            [.., a, b] => Some(opposite(unit(*a, *b))),
            _ => None,
        };
        let start =
            LegEnd { at: pair[0], exit: if idx == 0 { from.1 } else { None }, forbidden: back };
        let finish = LegEnd {
            at: pair[1],
            exit: if is_last { to.1 } else { None },
            // Coming in from the side the next stop lies on would mean going back over it.
            forbidden: stops.get(idx + 2).and_then(|next| straight(pair[1], *next)),
        };
        path.extend(leg(start, finish));
    }
    simplified(path)
}

/// Direction from `a` to `b` where they lie level or upright to each other.
fn straight(a: Point, b: Point) -> Option<Point> {
    let way = unit(a, b);
    (way.x_mm.abs() + way.y_mm.abs() == 1.0).then_some(way)
}

/// Puts a stop between the two neighbours where it adds the least way.
fn insert_where_nearest(stops: &mut Vec<Point>, tap: Point) {
    let way = |a: Point, b: Point| (a.x_mm - b.x_mm).abs() + (a.y_mm - b.y_mm).abs();
    let mut best = (f64::INFINITY, 1);
    for (idx, pair) in stops.windows(2).enumerate() {
        let added = way(pair[0], tap) + way(tap, pair[1]) - way(pair[0], pair[1]);
        if added < best.0 - GRID_MM / 100.0 {
            best = (added, idx + 1);
        }
    }
    stops.insert(best.1, tap);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::fixtures::{
        Seeded, assert_right_angles, contact_part, project_of, resistor_part, splice_part, wire,
    };
    use crate::geometry::{Flip, Turn};
    use crate::model::{ContactForm, Part, PartId};

    #[test]
    fn level_terminals_are_joined_by_one_stretch() {
        let a = Part { pos: point(0.0, 0.0), ..resistor_part("R1", 1e3) };
        let b = Part { pos: point(50.0, 0.0), ..contact_part(ContactForm::NormallyOpen) };
        let (project, parts) = project_of(&[a, b]);
        let (project, wires) = wire(project, (parts[0], 1), (parts[1], 0), &[]);
        assert_eq!(wire_path(&project, wires), [point(10.0, 0.0), point(42.5, 0.0)]);
        assert_eq!(wire_label_pos(&wire_path(&project, wires)), point(26.25, 0.0));
    }

    #[test]
    fn any_two_terminals_are_joined_tidily_in_any_pose() {
        let mut random = Seeded(7);
        for _ in 0..3000 {
            let mut pose = |part: Part| Part {
                pos: point(2.5 * random.below(40) as f64, 2.5 * random.below(40) as f64),
                turn: [Turn::None, Turn::Quarter, Turn::Half, Turn::ThreeQuarters]
                    [random.below(4) as usize],
                flip: [Flip::Straight, Flip::Mirrored][random.below(2) as usize],
                ..part
            };
            let parts = [
                pose(resistor_part("R1", 1e3)),
                pose(contact_part(ContactForm::Changeover)),
                pose(splice_part(None)),
            ];
            let (project, ids) = project_of(&parts);
            let ends =
                [(ids[0], random.below(2) as u16), (ids[1], random.below(3) as u16), (ids[2], 0)];
            for (from, to) in [(0, 1), (1, 2), (2, 0)] {
                let n_bends = random.below(3);
                let bends: Vec<Point> = (0..n_bends)
                    .map(|_| point(2.5 * random.below(40) as f64, 2.5 * random.below(40) as f64))
                    .collect();
                let (project, id) = wire(project.clone(), ends[from], ends[to], &bends);
                let path = wire_path(&project, id);
                let a = terminal_pos(&parts[from], ends[from].1);
                let b = terminal_pos(&parts[to], ends[to].1);
                if a == b && bends.is_empty() {
                    continue;
                }
                assert_eq!((path[0], path[path.len() - 1]), (a, b));
                assert_right_angles(&path);
                if bends.is_empty() {
                    if let Some(exit) = terminal_exit(&parts[from], ends[from].1) {
                        assert_eq!(unit(path[0], path[1]), exit, "{path:?}");
                    }
                    if let Some(exit) = terminal_exit(&parts[to], ends[to].1) {
                        let n = path.len();
                        assert_eq!(unit(path[n - 1], path[n - 2]), exit, "{path:?}");
                    }
                }
                for bend in bends {
                    assert!(passes(&path, bend), "{path:?} misses {bend:?}");
                }
            }
        }
    }

    fn passes(path: &[Point], at: Point) -> bool {
        path.windows(2).any(|pair| Rect::spanning(pair[0], pair[1]).contains(at))
    }

    #[test]
    fn corners_set_by_hand_are_kept_and_the_wire_stays_attached() {
        let a = Part { pos: point(0.0, 0.0), ..resistor_part("R1", 1e3) };
        let b = Part { pos: point(60.0, 20.0), ..resistor_part("R2", 1e3) };
        let bends = [point(30.0, 0.0), point(30.0, 20.0)];
        let (project, parts) = project_of(&[a, b]);
        let (mut project, id) = wire(project, (parts[0], 1), (parts[1], 0), &bends);
        let want = [point(10.0, 0.0), bends[0], bends[1], point(50.0, 20.0)];
        assert_eq!(wire_path(&project, id), want);
        project.parts.get_mut(parts[1]).unwrap().pos = point(60.0, 35.0);
        let path = wire_path(&project, id);
        assert_right_angles(&path);
        assert_eq!(path[path.len() - 1], point(50.0, 35.0));
        assert!(passes(&path, bends[0]) && passes(&path, bends[1]), "{path:?}");
    }

    #[test]
    fn a_wire_goes_through_the_splices_tapped_onto_it() {
        let a = Part { pos: point(0.0, 0.0), ..resistor_part("R1", 1e3) };
        let b = Part { pos: point(80.0, 0.0), ..resistor_part("R2", 1e3) };
        let (project, parts) = project_of(&[a, b]);
        let (mut project, id) = wire(project, (parts[0], 1), (parts[1], 0), &[]);
        for (n, x) in [(100, 55.0), (101, 25.0)] {
            let splice = Part { pos: point(x, 10.0), ..splice_part(Some(id)) };
            project.parts.put(PartId(n), splice);
        }
        let path = wire_path(&project, id);
        assert_right_angles(&path);
        let (near, far) = (point(25.0, 10.0), point(55.0, 10.0));
        let ends = [point(10.0, 0.0), point(70.0, 0.0)];
        let corners = [point(25.0, 0.0), near, far, point(55.0, 0.0)];
        assert_eq!(path, [&ends[..1], &corners, &ends[1..]].concat());
        assert_eq!(wire_paths(&project).get(&id), Some(&path));
    }

    #[test]
    fn a_missing_end_gives_no_path() {
        let (project, parts) = project_of(&[resistor_part("R1", 1e3)]);
        let (project, id) = wire(project, (parts[0], 1), (PartId(99), 0), &[]);
        assert!(wire_path(&project, id).is_empty());
        assert!(wire_path(&project, WireId(77)).is_empty());
    }
}
