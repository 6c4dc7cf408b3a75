//! What was recorded, in the scale of the pin's bands.

use crate::model::{Project, Scale, SensePin};
use crate::sense::Measure;

/// Turns recorded numbers into the pin's scale.
pub struct Scaler {
    measure: Measure,
    from: Scale,
    to: Scale,
}

impl Scaler {
    /// For a log in this scale.
    ///
    /// # Errors
    /// One sentence: which figure of the controller is missing, and what to do about it.
    pub fn new(project: &Project, pin: &SensePin, from: Scale) -> Result<Self, String> {
        let scaler = Self { measure: Measure::new(project, pin), from, to: pin.scale };
        // Any value will do to see whether all figures are there.
        if scaler.try_scaled(1.0).is_none() {
            let figures = match (from, pin.scale) {
                (Scale::Ohm, Scale::Volt) | (Scale::Volt, Scale::Ohm) => "pull and reference",
                (Scale::Ohm, _) | (_, Scale::Ohm) => "pull, reference, full scale and converter",
                (_, _) => "full scale and converter",
            };
            return Err(format!(
                "the log is in {} and the bands of {} in {}: type {figures} of the controller at the sense pin, or record {}",
                scale_noun(from),
                pin.name,
                scale_noun(pin.scale),
                scale_noun(pin.scale),
            ));
        }
        Ok(scaler)
    }

    /// A recorded number in the pin's scale; not-a-number where it can mean nothing there.
    pub fn scaled(&self, value: f64) -> f64 {
        self.try_scaled(value).unwrap_or(f64::NAN)
    }

    fn try_scaled(&self, value: f64) -> Option<f64> {
        if self.from == self.to {
            return Some(value);
        }
        let volt = self.measure.usual_volt_in(self.from, value)?;
        match self.to {
            Scale::Ohm => self.measure.ohm_of_volt(volt),
            Scale::Volt | Scale::Count | Scale::Percent => self.measure.scaled(0.0, Some(volt)),
        }
    }
}

/// `ohms`, `volts`, `counts`, `percent`.
pub fn scale_noun(scale: Scale) -> &'static str {
    match scale {
        Scale::Ohm => "ohms",
        Scale::Volt => "volts",
        Scale::Count => "counts",
        Scale::Percent => "percent",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    /// By hand on the sprayer: pull 1 kΩ to 5 V, so 1 kΩ reads 2.5 V, 50 %, and 511.5 of 1023 counts.
    #[test]
    fn every_scale_becomes_every_other() {
        let project = samples::open("sprayer").unwrap();
        let mut pin = project.sense_pins.iter().next().unwrap().1.clone();
        let same = [
            (Scale::Ohm, 1000.0),
            (Scale::Volt, 2.5),
            (Scale::Count, 511.5),
            (Scale::Percent, 50.0),
        ];
        for (from, value) in same {
            for (to, want) in same {
                pin.scale = to;
                let got = Scaler::new(&project, &pin, from).unwrap().scaled(value);
                // Counts that are reckoned from volts are whole.
                let slack = if to == Scale::Count { 0.5 } else { 1e-9 };
                assert!((got - want).abs() <= slack, "{from:?} to {to:?}: {got}");
            }
        }
        pin.scale = Scale::Volt;
        assert_eq!(Scaler::new(&project, &pin, Scale::Ohm).unwrap().scaled(f64::INFINITY), 5.0);
        pin.pull_ohm = None;
        let error = Scaler::new(&project, &pin, Scale::Ohm).err().unwrap();
        assert!(error.contains("pull and reference"), "{error}");
        assert!(Scaler::new(&project, &pin, Scale::Volt).is_ok());
    }
}
