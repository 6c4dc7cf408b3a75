//! Values to choose from: a series over some decades, or what lies in the drawer.

use crate::series::Series;
use crate::units::{format_ohm, format_percent, parse_ohm, parse_percent};

/// One value a part may take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// Resistance in ohms.
    pub ohm: f64,
    /// Greatest deviation as a fraction.
    pub tolerance: f64,
    /// How it is made.
    pub recipe: Recipe,
    /// How many there are; `None` where any number can be bought.
    pub quantity: Option<u32>,
}

/// One resistor as it is bought or lies in the drawer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Single {
    /// Resistance in ohms.
    pub ohm: f64,
    /// Greatest deviation as a fraction.
    pub tolerance: f64,
}

/// How a value is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Recipe {
    /// One resistor.
    One(Single),
    /// Two in series.
    Series(Single, Single),
    /// Two side by side.
    Parallel(Single, Single),
}

impl Recipe {
    /// The resistors it takes, the second only where there are two.
    pub fn parts(self) -> (Single, Option<Single>) {
        match self {
            Self::One(one) => (one, None),
            Self::Series(a, b) | Self::Parallel(a, b) => (a, Some(b)),
        }
    }

    /// `1.5 kΩ`, `1 kΩ + 470 Ω`, `4.7 kΩ 5 % ∥ 10 kΩ`: a tolerance is named where it is not `usual`.
    pub fn words(self, usual: f64) -> String {
        let one = |single: Single| {
            let ohm = format_ohm(single.ohm);
            if single.tolerance == usual {
                ohm
            } else {
                format!("{ohm} {}", format_percent(single.tolerance))
            }
        };
        match self {
            Self::One(single) => one(single),
            Self::Series(a, b) => format!("{} + {}", one(a), one(b)),
            Self::Parallel(a, b) => format!("{} ∥ {}", one(a), one(b)),
        }
    }
}

/// All values of a series from `low` to `high` ohms, both counted, in order.
pub fn from_series(series: Series, low: f64, high: f64, tolerance: f64) -> Vec<Candidate> {
    let places = i32::try_from(series.figures()).unwrap_or(2) - 1;
    let mut list = Vec::new();
    for exponent in -3..=9 {
        for digits in series.significands() {
            let ohm = scaled(digits, exponent - places);
            if (low..=high).contains(&ohm) {
                let recipe = Recipe::One(Single { ohm, tolerance });
                list.push(Candidate { ohm, tolerance, recipe, quantity: None });
            }
        }
    }
    list
}

/// A whole number times a power of ten, to the digit it is written with.
fn scaled(digits: u32, exponent: i32) -> f64 {
    let power = 10f64.powi(exponent.abs());
    if exponent < 0 { f64::from(digits) / power } else { f64::from(digits) * power }
}

/// Reads `4k7 x10, 1k5 5% x3`, separated by commas, semicolons or lines: value, tolerance if it is
/// not `tolerance`, and how many.
///
/// # Errors
/// One sentence naming the entry that was not understood.
pub fn drawer(text: &str, tolerance: f64) -> Result<Vec<Candidate>, String> {
    let mut list: Vec<Candidate> = Vec::new();
    for entry in text.split([',', ';', '\n']).map(str::trim).filter(|entry| !entry.is_empty()) {
        let bad = |found: &str| {
            format!(
                "expected a value, a tolerance or how many, such as 4k7 1% x10, found \"{found}\" in \"{entry}\""
            )
        };
        let mut words = entry.split_whitespace();
        let first = words.next().unwrap_or_default();
        let ohm = parse_ohm(first).ok().filter(|ohm| *ohm > 0.0).ok_or_else(|| bad(first))?;
        let mut candidate =
            Candidate { ohm, tolerance, recipe: single(ohm, tolerance), quantity: Some(1) };
        let mut is_counted = false;
        for word in words {
            let lower = word.to_lowercase();
            let count = lower.strip_prefix('x').or_else(|| lower.strip_suffix('x'));
            if let Some(count) = count.and_then(|digits| digits.trim_matches('×').parse().ok()) {
                candidate.quantity = Some(count);
                is_counted = true;
            } else if lower.ends_with('%') {
                candidate.tolerance = parse_percent(word)
                    .ok()
                    .filter(|share| *share < 1.0)
                    .ok_or_else(|| bad(word))?;
            } else {
                return Err(bad(word));
            }
        }
        if !is_counted {
            candidate.quantity = Some(1);
        }
        candidate.recipe = single(ohm, candidate.tolerance);
        match list
            .iter_mut()
            .find(|known| known.ohm == ohm && known.tolerance == candidate.tolerance)
        {
            Some(known) => {
                let more = candidate.quantity.unwrap_or(0);
                known.quantity = known.quantity.map(|count| count.saturating_add(more));
            }
            None => list.push(candidate),
        }
    }
    list.retain(|candidate| candidate.quantity != Some(0));
    list.sort_by(|a, b| a.ohm.total_cmp(&b.ohm));
    Ok(list)
}

fn single(ohm: f64, tolerance: f64) -> Recipe {
    Recipe::One(Single { ohm, tolerance })
}

/// The same list with every pair in series and side by side added; of equal values the simplest stays.
///
/// The tolerance of a pair is that of its wider member, which bounds it.
pub fn pairs(list: &[Candidate]) -> Vec<Candidate> {
    let mut all = list.to_vec();
    for (n, a) in list.iter().enumerate() {
        for b in &list[n..] {
            if a == b && a.quantity == Some(1) {
                continue;
            }
            let tolerance = a.tolerance.max(b.tolerance);
            let quantity = a.quantity.or(b.quantity).map(|_| 1);
            let [one, other] = [a, b].map(|c| Single { ohm: c.ohm, tolerance: c.tolerance });
            let (sum, beside) = (a.ohm + b.ohm, a.ohm * (b.ohm / (a.ohm + b.ohm)));
            for (ohm, recipe) in
                [(sum, Recipe::Series(one, other)), (beside, Recipe::Parallel(one, other))]
            {
                all.push(Candidate { ohm, tolerance, recipe, quantity });
            }
        }
    }
    let is_pair = |candidate: &Candidate| !matches!(candidate.recipe, Recipe::One(_));
    all.sort_by(|a, b| a.ohm.total_cmp(&b.ohm).then(is_pair(a).cmp(&is_pair(b))));
    all.dedup_by(|later, first| {
        (later.ohm / first.ohm - 1.0).abs() < 1e-9 && later.tolerance >= first.tolerance
    });
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_series_is_cut_to_its_decades() {
        let list = from_series(Series::E24, 1e3, 1e4, 0.01);
        assert_eq!(list.len(), 25);
        assert_eq!((list[0].ohm, list[24].ohm), (1e3, 1e4));
        assert_eq!(from_series(Series::E96, 100.0, 99_999.0, 0.01).len(), 288);
    }

    #[test]
    fn a_drawer_is_read_and_counted() {
        let list = drawer("4k7 x10, 1k5 5% x3\n4k7; 330 2x", 0.01).unwrap();
        let short: Vec<_> = list.iter().map(|c| (c.ohm, c.tolerance, c.quantity)).collect();
        assert_eq!(
            short,
            [(330.0, 0.01, Some(2)), (1500.0, 0.05, Some(3)), (4700.0, 0.01, Some(11))]
        );
        for text in ["banana", "4k7 y3", "-5", "1k 200%"] {
            assert!(drawer(text, 0.01).unwrap_err().contains("found"), "{text}");
        }
    }

    #[test]
    fn pairs_add_what_single_ones_cannot_be() {
        let list = pairs(&drawer("1k x2, 2k2", 0.01).unwrap());
        let ohms: Vec<f64> = list.iter().map(|c| c.ohm.round()).collect();
        // 1k∥1k, 1k∥2.2k, 1k, 1k+1k, 2.2k, 3.2k; there is only one 2k2.
        assert_eq!(ohms, [500.0, 688.0, 1000.0, 2000.0, 2200.0, 3200.0]);
    }
}
