//! Set-up record, arming story and change log on paper.

use crate::model::{Project, SetupRow, StoryEvent, StoryLink};
use crate::proving::story::{
    Machine, Stuck, deed_words, event_words, field_words, infer, ms_words, shown_display,
    stories_words, try_cautions,
};
use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;
use crate::sheets::table::{Cell, Table};

/// Lines to write later changes into.
const FREE_LINES: usize = 8;

/// The settings of controller and machine, each with where it comes from.
pub(super) fn settings(project: &Project, flow: &mut Flow<'_>) {
    flow.heading("Set-up record");
    if project.set_up.is_empty() {
        flow.paragraph("No setting is written down yet.");
        flow.blank("the set-up record: what is set in the controller, and who says so");
        return;
    }
    let head = ["setting", "value", "known by", "date", "who", "photo or file"];
    let mut table = Table::new(&head);
    for (_, row) in project.set_up.iter() {
        let name = if row.name.trim().is_empty() { "a setting without a name" } else { &row.name };
        note_blanks(flow, name, row);
        let words = |text: &str| Cell::or_blank(filled(text));
        table.row(vec![
            name.into(),
            filled(&row.value_words()).map_or(Cell::Blank, Cell::Strong),
            Cell::or_blank(row.provenance.map(|known| known.word().to_owned())),
            words(&row.date),
            words(&row.who),
            row.file.trim().into(),
        ]);
    }
    flow.table("set-up", table);
}

fn note_blanks(flow: &mut Flow<'_>, name: &str, row: &SetupRow) {
    if row.value.trim().is_empty() {
        flow.blank(format!("the value of {name} in the set-up record"));
    } else if row.provenance.is_none() {
        flow.blank(format!("where the value of {name} in the set-up record comes from"));
    }
}

fn filled(text: &str) -> Option<String> {
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

/// The arming story: what the display says, what leads on, what was seen and what follows.
pub(super) fn story(job: &Job<'_>, flow: &mut Flow<'_>) {
    let project = job.project;
    let story = &project.story;
    if story.is_empty() {
        return;
    }
    flow.heading("Arming story");
    let names: Vec<&str> = story.start.iter().map(|id| story.mode_name(*id)).collect();
    match names.as_slice() {
        [] => {
            flow.paragraph("It is not known in which mode the machine is when it is switched on.");
            flow.blank("the mode the machine is in when it is switched on");
        }
        [one] => flow.paragraph(&format!("Switched on, it is in the mode {one}.")),
        several => flow.paragraph(&format!("Switched on, it is in one of {}.", several.join(", "))),
    }
    let mut table = Table::new(&["mode", "the display says"]);
    for (_, mode) in story.modes.iter() {
        table.row(vec![Cell::Strong(mode.name.clone()), shown_display(&mode.display).into()]);
    }
    flow.table("story-modes", table);
    let mut table = Table::new(&["in the mode", "when", "time limits", "it goes to"]);
    for (_, link) in story.links.iter() {
        table.row(vec![
            ends(project, link, |link| &link.from).into(),
            event_words(project, &link.event).into(),
            limits(link).into(),
            ends(project, link, |link| &link.to).into(),
        ]);
    }
    flow.table("story-links", table);
    seen(job, flow);
}

fn ends(
    project: &Project,
    link: &StoryLink,
    of: fn(&StoryLink) -> &std::collections::BTreeSet<crate::model::ModeId>,
) -> String {
    let names: Vec<&str> = of(link).iter().map(|id| project.story.mode_name(*id)).collect();
    if names.len() == 1 { names[0].to_owned() } else { format!("one of {}", names.join(", ")) }
}

fn limits(link: &StoryLink) -> String {
    let after = |ms: u32| match link.event {
        StoryEvent::TimePasses => format!("after {}", ms_words(ms)),
        StoryEvent::Stands { .. } | StoryEvent::Reads { .. } => {
            format!("not before {}", ms_words(ms))
        }
    };
    let within = link.within_ms.map(|ms| format!("within {}", ms_words(ms)));
    let parts: Vec<String> = link.after_ms.map(after).into_iter().chain(within).collect();
    parts.join(", ")
}

fn seen(job: &Job<'_>, flow: &mut Flow<'_>) {
    let project = job.project;
    let told = infer(&Machine::new(project, &job.reader), job.keep_going);
    match &told {
        // The start is asked for above; a stopped packet is not printed.
        Ok(_) | Err(Stuck::NoStart | Stuck::Stopped) => {}
        Err(stuck @ (Stuck::TooMany | Stuck::Endless)) => {
            flow.bullet(&format!("The story cannot be held against what was seen: {stuck}."));
            flow.blank("what follows from the arming story: it cannot be walked as it is");
        }
    }
    if project.story.seen.is_empty() {
        return;
    }
    flow.subheading("Before anything is tried at the machine");
    for caution in try_cautions(project) {
        flow.bullet(&caution);
    }
    flow.subheading("Seen at the machine, from switched on with every control at rest");
    let told = told.ok();
    let mut table = Table::new(&[">row", "what was done", "the display said", "explained"]);
    for (n, (id, seen)) in project.story.seen.iter().enumerate() {
        let row = told.as_ref().and_then(|told| told.rows.iter().find(|row| row.id == id));
        let explained = match (&seen.display, row) {
            (None, _) => "nobody looked".to_owned(),
            (Some(_), Some(row)) if row.is_contradiction => "by no story".into(),
            (Some(_), Some(row)) => format!("by {}", stories_words(row.n_left)),
            (Some(_), None) => "not known".into(),
        };
        table.row(vec![
            (n + 1).to_string().into(),
            deed_words(project, &seen.deed).into(),
            seen.display.as_deref().map_or("", shown_display).into(),
            explained.into(),
        ]);
    }
    flow.table("story-seen", table);
    for field in told.iter().flat_map(|told| &told.fields) {
        let what = field_words(project, field.field);
        match field.settled() {
            Some(words) => flow.bullet(&format!("Follows: {what} is {words}.")),
            None => {
                let left = field.candidates.iter().filter(|(_, is_left)| *is_left);
                let left: Vec<&str> = left.map(|(words, _)| words.as_str()).collect();
                flow.bullet(&format!("Not known yet: {what}; one of {}.", left.join(", ")));
                flow.blank(what);
            }
        }
    }
}

/// The change log, with room for what comes later.
pub(super) fn changes(project: &Project, flow: &mut Flow<'_>) {
    flow.heading("Who changed what, and when");
    let head = ["date", "who", "what was changed, and why", "packet printed anew"];
    let mut table = Table::new(&head);
    for (_, row) in project.changes.iter() {
        let words = |text: &str| Cell::or_blank(filled(text));
        table.row(vec![words(&row.date), words(&row.who), words(&row.what), Cell::Tick]);
    }
    for _ in 0..FREE_LINES {
        table.row(vec![Cell::Blank, Cell::Blank, Cell::Blank, Cell::Tick]);
    }
    flow.table("owner-changes", table);
}
