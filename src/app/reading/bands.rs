//! Bands of a pin in the unit shown, by the divider's nominal figures.

use crate::app::reading::scale::reference_volt;
use crate::model::{BandRole, Project, Scale, SensePin, Side};

/// One band in the unit shown.
#[derive(Clone, Debug, PartialEq)]
pub struct BandSpan {
    /// Index among the pin's bands.
    pub band: usize,
    /// Its name.
    pub name: String,
    /// What it means.
    pub role: BandRole,
    /// Lower edge.
    pub low: f64,
    /// Upper edge, infinite where it has none.
    pub high: f64,
}

impl BandSpan {
    /// Whether a reading lies in it.
    pub fn holds(&self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }
}

/// All bands of a pin in a unit, lowest first; `None` where they cannot be told in it.
pub fn band_spans(project: &Project, pin: &SensePin, scale: Scale) -> Option<Vec<BandSpan>> {
    let convert = Divider::new(project, pin);
    let mut spans = Vec::with_capacity(pin.bands.len());
    for (band, row) in pin.bands.iter().enumerate() {
        let top = row.high.unwrap_or(f64::INFINITY);
        let (a, b) = if scale == pin.scale {
            (row.low, top)
        } else {
            (convert.to(row.low, pin.scale, scale)?, convert.to(top, pin.scale, scale)?)
        };
        // On the supply side more ohms make fewer volts, so the edges change places.
        let (low, high) = if a <= b { (a, b) } else { (b, a) };
        spans.push(BandSpan { band, name: row.name.clone(), role: row.role, low, high });
    }
    spans.sort_by(|a, b| a.low.total_cmp(&b.low).then(a.band.cmp(&b.band)));
    Some(spans)
}

/// Nominal figures of the pin's divider and converter, as far as they are known.
struct Divider {
    side: Side,
    pull_ohm: Option<f64>,
    reference_volt: Option<f64>,
    full_volt: Option<f64>,
    max_count: Option<f64>,
}

impl Divider {
    fn new(project: &Project, pin: &SensePin) -> Self {
        let usable = |value: &f64| value.is_finite() && *value > 0.0;
        Self {
            side: pin.side,
            pull_ohm: pin.pull_ohm.map(|pull| pull.nominal).filter(usable),
            reference_volt: reference_volt(project, pin).filter(usable),
            full_volt: pin.full_scale.map(|full| full.volt()).filter(usable),
            max_count: pin.converter.map(|converter| f64::from(converter.max_count)).filter(usable),
        }
    }

    /// From one unit to another by way of volts. A value without end in volts, counts or percent
    /// stands for the most the pin can read.
    fn to(&self, value: f64, from: Scale, to: Scale) -> Option<f64> {
        let volt = match from {
            Scale::Ohm => self.volt_of_ohm(value)?,
            Scale::Volt => value,
            Scale::Count => value / self.max_count? * self.full_volt?,
            Scale::Percent => value / 100.0 * self.full_volt?,
        };
        match to {
            Scale::Ohm => self.ohm_of_volt(volt),
            Scale::Volt => Some(volt),
            Scale::Count => Some(volt / self.full_volt? * self.max_count?),
            Scale::Percent => Some(volt / self.full_volt? * 100.0),
        }
    }

    fn volt_of_ohm(&self, ohm: f64) -> Option<f64> {
        let (pull, reference) = (self.pull_ohm?, self.reference_volt?);
        Some(match self.side {
            Side::Ground if ohm.is_infinite() => reference,
            Side::Ground => reference * (ohm / (ohm + pull)),
            Side::Supply => reference * (pull / (ohm + pull)),
        })
    }

    fn ohm_of_volt(&self, volt: f64) -> Option<f64> {
        let (pull, reference) = (self.pull_ohm?, self.reference_volt?);
        let volt = volt.max(0.0);
        Some(match self.side {
            Side::Ground if volt >= reference => f64::INFINITY,
            Side::Ground => pull * volt / (reference - volt),
            Side::Supply if volt <= 0.0 => f64::INFINITY,
            Side::Supply => (pull * (reference - volt) / volt).max(0.0),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::ladder;
    use crate::model::{Converter, FullScale};
    use crate::units::Tolerant;

    #[test]
    fn bands_in_ohms_turn_into_volts_with_the_edges_exchanged_on_the_supply_side() {
        let (project, id) = ladder();
        let mut pin = project.sense_pins.get(id).unwrap().clone();
        assert_eq!(band_spans(&project, &pin, Scale::Volt), None, "the pull is not known");
        pin.pull_ohm = Some(Tolerant { nominal: 1000.0, tolerance: 0.01 });
        pin.reference_volt = Some(Tolerant { nominal: 10.0, tolerance: 0.0 });
        let volts = band_spans(&project, &pin, Scale::Volt).unwrap();
        // By hand: V = 10 x 1000 / (1000 + R); R 930 and 1120 make 5.1813 V and 4.7170 V.
        let up = volts.iter().find(|span| span.name == "UP").unwrap();
        assert!((up.low - 4.7170).abs() < 1e-4 && (up.high - 5.1813).abs() < 1e-4, "{up:?}");
        let open = volts.iter().find(|span| span.role == BandRole::Idle).unwrap();
        assert!(open.low.abs() < 1e-12, "no path at all is no volts: {open:?}");
        assert!(volts.is_sorted_by(|a, b| a.low <= b.low));
        assert_eq!(band_spans(&project, &pin, Scale::Count), None, "no converter yet");
        pin.full_scale = Some(FullScale::Ratiometric { volt: 10.0 });
        pin.converter = Some(Converter { max_count: 1023, error_count: 2.0 });
        let counts = band_spans(&project, &pin, Scale::Count).unwrap();
        let up = counts.iter().find(|span| span.name == "UP").unwrap();
        assert!((up.low - 482.55).abs() < 0.01, "{up:?}");
    }

    #[test]
    fn volts_and_ohms_are_each_others_inverse_on_both_sides() {
        for side in [Side::Ground, Side::Supply] {
            let divider = Divider {
                side,
                pull_ohm: Some(4700.0),
                reference_volt: Some(3.3),
                full_volt: None,
                max_count: None,
            };
            for ohm in [0.5, 47.0, 4700.0, 1e6] {
                let back = divider.ohm_of_volt(divider.volt_of_ohm(ohm).unwrap()).unwrap();
                assert!((back / ohm - 1.0).abs() < 1e-9, "{ohm} came back as {back}");
            }
            let open = divider.volt_of_ohm(f64::INFINITY).unwrap();
            assert_eq!(divider.ohm_of_volt(open), Some(f64::INFINITY));
        }
    }
}
