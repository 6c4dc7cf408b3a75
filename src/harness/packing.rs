//! How large a circle a set of round wires needs: a real placement, and bounds no placement beats.
//!
//! The placement is a true upper bound, because every circle of it has a place that overlaps no
//! other. It is not always the least circle; only equal wires up to twenty come from a table of
//! least circles.

use std::f64::consts::{PI, TAU};

/// Least circle around n equal circles, as a multiple of their diameter, for n = 1 to 20.
///
/// Graham 1968, Pirl 1969, Melissen 1994, Fodor 1999 to 2003 (read in a reprint; n up to 13 and 19
/// proven, the others best known).
pub const EQUAL: [f64; 20] = [
    1.0, 2.0, 2.1547, 2.4142, 2.7013, 3.0, 3.0, 3.3048, 3.6131, 3.8130, 3.9238, 4.0290, 4.2361,
    4.3280, 4.5210, 4.6150, 4.7920, 4.8637, 4.8637, 5.1220,
];

/// Up to this many circles are moved about to find a small circle; more are only set down.
const SEARCHED_MOST: usize = 24;
/// Up to this many circles are set down one by one; more are laid in rings.
const CORNERED_MOST: usize = 48;
/// The same without a search.
const CORNERED_QUICKLY_MOST: usize = 16;
/// Sweeps between two moves of the wall.
const SWEEPS: usize = 30;
/// Times the wall of one search is moved.
const ROUNDS: usize = 22;

/// How long to look for a small circle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effort {
    /// Move the circles about: some milliseconds for twenty.
    Search,
    /// Only set them down.
    Quick,
}

/// How a packing was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    /// Equal circles, from the table of least circles.
    Table,
    /// One or two circles, or a placement that meets the lower bound: nothing smaller is possible.
    Least,
    /// A placement; something smaller may be possible.
    Placement,
}

/// A circle around other circles.
#[derive(Clone, Debug, PartialEq)]
pub struct Packing {
    /// Diameter of the circle in millimetres.
    pub diameter_mm: f64,
    /// What no placement can go below, in millimetres.
    pub lower_mm: f64,
    /// How it was found.
    pub found: Found,
    /// A placement that fits into a circle of [`Packing::placed_mm`] around the origin: middle and
    /// diameter of each circle, widest first.
    pub circles: Vec<(f64, f64, f64)>,
    /// Diameter the placement needs; above `diameter_mm` only where that is from the table.
    pub placed_mm: f64,
}

/// Packs circles of these diameters. Empty for no circle; diameters must be positive and finite.
///
/// Cost: n² for each sweep of a search, n log n for more than 24 circles or without a search.
pub fn pack(diameters_mm: &[f64], effort: Effort) -> Packing {
    let mut sorted: Vec<f64> =
        diameters_mm.iter().copied().filter(|d| d.is_finite() && *d > 0.0).collect();
    sorted.sort_by(|a, b| b.total_cmp(a));
    let lower_mm = lower_bound(&sorted);
    let circles = placed(&sorted, effort);
    let placed_mm = 2.0 * around(&circles);
    let equal = sorted.first().zip(sorted.last()).is_some_and(|(a, b)| a - b < 1e-9);
    let table = sorted.len().checked_sub(1).and_then(|n| EQUAL.get(n)).filter(|_| equal);
    let (diameter_mm, found) = match table {
        Some(ratio) if sorted.len() > 2 => (ratio * sorted[0], Found::Table),
        Some(_) | None if placed_mm <= lower_mm * (1.0 + 1e-9) => (placed_mm, Found::Least),
        Some(_) | None => (placed_mm, Found::Placement),
    };
    Packing { diameter_mm, lower_mm, found, circles, placed_mm }
}

/// What no circle around these can go below: their area, the two widest side by side, and for
/// every k the table's circle around k equal ones as wide as the k-th widest.
///
/// Expects the widest first.
pub fn lower_bound(sorted: &[f64]) -> f64 {
    let area = sorted.iter().map(|d| d * d).sum::<f64>().sqrt();
    let two = sorted.iter().take(2).sum::<f64>();
    // The table is rounded to four places: half a unit less is safe.
    let equal = EQUAL.iter().zip(sorted).skip(2).map(|(ratio, d)| (ratio - 5e-5) * d);
    equal.fold(area.max(two), f64::max)
}

/// The rule of thumb 1.2 times the root of the sum of squares (from memory).
///
/// It lies **below** the least circle of 2 to 6, 9 and 10 equal wires: never the size of a hole.
pub fn rule_of_thumb_mm(diameters_mm: &[f64]) -> f64 {
    1.2 * diameters_mm.iter().map(|d| d * d).sum::<f64>().sqrt()
}

type Circle = (f64, f64, f64);

/// A placement without overlap, its middle at the origin.
fn placed(sorted: &[f64], effort: Effort) -> Vec<Circle> {
    let mut best = rings(sorted);
    let is_equal = sorted.first().zip(sorted.last()).is_some_and(|(a, b)| a - b < 1e-9);
    if is_equal || sorted.len() <= CORNERED_MOST {
        best = smaller(best, lattice(sorted));
    }
    let cornered_most = match effort {
        Effort::Search => CORNERED_MOST,
        Effort::Quick => CORNERED_QUICKLY_MOST,
    };
    if sorted.len() <= cornered_most {
        best = smaller(best, in_corners(sorted));
    }
    if effort == Effort::Search && (3..=SEARCHED_MOST).contains(&sorted.len()) {
        let floor = lower_bound(sorted);
        for start in starts(sorted, &best) {
            if 2.0 * around(&best) <= floor * (1.0 + 1e-6) {
                break;
            }
            best = smaller(best, pressed(start));
        }
    }
    best
}

fn smaller(a: Vec<Circle>, b: Vec<Circle>) -> Vec<Circle> {
    if around(&b) < around(&a) { b } else { a }
}

/// Radius of the circle around the origin that holds all.
fn around(circles: &[Circle]) -> f64 {
    circles.iter().map(|(x, y, d)| x.hypot(*y) + d / 2.0).fold(0.0, f64::max)
}

/// Shifts all so that the circle around them has its middle at the origin, nearly.
fn centred(mut circles: Vec<Circle>) -> Vec<Circle> {
    let (mut x, mut y) = (0.0, 0.0);
    let reach = |x: f64, y: f64, c: &Circle| (c.0 - x).hypot(c.1 - y) + c.2 / 2.0;
    let mut best = (f64::INFINITY, 0.0, 0.0);
    let mut step = 0.5;
    for _ in 0..160 {
        let Some(far) = circles.iter().max_by(|a, b| reach(x, y, a).total_cmp(&reach(x, y, b)))
        else {
            break;
        };
        let radius = reach(x, y, far);
        if radius < best.0 {
            best = (radius, x, y);
        } else {
            step *= 0.9;
        }
        let gap = (far.0 - x).hypot(far.1 - y);
        if gap < 1e-12 {
            break;
        }
        let length = step * far.2.max(1e-9) * 0.2;
        x += (far.0 - x) / gap * length;
        y += (far.1 - y) / gap * length;
    }
    if best.0 < around(&circles) {
        for circle in &mut circles {
            circle.0 -= best.1;
            circle.1 -= best.2;
        }
    }
    circles
}

/// Each circle goes where it touches two that are there and lies nearest to the middle.
fn in_corners(sorted: &[f64]) -> Vec<Circle> {
    let mut done: Vec<Circle> = Vec::new();
    for d in sorted.iter().copied() {
        let place = match done.len() {
            0 => (0.0, 0.0),
            1 => (done[0].2 / 2.0 + d / 2.0, 0.0),
            _ => {
                let weight: f64 = done.iter().map(|c| c.2 * c.2).sum();
                let mx = done.iter().map(|c| c.0 * c.2 * c.2).sum::<f64>() / weight;
                let my = done.iter().map(|c| c.1 * c.2 * c.2).sum::<f64>() / weight;
                corner(&done, d, (mx, my))
            }
        };
        done.push((place.0, place.1, d));
    }
    centred(done)
}

/// The free corner nearest to a point.
fn corner(done: &[Circle], d: f64, middle: (f64, f64)) -> (f64, f64) {
    let mut best = (f64::INFINITY, (0.0, 0.0));
    for (i, a) in done.iter().enumerate() {
        for b in &done[i + 1..] {
            let (ra, rb) = ((a.2 + d) / 2.0, (b.2 + d) / 2.0);
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let gap = dx.hypot(dy);
            if gap > ra + rb || gap < 1e-12 {
                continue;
            }
            let along = (ra * ra - rb * rb + gap * gap) / (2.0 * gap);
            let across = (ra * ra - along * along).max(0.0).sqrt();
            for side in [across, -across] {
                let x = a.0 + (along * dx - side * dy) / gap;
                let y = a.1 + (along * dy + side * dx) / gap;
                let far = (x - middle.0).hypot(y - middle.1);
                let is_free =
                    |c: &Circle| (x - c.0).hypot(y - c.1) >= (c.2 + d) / 2.0 * (1.0 - 1e-12);
                if far < best.0 && done.iter().all(is_free) {
                    best = (far, (x, y));
                }
            }
        }
    }
    if best.0.is_finite() {
        return best.1;
    }
    // Beside everything: always free.
    let right = done.iter().map(|c| c.0 + c.2 / 2.0).fold(0.0, f64::max);
    (right + d / 2.0, middle.1)
}

/// Wires in rings around the widest one; each ring is as wide as its widest wire.
fn rings(sorted: &[f64]) -> Vec<Circle> {
    let mut circles: Vec<Circle> = Vec::new();
    let mut inner = 0.0;
    let mut rest = sorted;
    while let Some(first) = rest.first().copied() {
        if circles.is_empty() {
            circles.push((0.0, 0.0, first));
            (inner, rest) = (first / 2.0, &rest[1..]);
            continue;
        }
        let radius = inner + first / 2.0;
        let (mut angle, mut n) = (0.0, 0);
        // Neighbours on the ring stand apart by the sum of the angles half of each is seen under.
        for d in rest {
            let half = (d / 2.0 / radius).min(1.0).asin();
            if n > 0 && angle + 2.0 * half > TAU + 1e-12 {
                break;
            }
            let at = angle + half;
            circles.push((radius * at.cos(), radius * at.sin(), *d));
            angle += 2.0 * half;
            n += 1;
        }
        rest = &rest[n..];
        inner = radius + first / 2.0;
    }
    circles
}

/// On the points of a triangular grid as wide as the widest, nearest to the middle first.
fn lattice(sorted: &[f64]) -> Vec<Circle> {
    let Some(pitch) = sorted.first().copied() else { return Vec::new() };
    let height = 3.0_f64.sqrt() / 2.0;
    let reach = (sorted.len() as f64 / PI * 1.2).sqrt().ceil() as i32 + 2;
    let mut best: Vec<Circle> = Vec::new();
    // Middles: a grid point, the middle of an edge, the middle of a triangle.
    for (mx, my) in [(0.0, 0.0), (0.5, 0.0), (0.5, height / 3.0)] {
        let mut points: Vec<(f64, f64)> = Vec::new();
        for row in -reach..=reach {
            for column in -reach..=reach {
                let shift = if row.rem_euclid(2) == 1 { 0.5 } else { 0.0 };
                points.push((f64::from(column) + shift - mx, f64::from(row) * height - my));
            }
        }
        let far = |p: &(f64, f64)| p.0 * p.0 + p.1 * p.1;
        points.sort_by(|a, b| far(a).total_cmp(&far(b)).then(a.partial_cmp(b).expect("finite")));
        // The widest go inside: what lies far out should not be wide as well.
        let circles: Vec<Circle> =
            points.iter().zip(sorted).map(|(p, d)| (p.0 * pitch, p.1 * pitch, *d)).collect();
        best = if best.is_empty() { circles } else { smaller(best, circles) };
    }
    best
}

/// Where searches begin: the best so far, spirals from the widest and from the thinnest, rings.
fn starts(sorted: &[f64], best: &[Circle]) -> Vec<Vec<Circle>> {
    let total: f64 = sorted.iter().map(|d| d * d).sum::<f64>().sqrt();
    let spiral = |turn: f64, inside_out: bool| -> Vec<Circle> {
        let n = sorted.len();
        (0..n)
            .map(|i| {
                let share = ((i as f64 + 0.5) / n as f64).sqrt() * total * 0.45;
                let angle = i as f64 * turn;
                let d = if inside_out { sorted[i] } else { sorted[n - 1 - i] };
                (share * angle.cos(), share * angle.sin(), d)
            })
            .collect()
    };
    // One ring, as in the least circles of five, and rings around some in the middle.
    let ring = |inside: usize| -> Vec<Circle> {
        let n = sorted.len();
        (0..n)
            .map(|i| {
                let (k, of, r) =
                    if i < inside { (i, inside, 0.18) } else { (i - inside, n - inside, 0.42) };
                let angle = TAU * k as f64 / of.max(1) as f64 + 0.1 * i as f64 / n as f64;
                let r = if inside == 1 && i == 0 { 0.0 } else { r };
                (r * total * angle.cos(), r * total * angle.sin(), sorted[i])
            })
            .collect()
    };
    let golden = PI * (3.0 - 5.0_f64.sqrt());
    let mut list = vec![best.to_vec(), spiral(golden, true), spiral(golden, false)];
    list.extend([0, 1, 3].into_iter().filter(|inside| inside + 2 < sorted.len()).map(ring));
    list
}

/// Squeezes the circles by a round wall that closes in while overlaps are pushed apart; what is left
/// is spread until none overlaps: a real placement, whatever the search did.
fn pressed(mut circles: Vec<Circle>) -> Vec<Circle> {
    let mut best = spread(centred(circles.clone()));
    let mut wall = around(&best) * 0.96;
    for _ in 0..ROUNDS {
        for _ in 0..SWEEPS {
            for circle in &mut circles {
                let (far, most) = (circle.0.hypot(circle.1), wall - circle.2 / 2.0);
                if far > most && far > 0.0 {
                    circle.0 *= (most / far).max(0.0);
                    circle.1 *= (most / far).max(0.0);
                }
            }
            push_apart(&mut circles);
        }
        let tried = spread(centred(circles.clone()));
        if around(&tried) < around(&best) * (1.0 - 1e-6) {
            best = tried;
            wall = around(&best) * 0.985;
        } else {
            wall += (around(&best) - wall) * 0.35;
        }
    }
    best
}

fn push_apart(circles: &mut [Circle]) {
    for i in 1..circles.len() {
        let (before, rest) = circles.split_at_mut(i);
        let b = &mut rest[0];
        for a in before {
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let want = (a.2 + b.2) / 2.0;
            let square = dx * dx + dy * dy;
            if square >= want * want {
                continue;
            }
            let gap = square.sqrt();
            let (ux, uy) = if gap > 1e-12 { (dx / gap, dy / gap) } else { (1.0, 0.0) };
            // The wider one gives way less.
            let share = b.2 * b.2 / (a.2 * a.2 + b.2 * b.2);
            let excess = want - gap;
            a.0 -= ux * excess * share;
            a.1 -= uy * excess * share;
            b.0 += ux * excess * (1.0 - share);
            b.1 += uy * excess * (1.0 - share);
        }
    }
}

/// Scales all places out until no two circles overlap.
fn spread(mut circles: Vec<Circle>) -> Vec<Circle> {
    let mut factor: f64 = 1.0;
    for (i, a) in circles.iter().enumerate() {
        for b in &circles[i + 1..] {
            let gap = (a.0 - b.0).hypot(a.1 - b.1).max(1e-12);
            factor = factor.max((a.2 + b.2) / 2.0 / gap);
        }
    }
    for circle in &mut circles {
        circle.0 *= factor;
        circle.1 *= factor;
    }
    circles
}

#[cfg(test)]
mod tests;
