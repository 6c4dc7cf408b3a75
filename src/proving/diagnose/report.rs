//! A diagnosis as sentences and rows, for whoever shows it.

use crate::check::state_words;
use crate::model::{Project, State};
use crate::proving::diagnose::inquiry::{Diagnosis, Inquiry, Judged, Measurement, Ranked, Verdict};
use crate::proving::diagnose::suspect::Blame;
use crate::proving::diagnose::weigh::Expected;
use crate::proving::diagnose::words::{
    FAINTEST, blame_title, measurement_words, parting_words, verdict_words, worth_words,
};
use crate::proving::typed::{Quantity, shown_words};
use crate::units::format_ohm;

/// More suspects than this are not listed.
const ROWS_MOST: usize = 12;

/// A diagnosis in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// What the readings come to.
    pub verdict: Verdict,
    /// The same in a sentence, with the runner-up.
    pub words: String,
    /// Readings against what a sound circuit lets the meter show.
    pub judged: Vec<JudgedRow>,
    /// What may be wrong, the likeliest first.
    pub suspects: Vec<SuspectRow>,
    /// What to measure next.
    pub next: Option<NextRow>,
    /// What tells those apart that read alike at the pin.
    pub parting: Option<String>,
}

/// One reading.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedRow {
    /// How the controls stood.
    pub controls: String,
    /// What was read.
    pub read: String,
    /// What a sound circuit lets the meter show.
    pub sound: String,
    /// Whether the reading lies in it.
    pub is_inside: bool,
}

/// One suspect.
#[derive(Clone, Debug, PartialEq)]
pub struct SuspectRow {
    /// What it is.
    pub title: String,
    /// Its part of all likelihood, from 0 to 1.
    pub share: f64,
    /// Between which values it lies, where it has one.
    pub between: String,
    /// Whether it reads the same as the first at every measurement at the pin.
    pub is_like_first: bool,
}

/// The next measurement.
#[derive(Clone, Debug, PartialEq)]
pub struct NextRow {
    /// Where the leads go and how the controls stand.
    pub words: String,
    /// What it is worth.
    pub worth: &'static str,
    /// How the controls stand.
    pub state: State,
    /// Ohms or volts.
    pub quantity: Quantity,
}

impl Report {
    /// Puts a diagnosis into words.
    pub fn of(project: &Project, inquiry: &Inquiry, diagnosis: &Diagnosis) -> Self {
        let ranked = &diagnosis.ranked;
        let first = ranked.first();
        let suspect = |(n, one): (usize, &Ranked)| {
            let is_told = n == 0 || one.share >= FAINTEST;
            is_told.then(|| SuspectRow {
                title: blame_title(project, inquiry, one),
                share: one.share,
                between: between_words(inquiry, one),
                is_like_first: first.is_some_and(|first| first.alike.contains(&one.suspect)),
            })
        };
        let judged = |judged: &Judged| JudgedRow {
            controls: state_words(project, &inquiry.survey.states[judged.measurement.state]),
            read: shown_words(judged.shown, &project.settings.meter),
            sound: expected_words(judged.expected, judged.measurement),
            is_inside: judged.is_inside,
        };
        Self {
            verdict: diagnosis.verdict,
            words: verdict_words(project, inquiry, diagnosis.verdict, ranked),
            judged: diagnosis.judged.iter().map(judged).collect(),
            suspects: ranked.iter().take(ROWS_MOST).enumerate().filter_map(suspect).collect(),
            next: diagnosis.next.as_ref().map(|next| NextRow {
                words: measurement_words(project, inquiry, next.measurement),
                worth: worth_words(next.bits),
                state: inquiry.survey.states[next.measurement.state].clone(),
                quantity: next.measurement.quantity,
            }),
            parting: parting(project, inquiry, diagnosis),
        }
    }
}

/// What tells the first two of a group apart that read alike at the pin.
pub fn parting(project: &Project, inquiry: &Inquiry, diagnosis: &Diagnosis) -> Option<String> {
    let first = diagnosis.ranked.first()?;
    match diagnosis.verdict {
        Verdict::Undecided if diagnosis.next.is_none() => {}
        Verdict::Found => {}
        Verdict::NothingMeasured
        | Verdict::WithinLimits
        | Verdict::Undecided
        | Verdict::Unexplained => return None,
    }
    parting_words(project, inquiry, first)
}

/// Between which values a suspect lies: `120 Ω and 160 Ω`; empty where it has none.
pub fn between_words(inquiry: &Inquiry, one: &Ranked) -> String {
    let Some((low, _, high)) = one.value else { return String::new() };
    match &inquiry.suspects[one.suspect].blame {
        Blame::Lifted => format!("{low:.2} V and {high:.2} V"),
        Blame::Nothing { .. }
        | Blame::Faults(_)
        | Blame::MoreOhms { .. }
        | Blame::OtherValue { .. }
        | Blame::Leak { .. }
        | Blame::OtherPull => format!("{} and {}", format_ohm(low), format_ohm(high)),
    }
}

/// What the meter may show: `1.376 kΩ to 1.434 kΩ`.
pub fn expected_words(expected: Expected, at: Measurement) -> String {
    match (expected, at.quantity) {
        (Expected::Figure(low, high), Quantity::Volt) => format!("{low:.3} V to {high:.3} V"),
        (Expected::Figure(low, high), _) => format!("{} to {}", format_ohm(low), format_ohm(high)),
        (Expected::OverRange, _) => "open".into(),
        (Expected::Unknown, _) => "not known".into(),
    }
}

/// A share of all likelihood in a word.
pub fn likely_word(share: f64) -> &'static str {
    match share {
        s if s >= 0.95 => "nearly certain",
        s if s >= 0.7 => "very likely",
        s if s >= 0.4 => "likely",
        s if s >= 0.1 => "possible",
        s if s >= 0.01 => "unlikely",
        _ => "hardly",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Shown;
    use crate::proving::diagnose::Reading;
    use crate::samples;

    /// All off reads 22 kΩ on the sprayer; LEFT on reads 1404.9 Ω. Open with LEFT on is no sound
    /// circuit.
    #[test]
    fn a_report_names_the_runner_up_and_what_to_measure_next() {
        let project = samples::open("sprayer").unwrap();
        let pin = project.sense_pins.ids().next().unwrap();
        let inquiry = Inquiry::new(&project, pin, &|| true).unwrap();
        let report = |shown| {
            let reading = Reading { state: State::rest(), shown, last_digit: 1.0 };
            let diagnosis = inquiry.diagnose(&project, &[reading], &|| true).unwrap().unwrap();
            Report::of(&project, &inquiry, &diagnosis)
        };
        let open = report(Shown::OverRange);
        assert!(!open.judged[0].is_inside && open.judged[0].read == "OL");
        assert!(open.suspects.len() >= 2 && open.next.is_some(), "{open:?}");
        let sum: f64 = open.suspects.iter().map(|row| row.share).sum();
        assert!(sum > 0.5 && sum <= 1.0 + 1e-9);
        let sound = report(Shown::Ohm(22_000.0));
        assert_eq!(sound.verdict, Verdict::WithinLimits);
        assert_eq!(sound.judged[0].controls, "all at rest");
        assert_eq!(likely_word(open.suspects[0].share).is_empty(), false);
    }
}
