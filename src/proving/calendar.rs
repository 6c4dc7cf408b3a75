//! Days of the Gregorian calendar.

/// Days from 1970-01-01 to a day; `None` where there is no such day.
pub fn day_number(year: u32, month: u32, day: u32) -> Option<i64> {
    let is_leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    let days = match month {
        2 => 28 + u32::from(is_leap),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    };
    if !(1..=12).contains(&month) || !(1..=days).contains(&day) {
        return None;
    }
    // Years are counted from March, so that the odd day comes last.
    let (month, day) = (i64::from(month), i64::from(day));
    let year = i64::from(year) - i64::from(month <= 2);
    let (era, of_era) = (year.div_euclid(400), year.rem_euclid(400));
    let of_year = (153 * (month + if month > 2 { -3 } else { 9 }) + 2) / 5 + day - 1;
    Some(era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_those_of_the_calendar() {
        assert_eq!(day_number(1970, 1, 1), Some(0));
        // 1,777,593,600 s is 2026-05-01 in Unix time (POSIX.1-2017 4.16, worked by hand: 20,574 days).
        assert_eq!(day_number(2026, 5, 1), Some(20_574));
        let between = |a: [u32; 3], b: [u32; 3]| {
            let number = |[year, month, day]: [u32; 3]| day_number(year, month, day).unwrap();
            number(b) - number(a)
        };
        assert_eq!(between([2027, 3, 14], [2027, 3, 15]), 1);
        assert_eq!(between([2024, 2, 28], [2024, 3, 1]), 2);
        assert_eq!(between([2100, 2, 28], [2100, 3, 1]), 1);
        assert_eq!(between([2000, 1, 1], [2400, 1, 1]), 146_097);
        for [year, month, day] in [[2026, 2, 29], [2026, 13, 1], [2026, 0, 1], [2026, 4, 31]] {
            assert_eq!(day_number(year, month, day), None);
        }
        assert!(day_number(2024, 2, 29).is_some() && day_number(2000, 2, 29).is_some());
    }
}
