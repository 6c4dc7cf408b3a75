//! What is wrong with the story, what follows from what was seen, and what to try next.

use egui::{Label, RichText, Ui};

use crate::app::prove_studies::StoryAnswer;
use crate::app::view::View;
use crate::app::widgets::{heading, quiet};
use crate::proving::story::{
    Inference, TRY_CAUTION, deed_words, field_words, shown_display, stories_words,
};

/// The sentences.
pub fn follows_ui(ui: &mut Ui, view: View<'_>, answer: &StoryAnswer) {
    let palette = view.palette;
    let say = |ui: &mut Ui, words: String, colour| {
        ui.add(Label::new(RichText::new(words).color(colour)).wrap());
    };
    if !answer.faults.is_empty() {
        heading(ui, "Look at these");
        for fault in &answer.faults {
            say(ui, format!("⚠ {}", fault.what), palette.warning);
        }
    }
    let told = match &answer.told {
        Ok(told) => told,
        Err(stuck) => {
            say(ui, format!("⚠ {stuck}"), palette.warning);
            return;
        }
    };
    heading(ui, "What follows");
    if told.fields.is_empty() && told.rows.is_empty() {
        let words = "Everything about the story is settled as you wrote it. Rows of what the \
                     display said at the machine would put it to the test.";
        quiet(ui, words, palette);
        return;
    }
    for (words, is_settled) in sentences(view, told) {
        let (sign, colour) = if is_settled { ("✔", palette.right) } else { ("?", palette.ink) };
        say(ui, format!("{sign} {words}"), colour);
    }
    if let Some(words) = contradiction(view, told) {
        say(ui, format!("✕ {words}"), palette.wrong);
    } else if told.n_left == 1 && !told.rows.is_empty() {
        say(ui, "✔ One story explains every row.".into(), palette.right);
    } else {
        let words = format!("{} of {} left.", stories_words(told.n_left), told.n_before);
        quiet(ui, words, palette);
    }
    if let Some(next) = &told.next {
        let deeds: Vec<String> =
            next.deeds.iter().map(|deed| deed_words(view.project, deed)).collect();
        let says: Vec<&str> = next.outcomes.keys().map(|text| shown_display(text)).collect();
        let words = format!(
            "Try next: {}. The display then says {}, and that parts what is left.",
            deeds.join(", then "),
            says.join(" or ")
        );
        say(ui, words, palette.chosen);
        say(ui, format!("⚠ {TRY_CAUTION}"), palette.warning);
    }
}

/// What was not known, and whether it is settled.
fn sentences(view: View<'_>, told: &Inference) -> Vec<(String, bool)> {
    let sentence = |field: &crate::proving::story::FieldLeft| {
        let what = field_words(view.project, field.field);
        match field.settled() {
            Some(words) => (format!("{what}: {words}"), true),
            None => {
                let left = field.candidates.iter().filter(|(_, is_left)| *is_left);
                let left: Vec<&str> = left.map(|(words, _)| words.as_str()).collect();
                (format!("{what}: one of {}", left.join(", ")), false)
            }
        }
    };
    told.fields.iter().map(sentence).collect()
}

fn contradiction(view: View<'_>, told: &Inference) -> Option<String> {
    let found = told.contradiction.as_ref()?;
    let ids: Vec<_> = view.project.story.seen.ids().collect();
    let n = |id| ids.iter().position(|other| *other == id).map_or(0, |n| n + 1);
    let rows: Vec<String> = found.without.iter().map(|(id, _)| format!("row {}", n(*id))).collect();
    let hint = if rows.is_empty() {
        "leaving out one row does not mend it".to_owned()
    } else {
        format!("it goes away without {}", rows.join(" or "))
    };
    Some(format!("Row {} contradicts the rows before it; {hint}.", n(found.row)))
}
