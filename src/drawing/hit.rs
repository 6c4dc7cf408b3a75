//! What lies under a point of the sheet.

use std::collections::BTreeMap;

use crate::drawing::frame::frame_title_rect;
use crate::drawing::terminal::{part_rect, terminal_pos};
use crate::drawing::wire::{wire_label_rect, wire_paths};
use crate::geometry::{Point, Rect, point};
use crate::model::{FrameId, Part, PartId, Project, TerminalRef, WireId};

/// Something under a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hit {
    /// A terminal.
    Terminal(TerminalRef),
    /// A part's outline.
    Part(PartId),
    /// A wire, with the index of the stretch of its drawn run.
    Wire {
        /// The wire.
        wire: WireId,
        /// Index of the stretch: from point `segment` to point `segment + 1` of the run.
        segment: usize,
    },
    /// The name or an edge of a frame. Its inside is not hit: what stands there is.
    Frame {
        /// The frame.
        frame: FrameId,
        /// Where it was grabbed.
        grip: FrameGrip,
    },
}

/// Where a frame is grabbed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FrameGrip {
    /// At its name.
    Title,
    /// At the left edge.
    Left,
    /// At the right edge.
    Right,
    /// At the upper edge.
    Top,
    /// At the lower edge.
    Bottom,
    /// At the lower right corner.
    Corner,
}

/// What lies within `reach_mm` of a point: the nearest terminal, else a part, else the nearest
/// wire, else a frame's name or edge. Costs one pass over everything.
pub fn hit(project: &Project, at: Point, reach_mm: f64) -> Option<Hit> {
    hit_among(project, &wire_paths(project), at, reach_mm)
}

/// The same as [`hit`] with the drawn runs of all wires at hand (see [`wire_paths`]).
pub fn hit_among(
    project: &Project,
    paths: &BTreeMap<WireId, Vec<Point>>,
    at: Point,
    reach_mm: f64,
) -> Option<Hit> {
    let near: Vec<(PartId, &Part, Rect)> = project
        .parts
        .iter()
        .map(|(id, part)| (id, part, part_rect(part)))
        .filter(|(_, _, rect)| rect.grown(reach_mm).contains(at))
        .collect();
    hit_terminal(&near, at, reach_mm)
        .or_else(|| hit_part(&near, at))
        .or_else(|| hit_wire(project, paths, at, reach_mm))
        .or_else(|| hit_frame(project, at, reach_mm))
}

fn hit_terminal(near: &[(PartId, &Part, Rect)], at: Point, reach_mm: f64) -> Option<Hit> {
    let mut best: Option<(f64, TerminalRef)> = None;
    for (id, part, _) in near {
        for terminal in (0..part.kind.terminal_count()).filter(|t| part.kind.has_terminal(*t)) {
            let distance = terminal_pos(part, terminal).distance(at);
            if distance <= reach_mm && best.is_none_or(|(least, _)| distance < least) {
                best = Some((distance, TerminalRef { part: *id, terminal }));
            }
        }
    }
    best.map(|(_, terminal)| Hit::Terminal(terminal))
}

/// The smallest part whose outline holds the point, so that a part on another can be grabbed.
fn hit_part(near: &[(PartId, &Part, Rect)], at: Point) -> Option<Hit> {
    let area = |rect: Rect| rect.width() * rect.height();
    let mut best: Option<(f64, PartId)> = None;
    for (id, _, rect) in near {
        if rect.contains(at) && best.is_none_or(|(least, _)| area(*rect) < least) {
            best = Some((area(*rect), *id));
        }
    }
    best.map(|(_, id)| Hit::Part(id))
}

fn hit_wire(
    project: &Project,
    paths: &BTreeMap<WireId, Vec<Point>>,
    at: Point,
    reach_mm: f64,
) -> Option<Hit> {
    let mut best: Option<(f64, Hit)> = None;
    for (id, path) in paths {
        for (segment, pair) in path.windows(2).enumerate() {
            let distance = distance_to_stretch(pair[0], pair[1], at);
            if distance <= reach_mm && best.is_none_or(|(least, _)| distance < least) {
                best = Some((distance, Hit::Wire { wire: *id, segment }));
            }
        }
    }
    let on_sleeve = |id: &WireId, path: &[Point]| {
        let name = project.wires.get(*id).map_or("", |wire| wire.name.as_str());
        // A name stands on its wire, so the height alone tells most apart.
        let is_level = path.iter().any(|p| p.y_mm <= at.y_mm + 2.0)
            && path.iter().any(|p| p.y_mm >= at.y_mm - 2.0);
        is_level && !name.is_empty() && wire_label_rect(path, name).contains(at)
    };
    best.map(|(_, hit)| hit).or_else(|| {
        paths
            .iter()
            .find(|(id, path)| on_sleeve(id, path))
            .map(|(id, _)| Hit::Wire { wire: *id, segment: 0 })
    })
}

/// Distance from a point to a level or upright stretch.
fn distance_to_stretch(a: Point, b: Point, at: Point) -> f64 {
    let rect = Rect::spanning(a, b);
    let nearest = point(
        at.x_mm.clamp(rect.min.x_mm, rect.max.x_mm),
        at.y_mm.clamp(rect.min.y_mm, rect.max.y_mm),
    );
    nearest.distance(at)
}

fn hit_frame(project: &Project, at: Point, reach_mm: f64) -> Option<Hit> {
    project.frames.iter().find_map(|(id, frame)| {
        grip_at(frame_title_rect(frame), frame.rect, at, reach_mm)
            .map(|grip| Hit::Frame { frame: id, grip })
    })
}

fn grip_at(title: Rect, rect: Rect, at: Point, reach_mm: f64) -> Option<FrameGrip> {
    if title.contains(at) {
        return Some(FrameGrip::Title);
    }
    if !rect.grown(reach_mm).contains(at) {
        return None;
    }
    let near = |edge_mm: f64, at_mm: f64| (edge_mm - at_mm).abs() <= reach_mm;
    let right = near(rect.max.x_mm, at.x_mm);
    let bottom = near(rect.max.y_mm, at.y_mm);
    if right && bottom {
        Some(FrameGrip::Corner)
    } else if right {
        Some(FrameGrip::Right)
    } else if bottom {
        Some(FrameGrip::Bottom)
    } else if near(rect.min.x_mm, at.x_mm) {
        Some(FrameGrip::Left)
    } else if near(rect.min.y_mm, at.y_mm) {
        Some(FrameGrip::Top)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::fixtures::{one_of_each, project_of, resistor_part, wire};
    use crate::model::Frame;

    #[test]
    fn every_terminal_and_every_part_is_found_where_it_is_drawn() {
        let parts: Vec<Part> = one_of_each()
            .into_iter()
            .enumerate()
            .map(|(n, part)| Part { pos: point(150.0 * n as f64, 0.0), ..part })
            .collect();
        let (project, ids) = project_of(&parts);
        for (part, id) in parts.iter().zip(ids) {
            for terminal in (0..part.kind.terminal_count()).filter(|t| part.kind.has_terminal(*t)) {
                let near = terminal_pos(part, terminal) + point(0.5, -0.5);
                let want = Hit::Terminal(TerminalRef { part: id, terminal });
                assert_eq!(hit(&project, near, 1.0), Some(want), "{}", part.kind.noun());
            }
            let body = part_rect(part).min + point(0.2, 0.2);
            assert_eq!(hit(&project, body, 0.1), Some(Hit::Part(id)), "{}", part.kind.noun());
            assert_eq!(hit(&project, part_rect(part).min - point(8.0, 8.0), 1.0), None);
        }
    }

    #[test]
    fn wires_are_found_by_stretch_and_terminals_go_before_them() {
        let a = resistor_part("R1", 1e3);
        let b = Part { pos: point(60.0, 20.0), ..resistor_part("R2", 1e3) };
        let (project, parts) = project_of(&[a, b]);
        let bends = [point(30.0, 0.0), point(30.0, 20.0)];
        let (project, id) = wire(project, (parts[0], 1), (parts[1], 0), &bends);
        let on = |x, y| hit(&project, point(x, y), 1.5);
        assert_eq!(on(20.0, 1.0), Some(Hit::Wire { wire: id, segment: 0 }));
        assert_eq!(on(31.0, 10.0), Some(Hit::Wire { wire: id, segment: 1 }));
        let end = TerminalRef { part: parts[0], terminal: 1 };
        assert_eq!(on(10.5, 0.5), Some(Hit::Terminal(end)));
        assert_eq!(on(34.0, 10.0), None);
    }

    #[test]
    fn frames_are_grabbed_at_name_and_edges_only() {
        let (mut project, _) = project_of(&[]);
        let rect = Rect::spanning(point(0.0, 0.0), point(60.0, 40.0));
        project.frames.put(FrameId(5), Frame { name: "Lever base".into(), rect });
        let grip = |x, y| match hit(&project, point(x, y), 1.0) {
            Some(Hit::Frame { grip, .. }) => Some(grip),
            _ => None,
        };
        assert_eq!(grip(8.0, 4.0), Some(FrameGrip::Title));
        assert_eq!(grip(0.4, 20.0), Some(FrameGrip::Left));
        assert_eq!(grip(40.0, -0.4), Some(FrameGrip::Top));
        assert_eq!(grip(60.4, 20.0), Some(FrameGrip::Right));
        assert_eq!(grip(30.0, 40.0), Some(FrameGrip::Bottom));
        assert_eq!(grip(59.5, 39.5), Some(FrameGrip::Corner));
        assert_eq!(grip(30.0, 20.0), None);
    }
}
