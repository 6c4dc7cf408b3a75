//! `ohmloom setup FILE --walk DEEDS`: the arming story, walked with what a hand does.

use serde::Serialize;

use crate::cli::args::Format;
use crate::cli::controls::parse_state;
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::text_table::wrapped;
use crate::csv_text::csv_records;
use crate::model::{Deed, Project, State};
use crate::proving::story::{Machine, Player, deed_words, display_words, infer, typed_ms};
use crate::sense::Reader;

/// One thing done, and what came of it.
struct Line {
    did: String,
    words: String,
    displays: Vec<String>,
    modes: Vec<String>,
}

/// Walks and writes it as asked.
///
/// # Errors
/// A deed the machine has not, or a story that cannot be walked.
pub fn answer(project: &Project, walk: &str, format: Format) -> Result<Answer, String> {
    if project.story.is_empty() {
        return Err("the project has no arming story to walk".into());
    }
    let deeds = deeds(project, walk)?;
    let lines = lines(project, &deeds)?;
    let text = match format {
        Format::Table => {
            let line = |line: &Line| wrapped("", &format!("{}: {}", line.did, line.words), 2);
            lines.iter().map(line).collect()
        }
        Format::Csv => {
            let head = ["what was done", "the display says", "mode"];
            let mut records = vec![head.map(str::to_owned).to_vec()];
            let or = |names: &[String]| names.join(" or ");
            records.extend(
                lines
                    .iter()
                    .map(|line| vec![line.did.clone(), or(&line.displays), or(&line.modes)]),
            );
            csv_records(&records)
        }
        Format::Json => document(project, &lines),
    };
    Ok(Answer { text, health: Health::Fine })
}

fn lines(project: &Project, deeds: &[Deed]) -> Result<Vec<Line>, String> {
    let reader = Reader::new(project);
    let machine = Machine::new(project, &reader);
    let sentence = |stuck: crate::proving::story::Stuck| stuck.to_string();
    let told = infer(&machine, &|| true).map_err(sentence)?;
    let mut player = Player::with_left(&machine, &told, &State::rest()).map_err(sentence)?;
    let mut before = player.walk.displays();
    let line = |did: String, words: String, player: &Player| Line {
        did,
        words,
        displays: player.walk.displays().into_iter().collect(),
        modes: player
            .walk
            .modes()
            .into_iter()
            .map(|mode| project.story.mode_name(mode).to_owned())
            .collect(),
    };
    let first = display_words(&std::collections::BTreeSet::new(), &before);
    let mut lines = vec![line("switched on".into(), first, &player)];
    for deed in deeds {
        player.act(&machine, deed).map_err(sentence)?;
        let now = player.walk.displays();
        let words = display_words(&before, &now);
        lines.push(line(deed_words(project, deed), words, &player));
        before = now;
    }
    Ok(lines)
}

/// Reads `Gate=HOLD; tap Lever=fore; wait 2s; switch on`.
fn deeds(project: &Project, text: &str) -> Result<Vec<Deed>, String> {
    let parts = text.split(';').map(str::trim).filter(|part| !part.is_empty());
    parts.map(|part| deed(project, part)).collect()
}

fn deed(project: &Project, part: &str) -> Result<Deed, String> {
    let lower = part.to_lowercase();
    if lower == "switch on" {
        return Ok(Deed::SwitchedOn);
    }
    if let Some(time) = lower.strip_prefix("wait ") {
        return typed_ms(time).map(|ms| Deed::Waited { ms });
    }
    let (is_tap, stand) = match part.get(..4) {
        Some(word) if word.eq_ignore_ascii_case("tap ") => (true, &part[4..]),
        Some(_) | None => (false, part),
    };
    let state = parse_state(project, stand).map_err(|error| {
        format!("{error}; a walk is such as \"Gate=HOLD; tap Lever=fore; wait 2s; switch on\"")
    })?;
    let mut stands = state.0.into_iter();
    match (stands.next(), stands.next()) {
        (Some((control, position)), None) if is_tap => Ok(Deed::Tapped { control, position }),
        (Some((control, position)), None) => Ok(Deed::Stands { control, position }),
        (_, _) => Err(format!("expected one control in one position, found \"{part}\"")),
    }
}

fn document(project: &Project, lines: &[Line]) -> String {
    #[derive(Serialize)]
    struct Document<'a> {
        title: &'a str,
        walk: Vec<Row<'a>>,
    }
    #[derive(Serialize)]
    struct Row<'a> {
        did: &'a str,
        displays: &'a [String],
        modes: &'a [String],
    }
    let walk = lines
        .iter()
        .map(|line| Row { did: &line.did, displays: &line.displays, modes: &line.modes })
        .collect();
    json::document(&Document { title: &project.title, walk })
}
