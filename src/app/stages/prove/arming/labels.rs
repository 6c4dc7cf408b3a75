//! Where the words of each arrow of the story stand: on or beside their own arrow, clear of modes,
//! of other words and of other arrows. Pure geometry.

use egui::{Pos2, Rect, Vec2, vec2};

/// Shares of an arrow's length that are tried, the middle first.
const SHARES: [f32; 13] =
    [0.5, 0.44, 0.56, 0.38, 0.62, 0.32, 0.68, 0.26, 0.74, 0.2, 0.8, 0.14, 0.86];
/// How often all are looked at again, each knowing where the others went.
const ROUNDS: usize = 3;
/// What one point of another arrow below the words counts, in square points of overlap.
const CROSSED: f32 = 60.0;

/// A place for the words of each arrow; `None` where an arrow has no length. `taken` are the modes.
pub fn places(
    bounds: Rect,
    taken: &[Rect],
    paths: &[Vec<Pos2>],
    sizes: &[Vec2],
) -> Vec<Option<Rect>> {
    let mut found: Vec<Option<Rect>> = vec![None; paths.len()];
    for _ in 0..ROUNDS {
        for n in 0..paths.len() {
            let Some(size) = sizes.get(n) else { continue };
            let cost = |rect: &Rect, aside: f32| {
                // A little air, so that words do not touch.
                let rect = &rect.expand(1.5);
                let others = found.iter().enumerate().filter(|(m, _)| *m != n);
                let words = others.filter_map(|(_, place)| place.as_ref());
                let over: f32 = taken.iter().chain(words).map(|other| common(rect, other)).sum();
                let arrows = paths.iter().enumerate().filter(|(m, _)| *m != n);
                let points = arrows.flat_map(|(_, path)| path);
                let crossed = points.filter(|point| rect.contains(**point)).count();
                over + CROSSED * crossed as f32 + aside
            };
            let tried = candidates(bounds, &paths[n], *size);
            let best = tried
                .into_iter()
                .map(|(rect, aside)| (cost(&rect, aside), rect))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            found[n] = best.map(|(_, rect)| rect);
        }
    }
    found
}

fn common(a: &Rect, b: &Rect) -> f32 {
    let common = a.intersect(*b);
    if common.is_positive() { common.area() } else { 0.0 }
}

/// Places along an arrow and beside it, each with what being off the middle counts.
fn candidates(bounds: Rect, path: &[Pos2], size: Vec2) -> Vec<(Rect, f32)> {
    let Some(last) = path.len().checked_sub(1) else { return Vec::new() };
    let half = size / 2.0;
    let inside = bounds.shrink2(half.min(bounds.size() / 2.0));
    let mut found = Vec::new();
    for (rank, share) in (0u8..).zip(SHARES) {
        let idx = ((last as f32 * share).round() as usize).min(last);
        let (before, after) = (path[idx.saturating_sub(1)], path[(idx + 1).min(last)]);
        let along = (after - before).normalized();
        let across = if along.is_finite() { along.rot90() } else { vec2(0.0, 1.0) };
        // Beside the arrow the words just touch it.
        let reach = across.x.abs() * half.x + across.y.abs() * half.y;
        for (by, aside) in [(0.0, 0.0), (0.7, 9.0), (-0.7, 9.0), (1.05, 14.0), (-1.05, 14.0)] {
            let centre = inside.clamp(path[idx] + across * (reach * by));
            let rect = Rect::from_center_size(centre, size);
            found.push((rect, aside + f32::from(rank) * 3.0));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    fn line(from: Pos2, to: Pos2) -> Vec<Pos2> {
        (0..=40).map(|n| from + (to - from) * (n as f32 / 40.0)).collect()
    }

    /// Two arrows that cross in the middle, where both would stand first, and one along the edge.
    #[test]
    fn words_stand_clear_of_each_other_of_modes_and_of_other_arrows() {
        let bounds = Rect::from_min_size(pos2(0.0, 0.0), vec2(360.0, 300.0));
        let paths = [
            line(pos2(40.0, 40.0), pos2(320.0, 260.0)),
            line(pos2(320.0, 40.0), pos2(40.0, 260.0)),
            line(pos2(2.0, 20.0), pos2(2.0, 280.0)),
        ];
        let modes = [Rect::from_center_size(pos2(20.0, 150.0), vec2(70.0, 40.0))];
        let sizes = [vec2(70.0, 16.0), vec2(70.0, 16.0), vec2(60.0, 16.0)];
        let found = places(bounds, &modes, &paths, &sizes);
        let found: Vec<Rect> = found.into_iter().map(Option::unwrap).collect();
        for (n, rect) in found.iter().enumerate() {
            assert!(bounds.contains_rect(*rect), "{n} {rect:?}");
            assert!(modes.iter().all(|mode| !mode.intersects(*rect)), "{n} {rect:?}");
            for (m, other) in found.iter().enumerate().filter(|(m, _)| *m != n) {
                assert!(!other.intersects(*rect), "{n} and {m}");
            }
            for (m, path) in paths.iter().enumerate().filter(|(m, _)| *m != n) {
                assert!(path.iter().all(|point| !rect.contains(*point)), "{n} on arrow {m}");
            }
        }
        assert_eq!(places(bounds, &modes, &[Vec::new()], &sizes[..1]), [None]);
    }
}
