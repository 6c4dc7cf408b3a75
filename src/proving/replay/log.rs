//! A recorded log in memory: one column of numbers beside the other, rows that could not be read
//! listed with their place.

use crate::model::Scale;
use crate::proving::replay::clock::clock_words;
use crate::proving::replay::matching::Role;

/// A log as it was recorded. All columns have a value for every row.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    /// Seconds since the first row; never falling.
    pub time_s: Vec<f64>,
    /// Seconds since midnight of the first row, where the file has clock times.
    pub clock_s: Option<f64>,
    /// What was read, in ohms, volts, counts or percent; infinite where open.
    pub value: Vec<f64>,
    /// What `value` is in.
    pub scale: Option<Scale>,
    /// Volts of the supply, not-a-number where a row has none; empty where no column is matched.
    pub supply_volt: Vec<f64>,
    /// Columns of text.
    pub texts: Vec<TextColumn>,
    /// Line of the file each row stands on, from 1.
    pub line: Vec<u32>,
    /// Rows that could not be read, in the order of the file.
    pub refused: Vec<Refused>,
    /// What else to know: where the time begins anew, what was taken for granted.
    pub notes: Vec<String>,
    /// Usual time between two rows in seconds; 0 where there are fewer than two.
    pub step_s: f64,
    /// Whether rows follow each other at that step; elsewhere a value holds until the next row.
    pub is_regular: bool,
}

/// A column of text, every different text kept once.
#[derive(Clone, Debug, PartialEq)]
pub struct TextColumn {
    /// What the column is called.
    pub name: String,
    /// What it means.
    pub role: Role,
    /// Index into `words` for every row.
    pub ids: Vec<u32>,
    /// The different texts.
    pub words: Vec<String>,
}

/// A row that could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// Line of the file, from 1.
    pub line: u32,
    /// Column, from 1; 0 where the row as a whole is meant.
    pub column: u16,
    /// What the column is called.
    pub name: String,
    /// Why.
    pub why: Why,
    /// The beginning of what stood there.
    pub found: String,
}

/// Why a row could not be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// It has fewer or more cells than the others.
    Cells {
        /// Cells of the others.
        expected: u16,
        /// Cells it has.
        found: u16,
    },
    /// Quotes do not end.
    Quotes,
    /// No time.
    Time,
    /// No date.
    Date,
    /// No reading.
    Reading,
    /// A reading of another kind than the column's.
    OtherUnit,
    /// No volts of the supply.
    Supply,
    /// The time falls for this row alone.
    TimeFalls,
}

impl Refused {
    /// `line 17, column 3 (ohm): expected a reading, found "4.4.2"`.
    pub fn words(&self) -> String {
        let place = match self.column {
            0 => format!("line {}", self.line),
            column => format!("line {}, column {column} ({})", self.line, self.name),
        };
        let expected = match self.why {
            Why::Cells { expected, found } => {
                return format!("{place}: expected {expected} cells, found {found}");
            }
            Why::Quotes => return format!("{place}: expected closing quotes, found none"),
            Why::TimeFalls => {
                return format!(
                    "{place}: expected a time not before that of the row above, found \"{}\"",
                    self.found
                );
            }
            Why::Time => "a time",
            Why::Date => "a date such as 2026-05-01",
            Why::Reading => "a reading",
            Why::OtherUnit => "a reading in the column's own quantity",
            Why::Supply => "volts",
        };
        if self.found.is_empty() {
            format!("{place}: expected {expected}, found nothing")
        } else {
            format!("{place}: expected {expected}, found \"{}\"", self.found)
        }
    }
}

impl Log {
    /// Number of rows.
    pub fn n_rows(&self) -> usize {
        self.time_s.len()
    }

    /// Seconds from the first row to the end of the last.
    pub fn span_s(&self) -> f64 {
        self.time_s.last().map_or(0.0, |last| last + self.step_s)
    }

    /// The moment at which what a row says ends: the next row, or a step later where the next is far.
    pub fn end_s(&self, row: usize) -> f64 {
        match (self.time_s.get(row), self.time_s.get(row + 1)) {
            (Some(here), Some(_)) if self.is_gap(row + 1) => here + self.step_s,
            (_, Some(next)) => *next,
            (Some(here), None) => here + self.step_s,
            (None, None) => 0.0,
        }
    }

    /// Whether nothing was recorded between the row before and this one.
    pub fn is_gap(&self, row: usize) -> bool {
        self.is_regular
            && row > 0
            && row < self.time_s.len()
            && self.time_s[row] - self.time_s[row - 1] > GAP_STEPS * self.step_s
    }

    /// The row recorded at or last before a moment.
    pub fn row_at(&self, s: f64) -> usize {
        self.time_s.partition_point(|time| *time <= s).saturating_sub(1)
    }

    /// A moment as the file would write it: the clock where it has one, else seconds.
    pub fn time_words(&self, s: f64) -> String {
        match self.clock_s {
            Some(clock) => clock_words(clock + s),
            None => format!("{s:.3} s"),
        }
    }
}

/// So many usual steps without a row are a gap.
const GAP_STEPS: f64 = 5.0;
