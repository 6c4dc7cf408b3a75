//! Cutting something large into tiles: where to cut, and what each tile is called.

use crate::geometry::{Rect, point};

/// One tile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tile {
    /// What of the drawing it shows.
    pub window: Rect,
    /// Its column, from 0.
    pub column: usize,
    /// Its row, from 0.
    pub row: usize,
}

impl Tile {
    /// `A1`, `B1`, … `AA1`: letters to the right, numbers downwards.
    pub fn name(&self) -> String {
        let mut letters = String::new();
        let mut column = self.column + 1;
        while column > 0 {
            column -= 1;
            letters.insert(0, char::from(b'A' + (column % 26) as u8));
            column /= 26;
        }
        format!("{letters}{}", self.row + 1)
    }
}

/// Finest step in which cuts are tried.
const STEP_MM: f64 = 1.25;

/// Edges of tiles from `from` to `to`, none wider than `most_mm`; each cut goes where it crosses the
/// fewest of the spans, and as far on as it can.
pub fn cuts(from: f64, to: f64, most_mm: f64, spans: &[(f64, f64)]) -> Vec<f64> {
    let mut edges = vec![from];
    let mut at = from;
    while to - at > most_mm {
        let n_steps = (0.5 * most_mm / STEP_MM).floor() as u32;
        let candidates = (0..=n_steps).map(|n| at + most_mm - f64::from(n) * STEP_MM);
        let crossed =
            |cut: f64| spans.iter().filter(|(low, high)| *low < cut && cut < *high).count();
        let mut best = (usize::MAX, at + most_mm);
        for cut in candidates {
            let n = crossed(cut);
            if n < best.0 {
                best = (n, cut);
            }
            if n == 0 {
                break;
            }
        }
        at = best.1;
        edges.push(at);
    }
    edges.push(to);
    edges
}

/// All tiles between edges, row by row.
pub fn tiles(columns: &[f64], rows: &[f64]) -> Vec<Tile> {
    let mut tiles = Vec::new();
    for (row, y) in rows.windows(2).enumerate() {
        for (column, x) in columns.windows(2).enumerate() {
            let window = Rect::spanning(point(x[0], y[0]), point(x[1], y[1]));
            tiles.push(Tile { window, column, row });
        }
    }
    tiles
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cuts_go_between_things_and_tiles_cover_everything() {
        let edges = cuts(0.0, 300.0, 160.0, &[(120.0, 170.0), (10.0, 60.0)]);
        assert_eq!(edges.len(), 4);
        assert!(edges[1] <= 120.0 && edges[1] > 60.0, "{edges:?}");
        assert!(edges.windows(2).all(|pair| pair[1] - pair[0] <= 160.0 + 1e-9));
        assert_eq!((edges[0], edges[3]), (0.0, 300.0));
        assert_eq!(cuts(0.0, 100.0, 160.0, &[]), [0.0, 100.0]);
    }

    #[test]
    fn names_run_like_the_columns_of_a_table() {
        let name = |column, row| {
            let window = Rect::spanning(point(0.0, 0.0), point(1.0, 1.0));
            Tile { window, column, row }.name()
        };
        assert_eq!(
            [name(0, 0), name(25, 1), name(26, 0), name(51, 9)],
            ["A1", "Z2", "AA1", "AZ10"]
        );
    }
}
