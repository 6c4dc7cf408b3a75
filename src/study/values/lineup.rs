//! States in order along their axis, and the least gap between neighbours that ask for different things.

use crate::study::values::Bands;
use crate::study::values::board::Cell;

/// The axis states lie on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// No state lies below this.
    pub bottom: f64,
    /// No state lies above this.
    pub top: f64,
    /// No state is narrower than this.
    pub width: f64,
}

/// States whose place is known, in order.
#[derive(Clone, Debug)]
pub struct Lineup {
    /// Least, greatest, action.
    places: Vec<(f64, f64, usize)>,
    /// Least gap or margin so far.
    pub least: f64,
}

impl Lineup {
    /// Nothing yet.
    pub fn new() -> Self {
        Self { places: Vec::with_capacity(16), least: f64::INFINITY }
    }

    /// Takes the other's places over without giving its own memory back.
    pub fn copy(&mut self, from: &Self) {
        self.places.clear();
        self.places.extend_from_slice(&from.places);
        self.least = from.least;
    }

    /// Adds a state.
    pub fn add(&mut self, bands: Bands, cell: Cell, action: usize) {
        let (low, high) = cell;
        if bands == Bands::Fixed {
            self.least = self.least.min(low);
            return;
        }
        if low.is_nan() || high.is_nan() {
            self.least = f64::NEG_INFINITY;
            return;
        }
        let middle = |place: &(f64, f64, usize)| place.0 + place.1;
        let new = (low, high, action);
        let at = self.places.partition_point(|place| middle(place) < middle(&new));
        for (one, other) in [
            (at.checked_sub(1).map(|before| self.places[before]), Some(new)),
            (Some(new), self.places.get(at).copied()),
        ] {
            let (Some(one), Some(other)) = (one, other) else { continue };
            if one.2 != other.2 {
                // Both open is no gap at all.
                let gap = other.0 - one.1;
                self.least = self.least.min(if gap.is_nan() { f64::NEG_INFINITY } else { gap });
            }
        }
        self.places.insert(at, new);
    }

    /// Whether so many more states, each asking for something else, can still find a place with more
    /// than `floor` to their neighbours, on an axis from `bottom` to `top` where no state is narrower
    /// than `width`.
    pub fn has_room(&self, more: usize, floor: f64, axis: Axis) -> bool {
        let step = floor + axis.width;
        if step <= 0.0 || !step.is_finite() {
            return true;
        }
        // Between two neighbours one gap more than states is needed, at an end as many.
        let fit = |length: f64, neighbours: f64| {
            ((length + floor * (1.0 - neighbours)) / step + 1e-9).floor().max(0.0)
        };
        let (Some(first), Some(last)) = (self.places.first(), self.places.last()) else {
            return fit(axis.top - axis.bottom, 0.0) >= more as f64;
        };
        let between: f64 = self.places.windows(2).map(|pair| fit(pair[1].0 - pair[0].1, 2.0)).sum();
        between + fit(first.0 - axis.bottom, 1.0) + fit(axis.top - last.1, 1.0) >= more as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaps_are_those_between_neighbours_that_differ() {
        let mut lineup = Lineup::new();
        for (cell, action) in [((1.0, 1.2), 0), ((3.0, 3.1), 1), ((2.0, 2.1), 2)] {
            lineup.add(Bands::Free, cell, action);
        }
        assert!((lineup.least - 0.8).abs() < 1e-12);
        lineup.add(Bands::Free, (3.05, 3.3), 1);
        assert!((lineup.least - 0.8).abs() < 1e-12, "the same action may overlap");
        lineup.add(Bands::Free, (2.05, 2.2), 3);
        assert!(lineup.least < 0.0);
    }

    #[test]
    fn room_is_counted_between_and_at_the_ends() {
        let axis = Axis { bottom: 0.0, top: 10.0, width: 0.5 };
        let mut lineup = Lineup::new();
        // Alone: 7 states of 0.5 with 6 gaps of 1 take 9.5.
        assert!(lineup.has_room(7, 1.0, axis) && !lineup.has_room(8, 1.0, axis));
        lineup.add(Bands::Free, (4.0, 6.0), 0);
        // 4 to each side: two of 0.5 with a gap of 1 each take 3, a third does not fit.
        assert!(lineup.has_room(4, 1.0, axis) && !lineup.has_room(5, 1.0, axis));
        lineup.add(Bands::Free, (9.0, 10.0), 1);
        // Between 6 and 9 only one has 1 to both sides.
        assert!(lineup.has_room(3, 1.0, axis) && !lineup.has_room(4, 1.0, axis));
    }
}
