//! `ohmloom diagnose FILE --reading 'Gate=HOLD,Lever=fore:1.21k'`: from readings to what is wrong.

use serde::Serialize;

use crate::check::state_words;
use crate::cli::args::{DiagnoseArgs, Format};
use crate::cli::controls::{parse_state, positions, sense_pin};
use crate::cli::json::{self, InOrder};
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::{Align, table, wrapped};
use crate::csv_text::csv_records;
use crate::model::{ControlId, Project, State};
use crate::proving::diagnose::{
    Diagnosis, Expected, FAINTEST, Inquiry, Judged, MODEL, Ranked, Reading, Verdict, between_words,
    blame_title, expected_words, measurement_words, parting, verdict_words, worth_words,
};
use crate::proving::{Quantity, parse_shown, shown_words};

/// Ranks what may be wrong and writes it as asked.
///
/// # Errors
/// A pin, a state or a reading that is not understood.
pub fn answer(project: &Project, args: &DiagnoseArgs) -> Result<Answer, String> {
    let pin = sense_pin(project, args.pin.as_deref())?;
    let readings: Result<Vec<Reading>, String> =
        args.reading.iter().map(|text| reading(project, text)).collect();
    let readings = readings?;
    let inquiry = Inquiry::new(project, pin, &|| true).ok_or(
        "this pin cannot be diagnosed: it reads nothing, or it has more states than faults are put to",
    )?;
    let diagnosis =
        inquiry.diagnose(project, &readings, &|| true)?.expect("it is only given up when told to");
    let shown = Shown { project, inquiry: &inquiry, readings: &readings, diagnosis: &diagnosis };
    let text = match args.file.format {
        Format::Table => shown.text(),
        Format::Csv => shown.csv(),
        Format::Json => shown.document(),
    };
    let health = match diagnosis.verdict {
        Verdict::NothingMeasured | Verdict::WithinLimits => Health::Fine,
        Verdict::Found | Verdict::Undecided | Verdict::Unexplained => Health::Problems,
    };
    Ok(Answer { text, health })
}

/// Reads `Gate=HOLD,Lever=fore:1.21k`; `rest:22k` or `:22k` for all at rest.
fn reading(project: &Project, text: &str) -> Result<Reading, String> {
    let (state, figure) = text.rsplit_once(':').ok_or_else(|| {
        format!("expected a reading such as Gate=HOLD:1.21k or rest:OL, found \"{text}\"")
    })?;
    let state = match state.trim() {
        "rest" => State::rest(),
        words => parse_state(project, words)?,
    };
    let typed = parse_shown(figure, Quantity::Ohm, &project.settings.meter)
        .map_err(|error| error.to_string())?;
    Ok(Reading { state, shown: typed.shown, last_digit: typed.last_digit })
}

struct Shown<'a> {
    project: &'a Project,
    inquiry: &'a Inquiry,
    readings: &'a [Reading],
    diagnosis: &'a Diagnosis,
}

impl Shown<'_> {
    fn text(&self) -> String {
        let pin = self.project.terminal_name(self.inquiry.pin.terminal);
        let head = format!("{}, {pin} {}", self.project.title, self.inquiry.pin.name);
        let mut text = wrapped("", &head, 0);
        if !self.readings.is_empty() {
            text += "\n";
            text += &self.readings_text();
        }
        text += "\n";
        let verdict = verdict_words(
            self.project,
            self.inquiry,
            self.diagnosis.verdict,
            &self.diagnosis.ranked,
        );
        text += &wrapped("", &verdict, 0);
        if !self.readings.is_empty() {
            text += "\n";
            text += &self.ranking_text();
        }
        text += "\n";
        text += &wrapped("", &self.next_words(), 0);
        if let Some(words) = parting(self.project, self.inquiry, self.diagnosis) {
            text += &wrapped("", &words, 0);
        }
        text += "\nAs a person should read this\n";
        for line in MODEL {
            text += &wrapped("- ", line, 2);
        }
        text
    }

    fn readings_text(&self) -> String {
        let rows: Vec<Vec<String>> = self
            .readings
            .iter()
            .zip(&self.diagnosis.judged)
            .map(|(reading, judged)| {
                vec![
                    state_words(self.project, &reading.state),
                    shown_words(reading.shown, &self.project.settings.meter),
                    expected_words(judged.expected, judged.measurement),
                    if judged.is_inside { "within" } else { "outside" }.into(),
                ]
            })
            .collect();
        let columns = [
            ("controls", Align::Left),
            ("read", Align::Right),
            ("sound", Align::Right),
            ("limits", Align::Left),
        ];
        table(&columns, &rows)
    }

    fn ranking_text(&self) -> String {
        let rows: Vec<Vec<String>> = self
            .diagnosis
            .ranked
            .iter()
            .take(12)
            .enumerate()
            .filter(|(n, one)| *n == 0 || one.share >= FAINTEST)
            .map(|(_, one)| one)
            .map(|one| {
                vec![
                    percent(one.share),
                    blame_title(self.project, self.inquiry, one),
                    between_words(self.inquiry, one),
                ]
            })
            .collect();
        let columns = [("likely", Align::Right), ("cause", Align::Left), ("between", Align::Left)];
        table(&columns, &rows)
    }

    fn next_words(&self) -> String {
        match &self.diagnosis.next {
            Some(next) => format!(
                "Measure next: {}. {}.",
                measurement_words(self.project, self.inquiry, next.measurement),
                worth_words(next.bits)
            ),
            None => "No other measurement at this pin tells more.".into(),
        }
    }

    fn csv(&self) -> String {
        let head = ["rank", "share", "cause", "low", "best", "high"];
        let mut records = vec![head.map(str::to_owned).to_vec()];
        for (n, one) in self.diagnosis.ranked.iter().enumerate() {
            let (low, best, high) = one.value.map_or_else(Default::default, |(low, best, high)| {
                let number = |value: f64| format!("{value:.4}");
                (number(low), number(best), number(high))
            });
            records.push(vec![
                (n + 1).to_string(),
                format!("{:.4}", one.share),
                blame_title(self.project, self.inquiry, one),
                low,
                best,
                high,
            ]);
        }
        csv_records(&records)
    }

    fn document(&self) -> String {
        let next = self.diagnosis.next.as_ref().map(|next| NextRow {
            controls: self.controls(&self.inquiry.survey.states[next.measurement.state]),
            unit: if next.measurement.quantity == Quantity::Volt { "V" } else { "ohm" },
            words: measurement_words(self.project, self.inquiry, next.measurement),
            bits: four_decimals(next.bits),
        });
        let ranked = &self.diagnosis.ranked;
        json::document(&Document {
            pin: self.project.terminal_name(self.inquiry.pin.terminal),
            verdict: verdict_word(self.diagnosis.verdict),
            words: verdict_words(self.project, self.inquiry, self.diagnosis.verdict, ranked),
            readings: self.read_rows(),
            ranked: ranked.iter().map(|one| self.ranked_row(one)).collect(),
            next,
            twins: parting(self.project, self.inquiry, self.diagnosis),
        })
    }

    fn controls(&self, state: &State) -> InOrder {
        let ids: Vec<ControlId> = state.0.keys().copied().collect();
        InOrder(positions(self.project, &ids, state))
    }

    fn read_rows(&self) -> Vec<ReadRow> {
        let row = |(reading, judged): (&Reading, &Judged)| {
            let (low, high) = match judged.expected {
                Expected::Figure(low, high) => (json::number(low), json::number(high)),
                Expected::OverRange | Expected::Unknown => (None, None),
            };
            ReadRow {
                controls: self.controls(&reading.state),
                read: shown_words(reading.shown, &self.project.settings.meter),
                low,
                high,
                within: judged.is_inside,
            }
        };
        self.readings.iter().zip(&self.diagnosis.judged).map(row).collect()
    }

    fn ranked_row(&self, one: &Ranked) -> RankedRow {
        let title = |row: &usize| self.inquiry.survey.rows[*row].fault.title.clone();
        RankedRow {
            share: four_decimals(one.share),
            cause: blame_title(self.project, self.inquiry, one),
            faults: self.inquiry.suspects[one.suspect].blame.rows().iter().map(title).collect(),
            low: one.value.and_then(|(low, ..)| json::number(low)),
            best: one.value.and_then(|(_, best, _)| json::number(best)),
            high: one.value.and_then(|(.., high)| json::number(high)),
        }
    }
}

#[derive(Serialize)]
struct Document {
    pin: String,
    verdict: &'static str,
    words: String,
    readings: Vec<ReadRow>,
    ranked: Vec<RankedRow>,
    next: Option<NextRow>,
    twins: Option<String>,
}

#[derive(Serialize)]
struct ReadRow {
    controls: InOrder,
    read: String,
    low: Option<f64>,
    high: Option<f64>,
    within: bool,
}

#[derive(Serialize)]
struct RankedRow {
    share: f64,
    cause: String,
    faults: Vec<String>,
    low: Option<f64>,
    best: Option<f64>,
    high: Option<f64>,
}

#[derive(Serialize)]
struct NextRow {
    controls: InOrder,
    unit: &'static str,
    words: String,
    bits: f64,
}

fn four_decimals(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::NothingMeasured => "nothing measured",
        Verdict::WithinLimits => "within limits",
        Verdict::Found => "found",
        Verdict::Undecided => "undecided",
        Verdict::Unexplained => "unexplained",
    }
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}
