//! Times of day and dates in cells: `14:03:07.25`, `2026-05-01T14:03:07Z`, `01.05.2026 14:03`.
//!
//! Dates with slashes and the year behind may have the day or the month first, so they are refused.

use crate::proving::calendar::day_number;
use crate::proving::replay::number::leading_number;

/// Seconds of a day.
pub const DAY_S: f64 = 86_400.0;

/// A moment: seconds since midnight, or since the beginning of 1970 where a date stands before it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Seconds.
    pub s: f64,
    /// Whether a date was given.
    pub has_date: bool,
}

/// Reads a whole cell as a time of day, a date, or both.
pub fn moment(cell: &[u8]) -> Option<Moment> {
    let (days, rest) = match date(cell) {
        Some((days, taken)) => (Some(days), &cell[taken..]),
        None => (None, cell),
    };
    let rest = match (days, rest.first()) {
        (Some(days), None) => return Some(Moment { s: days as f64 * DAY_S, has_date: true }),
        (Some(_), Some(b'T' | b't' | b' ')) => &rest[1..],
        (Some(_), Some(_)) => return None,
        (None, _) => rest,
    };
    let day_s = time_of_day(rest)?;
    Some(Moment {
        s: days.map_or(0.0, |days| days as f64 * DAY_S) + day_s,
        has_date: days.is_some(),
    })
}

/// Writes seconds since midnight as `14:03:07.250`.
pub fn clock_words(s: f64) -> String {
    let ms = (s.rem_euclid(DAY_S) * 1e3).round() as u64 % 86_400_000;
    let (hours, minutes) = (ms / 3_600_000, ms / 60_000 % 60);
    format!("{hours:02}:{minutes:02}:{:02}.{:03}", ms / 1000 % 60, ms % 1000)
}

/// `14:03`, `14:03:07`, `14:03:07,25`, with `Z` or an offset such as `+02:00` behind.
fn time_of_day(bytes: &[u8]) -> Option<f64> {
    let (hours, at) = digits(bytes, 1, 2)?;
    let (minutes, taken) = digits(bytes.get(at..)?.strip_prefix(b":")?, 2, 2)?;
    let mut at = at + 1 + taken;
    let mut seconds = 0.0;
    if bytes.get(at) == Some(&b':') {
        let rest = &bytes[at + 1..];
        if !rest.first()?.is_ascii_digit() {
            return None;
        }
        let mark = if rest.contains(&b',') { b',' } else { b'.' };
        let (value, taken) = leading_number(rest, mark)?;
        seconds = value;
        at += 1 + taken;
    }
    // 24:00 is the end of the day (ISO 8601).
    let is_past_day = hours > 24 || (hours == 24 && (minutes > 0 || seconds > 0.0));
    if is_past_day || minutes > 59 || seconds >= 61.0 {
        return None;
    }
    let offset_s = match &bytes[at..] {
        [] | b"Z" | b"z" => 0.0,
        [sign @ (b'+' | b'-'), rest @ ..] => {
            let (hours, taken) = digits(rest, 2, 2)?;
            let minutes = match &rest[taken..] {
                [] => 0,
                [b':', minutes @ ..] => {
                    digits(minutes, 2, 2).filter(|(_, n)| *n == minutes.len())?.0
                }
                _ => return None,
            };
            let size = f64::from(hours * 3600 + minutes * 60);
            if *sign == b'-' { -size } else { size }
        }
        _ => return None,
    };
    Some(f64::from(hours * 3600 + minutes * 60) + seconds - offset_s)
}

/// Days since the beginning of 1970 and how many bytes the date takes.
fn date(bytes: &[u8]) -> Option<(i64, usize)> {
    let (first, at) = digits(bytes, 1, 4)?;
    let mark = *bytes.get(at)?;
    if !matches!(mark, b'-' | b'/' | b'.') {
        return None;
    }
    let (month, taken) = digits(&bytes[at + 1..], 1, 2)?;
    let next = at + 1 + taken;
    if bytes.get(next) != Some(&mark) {
        return None;
    }
    let (last, taken_last) = digits(&bytes[next + 1..], 1, 4)?;
    let (year, day) = match (at, taken_last) {
        (4, 1 | 2) => (first, last),
        (1 | 2, 4) if mark == b'.' => (last, first),
        _ => return None,
    };
    Some((day_number(year, month, day)?, next + 1 + taken_last))
}

/// A whole number of `least` to `most` digits and how long it is.
fn digits(bytes: &[u8], least: usize, most: usize) -> Option<(u32, usize)> {
    let n = bytes.iter().take_while(|byte| byte.is_ascii_digit()).count();
    if n < least || n > most {
        return None;
    }
    Some((bytes[..n].iter().fold(0, |sum, byte| sum * 10 + u32::from(byte - b'0')), n))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seconds(text: &str) -> Option<f64> {
        moment(text.as_bytes()).map(|moment| moment.s)
    }

    #[test]
    fn times_of_day_and_dates_are_read() {
        assert_eq!(seconds("14:03:07.25"), Some(50_587.25));
        assert_eq!(seconds("14:03:07,25"), Some(50_587.25));
        assert_eq!(seconds("9:05"), Some(32_700.0));
        assert_eq!(seconds("24:00:00"), Some(86_400.0));
        assert_eq!(seconds("2000-02-29"), Some(951_782_400.0));
        // 1,777,593,600 s is 2026-05-01 in Unix time (POSIX.1-2017 4.16, worked by hand: 20,574 days).
        let day = 1_777_593_600.0;
        for text in
            ["2026-05-01", "2026/5/1", "01.05.2026", "2026-05-01 00:00", "2026-05-01T02:00+02:00"]
        {
            assert_eq!(seconds(text), Some(day), "{text}");
        }
        assert_eq!(seconds("2026-05-01T14:03:07Z"), Some(day + 50_587.0));
        assert_eq!(seconds("1970-01-01"), Some(0.0));
        assert_eq!(seconds("2000-03-01"), Some(951_868_800.0));
        for text in [
            "",
            "14",
            "05/01/2026",
            "14:3",
            "25:00:00",
            "24:59",
            "24:00:01",
            "2026-02-31",
            "2026-02-29",
            "1900-02-29",
            "31.04.2026",
            "14:61",
            "2026-13-01",
            "1.5",
            "12:00:x",
            "14:03:07 pm",
        ] {
            assert_eq!(moment(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn clocks_are_written_back() {
        assert_eq!(clock_words(50_587.25), "14:03:07.250");
        assert_eq!(clock_words(86_399.999_9), "00:00:00.000");
    }
}
