//! Volts a meter finds at a sense pin on the bench: the divider of pull and network at room
//! temperature, over every corner, without the converter's error.
//!
//! Ground side: V = Voff + (Vref - Voff) R / (R + Rpull). Supply side: V = Vref Rpull / (Rpull + R).

use crate::model::{PartKind, Project, SensePin, Side};
use crate::units::Range;

/// What a pin's volts are made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Divider {
    /// Ground side or supply side.
    pub side: Side,
    /// The pull in ohms.
    pub pull: Range,
    /// The reference in volts.
    pub reference: Range,
    /// Offset of the return in volts; on the supply side zero.
    pub offset_volt: Range,
}

impl Divider {
    /// `None` where pull or reference are not known.
    pub fn new(project: &Project, pin: &SensePin) -> Option<Self> {
        let at = project.parts.get(pin.reference.part).map(|part| &part.kind);
        let supply = match (pin.side, at) {
            (Side::Supply, Some(PartKind::Supply(supply))) => Some(supply.volt),
            (Side::Supply | Side::Ground, _) => None,
        };
        let offset = match pin.side {
            Side::Ground => pin.ground_offset_volt.abs(),
            Side::Supply => 0.0,
        };
        let usable = |range: &Range| range.low.is_finite() && range.nominal > 0.0;
        Some(Self {
            side: pin.side,
            pull: pin.pull_ohm.map(|pull| pull.range()).filter(usable)?,
            reference: pin.reference_volt.map(|v| v.range()).or(supply).filter(usable)?,
            offset_volt: Range { low: -offset, nominal: 0.0, high: offset },
        })
    }

    /// The same with the return lifted by so many volts more.
    pub fn lifted(mut self, volt: f64) -> Self {
        let offset = &mut self.offset_volt;
        *offset = Range {
            low: offset.low + volt,
            nominal: offset.nominal + volt,
            high: offset.high + volt,
        };
        self
    }

    /// Volts at one choice of everything; ohms may be infinite.
    fn volt(&self, ohm: f64, pull_ohm: f64, reference_volt: f64, offset_volt: f64) -> f64 {
        match self.side {
            Side::Ground if ohm.is_infinite() => reference_volt,
            Side::Ground => offset_volt + (reference_volt - offset_volt) * ohm / (ohm + pull_ohm),
            Side::Supply if ohm.is_infinite() => 0.0,
            Side::Supply => reference_volt * pull_ohm / (pull_ohm + ohm),
        }
    }

    /// Volts of so many ohms, all else usual.
    pub fn usual_volt(&self, ohm: f64) -> f64 {
        self.volt(ohm, self.pull.nominal, self.reference.nominal, self.offset_volt.nominal)
    }

    /// Least, usual and greatest volts of a range of ohms: every corner of pull, reference, offset.
    pub fn volts(&self, ohm: Range) -> Range {
        let nominal = self.usual_volt(ohm.nominal);
        let mut range = Range::exact(nominal);
        for ohm in [ohm.low, ohm.high] {
            for pull in [self.pull.low, self.pull.high] {
                for reference in [self.reference.low, self.reference.high] {
                    for offset in [self.offset_volt.low, self.offset_volt.high] {
                        let volt = self.volt(ohm, pull, reference, offset);
                        range.low = range.low.min(volt);
                        range.high = range.high.max(volt);
                    }
                }
            }
        }
        range
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    /// By hand for the sprayer's ALL OFF: 22000.6 Ω, 1.00 kΩ at 1 % to 5 V at 2 %, 10 mV either way.
    #[test]
    fn corners_are_those_of_a_sum_by_hand() {
        let project = samples::open("sprayer").unwrap();
        let (_, pin) = project.sense_pins.iter().next().unwrap();
        let divider = Divider::new(&project, pin).unwrap();
        let volts = divider.volts(Range { low: 21780.0, nominal: 22000.6, high: 22222.0 });
        let near = |got: f64, want: f64| assert!((got - want).abs() < 1e-9, "{got}, {want}");
        near(volts.nominal, 5.0 * 22000.6 / 23000.6);
        near(volts.low, -0.01 + 4.91 * 21780.0 / (21780.0 + 1010.0));
        near(volts.high, 0.01 + 5.09 * 22222.0 / (22222.0 + 990.0));
        let open = divider.volts(Range::exact(f64::INFINITY));
        near(open.low, 4.9);
        near(open.high, 5.1);
    }
}
