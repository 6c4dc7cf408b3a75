//! `ohmloom faults FILE`: every fault and building mistake, and what the machine makes of it.

use serde::Serialize;

use crate::check::state_words;
use crate::cli::advice;
use crate::cli::args::{FaultArgs, Format};
use crate::cli::controls::{parse_state, positions};
use crate::cli::json::{self, InOrder};
use crate::cli::moves;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::cli::words::{nine_figures, subject_words};
use crate::csv_text::csv_records;
use crate::model::{ControlId, Harm, Project, SensePin, State};
use crate::study::faults::{Effect, FaultRow, MAX_STATES, Survey, Symptom, survey};
use crate::units::{counted, format_ohm};

/// Puts every pin through every fault and writes the outcome as asked.
///
/// # Errors
/// A state that names no control or position of the project.
pub fn answer(project: &Project, args: &FaultArgs) -> Result<Answer, String> {
    if args.moves {
        return moves::answer(project, args);
    }
    if args.advice {
        return Ok(advice::answer(project, args));
    }
    let state = args.state.as_deref().map(|text| parse_state(project, text)).transpose()?;
    let shown = Shown { project, state, dangerous: args.dangerous };
    let surveys: Vec<Survey> =
        project.sense_pins.ids().filter_map(|pin| survey(project, pin, &|| true)).collect();
    let text = match args.file.format {
        Format::Table => shown.text(&surveys),
        Format::Csv => shown.csv(&surveys),
        Format::Json => shown.document(&surveys),
    };
    let is_dangerous = |survey: &Survey| survey.rows.iter().any(|row| row.harm == Harm::Dangerous);
    let health = if surveys.iter().any(is_dangerous) { Health::Problems } else { Health::Fine };
    Ok(Answer { text, health })
}

/// What of the surveys is asked for.
struct Shown<'a> {
    project: &'a Project,
    state: Option<State>,
    dangerous: bool,
}

impl Shown<'_> {
    fn rows<'s>(&self, survey: &'s Survey) -> impl Iterator<Item = (usize, &'s FaultRow)> {
        let dangerous = self.dangerous;
        let wanted = move |row: &FaultRow| !dangerous || row.harm == Harm::Dangerous;
        survey.rows.iter().enumerate().filter(move |(_, row)| wanted(row))
    }

    /// Indices of the states that are asked for.
    fn states(&self, survey: &Survey) -> Vec<usize> {
        let project = self.project;
        let stands = |state: &State, (id, position): (&ControlId, &u8)| {
            project.controls.get(*id).is_some_and(|c| state.position(*id, c) == *position)
        };
        let wanted = |state: &State| match &self.state {
            None => true,
            Some(want) => project.controls.iter().all(|(id, control)| {
                // Controls of other pins stand where they like.
                !state.0.contains_key(&id) || stands(state, (&id, &want.position(id, control)))
            }),
        };
        (0..survey.states.len()).filter(|idx| wanted(&survey.states[*idx])).collect()
    }

    fn text(&self, surveys: &[Survey]) -> String {
        let mut text = String::new();
        if surveys.is_empty() {
            let why = format!(
                "{}: no sense pin with at most {MAX_STATES} states to put faults to",
                self.project.title
            );
            return wrapped("", &why, 0);
        }
        for survey in surveys {
            let Some(pin) = self.project.sense_pins.get(survey.pin) else { continue };
            if !text.is_empty() {
                text += "\n";
            }
            text += &self.pin_text(pin, survey);
        }
        text += "\nAs a person should read this\n";
        text += &wrapped(
            "- ",
            "Readings are usual values; tolerances may make a fault look like its neighbour.",
            2,
        );
        text += &wrapped("- ", CAUTION, 2);
        text
    }

    fn pin_text(&self, pin: &SensePin, survey: &Survey) -> String {
        let count = |effect: Effect| survey.rows.iter().filter(|row| row.worst == effect).count();
        let head = format!(
            "{}, {} {}: {}, {} of them make a wrong action, {} leave one out, {} are noticed, {} are silent",
            self.project.title,
            self.project.terminal_name(pin.terminal),
            pin.name,
            counted(survey.rows.len(), "fault"),
            count(Effect::WrongAction),
            count(Effect::Dead),
            count(Effect::Detected),
            count(Effect::Silent),
        );
        let mut text = wrapped("", &head, 0) + "\n";
        if self.dangerous && pin.bands.iter().all(|band| band.harm != Harm::Dangerous) {
            let words = "No action of this pin is marked dangerous, so none is listed. Mark what an action unasked for would do at its band, in the window under the sense pin.";
            text += &wrapped("", words, 0);
            return text;
        }
        let columns = [
            ("fault", Align::Left),
            ("kind", Align::Left),
            ("harm", Align::Left),
            ("does", Align::Left),
            ("while", Align::Left),
            ("reads", Align::Right),
            ("as", Align::Left),
            ("twins", Align::Right),
        ];
        let states = self.states(survey);
        let rows: Vec<Vec<String>> = self
            .rows(survey)
            .filter_map(|(idx, row)| {
                let worst = if states.contains(&row.worst_state) {
                    row.worst_state
                } else {
                    *states.iter().max_by_key(|state| row.symptoms[**state].effect)?
                };
                let symptom = &row.symptoms[worst];
                Some(vec![
                    row.fault.title.clone(),
                    row.fault.kind.word().into(),
                    row.harm.word().into(),
                    does(row, symptom),
                    state_words(self.project, &survey.states[worst]),
                    reads(pin, symptom),
                    band(pin, symptom).unwrap_or("no band").into(),
                    survey.twins_of(idx).len().to_string(),
                ])
            })
            .collect();
        text += &table(&columns, &rows);
        text
    }

    fn csv(&self, surveys: &[Survey]) -> String {
        let head = [
            "pin", "fault", "kind", "where", "harm", "worst", "controls", "ohm", "volt", "band",
            "effect",
        ];
        let mut records = vec![head.map(str::to_owned).to_vec()];
        for survey in surveys {
            let Some(pin) = self.project.sense_pins.get(survey.pin) else { continue };
            let states = self.states(survey);
            for (_, row) in self.rows(survey) {
                for idx in &states {
                    let symptom = &row.symptoms[*idx];
                    records.push(vec![
                        self.project.terminal_name(pin.terminal),
                        row.fault.title.clone(),
                        row.fault.kind.word().into(),
                        self.places(row).join("; "),
                        row.harm.word().into(),
                        row.worst.word().into(),
                        state_words(self.project, &survey.states[*idx]),
                        if symptom.ohm.is_finite() {
                            nine_figures(symptom.ohm).to_string()
                        } else {
                            "open".into()
                        },
                        symptom
                            .volt
                            .map_or_else(String::new, |volt| nine_figures(volt).to_string()),
                        band(pin, symptom).unwrap_or_default().into(),
                        symptom.effect.map_or("not known", Effect::word).into(),
                    ]);
                }
            }
        }
        csv_records(&records)
    }

    fn document(&self, surveys: &[Survey]) -> String {
        #[derive(Serialize)]
        struct Row<'a> {
            pin: String,
            fault: &'a str,
            kind: &'static str,
            r#where: Vec<String>,
            states: Vec<InState<'a>>,
            worst: &'static str,
            harm: &'static str,
            over_limit: bool,
            twins: Vec<&'a str>,
        }
        #[derive(Serialize)]
        struct InState<'a> {
            controls: InOrder,
            ohm: Option<f64>,
            volt: Option<f64>,
            band: Option<&'a str>,
            verdict: Option<&'static str>,
        }
        let mut rows = Vec::new();
        for survey in surveys {
            let Some(pin) = self.project.sense_pins.get(survey.pin) else { continue };
            let states = self.states(survey);
            let in_state = |row: &FaultRow, idx: usize| {
                let symptom = &row.symptoms[idx];
                let state = &survey.states[idx];
                let ids: Vec<ControlId> = state.0.keys().copied().collect();
                InState {
                    controls: InOrder(positions(self.project, &ids, state)),
                    ohm: json::number(symptom.ohm),
                    volt: symptom.volt.and_then(json::number),
                    band: band(pin, symptom),
                    verdict: symptom.effect.map(Effect::word),
                }
            };
            for (idx, row) in self.rows(survey) {
                rows.push(Row {
                    pin: self.project.terminal_name(pin.terminal),
                    fault: &row.fault.title,
                    kind: row.fault.kind.word(),
                    r#where: self.places(row),
                    states: states.iter().map(|state| in_state(row, *state)).collect(),
                    worst: row.worst.word(),
                    harm: row.harm.word(),
                    over_limit: row.is_over_limit,
                    twins: survey
                        .twins_of(idx)
                        .into_iter()
                        .map(|other| survey.rows[other].fault.title.as_str())
                        .collect(),
                });
            }
        }
        json::document(&rows)
    }

    fn places(&self, row: &FaultRow) -> Vec<String> {
        row.fault.subjects.iter().map(|subject| subject_words(self.project, *subject)).collect()
    }
}

/// What goes with every list of faults.
const CAUTION: &str = "A list of faults is no proof of safety: what can hurt somebody when it moves unasked needs an independent stop, and local rules and licensed practice go first.";

fn band<'a>(pin: &'a SensePin, symptom: &Symptom) -> Option<&'a str> {
    Some(pin.bands.get(symptom.band?)?.name.as_str())
}

fn does(row: &FaultRow, symptom: &Symptom) -> String {
    let word = symptom.effect.map_or("not known", Effect::word);
    if row.is_over_limit { format!("{word}, more volts than the pin stands") } else { word.into() }
}

fn reads(pin: &SensePin, symptom: &Symptom) -> String {
    symptom.scaled.map_or_else(|| format_ohm(symptom.ohm), |value| pin.scale.text(value))
}
