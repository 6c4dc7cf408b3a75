//! Where a state may read and where not, put together once, so that a margin costs a few comparisons.
//!
//! The same rules as `sense::judge`, which says them in words; a test holds the two together.

use crate::model::{BandRole, SensePin};
use crate::units::Range;

/// The bands of one state, by what is asked for in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fence {
    /// The bands of the one action that is asked for, touching ones joined; `None` where none or
    /// several are asked for and a guard is right too.
    own: Option<Vec<(f64, f64)>>,
    /// Bands that are right, where several actions are asked for.
    allowed: Vec<(f64, f64)>,
    /// Bands the reading must keep out of.
    forbidden: Vec<(f64, f64)>,
    /// All bands in the pin's order, of which the first that holds a reading decodes it, and whether
    /// it must not.
    in_order: Vec<(f64, f64, bool)>,
    /// Ends of the scale, which no reading can pass.
    ends: (Option<f64>, Option<f64>),
}

impl Fence {
    /// What one state may read.
    pub fn new(sense: &SensePin, ends: (Option<f64>, Option<f64>), asked: &[String]) -> Self {
        let edges = |keep: &dyn Fn(&str, BandRole) -> bool| -> Vec<(f64, f64)> {
            let mut list: Vec<(f64, f64)> = sense
                .bands
                .iter()
                .filter(|band| keep(&band.name, band.role))
                .map(|band| (band.low, band.high.unwrap_or(f64::INFINITY)))
                .collect();
            list.sort_by(|a, b| a.0.total_cmp(&b.0));
            list
        };
        let is_asked = |name: &str| asked.iter().any(|asked| asked == name);
        let own = (asked.len() == 1).then(|| joined(edges(&|name, _| is_asked(name))));
        let allowed = edges(&|name, _| is_asked(name));
        let forbidden = match asked {
            [] => edges(&|_, role| role == BandRole::Action),
            _ => edges(&|name, _| !is_asked(name)),
        };
        let in_order = sense
            .bands
            .iter()
            .map(|band| {
                let is_forbidden = match asked {
                    [] => band.role == BandRole::Action,
                    _ => !is_asked(&band.name),
                };
                (band.low, band.high.unwrap_or(f64::INFINITY), is_forbidden)
            })
            .collect();
        Self { own, allowed, forbidden, in_order, ends }
    }

    /// Distance of the worst case to the nearest edge that matters; minus infinity where the usual
    /// reading is not what was asked for.
    pub fn margin(&self, reading: &Range) -> f64 {
        let nominal = reading.nominal;
        let holds = |(low, high): &&(f64, f64)| *low <= nominal && nominal <= *high;
        if let Some(own) = &self.own {
            let Some((low, high)) = own.iter().find(holds) else { return f64::NEG_INFINITY };
            let below = self.ends.0.is_none_or(|end| *low > end) && reading.low.is_finite();
            let above = high.is_finite() && self.ends.1.is_none_or(|end| *high < end);
            let below = if below { reading.low - low } else { f64::INFINITY };
            let above = if above { high - reading.high } else { f64::INFINITY };
            return below.min(above);
        }
        let decoded =
            self.in_order.iter().find(|(low, high, _)| *low <= nominal && nominal <= *high);
        let is_clash = decoded.is_some_and(|(.., is_forbidden)| *is_forbidden)
            && !self.allowed.iter().any(|band| holds(&band));
        if is_clash {
            return f64::NEG_INFINITY;
        }
        let under = self.forbidden.iter().map(|band| band.1).filter(|high| *high < nominal);
        let over = self.forbidden.iter().map(|band| band.0).filter(|low| *low > nominal);
        let under = under.fold(f64::NEG_INFINITY, f64::max);
        let over = over.fold(f64::INFINITY, f64::min);
        let below = if under.is_finite() && reading.low.is_finite() {
            reading.low - under
        } else {
            f64::INFINITY
        };
        let above = if over.is_finite() { over - reading.high } else { f64::INFINITY };
        below.min(above)
    }
}

/// Bands that touch or overlap as one; they come in order.
fn joined(list: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    let mut all: Vec<(f64, f64)> = Vec::new();
    for (low, high) in list {
        match all.last_mut() {
            Some(last) if low <= last.1 => last.1 = last.1.max(high),
            Some(_) | None => all.push((low, high)),
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Band, Harm, Scale};
    use crate::random::Random;
    use crate::sense::{Verdict, decode, judge};
    use crate::testing::{Sketch, at, bare_pin};

    #[test]
    fn margins_are_those_of_the_judge() {
        let mut r = Random::new(23);
        let mut sketch = Sketch::new();
        let controller = sketch.controller(2);
        let mut seen = [0; 2];
        for _ in 0..4000 {
            let mut pin = bare_pin(at(controller, 0), at(controller, 1));
            pin.scale = Scale::Volt;
            let names = ["A", "B", "C"];
            pin.bands = (0..2 + r.below(5))
                .map(|_| {
                    let low = r.between(0.0, 4.5);
                    Band {
                        name: r.pick(&names).into(),
                        role: r.pick(&[BandRole::Action, BandRole::Idle, BandRole::Open]),
                        low,
                        high: if r.once_in(5) { None } else { Some(low + r.between(0.0, 1.0)) },
                        harm: Harm::Nuisance,
                    }
                })
                .collect();
            let n_asked = r.below(3);
            let asked: Vec<String> = names[..n_asked].iter().map(|name| (*name).into()).collect();
            let nominal = r.between(0.0, 5.0);
            let reading = Range {
                low: nominal - r.between(0.0, 0.4),
                nominal,
                high: nominal + r.between(0.0, 0.4),
            };
            let ends = (Some(0.0), r.maybe(|_| 5.0));
            let got = Fence::new(&pin, ends, &asked).margin(&reading);
            let band = decode(&pin, nominal, &asked);
            let is_asked = band.is_some_and(|idx| asked.contains(&pin.bands[idx].name));
            let outcome = judge(&pin, ends, &reading, &asked);
            let is_lost = asked.len() == 1 && !is_asked || outcome.verdict == Some(Verdict::Clash);
            let want = if is_lost {
                f64::NEG_INFINITY
            } else {
                outcome.margin.and_then(|margin| margin.value()).unwrap_or(f64::INFINITY)
            };
            assert!(got == want || (got - want).abs() < 1e-12, "{got}, {want}: {outcome:?}");
            seen[usize::from(is_lost)] += 1;
        }
        assert!(seen[0] > 1000 && seen[1] > 500, "{seen:?}");
    }
}
