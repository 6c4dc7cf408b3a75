//! Where something stands already: rectangles in cells of a grid, so that asking stays cheap.

use std::collections::BTreeMap;

use crate::geometry::{Point, Rect, point};
use crate::sheets::clip::inside;

/// Side of a cell in millimetres.
const CELL_MM: f64 = 25.0;

/// Rectangles that are taken.
#[derive(Clone, Debug, Default)]
pub struct Taken {
    cells: BTreeMap<(i64, i64), Vec<Rect>>,
}

impl Taken {
    /// Takes a rectangle.
    pub fn put(&mut self, rect: Rect) {
        for cell in cells(rect) {
            self.cells.entry(cell).or_default().push(rect);
        }
    }

    /// Whether a rectangle touches none that is taken.
    pub fn is_free(&self, rect: Rect) -> bool {
        cells(rect)
            .filter_map(|cell| self.cells.get(&cell))
            .flatten()
            .all(|other| !other.touches(rect))
    }
}

/// Lines that are drawn, cut into short pieces in the same grid.
#[derive(Clone, Debug, Default)]
pub struct Drawn {
    cells: BTreeMap<(i64, i64), Vec<[Point; 2]>>,
}

impl Drawn {
    /// Draws a line.
    pub fn put(&mut self, [a, b]: [Point; 2]) {
        let n_pieces = (a.distance(b) / CELL_MM).ceil().max(1.0);
        let at = |n: f64| {
            let share = n / n_pieces;
            point(a.x_mm + (b.x_mm - a.x_mm) * share, a.y_mm + (b.y_mm - a.y_mm) * share)
        };
        let mut n = 0.0;
        while n < n_pieces {
            let piece = [at(n), at(n + 1.0)];
            for cell in cells(Rect::spanning(piece[0], piece[1])) {
                self.cells.entry(cell).or_default().push(piece);
            }
            n += 1.0;
        }
    }

    /// Whether no line passes through a rectangle.
    pub fn is_clear(&self, rect: Rect) -> bool {
        cells(rect)
            .filter_map(|cell| self.cells.get(&cell))
            .flatten()
            .all(|piece| inside(piece, rect).is_empty())
    }
}

fn cells(rect: Rect) -> impl Iterator<Item = (i64, i64)> {
    let of = |value: f64| (value / CELL_MM).floor() as i64;
    let (left, right) = (of(rect.min.x_mm), of(rect.max.x_mm));
    let (top, bottom) = (of(rect.min.y_mm), of(rect.max.y_mm));
    (left..=right).flat_map(move |x| (top..=bottom).map(move |y| (x, y)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_line_is_found_wherever_it_passes() {
        let mut drawn = Drawn::default();
        let (a, b) = (point(-700.0, 40.0), point(900.0, 310.0));
        drawn.put([a, b]);
        for n in 0..400 {
            let corner = point(-750.0 + f64::from(n % 20) * 85.0, -20.0 + f64::from(n / 20) * 18.0);
            let rect = Rect::spanning(corner, corner + point(31.0, 7.0));
            assert_eq!(drawn.is_clear(rect), inside(&[a, b], rect).is_empty(), "{rect:?}");
        }
    }

    #[test]
    fn what_touches_is_not_free_wherever_the_grid_lies() {
        let rect = |x: f64, y: f64| Rect::spanning(point(x, y), point(x + 30.0, y + 3.0));
        let mut taken = Taken::default();
        taken.put(rect(-10.0, 20.0));
        assert!(!taken.is_free(rect(15.0, 22.0)));
        assert!(taken.is_free(rect(15.0, 24.0)));
        assert!(taken.is_free(rect(21.0, 20.0)));
        assert!(!taken.is_free(rect(-40.0, 20.0)), "edges that touch count");
    }
}
