//! Lays compact JSON out for people: tables one row after the other, short things on one line.
//!
//! Only for text this program made itself: it trusts the input to be well-formed and shallow.

use crate::store::locate::skip_string;

/// Columns a line may take before its value is broken into several lines.
const WIDTH: usize = 100;

/// Levels that are always broken: the project itself, its tables and its settings.
const OPEN_LEVELS: usize = 2;

/// The same JSON with indent, whole numbers without `.0`, and a newline at the end.
pub fn laid_out(compact: &str) -> String {
    let mut printer =
        Printer { bytes: compact.as_bytes(), text: compact, at: 0, out: String::new() };
    printer.value(0);
    printer.out.push('\n');
    printer.out
}

struct Printer<'a> {
    bytes: &'a [u8],
    text: &'a str,
    at: usize,
    out: String,
}

impl Printer<'_> {
    fn value(&mut self, depth: usize) {
        let start = self.at;
        match self.bytes[start] {
            b'{' | b'[' => {
                let line_start = self.out.rfind('\n').map_or(0, |at| at + 1);
                let used = self.out.len() - line_start;
                if depth >= OPEN_LEVELS
                    || self.bytes[start + 1] == b']'
                    || self.bytes[start + 1] == b'}'
                {
                    let mark = self.out.len();
                    if self.flat(WIDTH.saturating_sub(used)) {
                        return;
                    }
                    self.out.truncate(mark);
                    self.at = start;
                }
                self.broken(depth);
            }
            _ => self.scalar(),
        }
    }

    /// Writes the container on one line; gives up (`false`) when it grows past `room` bytes.
    fn flat(&mut self, room: usize) -> bool {
        let end = self.out.len() + room;
        let mut depth = 0usize;
        loop {
            match self.bytes[self.at] {
                open @ (b'{' | b'[') => {
                    depth += 1;
                    self.out.push(char::from(open));
                    self.at += 1;
                }
                close @ (b'}' | b']') => {
                    depth -= 1;
                    self.out.push(char::from(close));
                    self.at += 1;
                }
                b',' => {
                    self.out.push_str(", ");
                    self.at += 1;
                }
                b':' => {
                    self.out.push_str(": ");
                    self.at += 1;
                }
                _ => self.scalar(),
            }
            if self.out.len() > end {
                return false;
            }
            if depth == 0 {
                return true;
            }
        }
    }

    /// Writes the container over several lines.
    fn broken(&mut self, depth: usize) {
        let is_object = self.bytes[self.at] == b'{';
        self.out.push(if is_object { '{' } else { '[' });
        self.at += 1;
        loop {
            self.new_line(depth + 1);
            if is_object {
                self.scalar();
                self.out.push_str(": ");
                self.at += 1;
            }
            self.value(depth + 1);
            let next = self.bytes[self.at];
            self.at += 1;
            if next != b',' {
                break;
            }
            self.out.push(',');
        }
        self.new_line(depth);
        self.out.push(if is_object { '}' } else { ']' });
    }

    fn new_line(&mut self, depth: usize) {
        self.out.push('\n');
        for _ in 0..depth {
            self.out.push_str("  ");
        }
    }

    /// Copies a string, a number or a word.
    fn scalar(&mut self) {
        let start = self.at;
        self.at = if self.bytes[start] == b'"' {
            skip_string(self.bytes, start)
        } else {
            let rest = &self.bytes[start..];
            start + rest.iter().position(|b| matches!(b, b',' | b'}' | b']')).unwrap_or(rest.len())
        };
        let token = &self.text[start..self.at];
        let whole = token.strip_suffix(".0").filter(|_| !token.starts_with('"')).unwrap_or(token);
        self.out.push_str(if whole == "-0" { "0" } else { whole });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use expect_test::expect;

    #[test]
    fn tables_are_broken_and_short_rows_stay_on_one_line() {
        let long = "x".repeat(90);
        let compact = format!(
            r#"{{"a":1.0,"s":"1.0","e":[],"t":[{{"id":1,"p":[-0.0,2.5]}},{{"id":2,"n":"{long}","o":{{"k":1e16}}}}]}}"#
        );
        let out = laid_out(&compact).replace(&long, "…");
        expect![[r#"
            {
              "a": 1,
              "s": "1.0",
              "e": [],
              "t": [
                {"id": 1, "p": [0, 2.5]},
                {
                  "id": 2,
                  "n": "…",
                  "o": {"k": 1e16}
                }
              ]
            }
        "#]]
        .assert_eq(&out);
    }
}
