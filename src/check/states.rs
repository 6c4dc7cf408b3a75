//! How the states of every pin fare, one finding per pin and verdict.

use crate::check::findings::Found;
use crate::model::{Project, State, Subject};
use crate::sense::{PinTable, StateRow, Verdict};

/// How many states are named in a finding before it only counts.
const N_NAMED: usize = 2;

/// Sums up all tables.
pub fn check(project: &Project, tables: &[&PinTable], found: &mut Found) {
    for table in tables {
        let Some(pin) = project.sense_pins.get(table.pin) else { continue };
        let at = project.terminal_name(pin.terminal);
        let subject = Subject::SensePin(table.pin);
        for verdict in [Verdict::Clash, Verdict::Gap, Verdict::Thin] {
            let rows: Vec<&StateRow> =
                table.rows.iter().filter(|row| row.verdict == Some(verdict)).collect();
            if rows.is_empty() {
                continue;
            }
            let what = summary(project, table, &at, &rows, does(verdict, rows.len()));
            match verdict {
                Verdict::Clash => found.error(
                    subject,
                    what,
                    "change a resistor or a band until every state means what was asked for",
                ),
                Verdict::Gap => found.error(
                    subject,
                    what,
                    "change a resistor, or widen the band until the reading lies in it",
                ),
                Verdict::Thin => found.warning(
                    subject,
                    what,
                    "take closer tolerances or cleaner contacts, or move the value to the middle of its band",
                ),
                Verdict::Ok => {}
            }
        }
        unknown(project, table, &at, found);
    }
}

/// The state in words: `Gate HOLD, Rim UP on`; only what is not at rest, or `all at rest`.
pub fn state_words(project: &Project, state: &State) -> String {
    let mut moved = Vec::new();
    for (id, control) in project.controls.iter() {
        let position = state.position(id, control);
        if position != control.rest {
            let name =
                control.positions.get(usize::from(position)).map_or("?", |p| p.name.as_str());
            moved.push(format!("{} {name}", control.name));
        }
    }
    if moved.is_empty() { "all at rest".into() } else { moved.join(", ") }
}

fn does(verdict: Verdict, n: usize) -> &'static str {
    match (verdict, n) {
        (Verdict::Clash, 1) => "clashes",
        (Verdict::Clash, _) => "clash",
        (Verdict::Gap, 1) => "lies in no band",
        (Verdict::Gap, _) => "lie in no band",
        (Verdict::Thin, 1) => "is thin",
        (Verdict::Thin, _) => "are thin",
        (Verdict::Ok, _) => "fare well",
    }
}

/// `X1-11: 3 of 16 states clash: Gate HOLD … (reads 1.03 kΩ …); Rim UP on (…); and 1 more`.
fn summary(
    project: &Project,
    table: &PinTable,
    at: &str,
    rows: &[&StateRow],
    does: &str,
) -> String {
    let mut named: Vec<String> = rows
        .iter()
        .take(N_NAMED)
        .map(|row| {
            let words = state_words(project, &row.state);
            if row.why.is_empty() { words } else { format!("{words} ({})", row.why) }
        })
        .collect();
    if rows.len() > N_NAMED {
        named.push(format!("and {} more", rows.len() - N_NAMED));
    }
    let (n, all) = (rows.len(), table.rows.len());
    format!("{at}: {n} of {all} states {does}: {}", named.join("; "))
}

fn unknown(project: &Project, table: &PinTable, at: &str, found: &mut Found) {
    let rows: Vec<&StateRow> = table.rows.iter().filter(|row| row.verdict.is_none()).collect();
    let has_bands = project.sense_pins.get(table.pin).is_some_and(|pin| !pin.bands.is_empty());
    if let (Some(first), true) = (rows.first(), has_bands) {
        let why = if first.why.is_empty() { "the reading is not known" } else { &first.why };
        found.note(
            Subject::SensePin(table.pin),
            format!("{at}: {} of {} states have no verdict: {why}", rows.len(), table.rows.len()),
            "enter what is missing, or give the bands in ohms",
        );
    }
}
