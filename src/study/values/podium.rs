//! The best choices that are known.

use crate::study::values::N_BEST;
use crate::study::values::board::Board;

/// A choice that is known, by the ranks of its values.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    /// Its values.
    pub ranks: Vec<usize>,
    /// Its worst margin.
    pub margin: f64,
}

/// The best choices so far, best first; of equals the one with lower values.
pub struct Podium {
    best: Vec<Known>,
    /// Whether a part is alike to the one before it.
    is_alike: Vec<bool>,
}

impl Podium {
    /// Nothing yet.
    pub fn new(is_alike: Vec<bool>) -> Self {
        Self { best: Vec::new(), is_alike }
    }

    /// The best choices.
    pub fn best(&self) -> &[Known] {
        &self.best
    }

    /// The best margin.
    pub fn top(&self) -> f64 {
        self.best.first().map_or(f64::NEG_INFINITY, |known| known.margin)
    }

    /// Greatest margin that is no longer wanted.
    pub fn floor(&self) -> f64 {
        self.best.get(N_BEST - 1).map_or(f64::NEG_INFINITY, |last| last.margin)
    }

    /// Takes a choice in where it is one of the best, new, and in the drawer.
    pub fn add(&mut self, board: &Board<'_>, ranks: &[usize], margin: f64) {
        if margin == f64::NEG_INFINITY || margin <= self.floor() {
            return;
        }
        let ranks = self.ascending(ranks);
        if self.best.iter().any(|known| known.ranks == ranks) || !board.is_in_stock(&ranks) {
            return;
        }
        let new = Known { ranks, margin };
        let is_before = |known: &Known| {
            known.margin > margin || known.margin == margin && known.ranks < new.ranks
        };
        let place = self.best.partition_point(is_before);
        self.best.insert(place, new);
        self.best.truncate(N_BEST);
    }

    /// Alike neighbours in ascending order: of choices that differ by their order one is kept.
    fn ascending(&self, ranks: &[usize]) -> Vec<usize> {
        let mut ranks = ranks.to_vec();
        let mut start = 0;
        for end in 1..=ranks.len() {
            if end == ranks.len() || !self.is_alike[end] {
                ranks[start..end].sort_unstable();
                start = end;
            }
        }
        ranks
    }
}
