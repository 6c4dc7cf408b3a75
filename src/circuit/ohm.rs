//! Resistance of one edge at every corner: all low, usual or high, in the field and on the bench.

use crate::model::Resistor;
use crate::units::Range;

/// One of the points at which a network is solved: all resistances low, usual or high at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Corner {
    /// Everything at its least, temperature counted.
    Low,
    /// Everything at its usual value.
    Nominal,
    /// Everything at its greatest, temperature counted.
    High,
    /// Everything at its least at room temperature.
    BenchLow,
    /// Everything at its greatest at room temperature.
    BenchHigh,
}

impl Corner {
    /// All corners, in the order results are kept.
    pub const ALL: [Self; 5] =
        [Self::Low, Self::Nominal, Self::High, Self::BenchLow, Self::BenchHigh];
}

/// Resistance of one edge in ohms, at every corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ohm {
    /// Over all causes.
    pub worst: Range,
    /// Least and greatest at room temperature.
    pub bench: (f64, f64),
}

impl Ohm {
    /// The same spread on the bench as in the field.
    pub fn same(range: Range) -> Self {
        Self { worst: range, bench: (range.low, range.high) }
    }

    /// A resistor: tolerance everywhere, temperature in the field only.
    pub fn resistor(resistor: &Resistor, temperature_span_k: f64) -> Self {
        let drift = resistor.tempco_ppm_per_k * 1e-6 * temperature_span_k;
        let cold = Range::plus_minus(resistor.ohm, resistor.tolerance.min(1.0));
        let worst = Range::plus_minus(resistor.ohm, (resistor.tolerance + drift).min(1.0));
        Self { worst, bench: (cold.low, cold.high) }
    }

    /// A share of this resistance (for wires with a splice along the way).
    pub(super) fn share(&self, fraction: f64) -> Self {
        let part = |ohm: f64| ohm * fraction;
        Self {
            worst: Range {
                low: part(self.worst.low),
                nominal: part(self.worst.nominal),
                high: part(self.worst.high),
            },
            bench: (part(self.bench.0), part(self.bench.1)),
        }
    }

    /// Ohms at one corner.
    pub fn at(&self, corner: Corner) -> f64 {
        match corner {
            Corner::Low => self.worst.low,
            Corner::Nominal => self.worst.nominal,
            Corner::High => self.worst.high,
            Corner::BenchLow => self.bench.0,
            Corner::BenchHigh => self.bench.1,
        }
    }

    /// Whether every member is a finite number that is not negative.
    pub(super) fn is_sane(&self) -> bool {
        Corner::ALL.iter().all(|corner| self.at(*corner) >= 0.0 && self.at(*corner).is_finite())
    }
}
