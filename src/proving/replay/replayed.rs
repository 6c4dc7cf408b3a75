//! A log put to a project: decoded row by row, looked through for events, summed up.

use crate::model::{Project, Scale, SensePinId};
use crate::proving::replay::away::Case;
use crate::proving::replay::claims::{Claims, GUARD};
use crate::proving::replay::dips::dips;
use crate::proving::replay::drift::drifts;
use crate::proving::replay::event::{Event, EventKind, Rules};
use crate::proving::replay::log::Log;
use crate::proving::replay::pyramid::Pyramid;
use crate::proving::replay::runs::{Bands, Run, runs};
use crate::proving::replay::scaled::Scaler;
use crate::proving::replay::summary::{Summary, summary};
use crate::units::Range;

/// The reading may move so many rows before the supply is seen to dip, and come back so many later.
const SETTLING_ROWS: usize = 2;

/// A log and what the project makes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Replay {
    /// The pin it was put to.
    pub pin: SensePinId,
    /// Readings in the scale of the pin's bands.
    pub scaled: Vec<f64>,
    /// Rows in one band after another.
    pub runs: Vec<Run>,
    /// What the drawing gives in stretches of rows, where anything is known.
    pub expected: Vec<(std::ops::Range<usize>, Range)>,
    /// What was found, in order of time.
    pub events: Vec<Event>,
    /// By what rules.
    pub rules: Rules,
    /// In figures.
    pub summary: Summary,
    /// For drawing.
    pub pyramid: Pyramid,
    /// What the controls were said to do, in words, with the row from which it is said; empty where
    /// no column says it.
    pub said: Vec<(usize, String)>,
    /// What could not be judged, in words.
    pub notes: Vec<String>,
}

/// Puts a log to a pin of a project. `Ok(None)` where it was told to stop.
///
/// Takes some tens of nanoseconds a row. Events: a run of rows that stands as long as the debounce
/// and reads what the controls do not give; what leaves its band for less and comes back; both many
/// times in a row; a centre that moves; a supply that dips and takes the reading with it. What lies
/// within such a dip is told with it, once.
///
/// # Errors
/// One sentence: the pin has no bands, or a figure of the controller is missing.
pub fn replay(
    project: &Project,
    pin: SensePinId,
    log: &Log,
    keep_going: &dyn Fn() -> bool,
) -> Result<Option<Replay>, String> {
    let sense = project.sense_pins.get(pin).ok_or("expected a sense pin of the project")?;
    if sense.bands.is_empty() {
        return Err(format!(
            "{} has no bands to decode by: type them at the sense pin",
            sense.name
        ));
    }
    let scaler = Scaler::new(project, sense, log.scale.unwrap_or(Scale::Ohm))?;
    let claims = Claims::new(project, pin, log).ok_or("the pin reads nothing: wire it first")?;
    if !keep_going() {
        return Ok(None);
    }
    let scaled: Vec<f64> = log.value.iter().map(|value| scaler.scaled(*value)).collect();
    let rules = Rules::of(sense);
    let Some(runs) = runs(&Bands::new(sense), &claims, log, &scaled, keep_going) else {
        return Ok(None);
    };
    let case = Case {
        pin: sense,
        rules: &rules,
        claims: &claims,
        scaled: &scaled,
        is_regular: log.is_regular,
    };
    let mut found = case.found(&runs);
    let dipped = dips(log, &scaled, &runs, &rules);
    if !keep_going() {
        return Ok(None);
    }
    found.events.retain(|event| !dipped.events.iter().any(|dip| lies_within(event, dip)));
    let is_quiet = |run: &Run| {
        let starts = dipped.events.partition_point(|dip| dip.end <= run.first as usize);
        dipped.events.get(starts).is_none_or(|dip| dip.first >= run.end as usize)
    };
    let standing: Vec<Run> = runs
        .iter()
        .filter(|run| run.is_right && run.band != GUARD && case.counts(run) && is_quiet(run))
        .copied()
        .collect();
    let mut events = found.events;
    events.extend(drifts(sense, &claims, (log, &scaled), &standing, &rules));
    let figures = Summary {
        passings: found.passings,
        dips: dipped.count,
        ..summary(sense, &claims, log, (&scaled, &runs))
    };
    events.extend(dipped.events);
    for event in &mut events {
        event.may_count = may_count(event, &rules, log);
        fill_expected(event, &claims, &scaled);
    }
    events.sort_by(|a, b| a.from_s.total_cmp(&b.from_s).then(a.kind.cmp(&b.kind)));
    let expected = runs.iter().flat_map(|run| expected_of(run, &claims, &scaled)).collect();
    let pyramid = Pyramid::new(&scaled);
    let said = said(&claims);
    let notes = notes(&claims, &rules, log);
    Ok(Some(Replay {
        pin,
        scaled,
        runs,
        expected,
        events,
        rules,
        summary: figures,
        pyramid,
        said,
        notes,
    }))
}

/// Whether an event lies within a dip; what outlasts the dip is more than the dip.
fn lies_within(event: &Event, dip: &Event) -> bool {
    let touches = event.first < dip.end && dip.first < event.end;
    touches && event.first + SETTLING_ROWS >= dip.first && event.end <= dip.end + SETTLING_ROWS
}

/// Whether the controller may take notice of what is told as too short for it: the debounce is not
/// known, or rows lie so far apart that a stay may have been longer than its rows show.
fn may_count(event: &Event, rules: &Rules, log: &Log) -> bool {
    if event.kind != EventKind::Brief {
        return true;
    }
    let is_single = event.length_s() + 1e-9 < rules.counts_s || event.end - event.first == 1;
    let most_s = if is_single { event.length_s() + log.step_s } else { 2.0 * log.step_s };
    !rules.is_debounce_known || (log.is_regular && most_s > rules.counts_s + 1e-9)
}

/// What the drawing gives at an event: beside the band that was left, or for the state that is named.
fn fill_expected(event: &mut Event, claims: &Claims, scaled: &[f64]) {
    if event.expected.is_some() {
        return;
    }
    let claim = claims.at(event.first);
    let is_named = !claim.words.is_empty();
    event.expected = match event.kind {
        EventKind::Brief | EventKind::Intermittent | EventKind::Dip => {
            let before = event.first.checked_sub(1).map(|row| scaled[row]);
            before.and_then(|value| claim.nearest(event.band, value))
        }
        EventKind::InGuard if event.band != GUARD => {
            claim.nearest(event.band, scaled[event.first.saturating_sub(1)])
        }
        EventKind::WrongAction | EventKind::Detected | EventKind::InGuard if is_named => {
            claim.nearest(GUARD, scaled[event.first])
        }
        EventKind::WrongAction | EventKind::Detected | EventKind::InGuard | EventKind::Drift => {
            None
        }
    };
}

fn expected_of(run: &Run, claims: &Claims, scaled: &[f64]) -> Vec<(std::ops::Range<usize>, Range)> {
    let of = |rows: std::ops::Range<usize>| {
        let middle = rows.start + rows.len() / 2;
        let claim = claims.at(middle);
        let is_known = claim.gives(run.band) || !claim.words.is_empty();
        let range = claim.nearest(run.band, scaled[middle]).filter(|_| is_known)?;
        Some((rows, range))
    };
    claims.stretches(run.rows()).into_iter().filter_map(of).collect()
}

fn said(claims: &Claims) -> Vec<(usize, String)> {
    let mut out: Vec<(usize, String)> = Vec::new();
    let mut last = None;
    for (row, idx) in claims.of_row.iter().enumerate() {
        if last != Some(*idx) {
            out.push((row, claims.all[*idx as usize].words.clone()));
            last = Some(*idx);
        }
    }
    out
}

fn notes(claims: &Claims, rules: &Rules, log: &Log) -> Vec<String> {
    let mut notes = Vec::new();
    if !rules.is_debounce_known {
        notes.push(
            "the debounce is not known; 50 ms is taken (common practice, no source): type it at the sense pin"
                .to_owned(),
        );
    }
    if log.is_regular && log.step_s > rules.counts_s {
        notes.push(format!(
            "a row every {:.0} ms cannot show what is shorter than the debounce of {:.0} ms: record faster",
            log.step_s * 1e3,
            rules.counts_s * 1e3
        ));
    }
    if !claims.unknown.is_empty() {
        let few: Vec<String> =
            claims.unknown.iter().take(4).map(|text| format!("\"{text}\"")).collect();
        let more = claims.unknown.len().saturating_sub(4);
        let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
        notes.push(format!(
            "not understood as positions of the controls: {}{rest}; those rows are judged by what any state gives",
            few.join(", ")
        ));
    }
    if claims.all[0].expected.is_empty() {
        notes.push(
            "the pin has too many states, or its reading is not known, so readings are not held to the drawing"
                .to_owned(),
        );
    }
    notes
}
