//! The reading of a step: what is accepted, the field, what is made of what was typed.

use egui::{Id, Key, RichText, TextEdit, Ui};

use crate::app::action::Actions;
use crate::app::stages::prove::bench::entry::{
    Entered, enter, is_bare_unit, question, skipped, takes_at_space,
};
use crate::app::stages::prove::bench::guide::{GuideState, Round, Said, buttons_ui, go_on};
use crate::app::stages::prove::bench::steps::mark;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Pen, quiet};
use crate::edit::Edit;
use crate::model::{BenchReading, BenchRun, BenchRunId};
use crate::proving::plan::{Plan, Step, StepKind, accept_words, usual_words};
use crate::proving::{Quantity, Standing, shown_words, standing};

/// What is accepted, the field, and what came of the reading.
pub(super) fn reading_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (plan, at): (&Plan, usize),
    ((id, run), is_low): (Round<'_>, bool),
    own: &mut GuideState,
) {
    let view = pen.view;
    let step = &plan.steps[at];
    ui.spacing_mut().item_spacing.y = 3.0;
    // Where there is little height, what is accepted stands beside the field.
    let is_one_line = is_low && ui.available_width() >= 520.0 && own.skip.is_none();
    if !is_one_line {
        ui.horizontal_wrapped(|ui| accept_ui(ui, view, (step, is_low)));
    }
    let reading = run.readings.get(&step.key);
    let beside = !is_low && ui.available_width() >= 520.0;
    let mut entered = None;
    if own.skip.is_some() {
        skip_ui(ui, (step, id), (pen.actions, own), (plan, at, run));
    } else if beside {
        ui.horizontal_top(|ui| {
            let width = (ui.available_width() * 0.32).clamp(150.0, 320.0);
            entered = field_ui(ui, view, (step, is_low, width), own);
            ui.vertical(|ui| came_of_ui(ui, (view, is_low), (step, reading), own));
        });
    } else {
        let most = if is_one_line { 190.0 } else { 420.0 };
        let width = (ui.available_width() - 90.0).clamp(120.0, most);
        ui.horizontal(|ui| {
            entered = field_ui(ui, view, (step, is_low, width), own);
            if is_one_line {
                accept_ui(ui, view, (step, is_low));
            }
        });
    }
    if let Some(text) = entered {
        take(pen.actions, (plan, at), (view, id, run), &text, own);
    }
    if !beside || own.skip.is_some() {
        came_of_ui(ui, (view, is_low), (step, reading), own);
    }
    if !is_low {
        buttons_ui(ui, pen.actions, (plan, at), (view, id), own);
    }
}

/// What is accepted, and what is usual.
fn accept_ui(ui: &mut Ui, view: View<'_>, (step, is_low): (&Step, bool)) {
    let Some(limits) = &step.limits else { return };
    quiet(ui, "accept", view.palette);
    let words = accept_words(step.quantity, limits);
    let size = if is_low { 18.0 } else { 32.0 };
    ui.label(RichText::new(words).font(theme::bold(size)));
    if ui.available_width() > 120.0 {
        quiet(ui, format!("usual {}", usual_words(step)), view.palette);
    }
}

/// The field in very large letters; returns the text when it is to be taken.
fn field_ui(
    ui: &mut Ui,
    view: View<'_>,
    (step, is_low, width): (&Step, bool, f32),
    own: &mut GuideState,
) -> Option<String> {
    let id = Id::unique("bench reading");
    let mut entered = None;
    let size = if is_low { 26.0 } else { 44.0 };
    let output = TextEdit::singleline(&mut own.text)
        .id(id)
        .font(theme::bold(size))
        .desired_width(width)
        .hint_text(RichText::new("reading").font(theme::plain(0.5 * size)))
        .show(ui);
    let response = output.response.response.accessible_name("Reading");
    if response.changed() {
        own.said = None;
        // The unit of the figure that a space took too early.
        if is_bare_unit(&own.text)
            && let Some((key, text)) = own.last.take()
        {
            own.text = format!("{} {}", text.trim(), own.text.trim());
            own.at = Some(key);
            ui.ctx().request_repaint();
        } else if takes_at_space(step, &own.text, &view.project.settings.meter) {
            entered = Some(own.text.clone());
        } else if own.text.ends_with(' ') {
            own.said = Some(Said::Hint("type the unit, or a second space to take it".into()));
        }
    }
    if response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter)) {
        entered = Some(own.text.clone());
    }
    if ui.button("Take").on_hover_text("Enter, or space behind the figure").clicked() {
        entered = Some(own.text.clone());
    }
    if !own.has_begun || ui.ctx().memory(|memory| memory.focused().is_none()) {
        own.has_begun = true;
        response.request_focus();
    }
    entered
}

/// The reason for leaving a step out.
fn skip_ui(
    ui: &mut Ui,
    (step, id): (&Step, BenchRunId),
    (actions, own): (&mut Actions, &mut GuideState),
    (plan, at, run): (&Plan, usize, &BenchRun),
) {
    let Some(reason) = &mut own.skip else { return };
    let field = Id::unique("bench skip");
    ui.label("Why is this step left out?");
    let mut is_done = false;
    ui.horizontal(|ui| {
        let output = TextEdit::singleline(reason)
            .id(field)
            .font(theme::plain(18.0))
            .desired_width((ui.available_width() - 110.0).max(100.0))
            .hint_text("such as: plug out of reach")
            .show(ui);
        let response = output.response.response.accessible_name("Why it is left out");
        let focused = ui.ctx().memory(|memory| memory.focused());
        if focused != Some(field) && !response.lost_focus() {
            response.request_focus();
        }
        is_done = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        is_done |= ui.button("Leave it out").clicked();
    });
    if is_done {
        let reason = reason.trim().to_owned();
        skip(actions, (step, id), (plan, at, run), reason, own);
    }
}

fn skip(
    actions: &mut Actions,
    (step, id): (&Step, BenchRunId),
    (plan, at, run): (&Plan, usize, &BenchRun),
    reason: String,
    own: &mut GuideState,
) {
    if reason.is_empty() {
        own.said = Some(Said::Refused("say why, so that others know it later".into()));
        return;
    }
    own.said = Some(Said::Hint(format!("{} is left out: {reason}", step.title)));
    let reading = skipped(step, reason);
    let mut later = run.clone();
    later.readings.insert(step.key.clone(), reading.clone());
    actions.edit(Edit::SetReading { run: id, step: step.key.clone(), reading: Some(reading) });
    own.skip = None;
    go_on(own, (plan, at), &later);
}

/// Carries out what was typed.
fn take(
    actions: &mut Actions,
    (plan, at): (&Plan, usize),
    (view, id, run): (View<'_>, BenchRunId, &BenchRun),
    text: &str,
    own: &mut GuideState,
) {
    let step = &plan.steps[at];
    let meter = &view.project.settings.meter;
    let is_known = run.readings.contains_key(&step.key);
    own.text.clear();
    match enter(plan, step, (text, own.asked.as_ref()), meter) {
        Entered::Nothing if own.asked.take().is_some() => {
            own.said = Some(Said::Hint("read it again".into()));
        }
        Entered::Nothing if step.blocked.is_some() || is_known => go_on(own, (plan, at), run),
        Entered::Nothing => {
            let shows = match step.quantity {
                Quantity::Length => "tape",
                Quantity::Ohm | Quantity::Volt | Quantity::Sign => "meter",
            };
            let words = format!("type what the {shows} shows; F11 leaves the step out");
            own.said = Some(Said::Hint(words));
        }
        Entered::Refused(why) => {
            text.trim_end().clone_into(&mut own.text);
            own.said = Some(Said::Refused(why));
        }
        Entered::Asked(asked) => {
            own.said = None;
            own.asked = Some(asked);
        }
        Entered::Skipped(reason) => skip(actions, (step, id), (plan, at, run), reason, own),
        Entered::Taken(reading, outcome) => {
            own.asked = None;
            own.said = None;
            own.last = Some((step.key.clone(), text.to_owned()));
            let mut later = run.clone();
            later.readings.insert(step.key.clone(), reading.clone());
            if outcome.is_good() {
                let shown =
                    reading.shown.map_or_else(String::new, |shown| shown_words(shown, meter));
                own.said = Some(Said::Good(format!("{}: {shown}, good", step.title)));
            }
            let edit = Edit::SetReading { run: id, step: step.key.clone(), reading: Some(reading) };
            actions.edit(edit);
            if outcome.is_good() {
                go_on(own, (plan, at), &later);
            }
        }
    }
}

/// What the step has come to, what was asked, what was refused, or how the last one went.
fn came_of_ui(
    ui: &mut Ui,
    (view, is_low): (View<'_>, bool),
    (step, reading): (&Step, Option<&BenchReading>),
    own: &GuideState,
) {
    let palette = view.palette;
    let meter = &view.project.settings.meter;
    let size = if is_low { 15.0 } else { 18.0 };
    let large = |text: String, colour| RichText::new(text).font(theme::bold(size)).color(colour);
    if let Some(asked) = &own.asked {
        let text = format!("? {}", question(asked, step, meter));
        ui.label(large(text, palette.warning));
        quiet(ui, "Enter: read it again. Type the same figure once more: keep it.", palette);
        return;
    }
    match &own.said {
        Some(Said::Refused(why)) => {
            ui.label(large(format!("⚠ Not taken: {why}"), palette.wrong));
            return;
        }
        Some(Said::Hint(words)) => {
            ui.label(RichText::new(words).color(palette.ink));
        }
        Some(Said::Good(words)) => {
            ui.label(large(format!("✔ {words}"), palette.right));
        }
        None => {}
    }
    let stands = standing(step, reading);
    let (sign, colour) = mark(stands, palette);
    let shown = reading.and_then(|reading| reading.shown).map(|shown| shown_words(shown, meter));
    let note = reading.map(|reading| reading.note.as_str()).filter(|note| !note.is_empty());
    let words = match (stands, shown) {
        (Standing::Open | Standing::Blocked, _) => return,
        (Standing::Read(outcome), Some(shown)) => {
            format!("{sign} {shown}: {}", outcome.words())
        }
        (Standing::Stale, Some(shown)) => {
            format!("{sign} {shown} was read on another version of the drawing: read it again")
        }
        (Standing::Stale, None) => format!("{sign} left out on another version of the drawing"),
        (Standing::Skipped | Standing::Read(_), _) => format!("{sign} left out"),
    };
    let words = note.map_or_else(|| words.clone(), |note| format!("{words} ({note})"));
    ui.label(large(words, colour));
    if let Standing::Read(outcome) = stands {
        let is_weighed = matches!(step.kind, StepKind::Ohms | StepKind::Volts);
        let is_taped = step.quantity == Quantity::Length;
        let words = match (outcome.is_good(), is_weighed) {
            (true, _) => "Enter: go on. Type another figure to read it again.",
            (false, true) => {
                "F12: what may be wrong. Type another figure to read it again; Enter: go on."
            }
            (false, false) if is_taped => {
                "Measure it again along the loom. If it stays so, give the run this length on Route: the cut list follows. Enter: go on."
            }
            (false, false) => {
                "Look along this way: a wire broken, or in the wrong cavity. Type another figure to read it again; Enter: go on."
            }
        };
        quiet(ui, words, palette);
    }
}
