//! Values as fields show them, unit included, and the way back; exact, so that showing never rounds.

use crate::model::{SizeUnit, WireSize};
use crate::units::{MM_PER_INCH, Range, parse_number, parse_ohm, trim_zeros};

/// A number with all its figures and its unit: `0.25 W`, `60 K`; no unit where it is empty.
pub fn number_text(value: f64, unit: &str) -> String {
    let digits = digits(value);
    if unit.is_empty() { digits } else { format!("{digits} {unit}") }
}

/// Ohms with a prefix and all figures: `6.81 kΩ`, `0.5 Ω`.
pub fn ohm_text(ohm: f64) -> String {
    let prefixes = [(1e9, "G"), (1e6, "M"), (1e3, "k")];
    let (scale, prefix) =
        prefixes.into_iter().find(|(scale, _)| ohm.abs() >= *scale).unwrap_or((1.0, ""));
    format!("{} {prefix}Ω", digits(ohm / scale))
}

/// A fraction as percent: `1 %`.
pub fn percent_text(fraction: f64) -> String {
    number_text(fraction * 100.0, "%")
}

/// A range in words: `0 … 5 Ω`, `10.5 … 12 … 14.7 V`; one figure where there is no spread.
pub fn range_text(range: Range, unit: &str) -> String {
    if range.low == range.high {
        return number_text(range.nominal, unit);
    }
    let ends = range.nominal == range.low || range.nominal == range.high;
    let middle = if ends { String::new() } else { format!(" … {}", digits(range.nominal)) };
    format!("{}{middle} … {}", digits(range.low), number_text(range.high, unit))
}

/// Twelve figures without needless zeros: enough for anything typed, too few to show binary noise.
fn digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".into();
    }
    let whole = value.abs().log10().floor().max(0.0) as usize;
    trim_zeros(&format!("{value:.*}", 11usize.saturating_sub(whole)))
}

/// Reads a number with or without its unit behind it, zero or more.
///
/// # Errors
/// What was expected and found.
pub fn parse_unit(text: &str, unit: &str, expected: &'static str) -> Result<f64, String> {
    let body = text.trim();
    let lower = body.to_lowercase();
    let without = lower.strip_suffix(&unit.to_lowercase()).unwrap_or(&lower);
    let value = parse_number(without, "", expected).map_err(|mut error| {
        error.found = body.to_owned();
        error.to_string()
    })?;
    if value < 0.0 { Err(format!("expected {expected}, found \"{body}\"")) } else { Ok(value) }
}

/// The same, but zero is refused too.
///
/// # Errors
/// What was expected and found.
pub fn parse_positive(text: &str, unit: &str, expected: &'static str) -> Result<f64, String> {
    let value = parse_unit(text, unit, expected)?;
    if value > 0.0 {
        Ok(value)
    } else {
        Err(format!("it must be above zero, found \"{}\"", text.trim()))
    }
}

/// Reads a whole number from 1 on.
///
/// # Errors
/// What was expected and found.
pub fn parse_count(text: &str, expected: &'static str) -> Result<u32, String> {
    let body = text.trim();
    body.parse()
        .ok()
        .filter(|n| *n > 0)
        .ok_or_else(|| format!("expected {expected}, found \"{body}\""))
}

/// A name that is not empty.
///
/// # Errors
/// Says that a name is missing.
pub fn parse_named(text: &str) -> Result<String, String> {
    let name = text.trim();
    if name.is_empty() { Err("a name cannot be empty".into()) } else { Ok(name.to_owned()) }
}

/// Reads a wire size: `0.5`, `0.5 mm²`, `0,5 mm2`, `20 AWG`, `AWG 20`.
///
/// # Errors
/// What was expected and found.
pub fn parse_size(text: &str) -> Result<WireSize, String> {
    WireSize::from_text(text, SizeUnit::Mm2).ok_or_else(|| {
        format!("expected a size such as 0.5 mm² or 20 AWG, found \"{}\"", text.trim())
    })
}

/// The size in the other system, rounded: `about 20 AWG`, `0.518 mm²`.
pub fn size_in_other_system(size: WireSize) -> String {
    match size {
        WireSize::Awg(_) => format!("{:.3} mm²", size.area_mm2()),
        WireSize::Mm2(area) => {
            // ASTM B258 solved for the gauge: d = 0.005 in x 92^((36-n)/39).
            let diameter_in = (area * 4.0 / std::f64::consts::PI).sqrt() / MM_PER_INCH;
            let gauge = 36.0 - 39.0 * (diameter_in / 0.005).ln() / 92f64.ln();
            format!("about {} AWG", trim_zeros(&format!("{gauge:.1}")))
        }
    }
}

/// Reads ohms, zero or more.
///
/// # Errors
/// What was expected and found.
pub fn parse_ohms(text: &str) -> Result<f64, String> {
    parse_ohm(text).map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn showing_and_reading_back_changes_nothing() {
        for ohm in [0.0, 0.22, 3.3, 470.0, 999.96, 1210.0, 6810.0, 12_345.6, 1e6, 2.2e9, 0.1 + 0.2]
        {
            let back = parse_ohms(&ohm_text(ohm)).unwrap();
            assert!((back - ohm).abs() <= ohm * 1e-11, "{ohm}: {} is {back}", ohm_text(ohm));
        }
        assert_eq!(ohm_text(1210.0), "1.21 kΩ");
        assert_eq!(number_text(0.1 + 0.2, "V"), "0.3 V");
        assert_eq!(percent_text(0.07), "7 %");
    }

    #[test]
    fn sizes_are_read_in_both_systems() {
        for (text, want) in [
            ("0.5", WireSize::Mm2(0.5)),
            ("0,5 mm2", WireSize::Mm2(0.5)),
            ("0.75 mm²", WireSize::Mm2(0.75)),
            ("20 AWG", WireSize::Awg(20)),
            ("awg 20", WireSize::Awg(20)),
            ("2/0 AWG", WireSize::Awg(-1)),
            ("AWG-3", WireSize::Awg(3)),
        ] {
            assert_eq!(parse_size(text), Ok(want), "{text}");
        }
        for text in ["", "0", "-1", "thick", "99 AWG", "5000"] {
            assert!(parse_size(text).unwrap_err().contains("0.5 mm²"), "{text}");
        }
    }

    #[test]
    fn the_other_system_agrees_with_astm_b258() {
        // ASTM B258 area formula, solved both ways: a gauge's own area gives the gauge back.
        for gauge in [-3, 0, 4, 10, 20, 36] {
            let area = crate::units::awg_area_mm2(gauge);
            assert_eq!(size_in_other_system(WireSize::Mm2(area)), format!("about {gauge} AWG"));
        }
        assert_eq!(size_in_other_system(WireSize::Awg(20)), "0.518 mm²");
    }

    #[test]
    fn ranges_show_only_what_differs() {
        assert_eq!(range_text(Range::exact(12.0), "V"), "12 V");
        assert_eq!(range_text(Range::up_to(5.0), "Ω"), "0 … 5 Ω");
        assert_eq!(
            range_text(Range { low: 10.5, nominal: 12.0, high: 14.7 }, "V"),
            "10.5 … 12 … 14.7 V"
        );
    }

    #[test]
    fn numbers_are_read_with_and_without_unit() {
        assert_eq!(parse_unit("0.25 W", "W", "watts"), Ok(0.25));
        assert_eq!(parse_unit("0,25", "W", "watts"), Ok(0.25));
        assert_eq!(parse_unit("50 ppm/K", "ppm/K", "ppm"), Ok(50.0));
        assert!(parse_unit("warm", "K", "kelvins such as 60").unwrap_err().contains("warm"));
        assert!(parse_positive("0 V", "V", "volts").unwrap_err().contains("above zero"));
    }
}
