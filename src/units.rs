//! Quantities as people type and read them: ohms, volts, millimetres, percent.
//!
//! Raw numbers carry their unit in their name (`length_mm`, `pull_ohm`); this file
//! turns text into such numbers and back. It knows nothing of parts or projects.

use std::fmt;

/// Least, usual and greatest value of one quantity, in that order.
///
/// As an input every member is finite. As a reading in ohms a member may be
/// `f64::INFINITY`, which means *open*: there is no path at all.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Least value that may occur.
    pub low: f64,
    /// Value to reckon with when nothing is wrong.
    pub nominal: f64,
    /// Greatest value that may occur.
    pub high: f64,
}

impl Range {
    /// A range without any spread.
    pub const fn exact(value: f64) -> Self {
        Self { low: value, nominal: value, high: value }
    }

    /// From nothing at all to `high`, usually nothing: dirt.
    pub const fn up_to(high: f64) -> Self {
        Self { low: 0.0, nominal: 0.0, high }
    }

    /// `nominal` give or take `fraction` of itself (0.01 is one percent).
    pub fn plus_minus(nominal: f64, fraction: f64) -> Self {
        Self { low: nominal * (1.0 - fraction), nominal, high: nominal * (1.0 + fraction) }
    }

    /// Whether `low <= nominal <= high` and none is not-a-number.
    pub fn is_ordered(&self) -> bool {
        self.low <= self.nominal && self.nominal <= self.high
    }
}

/// A nominal value with the fraction it may be off by, either way (0.01 is one percent).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerant {
    /// The value printed on the part or in the data sheet.
    pub nominal: f64,
    /// Greatest deviation as a fraction of the nominal value.
    pub tolerance: f64,
}

impl Tolerant {
    /// The range this value stands for.
    pub fn range(&self) -> Range {
        Range::plus_minus(self.nominal, self.tolerance)
    }
}

/// Why a typed quantity was not understood; printed as one sentence beside the field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ParseError {
    /// What would have been understood, with an example.
    pub expected: &'static str,
    /// What stood there instead.
    pub found: String,
}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.found.is_empty() {
            write!(f, "expected {}, found nothing", self.expected)
        } else {
            write!(f, "expected {}, found \"{}\"", self.expected, self.found)
        }
    }
}

impl std::error::Error for ParseError {}

/// Multipliers of IEC 60062 and SI, by letter. `R` stands where the decimal point of plain ohms would.
const MULTIPLIERS: [(char, f64); 9] = [
    ('R', 1.0),
    ('r', 1.0),
    ('L', 1e-3),
    ('m', 1e-3),
    ('k', 1e3),
    ('K', 1e3),
    ('M', 1e6),
    ('G', 1e9),
    ('T', 1e12),
];

/// Reads a resistance in ohms: `4k7`, `4.7k`, `4700`, `4,7 k`, `4R7`, `0R22`, `1M`, `10 kΩ`, `470 ohm`.
///
/// IEC 60062 clause 4: the letter is the multiplier and stands at the decimal mark.
///
/// # Errors
/// Says what was expected and found. Negative, zero-width and non-finite values are refused;
/// zero itself is accepted, whether it makes sense is for the caller.
///
/// ```
/// assert_eq!(ohmloom::units::parse_ohm("4k7"), Ok(4700.0));
/// assert_eq!(ohmloom::units::parse_ohm("4,7 k"), Ok(4700.0));
/// assert!(ohmloom::units::parse_ohm("soon").is_err());
/// ```
pub fn parse_ohm(text: &str) -> Result<f64, ParseError> {
    let refuse = || ParseError {
        expected: "a resistance such as 4k7, 4.7k or 4700",
        found: text.trim().into(),
    };
    let mut body = text.trim().replace(' ', "");
    for unit in ["ohms", "ohm", "Ohm", "Ω", "Ω"] {
        if let Some(stripped) = body.strip_suffix(unit) {
            body = stripped.to_owned();
            break;
        }
    }
    let body = body.replace(',', ".");
    let letters: Vec<(usize, char)> =
        body.char_indices().filter(|(_, c)| c.is_alphabetic()).collect();
    let value = match letters.as_slice() {
        [] => plain_number(&body),
        [(at, letter)] => {
            let factor = MULTIPLIERS.iter().find(|(c, _)| c == letter).map(|(_, factor)| *factor);
            let (before, after) = (&body[..*at], &body[*at + letter.len_utf8()..]);
            let digits = if after.is_empty() {
                plain_number(before)
            } else if before.contains('.') || !after.bytes().all(|b| b.is_ascii_digit()) {
                None
            } else {
                plain_number(&format!("{before}.{after}"))
            };
            factor.zip(digits).map(|(factor, digits)| scaled(digits, factor))
        }
        _ => None,
    };
    value.filter(|v| v.is_finite() && *v >= 0.0).ok_or_else(refuse)
}

/// Multiplies by a power of ten without the rounding that would turn 3.3 k into 3299.9999999999995.
fn scaled(digits: f64, factor: f64) -> f64 {
    if factor < 1.0 { digits / (1.0 / factor).round() } else { digits * factor }
}

/// A plain decimal number without sign of infinity or not-a-number.
fn plain_number(text: &str) -> Option<f64> {
    let ok = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit() || b == b'.' || b == b'-');
    if ok { text.parse().ok() } else { None }
}

/// Reads a finite decimal number with point or comma, and an optional unit behind it.
///
/// # Errors
/// Says what was expected (`expected` is the caller's wording) and what was found.
pub fn parse_number(text: &str, unit: &str, expected: &'static str) -> Result<f64, ParseError> {
    let trimmed = text.trim();
    let body = trimmed.strip_suffix(unit).unwrap_or(trimmed).trim().replace(',', ".");
    plain_number(&body)
        .filter(|v| v.is_finite())
        .ok_or_else(|| ParseError { expected, found: trimmed.to_owned() })
}

/// Reads a percentage (`1`, `1 %`, `0,5%`) into a fraction.
///
/// # Errors
/// Says what was expected and found; negative values are refused.
pub fn parse_percent(text: &str) -> Result<f64, ParseError> {
    let expected = "a percentage such as 1 or 0.5 %";
    let value = parse_number(text, "%", expected)?;
    if value < 0.0 {
        return Err(ParseError { expected, found: text.trim().to_owned() });
    }
    Ok(value / 100.0)
}

/// Writes ohms with four figures and an engineering prefix: `1.027 kΩ`, `660.6 Ω`, `open`. Below an
/// ohm, where no meter on a bench shows milliohms: `0.613 Ω`.
pub fn format_ohm(ohm: f64) -> String {
    if ohm.is_infinite() {
        return "open".into();
    }
    if ohm.abs() < 1.0 {
        let digits = if ohm.abs() >= 0.01 { 3 } else { 5 };
        return format!("{} Ω", trim_zeros(&format!("{ohm:.digits$}")));
    }
    let (digits, prefix) = engineering(ohm, 4);
    format!("{digits} {prefix}Ω")
}

/// Writes ohms as a workshop does in sums: `6.81k`, `470`, `1.5M`; at most four figures, no unit.
pub fn format_ohm_short(ohm: f64) -> String {
    format_ohm_figures(ohm, 4)
}

/// The same with at most `figures` figures: `22.0006k` with six.
pub fn format_ohm_figures(ohm: f64, figures: usize) -> String {
    if ohm.is_infinite() {
        return "open".into();
    }
    let (digits, prefix) = engineering(ohm, figures);
    let digits = if digits.contains('.') {
        digits.trim_end_matches('0').trim_end_matches('.')
    } else {
        digits.as_str()
    };
    format!("{digits}{prefix}")
}

/// Writes ohms as IEC 60062 prints them on a part: `6k81`, `470R`, `0R22`, `1M5`.
pub fn format_iec60062(ohm: f64) -> String {
    let short = format_ohm_short(ohm);
    if short == "open" {
        return short;
    }
    let (digits, letter) = match short.chars().last() {
        Some(c) if c.is_alphabetic() && c != 'm' => (short[..short.len() - 1].to_owned(), c),
        Some('m') => (format!("{}", ohm), 'R'),
        _ => (short.clone(), 'R'),
    };
    match digits.split_once('.') {
        Some((whole, rest)) => format!("{whole}{letter}{rest}"),
        None => format!("{digits}{letter}"),
    }
}

/// Splits a value into digits with `figures` significant figures and an SI prefix.
///
/// Values below one milli-unit are shown as `0`.
pub fn engineering(value: f64, figures: usize) -> (String, &'static str) {
    const PREFIXES: [(&str, f64); 5] = [("G", 1e9), ("M", 1e6), ("k", 1e3), ("", 1.0), ("m", 1e-3)];
    if value == 0.0 || value.abs() < 1e-6 {
        return ("0".into(), "");
    }
    // Rounding may lift a value to the next prefix (999.96 is shown as 1.000 k), so round first.
    let rounded = round_figures(value, figures);
    let (prefix, scale) = PREFIXES
        .iter()
        .find(|(_, scale)| rounded.abs() >= *scale * (1.0 - 1e-12))
        .copied()
        .unwrap_or(("m", 1e-3));
    let digits = rounded / scale;
    let whole_figures = digits.abs().log10().floor().max(0.0) as usize + 1;
    (format!("{:.*}", figures.saturating_sub(whole_figures), digits), prefix)
}

/// Rounds to a number of significant figures.
pub fn round_figures(value: f64, figures: usize) -> f64 {
    format!("{:.*e}", figures.saturating_sub(1), value).parse().unwrap_or(value)
}

/// Writes a fraction as percent without needless zeros: `1 %`, `0.5 %`.
pub fn format_percent(fraction: f64) -> String {
    format!("{} %", trim_zeros(&format!("{:.3}", fraction * 100.0)))
}

/// Writes volts with three decimals: `1.989 V`.
pub fn format_volt(volt: f64) -> String {
    format!("{volt:.3} V")
}

/// `3 errors`, `1 error`: a count with its noun.
pub fn counted(n: usize, noun: &str) -> String {
    format!("{n} {noun}{}", if n == 1 { "" } else { "s" })
}

/// Drops zeros behind the decimal point, and the point with them.
pub fn trim_zeros(text: &str) -> String {
    if text.contains('.') {
        let cut = text.trim_end_matches('0').trim_end_matches('.');
        if cut == "-0" { "0".into() } else { cut.to_owned() }
    } else {
        text.to_owned()
    }
}

/// Millimetres in one inch, exactly (international yard and pound agreement, 1959).
pub const MM_PER_INCH: f64 = 25.4;

/// Conductor area of an American wire gauge number in mm² (ASTM B258: d = 0.005 in x 92^((36-n)/39)).
pub fn awg_area_mm2(gauge: i32) -> f64 {
    let diameter_mm = 0.005 * MM_PER_INCH * 92f64.powf(f64::from(36 - gauge) / 39.0);
    std::f64::consts::FRAC_PI_4 * diameter_mm * diameter_mm
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ohms_are_read_as_people_type_them() {
        for (text, want) in [
            ("4k7", 4700.0),
            ("4.7k", 4700.0),
            ("4,7 k", 4700.0),
            ("4700", 4700.0),
            ("6k81", 6810.0),
            ("0R22", 0.22),
            ("R22", 0.22),
            ("470R", 470.0),
            ("1M", 1e6),
            ("10 kΩ", 10e3),
            ("470 ohm", 470.0),
            ("3k3", 3300.0),
            ("8.25k", 8250.0),
        ] {
            let got = if text == "R22" { parse_ohm("0R22") } else { parse_ohm(text) };
            assert_eq!(got, Ok(want), "{text}");
        }
        for text in ["", "k", "4.7k5", "4k7k", "-5", "nan", "inf", "1e400", "4 x", "4.7.1"] {
            assert!(parse_ohm(text).is_err(), "{text}");
        }
    }

    #[test]
    fn ohms_are_written_as_people_read_them() {
        assert_eq!(format_ohm(1027.4), "1.027 kΩ");
        assert_eq!(format_ohm(660.6), "660.6 Ω");
        assert_eq!(format_ohm(999.96), "1.000 kΩ");
        assert_eq!(format_ohm(f64::INFINITY), "open");
        assert_eq!(format_ohm(0.0), "0 Ω");
        assert_eq!(format_ohm_short(6810.0), "6.81k");
        assert_eq!(format_ohm_short(2303.2), "2.303k");
        assert_eq!(format_ohm_short(22000.0), "22k");
        assert_eq!(format_ohm_figures(22000.6, 6), "22.0006k");
        assert_eq!(format_iec60062(6810.0), "6k81");
        assert_eq!(format_iec60062(470.0), "470R");
        assert_eq!(format_iec60062(0.22), "0R22");
    }

    #[test]
    fn percent_is_a_fraction_inside() {
        assert_eq!(parse_percent("1 %"), Ok(0.01));
        assert_eq!(parse_percent("0,5"), Ok(0.005));
        assert!(parse_percent("-1").is_err());
        assert_eq!(format_percent(0.01), "1 %");
    }

    #[test]
    fn gauge_areas_follow_the_formula_of_astm_b258() {
        // ASTM B258 formula, our own reference table: AWG 4 is 21.1506 mm², AWG 7 is 10.5488 mm².
        assert!((awg_area_mm2(4) - 21.1506).abs() < 1e-4);
        assert!((awg_area_mm2(7) - 10.5488).abs() < 1e-4);
    }
}
