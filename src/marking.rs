//! What is printed on a resistor: colour rings, letters and digits, as IEC 60062 has them.
//!
//! The digits of the colours are checked against a reprint of the standard in the tests; multipliers,
//! tolerances and tolerance letters are from memory.

/// One ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ring {
    /// 0.
    Black,
    /// 1, or 1 %.
    Brown,
    /// 2, or 2 %.
    Red,
    /// 3, or 0.05 %.
    Orange,
    /// 4, or 0.02 %.
    Yellow,
    /// 5, or 0.5 %.
    Green,
    /// 6, or 0.25 %.
    Blue,
    /// 7, or 0.1 %.
    Violet,
    /// 8, or 0.01 %.
    Grey,
    /// 9.
    White,
    /// A tenth, or 5 %.
    Gold,
    /// A hundredth, or 10 %.
    Silver,
    /// A thousandth.
    Pink,
}

impl Ring {
    /// All of them, those of the digits first and in their order.
    pub const ALL: [Self; 13] = [
        Self::Black,
        Self::Brown,
        Self::Red,
        Self::Orange,
        Self::Yellow,
        Self::Green,
        Self::Blue,
        Self::Violet,
        Self::Grey,
        Self::White,
        Self::Gold,
        Self::Silver,
        Self::Pink,
    ];

    /// Plain English name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Black => "black",
            Self::Brown => "brown",
            Self::Red => "red",
            Self::Orange => "orange",
            Self::Yellow => "yellow",
            Self::Green => "green",
            Self::Blue => "blue",
            Self::Violet => "violet",
            Self::Grey => "grey",
            Self::White => "white",
            Self::Gold => "gold",
            Self::Silver => "silver",
            Self::Pink => "pink",
        }
    }

    /// The digit it stands for.
    pub fn digit(self) -> Option<u32> {
        Self::ALL[..10].iter().position(|ring| *ring == self).map(|digit| digit as u32)
    }

    /// The power of ten it stands for.
    pub fn exponent(self) -> i32 {
        match self {
            Self::Gold => -1,
            Self::Silver => -2,
            Self::Pink => -3,
            Self::Black => 0,
            Self::Brown => 1,
            Self::Red => 2,
            Self::Orange => 3,
            Self::Yellow => 4,
            Self::Green => 5,
            Self::Blue => 6,
            Self::Violet => 7,
            Self::Grey => 8,
            Self::White => 9,
        }
    }

    /// The tolerance it stands for, as a fraction.
    pub fn tolerance(self) -> Option<f64> {
        match self {
            Self::Brown => Some(0.01),
            Self::Red => Some(0.02),
            Self::Orange => Some(0.0005),
            Self::Yellow => Some(0.0002),
            Self::Green => Some(0.005),
            Self::Blue => Some(0.0025),
            Self::Violet => Some(0.001),
            Self::Grey => Some(0.0001),
            Self::Gold => Some(0.05),
            Self::Silver => Some(0.1),
            Self::Black | Self::White | Self::Pink => None,
        }
    }
}

/// Letters of tolerances as fractions.
const LETTERS: [(char, f64); 12] = [
    ('E', 0.000_05),
    ('L', 0.0001),
    ('P', 0.0002),
    ('W', 0.0005),
    ('B', 0.001),
    ('C', 0.0025),
    ('D', 0.005),
    ('F', 0.01),
    ('G', 0.02),
    ('H', 0.03),
    ('J', 0.05),
    ('N', 0.3),
];

/// Letters that are a tolerance only behind a value, because they may also stand for its point.
const LETTERS_BEHIND: [(char, f64); 2] = [('K', 0.1), ('M', 0.2)];

/// What is printed on a resistor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Marked {
    /// Ohms.
    pub ohm: f64,
    /// Tolerance as a fraction, where it is printed.
    pub tolerance: Option<f64>,
}

/// Rings of a value with two or three digits, from the first digit to the tolerance. `None` where no
/// such rings say that value exactly, or where no ring stands for the tolerance.
///
/// ```
/// use ohmloom::marking::{Ring, rings};
/// let four = [Ring::Yellow, Ring::Violet, Ring::Red, Ring::Gold];
/// assert_eq!(rings(4700.0, 0.05, 2).as_deref(), Some(&four[..]));
/// ```
pub fn rings(ohm: f64, tolerance: f64, n_digits: u32) -> Option<Vec<Ring>> {
    let (figures, exponent) = split(ohm, n_digits)?;
    let multiplier = Ring::ALL.into_iter().find(|ring| ring.exponent() == exponent)?;
    let last = Ring::ALL
        .into_iter()
        .find(|ring| ring.tolerance().is_some_and(|one| (one - tolerance).abs() < 1e-9))?;
    let digits = (0..n_digits).rev().map(|place| figures / 10u32.pow(place) % 10);
    let mut list: Vec<Ring> = digits.map(|digit| Ring::ALL[digit as usize]).collect();
    list.extend([multiplier, last]);
    Some(list)
}

/// Reads rings from the first to the last: two digits in three or four rings, three in five. Three
/// rings have no tolerance ring, which means 20 %.
///
/// # Errors
/// One sentence: which ring cannot stand where it is.
pub fn read_rings(rings: &[Ring]) -> Result<Marked, String> {
    let (n_digits, tolerance) = match rings {
        [_, _, _] => (2, Some(0.2)),
        [_, _, _, last] => (2, tolerance_of(*last)?),
        [_, _, _, _, last] => (3, tolerance_of(*last)?),
        _ => return Err(format!("a resistor has three to five rings, found {}", rings.len())),
    };
    let mut figures = 0;
    for ring in &rings[..n_digits] {
        let digit = ring.digit().ok_or_else(|| format!("{} stands for no digit", ring.name()))?;
        figures = figures * 10 + digit;
    }
    if rings[0] == Ring::Black {
        return Err("no value starts with black".into());
    }
    Ok(Marked { ohm: scaled(figures, rings[n_digits].exponent()), tolerance })
}

fn tolerance_of(ring: Ring) -> Result<Option<f64>, String> {
    let tolerance = ring.tolerance();
    tolerance.map(Some).ok_or_else(|| format!("{} stands for no tolerance", ring.name()))
}

/// Reads rings from either end: nobody can always tell which is the first.
pub fn read_both_ways(rings: &[Ring]) -> [Result<Marked, String>; 2] {
    let turned: Vec<Ring> = rings.iter().rev().copied().collect();
    [read_rings(rings), read_rings(&turned)]
}

/// Digits as they are printed on small flat resistors: figures and the number of zeros behind them,
/// `472` and `4701` with two and three figures; below ten or a hundred ohms `R` is the point. `None` where that
/// many figures do not say the value exactly.
pub fn digits(ohm: f64, n_figures: u32) -> Option<String> {
    let (figures, exponent) = split(ohm, n_figures)?;
    match exponent {
        0..=9 => Some(format!("{figures}{exponent}")),
        _ => {
            let behind = usize::try_from(-exponent).ok()?;
            let text = format!("{figures:0>width$}", width = behind);
            let (whole, part) = text.split_at_checked(text.len().checked_sub(behind)?)?;
            (behind <= n_figures as usize).then(|| format!("{whole}R{part}"))
        }
    }
}

/// Reads digits and letters as they are printed: `472`, `4701`, `4R7`, `R22`, `4K7`, `4K7F`.
///
/// # Errors
/// One sentence: what can be read, and what was found.
pub fn read_code(text: &str) -> Result<Marked, String> {
    let code = text.trim().to_uppercase();
    let refuse =
        || format!("expected a marking such as 472, 4701, 4R7 or 4K7F, found \"{}\"", text.trim());
    if code.is_empty() || !code.bytes().all(|b| b.is_ascii_alphanumeric()) || code.len() > 7 {
        return Err(refuse());
    }
    if (3..=4).contains(&code.len()) && code.bytes().all(|b| b.is_ascii_digit()) {
        let (figures, zeros) = code.split_at(code.len() - 1);
        let (figures, zeros) = figures.parse().ok().zip(zeros.parse().ok()).ok_or_else(refuse)?;
        return Ok(Marked { ohm: scaled(figures, zeros), tolerance: None });
    }
    let (value, tolerance) = without_tolerance(&code);
    let at = value.find(|c: char| c.is_ascii_alphabetic()).ok_or_else(refuse)?;
    let factor = match &value[at..=at] {
        "L" => -3,
        "R" => 0,
        "K" => 3,
        "M" => 6,
        "G" => 9,
        _ => return Err(refuse()),
    };
    let (whole, part) = (&value[..at], &value[at + 1..]);
    let figures = format!("{whole}{part}");
    if !(1..=4).contains(&figures.len()) || !figures.bytes().all(|b| b.is_ascii_digit()) {
        return Err(refuse());
    }
    let number: u32 = figures.parse().map_err(|_| refuse())?;
    let places = i32::try_from(part.len()).map_err(|_| refuse())?;
    Ok(Marked { ohm: scaled(number, factor - places), tolerance })
}

/// A code without the letter of its tolerance, and that tolerance.
fn without_tolerance(code: &str) -> (&str, Option<f64>) {
    let Some(last) = code.chars().last().filter(char::is_ascii_alphabetic) else {
        return (code, None);
    };
    let rest = &code[..code.len() - 1];
    let n_letters = rest.bytes().filter(u8::is_ascii_alphabetic).count();
    let known = LETTERS.iter().chain(&LETTERS_BEHIND).find(|(letter, _)| *letter == last);
    match known {
        Some((_, tolerance)) if n_letters == 1 => (rest, Some(*tolerance)),
        Some(_) | None => (code, None),
    }
}

/// A value as a whole number of figures and a power of ten; `None` where that is not all of it.
fn split(ohm: f64, n_figures: u32) -> Option<(u32, i32)> {
    if !(ohm.is_finite() && ohm > 0.0) {
        return None;
    }
    let text = format!("{ohm:.*e}", n_figures as usize - 1);
    let (figures, exponent) = text.split_once('e')?;
    let figures: u32 = figures.replace('.', "").parse().ok()?;
    let exponent = exponent.parse::<i32>().ok()? - (n_figures as i32 - 1);
    ((scaled(figures, exponent) / ohm - 1.0).abs() < 1e-9).then_some((figures, exponent))
}

/// Figures times a power of ten, rounded once.
fn scaled(figures: u32, exponent: i32) -> f64 {
    format!("{figures}e{exponent}").parse().unwrap_or(f64::INFINITY)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(ohm: f64, tolerance: f64, n_digits: u32) -> Option<String> {
        let list = rings(ohm, tolerance, n_digits)?;
        Some(list.into_iter().map(Ring::name).collect::<Vec<_>>().join(" "))
    }

    /// Worked values are common practice, no source.
    #[test]
    fn rings_follow_the_table() {
        for (ohm, tolerance, n_digits, want) in [
            (6810.0, 0.01, 3, "blue grey brown brown brown"),
            (1210.0, 0.01, 3, "brown red brown brown brown"),
            (4700.0, 0.05, 3, "yellow violet black brown gold"),
            (4700.0, 0.05, 2, "yellow violet red gold"),
            (0.22, 0.05, 3, "red red black pink gold"),
            (0.22, 0.05, 2, "red red silver gold"),
            (1e6, 0.02, 3, "brown black black yellow red"),
            (9.99, 0.1, 3, "white white white silver silver"),
        ] {
            assert_eq!(names(ohm, tolerance, n_digits).as_deref(), Some(want), "{ohm}");
        }
        assert_eq!(names(6810.0, 0.01, 2), None);
        assert_eq!(names(12_345.0, 0.01, 3), None);
        assert_eq!(names(1000.0, 0.03, 3), None);
        assert_eq!(names(0.0, 0.01, 3), None);
        assert_eq!(names(f64::NAN, 0.01, 3), None);
    }

    #[test]
    fn what_rings_say_is_read_back() {
        for n_digits in [2, 3] {
            let first = 10u32.pow(n_digits - 1);
            for figures in first..first * 10 {
                for exponent in -3..=9 {
                    let ohm = scaled(figures, exponent);
                    let list = rings(ohm, 0.01, n_digits).unwrap();
                    assert_eq!(read_rings(&list), Ok(Marked { ohm, tolerance: Some(0.01) }));
                }
            }
        }
    }

    #[test]
    fn rings_can_be_read_from_either_end_or_from_one_only() {
        // 1 kΩ 1 % turned round starts with its tolerance ring: 1, 1, 0 times ten to the 0, 1 %.
        let list = rings(1000.0, 0.01, 3).unwrap();
        let [one, other] = read_both_ways(&list);
        assert_eq!(one.unwrap().ohm, 1000.0);
        assert_eq!(other.unwrap().ohm, 110.0);
        let [one, other] = read_both_ways(&rings(4700.0, 0.05, 2).unwrap());
        assert_eq!(one.unwrap().ohm, 4700.0);
        assert_eq!(other.unwrap_err(), "gold stands for no digit");
        let three = [Ring::Orange, Ring::Orange, Ring::Brown];
        assert_eq!(read_rings(&three), Ok(Marked { ohm: 330.0, tolerance: Some(0.2) }));
        assert!(read_rings(&[Ring::Red]).is_err());
        assert!(read_rings(&[Ring::Black, Ring::Red, Ring::Red, Ring::Gold]).is_err());
    }

    #[test]
    fn digits_and_letters_are_printed_and_read() {
        for (ohm, n_figures, want) in [
            (4700.0, 2, "472"),
            (4700.0, 3, "4701"),
            (47.0, 2, "470"),
            (4.7, 2, "4R7"),
            (0.22, 2, "R22"),
            (49.9, 3, "49R9"),
            (6810.0, 3, "6811"),
        ] {
            assert_eq!(digits(ohm, n_figures).as_deref(), Some(want));
            assert_eq!(read_code(want).unwrap().ohm, ohm, "{want}");
        }
        assert_eq!(digits(6810.0, 2), None);
        let both = |text: &str| read_code(text).map(|marked| (marked.ohm, marked.tolerance));
        assert_eq!(both("4k7f"), Ok((4700.0, Some(0.01))));
        assert_eq!(both("4K7K"), Ok((4700.0, Some(0.1))));
        assert_eq!(both("100R"), Ok((100.0, None)));
        assert_eq!(both("1M"), Ok((1e6, None)));
        assert_eq!(both("R47J"), Ok((0.47, Some(0.05))));
        for text in ["", "banana", "47", "4K7X", "R", "99999K", "-4R7"] {
            assert!(read_code(text).is_err(), "{text}");
        }
    }
}
