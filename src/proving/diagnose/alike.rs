//! Which suspects no measurement at the pin tells apart, and which are as drawn.

use crate::proving::diagnose::belief::Belief;
use crate::proving::diagnose::inquiry::{Inquiry, Measurement, Ranked, Reading};
use crate::proving::diagnose::suspect::Blame;
use crate::proving::diagnose::weigh::{Row, Seen};
use crate::proving::typed::Quantity;
use crate::sense::ohm_error;

impl Inquiry {
    /// Whether a suspect is the pull, and its likeliest value the drawn one within its tolerance: no
    /// fault then. Drawn values of resistors carry no weight in the first place.
    pub(super) fn is_pull_as_drawn(&self, one: &Ranked) -> bool {
        if self.suspects[one.suspect].blame != Blame::OtherPull {
            return false;
        }
        let (Some((_, best, _)), Some(pull)) = (one.value, self.pin.pull_ohm) else { return false };
        // Two figures are told, so what rounds to the drawn value counts as the drawn value.
        (best / pull.nominal - 1.0).abs() <= pull.tolerance.max(0.01) + 1e-9
    }

    /// Fills in which of the first few read the same.
    pub(super) fn find_alike(
        &self,
        ranked: &mut [Ranked],
        belief: &Belief,
        taken: &[(Measurement, &Reading)],
    ) {
        let n = ranked.iter().take(8).take_while(|one| one.share >= 1e-3).count();
        let best: Vec<Option<usize>> = ranked[..n]
            .iter()
            .map(|one| {
                let weights = &belief.weights[one.suspect];
                (0..weights.len()).max_by(|a, b| weights[*a].total_cmp(&weights[*b]))
            })
            .collect();
        for a in 0..n {
            for b in a + 1..n {
                let (one, other) = (ranked[a].suspect, ranked[b].suspect);
                let (Some(p), Some(q)) = (best[a], best[b]) else { continue };
                let rows = [(one, p), (other, q)].map(|point| self.follow(point, taken, None).1);
                let are_alike = self.are_alike((one, p), (other, q))
                    || !self.are_told_apart([(one, p), (other, q)], &rows, taken);
                if are_alike {
                    ranked[a].alike.push(other);
                    ranked[b].alike.push(one);
                }
            }
        }
    }

    /// Whether the measurements that can still be made tell two points apart, after the readings that
    /// were taken: how far apart what they would show for the one and for the other lies, in standard
    /// deviations of what tolerances and meter leave open, squares added up over all of them, comes
    /// to more than one.
    fn are_told_apart(
        &self,
        points: [(usize, usize); 2],
        rows: &[Row; 2],
        taken: &[(Measurement, &Reading)],
    ) -> bool {
        let is_open = |at: &&Measurement| taken.iter().all(|(done, _)| done != *at);
        let mut sum = 0.0;
        for at in self.measurements.iter().filter(is_open) {
            let seen = |n: usize| rows[n].next(&self.curve(points[n], *at));
            sum += match (seen(0), seen(1)) {
                (Seen::Normal(one, variance), Seen::Normal(other, more)) => {
                    (one - other).powi(2) / variance.min(more)
                }
                (Seen::OverRange, Seen::OverRange) | (Seen::Unknown, Seen::Unknown) => 0.0,
                (Seen::OverRange | Seen::Unknown | Seen::Normal(..), _) => return true,
            };
            if sum > 1.0 {
                return true;
            }
        }
        false
    }

    /// Whether two points read the same; a point of a line may slide by a seventh for it.
    fn are_alike(&self, one: (usize, usize), other: (usize, usize)) -> bool {
        let usual = |(suspect, point): (usize, usize), at: Measurement| {
            Some(self.suspects[suspect].span(point, at.state, at.quantity)?.nominal)
        };
        let fits = |fixed: (usize, usize), (line, x): (usize, f64)| {
            self.measurements.iter().all(|at| {
                let slid = self.suspects[line].usual(x, at.state, at.quantity);
                self.is_same(*at, usual(fixed, *at), slid)
            })
        };
        let slides = |fixed: (usize, usize), (line, point): (usize, usize)| {
            let suspect = &self.suspects[line];
            let value = suspect.value(point).filter(|_| suspect.usual_ohm(1.0, 0).is_some());
            value.is_some_and(|value| {
                (-14..=14).any(|n| fits(fixed, (line, value * (1.0 + f64::from(n) / 100.0))))
            })
        };
        self.measurements.iter().all(|at| self.is_same(*at, usual(one, *at), usual(other, *at)))
            || slides(one, other)
            || slides(other, one)
    }

    /// Whether a meter could show the same for both.
    fn is_same(&self, at: Measurement, a: Option<f64>, b: Option<f64>) -> bool {
        match (a, b) {
            (Some(a), Some(b)) if a == b => true,
            (Some(a), Some(b)) => {
                let room = match at.quantity {
                    Quantity::Volt => 2.0 * self.volt.unit(),
                    Quantity::Ohm | Quantity::Length | Quantity::Sign => {
                        ohm_error(&self.meter, a.min(b))
                    }
                };
                (a - b).abs() <= room
            }
            (None, None) => true,
            (None, Some(_)) | (Some(_), None) => false,
        }
    }
}
