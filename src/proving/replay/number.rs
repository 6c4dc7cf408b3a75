//! Numbers at the beginning of a cell, read from bytes without making text of them.
//!
//! The value is the one nearest to the digits, the same that the standard library gives.

/// Powers of ten that a double holds exactly.
const TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];
/// Whole numbers up to this are exact in a double.
const EXACT: u64 = 1 << 53;

/// The number at the beginning of `bytes` and how many bytes it takes; finite.
///
/// With at most 53 bits of digits and a power of ten that is exact, one multiplication or division
/// rounds right (W. Clinger, How to Read Floating Point Numbers Accurately, 1990); all else goes to
/// the standard library.
pub fn leading_number(bytes: &[u8], decimal: u8) -> Option<(f64, usize)> {
    let mut at = usize::from(matches!(bytes.first(), Some(b'-' | b'+')));
    let is_negative = bytes.first() == Some(&b'-');
    let (mut digits, mut n_digits, mut n_behind) = (0_u64, 0_usize, 0_i32);
    let mut is_behind = false;
    while let Some(byte) = bytes.get(at) {
        match byte {
            b'0'..=b'9' => {
                digits = digits.wrapping_mul(10).wrapping_add(u64::from(byte - b'0'));
                n_digits += 1;
                n_behind += i32::from(is_behind);
            }
            mark if *mark == decimal && !is_behind => is_behind = true,
            _ => break,
        }
        at += 1;
    }
    if n_digits == 0 {
        return None;
    }
    let (power, taken) = exponent(&bytes[at..]);
    at += taken;
    let power = power.saturating_sub(n_behind);
    let size = power.unsigned_abs() as usize;
    let value = if n_digits <= 19 && digits <= EXACT && size < TENS.len() {
        let whole = digits as f64;
        if power < 0 { whole / TENS[size] } else { whole * TENS[size] }
    } else {
        return by_library(&bytes[..at], decimal).map(|value| (value, at));
    };
    Some((if is_negative { -value } else { value }, at))
}

/// `e-3` and how long it is; nothing where no digits follow the letter.
fn exponent(bytes: &[u8]) -> (i32, usize) {
    if !matches!(bytes.first(), Some(b'e' | b'E')) {
        return (0, 0);
    }
    let sign = usize::from(matches!(bytes.get(1), Some(b'-' | b'+')));
    let digits = bytes[1 + sign..].iter().take_while(|byte| byte.is_ascii_digit()).count();
    if digits == 0 {
        return (0, 0);
    }
    let all = &bytes[1 + sign..1 + sign + digits];
    let power = all
        .iter()
        .fold(0_i32, |power, byte| power.saturating_mul(10).saturating_add(i32::from(byte - b'0')));
    (if bytes[1] == b'-' { -power } else { power }, 1 + sign + digits)
}

fn by_library(bytes: &[u8], decimal: u8) -> Option<f64> {
    let plain: Vec<u8> =
        bytes.iter().map(|byte| if *byte == decimal { b'.' } else { *byte }).collect();
    std::str::from_utf8(&plain).ok()?.parse().ok().filter(|value: &f64| value.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::Random;

    /// Against the standard library, which rounds right: written numbers of every size.
    #[test]
    fn numbers_are_those_of_the_standard_library() {
        let mut random = Random::new(7);
        for n in 0..40_000 {
            let value = random.decades(1e-25, 1e25) * if random.once_in(2) { -1.0 } else { 1.0 };
            let text = match n % 4 {
                0 => format!("{value}"),
                1 => format!("{value:e}"),
                2 => format!("{:.3}", value % 1e6),
                _ => format!("{}", random.bits()),
            };
            let want: f64 = text.parse().unwrap();
            let (got, taken) = leading_number(text.as_bytes(), b'.').unwrap();
            assert_eq!((got.to_bits(), taken), (want.to_bits(), text.len()), "{text}");
            let comma = text.replace('.', ",");
            let (got, _) = leading_number(comma.as_bytes(), b',').unwrap();
            assert_eq!(got.to_bits(), want.to_bits(), "{comma}");
        }
    }

    #[test]
    fn what_follows_is_left_alone() {
        for (text, want, taken) in [
            ("4.42 kohm", 4.42, 4),
            ("12ms", 12.0, 2),
            ("5e", 5.0, 1),
            ("+3.5V", 3.5, 4),
            (".5", 0.5, 2),
            ("1.2.3", 1.2, 3),
            ("1e3x", 1000.0, 3),
        ] {
            assert_eq!(leading_number(text.as_bytes(), b'.'), Some((want, taken)), "{text}");
        }
        for text in ["", "-", ".", "nan", "inf", "x1", "1e400", "9e99999999999"] {
            assert_eq!(leading_number(text.as_bytes(), b'.'), None, "{text}");
        }
    }
}
