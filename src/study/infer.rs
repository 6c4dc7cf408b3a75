//! What the controller is, from what was measured: its pull, its reference, how two switches join.

use crate::model::Side;
use crate::units::{format_ohm, format_volt, parse_number, parse_ohm};

/// One measured pair.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// Ohms put between pin and reference; infinite where open.
    pub ohm: f64,
    /// Volts at the pin.
    pub volt: f64,
}

/// A pull and a reference that explain a table, and how well.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Pull in ohms.
    pub pull_ohm: f64,
    /// Reference in volts.
    pub reference_volt: f64,
    /// Measured minus reckoned volts, row by row.
    pub residual_volt: Vec<f64>,
}

/// What a table of measurements says.
#[derive(Clone, Debug, PartialEq)]
pub struct TableVerdict {
    /// The best single pull and reference.
    pub fit: Fit,
    /// Whether every row agrees with it within the meter's error.
    pub is_good: bool,
    /// Where it does not: what is likely to be the cause, one sentence each, the likeliest first.
    pub causes: Vec<String>,
}

/// The pull from one known resistor.
///
/// Ground side: V = Vref R / (R + P). Supply side: V = Vref P / (R + P).
///
/// # Errors
/// One sentence where the figures cannot be: volts beyond the reference, an open resistor.
pub fn pull(side: Side, pair: Pair, reference_volt: f64) -> Result<f64, String> {
    let Pair { ohm, volt } = pair;
    if !(ohm.is_finite() && ohm > 0.0) {
        return Err("expected a resistor above zero ohms that is not open".into());
    }
    if !(volt > 0.0 && volt < reference_volt) {
        return Err(format!(
            "expected volts between 0 and the reference {}, found {}",
            format_volt(reference_volt),
            format_volt(volt)
        ));
    }
    Ok(match side {
        Side::Ground => ohm * (reference_volt - volt) / volt,
        Side::Supply => ohm * volt / (reference_volt - volt),
    })
}

/// Reads a table of ohms and volts as people paste it: one pair a line, separated by blanks, tabs,
/// semicolons or a comma with a blank; a decimal comma is understood, lines without two figures at
/// the top are headings.
///
/// # Errors
/// One sentence naming the line that was not understood.
pub fn parse_table(text: &str) -> Result<Vec<Pair>, String> {
    let mut pairs = Vec::new();
    for (n, line) in text.lines().enumerate() {
        let fields: Vec<&str> = line
            .split(['\t', ';', ' '])
            .map(|field| field.trim().trim_end_matches(','))
            .filter(|field| !field.is_empty())
            .collect();
        if fields.is_empty() {
            continue;
        }
        let pair = pair_of(&fields);
        match pair {
            Some(pair) => pairs.push(pair),
            None if pairs.is_empty() => {}
            None => {
                return Err(format!(
                    "expected ohms and volts such as 2k2 3.44 in line {}, found \"{}\"",
                    n + 1,
                    line.trim()
                ));
            }
        }
    }
    match pairs.len() {
        0 => Err("expected lines of ohms and volts such as 2k2 3.44, found none".into()),
        1 => Err("expected at least two rows of ohms and volts, found one".into()),
        _ => Ok(pairs),
    }
}

fn pair_of(fields: &[&str]) -> Option<Pair> {
    let is_unit = |text: &&&str| matches!(**text, "Ω" | "ohm" | "ohms" | "V" | "kΩ");
    let plain: Vec<&&str> = fields.iter().filter(|text| !is_unit(text)).collect();
    let [ohm, volt] = plain.as_slice() else { return None };
    let is_open = ["open", "ol", "inf"].contains(&ohm.to_lowercase().as_str());
    let ohm = if is_open { f64::INFINITY } else { parse_ohm(ohm).ok()? };
    let text = volt.trim_end_matches(['V', 'v']);
    let volt = parse_number(text, "V", "volts").ok()?;
    (ohm >= 0.0 && volt >= 0.0).then_some(Pair { ohm, volt })
}

/// Pull and reference from a table, and why none fits where none does.
///
/// Least squares of the volts, started from the straight line that reciprocals make.
/// `error_fraction` and `error_volt` are the meter's: a row agrees within their sum.
///
/// # Errors
/// One sentence where the rows do not fix both figures: all alike, or all at an end.
pub fn table(
    side: Side,
    pairs: &[Pair],
    (error_fraction, error_volt): (f64, f64),
) -> Result<TableVerdict, String> {
    let fit = fit(side, pairs).ok_or(
        "the rows do not fix a pull and a reference: measure with resistors further apart",
    )?;
    let agrees = |fit: &Fit, pairs: &[Pair]| {
        fit.residual_volt
            .iter()
            .zip(pairs)
            .all(|(rest, pair)| rest.abs() <= error_fraction * pair.volt + error_volt)
    };
    let is_good = agrees(&fit, pairs);
    let mut causes = Vec::new();
    if !is_good {
        let left_out = |skip: usize| -> Vec<Pair> {
            let others = pairs.iter().enumerate().filter(|(n, _)| *n != skip);
            others.map(|(_, pair)| *pair).collect()
        };
        let bad: Vec<usize> = (0..pairs.len())
            .filter(|skip| {
                let rest = left_out(*skip);
                rest.len() > 2 && self::fit(side, &rest).is_some_and(|fit| agrees(&fit, &rest))
            })
            .collect();
        if let [row] = bad.as_slice() {
            causes.push(format!(
                "row {} ({}, {}) alone does not fit: measure it again",
                row + 1,
                format_ohm(pairs[*row].ohm),
                format_volt(pairs[*row].volt)
            ));
        }
        if let Some(top) = clipped(pairs) {
            causes.push(format!(
                "several resistors read {}: the reading is cut off at full scale, leave those rows out",
                format_volt(top)
            ));
        }
        if let Some(offset) = offset(side, pairs, &agrees) {
            causes.push(format!(
                "all rows fit with the network's ground {} by {}: measure between the two grounds",
                if offset > 0.0 { "lifted" } else { "lowered" },
                format_volt(offset.abs())
            ));
        }
        if causes.is_empty() {
            causes.push(
                "no single pull and reference fit: a second module on the line, or a pin that is no plain divider"
                    .into(),
            );
        }
    }
    Ok(TableVerdict { fit, is_good, causes })
}

fn reckoned(side: Side, pull_ohm: f64, reference_volt: f64, ohm: f64) -> f64 {
    match side {
        Side::Ground if ohm.is_infinite() => reference_volt,
        Side::Ground => reference_volt * (ohm / (ohm + pull_ohm)),
        Side::Supply if ohm.is_infinite() => 0.0,
        Side::Supply => reference_volt * (pull_ohm / (ohm + pull_ohm)),
    }
}

fn fit(side: Side, pairs: &[Pair]) -> Option<Fit> {
    // 1/V is a straight line of 1/R on the ground side and of R on the supply side.
    let points: Vec<(f64, f64)> = pairs
        .iter()
        .filter(|pair| pair.volt > 0.0)
        .filter_map(|pair| match side {
            Side::Ground if pair.ohm > 0.0 => Some((1.0 / pair.ohm, 1.0 / pair.volt)),
            Side::Supply if pair.ohm.is_finite() => Some((pair.ohm, 1.0 / pair.volt)),
            Side::Ground | Side::Supply => None,
        })
        .collect();
    let (level, slope) = line(&points)?;
    let reference = 1.0 / level;
    let pull = match side {
        Side::Ground => slope * reference,
        Side::Supply => level / slope,
    };
    let (mut pull, mut reference) = (pull > 0.0 && reference > 0.0).then_some((pull, reference))?;
    // Gauss and Newton on the volts themselves, which is what the meter's error is in.
    for _ in 0..50 {
        let (mut aa, mut ab, mut bb, mut ar, mut br) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for pair in pairs {
            let at = |pull: f64, reference: f64| reckoned(side, pull, reference, pair.ohm);
            let rest = pair.volt - at(pull, reference);
            let by_pull = (at(pull * 1.000_001, reference) - at(pull, reference)) / (pull * 1e-6);
            let by_reference = at(pull, 1.0);
            (aa, ab, bb) = (
                aa + by_pull * by_pull,
                ab + by_pull * by_reference,
                bb + by_reference * by_reference,
            );
            (ar, br) = (ar + by_pull * rest, br + by_reference * rest);
        }
        let determinant = aa * bb - ab * ab;
        if determinant.abs() < f64::MIN_POSITIVE {
            return None;
        }
        let (d_pull, d_reference) =
            ((ar * bb - br * ab) / determinant, (br * aa - ar * ab) / determinant);
        let next = (pull + d_pull, reference + d_reference);
        if !(next.0 > 0.0 && next.1 > 0.0 && next.0.is_finite() && next.1.is_finite()) {
            break;
        }
        (pull, reference) = next;
        if d_pull.abs() < 1e-12 * pull && d_reference.abs() < 1e-12 * reference {
            break;
        }
    }
    let residual_volt =
        pairs.iter().map(|pair| pair.volt - reckoned(side, pull, reference, pair.ohm)).collect();
    Some(Fit { pull_ohm: pull, reference_volt: reference, residual_volt })
}

/// Level and slope of the straight line through points, by least squares.
fn line(points: &[(f64, f64)]) -> Option<(f64, f64)> {
    let n = points.len() as f64;
    let mean = |pick: fn(&(f64, f64)) -> f64| points.iter().map(pick).sum::<f64>() / n;
    let (x, y) = (mean(|point| point.0), mean(|point| point.1));
    let spread: f64 = points.iter().map(|point| (point.0 - x).powi(2)).sum();
    let common: f64 = points.iter().map(|point| (point.0 - x) * (point.1 - y)).sum();
    let slope = common / spread;
    let level = y - slope * x;
    (points.len() >= 2 && slope.is_finite() && level.is_finite() && level != 0.0)
        .then_some((level, slope))
}

/// The greatest reading, where resistors that differ share it.
fn clipped(pairs: &[Pair]) -> Option<f64> {
    let top = pairs.iter().map(|pair| pair.volt).fold(0.0, f64::max);
    let at_top: Vec<&Pair> = pairs.iter().filter(|pair| pair.volt == top).collect();
    (at_top.len() >= 2 && at_top.windows(2).any(|two| two[0].ohm != two[1].ohm)).then_some(top)
}

/// An offset of the network's ground with which all rows agree.
fn offset(side: Side, pairs: &[Pair], agrees: &dyn Fn(&Fit, &[Pair]) -> bool) -> Option<f64> {
    if side == Side::Supply || pairs.len() < 4 {
        return None;
    }
    let shifted = |offset: f64| -> Vec<Pair> {
        pairs.iter().map(|pair| Pair { volt: pair.volt - offset, ..*pair }).collect()
    };
    let worst = |offset: f64| -> f64 {
        fit(side, &shifted(offset))
            .map_or(f64::INFINITY, |fit| fit.residual_volt.iter().map(|rest| rest * rest).sum())
    };
    let least = pairs.iter().map(|pair| pair.volt).fold(f64::INFINITY, f64::min);
    // Golden section between what is possible and as much the other way.
    let (mut low, mut high) = (-least.max(0.5), least * 0.999);
    let golden = (5f64.sqrt() - 1.0) / 2.0;
    for _ in 0..100 {
        let (a, b) = (high - golden * (high - low), low + golden * (high - low));
        if worst(a) < worst(b) {
            high = b;
        } else {
            low = a;
        }
    }
    let offset = low.midpoint(high);
    let pairs = shifted(offset);
    let fit = fit(side, &pairs)?;
    (agrees(&fit, &pairs) && offset.abs() > 1e-3).then_some(offset)
}

/// How two switches join, by what both together read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Joined {
    /// Side by side: conductances add.
    Parallel,
    /// A chain in which the one nearer the pin wins.
    NearestWins,
    /// One after the other: resistances add.
    Series,
    /// None of these within the meter's error.
    Unknown,
}

impl Joined {
    /// What it means, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Parallel => "side by side: the conductances of both add up",
            Self::NearestWins => {
                "a chain: the switch nearer the pin wins, the other makes no difference"
            }
            Self::Series => "one after the other: the resistances of both add up",
            Self::Unknown => {
                "neither side by side nor a plain chain: draw what is known and compare"
            }
        }
    }
}

/// How two switches join, from the ohms with the one, the other, both and none of them pressed.
///
/// `error` is the fraction within which two readings count as one.
pub fn two_presses(one: f64, other: f64, both: f64, none: f64, error: f64) -> Joined {
    let is_near = |want: f64| (both - want).abs() <= error * want.max(both) || both == want;
    let siemens = |ohm: f64| if ohm.is_infinite() { 0.0 } else { 1.0 / ohm };
    // What is always there is in both readings and counts once.
    let parallel = 1.0 / (siemens(one) + siemens(other) - siemens(none));
    let series = one + other - if none.is_finite() { none } else { 0.0 };
    match () {
        () if is_near(parallel) => Joined::Parallel,
        () if is_near(one) || is_near(other) => Joined::NearestWins,
        () if is_near(series) => Joined::Series,
        () => Joined::Unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pull_by_hand() {
        // 5 V over 1 kΩ and 2.2 kΩ to ground: 5 × 2.2 / 3.2 = 3.4375 V.
        let pair = Pair { ohm: 2200.0, volt: 3.4375 };
        assert!((pull(Side::Ground, pair, 5.0).unwrap() - 1000.0).abs() < 1e-9);
        // 10 V over 3 kΩ and a pull-down of 1 kΩ: 2.5 V.
        let pair = Pair { ohm: 3000.0, volt: 2.5 };
        assert!((pull(Side::Supply, pair, 10.0).unwrap() - 1000.0).abs() < 1e-9);
        assert!(pull(Side::Ground, Pair { ohm: 100.0, volt: 6.0 }, 5.0).is_err());
        assert!(pull(Side::Ground, Pair { ohm: f64::INFINITY, volt: 5.0 }, 5.0).is_err());
    }

    #[test]
    fn tables_are_read_as_people_paste_them() {
        let text = "R\tV\n2k2\t3,4375\n1k5; 3.0\n\nopen 5.00 V\n";
        let pairs = parse_table(text).unwrap();
        assert_eq!(pairs.len(), 3);
        assert_eq!(pairs[0], Pair { ohm: 2200.0, volt: 3.4375 });
        assert!(pairs[2].ohm.is_infinite());
        assert!(parse_table("2k2 3.4\nbanana 2").unwrap_err().contains("line 2"));
        assert!(parse_table("").is_err() && parse_table("2k2 3.4").is_err());
    }

    fn made(side: Side, pull: f64, reference: f64, offset: f64) -> Vec<Pair> {
        [330.0, 680.0, 1500.0, 3300.0, 10e3]
            .map(|ohm| {
                let share = reckoned(side, pull, 1.0, ohm);
                Pair { ohm, volt: offset + (reference - offset) * share }
            })
            .to_vec()
    }

    #[test]
    fn pull_and_reference_come_back_from_what_they_make() {
        for (side, pull, reference) in
            [(Side::Ground, 1000.0, 5.0), (Side::Ground, 4700.0, 3.3), (Side::Supply, 2200.0, 12.0)]
        {
            let verdict = table(side, &made(side, pull, reference, 0.0), (0.005, 0.01)).unwrap();
            assert!(verdict.is_good && verdict.causes.is_empty());
            assert!((verdict.fit.pull_ohm / pull - 1.0).abs() < 1e-9);
            assert!((verdict.fit.reference_volt / reference - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn what_does_not_fit_is_given_its_likely_cause() {
        let mut one_bad = made(Side::Ground, 1000.0, 5.0, 0.0);
        one_bad[2].volt += 0.4;
        let verdict = table(Side::Ground, &one_bad, (0.005, 0.01)).unwrap();
        assert!(!verdict.is_good && verdict.causes[0].starts_with("row 3"), "{verdict:?}");

        let lifted = made(Side::Ground, 1000.0, 5.0, 0.35);
        let verdict = table(Side::Ground, &lifted, (0.002, 0.002)).unwrap();
        assert!(!verdict.is_good, "{verdict:?}");
        let cause = verdict.causes.iter().find(|cause| cause.contains("lifted by")).unwrap();
        assert!(cause.contains("0.35"), "{cause}");

        let mut cut = made(Side::Ground, 1000.0, 5.0, 0.0);
        for pair in &mut cut {
            pair.volt = pair.volt.min(3.3);
        }
        let verdict = table(Side::Ground, &cut, (0.005, 0.01)).unwrap();
        assert!(verdict.causes.iter().any(|cause| cause.contains("full scale")), "{verdict:?}");
    }

    #[test]
    fn two_presses_tell_a_ladder_from_a_chain() {
        // Common practice, no source: 6.81 kΩ beside 3.48 kΩ is 2.303 kΩ.
        let open = f64::INFINITY;
        assert_eq!(two_presses(6810.0, 3480.0, 2303.0, open, 0.01), Joined::Parallel);
        assert_eq!(two_presses(1000.0, 2000.0, 1000.0, 5000.0, 0.01), Joined::NearestWins);
        assert_eq!(two_presses(1000.0, 2000.0, 3000.0, open, 0.01), Joined::Series);
        assert_eq!(two_presses(1000.0, 2000.0, 777.0, open, 0.01), Joined::Unknown);
    }
}
