//! Readings where the volts come first and decide the ohms: what resistance a controller takes its
//! volts for.

use crate::model::{FullScale, Scale};
use crate::sense::convert::{Measure, NetworkOhm, Reading};
use crate::units::Range;

impl Measure {
    /// Whether pull and reference are known.
    pub(super) fn is_known(&self) -> bool {
        self.pull.is_some() && self.reference.is_some()
    }

    /// Volts by which the network's reference may be off, either way.
    pub(super) fn offset_volt(&self) -> f64 {
        self.return_offset_volt + self.supply_offset_volt
    }

    /// Ohms of the worst leak to ground.
    pub(super) fn leak_ohm(&self) -> Option<f64> {
        self.leak_ohm
    }

    /// Least and greatest volts the converter takes true volts for, when the reference stands at
    /// `reference_volt`: its full scale may follow the reference, or be off by itself.
    pub(super) fn followed(&self, volt: f64, reference_volt: f64) -> (f64, f64) {
        match (self.full_scale, self.reference) {
            (Some(FullScale::Ratiometric { .. }), Some(reference)) if reference_volt > 0.0 => {
                let seen = volt * reference.nominal / reference_volt;
                (seen, seen)
            }
            (Some(FullScale::Fixed(full)), _) => {
                let tolerance = full.tolerance.clamp(0.0, 0.99);
                (volt / (1.0 + tolerance), volt / (1.0 - tolerance))
            }
            (Some(FullScale::Ratiometric { .. }) | None, _) => (volt, volt),
        }
    }

    /// The same where the volts decide the ohms too: what resistance the controller takes its volts
    /// for with its usual pull and reference, and what a meter shows with supplies off.
    pub(super) fn reading_of_volts(&self, bench: (f64, f64), volt: Option<Range>) -> Reading {
        let open = Range::exact(f64::INFINITY);
        let seen = volt.map(|volt| {
            let ohm = |volt| self.apparent_ohm(volt).unwrap_or(f64::INFINITY);
            let (a, b) = (ohm(volt.low), ohm(volt.high));
            Range { low: a.min(b), nominal: ohm(volt.nominal), high: a.max(b) }
        });
        let mut reading = self.complete(&NetworkOhm { worst: seen.unwrap_or(open), bench }, volt);
        // The leak is in the volts already.
        reading.ohm = seen.unwrap_or(open);
        if self.scale == Scale::Ohm {
            reading.scaled = seen;
        }
        reading
    }

    /// The usual reading in the pin's scale where volts decide the ohms too.
    pub fn scaled_of_volts(&self, volt: Option<f64>) -> Option<f64> {
        self.scaled(self.apparent_ohm(volt?)?, volt)
    }

    /// Ohms that pull and reference at their usual values turn into these volts; infinite where
    /// the pin stands at its pull.
    pub fn apparent_ohm(&self, volt: f64) -> Option<f64> {
        Some(self.ohm_of_volt(volt)?.max(0.0))
    }
}
