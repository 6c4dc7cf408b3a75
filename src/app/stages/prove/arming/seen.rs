//! The observation table: what was done at the machine, what the display said, what that tells.

use egui::{Id, Label, RichText, Ui};

use crate::app::prove_studies::StoryAnswer;
use crate::app::stages::prove::arming::rows::{displays, typed_time};
use crate::app::widgets::{Field, Pen, add_word, choice_wide, heading, quiet, remove_sign};
use crate::edit::{Edit, StoryEdit};
use crate::model::{Deed, Observation, ObservationId, Project};
use crate::proving::story::{
    RowTold, dark_word, deed_words, display_to_type, shown_display, stories_words, try_cautions,
    typed_display,
};
use crate::units::counted;

/// The table.
pub fn seen_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, answer: Option<&StoryAnswer>) {
    let palette = pen.view.palette;
    let story = &pen.view.project.story;
    if !story.modes.is_empty() {
        heading(ui, "Before anything is tried at the machine");
        let caution_ui = |ui: &mut Ui, caution: &str| {
            let words = RichText::new(format!("⚠ {caution}")).color(palette.warning);
            ui.add(Label::new(words).wrap());
        };
        let all = try_cautions(pen.view.project);
        let (first, more) = all.split_at(1);
        first.iter().for_each(|caution| caution_ui(ui, caution));
        ui.collapsing(format!("{} for this machine", counted(more.len(), "more caution")), |ui| {
            more.iter().for_each(|caution| caution_ui(ui, caution));
        });
    }
    heading(ui, "Seen at the machine");
    let words = format!(
        "From switched on with every control at rest, row by row. Leave the display empty where \
         nobody looked; write {} where it showed nothing.",
        dark_word(story)
    );
    quiet(ui, words, palette);
    let told = answer.and_then(|answer| answer.told.as_ref().ok());
    for (n, (id, seen)) in story.seen.iter().enumerate() {
        let told = told.and_then(|told| told.rows.iter().find(|row| row.id == id));
        ui.push_id(("seen", id), |ui| row_ui(ui, pen, (n + 1, id), (seen, told)));
    }
    if !story.modes.is_empty() && add_word(ui, "Add an observation", palette).clicked() {
        let seen = Observation { deed: Deed::SwitchedOn, display: None };
        pen.edit(Edit::SetStory(StoryEdit::AddSeen(seen)));
    }
}

/// Everything that can be done, in words.
fn deeds(project: &Project) -> Vec<(String, Deed)> {
    let mut deeds = vec![Deed::SwitchedOn];
    for (control, row) in project.controls.iter() {
        for (position, _) in (0u8..).zip(&row.positions) {
            if position != row.rest {
                deeds.push(Deed::Tapped { control, position });
            }
            deeds.push(Deed::Stands { control, position });
        }
    }
    for (pin, row) in project.sense_pins.iter() {
        deeds.extend(row.bands.iter().map(|b| Deed::Reads { pin, action: b.name.clone() }));
    }
    let words = |deed: Deed| (deed_words(project, &deed), deed);
    let mut all: Vec<(String, Deed)> = deeds.into_iter().map(words).collect();
    all.push(("time waited".to_owned(), Deed::Waited { ms: 1_000 }));
    all
}

fn row_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (n, id): (usize, ObservationId),
    (seen, told): (&Observation, Option<&RowTold>),
) {
    let project = pen.view.project;
    let palette = pen.view.palette;
    let set = |seen: Observation| Edit::SetStory(StoryEdit::SetSeen(id, seen));
    let shown = display_to_type(&project.story, seen.display.as_deref());
    let field = Field::figure(Id::unique(("display", id)), format!("Display of row {n}"), shown);
    let field = field.width(96.0).hint("not looked").when_left();
    ui.horizontal_wrapped(|ui| {
        quiet(ui, format!("{n}."), palette);
        let (now, ms) = match seen.deed {
            Deed::Waited { ms } => ("time waited".to_owned(), Some(ms)),
            Deed::SwitchedOn | Deed::Stands { .. } | Deed::Tapped { .. } | Deed::Reads { .. } => {
                (deed_words(project, &seen.deed), None)
            }
        };
        let label = format!("Done in row {n}");
        let box_id = Id::unique(("did", id));
        if let Some(deed) = choice_wide(ui, box_id, (&label, 210.0), &now, deeds(project)) {
            pen.edit(set(Observation { deed, ..seen.clone() }));
        }
        if let Some(ms) = ms {
            let name = format!("Time of row {n}");
            let time = Field::figure(Id::unique(("waited", id)), name, format!("{ms} ms"));
            let time = time.width(90.0).when_left();
            pen.field(ui, &time, |text| {
                let ms = typed_time(text)?.ok_or("expected a time such as 2 s, found nothing")?;
                Ok(set(Observation { deed: Deed::Waited { ms }, ..seen.clone() }))
            });
            pen.refusal_ui(ui, time.id, &time.shown);
        }
        pen.field(ui, &field, |text| {
            let display = typed_display(&project.story, text);
            Ok(set(Observation { display, ..seen.clone() }))
        });
        if let Some(told) = told {
            let (words, colour) = told_words(told, seen, palette);
            ui.add(Label::new(RichText::new(words).small().color(colour)));
        }
        if remove_sign(ui, &format!("row {n}"), palette).clicked() {
            pen.edit(Edit::SetStory(StoryEdit::RemoveSeen(id)));
        }
    });
    if told.is_some_and(|told| told.is_contradiction) {
        contradiction_ui(ui, pen, seen, told);
    }
    pen.refusal_ui(ui, field.id, &field.shown);
}

fn told_words(
    told: &RowTold,
    seen: &Observation,
    palette: &crate::app::theme::Palette,
) -> (String, egui::Color32) {
    if told.is_contradiction {
        ("✕ no story".to_owned(), palette.wrong)
    } else if seen.display.is_none() {
        (String::new(), palette.quiet)
    } else {
        (format!("✔ {}", stories_words(told.n_left)), palette.right)
    }
}

/// Why a row does not go with the rows before it.
fn contradiction_ui(ui: &mut Ui, pen: &Pen<'_, '_>, seen: &Observation, told: Option<&RowTold>) {
    let Some(told) = told else { return };
    let could: Vec<&str> = told.could_say.iter().map(|text| shown_display(text)).collect();
    let said = seen.display.as_deref().unwrap_or_default();
    let mut words = format!("✕ By the rows before it the display says {} here", could.join(" or "));
    if !displays(&pen.view.project.story).contains(said.trim()) {
        words += &format!("; no mode has a display that says {}", shown_display(said));
    }
    ui.add(Label::new(RichText::new(words + ".").small().color(pen.view.palette.wrong)).wrap());
}
