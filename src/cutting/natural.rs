//! The order people expect of names: `D2` stands before `D10`.

use std::cmp::Ordering;

/// Compares two names: runs of digits by their value, all else letter by letter without regard to
/// case. Names that differ only in case or leading zeros are told apart last, so the order is total.
///
/// ```
/// use ohmloom::cutting::natural_order;
/// let mut names = ["D10", "d2", "D1", "D2"];
/// names.sort_by(|a, b| natural_order(a, b));
/// assert_eq!(names, ["D1", "D2", "d2", "D10"]);
/// ```
pub fn natural_order(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (a, b);
    loop {
        let (Some(x), Some(y)) = (left.chars().next(), right.chars().next()) else {
            return left.len().cmp(&right.len()).then_with(|| a.cmp(b));
        };
        let order = if x.is_ascii_digit() && y.is_ascii_digit() {
            let (m, n) = (take_digits(&mut left), take_digits(&mut right));
            m.len().cmp(&n.len()).then_with(|| m.cmp(n))
        } else {
            left = &left[x.len_utf8()..];
            right = &right[y.len_utf8()..];
            x.to_lowercase().cmp(y.to_lowercase())
        };
        if order != Ordering::Equal {
            return order;
        }
    }
}

/// Splits off leading digits and drops their leading zeros.
fn take_digits<'a>(text: &mut &'a str) -> &'a str {
    let end = text.bytes().position(|b| !b.is_ascii_digit()).unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    *text = rest;
    digits.trim_start_matches('0')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_count_by_value() {
        for (low, high) in [
            ("D2", "D10"),
            ("A9", "B1"),
            ("a1", "A2"),
            ("X2P-3", "X2P-11"),
            ("", "A"),
            ("A", "A1"),
            ("A01", "A1"),
            ("7", "A"),
            ("Ä2", "Ä10"),
            ("1x99999999999999999999998", "1x99999999999999999999999"),
        ] {
            assert_eq!(natural_order(low, high), Ordering::Less, "{low} {high}");
            assert_eq!(natural_order(high, low), Ordering::Greater, "{low} {high}");
        }
        assert_eq!(natural_order("D2", "D2"), Ordering::Equal);
    }

    #[test]
    fn the_order_is_total() {
        let names = ["", "0", "00", "1", "01", "a", "A", "a1", "A01", "a-1", "Ä", "10", "9"];
        for a in names {
            for b in names {
                assert_eq!(natural_order(a, b), natural_order(b, a).reverse(), "{a} {b}");
                assert_eq!(natural_order(a, b).is_eq(), a == b, "{a} {b}");
                for c in names {
                    if natural_order(a, b).is_lt() && natural_order(b, c).is_lt() {
                        assert!(natural_order(a, c).is_lt(), "{a} {b} {c}");
                    }
                }
            }
        }
    }
}
