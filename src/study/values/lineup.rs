//! States along their axis, and the least gap between any two that ask for different things.

/// Where one state lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Its low end.
    pub low: f64,
    /// Its high end.
    pub high: f64,
    /// What it asks for.
    pub action: usize,
}

/// The gap between two places, whichever of them lies above; infinite where they ask for the same.
pub fn gap(one: &Place, other: &Place) -> f64 {
    if one.action == other.action {
        return f64::INFINITY;
    }
    // Two open states, or two without resistance, are no gap at all: what is not a number is left out.
    f64::NEG_INFINITY.max(one.low - other.high).max(other.low - one.high)
}

/// The least gap between two places that ask for different things.
///
/// Of two places the one with the greater sum of its ends lies above: the other order would give a
/// smaller gap, so each place is held against the highest end below it. The low end of a place may
/// lie above its high end: then a place stands for all that its state can be, with its low end at
/// its highest and its high end at its lowest, and the outcome is a bound that no choice exceeds.
/// Places are put in order; cost: next to nothing where they come nearly in order.
pub fn least_gap(places: &mut [Place]) -> f64 {
    for at in 1..places.len() {
        let place = places[at];
        let mut to = at;
        while to > 0 && places[to - 1].low + places[to - 1].high > place.low + place.high {
            places[to] = places[to - 1];
            to -= 1;
        }
        places[to] = place;
    }
    let mut worst = f64::INFINITY;
    // The highest end so far, and the highest of those that ask for something else than it does.
    let (mut top, mut other): (Option<Place>, Option<Place>) = (None, None);
    for place in places.iter() {
        let Some(highest) = top else {
            top = Some(*place);
            continue;
        };
        let is_same = highest.action == place.action;
        if let Some(below) = if is_same { other } else { top } {
            let gap = place.low - below.high;
            // As in `gap`: two that are open, or two without resistance.
            worst = if gap.is_nan() { f64::NEG_INFINITY } else { worst.min(gap) };
        }
        let is_higher = place.high > highest.high;
        match (is_same, is_higher) {
            (true, true) => top = Some(*place),
            (true, false) => {}
            (false, true) => (other, top) = (top, Some(*place)),
            (false, false) => {
                if other.is_none_or(|other| place.high > other.high) {
                    other = Some(*place);
                }
            }
        }
    }
    worst
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::Random;

    fn place(low: f64, high: f64, action: usize) -> Place {
        Place { low, high, action }
    }

    /// Every pair by itself.
    fn by_pairs(places: &[Place]) -> f64 {
        let mut least = f64::INFINITY;
        for (n, one) in places.iter().enumerate() {
            for other in places[..n].iter().filter(|other| other.action != one.action) {
                least = least
                    .min(f64::NEG_INFINITY.max(one.low - other.high).max(other.low - one.high));
            }
        }
        least
    }

    #[test]
    fn the_least_gap_is_that_of_the_worst_pair() {
        let mut r = Random::new(41);
        let mut n_below = 0;
        for round in 0..20_000 {
            let mut places: Vec<Place> = (0..2 + r.below(9))
                .map(|_| {
                    let low = r.between(0.0, 5.0);
                    // Inside out every other time, as bounds are.
                    let width = r.between(0.0, 0.8) * if round % 2 == 0 { 1.0 } else { -1.0 };
                    place(low, low + width, r.below(4))
                })
                .collect();
            if r.once_in(5) {
                places.push(place(f64::INFINITY, f64::INFINITY, r.below(4)));
            }
            if r.once_in(5) {
                places.push(place(f64::NEG_INFINITY, f64::NEG_INFINITY, r.below(4)));
                places.push(place(f64::NEG_INFINITY, 0.1, r.below(4)));
            }
            let want = by_pairs(&places);
            assert_eq!(least_gap(&mut places), want, "{places:?}");
            n_below += usize::from(want < 0.0);
        }
        assert!((2000..18_000).contains(&n_below), "{n_below}");
    }

    #[test]
    fn a_wide_state_is_held_against_all_it_covers() {
        // The first covers the third, with another of its own action between them.
        let mut places = [place(1.0, 9.0, 0), place(5.5, 5.6, 0), place(6.0, 6.5, 1)];
        assert_eq!(least_gap(&mut places), -3.0);
        let mut one_action = [place(1.0, 1.2, 0), place(3.0, 3.5, 0), place(3.1, 3.2, 0)];
        assert_eq!(least_gap(&mut one_action), f64::INFINITY);
    }
}
