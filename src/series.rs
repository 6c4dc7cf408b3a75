//! Preferred numbers for resistors: the E series of IEC 60063.
//!
//! Each value is 10^(i/n), rounded to two figures up to E24 and to three from E48 on, but for the
//! exceptions the standard keeps for history's sake (values checked against a reprint in the tests).

use std::fmt;

/// A series of preferred numbers, from coarse to fine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Series {
    /// 3 values a decade.
    E3,
    /// 6 values a decade, for 20 %.
    E6,
    /// 12 values a decade, for 10 %.
    E12,
    /// 24 values a decade, for 5 %.
    E24,
    /// 48 values a decade, for 2 %.
    E48,
    /// 96 values a decade, for 1 %.
    E96,
    /// 192 values a decade, for 0.5 % and finer.
    E192,
}

/// E24 values that differ from the rounded formula: formula, standard.
const E24_EXCEPTIONS: [(u32, u32); 8] =
    [(26, 27), (29, 30), (32, 33), (35, 36), (38, 39), (42, 43), (46, 47), (83, 82)];

impl Series {
    /// All series, coarse to fine.
    pub const ALL: [Self; 7] =
        [Self::E3, Self::E6, Self::E12, Self::E24, Self::E48, Self::E96, Self::E192];

    /// How many values a decade has.
    pub fn per_decade(self) -> u32 {
        match self {
            Self::E3 => 3,
            Self::E6 => 6,
            Self::E12 => 12,
            Self::E24 => 24,
            Self::E48 => 48,
            Self::E96 => 96,
            Self::E192 => 192,
        }
    }

    /// Significant figures of its values.
    pub fn figures(self) -> u32 {
        if self <= Self::E24 { 2 } else { 3 }
    }

    /// The values of one decade as whole numbers: 10 to 91 or 100 to 988.
    pub fn significands(self) -> Vec<u32> {
        let count = self.per_decade();
        (0..count).map(|idx| significand(idx, count, self.figures())).collect()
    }

    /// Whether the value is one of the series, in any decade.
    pub fn contains(self, ohm: f64) -> bool {
        split(ohm, self.figures())
            .is_some_and(|(digits, _, is_exact)| is_exact && self.significands().contains(&digits))
    }

    /// The value of the series with the least ratio to the one given; `None` where that is not above zero.
    ///
    /// ```
    /// use ohmloom::series::Series;
    /// assert_eq!(Series::E96.nearest(2878.0), Some(2870.0));
    /// assert_eq!(Series::E24.nearest(9.6e3), Some(1e4));
    /// ```
    pub fn nearest(self, ohm: f64) -> Option<f64> {
        let (_, exponent, _) = split(ohm, self.figures())?;
        let one_decade = self.significands();
        (exponent - 1..=exponent + 1)
            .flat_map(|exponent| one_decade.iter().map(move |digits| scaled(*digits, exponent)))
            .min_by(|a, b| ratio(*a, ohm).total_cmp(&ratio(*b, ohm)))
    }

    /// The coarsest series that has this value.
    pub fn of(ohm: f64) -> Option<Self> {
        Self::ALL.into_iter().find(|series| series.contains(ohm))
    }
}

impl fmt::Display for Series {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "E{}", self.per_decade())
    }
}

fn significand(idx: u32, count: u32, figures: u32) -> u32 {
    let exact = 10f64.powf(f64::from(idx) / f64::from(count)) * 10f64.powi(figures as i32 - 1);
    let rounded = exact.round() as u32;
    match (figures, rounded) {
        // The one exception of the three-figure series, which only E192 reaches.
        (3, 919) => 920,
        (2, _) => E24_EXCEPTIONS
            .iter()
            .find(|(formula, _)| *formula == rounded)
            .map_or(rounded, |(_, kept)| *kept),
        (_, rounded) => rounded,
    }
}

/// A value as a whole number of some figures, a power of ten, and whether that is all of it.
fn split(ohm: f64, figures: u32) -> Option<(u32, i32, bool)> {
    if !(ohm > 0.0 && ohm.is_finite()) {
        return None;
    }
    let text = format!("{ohm:.*e}", figures as usize - 1);
    let (digits, exponent) = text.split_once('e')?;
    let digits: u32 = digits.replace('.', "").parse().ok()?;
    let exponent = exponent.parse::<i32>().ok()? - (figures as i32 - 1);
    let is_exact = (scaled(digits, exponent) / ohm - 1.0).abs() < 1e-9;
    Some((digits, exponent, is_exact))
}

/// Digits times a power of ten, rounded once.
fn scaled(digits: u32, exponent: i32) -> f64 {
    format!("{digits}e{exponent}").parse().unwrap_or(f64::INFINITY)
}

fn ratio(a: f64, b: f64) -> f64 {
    (a / b).max(b / a)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_found_in_every_decade() {
        for (ohm, want) in [
            (4700.0, Some(Series::E3)),
            (0.22, Some(Series::E3)),
            (8250.0, Some(Series::E48)),
            (4420.0, Some(Series::E48)),
            (3480.0, Some(Series::E48)),
            (6810.0, Some(Series::E48)),
            (1.5e6, Some(Series::E6)),
            (5.05e3, Some(Series::E192)),
            (1234.0, None),
            (0.0, None),
            (-5.0, None),
            (f64::NAN, None),
            (f64::INFINITY, None),
        ] {
            assert_eq!(Series::of(ohm), want, "{ohm}");
        }
    }

    #[test]
    fn the_nearest_is_nearest_by_ratio_and_keeps_its_own() {
        for series in Series::ALL {
            for digits in series.significands() {
                let ohm = scaled(digits, 2);
                assert_eq!(series.nearest(ohm), Some(ohm));
                assert_eq!(series.nearest(ohm * 1.0001), Some(ohm));
                assert_eq!(series.nearest(ohm / 1.0001), Some(ohm));
            }
        }
        assert_eq!(Series::E12.nearest(0.0), None);
        assert_eq!(Series::E192.nearest(9.99e4), Some(1e5));
    }
}
