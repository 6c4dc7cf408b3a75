//! Suspects: what may be wrong, and what a meter would then find, state by state.
//!
//! A fault of the fault engine is one point. Dirt is a line of points: one resistance of unknown
//! ohms. What a network reads is a ratio of two straight lines in any one of its resistances, so
//! three circuits (nothing, some and infinitely much of it) give the whole line.

use crate::circuit::Source;
use crate::model::PartId;
use crate::proving::diagnose::circuits::Spans;
use crate::proving::divider::Divider;
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
    /// Ohms `x` of one resistance: spans at 0, at `at_ohm` and at infinitely many.
    Line {
        /// At nothing.
        none: Spans,
        /// At `at_ohm`.
        some: Spans,
        /// At infinitely much.
        all: Spans,
        /// Where `some` stands.
        at_ohm: f64,
        /// The values to look at, rising.
        grid: Vec<f64>,
        /// Volts follow from ohms by this; `None` where they do not.
        divider: Option<Box<Divider>>,
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
    /// What would be read.
    pub shape: Shape,
}

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

    /// Ohms of a state with `x` ohms of it, all else usual; `None` where it is no line.
    pub fn usual_ohm(&self, x: f64, state: usize) -> Option<f64> {
        let Shape::Line { none, some, all, at_ohm, .. } = &self.shape else { return None };
        let at = |spans: &Spans| Some(of(spans, state, Quantity::Ohm)?.nominal);
        Some(ratio((at(none)?, at(some)?, at(all)?), *at_ohm, x))
    }

    /// The same in ohms or volts, for a line and a quantity that hangs on it.
    pub fn usual(&self, x: f64, state: usize, quantity: Quantity) -> Option<f64> {
        let ohm = self.usual_ohm(x, state)?;
        match (quantity, &self.shape) {
            (Quantity::Ohm, _) => Some(ohm),
            (Quantity::Volt, Shape::Line { divider: Some(divider), .. }) => {
                Some(divider.volts(Range::exact(ohm)).nominal)
            }
            (Quantity::Volt | Quantity::Length | Quantity::Sign, _) => None,
        }
    }

    /// What a meter without error would find.
    pub fn span(&self, point: usize, state: usize, quantity: Quantity) -> Option<Range> {
        match &self.shape {
            Shape::Point(spans) => of(spans, state, quantity),
            Shape::List { spans, .. } => of(spans.get(point)?, state, quantity),
            Shape::Line { none, some, all, at_ohm, grid, divider } => {
                let (from, to) = edges(grid, point);
                let ohm = |pick: &dyn Fn(&Range) -> f64, x: f64| {
                    let at = |spans: &Spans| of(spans, state, Quantity::Ohm).map(|r| pick(&r));
                    Some(ratio((at(none)?, at(some)?, at(all)?), *at_ohm, x))
                };
                // A reading rises or falls with x all the way, so the ends of the stretch are its ends.
                let lows = [ohm(&|r| r.low, from)?, ohm(&|r| r.low, to)?];
                let highs = [ohm(&|r| r.high, from)?, ohm(&|r| r.high, to)?];
                let nominal = ohm(&|r| r.nominal, *grid.get(point)?)?;
                let range = Range {
                    low: lows[0].min(lows[1]).min(nominal),
                    nominal,
                    high: highs[0].max(highs[1]).max(nominal),
                };
                match quantity {
                    Quantity::Ohm => Some(range),
                    Quantity::Volt => divider.as_ref().map(|divider| divider.volts(range)),
                    Quantity::Length | Quantity::Sign => None,
                }
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

/// The stretch a point of a rising grid stands for: half way, by ratio, to its neighbours.
fn edges(grid: &[f64], point: usize) -> (f64, f64) {
    let step = match grid {
        [first, second, ..] => (second / first).sqrt(),
        [_] | [] => 1.0,
    };
    let here = grid.get(point).copied().unwrap_or(0.0);
    (here / step, here * step)
}

/// What a network reads with `x` ohms in one of its resistances, from what it reads with 0, with
/// `at` and with infinitely many: (a + c k x) / (1 + k x) with k from the middle one.
pub fn ratio((none, some, all): (f64, f64, f64), at: f64, x: f64) -> f64 {
    if none.is_infinite() || some.is_infinite() {
        return f64::INFINITY;
    }
    if all.is_infinite() {
        return none + (some - none) * (x / at);
    }
    if none == some || some == all {
        return none;
    }
    let k = (some - none) / ((all - some) * at);
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
            let got = ratio((100.0, read(150.0), 400.0), 150.0, x);
            assert!((got - read(x)).abs() < 1e-9, "{x}: {got}");
        }
        let in_series = ratio((100.0, 250.0, f64::INFINITY), 150.0, 47.0);
        assert!((in_series - 147.0).abs() < 1e-9);
        assert_eq!(ratio((f64::INFINITY, f64::INFINITY, f64::INFINITY), 1.0, 5.0), f64::INFINITY);
        assert_eq!(ratio((7.0, 7.0, 7.0), 1.0, 5.0), 7.0);
    }
}
