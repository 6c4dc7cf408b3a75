//! From ohms to volts, counts and the pin's own scale, worst cases by corners.
//!
//! Ground side: V = Voff + (Vref - Voff) R / (R + Rpull). Supply side: V = Vref Rpull / (Rpull + R).
//! Each is monotone in every variable taken alone, so the extremes lie at the corners of their ranges.

use crate::circuit::Pull;
use crate::model::{FullScale, PartKind, Project, Scale, SensePin, Side};
use crate::sense::ends::{End, Ends};
use crate::units::{Range, Tolerant};

/// Ohms of one state at every corner, infinite where open; nothing but the network and its loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NetworkOhm {
    /// All causes counted, without the leak.
    pub worst: Range,
    /// Least and greatest at room temperature.
    pub bench: (f64, f64),
}

/// One state in every unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Ohms with the leak on the ground side.
    pub ohm: Range,
    /// Ohms at room temperature, before the meter's error.
    pub bench_ohm: (f64, f64),
    /// Volts as the converter sees them, its error counted.
    pub volt: Option<Range>,
    /// Counts.
    pub count: Option<(u32, u32, u32)>,
    /// In the scale of the pin's bands.
    pub scaled: Option<Range>,
}

/// What a pin measures with, gathered once.
#[derive(Clone, Copy, Debug)]
pub struct Measure {
    pub(super) side: Side,
    pub(super) scale: Scale,
    pub(super) pull: Option<Tolerant>,
    pub(super) reference: Option<Range>,
    pub(super) full_scale: Option<FullScale>,
    converter: Option<(f64, f64)>,
    pub(super) leak_ohm: Option<f64>,
    /// Offset that shifts the lower end of the divider (ground side).
    pub(super) return_offset_volt: f64,
    /// Offset that shifts the reference against the controller (supply side, supply of its own).
    pub(super) supply_offset_volt: f64,
}

impl Measure {
    /// Gathers the figures. On the supply side a reference that is not given in volts is that of
    /// the supply the pin refers to.
    pub fn new(project: &Project, pin: &SensePin) -> Self {
        let at = project.parts.get(pin.reference.part).map(|part| &part.kind);
        let supply = match (pin.side, at) {
            (Side::Supply, Some(PartKind::Supply(supply))) => Some(supply.volt),
            (Side::Supply | Side::Ground, _) => None,
        };
        let usable = |value: &f64| value.is_finite() && *value > 0.0;
        let offset =
            if pin.ground_offset_volt.is_finite() { pin.ground_offset_volt.abs() } else { 0.0 };
        Self {
            side: pin.side,
            scale: pin.scale,
            pull: pin.pull_ohm.filter(|pull| usable(&pull.nominal)),
            reference: pin
                .reference_volt
                .map(|volt| volt.range())
                .or(supply)
                .filter(|v| usable(&v.nominal)),
            full_scale: pin.full_scale.filter(|full| usable(&full.volt())),
            converter: pin
                .converter
                .filter(|c| c.max_count > 0)
                .map(|c| (f64::from(c.max_count), c.error_count.max(0.0))),
            leak_ohm: pin.leak_low_ohm.filter(usable),
            return_offset_volt: if pin.side == Side::Ground { offset } else { 0.0 },
            supply_offset_volt: if supply.is_some() { offset } else { 0.0 },
        }
    }

    /// Which figure is missing before the reading is known in the pin's scale.
    pub fn missing(&self) -> Option<&'static str> {
        let needs_volts = match self.scale {
            Scale::Ohm => false,
            Scale::Volt | Scale::Count | Scale::Percent => true,
        };
        let needs_full_scale = matches!(self.scale, Scale::Count | Scale::Percent);
        match () {
            () if !needs_volts => None,
            () if self.pull.is_none() => Some("the pull resistor"),
            () if self.reference.is_none() => Some("the reference voltage"),
            () if needs_full_scale && self.full_scale.is_none() => Some("the full scale"),
            () if self.scale == Scale::Count && self.converter.is_none() => Some("the converter"),
            () => None,
        }
    }

    /// Least and greatest number the scale can show, where it has ends.
    pub fn scale_ends(&self) -> (Option<f64>, Option<f64>) {
        let top = match (self.scale, self.full_scale, self.converter) {
            (Scale::Ohm, ..) => None,
            (Scale::Volt, full, Some(_)) => full.map(FullScale::volt),
            (Scale::Volt, _, None) => None,
            (Scale::Count, _, converter) => converter.map(|(max, _)| max),
            (Scale::Percent, full, _) => full.map(|_| 100.0),
        };
        (Some(0.0), top)
    }

    /// The divider's volts with nominal figures.
    pub fn nominal_volt(&self, ohm: f64) -> Option<f64> {
        Some(self.divider(ohm, self.pull?.nominal, self.reference?.nominal, 0.0))
    }

    /// The scale of the pin's bands.
    pub fn scale(&self) -> Scale {
        self.scale
    }

    /// The same pin with nothing off: every figure exact, no leak, no offset, no converter error.
    pub(super) fn without_causes(&self) -> Self {
        let exact = |value: Tolerant| Tolerant { tolerance: 0.0, ..value };
        Self {
            pull: self.pull.map(exact),
            reference: self.reference.map(|range| Range::exact(range.nominal)),
            full_scale: self.full_scale.map(|full| match full {
                FullScale::Ratiometric { volt } => FullScale::Ratiometric { volt },
                FullScale::Fixed(full) => FullScale::Fixed(exact(full)),
            }),
            converter: self.converter.map(|(max, _)| (max, 0.0)),
            leak_ohm: None,
            return_offset_volt: 0.0,
            supply_offset_volt: 0.0,
            ..*self
        }
    }

    /// With the pull of another.
    pub(super) fn with_pull_of(&self, other: &Self) -> Self {
        Self { pull: other.pull, ..*self }
    }

    /// With reference and full scale of another, which may follow each other.
    pub(super) fn with_reference_of(&self, other: &Self) -> Self {
        Self { reference: other.reference, full_scale: other.full_scale, ..*self }
    }

    /// With the converter of another.
    pub(super) fn with_converter_of(&self, other: &Self) -> Self {
        Self { converter: other.converter, ..*self }
    }

    /// With the leak of another.
    pub(super) fn with_leak_of(&self, other: &Self) -> Self {
        Self { leak_ohm: other.leak_ohm, ..*self }
    }

    /// With the offsets of another.
    pub(super) fn with_offset_of(&self, other: &Self) -> Self {
        Self {
            return_offset_volt: other.return_offset_volt,
            supply_offset_volt: other.supply_offset_volt,
            ..*self
        }
    }

    /// Usual volts of a number in the pin's own scale.
    pub fn usual_volt(&self, scaled: f64) -> Option<f64> {
        self.usual_volt_in(self.scale, scaled)
    }

    /// Usual volts of a number in any scale.
    pub fn usual_volt_in(&self, scale: Scale, value: f64) -> Option<f64> {
        let full = self.full_scale.map(FullScale::volt);
        match scale {
            Scale::Ohm => self.nominal_volt(value),
            Scale::Volt => Some(value),
            Scale::Count => Some(value / self.converter?.0 * full?),
            Scale::Percent => Some(value / 100.0 * full?),
        }
    }

    /// How many counts the converter gives a volt.
    pub fn count_per_volt(&self) -> Option<f64> {
        Some(self.converter?.0 / self.full_scale.map(FullScale::volt)?)
    }

    /// A reading in the pin's own scale, counts not rounded.
    pub(super) fn unrounded(&self, ohm: f64, volt: Option<f64>) -> Option<f64> {
        let full = self.full_scale.map(FullScale::volt);
        match self.scale {
            Scale::Ohm => Some(ohm),
            Scale::Volt => volt,
            Scale::Count => Some(volt? / full? * self.converter?.0),
            Scale::Percent => Some(volt? / full? * 100.0),
        }
    }

    /// Whether the bands are in ohms, which takes no pull to know.
    pub fn is_ohm(&self) -> bool {
        self.scale == Scale::Ohm
    }

    /// The controller's pull, as what else holds the pin.
    pub fn pull(&self) -> Option<Pull> {
        let volt = match self.side {
            Side::Ground => self.reference?.nominal,
            Side::Supply => 0.0,
        };
        Some(Pull { ohm: self.pull?.nominal, volt })
    }

    /// The same volts with the far end of the network lifted against the controller's ground.
    pub fn volt_with_offset(&self, ohm: f64, offset_volt: f64) -> Option<f64> {
        let (pull, reference) = (self.pull?.nominal, self.reference?.nominal);
        Some(match self.side {
            Side::Ground => self.divider(ohm, pull, reference, offset_volt),
            Side::Supply => self.divider(ohm, pull, reference + offset_volt, 0.0),
        })
    }

    /// A usual reading in the pin's own scale, from its ohms and its volts as far as they are known.
    pub fn scaled(&self, ohm: f64, volt: Option<f64>) -> Option<f64> {
        let full = self.full_scale.map(FullScale::volt);
        match self.scale {
            Scale::Ohm => Some(ohm),
            Scale::Volt => volt,
            Scale::Count => {
                let (max, _) = self.converter?;
                Some((volt? / full? * max).clamp(0.0, max).round())
            }
            Scale::Percent => Some(volt? / full? * 100.0),
        }
    }

    /// One state in every unit, from the ohms of its network.
    pub fn reading(&self, network: &NetworkOhm) -> Reading {
        self.complete(network, self.volt_corners(&network.worst))
    }

    /// Least and greatest volts as the converter sees them, for the least and greatest ohms of a
    /// state: the ends of [`Measure::reading`]'s volts with fewer corners looked at, because volts
    /// rise with ohms on the ground side and fall on the supply side, and so on for pull and leak.
    pub fn volt_ends(&self, ohm_low: f64, ohm_high: f64) -> Option<(f64, f64)> {
        let fraction = |ohm: f64| if ohm.is_finite() { [ohm, 1.0] } else { [1.0, 0.0] };
        Some(self.ends()?.volts(fraction(ohm_low), fraction(ohm_high)))
    }

    /// What [`Measure::volt_ends`] is reckoned from; `None` where pull or reference are not known.
    pub fn ends(&self) -> Option<Ends> {
        let (pull, reference) = (self.pull?.range(), self.reference?);
        let scales = match self.full_scale {
            Some(FullScale::Fixed(full)) => {
                let tolerance = full.tolerance.clamp(0.0, 0.99);
                [1.0 / (1.0 + tolerance), 1.0 / (1.0 - tolerance)]
            }
            Some(FullScale::Ratiometric { .. }) | None => [1.0, 1.0],
        };
        // Without a way to the reference R is 1 / 0 and its share whole; a leak adds to its siemens.
        let leak_siemens = self.leak_ohm.map_or(0.0, |ohm| 1.0 / ohm);
        let (mut least, mut most) = match self.side {
            Side::Ground => (
                End::new((1.0, 0.0), (1.0 + pull.high * leak_siemens, pull.high)),
                End::new((1.0, 0.0), (1.0, pull.low)),
            ),
            Side::Supply => {
                let leaky = parallel(pull.low, self.leak_ohm);
                (End::new((0.0, leaky), (1.0, leaky)), End::new((0.0, pull.high), (1.0, pull.high)))
            }
        };
        for reference_volt in [reference.low, reference.high] {
            let follow = match self.full_scale {
                Some(FullScale::Ratiometric { .. }) if reference_volt > 0.0 => {
                    reference.nominal / reference_volt
                }
                Some(FullScale::Ratiometric { .. } | FullScale::Fixed(_)) | None => 1.0,
            };
            for offset in [-1.0, 1.0] {
                let source = reference_volt + offset * self.supply_offset_volt;
                let offset_volt = offset * self.return_offset_volt;
                for factor in scales.map(|scale| scale * follow) {
                    let line = (factor * offset_volt, factor * (source - offset_volt));
                    least.add(line, 1.0);
                    most.add(line, -1.0);
                }
            }
        }
        let full = self.full_scale.map(FullScale::volt);
        Some(Ends {
            is_rising: self.side == Side::Ground,
            least,
            most,
            converter: full
                .zip(self.converter)
                .map(|(full, (max, error))| (error * full / max, full)),
        })
    }

    /// Ohms at which the pin reads a number of its scale, all else usual; `None` where the figures
    /// for it are not known or no resistance gives it.
    pub fn ohm_at(&self, scaled: f64) -> Option<f64> {
        if self.is_ohm() {
            return (scaled >= 0.0).then_some(scaled);
        }
        self.ohm_of_volt(self.usual_volt(scaled)?).filter(|ohm| *ohm >= 0.0)
    }

    /// The divider turned round: ohms that give these volts; below zero where no resistance does.
    pub fn ohm_of_volt(&self, volt: f64) -> Option<f64> {
        let (pull, reference) = (self.pull?.nominal, self.reference?.nominal);
        Some(match self.side {
            Side::Ground if volt >= reference => f64::INFINITY,
            Side::Ground => pull * volt / (reference - volt),
            Side::Supply if volt <= 0.0 => f64::INFINITY,
            Side::Supply => pull * (reference - volt) / volt,
        })
    }

    /// The reading of a state in the pin's own scale, as [`Measure::reading`] gives it, by the short
    /// way of [`Measure::volt_ends`].
    pub fn scaled_range(&self, ohm: &Range) -> Option<Range> {
        if self.scale == Scale::Ohm {
            let low = match self.side {
                Side::Ground => parallel(ohm.low, self.leak_ohm),
                Side::Supply => ohm.low,
            };
            return Some(Range { low, ..*ohm });
        }
        let (low, high) = self.volt_ends(ohm.low, ohm.high)?;
        self.volts_in_scale(&Range { low, nominal: self.nominal_volt(ohm.nominal)?, high })
    }

    /// Volts in the pin's own scale; volts as they are where that is ohms.
    pub fn volts_in_scale(&self, volt: &Range) -> Option<Range> {
        let full = || self.full_scale.map(FullScale::volt);
        match self.scale {
            Scale::Ohm | Scale::Volt => Some(*volt),
            Scale::Count => {
                let (low, nominal, high) = counts(volt, full()?, self.converter?.0);
                Some(Range {
                    low: f64::from(low),
                    nominal: f64::from(nominal),
                    high: f64::from(high),
                })
            }
            Scale::Percent => {
                let full = full()?;
                let share = |volt: f64| volt / full * 100.0;
                Some(Range {
                    low: share(volt.low),
                    nominal: share(volt.nominal),
                    high: share(volt.high),
                })
            }
        }
    }

    /// The same where the volts come from somewhere else: true volts at the pin.
    pub fn reading_with_volts(&self, network: &NetworkOhm, volt: Option<Range>) -> Reading {
        self.complete(network, volt)
    }

    pub(super) fn complete(&self, network: &NetworkOhm, volt: Option<Range>) -> Reading {
        let ohm = match self.side {
            Side::Ground => {
                Range { low: parallel(network.worst.low, self.leak_ohm), ..network.worst }
            }
            Side::Supply => network.worst,
        };
        let bench_ohm = network.bench;
        let full = self.full_scale.map(FullScale::volt);
        let volt = volt.map(|volt| self.with_converter_error(volt, full));
        let count = volt
            .zip(full)
            .zip(self.converter)
            .map(|((volt, full), (max, _))| counts(&volt, full, max));
        let scaled = match self.scale {
            Scale::Ohm => Some(ohm),
            Scale::Volt => volt,
            Scale::Count => count.map(|(low, nominal, high)| Range {
                low: f64::from(low),
                nominal: f64::from(nominal),
                high: f64::from(high),
            }),
            Scale::Percent => volt.zip(full).map(|(volt, full)| Range {
                low: volt.low / full * 100.0,
                nominal: volt.nominal / full * 100.0,
                high: volt.high / full * 100.0,
            }),
        };
        Reading { ohm, bench_ohm, volt, count, scaled }
    }

    fn with_converter_error(&self, volt: Range, full: Option<f64>) -> Range {
        let Some((full, (max, error))) = full.zip(self.converter) else { return volt };
        let error_volt = error * full / max;
        Range {
            low: (volt.low - error_volt).max(0.0).min(volt.nominal),
            nominal: volt.nominal,
            high: (volt.high + error_volt).min(full).max(volt.nominal),
        }
    }

    fn divider(&self, ohm: f64, pull_ohm: f64, reference_volt: f64, offset_volt: f64) -> f64 {
        match self.side {
            Side::Ground if ohm.is_infinite() => reference_volt,
            Side::Ground => offset_volt + (reference_volt - offset_volt) * (ohm / (ohm + pull_ohm)),
            Side::Supply if ohm.is_infinite() => 0.0,
            Side::Supply => reference_volt * (pull_ohm / (pull_ohm + ohm)),
        }
    }

    /// Volts over every corner of ohms, leak, pull, reference, offset and full scale.
    fn volt_corners(&self, ohm: &Range) -> Option<Range> {
        let (pull, reference) = (self.pull?, self.reference?);
        let pulls = pull.range();
        let (scale_low, scale_high) = match self.full_scale {
            Some(FullScale::Fixed(full)) => {
                let tolerance = full.tolerance.clamp(0.0, 0.99);
                (1.0 / (1.0 + tolerance), 1.0 / (1.0 - tolerance))
            }
            Some(FullScale::Ratiometric { .. }) | None => (1.0, 1.0),
        };
        let mut range = Range {
            low: f64::INFINITY,
            nominal: self.nominal_volt(ohm.nominal)?,
            high: f64::NEG_INFINITY,
        };
        for reference_volt in [reference.low, reference.high] {
            let follow = match self.full_scale {
                Some(FullScale::Ratiometric { .. }) if reference_volt > 0.0 => {
                    reference.nominal / reference_volt
                }
                Some(FullScale::Ratiometric { .. } | FullScale::Fixed(_)) | None => 1.0,
            };
            for offset in [-1.0, 1.0] {
                let source = reference_volt + offset * self.supply_offset_volt;
                let offset_volt = offset * self.return_offset_volt;
                for (ohm, leak) in [
                    (ohm.low, None),
                    (ohm.low, self.leak_ohm),
                    (ohm.high, None),
                    (ohm.high, self.leak_ohm),
                ] {
                    for pull_ohm in [pulls.low, pulls.high] {
                        let (ohm, pull_ohm) = match self.side {
                            Side::Ground => (parallel(ohm, leak), pull_ohm),
                            Side::Supply => (ohm, parallel(pull_ohm, leak)),
                        };
                        let volt = follow * self.divider(ohm, pull_ohm, source, offset_volt);
                        range.low = range.low.min(volt * scale_low).min(volt * scale_high);
                        range.high = range.high.max(volt * scale_low).max(volt * scale_high);
                    }
                }
            }
        }
        Some(range)
    }
}

/// Lowest, usual and highest count of a range of volts.
fn counts(volt: &Range, full: f64, max: f64) -> (u32, u32, u32) {
    // The tiny step keeps rounding noise from turning a whole count into its neighbour.
    let exact = |volt: f64| (volt / full * max).clamp(0.0, max);
    (
        (exact(volt.low) + 1e-9).floor() as u32,
        exact(volt.nominal).round() as u32,
        (exact(volt.high) - 1e-9).ceil() as u32,
    )
}

/// Two resistances side by side; either may be infinite, the second may be absent.
fn parallel(ohm: f64, other: Option<f64>) -> f64 {
    match other {
        None => ohm,
        Some(other) if ohm.is_infinite() => other,
        Some(other) => ohm * (other / (ohm + other)),
    }
}
