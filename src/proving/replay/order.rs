//! Times of a log put in order: midnight, a recorder that began anew, single rows that fall back.

use crate::proving::replay::clock::DAY_S;
use crate::proving::replay::log::{Log, Refused, Why};

/// Steps looked at to tell the usual one.
const LOOKED_AT: usize = 20_000;

/// Makes times count from the first row and never fall. Nothing is sorted: a row that falls back
/// alone is refused, and where all that follows lies earlier the recorder began anew, so that part is
/// laid behind what came before and a note says so.
pub fn put_in_order(log: &mut Log, is_clock: bool, has_date: bool) {
    let Some(first) = log.time_s.first().copied() else { return };
    log.clock_s = is_clock.then(|| first.rem_euclid(DAY_S));
    if log.time_s.windows(2).any(|pair| pair[1] < pair[0]) {
        mend(log, is_clock && !has_date);
    }
    let first = log.time_s.first().copied().unwrap_or(first);
    for time in &mut log.time_s {
        *time -= first;
    }
    (log.step_s, log.is_regular) = usual_step(&log.time_s);
}

fn mend(log: &mut Log, folds_at_midnight: bool) {
    let (usual, _) = usual_step(&log.time_s);
    let mut shift = 0.0;
    let mut last = f64::NEG_INFINITY;
    let mut kept: Vec<usize> = Vec::with_capacity(log.time_s.len());
    let mut refused = Vec::new();
    for row in 0..log.time_s.len() {
        let mut time = log.time_s[row] + shift;
        if time < last && folds_at_midnight && last - time > DAY_S / 2.0 {
            shift += DAY_S;
            time += DAY_S;
        }
        if time < last {
            let returns = log.time_s.get(row + 1).is_none_or(|next| next + shift >= last);
            if returns {
                refused.push(Refused {
                    line: log.line[row],
                    column: 0,
                    name: String::new(),
                    why: Why::TimeFalls,
                    found: format!("{:.3} s", log.time_s[row] - log.time_s[0]),
                });
                continue;
            }
            shift += last + usual - time;
            time = last + usual;
            log.notes.push(format!(
                "line {}: the time begins anew here; what follows is laid behind what came before",
                log.line[row]
            ));
        }
        log.time_s[row] = time;
        last = time;
        kept.push(row);
    }
    if kept.len() < log.time_s.len() {
        keep_only(log, &kept);
    }
    log.refused.extend(refused);
    log.refused.sort_by_key(|row| row.line);
}

fn keep_only(log: &mut Log, kept: &[usize]) {
    fn of<T: Copy>(all: &[T], kept: &[usize]) -> Vec<T> {
        kept.iter().map(|row| all[*row]).collect()
    }
    log.time_s = of(&log.time_s, kept);
    log.value = of(&log.value, kept);
    log.line = of(&log.line, kept);
    if !log.supply_volt.is_empty() {
        log.supply_volt = of(&log.supply_volt, kept);
    }
    for column in &mut log.texts {
        column.ids = of(&column.ids, kept);
    }
}

/// The middle of the steps, and whether nine in ten are nearly that long.
fn usual_step(time_s: &[f64]) -> (f64, bool) {
    let stride = (time_s.len() / LOOKED_AT).max(1);
    let pairs = time_s.windows(2).step_by(stride);
    let mut steps: Vec<f64> = pairs.map(|pair| pair[1] - pair[0]).filter(|s| *s >= 0.0).collect();
    if steps.is_empty() {
        return (0.0, false);
    }
    let middle = steps.len() / 2;
    let (_, usual, _) = steps.select_nth_unstable_by(middle, f64::total_cmp);
    let usual = *usual;
    let near = steps.iter().filter(|step| (**step - usual).abs() <= 0.6 * usual).count();
    (usual, near * 10 >= steps.len() * 9)
}
