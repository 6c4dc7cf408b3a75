//! What is drawn of the layout, kept until the project changes: lines of runs, parts at places.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Weak};

use crate::app::routes::Routes;
use crate::app::stages::route::seats::seats;
use crate::geometry::{Point, Rect, point};
use crate::harness::splice_mm;
use crate::model::{
    Colour, Part, PartId, PartKind, Place, PlaceId, Project, Run, RunId, Table, Wire, WireId,
};

/// How far apart two runs between the same places are drawn, as a share of their distance.
const BOW: f64 = 0.16;
/// Stretches a bowed line is drawn in.
const BOW_STEPS: u32 = 10;

type Tables = (Table<PlaceId, Place>, Table<RunId, Run>, Table<PartId, Part>, Table<WireId, Wire>);

/// Drawn things of one project, brought up to date by [`Scene::refresh`].
#[derive(Default)]
pub struct Scene {
    made_from: Option<Tables>,
    /// Lines of all runs, on the layout.
    pub lines: BTreeMap<RunId, Vec<Point>>,
    /// Parts at each place that has any: what plugs first, then by name.
    pub parts_at: BTreeMap<PlaceId, Vec<PartId>>,
    /// Parts that belong somewhere, those without a place first.
    pub seats: Vec<PartId>,
    /// Splices along runs, and where they are drawn.
    pub splices: Vec<(PartId, Point)>,
    /// Wires in each run that has any, as they were last routed, with the colours they have now.
    pub strands: BTreeMap<RunId, Vec<(WireId, Colour)>>,
    /// What `strands` was made from.
    strands_of: Option<(Weak<Routes>, Table<WireId, Wire>)>,
    /// Grows with every change.
    pub age: u64,
}

impl Scene {
    /// Brings lines, parts and wires up to date. While new routes are on their way the last ones
    /// stand, as far as their wires still exist.
    pub fn refresh(&mut self, project: &Project, routes: Option<&Arc<Routes>>) {
        self.refresh_strands(project, routes);
        if let Some((places, runs, parts, wires)) = &self.made_from
            && places.is_same(&project.places)
            && runs.is_same(&project.runs)
            && parts.is_same(&project.parts)
            && wires.is_same(&project.wires)
        {
            return;
        }
        self.age += 1;
        match &self.made_from {
            // A place that is only moved takes its own runs along.
            Some((places, runs, ..)) if runs.is_same(&project.runs) => {
                let moved: BTreeSet<PlaceId> =
                    project.places.changed_since(places).map(|(id, _)| id).collect();
                let is_touched = |run: &Run| moved.contains(&run.from) || moved.contains(&run.to);
                self.lines.extend(lines(project, is_touched));
            }
            _ => self.lines = lines(project, |_| true),
        }
        let (is_placed_so, is_wired_so) =
            self.made_from.as_ref().map_or((false, false), |(_, _, parts, wires)| {
                (parts.is_same(&project.parts), wires.is_same(&project.wires))
            });
        if !is_placed_so {
            self.parts_at = parts_at(project);
        }
        if !is_placed_so || !is_wired_so {
            self.seats = seats(project);
        }
        self.splices = splices(project, &self.lines);
        self.made_from = Some((
            project.places.clone(),
            project.runs.clone(),
            project.parts.clone(),
            project.wires.clone(),
        ));
    }
}

impl Scene {
    fn refresh_strands(&mut self, project: &Project, routes: Option<&Arc<Routes>>) {
        let Some(routes) = routes else {
            self.strands.clear();
            self.strands_of = None;
            return;
        };
        if let Some((of, wires)) = &self.strands_of
            && std::ptr::eq(of.as_ptr(), Arc::as_ptr(routes))
            && wires.is_same(&project.wires)
        {
            return;
        }
        let strand = |id: &WireId| Some((*id, project.wires.get(*id)?.colour));
        let strands = |wires: &Vec<WireId>| wires.iter().filter_map(strand).collect();
        self.strands = routes.wires_in.iter().map(|(run, ids)| (*run, strands(ids))).collect();
        self.strands_of = Some((Arc::downgrade(routes), project.wires.clone()));
    }
}

/// All that is to be seen when the whole layout is shown; `None` where there is nothing.
pub fn bounds(project: &Project, picture: Option<Rect>) -> Option<Rect> {
    let spots = project.places.iter().map(|(_, place)| Rect::spanning(place.pos, place.pos));
    spots.map(|rect| rect.grown(12.0)).chain(picture).reduce(Rect::union)
}

/// Straight lines; runs that join the same places are bowed apart, so `is_wanted` has to say the same
/// of all of them.
fn lines(project: &Project, is_wanted: impl Fn(&Run) -> bool) -> BTreeMap<RunId, Vec<Point>> {
    let mut beside: BTreeMap<(PlaceId, PlaceId), Vec<RunId>> = BTreeMap::new();
    for (id, run) in project.runs.iter().filter(|(_, run)| is_wanted(run)) {
        beside.entry((run.from.min(run.to), run.from.max(run.to))).or_default().push(id);
    }
    let mut lines = BTreeMap::new();
    for ((low, high), runs) in beside {
        let (Some(a), Some(b)) = (project.places.get(low), project.places.get(high)) else {
            continue;
        };
        for (at, run) in runs.iter().enumerate() {
            let lane = at as f64 - (runs.len() - 1) as f64 / 2.0;
            lines.insert(*run, bowed(a.pos, b.pos, lane * BOW));
        }
    }
    lines
}

/// From `a` to `b`, with its middle off by a share of the distance to the left.
fn bowed(a: Point, b: Point, bow: f64) -> Vec<Point> {
    if bow == 0.0 {
        return vec![a, b];
    }
    let away = b - a;
    let middle = point(
        (a.x_mm + b.x_mm) / 2.0 - 2.0 * bow * away.y_mm,
        (a.y_mm + b.y_mm) / 2.0 + 2.0 * bow * away.x_mm,
    );
    (0..=BOW_STEPS)
        .map(|step| {
            // A quadratic Bézier curve; its middle lies half way to the control point.
            let t = f64::from(step) / f64::from(BOW_STEPS);
            let (p, q, r) = ((1.0 - t) * (1.0 - t), 2.0 * t * (1.0 - t), t * t);
            point(
                p * a.x_mm + q * middle.x_mm + r * b.x_mm,
                p * a.y_mm + q * middle.y_mm + r * b.y_mm,
            )
        })
        .collect()
}

fn parts_at(project: &Project) -> BTreeMap<PlaceId, Vec<PartId>> {
    let mut parts_at: BTreeMap<PlaceId, Vec<(u8, &str, PartId)>> = BTreeMap::new();
    for (id, part) in project.parts.iter() {
        if let Some(place) = part.place {
            parts_at.entry(place).or_default().push((rank(part), part.name.as_str(), id));
        }
    }
    let sorted = |mut parts: Vec<(u8, &str, PartId)>| {
        parts.sort();
        parts.into_iter().map(|(_, _, id)| id).collect()
    };
    parts_at.into_iter().map(|(place, parts)| (place, sorted(parts))).collect()
}

/// What plugs comes first, then what feeds, then joints, then what sits in a box.
fn rank(part: &Part) -> u8 {
    match part.kind {
        PartKind::Controller(_) => 0,
        PartKind::Connector(_) => 1,
        PartKind::Supply(_) | PartKind::Ground | PartKind::Fuse(_) => 2,
        PartKind::Splice { .. } => 3,
        PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::TestPoint
        | PartKind::Element(_) => 4,
    }
}

/// Splices along runs; one that lies beyond its run is not drawn, and found by the checks.
fn splices(project: &Project, lines: &BTreeMap<RunId, Vec<Point>>) -> Vec<(PartId, Point)> {
    let spot = |(id, part): (PartId, &Part)| {
        let PartKind::Splice { at: Some(at), .. } = &part.kind else { return None };
        let run = project.runs.get(at.run)?;
        let share = splice_mm(project, id)? / run.length_mm;
        // Lines begin at the place with the lower identity.
        let share = if run.from <= run.to { share } else { 1.0 - share };
        Some((id, along(lines.get(&at.run)?, share)))
    };
    project.parts.iter().filter_map(spot).collect()
}

/// The share of a line's length at which it comes nearest to a point.
pub fn share_at(line: &[Point], at: Point) -> f64 {
    const STEPS: u32 = 200;
    let shares = (0..=STEPS).map(|step| f64::from(step) / f64::from(STEPS));
    let away = |share: &f64| along(line, *share).distance(at);
    shares.min_by(|a, b| away(a).total_cmp(&away(b))).unwrap_or(0.5)
}

/// The point of a line at a share of its length.
pub fn along(line: &[Point], share: f64) -> Point {
    let total: f64 = line.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
    let mut left = total * share;
    for pair in line.windows(2) {
        let long = pair[0].distance(pair[1]);
        if left <= long && long > 0.0 {
            let by = pair[1] - pair[0];
            return pair[0] + point(by.x_mm * left / long, by.y_mm * left / long);
        }
        left -= long;
    }
    line.last().copied().unwrap_or_default()
}

/// Distance of a point from a line, in millimetres of the layout.
pub fn distance_mm(line: &[Point], at: Point) -> f64 {
    let from_stretch = |a: Point, b: Point| {
        let by = b - a;
        let square = by.x_mm * by.x_mm + by.y_mm * by.y_mm;
        let way = at - a;
        let share = if square > 0.0 {
            ((way.x_mm * by.x_mm + way.y_mm * by.y_mm) / square).clamp(0.0, 1.0)
        } else {
            0.0
        };
        at.distance(a + point(by.x_mm * share, by.y_mm * share))
    };
    line.windows(2).map(|pair| from_stretch(pair[0], pair[1])).fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, apply};
    use crate::samples;

    #[test]
    fn two_runs_between_the_same_places_do_not_lie_on_each_other() {
        let mut project = Project::empty("test");
        for x_mm in [0.0, 100.0] {
            let pos = point(x_mm, 0.0);
            apply(&mut project, Edit::AddPlace(Place { name: "P".into(), pos })).unwrap();
        }
        let ends: Vec<PlaceId> = project.places.ids().collect();
        for (from, to) in [(ends[0], ends[1]), (ends[1], ends[0])] {
            let run = Run {
                name: "r".into(),
                from,
                to,
                length_mm: 100.0,
                loop_mm: None,
                laid: Default::default(),
            };
            apply(&mut project, Edit::AddRun(run)).unwrap();
        }
        let lines: Vec<Vec<Point>> = lines(&project, |_| true).into_values().collect();
        let middles = [along(&lines[0], 0.5), along(&lines[1], 0.5)];
        assert!((middles[0].distance(middles[1]) - 100.0 * BOW).abs() < 1e-6, "{middles:?}");
        for line in &lines {
            assert_eq!((line[0], *line.last().unwrap()), (point(0.0, 0.0), point(100.0, 0.0)));
        }
    }

    #[test]
    fn places_along_a_line_and_distances_from_it() {
        let line = [point(0.0, 0.0), point(10.0, 0.0), point(10.0, 30.0)];
        assert_eq!(along(&line, 0.25), point(10.0, 0.0));
        assert_eq!(along(&line, 0.5), point(10.0, 10.0));
        assert_eq!(along(&line, 1.0), point(10.0, 30.0));
        assert_eq!(distance_mm(&line, point(5.0, -3.0)), 3.0);
        assert_eq!(distance_mm(&line, point(13.0, 34.0)), 5.0);
        assert_eq!(distance_mm(&[point(1.0, 1.0), point(1.0, 1.0)], point(1.0, 3.0)), 2.0);
    }

    #[test]
    fn a_scene_is_made_anew_only_where_something_changed() {
        let mut project = samples::open("forwarder").unwrap();
        let mut scene = Scene::default();
        scene.refresh(&project, None);
        let age = scene.age;
        scene.refresh(&project.clone(), None);
        assert_eq!(scene.age, age);
        let id = project.places.ids().next().unwrap();
        let moved = Place { pos: point(1.0, 2.0), ..project.places.get(id).unwrap().clone() };
        apply(&mut project, Edit::SetPlace(id, moved)).unwrap();
        scene.refresh(&project, None);
        assert!(scene.age > age);
        let mut fresh = Scene::default();
        fresh.refresh(&project, None);
        assert_eq!((&scene.lines, &scene.splices), (&fresh.lines, &fresh.splices));
        assert_eq!((&scene.parts_at, &scene.seats), (&fresh.parts_at, &fresh.seats));
        assert_eq!(scene.lines.len(), project.runs.len());
    }
}
