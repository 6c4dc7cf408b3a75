//! One reading in the unit a person chose, and its text.

use crate::model::{PartKind, Project, Scale, SensePin, Side};
use crate::sense::StateRow;
use crate::study::faults::Symptom;
use crate::units;
use crate::units::Range;

/// All units a reading can be shown in, in the order they are offered.
pub const SCALES: [Scale; 4] = [Scale::Ohm, Scale::Volt, Scale::Count, Scale::Percent];

/// A reading split for display: digits large, unit smaller.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// Digits, or a word such as `open`.
    pub digits: String,
    /// Unit with its prefix; empty behind a word.
    pub unit: String,
}

/// The reading of a state in this unit; `None` where a figure for it is missing.
pub fn in_scale(row: &StateRow, pin: &SensePin, scale: Scale) -> Option<Range> {
    let map = |range: Range, by: f64| Range {
        low: range.low * by,
        nominal: range.nominal * by,
        high: range.high * by,
    };
    match scale {
        Scale::Ohm => Some(row.ohm),
        Scale::Volt => row.volt,
        Scale::Count => row.count.map(|(low, nominal, high)| Range {
            low: f64::from(low),
            nominal: f64::from(nominal),
            high: f64::from(high),
        }),
        Scale::Percent if pin.scale == Scale::Percent => row.scaled,
        Scale::Percent => {
            let full = pin.full_scale?.volt();
            (full > 0.0).then_some(())?;
            row.volt.map(|volt| map(volt, 100.0 / full))
        }
    }
}

/// What a pin shows with a fault, in a unit; `None` where it cannot be told.
pub fn symptom_in_scale(pin: &SensePin, symptom: &Symptom, scale: Scale) -> Option<f64> {
    if scale == pin.scale {
        return symptom.scaled;
    }
    let full = pin.full_scale.map(|full| full.volt()).filter(|full| *full > 0.0);
    match scale {
        Scale::Ohm => Some(symptom.ohm),
        Scale::Volt => symptom.volt,
        Scale::Count => {
            let most = f64::from(pin.converter?.max_count);
            Some((symptom.volt? / full? * most).clamp(0.0, most).round())
        }
        Scale::Percent => Some(symptom.volt? / full? * 100.0),
    }
}

/// The figure of the pin that must be known before a reading can be shown in this unit.
pub fn missing(project: &Project, pin: &SensePin, scale: Scale) -> Option<&'static str> {
    let full = pin.full_scale.is_none().then_some("the full scale");
    match scale {
        Scale::Ohm => None,
        Scale::Volt | Scale::Count | Scale::Percent if pin.pull_ohm.is_none() => {
            Some("the pull resistor")
        }
        Scale::Volt | Scale::Count | Scale::Percent if reference_volt(project, pin).is_none() => {
            Some("the reference voltage")
        }
        Scale::Volt => None,
        Scale::Count => full.or(pin.converter.is_none().then_some("the converter")),
        Scale::Percent => full,
    }
}

/// Nominal reference in volts: as given, or that of the supply the pin refers to.
pub fn reference_volt(project: &Project, pin: &SensePin) -> Option<f64> {
    let supply = || match (pin.side, project.parts.get(pin.reference.part).map(|part| &part.kind)) {
        (Side::Supply, Some(PartKind::Supply(supply))) => Some(supply.volt.nominal),
        (Side::Supply | Side::Ground, _) => None,
    };
    pin.reference_volt.map(|volt| volt.nominal).or_else(supply)
}

/// Digits and unit of one number, four figures for ohms.
pub fn figure(value: f64, scale: Scale) -> Figure {
    if value.is_infinite() {
        return Figure { digits: "open".into(), unit: String::new() };
    }
    match scale {
        Scale::Ohm => {
            let (digits, prefix) = units::engineering(value, 4);
            Figure { digits, unit: format!("{prefix}Ω") }
        }
        Scale::Volt => Figure { digits: format!("{value:.3}"), unit: "V".into() },
        Scale::Count => Figure {
            digits: format!("{value:.0}"),
            unit: if value.round() == 1.0 { "count" } else { "counts" }.into(),
        },
        Scale::Percent => Figure { digits: format!("{value:.1}"), unit: "%".into() },
    }
}

/// One number with its unit: `1.027 kΩ`, `1.989 V`, `407 counts`, `39.8 %`, `open`.
pub fn number_text(value: f64, scale: Scale) -> String {
    let figure = figure(value, scale);
    if figure.unit.is_empty() {
        figure.digits
    } else {
        format!("{} {}", figure.digits, figure.unit)
    }
}

/// The same without needless zeros, for edges and distances: `930 Ω`, `1.12 kΩ`, `0.42 V`.
pub fn short_text(value: f64, scale: Scale) -> String {
    let figure = figure(value, scale);
    if figure.unit.is_empty() {
        return figure.digits;
    }
    format!("{} {}", units::trim_zeros(&figure.digits), figure.unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_carry_their_unit() {
        for (value, scale, long, short) in [
            (1027.4, Scale::Ohm, "1.027 kΩ", "1.027 kΩ"),
            (1120.0, Scale::Ohm, "1.120 kΩ", "1.12 kΩ"),
            (930.0, Scale::Ohm, "930.0 Ω", "930 Ω"),
            (1.989, Scale::Volt, "1.989 V", "1.989 V"),
            (0.42, Scale::Volt, "0.420 V", "0.42 V"),
            (407.0, Scale::Count, "407 counts", "407 counts"),
            (1.0, Scale::Count, "1 count", "1 count"),
            (39.75, Scale::Percent, "39.8 %", "39.8 %"),
            (f64::INFINITY, Scale::Ohm, "open", "open"),
        ] {
            assert_eq!(number_text(value, scale), long);
            assert_eq!(short_text(value, scale), short);
        }
    }
}
