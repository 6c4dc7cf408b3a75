//! The axis margins lie on: the pin's scale, volts, counts, or the logarithm of ohms.
//!
//! Every axis is a rising function of the pin's scale or of its volts with all figures usual, so
//! what is least on one is least on all, and a bound on one bounds the others; only the weights of
//! the states against each other change.

use crate::model::{SensePin, Side};
use crate::sense::{Ends, Measure};
use crate::study::values::{Bands, MarginUnit};

/// From readings to the axis on which they are compared.
#[derive(Clone, Copy, Debug)]
pub struct Axis {
    unit: MarginUnit,
    measure: Measure,
    /// 1, or -1 where volts fall when ohms grow and the two are turned into each other.
    sign: f64,
    /// Counts a volt, where they are known.
    count_per_volt: Option<f64>,
}

impl Axis {
    /// The axis asked for, or the one that comes by itself: the pin's scale where its bands stand,
    /// volts where they are taught, ohms where volts are not known.
    ///
    /// # Errors
    /// A sentence: what must be known before margins can be in that unit.
    pub fn new(
        sense: &SensePin,
        measure: Measure,
        (bands, asked): (Bands, Option<MarginUnit>),
    ) -> Result<Self, String> {
        let has_volts = measure.ends().is_some();
        let unit = asked.unwrap_or(match bands {
            Bands::Fixed => MarginUnit::Scale,
            Bands::Free if has_volts => MarginUnit::Volt,
            Bands::Free => MarginUnit::Ratio,
        });
        let count_per_volt = measure.count_per_volt();
        let missing = match (unit, bands) {
            (MarginUnit::Scale, Bands::Fixed) => measure.missing(),
            (MarginUnit::Scale, Bands::Free) => Some("a unit for gaps between states"),
            (MarginUnit::Ratio, Bands::Free) => None,
            (MarginUnit::Ratio, Bands::Fixed) if measure.is_ohm() => None,
            (MarginUnit::Volt | MarginUnit::Count | MarginUnit::Ratio, _) if !has_volts => {
                Some("pull or reference")
            }
            (MarginUnit::Count, _) if count_per_volt.is_none() => {
                Some("the converter or its full scale")
            }
            (MarginUnit::Volt | MarginUnit::Count | MarginUnit::Ratio, Bands::Fixed) => {
                measure.missing()
            }
            (MarginUnit::Volt | MarginUnit::Count, Bands::Free) => None,
        };
        if let Some(missing) = missing {
            return Err(format!(
                "{missing} is not known, so margins cannot be reckoned in {}",
                words(unit)
            ));
        }
        let is_turned = sense.side == Side::Supply
            && match unit {
                MarginUnit::Scale => false,
                MarginUnit::Volt | MarginUnit::Count => bands == Bands::Fixed && measure.is_ohm(),
                MarginUnit::Ratio => bands == Bands::Free && has_volts || !measure.is_ohm(),
            };
        Ok(Self { unit, measure, sign: if is_turned { -1.0 } else { 1.0 }, count_per_volt })
    }

    /// What margins are in.
    pub fn unit(&self) -> MarginUnit {
        self.unit
    }

    /// Where a number of the pin's scale lies. It never falls when the number grows.
    pub fn of_scaled(&self, number: f64) -> f64 {
        if self.unit == MarginUnit::Scale || number == f64::NEG_INFINITY {
            return number;
        }
        // No resistance lies below zero; the divider's formula would turn it round.
        if self.measure.is_ohm() && number < 0.0 {
            return f64::NEG_INFINITY;
        }
        let volt = || self.measure.usual_volt(number).unwrap_or(f64::NAN);
        match self.unit {
            MarginUnit::Scale => number,
            MarginUnit::Volt => self.sign * volt(),
            MarginUnit::Count => self.sign * volt() * self.count_per_volt.unwrap_or(f64::NAN),
            MarginUnit::Ratio if self.measure.is_ohm() => number.ln(),
            MarginUnit::Ratio => self.of_volt(volt()),
        }
    }

    /// Least and greatest of a state with free bands, from its ohms as fractions; `apart` where the
    /// two ends belong to different choices.
    pub fn of_ohms(
        &self,
        ends: Option<&Ends>,
        (low, high): ([f64; 2], [f64; 2]),
        is_apart: bool,
    ) -> (f64, f64) {
        let Some(ends) = ends else {
            return ((low[0] / low[1]).ln(), (high[0] / high[1]).ln());
        };
        let (low, high) =
            if is_apart { ends.volts_apart(low, high) } else { ends.volts(low, high) };
        match (self.unit, self.count_per_volt) {
            (MarginUnit::Ratio, _) => (self.of_volt(low), self.of_volt(high)),
            (MarginUnit::Count, Some(factor)) => (low * factor, high * factor),
            (MarginUnit::Count, None) | (MarginUnit::Volt | MarginUnit::Scale, _) => (low, high),
        }
    }

    /// The logarithm of the ohms that usually give these volts, turned so that it rises with them.
    fn of_volt(&self, volt: f64) -> f64 {
        let ohm = self.measure.ohm_of_volt(volt).unwrap_or(f64::NAN).max(0.0);
        self.sign * ohm.ln()
    }
}

/// What a unit is called in a sentence.
fn words(unit: MarginUnit) -> &'static str {
    match unit {
        MarginUnit::Scale => "the scale of the bands",
        MarginUnit::Volt => "volts",
        MarginUnit::Count => "counts",
        MarginUnit::Ratio => "percent of the ohms",
    }
}
