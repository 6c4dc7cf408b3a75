//! Loads a recorded file: bytes into columns of numbers, no text made for a cell that is a number.
//!
//! The file is never written, and no row is dropped unseen: what cannot be read is listed.

use std::collections::BTreeMap;

use crate::model::Scale;
use crate::proving::replay::clock::{DAY_S, moment};
use crate::proving::replay::cut::{Cell, Lines, byte_of, cell_of, cut, text_of};
use crate::proving::replay::log::{Log, Refused, TextColumn, Why};
use crate::proving::replay::matching::{Matching, Role};
use crate::proving::replay::number::leading_number;
use crate::proving::replay::order::put_in_order;
use crate::proving::replay::outline::{Outline, decimal_byte, is_over_range, ohm_code};
use crate::proving::replay::unit::Unit;

/// Rows read between two looks whether to go on.
const PATIENCE: u32 = 8_192;
/// Letters kept of what could not be read.
const FOUND_CHARS: usize = 40;

/// Loads all rows. `progress` is given the share of the file that is read and says whether to go on;
/// `Ok(None)` where it did not.
///
/// # Errors
/// One sentence: no time or no reading is matched, or no row can be read (with the first reason).
pub fn load(
    bytes: &[u8],
    outline: &Outline,
    matching: &Matching,
    progress: &dyn Fn(f64) -> bool,
) -> Result<Option<Log>, String> {
    let mut loader = Loader::new(bytes.len(), outline, matching)?;
    let (at, line) = outline.data_at;
    let mut lines = Lines::from(bytes, at, line);
    let mut cells: Vec<Cell> = Vec::new();
    while let Some((number, line)) = lines.next() {
        if number % PATIENCE == 0 && !progress(lines.place().0 as f64 / bytes.len() as f64) {
            return Ok(None);
        }
        if line.iter().all(u8::is_ascii_whitespace) {
            continue;
        }
        let read = match cut(line, loader.delimiter, &mut cells) {
            Some(()) => loader.row(line, &cells),
            None => Err((0, Why::Quotes)),
        };
        match read {
            Ok(row) => loader.keep(&row, number, line, &cells),
            Err((column, why)) => {
                loader.refuse(number, column, why, cell_of_row(line, &cells, column))
            }
        }
    }
    let mut log = loader.log;
    log.notes = matching.taken.clone();
    put_in_order(&mut log, matching.time_unit == Unit::Clock, loader.has_date);
    if log.n_rows() == 0 {
        let first = log.refused.first().map(Refused::words).unwrap_or_default();
        return Err(format!("expected rows with a time and a reading, found none; {first}"));
    }
    Ok(Some(log))
}

fn cell_of_row<'a>(line: &'a [u8], cells: &[Cell], column: usize) -> &'a [u8] {
    match column {
        0 => line,
        column => cell_of(line, cells, column - 1),
    }
}

/// Numbers of a row that can be read.
struct Row {
    time_s: f64,
    value: f64,
    supply_volt: f64,
}

struct Loader {
    log: Log,
    delimiter: u8,
    decimal: u8,
    n_columns: usize,
    names: Vec<String>,
    time: usize,
    reading: usize,
    date: Option<usize>,
    supply: Option<usize>,
    time_unit: Unit,
    reading_unit: Unit,
    supply_unit: Unit,
    scale: Scale,
    texts: Vec<(usize, Words)>,
    has_date: bool,
    /// The date of the row before, which most rows share.
    day: (Vec<u8>, f64),
}

impl Loader {
    fn new(n_bytes: usize, outline: &Outline, matching: &Matching) -> Result<Self, String> {
        let need = |role: Role| {
            matching.slot(role).ok_or_else(|| {
                format!(
                    "expected a column matched as {}, found none: match it by hand",
                    role.word()
                )
            })
        };
        let (time, reading) = (need(Role::Time)?, need(Role::Reading)?);
        let scale = matching.reading_unit.scale().ok_or("expected a unit of readings")?;
        let supply = matching.slot(Role::Supply);
        let mut log = Log { scale: Some(scale), ..Log::default() };
        let mut texts = Vec::new();
        for (slot, role) in matching.roles.iter().enumerate() {
            if let Some(role @ (Role::State | Role::Control(_) | Role::Text)) = *role {
                let name = outline.column_name(slot);
                log.texts.push(TextColumn { name, role, ids: Vec::new(), words: Vec::new() });
                texts.push((slot, Words::default()));
            }
        }
        // Rows of a log are short; a guess that is too low only costs a copy.
        let likely = n_bytes / 24;
        log.time_s.reserve(likely);
        log.value.reserve(likely);
        log.line.reserve(likely);
        Ok(Self {
            log,
            delimiter: byte_of(matching.delimiter),
            decimal: decimal_byte(matching.decimal),
            n_columns: outline.n_columns(),
            names: (0..outline.n_columns()).map(|n| outline.column_name(n)).collect(),
            time,
            reading,
            date: matching.slot(Role::Date),
            supply,
            time_unit: matching.time_unit,
            reading_unit: matching.reading_unit,
            supply_unit: matching.supply_unit,
            scale,
            texts,
            has_date: false,
            day: (Vec::new(), 0.0),
        })
    }

    /// The numbers of a row, or the column (from 1, 0 the whole row) and why it has none.
    fn row(&mut self, line: &[u8], cells: &[Cell]) -> Result<Row, (usize, Why)> {
        let is_extra = cells.len() > self.n_columns
            && (self.n_columns..cells.len()).any(|n| !cell_of(line, cells, n).is_empty());
        let most = self.time.max(self.reading);
        if is_extra || cells.len() <= most {
            let short = |n: usize| u16::try_from(n).unwrap_or(u16::MAX);
            let why = Why::Cells { expected: short(self.n_columns), found: short(cells.len()) };
            return Err((0, why));
        }
        let time_s = self.time(line, cells)?;
        let reading = cell_of(line, cells, self.reading);
        let value = self.value(reading).map_err(|why| (self.reading + 1, why))?;
        let supply_volt = match self.supply.map(|slot| (slot, cell_of(line, cells, slot))) {
            None | Some((_, [])) => f64::NAN,
            Some((slot, cell)) => {
                let volt = self.number(cell, self.supply_unit);
                let volt = volt.filter(|(_, unit)| unit.scale() == Some(Scale::Volt));
                volt.map(|(value, unit)| unit.plain(value)).ok_or((slot + 1, Why::Supply))?
            }
        };
        Ok(Row { time_s, value, supply_volt })
    }

    fn time(&mut self, line: &[u8], cells: &[Cell]) -> Result<f64, (usize, Why)> {
        let cell = cell_of(line, cells, self.time);
        let refuse = (self.time + 1, Why::Time);
        let day_s = match self.date {
            Some(slot) => {
                self.has_date = true;
                self.day(cell_of(line, cells, slot)).ok_or((slot + 1, Why::Date))?
            }
            None => 0.0,
        };
        if self.time_unit == Unit::Clock {
            let moment = moment(cell).ok_or(refuse)?;
            self.has_date |= moment.has_date;
            return Ok(day_s + moment.s);
        }
        let time = self.number(cell, self.time_unit).filter(|(_, unit)| unit.scale().is_none());
        time.map(|(value, unit)| day_s + unit.plain(value)).ok_or(refuse)
    }

    fn day(&mut self, cell: &[u8]) -> Option<f64> {
        if self.day.0 != cell || cell.is_empty() {
            let day = moment(cell).filter(|day| day.has_date)?;
            self.day = (cell.to_vec(), (day.s / DAY_S).floor() * DAY_S);
        }
        Some(self.day.1)
    }

    /// What was read, in the plain unit of the column's scale.
    fn value(&self, cell: &[u8]) -> Result<f64, Why> {
        if let Some((value, unit)) = self.number(cell, self.reading_unit) {
            return match unit.scale() == Some(self.scale) {
                true => Ok(unit.plain(value)),
                false => Err(Why::OtherUnit),
            };
        }
        if self.scale == Scale::Ohm {
            if is_over_range(cell) {
                return Ok(f64::INFINITY);
            }
            return ohm_code(cell).ok_or(Why::Reading);
        }
        Err(Why::Reading)
    }

    /// A number and its unit, the column's where it has none.
    fn number(&self, cell: &[u8], unit: Unit) -> Option<(f64, Unit)> {
        let (value, taken) = leading_number(cell, self.decimal)?;
        if taken == cell.len() {
            return Some((value, unit));
        }
        Unit::of(text_of(&cell[taken..]).trim()).map(|unit| (value, unit))
    }

    fn keep(&mut self, row: &Row, number: u32, line: &[u8], cells: &[Cell]) {
        self.log.time_s.push(row.time_s);
        self.log.value.push(row.value);
        self.log.line.push(number);
        if self.supply.is_some() {
            self.log.supply_volt.push(row.supply_volt);
        }
        for (column, (slot, words)) in self.log.texts.iter_mut().zip(&mut self.texts) {
            let id = words.id(cell_of(line, cells, *slot), &mut column.words);
            column.ids.push(id);
        }
    }

    fn refuse(&mut self, line: u32, column: usize, why: Why, found: &[u8]) {
        let found: String = text_of(found).chars().take(FOUND_CHARS).collect();
        self.log.refused.push(Refused {
            line,
            column: u16::try_from(column).unwrap_or(u16::MAX),
            name: column.checked_sub(1).map(|n| self.names[n].clone()).unwrap_or_default(),
            why,
            found,
        });
    }
}

/// Gives every different text a number.
#[derive(Default)]
struct Words {
    ids: BTreeMap<Vec<u8>, u32>,
    last: (Vec<u8>, u32),
}

impl Words {
    fn id(&mut self, cell: &[u8], words: &mut Vec<String>) -> u32 {
        if self.last.0 == cell && !words.is_empty() {
            return self.last.1;
        }
        let id = match self.ids.get(cell) {
            Some(id) => *id,
            None => {
                let id = u32::try_from(words.len()).unwrap_or(u32::MAX);
                words.push(text_of(cell));
                self.ids.insert(cell.to_vec(), id);
                id
            }
        };
        self.last = (cell.to_vec(), id);
        id
    }
}
