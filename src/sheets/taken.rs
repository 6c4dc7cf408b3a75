//! Where something stands already: rectangles in cells of a grid, so that asking stays cheap.

use std::collections::BTreeMap;

use crate::geometry::Rect;

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

fn cells(rect: Rect) -> impl Iterator<Item = (i64, i64)> {
    let of = |value: f64| (value / CELL_MM).floor() as i64;
    let (left, right) = (of(rect.min.x_mm), of(rect.max.x_mm));
    let (top, bottom) = (of(rect.min.y_mm), of(rect.max.y_mm));
    (left..=right).flat_map(move |x| (top..=bottom).map(move |y| (x, y)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

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
