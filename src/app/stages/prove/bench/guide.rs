//! The guided run: one step a screen, for somebody with both hands full.
//!
//! The field for the reading always has the keyboard. Enter, or a space behind the figure (a foot
//! key), takes it; the page keys go back and forth; F11 leaves a step out, F12 asks for the cause.

use egui::{Align, Id, Key, Layout, Modifiers, RichText, ScrollArea, TextEdit, Ui};

use crate::app::action::{Action, Actions};
use crate::app::command::Command;
use crate::app::panels::held_ui;
use crate::app::prove_studies::{ProveAsk, ProvePage};
use crate::app::stages::prove::bench::connect;
use crate::app::stages::prove::bench::entry::{
    Asked, Entered, enter, is_bare_unit, question, skipped, takes_at_space,
};
use crate::app::stages::prove::bench::run_words;
use crate::app::stages::prove::bench::steps::{mark, steps_ui};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Pen, quiet};
use crate::check::state_words;
use crate::edit::Edit;
use crate::model::{BenchReading, BenchRun, BenchRunId, State};
use crate::proving::plan::{Plan, Step, StepKind, accept_words, usual_words};
use crate::proving::{Standing, Tally, next_open, shown_words, standing};

/// From this width on all steps stand beside the one at hand.
const WIDE: f32 = 820.0;
/// Width of that list.
const LIST: f32 = 270.0;
/// Below this height figures are smaller, so that what to connect stays in sight.
const LOW: f32 = 460.0;

/// Where the guided run is.
#[derive(Default)]
pub struct GuideState {
    /// Key of the step at hand; the first that is not done where none is picked.
    at: Option<String>,
    /// What is being typed.
    text: String,
    /// What was taken last: the step and the text, should a unit still follow.
    last: Option<(String, String)>,
    /// What is said about the last step or the text.
    said: Option<Said>,
    /// The question that is open.
    asked: Option<Asked>,
    /// The reason that is being typed for a step that is left out.
    skip: Option<String>,
    /// The step the list was brought to, and the height it had then.
    followed: Option<(usize, f32)>,
    /// How far the arrow keys want to scroll what is to be done.
    scroll: f32,
}

/// Something said above or below the field.
enum Said {
    /// What was typed is no reading.
    Refused(String),
    /// The last step is good.
    Good(String),
    /// What to do.
    Hint(String),
}

/// Whether the page of the rounds is to be shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leave {
    /// No.
    Stay,
    /// Yes.
    ToRounds,
}

type Round<'a> = (BenchRunId, &'a BenchRun);

/// The run.
pub fn guide_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (plan, round): (&Plan, Round<'_>),
    own: &mut GuideState,
) -> Leave {
    let view = pen.view;
    let picked = own.at.as_ref().and_then(|key| plan.steps.iter().position(|s| s.key == *key));
    let Some(at) = picked.or_else(|| next_open(plan, round.1, 0)) else {
        return done_ui(ui, view, (plan, round.1), own);
    };
    let step = &plan.steps[at];
    own.at = Some(step.key.clone());
    let leave = keys(ui, pen.actions, (plan, at), (view, round.0), own);
    let left = head_ui(ui, view, (plan, at), round.1);
    let is_wide = ui.available_width() >= WIDE;
    let full = ui.available_size();
    ui.horizontal_top(|ui| {
        if is_wide {
            let size = egui::vec2(LIST, full.y);
            ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
                ui.set_min_size(size);
                let now = Some((at, full.y));
                let follow = own.followed != now;
                own.followed = now;
                if let Some(n) = steps_ui(ui, view, (plan, round.1), at, follow) {
                    go_to(own, plan, n);
                }
            });
            ui.add_space(8.0);
        }
        let size = ui.available_size();
        ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
            ui.set_min_size(size);
            step_ui(ui, pen, (plan, at), round, own);
        });
    });
    if left == Leave::ToRounds { left } else { leave }
}

/// Whether there is little height.
fn is_low(ui: &Ui) -> bool {
    ui.max_rect().height() < LOW
}

fn go_to(own: &mut GuideState, plan: &Plan, n: usize) {
    own.at = plan.steps.get(n).map(|step| step.key.clone());
    own.text.clear();
    own.said = None;
    own.asked = None;
    own.skip = None;
}

/// Goes to the first step after this one that is not done; where all are done, to the end.
fn go_on(own: &mut GuideState, (plan, at): (&Plan, usize), run: &BenchRun) {
    let said = own.said.take();
    match next_open(plan, run, at + 1).filter(|n| *n != at) {
        Some(n) => go_to(own, plan, n),
        None => {
            go_to(own, plan, at);
            own.at = None;
        }
    }
    own.said = said;
}

/// Keys of the page, taken before the field sees them.
fn keys(
    ui: &Ui,
    actions: &mut Actions,
    (plan, at): (&Plan, usize),
    (view, run): (View<'_>, BenchRunId),
    own: &mut GuideState,
) -> Leave {
    let pressed = |key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    if pressed(Key::PageUp) && at > 0 {
        go_to(own, plan, at - 1);
    }
    if pressed(Key::PageDown) && at + 1 < plan.steps.len() {
        go_to(own, plan, at + 1);
    }
    for (key, by) in [(Key::ArrowUp, 60.0), (Key::ArrowDown, -60.0)] {
        if pressed(key) {
            own.scroll += by;
        }
    }
    if pressed(Key::F11) {
        own.skip = Some(String::new());
    }
    if pressed(Key::F12) {
        to_cause(actions, (view, run), &plan.steps[at]);
    }
    // With nothing typed, undo means the reading that was written down last.
    if own.text.is_empty() && own.skip.is_none() {
        for command in [Command::Redo, Command::Undo] {
            let shortcut = command.shortcut();
            if shortcut.is_some_and(|keys| ui.input_mut(|input| input.consume_shortcut(&keys))) {
                own.said = None;
                actions.push(Action::Run(command));
            }
        }
    }
    if pressed(Key::Escape) {
        if own.skip.take().is_some() || own.asked.take().is_some() || !own.text.is_empty() {
            own.text.clear();
        } else {
            return Leave::ToRounds;
        }
    }
    Leave::Stay
}

/// Shows page Cause with the readings of this round, at the pin of the step.
fn to_cause(actions: &mut Actions, (view, run): (View<'_>, BenchRunId), step: &Step) {
    let pin = view.project.sense_pins.iter().find(|(_, pin)| Some(pin.terminal) == step.red);
    if let Some((pin, _)) = pin {
        actions.push(Action::ShowPin(pin));
    }
    actions.push(Action::AskProve(ProveAsk::TakeRound(Some(run))));
    actions.push(Action::ShowProvePage(ProvePage::Cause));
}

/// Name of the round, how far it is, and the way back.
fn head_ui(ui: &mut Ui, view: View<'_>, (plan, at): (&Plan, usize), run: &BenchRun) -> Leave {
    let mut leave = Leave::Stay;
    let tally = Tally::of(plan, run);
    ui.horizontal_wrapped(|ui| {
        if ui.button("‹ Rounds").on_hover_text("Esc").clicked() {
            leave = Leave::ToRounds;
        }
        ui.label(RichText::new(run_words(run)).font(theme::bold(theme::TEXT_BODY)));
        quiet(ui, format!("step {} of {}", at + 1, plan.steps.len()), view.palette);
        if ui.available_width() > 100.0 && !is_low(ui) {
            quiet(ui, format!("· {}", tally.words()), view.palette);
        }
    });
    progress_ui(ui, view, &tally);
    ui.add_space(4.0);
    leave
}

/// A thin bar: good, outside limits, left out, and what is still to do.
fn progress_ui(ui: &mut Ui, view: View<'_>, tally: &Tally) {
    let size = egui::vec2(ui.available_width(), 5.0);
    let (rect, response) = ui.allocate_exact_size(size, egui::Sense::hover());
    let palette = view.palette;
    ui.painter().rect_filled(rect, 2.0, palette.wash(palette.ink, 0.08));
    let mut left = rect.left();
    let parts =
        [(tally.good, palette.right), (tally.bad, palette.wrong), (tally.skipped, palette.warning)];
    for (n, colour) in parts {
        let width = rect.width() * n as f32 / tally.steps.max(1) as f32;
        let part = egui::Rect::from_min_size(
            egui::pos2(left, rect.top()),
            egui::vec2(width, rect.height()),
        );
        ui.painter().rect_filled(part, 2.0, colour);
        left += width;
    }
    response.on_hover_text(tally.words());
}

/// The step at hand: what to do above, the reading below, always in sight.
fn step_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (plan, at): (&Plan, usize),
    round: Round<'_>,
    own: &mut GuideState,
) {
    let view = pen.view;
    let step = &plan.steps[at];
    let is_low = is_low(ui);
    let reading = if is_low { 122.0 } else { 214.0 };
    let above = (ui.available_height() - reading).max(60.0);
    ui.allocate_ui(egui::vec2(ui.available_width(), above), |ui| {
        ui.set_min_height(above);
        ScrollArea::vertical().id_salt(("bench step", step.key.as_str())).auto_shrink(false).show(
            ui,
            |ui| {
                ui.scroll_with_delta(egui::vec2(0.0, std::mem::take(&mut own.scroll)));
                what_ui(ui, view, step, is_low);
                if is_low {
                    buttons_ui(ui, pen.actions, (plan, at), (view, round.0), own);
                }
            },
        );
    });
    ui.separator();
    reading_ui(ui, pen, (plan, at), (round, is_low), own);
}

/// Title, leads, faces, controls, notes.
fn what_ui(ui: &mut Ui, view: View<'_>, step: &Step, is_low: bool) {
    let palette = view.palette;
    ui.label(RichText::new(step.kind.word()).color(palette.quiet));
    let size = if is_low { 17.0 } else { 22.0 };
    ui.label(RichText::new(&step.title).font(theme::bold(size)));
    if let Some(why) = &step.blocked {
        let words = format!("– Cannot be done yet: {why}.");
        ui.label(RichText::new(words).font(theme::plain(16.0)).color(palette.warning));
    }
    ui.add_space(2.0);
    let has_faces = step.red.is_some() || step.black.is_some();
    let full = ui.available_width();
    if has_faces && full >= 560.0 {
        ui.horizontal_top(|ui| {
            let size = egui::vec2((full * 0.5).floor(), 10.0);
            ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
                ui.set_min_width(size.x);
                connect_ui(ui, step);
            });
            ui.vertical(|ui| connect::faces_ui(ui, view, step));
        });
    } else {
        connect_ui(ui, step);
    }
    if let Some(state) = &step.state {
        hold_ui(ui, view, state);
    }
    if has_faces && full < 560.0 {
        connect::faces_ui(ui, view, step);
    }
    for note in &step.notes {
        quiet(ui, format!("• {note}"), palette);
    }
}

/// What to connect, in words.
fn connect_ui(ui: &mut Ui, step: &Step) {
    for (n, line) in step.connect.iter().enumerate() {
        ui.label(RichText::new(format!("{}  {line}", n + 1)).font(theme::plain(16.0)));
    }
}

/// How to hold the controls, in large words and drawn.
fn hold_ui(ui: &mut Ui, view: View<'_>, state: &State) {
    ui.add_space(2.0);
    ui.horizontal_wrapped(|ui| {
        quiet(ui, "Hold the controls:", view.palette);
        let words = state_words(view.project, state);
        ui.label(RichText::new(words).font(theme::bold(20.0)).color(view.palette.live));
    });
    let all = if state.0.is_empty() { all_of(view) } else { state.clone() };
    held_ui(ui, view, &all);
}

/// Every control at rest, spelled out.
fn all_of(view: View<'_>) -> State {
    State(view.project.controls.iter().map(|(id, control)| (id, control.rest)).collect())
}

/// What is accepted, the field, and what came of the reading.
fn reading_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (plan, at): (&Plan, usize),
    ((id, run), is_low): (Round<'_>, bool),
    own: &mut GuideState,
) {
    let view = pen.view;
    let palette = view.palette;
    let step = &plan.steps[at];
    ui.spacing_mut().item_spacing.y = 3.0;
    if let Some(limits) = &step.limits {
        ui.horizontal_wrapped(|ui| {
            quiet(ui, "accept", palette);
            let words = accept_words(step.quantity, limits);
            let size = if is_low { 18.0 } else { 32.0 };
            ui.label(RichText::new(words).font(theme::bold(size)));
            if ui.available_width() > 120.0 {
                quiet(ui, format!("usual {}", usual_words(step)), palette);
            }
        });
    }
    let mut entered = None;
    if own.skip.is_some() {
        skip_ui(ui, (step, id), (pen.actions, own), (plan, at, run));
    } else {
        entered = field_ui(ui, view, (step, is_low), own);
    }
    if let Some(text) = entered {
        take(pen.actions, (plan, at), (view, id, run), &text, own);
    }
    came_of_ui(ui, view, (step, run.readings.get(&step.key)), own);
    if !is_low {
        buttons_ui(ui, pen.actions, (plan, at), (view, id), own);
    }
}

/// The field in very large letters; returns the text when it is to be taken.
fn field_ui(
    ui: &mut Ui,
    view: View<'_>,
    (step, is_low): (&Step, bool),
    own: &mut GuideState,
) -> Option<String> {
    let id = Id::unique("bench reading");
    let mut entered = None;
    ui.horizontal(|ui| {
        let size = if is_low { 26.0 } else { 44.0 };
        let width = (ui.available_width() - 90.0).clamp(120.0, 420.0);
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
        if ui.ctx().memory(|memory| memory.focused().is_none()) {
            response.request_focus();
        }
    });
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
            let words = "type what the meter shows; F11 leaves the step out";
            own.said = Some(Said::Hint(words.into()));
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
    view: View<'_>,
    (step, reading): (&Step, Option<&BenchReading>),
    own: &GuideState,
) {
    let palette = view.palette;
    let meter = &view.project.settings.meter;
    let size = if is_low(ui) { 15.0 } else { 18.0 };
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
        let words = match outcome.is_good() {
            true => "Enter: go on. Type another figure to read it again.",
            false => "F12: what may be wrong. Type another figure to read it again; Enter: go on.",
        };
        quiet(ui, words, palette);
    }
}

fn buttons_ui(
    ui: &mut Ui,
    actions: &mut Actions,
    (plan, at): (&Plan, usize),
    (view, run): (View<'_>, BenchRunId),
    own: &mut GuideState,
) {
    ui.horizontal_wrapped(|ui| {
        let word = |words: &str| RichText::new(words).small();
        if ui.button(word("‹ Back  PgUp")).clicked() && at > 0 {
            go_to(own, plan, at - 1);
        }
        if ui.button(word("Forth ›  PgDn")).clicked() && at + 1 < plan.steps.len() {
            go_to(own, plan, at + 1);
        }
        if ui.button(word("Leave out…  F11")).clicked() {
            own.skip = Some(String::new());
        }
        let is_at_pin = matches!(plan.steps[at].kind, StepKind::Ohms | StepKind::Volts);
        let tip = if is_at_pin {
            "What may be wrong, from the readings of this round"
        } else {
            "Readings at a sense pin tell causes; this step has none, but others of the round do"
        };
        if ui.button(word("Cause  F12")).on_hover_text(tip).clicked() {
            to_cause(actions, (view, run), &plan.steps[at]);
        }
    });
}

/// All that can be done is done.
fn done_ui(
    ui: &mut Ui,
    view: View<'_>,
    (plan, run): (&Plan, &BenchRun),
    own: &mut GuideState,
) -> Leave {
    let palette = view.palette;
    let tally = Tally::of(plan, run);
    let mut leave = Leave::Stay;
    if ui.button("‹ Rounds").on_hover_text("Esc").clicked()
        || ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape))
    {
        leave = Leave::ToRounds;
    }
    if let Some(Said::Good(words)) = &own.said {
        ui.label(RichText::new(format!("✔ {words}")).color(palette.right));
    }
    let (head, colour) = match tally.bad {
        0 if tally.good > 0 => ("✔ All that can be done is done", palette.right),
        0 => ("There is nothing to be done", palette.quiet),
        _ => ("✖ Done, but not all is good", palette.wrong),
    };
    ui.label(RichText::new(head).font(theme::bold(30.0)).color(colour));
    ui.label(RichText::new(tally.words()).font(theme::plain(16.0)));
    quiet(ui, "Passed steps prove no safety; local rules and licensed practice go first.", palette);
    ui.add_space(6.0);
    ScrollArea::vertical().id_salt("bench done").auto_shrink(false).show(ui, |ui| {
        for (n, step) in plan.steps.iter().enumerate() {
            let stands = standing(step, run.readings.get(&step.key));
            let is_open = match stands {
                Standing::Read(outcome) => !outcome.is_good(),
                Standing::Skipped | Standing::Blocked | Standing::Stale | Standing::Open => true,
            };
            if !is_open {
                continue;
            }
            let (sign, colour) = mark(stands, palette);
            let words = format!("{sign} {}: {}", step.title, stands.words());
            let text = RichText::new(words).color(colour);
            if ui.selectable_label(false, text).clicked() {
                go_to(own, plan, n);
            }
        }
    });
    leave
}
