//! Suspects: what may be wrong, and what a meter would then find, state by state.
//!
//! A fault of the fault engine is one point. Dirt is a line of points: one resistance of unknown
//! ohms. What a network reads is a ratio of two straight lines in any one of its resistances, so
//! three circuits (nothing, some and infinitely much of it) give the whole line.

use crate::circuit::Source;
use crate::model::PartId;
use crate::proving::diagnose::circuits::{Spans, Usual};
use crate::proving::typed::Quantity;
use crate::units::Range;

impl Blame {
    /// Faults of the survey it stands for, by row.
    pub fn rows(&self) -> &[usize] {
        match self {
            Self::Faults(rows) | Self::OtherValue { rows, .. } | Self::Leak { rows, .. } => rows,
            Self::Nothing { .. } | Self::MoreOhms { .. } | Self::Lifted | Self::OtherPull => &[],
        }
    }
}

/// What may be wrong.
#[derive(Clone, Debug, PartialEq)]
pub enum Blame {
    /// Nothing: the circuit is as drawn.
    Nothing {
        /// Faults that change no reading at this pin, by row of the survey.
        unseen: Vec<usize>,
    },
    /// Faults and mistakes that read alike, by row of the survey.
    Faults(Vec<usize>),
    /// More ohms in one of these, all of which would read alike.
    MoreOhms {
        /// Where.
        at: Vec<Source>,
        /// Whether everything goes through it.
        is_common: bool,
    },
    /// A resistor of another value.
    OtherValue {
        /// The resistor.
        part: PartId,
        /// Faults of the survey that are cases of it: drifted, a decade off.
        rows: Vec<usize>,
    },
    /// A leak between two nets.
    Leak {
        /// Between what, in words; empty for the pin and its reference.
        between: Vec<String>,
        /// Faults of the survey that are cases of it.
        rows: Vec<usize>,
        /// Whether it lies right across the pin, where a second module would hang too.
        is_at_pin: bool,
    },
    /// The return is lifted.
    Lifted,
    /// The pull is of another value.
    OtherPull,
}

/// How the readings of a suspect hang together.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// One point.
    Point(Spans),
    /// Ohms `x` of one resistance: spans at two values and at infinitely many.
    Line {
        /// At the lesser value.
        none: Spans,
        /// At the greater value.
        some: Spans,
        /// At infinitely much.
        all: Spans,
        /// Where `none` and `some` stand, in ohms.
        at_ohm: (f64, f64),
        /// The values to look at, rising.
        grid: Vec<f64>,
    },
    /// Spans worked out one by one.
    List {
        /// The values.
        grid: Vec<f64>,
        /// Spans at each.
        spans: Vec<Spans>,
    },
}

/// Something that may be wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// What.
    pub blame: Blame,
    /// How many causes it stands for: before the first reading all causes count alike.
    pub n_causes: usize,
    /// Values of those causes that have one: drifted, a decade off, wet.
    pub cases: Vec<f64>,
    /// Least and greatest value that is as drawn, where one is drawn: no fault.
    pub drawn: Option<(f64, f64)>,
    /// What would be read.
    pub shape: Shape,
}

/// A reading as a point of a suspect foretells it, all else usual.
#[derive(Clone, Debug, PartialEq)]
pub struct Foretold {
    /// Ohms or volts.
    pub value: f64,
    /// How far it moves if what all readings share moves by a standard deviation.
    pub by: Vec<f64>,
    /// Standard deviation of what no other reading shares, where nobody knows what they share.
    pub alone: f64,
}

/// A case stands for values up to so much off by ratio.
const CASE_ROOM: f64 = 1.05;

impl Suspect {
    /// How many points it has.
    pub fn n_points(&self) -> usize {
        match &self.shape {
            Shape::Point(_) => 1,
            Shape::Line { grid, .. } | Shape::List { grid, .. } => grid.len(),
        }
    }

    /// Ohms or volts of a point; `None` where there is nothing to measure off.
    pub fn value(&self, point: usize) -> Option<f64> {
        match &self.shape {
            Shape::Point(_) => None,
            Shape::Line { grid, .. } | Shape::List { grid, .. } => grid.get(point).copied(),
        }
    }

    /// How its causes share out among its points: each case about its value, the rest evenly, every
    /// decade of a line alike. Nothing where the value is as drawn.
    pub fn causes(&self) -> Vec<f64> {
        let n_points = self.n_points();
        let is_drawn =
            |value: f64| self.drawn.is_some_and(|(low, high)| low <= value && value <= high);
        let grid = match &self.shape {
            Shape::Point(_) => return vec![self.n_causes as f64],
            Shape::Line { grid, .. } | Shape::List { grid, .. } => grid,
        };
        let width = |point: usize| match &self.shape {
            _ if is_drawn(grid[point]) => 0.0,
            Shape::Line { .. } => {
                let (from, to) = edges(grid, point);
                (to / from).ln()
            }
            Shape::Point(_) | Shape::List { .. } => 1.0,
        };
        let widths: Vec<f64> = (0..n_points).map(width).collect();
        let all: f64 = widths.iter().sum();
        let n_rest = self.n_causes.saturating_sub(self.cases.len()) as f64;
        let mut causes: Vec<f64> = widths.iter().map(|width| n_rest * width / all).collect();
        for case in &self.cases {
            let off = |point: usize| (grid[point] / case).ln().abs();
            let nearest = (0..n_points).map(off).fold(f64::INFINITY, f64::min);
            let room = CASE_ROOM.ln().max(nearest) + 1e-9;
            let near: Vec<usize> =
                (0..n_points).filter(|n| off(*n) <= room && widths[*n] > 0.0).collect();
            let total: f64 = near.iter().map(|point| widths[*point]).sum();
            for point in near {
                causes[point] += widths[point] / total;
            }
        }
        causes
    }

    /// Ohms of a state with `x` ohms of it, all else usual; `None` where it is no line.
    pub fn usual_ohm(&self, x: f64, state: usize) -> Option<f64> {
        self.usual(x, state, Quantity::Ohm)
    }

    /// The same in ohms or volts.
    pub fn usual(&self, x: f64, state: usize, quantity: Quantity) -> Option<f64> {
        self.line(state, quantity, x, &|range| range.nominal)
    }

    fn line(
        &self,
        state: usize,
        quantity: Quantity,
        x: f64,
        pick: &dyn Fn(Range) -> f64,
    ) -> Option<f64> {
        let Shape::Line { none, some, all, at_ohm, .. } = &self.shape else { return None };
        let at = |spans: &Spans| of(spans, state, quantity).map(pick);
        Some(ratio((at(none)?, at(some)?, at(all)?), *at_ohm, x))
    }

    /// What a meter without error would find.
    pub fn span(&self, point: usize, state: usize, quantity: Quantity) -> Option<Range> {
        match &self.shape {
            Shape::Point(spans) => of(spans, state, quantity),
            Shape::List { spans, .. } => of(spans.get(point)?, state, quantity),
            Shape::Line { grid, .. } => {
                let (from, to) = edges(grid, point);
                let at = |pick: &dyn Fn(Range) -> f64, x| self.line(state, quantity, x, pick);
                // A reading rises or falls with x all the way, so the ends of the stretch are its ends.
                let lows = [at(&|r| r.low, from)?, at(&|r| r.low, to)?];
                let highs = [at(&|r| r.high, from)?, at(&|r| r.high, to)?];
                let nominal = at(&|r| r.nominal, *grid.get(point)?)?;
                Some(Range {
                    low: lows[0].min(lows[1]).min(nominal),
                    nominal,
                    high: highs[0].max(highs[1]).max(nominal),
                })
            }
        }
    }

    /// What a point foretells of a reading; `None` where nobody can say.
    pub fn foretold(&self, point: usize, state: usize, quantity: Quantity) -> Option<Foretold> {
        let moved = |value: f64, by: f64| if by.is_finite() { by - value } else { 0.0 };
        let of_spans = |spans: &Spans| {
            let range = of(spans, state, quantity)?;
            let value = range.nominal;
            // Ends are taken for two standard deviations.
            let alone = if spans.moved.is_empty() { (range.high - range.low) / 4.0 } else { 0.0 };
            let by = spans.moved.iter().map(|usual| moved(value, of_usual(usual, state, quantity)));
            Some(Foretold { value, by: by.collect(), alone })
        };
        match &self.shape {
            Shape::Point(spans) => of_spans(spans),
            Shape::List { spans, .. } => of_spans(spans.get(point)?),
            Shape::Line { none, some, all, at_ohm, grid } => {
                let x = *grid.get(point)?;
                let value = self.usual(x, state, quantity)?;
                let by = none.moved.iter().zip(&some.moved).zip(&all.moved);
                let by = by.map(|((none, some), all)| {
                    let at = |usual: &Usual| of_usual(usual, state, quantity);
                    moved(value, ratio((at(none), at(some), at(all)), *at_ohm, x))
                });
                let mut by: Vec<f64> = by.collect();
                let (from, to) = edges(grid, point);
                let ends = [self.usual(from, state, quantity)?, self.usual(to, state, quantity)?];
                // The stretch a point stands for is shared by all readings as well; every value of
                // it is as likely.
                by.push(moved(0.0, (ends[1] - ends[0]) / 12f64.sqrt()));
                Some(Foretold { value, by, alone: 0.0 })
            }
        }
    }
}

fn of(spans: &Spans, state: usize, quantity: Quantity) -> Option<Range> {
    match quantity {
        Quantity::Ohm => *spans.ohm.get(state)?,
        Quantity::Volt => *spans.volt.get(state)?,
        Quantity::Length | Quantity::Sign => None,
    }
}

fn of_usual(usual: &Usual, state: usize, quantity: Quantity) -> f64 {
    let values = match quantity {
        Quantity::Ohm => &usual.ohm,
        Quantity::Volt | Quantity::Length | Quantity::Sign => &usual.volt,
    };
    values.get(state).copied().unwrap_or(f64::NAN)
}

/// The stretch a point of a rising grid stands for: half way, by ratio, to its neighbours.
fn edges(grid: &[f64], point: usize) -> (f64, f64) {
    let here = grid[point];
    let below = point.checked_sub(1).map(|n| grid[n]);
    let above = grid.get(point + 1).copied();
    let below = below.or(above.map(|above| here * here / above)).unwrap_or(here);
    let above = above.unwrap_or(here * here / below);
    ((below * here).sqrt(), (here * above).sqrt())
}

/// What a network reads with `x` ohms in one of its resistances, from what it reads with two values
/// and with infinitely many: (a + c k x) / (1 + k x) with a and k from the two.
pub fn ratio((one, other, all): (f64, f64, f64), at: (f64, f64), x: f64) -> f64 {
    if one.is_infinite() || other.is_infinite() {
        return f64::INFINITY;
    }
    if all.is_infinite() {
        return one + (other - one) * (x - at.0) / (at.1 - at.0);
    }
    if one == other || other == all {
        return one;
    }
    let k = (other - one) / (at.0 * (one - all) - at.1 * (other - all));
    let none = one + k * at.0 * (one - all);
    (none + all * k * x) / (1.0 + k * x)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: x beside 300 Ω, in series with 100 Ω.
    #[test]
    fn three_circuits_give_the_whole_line() {
        let read = |x: f64| 100.0 + 300.0 * x / (300.0 + x);
        for x in [1.0, 47.0, 300.0, 1e5] {
            let got = ratio((100.0, read(150.0), 400.0), (0.0, 150.0), x);
            assert!((got - read(x)).abs() < 1e-9, "{x}: {got}");
        }
        for x in [1.0, 47.0, 300.0, 1e5] {
            let got = ratio((read(10.0), read(150.0), 400.0), (10.0, 150.0), x);
            assert!((got - read(x)).abs() < 1e-9, "{x}: {got}");
        }
        let in_series = ratio((100.0, 250.0, f64::INFINITY), (0.0, 150.0), 47.0);
        assert!((in_series - 147.0).abs() < 1e-9);
        assert_eq!(
            ratio((f64::INFINITY, f64::INFINITY, f64::INFINITY), (0.0, 1.0), 5.0),
            f64::INFINITY
        );
        assert_eq!(ratio((7.0, 7.0, 7.0), (0.0, 1.0), 5.0), 7.0);
    }
}
