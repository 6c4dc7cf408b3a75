//! What a person prefers, whatever the project: theme, text size, units, resistor sign.

use serde::{Deserialize, Serialize};

/// Which theme to show.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ThemeChoice {
    /// Light paper.
    #[default]
    Paper,
    /// Dark bench.
    Bench,
}

/// Unit of lengths.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LengthUnit {
    /// Millimetres.
    #[default]
    Millimetre,
    /// Inches.
    Inch,
}

/// Unit of wire sizes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AreaUnit {
    /// Square millimetres.
    #[default]
    SquareMillimetre,
    /// American wire gauge.
    Awg,
}

/// How resistors are drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SignChoice {
    /// Rectangle, IEC 60617.
    #[default]
    Iec,
    /// Zigzag, IEEE 315.
    Ieee,
}

/// All preferences.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Preferences {
    /// Theme.
    pub theme: ThemeChoice,
    /// Text size, 1.0 is normal, from 0.8 to 2.0.
    pub text_scale: f32,
    /// Lengths.
    pub length: LengthUnit,
    /// Wire sizes.
    pub area: AreaUnit,
    /// Resistor sign.
    pub sign: SignChoice,
}

impl Default for Preferences {
    fn default() -> Self {
        Self {
            theme: ThemeChoice::default(),
            text_scale: 1.0,
            length: LengthUnit::default(),
            area: AreaUnit::default(),
            sign: SignChoice::default(),
        }
    }
}

impl Preferences {
    /// Smallest text scale.
    pub const LEAST_TEXT: f32 = 0.8;
    /// Largest text scale.
    pub const MOST_TEXT: f32 = 2.0;

    /// A length as this person reads it: `1870 mm`, `73.6 in`.
    pub fn length_text(&self, length_mm: f64) -> String {
        match self.length {
            LengthUnit::Millimetre => format!("{length_mm:.0} mm"),
            LengthUnit::Inch => format!("{:.1} in", length_mm / crate::units::MM_PER_INCH),
        }
    }

    /// Reads a length typed in this person's unit (or with `mm`, `cm`, `m`, `in` or `ft` behind it) into millimetres.
    ///
    /// # Errors
    /// One sentence: what was expected, what was found.
    pub fn parse_length_mm(&self, text: &str) -> Result<f64, String> {
        let expected = "a length such as 620 mm, 1.2 m or 24 in";
        let lower = text.trim().to_lowercase();
        let inch_mm = crate::units::MM_PER_INCH;
        let units =
            [("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("in", inch_mm), ("ft", 12.0 * inch_mm)];
        let own = if self.length == LengthUnit::Inch { inch_mm } else { 1.0 };
        let with_unit =
            units.into_iter().find_map(|(unit, mm)| Some((lower.strip_suffix(unit)?, mm)));
        let (body, unit_mm) = with_unit.unwrap_or((lower.as_str(), own));
        let value = crate::units::parse_number(body, "", expected)
            .map_err(|_| format!("expected {expected}, found \"{}\"", text.trim()))?;
        if value <= 0.0 {
            return Err(format!("a length must be above zero, found {}", text.trim()));
        }
        // Tenths of a metre are not exact in binary; a millionth of a millimetre is nobody's length.
        Ok((value * unit_mm * 1e6).round() / 1e6)
    }

    /// The text scale kept within what stays usable.
    pub fn clamped_text_scale(&self) -> f32 {
        if self.text_scale.is_finite() {
            self.text_scale.clamp(Self::LEAST_TEXT, Self::MOST_TEXT)
        } else {
            1.0
        }
    }
}
