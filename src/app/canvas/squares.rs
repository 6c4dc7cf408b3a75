//! What is on the screen already, by the squares it touches: thousands of things stay cheap to ask for.

use egui::{Pos2, Rect, pos2};

/// Side of a square, in points.
const SIDE: f32 = 64.0;
/// Not more squares than this either way, however large a view is.
const MOST: usize = 128;

/// How far the squares at the edge reach, in points.
const FAR: f32 = 1e7;

/// Things by the squares of a view they touch. What lies beyond the view is kept at its edge.
#[derive(Clone, Debug)]
pub struct Squares<T> {
    origin: Pos2,
    columns: usize,
    rows: usize,
    cells: Vec<Vec<T>>,
}

impl<T: Copy> Squares<T> {
    /// For what lies in a view, on the screen.
    pub fn of(view: Rect) -> Self {
        let count = |long: f32| ((long / SIDE).ceil().max(1.0) as usize).min(MOST);
        let (columns, rows) = (count(view.width()), count(view.height()));
        Self { origin: view.min, columns, rows, cells: vec![Vec::new(); columns * rows] }
    }

    /// Puts a thing into every square a rectangle touches.
    pub fn add(&mut self, rect: Rect, thing: T) {
        self.add_where(rect, thing, |_| true);
    }

    /// Puts a thing into those squares a rectangle touches of which `is_in` says so; squares at the
    /// edge reach far beyond it.
    pub fn add_where(&mut self, rect: Rect, thing: T, is_in: impl Fn(Rect) -> bool) {
        let ([left, top], [right, bottom]) = self.span(rect);
        for row in top..=bottom {
            for column in left..=right {
                if is_in(self.square(column, row)) {
                    self.cells[row * self.columns + column].push(thing);
                }
            }
        }
    }

    /// Things in the squares a rectangle touches, square by square: one in several comes several times.
    pub fn near(&self, rect: Rect) -> impl Iterator<Item = T> {
        let ([left, top], [right, bottom]) = self.span(rect);
        (top..=bottom)
            .flat_map(move |row| {
                &self.cells[row * self.columns + left..=row * self.columns + right]
            })
            .flatten()
            .copied()
    }

    /// First and last column and row a rectangle touches, kept to the view.
    fn span(&self, rect: Rect) -> ([usize; 2], [usize; 2]) {
        // Casting keeps what is below zero, or not a number, at zero.
        let at = |pos: Pos2| {
            let by = (pos - self.origin) / SIDE;
            [(by.x as usize).min(self.columns - 1), (by.y as usize).min(self.rows - 1)]
        };
        (at(rect.min), at(rect.max.max(rect.min)))
    }

    fn square(&self, column: usize, row: usize) -> Rect {
        let edge = |at: usize, n: usize, origin: f32| match at {
            0 => -FAR,
            at if at >= n => FAR,
            at => origin + at as f32 * SIDE,
        };
        let corner = |column: usize, row: usize| {
            pos2(edge(column, self.columns, self.origin.x), edge(row, self.rows, self.origin.y))
        };
        Rect::from_min_max(corner(column, row), corner(column + 1, row + 1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::vec2;

    #[test]
    fn everything_that_touches_a_rectangle_is_found_in_its_squares() {
        let view = Rect::from_min_size(pos2(100.0, 50.0), vec2(700.0, 500.0));
        let mut squares = Squares::of(view);
        let mut random = crate::random::Random::new(7);
        let mut rects = Vec::new();
        let mut rect = || {
            let at =
                pos2(random.between(-400.0, 1400.0) as f32, random.between(-300.0, 900.0) as f32);
            Rect::from_min_size(
                at,
                vec2(random.between(0.0, 260.0) as f32, random.between(0.0, 90.0) as f32),
            )
        };
        for n in 0..300_usize {
            rects.push(rect());
            squares.add(rects[n], n);
        }
        for _ in 0..300 {
            let asked = rect();
            let near: Vec<usize> = squares.near(asked).collect();
            for (n, other) in rects.iter().enumerate() {
                assert!(!other.intersects(asked) || near.contains(&n), "{other} and {asked}");
            }
            assert!(near.len() < 300 || asked.width() * asked.height() > 1e4, "not all of them");
        }
        let nowhere = Rect::from_min_max(pos2(f32::NAN, 0.0), pos2(f32::NAN, 1.0));
        squares.add(nowhere, 999);
        assert!(squares.near(nowhere).any(|n| n == 999));
    }
}
