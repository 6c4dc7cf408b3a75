//! `ohmloom setup FILE`: the set-up record, the change log, the arming story and the sign-off.

use serde::Serialize;

use crate::cli::args::{Format, SetupArgs};
use crate::cli::json;
use crate::cli::output::{Answer, Health};
use crate::cli::setup_walk;
use crate::cli::sign_off::signed;
use crate::cli::text_table::{Align, table, wrapped};
use crate::csv_text::csv_records;
use crate::model::{Project, SetupRow};
use crate::proving::sign_off::sign_off;
use crate::proving::story::{
    Inference, Machine, NextLook, TRY_CAUTION, deed_words, field_words, infer, link_words,
    shown_display, stories_words, story_faults, try_cautions,
};
use crate::sense::Reader;

/// Writes what is asked for.
///
/// # Errors
/// Something to do that the machine has not, or a story that cannot be walked.
pub fn answer(project: &Project, args: &SetupArgs) -> Result<Answer, String> {
    if let Some(walk) = &args.walk {
        return setup_walk::answer(project, walk, args.file.format);
    }
    if args.sign_off {
        let sign = sign_off(project, &|| true).unwrap_or_default();
        return Ok(signed(project, &sign, args.file.format));
    }
    let reader = Reader::new(project);
    let told = if project.story.is_empty() {
        None
    } else {
        Some(infer(&Machine::new(project, &reader), &|| true).map_err(|stuck| stuck.to_string()))
    };
    let is_bad = !story_faults(project).is_empty()
        || told.as_ref().is_some_and(|told| match told {
            Ok(told) => told.contradiction.is_some(),
            Err(_) => true,
        });
    let text = match args.file.format {
        Format::Table => text(project, told.as_ref()),
        Format::Csv => csv(project),
        Format::Json => document(project, told.as_ref()),
    };
    Ok(Answer { text, health: if is_bad { Health::Problems } else { Health::Fine } })
}

type Told = Result<Inference, String>;

fn known_by(row: &SetupRow) -> &'static str {
    row.provenance.map_or("nobody said", |known| known.word())
}

fn text(project: &Project, told: Option<&Told>) -> String {
    let mut text = wrapped("", &format!("{}: set-up record", project.title), 0);
    if project.set_up.is_empty() {
        text += "No setting is written down yet.\n";
    } else {
        let heads = ["setting", "value", "known by", "date", "who", "file"];
        let row = |row: &SetupRow| {
            let value = row.value_words();
            let value = if value.is_empty() { "not known".into() } else { value };
            let known = known_by(row).to_owned();
            vec![
                row.name.clone(),
                value,
                known,
                row.date.clone(),
                row.who.clone(),
                row.file.clone(),
            ]
        };
        let rows: Vec<_> = project.set_up.iter().map(|(_, r)| row(r)).collect();
        text += &table(&heads.map(|head| (head, Align::Left)), &rows);
    }
    text += "\nChange log\n";
    if project.changes.is_empty() {
        text += "No change is written down yet.\n";
    } else {
        let rows: Vec<_> = project
            .changes
            .iter()
            .map(|(_, row)| vec![row.date.clone(), row.who.clone(), row.what.clone()])
            .collect();
        text += &table(&["date", "who", "what"].map(|head| (head, Align::Left)), &rows);
    }
    text += "\nArming story\n";
    match told {
        None => text += "No story is written down yet.\n",
        Some(told) => text += &story_text(project, told),
    }
    text
}

fn story_text(project: &Project, told: &Told) -> String {
    let story = &project.story;
    let start: Vec<&str> = story.start.iter().map(|id| story.mode_name(*id)).collect();
    let mut text = wrapped("", &format!("Switched on: {}", start.join(" or ")), 2);
    let modes: Vec<_> = story
        .modes
        .iter()
        .map(|(_, mode)| vec![mode.name.clone(), dark_or(&mode.display)])
        .collect();
    text += &table(&["mode", "the display says"].map(|head| (head, Align::Left)), &modes);
    for (_, link) in story.links.iter() {
        text += &wrapped("- ", &link_words(project, link), 2);
    }
    for fault in story_faults(project) {
        text += &wrapped("! ", &fault.what, 2);
    }
    match told {
        Ok(told) => text + &told_text(project, told),
        Err(stuck) => text + &wrapped("! ", stuck, 2),
    }
}

fn dark_or(display: &str) -> String {
    shown_display(display).to_owned()
}

fn told_text(project: &Project, told: &Inference) -> String {
    let mut text = String::new();
    if !told.rows.is_empty() {
        text += "\nBefore anything is tried at the machine\n";
        for caution in try_cautions(project) {
            text += &wrapped("- ", &caution, 2);
        }
        text += "\nSeen at the machine, from switched on with every control at rest\n";
        let mut rows = Vec::new();
        for ((_, seen), row) in project.story.seen.iter().zip(&told.rows) {
            let could: Vec<&str> = row.could_say.iter().map(|text| shown_display(text)).collect();
            let explained = if row.is_contradiction {
                format!("no story; could be {}", could.join(" or "))
            } else {
                stories_words(row.n_left)
            };
            let display = seen.display.as_deref().map_or_else(|| "not looked at".into(), dark_or);
            rows.push(vec![deed_words(project, &seen.deed), display, explained]);
        }
        let heads = ["what was done", "the display said", "explained by"];
        text += &table(&heads.map(|head| (head, Align::Left)), &rows);
    }
    text += "\n";
    text += &wrapped("", &format!("{} of {} left.", stories_words(told.n_left), told.n_before), 2);
    for (what, settled, left) in follows(project, told) {
        let words = match settled {
            Some(words) => format!("{what}: {words}"),
            None => format!("{what}: not known, one of {}", left.join(", ")),
        };
        text += &wrapped("- ", &words, 2);
    }
    if let Some(contradiction) = &told.contradiction {
        let n = |id| project.story.seen.ids().position(|other| other == id).map_or(0, |n| n + 1);
        let rows: Vec<String> = contradiction
            .without
            .iter()
            .map(|(id, left)| format!("row {} ({})", n(*id), stories_words(*left)))
            .collect();
        let hint = if rows.is_empty() {
            "no single row that is left out mends it".to_owned()
        } else {
            format!("it goes away without {}", rows.join(" or "))
        };
        let words = format!("Row {} contradicts the rows before it; {hint}.", n(contradiction.row));
        text += &wrapped("! ", &words, 2);
    }
    if let Some(next) = &told.next {
        text += &wrapped("", &format!("Try next: {}", next_text(project, next)), 2);
        text += &wrapped("", TRY_CAUTION, 2);
    }
    text
}

/// `Gate to HOLD, Lever to aft and back: AUTO (1 story) or HOLD 3 (2 stories)`.
fn next_text(project: &Project, next: &NextLook) -> String {
    let deeds: Vec<String> = next.deeds.iter().map(|deed| deed_words(project, deed)).collect();
    let outcomes: Vec<String> = next
        .outcomes
        .iter()
        .map(|(display, n)| format!("{} ({})", shown_display(display), stories_words(*n)))
        .collect();
    format!("{}; the display may say {}", deeds.join(", then "), outcomes.join(" or "))
}

/// What was not known, its only candidate, and the candidates that are left.
fn follows<'a>(
    project: &Project,
    told: &'a Inference,
) -> Vec<(String, Option<&'a str>, Vec<&'a str>)> {
    let of = |field: &'a crate::proving::story::FieldLeft| {
        let left = field.candidates.iter().filter(|(_, is_left)| *is_left);
        let left = left.map(|(words, _)| words.as_str()).collect();
        (field_words(project, field.field), field.settled(), left)
    };
    told.fields.iter().map(of).collect()
}

fn csv(project: &Project) -> String {
    let head = ["kind", "name", "value", "unit", "known by", "date", "who", "file"];
    let mut records = vec![head.map(str::to_owned).to_vec()];
    for (_, row) in project.set_up.iter() {
        records.push(vec![
            "setting".into(),
            row.name.clone(),
            row.value.clone(),
            row.unit.clone(),
            row.provenance.map_or_else(String::new, |known| known.word().to_owned()),
            row.date.clone(),
            row.who.clone(),
            row.file.clone(),
        ]);
    }
    for (_, row) in project.changes.iter() {
        let none = String::new;
        let (date, who) = (row.date.clone(), row.who.clone());
        records.push(vec![
            "change".into(),
            row.what.clone(),
            none(),
            none(),
            none(),
            date,
            who,
            none(),
        ]);
    }
    csv_records(&records)
}

fn document(project: &Project, told: Option<&Told>) -> String {
    #[derive(Serialize)]
    struct Setting<'a> {
        name: &'a str,
        value: &'a str,
        unit: &'a str,
        known_by: Option<&'static str>,
        date: &'a str,
        who: &'a str,
        file: &'a str,
    }
    #[derive(Serialize)]
    struct Change<'a> {
        date: &'a str,
        who: &'a str,
        what: &'a str,
    }
    #[derive(Serialize)]
    struct Document<'a> {
        title: &'a str,
        settings: Vec<Setting<'a>>,
        changes: Vec<Change<'a>>,
        story: Option<StoryDocument<'a>>,
    }
    let settings = project.set_up.iter().map(|(_, row)| Setting {
        name: &row.name,
        value: &row.value,
        unit: &row.unit,
        known_by: row.provenance.map(|known| known.word()),
        date: &row.date,
        who: &row.who,
        file: &row.file,
    });
    let changes = project.changes.iter().map(|(_, row)| Change {
        date: &row.date,
        who: &row.who,
        what: &row.what,
    });
    json::document(&Document {
        title: &project.title,
        settings: settings.collect(),
        changes: changes.collect(),
        story: told.map(|told| story_document(project, told)),
    })
}

#[derive(Serialize)]
struct StoryDocument<'a> {
    start: Vec<&'a str>,
    modes: Vec<Mode<'a>>,
    links: Vec<String>,
    faults: Vec<String>,
    stuck: Option<&'a str>,
    cautions: Vec<String>,
    seen: Vec<Seen<'a>>,
    /// As text: there may be more than a JSON number holds.
    stories_before: Option<String>,
    stories_left: Option<String>,
    follows: Vec<Follows>,
    next: Option<Next<'a>>,
}

#[derive(Serialize)]
struct Mode<'a> {
    name: &'a str,
    display: &'a str,
}

#[derive(Serialize)]
struct Seen<'a> {
    did: String,
    display: Option<&'a str>,
    could_say: Vec<&'a str>,
    stories_left: String,
    is_contradiction: bool,
}

#[derive(Serialize)]
struct Follows {
    what: String,
    settled: Option<String>,
    left: Vec<String>,
}

#[derive(Serialize)]
struct Next<'a> {
    deeds: Vec<String>,
    displays: Vec<&'a str>,
}

fn story_document<'a>(project: &'a Project, told: &'a Told) -> StoryDocument<'a> {
    let story = &project.story;
    let found = told.as_ref().ok();
    let seen = found.map(|told| {
        let rows = story.seen.iter().zip(&told.rows);
        let row = |((_, seen), row): (
            (_, &'a crate::model::Observation),
            &'a crate::proving::story::RowTold,
        )| Seen {
            did: deed_words(project, &seen.deed),
            display: seen.display.as_deref(),
            could_say: row.could_say.iter().map(String::as_str).collect(),
            stories_left: row.n_left.to_string(),
            is_contradiction: row.is_contradiction,
        };
        rows.map(row).collect()
    });
    StoryDocument {
        start: story.start.iter().map(|id| story.mode_name(*id)).collect(),
        modes: story
            .modes
            .iter()
            .map(|(_, mode)| Mode { name: &mode.name, display: &mode.display })
            .collect(),
        links: story.links.iter().map(|(_, link)| link_words(project, link)).collect(),
        faults: story_faults(project).into_iter().map(|fault| fault.what).collect(),
        stuck: told.as_ref().err().map(String::as_str),
        cautions: try_cautions(project),
        seen: seen.unwrap_or_default(),
        stories_before: found.map(|told| told.n_before.to_string()),
        stories_left: found.map(|told| told.n_left.to_string()),
        follows: found
            .into_iter()
            .flat_map(|told| follows(project, told))
            .map(|(what, settled, left)| Follows {
                what,
                settled: settled.map(str::to_owned),
                left: left.into_iter().map(str::to_owned).collect(),
            })
            .collect(),
        next: found.and_then(|told| told.next.as_ref()).map(|next| Next {
            deeds: next.deeds.iter().map(|deed| deed_words(project, deed)).collect(),
            displays: next.outcomes.keys().map(String::as_str).collect(),
        }),
    }
}
