//! Times of a log put in order: midnight, a recorder that began anew, single rows that fall back.

use crate::proving::replay::clock::DAY_S;
use crate::proving::replay::log::{Log, Refused, Why};

/// Steps looked at to tell the usual one.
const LOOKED_AT: usize = 20_000;

/// A clock may tick once in so many seconds.
const TICK_MOST_S: f64 = 2.0;

/// Makes times count from the first row and never fall. Nothing is sorted: a row that falls back
/// alone is refused, and where all that follows lies earlier the recorder began anew, so that part is
/// laid behind what came before and a note says so.
pub fn put_in_order(log: &mut Log, is_clock: bool, has_date: bool) {
    let Some(first) = log.time_s.first().copied() else { return };
    log.clock_s = is_clock.then(|| first.rem_euclid(DAY_S));
    if log.time_s.windows(2).any(|pair| pair[1] < pair[0]) {
        mend(log, is_clock && !has_date);
    }
    spread(log);
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

/// Rows that share a time, as under a clock of whole seconds, are laid evenly apart up to the next
/// time. One in four must share it: two changes at one moment are no coarse clock.
fn spread(log: &mut Log) {
    let times = &mut log.time_s;
    let n_same = times.windows(2).filter(|pair| pair[0] == pair[1]).count();
    if n_same == 0 || n_same * 4 < times.len() - 1 {
        return;
    }
    let mut groups: Vec<std::ops::Range<usize>> = Vec::new();
    for row in 0..times.len() {
        match groups.last_mut() {
            Some(group) if times[group.start] == times[row] => group.end = row + 1,
            Some(_) | None => groups.push(row..row + 1),
        }
    }
    if groups.len() == 1 {
        log.notes.push(
            "all rows have one time, so nothing can be told of how long anything stood".to_owned(),
        );
        return;
    }
    let begins: Vec<f64> = groups.iter().map(|group| times[group.start]).collect();
    let until =
        |n: usize| begins.get(n + 1).copied().filter(|next| next - begins[n] <= TICK_MOST_S);
    let step = |n: usize| Some((until(n)? - begins[n]) / groups.get(n)?.len() as f64);
    for (n, group) in groups.iter().enumerate() {
        let is_first = n == 0 || until(n - 1).is_none();
        // The recorder may have begun or ended anywhere between two ticks of its clock.
        let (from, step_s) = match (until(n), step(n), step(n + 1)) {
            (Some(next), Some(own), Some(later)) if is_first && later < own => {
                (next - later * group.len() as f64, later)
            }
            (_, Some(own), _) => (begins[n], own),
            (_, None, _) => match n.checked_sub(1).and_then(step) {
                Some(before) => (begins[n], before),
                None => continue,
            },
        };
        for (idx, row) in group.clone().enumerate() {
            times[row] = from + step_s * idx as f64;
        }
    }
    log.notes.push("several rows share a time; they are taken as evenly apart".to_owned());
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
