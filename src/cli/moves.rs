//! `ohmloom faults FILE --moves`: what a pin passes while controls are moved, and what of it counts.

use serde::Serialize;

use crate::check::state_words;
use crate::cli::args::{FaultArgs, Format};
use crate::cli::controls::{parse_state, positions};
use crate::cli::json::{self, InOrder};
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::nine_figures;
use crate::csv_text::csv_records;
use crate::model::{ControlId, Harm, Project, SensePin, State, Timing};
use crate::study::faults::MAX_STATES;
use crate::study::transitions::{Move, Moves, Passing, Seen, Stay, moves};
use crate::units::{counted, parse_number, trim_zeros};

/// Puts every pin through every move and writes the outcome as asked.
///
/// # Errors
/// A state that names no control or position of the project, or a time that is none.
pub fn answer(project: &Project, args: &FaultArgs) -> Result<Answer, String> {
    let start = args.state.as_deref().map(|text| parse_state(project, text)).transpose()?;
    let mut timing = project.settings.timing;
    let typed = [
        (&args.skew, &mut timing.skew_ms),
        (&args.change, &mut timing.change_ms),
        (&args.bounce, &mut timing.bounce_ms),
    ];
    for (text, place) in typed {
        if let Some(text) = text {
            let parsed = parse_number(text, "ms", "a time in milliseconds such as 30");
            *place = parsed.map_err(|error| error.to_string())?;
        }
    }
    timing.check()?;
    let mut all = Vec::new();
    for pin in project.sense_pins.ids() {
        all.extend(moves(project, pin, &timing, &|| true)?);
    }
    let shown = Shown { project, start, dangerous: args.dangerous };
    let text = match args.file.format {
        Format::Table => shown.text(&all, &timing),
        Format::Csv => shown.csv(&all),
        Format::Json => shown.document(&all),
    };
    let is_dangerous = |moves: &Moves| moves.rows.iter().any(|row| row.harm == Harm::Dangerous);
    let health = if all.iter().any(is_dangerous) { Health::Problems } else { Health::Fine };
    Ok(Answer { text, health })
}

/// More moves than this make a table nobody reads.
const MAX_LISTED: usize = 60;

/// What of the moves is asked for.
struct Shown<'a> {
    project: &'a Project,
    start: Option<State>,
    dangerous: bool,
}

impl Shown<'_> {
    /// Moves that do something, or all that start from the state that is named.
    fn rows<'m>(&self, all: &'m Moves) -> Vec<&'m Move> {
        let is_shown = |row: &&Move| {
            let is_here = match &self.start {
                Some(want) => self.project.stands(&all.states[row.start], want),
                None => row.worst() != Passing::Silent,
            };
            is_here && (!self.dangerous || row.harm == Harm::Dangerous)
        };
        all.rows.iter().filter(is_shown).collect()
    }

    fn text(&self, all: &[Moves], timing: &Timing) -> String {
        if all.is_empty() {
            let title = &self.project.title;
            let why = format!("{title}: no sense pin with at most {MAX_STATES} states to move in");
            return wrapped("", &why, 0);
        }
        let mut text = String::new();
        for moves in all {
            let Some(pin) = self.project.sense_pins.get(moves.pin) else { continue };
            if !text.is_empty() {
                text += "\n";
            }
            text += &self.pin_text(pin, moves);
        }
        text += "\nAs a person should read this\n";
        let times = format!(
            "The second of two controls follows after {}; a control that opens and closes takes {}; a contact that closes may bounce for {}.",
            ms(timing.skew_ms),
            ms(timing.change_ms),
            ms(timing.bounce_ms)
        );
        text += &wrapped("- ", &times, 2);
        text += &wrapped(
            "- ",
            "Readings are usual values. \"On the way\" is an action of a position that is passed; \"wrong action\" is one that no position of the move asks for.",
            2,
        );
        text + &wrapped("- ", CAUTION, 2)
    }

    fn pin_text(&self, pin: &SensePin, moves: &Moves) -> String {
        let count =
            |passing: Passing| moves.rows.iter().filter(|row| row.counted() == passing).count();
        let debounce = moves.debounce_ms.map_or_else(
            || "debounce not known, so every stay counts".to_owned(),
            |debounce| format!("debounce {}", ms(debounce)),
        );
        let mut head = format!(
            "{}, {} {}: {}, {debounce}; long enough to count: {} with a wrong action, {} with one of a position on the way, {} that drop out, {} taken for a broken wire or a short",
            self.project.title,
            self.project.terminal_name(pin.terminal),
            pin.name,
            counted(moves.rows.len(), "move"),
            count(Passing::WrongAction),
            count(Passing::OnTheWay),
            count(Passing::DropsOut),
            count(Passing::Detected),
        );
        if moves.left_out > 0 {
            head += &format!("; {} more left out", moves.left_out);
        }
        let columns = [
            ("move", Align::Left),
            ("from", Align::Left),
            ("contacts", Align::Left),
            ("passes", Align::Left),
            ("at most", Align::Right),
            ("does", Align::Left),
            ("counts", Align::Left),
            ("harm", Align::Left),
        ];
        let rows = self.rows(moves);
        if rows.is_empty() {
            return wrapped("", &head, 0);
        }
        let n_more = rows.len().saturating_sub(MAX_LISTED);
        let cells: Vec<Vec<String>> = rows
            .into_iter()
            .take(MAX_LISTED)
            .map(|row| {
                let stay = row.main_stay();
                vec![
                    row.words(self.project),
                    state_words(self.project, &moves.states[row.start]),
                    making(row).into(),
                    stay.map_or("nothing of its own", |stay| stay_band(pin, stay)).into(),
                    stay.map_or_else(String::new, |stay| ms(stay.most_ms)),
                    stay.map_or("silent", |stay| stay.passing.word()).into(),
                    stay.map_or("", |stay| if stay.counts { "yes" } else { "no" }).into(),
                    row.harm.word().into(),
                ]
            })
            .collect();
        let mut text = wrapped("", &head, 0) + "\n" + &table(&columns, &cells);
        if n_more > 0 {
            text += &wrapped("… ", &format!("and {n_more} more; CSV and JSON list them all"), 2);
        }
        text
    }

    fn csv(&self, all: &[Moves]) -> String {
        let head = [
            "pin", "move", "controls", "contacts", "from_ms", "to_ms", "ohm", "volt", "band",
            "does", "worst", "counting", "harm",
        ];
        let mut records = vec![head.map(str::to_owned).to_vec()];
        for moves in all {
            let Some(pin) = self.project.sense_pins.get(moves.pin) else { continue };
            for row in self.rows(moves) {
                for stretch in &row.stretches {
                    for seen in &stretch.seen {
                        records.push(vec![
                            self.project.terminal_name(pin.terminal),
                            row.words(self.project),
                            state_words(self.project, &moves.states[row.start]),
                            making(row).into(),
                            nine_figures(stretch.from_ms).to_string(),
                            nine_figures(stretch.to_ms).to_string(),
                            ohm(seen).map_or_else(|| "open".into(), |ohm| ohm.to_string()),
                            volt(seen).map_or_else(String::new, |volt| volt.to_string()),
                            band(pin, seen.band).unwrap_or_default().into(),
                            seen.passing.word().into(),
                            row.worst().word().into(),
                            row.counted().word().into(),
                            row.harm.word().into(),
                        ]);
                    }
                }
            }
        }
        csv_records(&records)
    }

    fn document(&self, all: &[Moves]) -> String {
        let mut rows = Vec::new();
        for moves in all {
            let Some(pin) = self.project.sense_pins.get(moves.pin) else { continue };
            rows.extend(self.rows(moves).into_iter().map(|row| self.document_row(pin, moves, row)));
        }
        json::document(&rows)
    }

    fn document_row<'m>(&self, pin: &'m SensePin, moves: &Moves, row: &Move) -> DocumentRow<'m> {
        let state = |idx: usize| {
            let state = &moves.states[idx];
            let ids: Vec<ControlId> = state.0.keys().copied().collect();
            InOrder(positions(self.project, &ids, state))
        };
        let may_show = |seen: &Seen| MayShow {
            ohm: ohm(seen),
            volt: volt(seen),
            band: band(pin, seen.band),
            does: seen.passing.word(),
        };
        DocumentRow {
            pin: self.project.terminal_name(pin.terminal),
            r#move: row.words(self.project),
            contacts: row.making.map(|making| making.word()),
            start: state(row.start),
            end: state(row.end),
            stretches: row
                .stretches
                .iter()
                .map(|stretch| DocumentStretch {
                    from_ms: nine_figures(stretch.from_ms),
                    to_ms: nine_figures(stretch.to_ms),
                    may_show: stretch.seen.iter().map(may_show).collect(),
                })
                .collect(),
            stays: row
                .stays
                .iter()
                .map(|stay| DocumentStay {
                    band: band(pin, stay.band),
                    from_ms: nine_figures(stay.from_ms),
                    at_most_ms: nine_figures(stay.most_ms),
                    does: stay.passing.word(),
                    counts: stay.counts,
                })
                .collect(),
            worst: row.worst().word(),
            harm: row.harm.word(),
        }
    }
}

#[derive(Serialize)]
struct DocumentRow<'a> {
    pin: String,
    r#move: String,
    contacts: Option<&'static str>,
    start: InOrder,
    end: InOrder,
    stretches: Vec<DocumentStretch<'a>>,
    stays: Vec<DocumentStay<'a>>,
    worst: &'static str,
    harm: &'static str,
}

#[derive(Serialize)]
struct DocumentStretch<'a> {
    from_ms: f64,
    to_ms: f64,
    may_show: Vec<MayShow<'a>>,
}

#[derive(Serialize)]
struct MayShow<'a> {
    ohm: Option<f64>,
    volt: Option<f64>,
    band: Option<&'a str>,
    does: &'static str,
}

#[derive(Serialize)]
struct DocumentStay<'a> {
    band: Option<&'a str>,
    from_ms: f64,
    at_most_ms: f64,
    does: &'static str,
    counts: bool,
}

/// What goes with every list of moves.
const CAUTION: &str = "The times are what you typed, not what this machine does: measure them, or take them from the data sheet of the switch. What can hurt somebody needs an independent stop; local rules and licensed practice go first.";

/// Milliseconds to a tenth.
fn ms(value: f64) -> String {
    format!("{} ms", trim_zeros(&format!("{value:.1}")))
}

fn making(row: &Move) -> &'static str {
    row.making.map_or("", |making| making.word())
}

fn stay_band<'a>(pin: &'a SensePin, stay: &Stay) -> &'a str {
    band(pin, stay.band).unwrap_or("no band")
}

fn band(pin: &SensePin, idx: Option<usize>) -> Option<&str> {
    Some(pin.bands.get(idx?)?.name.as_str())
}

fn ohm(seen: &Seen) -> Option<f64> {
    json::number(seen.ohm)
}

fn volt(seen: &Seen) -> Option<f64> {
    seen.volt.and_then(json::number)
}
