//! Where names of places and the parts that sit there are written: beside their dots, off lines and off each other.

use egui::{Pos2, Rect, Vec2, vec2};

use crate::app::canvas::Squares;
use crate::model::{PartId, PlaceId};

/// Name and parts of one place, where they were painted.
#[derive(Clone, Debug, PartialEq)]
pub struct Tag {
    /// The place.
    pub place: PlaceId,
    /// All of it, on the screen.
    pub rect: Rect,
    /// The parts, on the screen.
    pub chips: Vec<(PartId, Rect)>,
}

/// Above this many places in view no spots are sought: names stand under their dots or not at all.
pub const MOST_SOUGHT: usize = 150;

/// What is on the screen already.
pub struct Taken {
    rects: Squares<Rect>,
    lines: Vec<[Pos2; 2]>,
    /// Lines by their number.
    crossing: Squares<u32>,
}

impl Taken {
    /// Nothing yet, in this view.
    pub fn of(view: Rect) -> Self {
        Self { rects: Squares::of(view), lines: Vec::new(), crossing: Squares::of(view) }
    }

    /// A line that should not be written across.
    pub fn add_line(&mut self, line: &[Pos2]) {
        for pair in line.windows(2) {
            let stretch = [pair[0], pair[1]];
            let rect = Rect::from_two_pos(pair[0], pair[1]);
            self.crossing.add_where(rect, self.lines.len() as u32, |at| crosses(&stretch, at));
            self.lines.push(stretch);
        }
    }

    /// A place that should not be covered.
    pub fn add(&mut self, rect: Rect) {
        self.rects.add(rect, rect);
    }

    /// Whether anything stands here.
    pub fn spot_is_taken(&self, spot: Rect) -> bool {
        self.rects.near(spot).any(|other| other.intersects(spot))
    }

    /// What a spot covers: three for a rectangle (one in several squares may count more than once),
    /// two for a stretch of a line. No further than `limit`: what costs more is not wanted.
    fn cover(&self, spot: Rect, limit: usize) -> usize {
        let mut cost = 0;
        for _ in self.rects.near(spot).filter(|other| other.intersects(spot)) {
            cost += 3;
            if cost >= limit {
                return cost;
            }
        }
        let mut crossed: Vec<u32> = Vec::new();
        for line in self.crossing.near(spot) {
            if !crossed.contains(&line) && crosses(&self.lines[line as usize], spot) {
                crossed.push(line);
                cost += 2;
                if cost >= limit {
                    break;
                }
            }
        }
        cost
    }

    /// Where a tag of this size goes beside a dot, and how much it covers there: the spot that covers
    /// least, inside the view where the dot is inside.
    pub fn spot(&self, at: Pos2, size: Vec2, inside: Rect) -> (Rect, usize) {
        let spots = spots_around(size);
        let placed = spots.map(|by| {
            let spot = Rect::from_center_size(at + by, size);
            if !inside.contains(at) {
                return spot;
            }
            let right =
                (inside.left() - spot.left()).max(0.0) - (spot.right() - inside.right()).max(0.0);
            let down =
                (inside.top() - spot.top()).max(0.0) - (spot.bottom() - inside.bottom()).max(0.0);
            spot.translate(vec2(right, down))
        });
        let dot = Rect::from_center_size(at, Vec2::splat(16.0));
        let cost = |spot: &Rect, limit: usize| {
            let on_dot = if spot.intersects(dot) { 4 } else { 0 };
            on_dot + self.cover(*spot, limit.saturating_sub(on_dot))
        };
        cheapest(placed.into_iter(), usize::MAX, cost)
            .unwrap_or((Rect::from_center_size(at, size), 0))
    }

    /// Where beside a line its length is written, and how much it covers there: as near the middle as
    /// it finds room, on either side; `clear` is how far from the line it keeps. `None` where every
    /// spot covers `limit` or more.
    pub fn beside_line(
        &self,
        line: &[Pos2],
        (size, clear): (Vec2, f32),
        inside: Rect,
        limit: usize,
    ) -> Option<(Rect, usize)> {
        let total: f32 = line.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
        let shares = [0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74];
        let spots = shares.into_iter().flat_map(|share| {
            let way = super::strokes::cut_out(line, 0.0, total * share);
            let at = way.last().or(line.first()).copied().unwrap_or(Pos2::ZERO);
            let before = way.len().checked_sub(2).and_then(|at| way.get(at)).copied().unwrap_or(at);
            let along = (at - before).normalized();
            // Above a level line comes first.
            let up = if along.x < 0.0 { -along } else { along };
            let normal = vec2(up.y, -up.x);
            let reach = normal.x.abs() * size.x / 2.0 + normal.y.abs() * size.y / 2.0 + clear;
            [reach, -reach].map(|away| Rect::from_center_size(at + normal * away, size))
        });
        cheapest(spots, limit, |spot, limit| {
            let cut = if inside.contains_rect(*spot) { 0 } else { 6 };
            cut + self.cover(*spot, limit.saturating_sub(cut))
        })
    }
}

/// The first of the cheapest below a limit. `cost` is told the least so far: it need not reckon
/// further than that.
fn cheapest<T>(
    things: impl Iterator<Item = T>,
    limit: usize,
    cost: impl Fn(&T, usize) -> usize,
) -> Option<(T, usize)> {
    let (mut best, mut limit) = (None, limit);
    for thing in things {
        if limit == 0 {
            break;
        }
        let cost = cost(&thing, limit);
        if cost < limit {
            limit = cost;
            best = Some((thing, cost));
        }
    }
    best
}

/// Ways from a dot to the middle of a tag, best first.
fn spots_around(size: Vec2) -> [Vec2; 10] {
    let down = size.y / 2.0 + 11.0;
    let aside = size.x / 2.0 + 13.0;
    [
        vec2(0.0, down),
        vec2(0.0, -down),
        vec2(aside, 0.0),
        vec2(-aside, 0.0),
        vec2(aside, down),
        vec2(-aside, down),
        vec2(aside, -down),
        vec2(-aside, -down),
        vec2(aside, down * 1.6),
        vec2(-aside, down * 1.6),
    ]
}

/// Whether a line passes through a rectangle (Liang and Barsky's clipping).
fn crosses(line: &[Pos2; 2], rect: Rect) -> bool {
    let way = line[1] - line[0];
    let (mut first, mut last) = (0.0_f32, 1.0_f32);
    for (from, by, low, high) in [
        (line[0].x, way.x, rect.left(), rect.right()),
        (line[0].y, way.y, rect.top(), rect.bottom()),
    ] {
        if by == 0.0 {
            if from < low || from > high {
                return false;
            }
            continue;
        }
        let (a, b) = ((low - from) / by, (high - from) / by);
        first = first.max(a.min(b));
        last = last.min(a.max(b));
    }
    first <= last
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn a_name_keeps_clear_of_lengths_and_lines() {
        let inside = Rect::from_min_size(pos2(0.0, 0.0), vec2(300.0, 200.0));
        let at = pos2(150.0, 100.0);
        let mut taken = Taken::of(inside);
        let lines = [[at, pos2(150.0, 20.0)], [at, pos2(150.0, 180.0)]];
        for line in &lines {
            taken.add_line(line);
        }
        let length = Rect::from_center_size(pos2(190.0, 100.0), vec2(40.0, 14.0));
        taken.add(length);
        let (spot, _) = taken.spot(at, vec2(60.0, 14.0), inside);
        assert!(!spot.intersects(length), "{spot:?}");
        assert!(lines.iter().all(|line| !crosses(line, spot)), "{spot:?}");
        assert!(spot.right() < at.x);
    }

    #[test]
    fn a_line_crosses_what_it_goes_through_and_nothing_else() {
        let rect = Rect::from_min_max(pos2(10.0, 10.0), pos2(20.0, 20.0));
        for (line, want) in [
            ([pos2(0.0, 15.0), pos2(30.0, 15.0)], true),
            ([pos2(0.0, 0.0), pos2(30.0, 30.0)], true),
            ([pos2(12.0, 12.0), pos2(13.0, 13.0)], true),
            ([pos2(0.0, 25.0), pos2(30.0, 25.0)], false),
            ([pos2(0.0, 12.0), pos2(9.0, 12.0)], false),
            ([pos2(0.0, 20.0), pos2(12.0, 40.0)], false),
        ] {
            assert_eq!(crosses(&line, rect), want, "{line:?}");
        }
    }

    #[test]
    fn a_length_stands_beside_its_run_and_moves_where_the_middle_is_taken() {
        let view = Rect::from_center_size(pos2(100.0, 0.0), vec2(500.0, 500.0));
        let mut taken = Taken::of(view);
        let line = [pos2(0.0, 0.0), pos2(200.0, 0.0)];
        taken.add_line(&line);
        let size = vec2(30.0, 10.0);
        let (spot, cost) = taken.beside_line(&line, (size, 4.0), view, 99).unwrap();
        assert_eq!((spot.center(), cost), (pos2(100.0, -9.0), 0), "above, off the line");
        taken.add(Rect::from_center_size(pos2(100.0, 0.0), vec2(20.0, 40.0)));
        let (moved, cost) = taken.beside_line(&line, (size, 4.0), view, 99).unwrap();
        assert_eq!(taken.beside_line(&line, (size, 4.0), view, 0), None);
        assert!((moved.center().x - 100.0).abs() > 20.0 && cost == 0, "{moved:?}");
        let upright = [pos2(0.0, 0.0), pos2(0.0, 200.0)];
        let (spot, _) = Taken::of(view).beside_line(&upright, (size, 4.0), view, 99).unwrap();
        assert_eq!(spot.center().x.abs(), 19.0, "{spot:?}");
    }
}
