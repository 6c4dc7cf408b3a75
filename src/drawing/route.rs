//! One tidy leg of right angles between two points, chosen among a few simple shapes.

use crate::drawing::GRID_MM;
use crate::geometry::{Point, point};

/// One end of a leg: a point, and the way the wire leaves it towards the other end, if that is fixed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LegEnd {
    /// Where.
    pub at: Point,
    /// Unit direction; `None` where any will do.
    pub exit: Option<Point>,
    /// Unit direction in which the wire must not leave, for it would run back over itself.
    pub forbidden: Option<Point>,
}

/// How far a wire runs straight out of a terminal before it may turn.
const STUB_MM: f64 = GRID_MM;
/// A corner is worth this much wire.
const CORNER_COST_MM: f64 = 6.0;
/// Running back over itself is worth any amount of wire.
const BACK_COST_MM: f64 = 1e6;

/// The cheapest of the simple shapes, both ends included, no two points equal, no straight corners.
pub(super) fn leg(from: LegEnd, to: LegEnd) -> Vec<Point> {
    let out = |end: LegEnd| {
        end.exit.map_or(end.at, |exit| end.at + point(exit.x_mm * STUB_MM, exit.y_mm * STUB_MM))
    };
    let (a, b) = (out(from), out(to));
    let mut best: Option<(f64, Vec<Point>)> = None;
    for middle in shapes(a, b) {
        let mut points = vec![from.at, a];
        points.extend(middle);
        points.extend([b, to.at]);
        let points = without_repeats(points);
        let cost = cost(&points, from, to);
        if best.as_ref().is_none_or(|(least, _)| cost < *least - 1e-9) {
            best = Some((cost, points));
        }
    }
    simplified(best.map(|(_, points)| points).unwrap_or_default())
}

/// Corners between `a` and `b`, simplest shapes first.
fn shapes(a: Point, b: Point) -> Vec<Vec<Point>> {
    let half = |u: f64, v: f64| ((u + v) / 2.0 / GRID_MM).round() * GRID_MM;
    let mut shapes = Vec::new();
    if a.x_mm == b.x_mm || a.y_mm == b.y_mm {
        shapes.push(Vec::new());
    }
    shapes.push(vec![point(b.x_mm, a.y_mm)]);
    shapes.push(vec![point(a.x_mm, b.y_mm)]);
    let far = 4.0 * GRID_MM;
    let (left, right) = (a.x_mm.min(b.x_mm), a.x_mm.max(b.x_mm));
    for x in [half(a.x_mm, b.x_mm), right + far, left - far] {
        shapes.push(vec![point(x, a.y_mm), point(x, b.y_mm)]);
    }
    let (top, bottom) = (a.y_mm.min(b.y_mm), a.y_mm.max(b.y_mm));
    for y in [half(a.y_mm, b.y_mm), bottom + far, top - far] {
        shapes.push(vec![point(a.x_mm, y), point(b.x_mm, y)]);
    }
    for (x, y) in [(right + far, bottom + far), (left - far, top - far)] {
        shapes.push(vec![point(a.x_mm, y), point(x, y), point(x, b.y_mm)]);
        shapes.push(vec![point(x, a.y_mm), point(x, y), point(b.x_mm, y)]);
    }
    shapes
}

fn cost(points: &[Point], from: LegEnd, to: LegEnd) -> f64 {
    let mut cost = 0.0;
    let mut before: Option<Point> = None;
    for pair in points.windows(2) {
        let way = unit(pair[0], pair[1]);
        cost += pair[0].distance(pair[1]);
        if let Some(before) = before {
            if way == opposite(before) {
                cost += BACK_COST_MM;
            } else if way != before {
                cost += CORNER_COST_MM;
            }
        }
        before = Some(way);
    }
    let first = points.get(1).map(|next| unit(points[0], *next));
    if first.is_some() && first == from.forbidden {
        cost += BACK_COST_MM;
    }
    let last = before.map(opposite);
    if last.is_some() && last == to.forbidden {
        cost += BACK_COST_MM;
    }
    cost
}

/// Unit direction of an upright or level stretch.
pub(super) fn unit(a: Point, b: Point) -> Point {
    let sign = |v: f64| {
        if v > 0.0 {
            1.0
        } else if v < 0.0 {
            -1.0
        } else {
            0.0
        }
    };
    point(sign(b.x_mm - a.x_mm), sign(b.y_mm - a.y_mm))
}

/// The other way.
pub(super) fn opposite(way: Point) -> Point {
    point(0.0 - way.x_mm, 0.0 - way.y_mm)
}

fn without_repeats(mut points: Vec<Point>) -> Vec<Point> {
    points.dedup();
    points
}

/// Without repeated points and without points half way along a straight stretch.
pub(super) fn simplified(points: Vec<Point>) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    for p in without_repeats(points) {
        while let [.., a, b] = kept.as_slice() {
            if unit(*a, *b) == unit(*b, p) {
                kept.pop();
            } else {
                break;
            }
        }
        kept.push(p);
    }
    kept
}
