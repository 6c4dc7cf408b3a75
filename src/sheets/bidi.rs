//! Which stretches of a line run from right to left, and the order they are drawn in.
//!
//! The lines of a sheet run from left to right; what is covered is a Hebrew or Arabic name within
//! one, numbers and spaces inside it included. That is the part of UAX #9 such names need (from
//! memory); marks of direction are not printed.

use std::ops::Range;

/// Which way a stretch of letters runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Left to right.
    Rightwards,
    /// Right to left.
    Leftwards,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Class {
    Left,
    Right,
    Number,
    Neutral,
}

fn class(letter: char) -> Class {
    match letter {
        '0'..='9' | '\u{660}'..='\u{669}' | '\u{6f0}'..='\u{6f9}' => Class::Number,
        '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefc}' => Class::Right,
        _ if letter.is_alphabetic() => Class::Left,
        _ => Class::Neutral,
    }
}

/// Whether a text has letters that run from right to left.
pub fn has_leftwards(text: &str) -> bool {
    text.chars().any(|letter| class(letter) == Class::Right)
}

/// Stretches of a line in the order they stand on paper, each a range of bytes.
///
/// ```
/// use ohmloom::sheets::{Way, stretches};
/// let words = "Box אב 12 up";
/// let order: Vec<&str> = stretches(words).into_iter().map(|(at, _)| &words[at]).collect();
/// assert_eq!(order, ["Box ", "12", "אב ", " up"]);
/// ```
pub fn stretches(text: &str) -> Vec<(Range<usize>, Way)> {
    let letters: Vec<(usize, char)> = text.char_indices().collect();
    let end_of = |idx: usize| letters.get(idx).map_or(text.len(), |(at, _)| *at);
    let mut out = Vec::new();
    let mut idx = 0;
    let mut plain_from = 0;
    while idx < letters.len() {
        if class(letters[idx].1) != Class::Right {
            idx += 1;
            continue;
        }
        let until = leftward_end(&letters, idx);
        if idx > plain_from {
            out.push((end_of(plain_from)..end_of(idx), Way::Rightwards));
        }
        let mut inner = inner_runs(&letters[..until], idx, &end_of);
        inner.reverse();
        out.extend(inner);
        idx = until;
        plain_from = until;
    }
    if plain_from < letters.len() {
        out.push((end_of(plain_from)..text.len(), Way::Rightwards));
    }
    out
}

/// Behind the last letter or number of a stretch that begins at `from`.
fn leftward_end(letters: &[(usize, char)], from: usize) -> usize {
    let mut until = from + 1;
    for (idx, (_, letter)) in letters.iter().enumerate().skip(from) {
        match class(*letter) {
            Class::Left => break,
            Class::Right | Class::Number => until = idx + 1,
            Class::Neutral => {}
        }
    }
    until
}

/// Numbers inside a stretch run to the right, all else to the left; in the order of reading.
fn inner_runs(
    letters: &[(usize, char)],
    from: usize,
    end_of: &dyn Fn(usize) -> usize,
) -> Vec<(Range<usize>, Way)> {
    let way = |idx: usize| match class(letters[idx].1) {
        Class::Number => Way::Rightwards,
        Class::Left | Class::Right | Class::Neutral => Way::Leftwards,
    };
    let mut runs = Vec::new();
    let mut start = from;
    for idx in from..letters.len() {
        let is_last = idx + 1 == letters.len();
        if is_last || way(idx + 1) != way(start) {
            runs.push((end_of(start)..end_of(idx + 1), way(start)));
            start = idx + 1;
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, want: &[(&str, Way)]) {
        let got: Vec<(&str, Way)> =
            stretches(text).into_iter().map(|(at, way)| (&text[at], way)).collect();
        assert_eq!(got, want, "{text}");
    }

    #[test]
    fn names_from_right_to_left_keep_their_place_in_the_line() {
        check("plain", &[("plain", Way::Rightwards)]);
        check("", &[]);
        check("שלום", &[("שלום", Way::Leftwards)]);
        check(
            "S1 שלום עולם up",
            &[("S1 ", Way::Rightwards), ("שלום עולם", Way::Leftwards), (" up", Way::Rightwards)],
        );
        check("אב 12", &[("12", Way::Rightwards), ("אב ", Way::Leftwards)]);
    }
}
