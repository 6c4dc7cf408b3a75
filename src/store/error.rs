//! Why a file is refused: one sentence with what was expected, what was found, and where.

use std::fmt;

use crate::store::decode::Problem;
use crate::store::locate::{self, Path, Step};

/// Characters of a message before it is cut, so that a hostile file cannot flood the screen.
const WHAT_CHARS: usize = 400;
/// Characters of a path before it is cut.
const PATH_CHARS: usize = 200;

/// A refused file. Prints as `expected …, found …, at wires[3].from.part (line 120)`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadError {
    /// What was expected and what was found, on one line.
    pub what: String,
    /// Path of the field, rows counted from 0; empty where it is about the file as a whole.
    pub path: String,
    /// Line of the file, from 1.
    pub line: usize,
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.path.is_empty() {
            write!(f, "{} (line {})", self.what, self.line)
        } else {
            write!(f, "{}, at {} (line {})", self.what, self.path, self.line)
        }
    }
}

impl std::error::Error for ReadError {}

impl ReadError {
    /// A refusal on a known line.
    pub(super) fn on_line(what: &str, path: &[Step], line: usize) -> Self {
        Self {
            what: one_line(what, WHAT_CHARS),
            path: one_line(&Path(path).to_string(), PATH_CHARS),
            line: line.max(1),
        }
    }

    /// A refusal whose line follows from the path.
    pub(super) fn at(text: &str, problem: &Problem) -> Self {
        Self::on_line(&problem.what, &problem.path, locate::line_of(text, &problem.path))
    }

    /// What the JSON reader refused, in our words.
    pub(super) fn from_json(
        text: &str,
        error: &serde_path_to_error::Error<serde_json::Error>,
    ) -> Self {
        use serde_path_to_error::Segment;
        let mut path: Vec<Step> = error
            .path()
            .iter()
            .filter_map(|segment| match segment {
                Segment::Seq { index } => Some(Step::Row(*index)),
                Segment::Map { key } => Some(Step::Field(key.clone())),
                Segment::Enum { variant } => Some(Step::Field(variant.clone())),
                Segment::Unknown => None,
            })
            .collect();
        let inner = error.inner();
        let message = inner.to_string();
        let message =
            message.rsplit_once(" at line ").map_or(message.as_str(), |(message, _)| message);
        let (what, line) = match inner.classify() {
            serde_json::error::Category::Eof | serde_json::error::Category::Io => {
                ("the file ends too early, it was cut short".into(), inner.line())
            }
            serde_json::error::Category::Syntax => (syntax_words(message), inner.line()),
            serde_json::error::Category::Data => {
                if let Some(field) =
                    message.strip_prefix("missing field `").and_then(|m| m.strip_suffix('`'))
                {
                    let what = format!("expected the field \"{field}\", found none");
                    (what, locate::line_of(text, &path))
                } else if message.starts_with("unknown field")
                    || message.starts_with("duplicate field")
                {
                    if let Some(Step::Field(last)) = path.last()
                        && message.contains(&format!("field `{last}`"))
                    {
                        path.pop();
                    }
                    (data_words(message), inner.line())
                } else {
                    (data_words(message), locate::line_of(text, &path).max(1))
                }
            }
        };
        Self::on_line(&what, &path, line)
    }
}

/// Our words for a text that is not JSON.
fn syntax_words(message: &str) -> String {
    match message {
        "expected value" => "expected a value, found something that is not JSON".into(),
        "trailing characters" => "expected the list or the file to end here, found more".into(),
        "trailing comma" => "expected another value behind the comma, found none".into(),
        "key must be a string" => {
            "expected the name of a field in quotes, found something else".into()
        }
        "number out of range" => {
            "expected a number of sensible size, found one too large to hold".into()
        }
        "invalid number" => "expected a number, found something that is not one".into(),
        "recursion limit exceeded" => "expected at most 128 levels of nesting, found more".into(),
        other if other.starts_with("expected") => format!("{other}, found something else"),
        other => format!("expected JSON text, found a fault: {other}"),
    }
}

/// Our words for JSON that is not a project.
fn data_words(message: &str) -> String {
    if let Some(rest) = message.strip_prefix("unknown field `") {
        let (found, wanted) = rest.split_once("`, ").unwrap_or((rest.trim_end_matches('`'), ""));
        return unknown("field", found, &quoted(wanted));
    }
    if let Some(rest) = message.strip_prefix("unknown variant `") {
        let (found, wanted) = rest.split_once("`, ").unwrap_or((rest.trim_end_matches('`'), ""));
        return unknown("word", found, &quoted(wanted));
    }
    if let Some(field) = message.strip_prefix("duplicate field `") {
        return format!(
            "expected each field once, found \"{}\" again",
            field.trim_end_matches('`')
        );
    }
    for head in ["invalid type: ", "invalid value: ", "invalid length "] {
        if let Some((found, wanted)) =
            message.strip_prefix(head).and_then(|rest| rest.rsplit_once(", expected "))
        {
            let found = one_line(found, 80);
            let found = found
                .strip_prefix("string ")
                .map_or(found.clone(), |text| format!("the text {text}"));
            let found = ["integer `", "floating point `"]
                .iter()
                .find_map(|head| {
                    Some(format!("the number {}", found.strip_prefix(head)?.strip_suffix('`')?))
                })
                .unwrap_or(found);
            let found = match found.as_str() {
                "map" => "an object".into(),
                "sequence" => "a list".into(),
                "null" => "null".into(),
                _ if head == "invalid length " => format!("a list of {found}"),
                _ => found,
            };
            return format!("expected {}, found {found}", kind_words(wanted));
        }
    }
    format!("expected something else here: {message}")
}

/// What the JSON reader calls a kind of value, in our words.
fn kind_words(wanted: &str) -> String {
    match wanted {
        "f64" => "a number".into(),
        "u8" => "a whole number from 0 to 255".into(),
        "u16" => "a whole number from 0 to 65535".into(),
        "u32" => "a whole number from 0 to 4294967295".into(),
        "i32" => "a whole number".into(),
        "a string" => "a text in quotes".into(),
        "a boolean" => "true or false".into(),
        "a sequence" => "a list".into(),
        "an array of length 2" => "a list of two numbers".into(),
        _ if wanted.starts_with("struct ") => "an object in braces".into(),
        _ if wanted.starts_with("enum ")
            || wanted.contains("variant")
            || wanted.contains("enum") =>
        {
            "one of the words the format knows".into()
        }
        other => other.into(),
    }
}

/// The names between back quotes.
fn quoted(list: &str) -> Vec<&str> {
    list.split('`').skip(1).step_by(2).collect()
}

fn unknown(noun: &str, found: &str, wanted: &[&str]) -> String {
    let found = one_line(found, 60);
    let nearest =
        wanted.iter().map(|name| (distance(&found, name), *name)).min().filter(|(steps, name)| {
            *steps <= (name.len() / 3).max(if name.len() < 4 { 1 } else { 2 })
        });
    match nearest {
        Some((_, name)) => {
            format!("expected \"{name}\" or another known {noun}, found \"{found}\"")
        }
        None if wanted.is_empty() => format!("expected no {noun} here, found \"{found}\""),
        None => format!("expected one of {}, found \"{found}\"", wanted.join(", ")),
    }
}

/// Letters to insert, drop or exchange to get from one word to the other (Levenshtein).
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let change = diagonal + usize::from(x != *y);
            diagonal = row[j + 1];
            row[j + 1] = change.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}

/// A text without control characters, cut to so many characters.
pub(super) fn one_line(text: &str, most: usize) -> String {
    let mut out = String::new();
    for (n, c) in text.chars().enumerate() {
        if n == most {
            out.push('…');
            break;
        }
        if c.is_control() || c == '\u{2028}' || c == '\u{2029}' {
            out.extend(c.escape_debug());
        } else {
            out.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_are_those_of_levenshtein() {
        // Textbook example, from memory: kitten to sitting takes three steps.
        assert_eq!(distance("kitten", "sitting"), 3);
        assert_eq!(distance("", "abc"), 3);
        assert_eq!(distance("pos_mm", "pos_mm"), 0);
    }

    #[test]
    fn hostile_text_stays_on_one_line() {
        assert_eq!(one_line("a\nb\u{0}c", 9), "a\\nb\\0c");
        assert_eq!(one_line("abcdef", 3), "abc…");
    }
}
