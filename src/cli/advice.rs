//! `ohmloom faults FILE --advice`: what the numbers suggest, and what becomes of each action.

use serde::Serialize;

use crate::check::state_words;
use crate::cli::args::{FaultArgs, Format};
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::wrapped;
use crate::cli::words::subject_words;
use crate::csv_text::csv_records;
use crate::model::{Harm, Project, SensePin, State, Subject};
use crate::study::advice::{Advice, Topic, advice};
use crate::study::consequence::{ActionFate, consequences};
use crate::study::faults::{MAX_STATES, Survey, survey};
use crate::study::transitions::moves;

/// What stands below every answer.
const CAUTION: &str = "Advice follows from the numbers of this drawing and can be wrong for the machine. Local rules, the machine's own documents and licensed practice go first.";

/// One pin with everything that is to be said about it.
struct Counsel<'a> {
    sense: &'a SensePin,
    survey: Survey,
    advice: Vec<Advice>,
    fates: Vec<ActionFate>,
}

/// Weighs every pin and writes the outcome as asked. Advice that something can hurt somebody is a
/// problem.
pub fn answer(project: &Project, args: &FaultArgs) -> Answer {
    let counsels: Vec<Counsel<'_>> = project
        .sense_pins
        .iter()
        .filter_map(|(pin, sense)| {
            let survey = survey(project, pin, &|| true)?;
            let moves = moves(project, pin, &project.settings.timing, &|| true).ok().flatten();
            let fates = consequences(project, sense, &survey);
            let advice = advice(project, &survey, moves.as_ref());
            Some(Counsel { sense, survey, advice, fates })
        })
        .collect();
    let text = match args.file.format {
        Format::Table => text(project, &counsels),
        Format::Csv => csv(project, &counsels),
        Format::Json => document(project, &counsels),
    };
    let is_pressing =
        |advice: &Advice| matches!(advice.topic, Topic::IndependentStop | Topic::ProtectPin);
    let has_pressing = |counsel: &Counsel<'_>| counsel.advice.iter().any(is_pressing);
    let health = if counsels.iter().any(has_pressing) { Health::Problems } else { Health::Fine };
    Answer { text, health }
}

impl Counsel<'_> {
    fn pin(&self, project: &Project) -> String {
        let name = project.terminal_name(self.sense.terminal);
        format!("{name} {}", self.sense.name).trim_end().to_owned()
    }

    /// Sentences on one action.
    fn sentences(&self, project: &Project, fate: &ActionFate) -> Vec<String> {
        let names = |state: &State| state_words(project, state);
        fate.list.iter().map(|one| one.words(&fate.action, &self.survey, &names)).collect()
    }
}

fn text(project: &Project, counsels: &[Counsel<'_>]) -> String {
    if counsels.is_empty() {
        let why =
            format!("{}: no sense pin with at most {MAX_STATES} states to weigh", project.title);
        return wrapped("", &why, 0);
    }
    let mut text = String::new();
    for counsel in counsels {
        let pin = counsel.pin(project);
        text += &wrapped("", &format!("{}, {pin}: advice", project.title), 0);
        if counsel.advice.is_empty() {
            text += &wrapped("- ", "No number of this pin asks for anything.", 2);
        }
        for advice in &counsel.advice {
            let words = format!("{}: {}. {}", advice.topic.word(), advice.figure, advice.words);
            text += &wrapped("- ", &words, 2);
        }
        text += &wrapped("\n", &format!("{pin}: stuck contacts and two hands at once"), 0);
        for fate in &counsel.fates {
            let mark = if fate.harm == Harm::Dangerous { "! " } else { "" };
            text += &wrapped("", &format!("{mark}{} ({})", fate.action, fate.harm.word()), 2);
            if fate.list.is_empty() {
                text += &wrapped("- ", "Neither changes it.", 2);
            }
            for sentence in counsel.sentences(project, fate) {
                text += &wrapped("- ", &sentence, 2);
            }
        }
        text += "\n";
    }
    text += &wrapped("", CAUTION, 0);
    text
}

fn places(project: &Project, subjects: &[Subject]) -> String {
    subjects.iter().map(|s| subject_words(project, *s)).collect::<Vec<_>>().join("; ")
}

fn csv(project: &Project, counsels: &[Counsel<'_>]) -> String {
    let head = ["pin", "about", "figure", "words", "where"];
    let mut records = vec![head.map(str::to_owned).to_vec()];
    for counsel in counsels {
        let pin = counsel.pin(project);
        for advice in &counsel.advice {
            let places = places(project, &advice.subjects);
            let about = advice.topic.word().to_owned();
            let (figure, words) = (advice.figure.clone(), advice.words.clone());
            records.push(vec![pin.clone(), about, figure, words, places]);
        }
        for fate in &counsel.fates {
            for sentence in counsel.sentences(project, fate) {
                let none = String::new();
                records.push(vec![pin.clone(), fate.action.clone(), none.clone(), sentence, none]);
            }
        }
    }
    csv_records(&records)
}

fn document(project: &Project, counsels: &[Counsel<'_>]) -> String {
    #[derive(Serialize)]
    struct Pin {
        pin: String,
        advice: Vec<Piece>,
        actions: Vec<Action>,
    }
    #[derive(Serialize)]
    struct Piece {
        about: &'static str,
        figure: String,
        words: String,
        r#where: String,
    }
    #[derive(Serialize)]
    struct Action {
        action: String,
        harm: &'static str,
        consequences: Vec<String>,
    }
    let pins: Vec<Pin> = counsels
        .iter()
        .map(|counsel| Pin {
            pin: counsel.pin(project),
            advice: counsel
                .advice
                .iter()
                .map(|advice| Piece {
                    about: advice.topic.word(),
                    figure: advice.figure.clone(),
                    words: advice.words.clone(),
                    r#where: places(project, &advice.subjects),
                })
                .collect(),
            actions: counsel
                .fates
                .iter()
                .map(|fate| Action {
                    action: fate.action.clone(),
                    harm: fate.harm.word(),
                    consequences: counsel.sentences(project, fate),
                })
                .collect(),
        })
        .collect();
    json::document(&pins)
}
