//! Where a state may read and where not, put together once, so that a margin costs a few comparisons.
//!
//! The same rules as `sense::judge`, which says them in words; a test holds the two together.

use crate::model::{BandRole, SensePin};
use crate::units::Range;

/// The bands of one state, by what is asked for in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fence {
    /// Where the usual reading may lie, in order. Between them it is lost.
    stretches: Vec<Stretch>,
}

/// A stretch of the scale that the same edges matter for.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Stretch {
    /// First and last number of it.
    from: f64,
    to: f64,
    /// The edge below, which the least reading must stay above; minus infinity for none.
    under: f64,
    /// The edge above.
    over: f64,
}

impl Fence {
    /// What one state may read. `ends` are those of the scale, which no reading can pass.
    pub fn new(sense: &SensePin, ends: (Option<f64>, Option<f64>), asked: &[String]) -> Self {
        let stretches = match asked {
            [_] => own_stretches(sense, ends, asked),
            _ => free_stretches(sense, asked),
        };
        Self { stretches }
    }

    /// The same on another axis: `of` never falls.
    pub fn along(mut self, of: &dyn Fn(f64) -> f64) -> Self {
        for stretch in &mut self.stretches {
            for edge in [&mut stretch.from, &mut stretch.to, &mut stretch.under, &mut stretch.over]
            {
                *edge = if edge.is_finite() { of(*edge) } else { *edge };
            }
        }
        self
    }

    /// Distance of the worst case to the nearest edge that matters; minus infinity where the usual
    /// reading is not what was asked for.
    pub fn margin(&self, reading: &Range) -> f64 {
        self.best_margin((reading.nominal, reading.nominal), reading.low, reading.high)
    }

    /// The greatest margin of any reading with its usual value in a range, its least value not above
    /// `low` and its greatest not below `high`.
    pub fn best_margin(&self, nominal: (f64, f64), low: f64, high: f64) -> f64 {
        let first = self.stretches.partition_point(|stretch| stretch.to < nominal.0);
        let reached = self.stretches[first..].iter().take_while(|s| s.from <= nominal.1);
        reached.map(|stretch| stretch.margin(low, high)).fold(f64::NEG_INFINITY, f64::max)
    }
}

impl Stretch {
    fn margin(&self, low: f64, high: f64) -> f64 {
        let below = if self.under.is_finite() { low - self.under } else { f64::INFINITY };
        let above = if self.over.is_finite() { self.over - high } else { f64::INFINITY };
        below.min(above)
    }
}

/// The bands of the one action that is asked for, touching ones joined.
fn own_stretches(
    sense: &SensePin,
    ends: (Option<f64>, Option<f64>),
    asked: &[String],
) -> Vec<Stretch> {
    let bands = joined(edges(sense, &|name, _| asked.iter().any(|asked| asked == name)));
    let stretch = |(low, high): (f64, f64)| Stretch {
        from: low,
        to: high,
        under: if ends.0.is_none_or(|end| low > end) { low } else { f64::NEG_INFINITY },
        over: if ends.1.is_none_or(|end| high < end) { high } else { f64::INFINITY },
    };
    bands.into_iter().map(stretch).collect()
}

/// All of the scale but where the usual reading is taken for what must not be: none or several
/// actions are asked for, and a guard is right too.
fn free_stretches(sense: &SensePin, asked: &[String]) -> Vec<Stretch> {
    let is_asked = |name: &str| asked.iter().any(|asked| asked == name);
    let is_forbidden = |name: &str, role| match asked {
        [] => role == BandRole::Action,
        _ => !is_asked(name),
    };
    let forbidden = edges(sense, &is_forbidden);
    // Between two neighbouring edges, and on an edge, the same bands hold a reading.
    let all = edges(sense, &|_, _| true);
    let mut marks: Vec<f64> = all.iter().flat_map(|(low, high)| [*low, *high]).collect();
    marks.retain(|mark| mark.is_finite());
    marks.sort_by(f64::total_cmp);
    marks.dedup();
    let mut places: Vec<(f64, f64)> = Vec::new();
    let mut last = f64::NEG_INFINITY;
    for mark in &marks {
        places.extend([(last.next_up(), mark.next_down()), (*mark, *mark)]);
        last = *mark;
    }
    places.push((last.next_up(), f64::INFINITY));
    let mut stretches: Vec<Stretch> = Vec::new();
    for (from, to) in places.into_iter().filter(|(from, to)| from <= to) {
        let holds = |low: f64, high: f64| low <= from && to <= high;
        // The first band in the pin's order that holds a reading decodes it; one that is asked for
        // is right even where another comes before it.
        let decoded = sense
            .bands
            .iter()
            .filter(|band| holds(band.low, band.high.unwrap_or(f64::INFINITY)))
            .map(|band| (is_forbidden(&band.name, band.role), is_asked(&band.name)));
        let is_right = decoded.clone().any(|(_, is_asked)| is_asked);
        if decoded.clone().next().is_some_and(|(is_forbidden, _)| is_forbidden) && !is_right {
            continue;
        }
        let under = forbidden.iter().map(|band| band.1).filter(|high| *high < from);
        let over = forbidden.iter().map(|band| band.0).filter(|low| *low > to);
        stretches.push(Stretch {
            from,
            to,
            under: under.fold(f64::NEG_INFINITY, f64::max),
            over: over.fold(f64::INFINITY, f64::min),
        });
    }
    stretches
}

/// Edges of the bands that are wanted, in order.
fn edges(sense: &SensePin, wanted: &dyn Fn(&str, BandRole) -> bool) -> Vec<(f64, f64)> {
    let mut list: Vec<(f64, f64)> = sense
        .bands
        .iter()
        .filter(|band| wanted(&band.name, band.role))
        .map(|band| (band.low, band.high.unwrap_or(f64::INFINITY)))
        .collect();
    list.sort_by(|a, b| a.0.total_cmp(&b.0));
    list
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
