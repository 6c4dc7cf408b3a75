//! Good choices by climbing: the better they are, the more the bounds rule out.

use crate::study::values::board::Board;
use crate::study::values::lineup::Place;
use crate::study::values::podium::Podium;

/// Climbs begin at so many spread-out choices.
const N_STARTS: usize = 8;

/// Tries choices near good ones.
pub struct Climber {
    n_parts: usize,
    n_values: usize,
    places: Vec<Place>,
}

impl Climber {
    /// For so many parts, each with so many values.
    pub fn new(n_parts: usize, n_values: usize) -> Self {
        Self { n_parts, n_values, places: Vec::new() }
    }

    /// Climbs from a few spread-out choices, then looks around the best.
    pub fn guess(&mut self, board: &Board<'_>, podium: &mut Podium) {
        for start in 0..N_STARTS {
            let mut ranks: Vec<usize> = (0..self.n_parts)
                .map(|part| {
                    let share =
                        (part as f64 + 1.0 + start as f64 * 0.37) / (self.n_parts as f64 + 3.0);
                    ((share * self.n_values as f64) as usize).min(self.n_values - 1)
                })
                .collect();
            if start % 2 == 1 {
                ranks.reverse();
            }
            self.climb(board, podium, ranks);
        }
        self.look_around(board, podium);
    }

    /// Moves one part at a time by ever smaller steps as long as that is better.
    pub fn climb(&mut self, board: &Board<'_>, podium: &mut Podium, mut ranks: Vec<usize>) {
        let mut best = board.score(&ranks, &mut self.places);
        podium.add(board, &ranks, best);
        let mut step = (self.n_values / 4).max(1);
        loop {
            let mut is_better = false;
            for part in 0..self.n_parts {
                for value in [ranks[part].checked_sub(step), Some(ranks[part] + step)] {
                    let Some(value) = value.filter(|value| *value < self.n_values) else {
                        continue;
                    };
                    let old = std::mem::replace(&mut ranks[part], value);
                    let score = board.score(&ranks, &mut self.places);
                    podium.add(board, &ranks, score);
                    if score > best {
                        (best, is_better) = (score, true);
                    } else {
                        ranks[part] = old;
                    }
                }
            }
            match (is_better, step) {
                (true, _) => {}
                (false, 1) => break,
                (false, _) => step /= 2,
            }
        }
    }

    /// Every choice whose values are a step or two from the best known one.
    fn look_around(&mut self, board: &Board<'_>, podium: &mut Podium) {
        let Some(middle) = podium.best().first().map(|known| known.ranks.clone()) else { return };
        let reach: usize = if self.n_parts > 4 { 1 } else { 2 };
        let width = 2 * reach + 1;
        for mut code in 0..width.pow(self.n_parts as u32) {
            let mut ranks = Vec::with_capacity(self.n_parts);
            for rank in &middle {
                let moved = (rank + code % width).checked_sub(reach);
                code /= width;
                ranks.extend(moved.filter(|rank| *rank < self.n_values));
            }
            if ranks.len() == middle.len() {
                let score = board.score(&ranks, &mut self.places);
                podium.add(board, &ranks, score);
            }
        }
    }
}
