//! Tables too large for a bar each: how many states read where.

use crate::app::ruler::axis::Axis;
use crate::sense::{StateRow, Verdict};
use crate::units::Range;

/// From this many states on the ruler shows columns instead of bars.
pub const SUMMARY_FROM: usize = 5_000;

/// Columns over the whole axis.
const COLUMNS: usize = 160;

/// How many states read between two places of the axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Column {
    /// Left end in axis units.
    pub low: f64,
    /// Right end.
    pub high: f64,
    /// Number of states.
    pub count: usize,
    /// How many of them are thin, in a gap or in a clash.
    pub problems: usize,
    /// Index of the worst of them.
    pub worst_row: usize,
    /// How that one fares.
    pub verdict: Option<Verdict>,
}

/// Whether one row is worse than another.
fn is_worse(a: &StateRow, b: &StateRow) -> bool {
    let (a, b) = (a.badness(), b.badness());
    a.0 < b.0 || (a.0 == b.0 && a.1 < b.1)
}

/// Columns that hold at least one state, from left to right; by the usual reading.
pub fn columns(axis: &Axis, ranges: &[Option<Range>], rows: &[StateRow]) -> Vec<Column> {
    let width = (axis.high - axis.low) / COLUMNS as f64;
    let mut all: Vec<Option<Column>> = vec![None; COLUMNS];
    for (row, range) in ranges.iter().enumerate() {
        let Some(range) = range else { continue };
        let place = ((axis.at(range.nominal) - axis.low) / width).clamp(0.0, COLUMNS as f64 - 1.0);
        let slot = place as usize;
        let low = axis.low + width * slot as f64;
        let column = all[slot].get_or_insert(Column {
            low,
            high: low + width,
            count: 0,
            problems: 0,
            worst_row: row,
            verdict: rows[row].verdict,
        });
        column.count += 1;
        let is_problem =
            matches!(rows[row].verdict, Some(Verdict::Thin | Verdict::Gap | Verdict::Clash));
        column.problems += usize::from(is_problem);
        if is_worse(&rows[row], &rows[column.worst_row]) {
            column.worst_row = row;
            column.verdict = rows[row].verdict;
        }
    }
    all.into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::{ladder, row_at};
    use crate::model::Scale;

    #[test]
    fn every_state_is_counted_once_and_the_worst_of_a_column_is_named() {
        let (project, id) = ladder();
        let pin = project.sense_pins.get(id).unwrap();
        let mut rows: Vec<StateRow> =
            (0..500).map(|n| 100.0 + f64::from(n)).map(|ohm| row_at(pin, ohm, ohm, ohm)).collect();
        for row in &mut rows {
            row.verdict = Some(Verdict::Ok);
        }
        rows[250].verdict = Some(Verdict::Gap);
        rows[251].verdict = Some(Verdict::Clash);
        let ranges: Vec<Option<Range>> = rows.iter().map(|row| Some(row.ohm)).collect();
        let axis = Axis::around(Scale::Ohm, ranges.iter().flatten().map(|range| range.nominal));
        let columns = columns(&axis, &ranges, &rows);
        assert_eq!(columns.iter().map(|column| column.count).sum::<usize>(), 500);
        assert_eq!(columns.iter().map(|column| column.problems).sum::<usize>(), 2);
        let worst = columns.iter().find(|column| column.worst_row == 251).unwrap();
        assert_eq!(worst.verdict, Some(Verdict::Clash));
        let place = axis.at(rows[251].ohm.nominal);
        assert!(worst.low <= place && place <= worst.high);
    }
}
