//! The first look at a recorded file: what stands between its cells, which line is the head, what
//! the first rows hold. Nothing is loaded yet.

use crate::proving::replay::clock::moment;
use crate::proving::replay::cut::{Cell, Lines, byte_of, cell_of, cut, text_of};
use crate::proving::replay::number::leading_number;
use crate::proving::replay::unit::Unit;
use crate::tables::{Decimal, Delimiter};
use crate::units::parse_ohm;

/// Lines looked at.
const LOOKED_AT: usize = 200;
/// Most columns a row may have.
const COLUMNS_MOST: usize = 200;
/// Rows shown beside the matching.
const EXAMPLES: usize = 5;

/// What the first lines show.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// What stands between two cells.
    pub delimiter: Delimiter,
    /// The decimal mark of its numbers.
    pub decimal: Decimal,
    /// Head of each column; empty where there is none.
    pub heads: Vec<String>,
    /// Unit of each column where a line of units stands below the head.
    pub units: Vec<String>,
    /// Cells of the first rows.
    pub examples: Vec<Vec<String>>,
    /// Byte at which the rows begin, and the line.
    pub data_at: (usize, u32),
}

impl Outline {
    /// Number of columns.
    pub fn n_columns(&self) -> usize {
        self.heads.len()
    }

    /// What a person calls a column: its head, or its number from 1.
    pub fn column_name(&self, idx: usize) -> String {
        match self.heads.get(idx).map(|head| head.trim()) {
            Some(head) if !head.is_empty() => head.to_owned(),
            Some(_) | None => format!("column {}", idx + 1),
        }
    }
}

/// What one cell looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Looks {
    /// Nothing in it.
    Empty,
    /// A number, perhaps with a unit.
    Number(Option<Unit>),
    /// A time of day or date.
    Clock,
    /// A sign for more than the meter can show.
    OverRange,
    /// Anything else.
    Text,
}

/// Signs for an open circuit that loggers and meters write (common practice, no source).
pub(super) fn is_over_range(cell: &[u8]) -> bool {
    let signs: [&[u8]; 8] = [b"OL", b"O.L", b"O.L.", b"0L", b"OPEN", b"INF", b"+INF", b"OVER"];
    signs.iter().any(|sign| cell.eq_ignore_ascii_case(sign))
}

/// A value whose letter stands where the decimal mark would: `4k42` (IEC 60062).
pub(super) fn ohm_code(cell: &[u8]) -> Option<f64> {
    let is_code = cell.len() <= 12 && !cell.iter().any(|byte| matches!(byte, b',' | b'.'));
    if is_code { parse_ohm(&text_of(cell)).ok() } else { None }
}

/// What a cell looks like under a decimal mark.
pub(super) fn looks(cell: &[u8], decimal: Decimal) -> Looks {
    if cell.is_empty() {
        return Looks::Empty;
    }
    if is_over_range(cell) {
        return Looks::OverRange;
    }
    if moment(cell).is_some() {
        return Looks::Clock;
    }
    let Some((_, taken)) = leading_number(cell, decimal_byte(decimal)) else { return Looks::Text };
    let rest = text_of(&cell[taken..]);
    match (rest.trim(), Unit::of(rest.trim())) {
        ("", _) => Looks::Number(None),
        (_, Some(unit)) => Looks::Number(Some(unit)),
        (_, None) if ohm_code(cell).is_some() => Looks::Number(Some(Unit::Ohm)),
        (_, None) => Looks::Text,
    }
}

/// The byte of a decimal mark.
pub(super) fn decimal_byte(decimal: Decimal) -> u8 {
    match decimal {
        Decimal::Point => b'.',
        Decimal::Comma => b',',
    }
}

/// Looks at the first lines. `delimiter` is what the user says; `None` tells it from the text.
///
/// # Errors
/// One sentence: no text, no rows with a time and a reading, a file of another kind.
pub fn outline(bytes: &[u8], delimiter: Option<Delimiter>) -> Result<Outline, String> {
    const CURE: &str = "save it as CSV in UTF-8";
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(format!("expected text in UTF-8, found UTF-16: {CURE}"));
    }
    if bytes.starts_with(b"PK\x03\x04") {
        return Err(format!("expected text, found a packed spreadsheet: {CURE}"));
    }
    let start = if bytes.starts_with(&[0xef, 0xbb, 0xbf]) { 3 } else { 0 };
    let tried = match delimiter {
        Some(one) => vec![one],
        None => Delimiter::ALL.to_vec(),
    };
    let mut best: Option<(Score, Guess)> = None;
    for delimiter in tried {
        for decimal in [Decimal::Point, Decimal::Comma] {
            if delimiter == Delimiter::Comma && decimal == Decimal::Comma {
                continue;
            }
            let guess = Guess { delimiter, decimal, start };
            let score = guess.score(bytes);
            if best.as_ref().is_none_or(|(known, _)| score > *known) {
                best = Some((score, guess));
            }
        }
    }
    let Some((score, guess)) = best else { return Err("expected a delimiter".into()) };
    if bytes[start..].iter().all(u8::is_ascii_whitespace) {
        return Err("expected rows with a time and a reading, found no text".into());
    }
    if score.n_rows == 0 {
        let (line, text) = first_line(bytes, start);
        let cut_off: String = text.chars().take(60).collect();
        return Err(format!(
            "expected rows with a time and a reading between tabs, semicolons, commas or bars, found none: line {line} is \"{cut_off}\""
        ));
    }
    guess.outline(bytes, score.n_columns)
}

fn first_line(bytes: &[u8], start: usize) -> (u32, String) {
    let mut lines = Lines::from(bytes, start, 1);
    let line = lines.find(|(_, line)| !line.iter().all(u8::is_ascii_whitespace));
    line.map_or((1, String::new()), |(n, line)| (n, text_of(line)))
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Score {
    /// Rows with two figures, in hundredths of those looked at.
    share: usize,
    /// Cells that are figures less cells that are text.
    sense: i64,
    n_columns: usize,
    n_rows: usize,
}

struct Guess {
    delimiter: Delimiter,
    decimal: Decimal,
    start: usize,
}

impl Guess {
    /// Cells of the first lines that hold anything.
    fn lines<'a>(&self, bytes: &'a [u8]) -> Vec<(usize, u32, &'a [u8], Vec<Cell>)> {
        let mut lines = Lines::from(bytes, self.start, 1);
        let mut all = Vec::new();
        while all.len() < LOOKED_AT {
            let (at, _) = lines.place();
            let Some((number, line)) = lines.next() else { break };
            let mut cells = Vec::new();
            let is_blank = line.iter().all(u8::is_ascii_whitespace);
            if !is_blank && cut(line, byte_of(self.delimiter), &mut cells).is_some() {
                all.push((at, number, line, cells));
            }
        }
        all
    }

    fn is_figure(&self, cell: &[u8]) -> bool {
        match looks(cell, self.decimal) {
            Looks::Number(_) | Looks::Clock => true,
            Looks::Empty | Looks::OverRange | Looks::Text => false,
        }
    }

    /// Whether a row could hold a time and a reading.
    fn is_row(&self, line: &[u8], cells: &[Cell]) -> bool {
        let figures = (0..cells.len()).filter(|n| {
            let cell = cell_of(line, cells, *n);
            self.is_figure(cell) || looks(cell, self.decimal) == Looks::OverRange
        });
        (2..=COLUMNS_MOST).contains(&cells.len()) && figures.count() >= 2
    }

    fn score(&self, bytes: &[u8]) -> Score {
        let lines = self.lines(bytes);
        let rows: Vec<_> =
            lines.iter().filter(|(_, _, line, cells)| self.is_row(line, cells)).collect();
        let n_columns = most_common(rows.iter().map(|(.., cells)| cells.len()));
        let (mut sense, mut n_even) = (0, 0);
        for (_, _, line, cells) in &rows {
            n_even += usize::from(cells.len() == n_columns);
            for n in 0..cells.len() {
                sense += match looks(cell_of(line, cells, n), self.decimal) {
                    Looks::Number(_) | Looks::Clock | Looks::OverRange => 1,
                    Looks::Text => -1,
                    Looks::Empty => 0,
                };
            }
        }
        let share = n_even * 100 / lines.len().max(1);
        let sense = sense * 100 / i64::try_from(rows.len().max(1)).unwrap_or(1);
        Score { share: share / 10, sense, n_columns, n_rows: rows.len() }
    }

    fn outline(&self, bytes: &[u8], n_columns: usize) -> Result<Outline, String> {
        let lines = self.lines(bytes);
        let is_first = |line: &&(usize, u32, &[u8], Vec<Cell>)| {
            line.3.len() == n_columns && self.is_row(line.2, &line.3)
        };
        let first = lines
            .iter()
            .position(|line| is_first(&line))
            .ok_or("expected rows with a time and a reading, found none")?;
        let texts = |idx: usize| -> Vec<String> {
            let (_, _, line, cells) = &lines[idx];
            let all = (0..cells.len()).map(|n| text_of(cell_of(line, cells, n)));
            all.collect()
        };
        // Lines directly before the rows with as many cells: the head, and perhaps one of units.
        let near = |back: usize| {
            let idx = first.checked_sub(back)?;
            let cells = texts(idx);
            let is_head = cells.len() == n_columns
                || (cells.len() == n_columns + 1 && cells.last().is_some_and(String::is_empty));
            is_head.then_some(cells)
        };
        let is_units = |cells: &[String]| {
            let word = |cell: &String| cell.trim_matches(['(', ')', '[', ']']).trim().to_owned();
            let known = cells.iter().filter(|cell| Unit::of(&word(cell)).is_some()).count();
            known >= 1
                && cells.iter().all(|cell| cell.is_empty() || Unit::of(&word(cell)).is_some())
        };
        let (mut heads, mut units) = match (near(1), near(2)) {
            (Some(units), Some(heads)) if is_units(&units) => (heads, units),
            (Some(heads), _) => (heads, Vec::new()),
            (None, _) => (Vec::new(), Vec::new()),
        };
        heads.resize(n_columns, String::new());
        units.resize(n_columns, String::new());
        let examples = (first..lines.len()).take(EXAMPLES).map(texts).collect();
        let (at, line, ..) = lines[first];
        Ok(Outline {
            delimiter: self.delimiter,
            decimal: self.decimal,
            heads,
            units,
            examples,
            data_at: (at, line),
        })
    }
}

fn most_common(counts: impl Iterator<Item = usize>) -> usize {
    let mut seen = std::collections::BTreeMap::<usize, usize>::new();
    for count in counts {
        *seen.entry(count).or_default() += 1;
    }
    seen.into_iter().max_by_key(|(count, n)| (*n, *count)).map_or(0, |(count, _)| count)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> Outline {
        outline(text.as_bytes(), None).unwrap()
    }

    #[test]
    fn delimiter_and_decimal_mark_are_told_from_the_rows() {
        for (text, delimiter, decimal, columns) in [
            ("t,ohm\n0.1,1405.2\n0.2,1405.3\n", Delimiter::Comma, Decimal::Point, 2),
            ("t;ohm\n0,1;1405,2\n0,2;1405,3\n", Delimiter::Semicolon, Decimal::Comma, 2),
            ("t\tohm\n0,1\t1405,2\n", Delimiter::Tab, Decimal::Comma, 2),
            ("t;ohm\n1;1405\n2;1406\n", Delimiter::Semicolon, Decimal::Point, 2),
            ("1,1405\n2,1406\n", Delimiter::Comma, Decimal::Point, 2),
            ("12:00:00,5;4,42\n12:00:01,0;4,42\n", Delimiter::Semicolon, Decimal::Comma, 2),
            ("t|V|state\n1|4.4|LEFT=on\n", Delimiter::Bar, Decimal::Point, 3),
            ("t;V;note\n0,5;4,4;a, b, c\n", Delimiter::Semicolon, Decimal::Comma, 3),
        ] {
            let got = of(text);
            assert_eq!((got.delimiter, got.n_columns()), (delimiter, columns), "{text:?}");
            assert_eq!(got.decimal, decimal, "{text:?}");
        }
    }

    #[test]
    fn what_stands_before_the_rows_is_no_row() {
        let text =
            "Logger 7\nstarted;2026-05-01\n\nTime;Signal;Lever\ns;kΩ;\n0,0;4,42;up\n0,1;OL;up\n";
        let got = of(text);
        assert_eq!(got.heads, ["Time", "Signal", "Lever"]);
        assert_eq!(got.units, ["s", "kΩ", ""]);
        assert_eq!(got.data_at.1, 6);
        assert_eq!(got.examples[1], ["0,1", "OL", "up"]);
        assert_eq!(of("0 ms;1.2 V\n10 ms;1.3 V\n").heads, ["", ""]);
        assert_eq!(of("0;1\n").column_name(1), "column 2");
    }

    #[test]
    fn what_is_no_recording_is_said() {
        for (bytes, part) in [
            (&b""[..], "no text"),
            (b"\n \n", "no text"),
            (b"hello\nworld\n", "line 1 is \"hello\""),
            (b"PK\x03\x04rest", "packed spreadsheet"),
            (b"\xff\xfea\0", "UTF-16"),
            (b"a;b\nc;d\n", "none"),
        ] {
            let error = outline(bytes, None).unwrap_err();
            assert!(error.contains(part), "{error}");
        }
    }
}
