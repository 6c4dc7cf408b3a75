//! What stands in one cell: sizes, colours, lengths, in the ways people write them.

use crate::model::{BaseColour, Colour, SizeUnit, WireSize, limits};

/// The decimal mark of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// `0.5`
    Point,
    /// `0,5`
    Comma,
}

/// What a length without a unit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthUnit {
    /// Millimetres.
    Mm,
    /// Centimetres.
    Cm,
    /// Metres.
    Metre,
    /// Inches of 25.4 mm.
    Inch,
}

impl LengthUnit {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Mm, Self::Cm, Self::Metre, Self::Inch];

    /// Its sign.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Cm => "cm",
            Self::Metre => "m",
            Self::Inch => "in",
        }
    }

    fn mm(self, value: f64) -> f64 {
        match self {
            Self::Mm => value,
            Self::Cm => value * 10.0,
            Self::Metre => value * 1_000.0,
            Self::Inch => value * 25.4,
        }
    }
}

/// A plain number in the table's notation, without a sign for thousands.
fn number(text: &str, decimal: Decimal) -> Option<f64> {
    let body = match decimal {
        Decimal::Point => text.to_owned(),
        Decimal::Comma if text.contains('.') => return None,
        Decimal::Comma => text.replace(',', "."),
    };
    let is_plain = body.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && body.bytes().any(|b| b.is_ascii_digit());
    body.parse().ok().filter(|value: &f64| is_plain && value.is_finite())
}

/// A sentence for a number with the other decimal mark.
fn mark_hint(text: &str, decimal: Decimal) -> &'static str {
    match decimal {
        Decimal::Point if text.contains(',') => " (the decimal mark is set to the point)",
        Decimal::Comma if text.contains('.') => " (the decimal mark is set to the comma)",
        Decimal::Point | Decimal::Comma => "",
    }
}

/// Reads `0.5`, `0.5 mm²`, `0,75 mm2`, `20 AWG`, `AWG 20`, `2/0 AWG`.
pub(super) fn size(text: &str, decimal: Decimal, bare: SizeUnit) -> Result<WireSize, String> {
    let refuse = || {
        format!(
            "expected a size such as 0.5 mm² or 20 AWG, found \"{text}\"{}",
            mark_hint(text, decimal)
        )
    };
    let other_mark = match decimal {
        Decimal::Point => ',',
        Decimal::Comma => '.',
    };
    if text.contains(other_mark) {
        return Err(refuse());
    }
    WireSize::from_text(text, bare).ok_or_else(refuse)
}

/// Reads `BK`, `red`, `RD/BK`, `rdbk`, `red-black`, `red with black tracer`; `tracer` is a cell of its own.
pub(super) fn colour(text: &str, tracer: Option<&str>) -> Result<Colour, String> {
    let colour = base_and_tracer(text).ok_or_else(|| {
        format!(
            "expected a colour such as BK, red, RD/BK or red with black tracer, found \"{text}\""
        )
    })?;
    let Some(own) = tracer.filter(|text| !text.is_empty() && !is_dash(text)) else {
        return Ok(colour);
    };
    match (one_colour(own), colour.tracer) {
        (None, _) => Err(format!("expected a tracer such as BK or black, found \"{own}\"")),
        (Some(own), None) => Ok(Colour { base: colour.base, tracer: Some(own) }),
        (Some(own), Some(other)) if own == other => Ok(colour),
        (Some(own), Some(other)) => {
            Err(format!("expected one tracer, found {} and {}", other.name(), own.name()))
        }
    }
}

fn base_and_tracer(text: &str) -> Option<Colour> {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !["", "with", "and", "tracer", "stripe", "on"].contains(word))
        .collect();
    match words.as_slice() {
        [one] => one_colour(one).map(Colour::plain).or_else(|| {
            // Two codes of IEC 60757 written together, such as GNYE.
            let (base, tracer) = (one.get(..2)?, one.get(2..)?);
            let code = |text: &str| one_colour(text).filter(|_| text.len() == 2);
            Some(Colour { base: code(base)?, tracer: Some(code(tracer)?) })
        }),
        [base, tracer] => {
            Some(Colour { base: one_colour(base)?, tracer: Some(one_colour(tracer)?) })
        }
        _ => None,
    }
}

fn one_colour(text: &str) -> Option<BaseColour> {
    match text.to_lowercase().as_str() {
        "gray" => Some(BaseColour::Grey),
        "purple" => Some(BaseColour::Violet),
        other => BaseColour::from_text(other),
    }
}

/// A dash alone: there is none.
pub(super) fn is_dash(text: &str) -> bool {
    ["-", "–"].contains(&text)
}

/// Reads `800`, `800 mm`, `80 cm`, `0,8 m`, `31.5 in`; nothing and a dash are no length.
pub(super) fn length_mm(
    text: &str,
    decimal: Decimal,
    bare: LengthUnit,
) -> Result<Option<f64>, String> {
    if text.is_empty() || is_dash(text) {
        return Ok(None);
    }
    let lower = text.to_lowercase().replace(' ', "");
    let with_unit = [
        ("mm", LengthUnit::Mm),
        ("cm", LengthUnit::Cm),
        ("in", LengthUnit::Inch),
        ("\"", LengthUnit::Inch),
        ("m", LengthUnit::Metre),
    ];
    let (body, unit) = with_unit
        .iter()
        .find_map(|(sign, unit)| Some((lower.strip_suffix(sign)?, *unit)))
        .unwrap_or((&lower, bare));
    number(body, decimal)
        .map(|value| unit.mm(value))
        .filter(|mm| limits::LENGTH_MM.holds(*mm))
        .map(Some)
        .ok_or_else(|| {
            format!(
                "expected a length such as 800 or 0.8 m, found \"{text}\"{}",
                mark_hint(text, decimal)
            )
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use BaseColour::{Black, Green, Grey, Red, Violet, Yellow};

    #[test]
    fn sizes_in_both_measures() {
        let point = |text: &str| size(text, Decimal::Point, SizeUnit::Mm2);
        for (text, want) in [
            ("0.5", WireSize::Mm2(0.5)),
            ("0.75 mm²", WireSize::Mm2(0.75)),
            ("1mm2", WireSize::Mm2(1.0)),
            ("20 AWG", WireSize::Awg(20)),
            ("AWG20", WireSize::Awg(20)),
            ("awg 2/0", WireSize::Awg(-1)),
            ("-3 AWG", WireSize::Awg(-3)),
            ("AWG-18", WireSize::Awg(18)),
        ] {
            assert_eq!(point(text), Ok(want), "{text}");
        }
        assert_eq!(size("0,35", Decimal::Comma, SizeUnit::Mm2), Ok(WireSize::Mm2(0.35)));
        assert_eq!(size("18", Decimal::Point, SizeUnit::Awg), Ok(WireSize::Awg(18)));
        assert_eq!(size("#4/0", Decimal::Point, SizeUnit::Awg), Ok(WireSize::Awg(-3)));
        for text in ["", "0", "thick", "AWG 99", "5/0 AWG", "-1", "1e3", "inf", "nan", "0.5.1"] {
            assert!(point(text).is_err(), "{text}");
        }
        assert!(point("0,5").unwrap_err().contains("decimal mark"));
        assert!(size("0.5", Decimal::Comma, SizeUnit::Mm2).unwrap_err().contains("comma"));
    }

    #[test]
    fn colours_by_code_and_by_word() {
        // Codes of IEC 60757; the words are common practice, no source.
        let two = |base, tracer| Colour { base, tracer: Some(tracer) };
        for (text, want) in [
            ("BK", Colour::plain(Black)),
            ("gray", Colour::plain(Grey)),
            ("Purple", Colour::plain(Violet)),
            ("RD/BK", two(Red, Black)),
            ("rdbk", two(Red, Black)),
            ("GNYE", two(Green, Yellow)),
            ("red-black", two(Red, Black)),
            ("Red with black tracer", two(Red, Black)),
            ("red, black stripe", two(Red, Black)),
        ] {
            assert_eq!(colour(text, None), Ok(want), "{text}");
        }
        assert_eq!(colour("red", Some("BK")), Ok(two(Red, Black)));
        assert_eq!(colour("red", Some("")), Ok(Colour::plain(Red)));
        assert!(colour("red/black", Some("green")).unwrap_err().contains("one tracer"));
        for text in ["", "mauve", "RD/XX", "RDB", "red black green", "rédbk"] {
            assert!(colour(text, None).is_err(), "{text}");
        }
        for base in BaseColour::ALL {
            for tracer in BaseColour::ALL {
                let want = Ok(two(base, tracer));
                assert_eq!(colour(&format!("{}{}", base.code(), tracer.code()), None), want);
                assert_eq!(colour(&two(base, tracer).text(), None), want);
            }
        }
    }

    #[test]
    fn lengths_with_and_without_unit() {
        let point = |text: &str| length_mm(text, Decimal::Point, LengthUnit::Mm);
        for (text, want) in [
            ("800", Some(800.0)),
            ("80 cm", Some(800.0)),
            ("0.8 m", Some(800.0)),
            ("2 in", Some(50.8)),
            ("2\"", Some(50.8)),
            ("", None),
            ("-", None),
        ] {
            assert_eq!(point(text), Ok(want), "{text}");
        }
        assert_eq!(length_mm("1,2", Decimal::Comma, LengthUnit::Metre), Ok(Some(1_200.0)));
        for text in ["0", "-5", "long", "1e9", "1,200", "1'200", "8 ft 3"] {
            assert!(point(text).is_err(), "{text}");
        }
    }
}
