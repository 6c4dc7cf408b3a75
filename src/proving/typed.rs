//! Readings as people type them: `2.88k`, `8k2`, `OL`, `4,42 k`, `3.24V`, `1200 mm`, `yes`.

use crate::model::{MeterProfile, Shown};
use crate::units::{ParseError, format_ohm, parse_number, parse_ohm, trim_zeros};

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quantity {
    /// Ohms, supplies off and the controller unplugged.
    Ohm,
    /// Volts, supplies on and the controller plugged in.
    Volt,
    /// Length with a tape.
    Length,
    /// A tone, or whether something is as it should be.
    Sign,
}

/// A typed reading, and what its last digit is worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Typed {
    /// What was read.
    pub shown: Shown,
    /// Worth of the last typed digit in ohms, volts or millimetres; 0 for what is no number.
    pub last_digit: f64,
}

/// Reads what somebody typed; a number without a unit is of the quantity asked for.
///
/// # Errors
/// One sentence: what was expected and found.
///
/// ```
/// use ohmloom::model::{MeterProfile, Shown};
/// use ohmloom::proving::{Quantity, parse_shown};
/// let meter = MeterProfile::plain(0.01, 0.5);
/// let read = |text| parse_shown(text, Quantity::Ohm, &meter).map(|typed| typed.shown);
/// assert_eq!(read("4,42 k"), Ok(Shown::Ohm(4420.0)));
/// assert_eq!(read("OL"), Ok(Shown::OverRange));
/// assert_eq!(read("3.24V"), Ok(Shown::Volt(3.24)));
/// ```
pub fn parse_shown(text: &str, asked: Quantity, meter: &MeterProfile) -> Result<Typed, ParseError> {
    let text = text.trim();
    if asked == Quantity::Sign {
        return sign(text).map(word).ok_or_else(|| refuse(asked, text));
    }
    if is_over_range(text, meter) {
        return Ok(word(Shown::OverRange));
    }
    let unit = unit_of(text).unwrap_or(asked);
    let body = match unit {
        Quantity::Volt => text.trim_end_matches(['V', 'v']),
        Quantity::Length | Quantity::Ohm | Quantity::Sign => text,
    };
    let value = match unit {
        Quantity::Ohm => parse_ohm(body).ok(),
        Quantity::Volt => volts(body),
        Quantity::Length => millimetres(body),
        Quantity::Sign => None,
    };
    let value = value.ok_or_else(|| refuse(unit, text))?;
    let shown = match unit {
        Quantity::Ohm => Shown::Ohm(value),
        Quantity::Volt => Shown::Volt(value),
        Quantity::Length | Quantity::Sign => Shown::Millimetre(value),
    };
    Ok(Typed { shown, last_digit: last_digit(text, value) })
}

/// A reading in words: `1.027 kΩ`, `3.24 V`, `OL`, `yes`.
pub fn shown_words(shown: Shown, meter: &MeterProfile) -> String {
    match shown {
        Shown::Ohm(ohm) => format_ohm(ohm),
        Shown::Volt(volt) => format!("{} V", trim_zeros(&format!("{volt:.4}"))),
        Shown::Millimetre(mm) => format!("{} mm", trim_zeros(&format!("{mm:.1}"))),
        Shown::OverRange => meter.over_range.clone(),
        Shown::Yes => "yes".into(),
        Shown::No => "no".into(),
    }
}

fn word(shown: Shown) -> Typed {
    Typed { shown, last_digit: 0.0 }
}

fn sign(text: &str) -> Option<Shown> {
    let text = text.to_lowercase();
    match text.as_str() {
        "yes" | "y" | "ok" | "tone" | "+" => Some(Shown::Yes),
        "no" | "n" | "silent" | "none" | "-" => Some(Shown::No),
        _ => None,
    }
}

/// The meter's own sign, and what people write for it.
fn is_over_range(text: &str, meter: &MeterProfile) -> bool {
    let bare = |text: &str| -> String {
        let kept = text.chars().filter(|c| !c.is_whitespace() && *c != '.');
        kept.flat_map(char::to_lowercase).collect()
    };
    // The unit stays lit beside the sign on many meters.
    let text = text.trim_end_matches(['Ω', 'k', 'M', ' ']);
    let is_own = !meter.over_range.trim().is_empty() && text == meter.over_range.trim();
    is_own || ["ol", "0l", "open", "∞", "overrange"].contains(&bare(text).as_str())
}

fn unit_of(text: &str) -> Option<Quantity> {
    let lower = text.to_lowercase();
    match () {
        () if lower.ends_with("mm") || lower.ends_with("cm") => Some(Quantity::Length),
        () if lower.ends_with('v') => Some(Quantity::Volt),
        () if lower.ends_with("ohm") || lower.ends_with("ohms") || lower.ends_with('ω') => {
            Some(Quantity::Ohm)
        }
        () => None,
    }
}

/// Volts with point or comma, an `m` for thousandths, or `3V24` with the letter at the point.
fn volts(body: &str) -> Option<f64> {
    let body = body.trim();
    let (digits, share) = match body.strip_suffix('m') {
        Some(digits) => (digits.trim(), 1000.0),
        None => (body, 1.0),
    };
    let digits = digits.replace(['V', 'v'], ".");
    parse_number(&digits, "V", "volts").ok().map(|volt| volt / share)
}

fn millimetres(body: &str) -> Option<f64> {
    let body = body.trim();
    let (digits, factor) = match () {
        () if body.ends_with("mm") => (&body[..body.len() - 2], 1.0),
        () if body.ends_with("cm") => (&body[..body.len() - 2], 10.0),
        () if body.ends_with('m') => (&body[..body.len() - 1], 1000.0),
        () => (body, 1.0),
    };
    let value = parse_number(digits, "", "a length").ok()? * factor;
    (value >= 0.0).then_some(value)
}

/// What the last typed digit is worth: found by counting the digits behind the decimal mark and
/// comparing the number as typed with its value.
fn last_digit(text: &str, value: f64) -> f64 {
    let body: Vec<char> = text.chars().take_while(|c| !c.is_whitespace()).collect();
    let is_mark = |c: &char| matches!(c, '.' | ',') || c.is_alphabetic();
    let digits: String = body.iter().filter(|c| c.is_ascii_digit()).collect();
    let Ok(whole) = digits.parse::<f64>() else { return 0.0 };
    let n_behind = match body.iter().position(is_mark) {
        Some(at) => body[at + 1..].iter().filter(|c| c.is_ascii_digit()).count(),
        None => 0,
    };
    match whole {
        0.0 => 10f64.powi(-(n_behind as i32)),
        _ => (value / whole).abs(),
    }
}

fn refuse(unit: Quantity, text: &str) -> ParseError {
    let expected = match unit {
        Quantity::Ohm => "a reading such as 2.88k, 8k2, 470 or OL",
        Quantity::Volt => "a reading such as 3.24V, 480mV or OL",
        Quantity::Length => "a length such as 1200 mm or 120 cm",
        Quantity::Sign => "yes or no",
    };
    ParseError { expected, found: text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, asked: Quantity) -> Option<Typed> {
        parse_shown(text, asked, &MeterProfile::plain(0.01, 0.5)).ok()
    }

    #[test]
    fn readings_are_taken_as_people_type_them() {
        for (text, want, last) in [
            ("2.88k", Shown::Ohm(2880.0), 10.0),
            ("8k2", Shown::Ohm(8200.0), 100.0),
            ("4,42 k", Shown::Ohm(4420.0), 10.0),
            ("470", Shown::Ohm(470.0), 1.0),
            ("0.4", Shown::Ohm(0.4), 0.1),
            ("0.0", Shown::Ohm(0.0), 0.1),
            ("1M", Shown::Ohm(1e6), 1e6),
            ("3.24V", Shown::Volt(3.24), 0.01),
            ("3.24 V", Shown::Volt(3.24), 0.01),
            ("480mV", Shown::Volt(0.48), 0.001),
            ("OL", Shown::OverRange, 0.0),
            ("o.l.", Shown::OverRange, 0.0),
            ("0L", Shown::OverRange, 0.0),
            ("OL MΩ", Shown::OverRange, 0.0),
            ("open", Shown::OverRange, 0.0),
            ("1205 mm", Shown::Millimetre(1205.0), 1.0),
        ] {
            let got = read(text, Quantity::Ohm).unwrap_or_else(|| panic!("{text}"));
            assert_eq!(got.shown, want, "{text}");
            assert!((got.last_digit - last).abs() < 1e-9 * last.max(1.0), "{text}: {got:?}");
        }
        assert_eq!(read("-0,25", Quantity::Volt).unwrap().shown, Shown::Volt(-0.25));
        assert_eq!(read("120 cm", Quantity::Length).unwrap().shown, Shown::Millimetre(1200.0));
        assert_eq!(read("1.2m", Quantity::Length).unwrap().shown, Shown::Millimetre(1200.0));
        assert_eq!(read("yes", Quantity::Sign).unwrap().shown, Shown::Yes);
        assert_eq!(read("silent", Quantity::Sign).unwrap().shown, Shown::No);
    }

    #[test]
    fn what_is_no_reading_is_refused_in_words() {
        for text in ["", "soon", "-5", "4k7k", "nan", "inf", "1e999"] {
            assert!(read(text, Quantity::Ohm).is_none(), "{text}");
        }
        let error = parse_shown("maybe", Quantity::Sign, &MeterProfile::plain(0.0, 0.0));
        assert_eq!(error.unwrap_err().to_string(), "expected yes or no, found \"maybe\"");
    }

    /// The sign some meters show: a lone 1 at the left (common practice, no source).
    #[test]
    fn a_meter_has_a_sign_of_its_own() {
        let meter = MeterProfile { over_range: "1 .".into(), ..MeterProfile::plain(0.01, 0.5) };
        let read = |text| parse_shown(text, Quantity::Ohm, &meter).unwrap().shown;
        assert_eq!(read("1 ."), Shown::OverRange);
        assert_eq!(read("1."), Shown::Ohm(1.0));
    }
}
