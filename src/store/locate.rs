//! From the path of a field to the line it stands on, by walking the text once.

use std::fmt;

/// One step of a path into the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// A field of an object.
    Field(String),
    /// A row of a list, from 0.
    Row(usize),
}

/// A path as it is printed: `wires[3].from.part`.
pub struct Path<'a>(pub &'a [Step]);

impl fmt::Display for Path<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (idx, step) in self.0.iter().enumerate() {
            match step {
                Step::Field(name) if idx > 0 => write!(f, ".{name}")?,
                Step::Field(name) => write!(f, "{name}")?,
                Step::Row(row) => write!(f, "[{row}]")?,
            }
        }
        Ok(())
    }
}

/// Line, from 1, on which the value at `path` begins; where the path ends early (a field that is
/// missing), the line of the last value that is there.
pub fn line_of(text: &str, path: &[Step]) -> usize {
    let bytes = text.as_bytes();
    let mut at = skip_space(bytes, 0);
    for step in path {
        let next = match step {
            Step::Field(name) => find_field(bytes, at, name),
            Step::Row(row) => find_row(bytes, at, *row),
        };
        match next {
            Some(next) => at = next,
            None => break,
        }
    }
    line_at(bytes, at)
}

/// Line, from 1, of a byte.
pub fn line_at(bytes: &[u8], offset: usize) -> usize {
    bytes[..offset.min(bytes.len())].iter().filter(|b| **b == b'\n').count() + 1
}

/// Where the value of a field begins, inside the object that begins at `at`.
fn find_field(bytes: &[u8], at: usize, name: &str) -> Option<usize> {
    let mut at = enter(bytes, at, b'{')?;
    loop {
        if bytes.get(at) != Some(&b'"') {
            return None;
        }
        let end = skip_string(bytes, at);
        let is_it = bytes.get(at + 1..end.saturating_sub(1)) == Some(name.as_bytes());
        at = skip_space(bytes, end);
        if bytes.get(at) != Some(&b':') {
            return None;
        }
        at = skip_space(bytes, at + 1);
        if is_it {
            return Some(at);
        }
        at = after_comma(bytes, skip_value(bytes, at))?;
    }
}

/// Where a row begins, inside the list that begins at `at`.
fn find_row(bytes: &[u8], at: usize, row: usize) -> Option<usize> {
    let mut at = enter(bytes, at, b'[')?;
    for _ in 0..row {
        at = after_comma(bytes, skip_value(bytes, at))?;
    }
    matches!(bytes.get(at), Some(b) if *b != b']').then_some(at)
}

fn enter(bytes: &[u8], at: usize, open: u8) -> Option<usize> {
    (bytes.get(at) == Some(&open)).then(|| skip_space(bytes, at + 1))
}

fn after_comma(bytes: &[u8], at: usize) -> Option<usize> {
    let at = skip_space(bytes, at);
    (bytes.get(at) == Some(&b',')).then(|| skip_space(bytes, at + 1))
}

fn skip_space(bytes: &[u8], mut at: usize) -> usize {
    while matches!(bytes.get(at), Some(b' ' | b'\n' | b'\r' | b'\t')) {
        at += 1;
    }
    at
}

/// First byte behind the string that begins at `at`.
pub fn skip_string(bytes: &[u8], at: usize) -> usize {
    let mut at = at + 1;
    while let Some(b) = bytes.get(at) {
        match b {
            b'\\' => at += 2,
            b'"' => return at + 1,
            _ => at += 1,
        }
    }
    bytes.len()
}

/// First byte behind the value that begins at `at`; a counter, not recursion, follows the nesting.
fn skip_value(bytes: &[u8], at: usize) -> usize {
    let mut at = at;
    let mut depth = 0usize;
    while let Some(b) = bytes.get(at) {
        match b {
            b'"' => at = skip_string(bytes, at),
            b'{' | b'[' => {
                depth += 1;
                at += 1;
            }
            b'}' | b']' => {
                if depth == 0 {
                    return at;
                }
                depth -= 1;
                at += 1;
            }
            b',' if depth == 0 => return at,
            _ => {
                at += 1;
                continue;
            }
        }
        if depth == 0 {
            return at;
        }
    }
    bytes.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, path: &[Step], want: usize) {
        assert_eq!(line_of(text, path), want, "{}", Path(path));
    }

    fn field(name: &str) -> Step {
        Step::Field(name.into())
    }

    #[test]
    fn the_line_of_a_field_is_found_past_everything_before_it() {
        let text = "{\n\"a\": [1, \"]},\\\"\",\n {\"b\": {}}],\n\"w\": [\n{\"x\": 1},\n{\"x\":\n 2, \"y\": 3}\n]\n}\n";
        check(text, &[], 1);
        check(text, &[field("a"), Step::Row(1)], 2);
        check(text, &[field("a"), Step::Row(2), field("b")], 3);
        check(text, &[field("w"), Step::Row(0), field("x")], 5);
        check(text, &[field("w"), Step::Row(1), field("x")], 7);
        check(text, &[field("w"), Step::Row(1), field("y")], 7);
    }

    #[test]
    fn a_path_that_ends_early_gives_the_last_line_there_is() {
        let text = "{\n\"a\": [\n{\"b\": 1}\n]\n}\n";
        check(text, &[field("a"), Step::Row(0), field("zzz")], 3);
        check(text, &[field("a"), Step::Row(9)], 2);
        check(text, &[field("nothing")], 1);
        check("", &[field("a")], 1);
        check("{\"a", &[field("a")], 1);
        check("{\"a\\", &[field("a"), Step::Row(3)], 1);
    }

    #[test]
    fn deep_nesting_is_walked_without_recursion() {
        let text =
            format!("{{\"deep\": {}{},\n\"a\": 1}}", "[".repeat(100_000), "]".repeat(100_000));
        check(&text, &[field("a")], 2);
    }
}
