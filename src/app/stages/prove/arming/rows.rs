//! Modes and links of the story as rows to type.

use std::collections::BTreeSet;

use egui::{Id, Ui};

use crate::app::widgets::{
    Field, Pen, add_word, choice_wide, heading, parse_named, quiet, remove_sign,
};
use crate::edit::{Edit, StoryEdit, free_name};
use crate::model::{
    ControlId, LinkId, ModeId, Project, SensePinId, Story, StoryEvent, StoryLink, StoryMode,
};
use crate::proving::story::typed_ms;

/// What the display says, mode by mode.
pub fn modes_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let palette = pen.view.palette;
    let story = &pen.view.project.story;
    heading(ui, "Modes");
    for (id, mode) in story.modes.iter() {
        ui.horizontal_wrapped(|ui| {
            let set = |mode: StoryMode| Edit::SetStory(StoryEdit::SetMode(id, mode));
            let field = |what: &'static str, shown: &str, width: f32| {
                let name = format!("{what} of mode {}", mode.name);
                Field::words(Id::unique((what, id)), name, shown).width(width)
            };
            let name = field("Name", &mode.name, 128.0);
            pen.field(ui, &name, |text| {
                Ok(set(StoryMode { name: parse_named(text)?, ..mode.clone() }))
            });
            let says = field("Display", &mode.display, 128.0).hint("the display is dark");
            pen.field(ui, &says, |text| {
                Ok(set(StoryMode { display: text.to_owned(), ..mode.clone() }))
            });
            let mut is_start = story.start.contains(&id);
            let label = format!("Switched on in {}", mode.name);
            let tick = ui.checkbox(&mut is_start, "start").accessible_name(label.as_str());
            if tick.on_hover_text(label.as_str()).changed() {
                pen.edit(Edit::SetStory(StoryEdit::Start(toggled(&story.start, id))));
            }
            if remove_sign(ui, &format!("mode {}", mode.name), palette).clicked() {
                pen.edit(Edit::SetStory(StoryEdit::RemoveMode(id)));
            }
            pen.refusal_ui(ui, name.id, &name.shown);
            pen.refusal_ui(ui, says.id, &says.shown);
        });
    }
    if add_word(ui, "Add a mode", palette).clicked() {
        let name = free_name("mode ", story.modes.iter().map(|(_, mode)| mode.name.as_str()));
        let mode = StoryMode { name, display: String::new() };
        pen.edit(Edit::SetStory(StoryEdit::AddMode(mode)));
    }
}

/// A set with one member more or less.
fn toggled<T: Ord + Clone>(set: &BTreeSet<T>, member: T) -> BTreeSet<T> {
    let mut set = set.clone();
    if !set.remove(&member) {
        set.insert(member);
    }
    set
}

/// What leads from one mode to the next.
pub fn links_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let palette = pen.view.palette;
    let project = pen.view.project;
    let story = &project.story;
    heading(ui, "Links");
    let words = "Looked at from above; the first that fits counts. Several ticked in one field: one \
                 of them is right, not known which.";
    quiet(ui, words, palette);
    for (n, (id, link)) in story.links.iter().enumerate() {
        ui.push_id(("link", id), |ui| link_ui(ui, pen, (n + 1, id), link));
        ui.add_space(2.0);
    }
    let ids: Vec<ModeId> = story.modes.ids().collect();
    let Some((first, last)) = ids.first().zip(ids.last()) else { return };
    if add_word(ui, "Add a link", palette).clicked() {
        let control = project.controls.iter().next();
        let event = control.map_or(StoryEvent::TimePasses, |(control, row)| StoryEvent::Stands {
            control,
            positions: BTreeSet::from([u8::from(row.rest == 0)]),
        });
        let after_ms = (event == StoryEvent::TimePasses).then_some(1_000);
        let (from, to) = (BTreeSet::from([*first]), BTreeSet::from([*last]));
        let link = StoryLink { from, event, after_ms, within_ms: None, to };
        pen.edit(Edit::SetStory(StoryEdit::AddLink(Box::new(link))));
    }
}

fn link_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (n, id): (usize, LinkId), link: &StoryLink) {
    let project = pen.view.project;
    let story = &project.story;
    let set = |link: StoryLink| Edit::SetStory(StoryEdit::SetLink(id, Box::new(link)));
    let modes = |ids: &BTreeSet<ModeId>| -> Vec<(String, ModeId, bool)> {
        let of = |(id, mode): (ModeId, &StoryMode)| (mode.name.clone(), id, ids.contains(&id));
        story.modes.iter().map(of).collect()
    };
    let is_time = link.event == StoryEvent::TimePasses;
    let times = [("After", link.after_ms, "at once"), ("Within", link.within_ms, "any time")];
    let times: Vec<(usize, Field)> = times
        .into_iter()
        .enumerate()
        .filter(|(at, _)| !is_time || *at == 0)
        .map(|(at, (what, ms, hint))| {
            let shown = ms.map_or_else(String::new, |ms| format!("{ms} ms"));
            let name = format!("{what} of link {n}");
            let field = Field::figure(Id::unique((what, id)), name, shown);
            (at, field.width(84.0).hint(hint).when_left())
        })
        .collect();
    ui.horizontal_wrapped(|ui| {
        quiet(ui, format!("{n}. from"), pen.view.palette);
        if let Some(mode) = ticks_ui(ui, &format!("Left by link {n}"), &modes(&link.from)) {
            pen.edit(set(StoryLink { from: toggled(&link.from, mode), ..link.clone() }));
        }
        quiet(ui, "when", pen.view.palette);
        event_ui(ui, pen, (n, id), link);
    });
    ui.horizontal_wrapped(|ui| {
        ui.add_space(18.0);
        for (at, field) in &times {
            quiet(ui, if *at == 0 { "after" } else { "within" }, pen.view.palette);
            pen.field(ui, field, |text| {
                let ms = typed_time(text)?;
                let mut link = link.clone();
                *(if *at == 0 { &mut link.after_ms } else { &mut link.within_ms }) = ms;
                Ok(set(link))
            });
        }
        quiet(ui, "to", pen.view.palette);
        if let Some(mode) = ticks_ui(ui, &format!("Entered by link {n}"), &modes(&link.to)) {
            pen.edit(set(StoryLink { to: toggled(&link.to, mode), ..link.clone() }));
        }
        if remove_sign(ui, &format!("link {n}"), pen.view.palette).clicked() {
            pen.edit(Edit::SetStory(StoryEdit::RemoveLink(id)));
        }
    });
    for (_, field) in &times {
        pen.refusal_ui(ui, field.id, &field.shown);
    }
}

/// `500 ms`, `2 s`, or nothing; a figure alone is milliseconds, as the field shows them.
pub(super) fn typed_time(text: &str) -> Result<Option<u32>, String> {
    let text = text.trim();
    match text.chars().next_back() {
        None => Ok(None),
        Some(last) if last.is_ascii_digit() => typed_ms(&format!("{text} ms")).map(Some),
        Some(_) => typed_ms(text).map(Some),
    }
}

/// Candidates as a menu of ticks; the last one that is left stays ticked.
fn ticks_ui<T: Clone>(ui: &mut Ui, name: &str, rows: &[(String, T, bool)]) -> Option<T> {
    let ticked: Vec<&str> =
        rows.iter().filter(|(_, _, on)| *on).map(|(word, _, _)| word.as_str()).collect();
    let words = match ticked.as_slice() {
        [one] => (*one).to_owned(),
        several => format!("one of {}", several.join(", ")),
    };
    let mut picked = None;
    let menu = ui.menu_button(words.as_str(), |ui| {
        for (word, value, on) in rows {
            let mut ticked_now = *on;
            let is_last = *on && ticked.len() == 1;
            let tick = egui::Checkbox::new(&mut ticked_now, word.as_str());
            if ui.add_enabled(!is_last, tick).changed() {
                picked = Some(value.clone());
            }
        }
    });
    menu.response.accessible_name(format!("{name}: {words}"));
    picked
}

/// What a link waits for: a control, a pin, or time.
#[derive(Clone, Copy, PartialEq)]
enum Source {
    Control(ControlId),
    Pin(SensePinId),
    Time,
}

fn sources(project: &Project) -> Vec<(String, Source)> {
    let controls = project.controls.iter();
    let controls =
        controls.map(|(id, row)| (format!("{} comes to", row.name), Source::Control(id)));
    let pins = project.sense_pins.iter().map(|(id, pin)| {
        (format!("{} comes to read", project.terminal_name(pin.terminal)), Source::Pin(id))
    });
    controls.chain(pins).chain([("time passes".to_owned(), Source::Time)]).collect()
}

fn event_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, (n, id): (usize, LinkId), link: &StoryLink) {
    let project = pen.view.project;
    let set = |link: StoryLink| Edit::SetStory(StoryEdit::SetLink(id, Box::new(link)));
    let now = match &link.event {
        StoryEvent::Stands { control, .. } => Source::Control(*control),
        StoryEvent::Reads { pin, .. } => Source::Pin(*pin),
        StoryEvent::TimePasses => Source::Time,
    };
    let options = sources(project);
    let words = options.iter().find(|(_, source)| *source == now);
    let words = words.map_or_else(|| "?".to_owned(), |(words, _)| words.clone());
    let label = format!("Event of link {n}");
    if let Some(source) =
        choice_wide(ui, Id::unique(("event", id)), (&label, 196.0), &words, options)
        && let Some(changed) = with_source(project, link, source)
    {
        pen.edit(set(changed));
    }
    let name = format!("Value of link {n}");
    match &link.event {
        StoryEvent::Stands { control, positions } => {
            let Some(row) = project.controls.get(*control) else { return };
            let rows: Vec<(String, u8, bool)> = (0u8..)
                .zip(&row.positions)
                .map(|(at, position)| (position.name.clone(), at, positions.contains(&at)))
                .collect();
            if let Some(at) = ticks_ui(ui, &name, &rows) {
                let positions = toggled(positions, at);
                let event = StoryEvent::Stands { control: *control, positions };
                pen.edit(set(StoryLink { event, ..link.clone() }));
            }
        }
        StoryEvent::Reads { pin, actions } => {
            let known = project.sense_pins.get(*pin).map_or(&[][..], |pin| pin.bands.as_slice());
            let mut names: BTreeSet<String> = known.iter().map(|band| band.name.clone()).collect();
            names.extend(actions.iter().cloned());
            let rows: Vec<(String, String, bool)> = names
                .into_iter()
                .map(|action| (action.clone(), action.clone(), actions.contains(&action)))
                .collect();
            if let Some(action) = ticks_ui(ui, &name, &rows) {
                let event = StoryEvent::Reads { pin: *pin, actions: toggled(actions, action) };
                pen.edit(set(StoryLink { event, ..link.clone() }));
            }
        }
        StoryEvent::TimePasses => {}
    }
}

/// The link on something else, with a value to begin with.
fn with_source(project: &Project, link: &StoryLink, source: Source) -> Option<StoryLink> {
    let mut link = link.clone();
    link.event = match source {
        Source::Control(control) => {
            let rest = project.controls.get(control)?.rest;
            StoryEvent::Stands { control, positions: BTreeSet::from([u8::from(rest == 0)]) }
        }
        Source::Pin(pin) => {
            let band = project.sense_pins.get(pin)?.bands.first()?;
            StoryEvent::Reads { pin, actions: BTreeSet::from([band.name.clone()]) }
        }
        Source::Time => {
            link.after_ms = link.after_ms.or(Some(1_000));
            link.within_ms = None;
            StoryEvent::TimePasses
        }
    };
    Some(link)
}

/// What the displays of the modes say, for the rows of what was seen.
pub(super) fn displays(story: &Story) -> BTreeSet<&str> {
    story.modes.iter().map(|(_, mode)| mode.display.trim()).collect()
}
