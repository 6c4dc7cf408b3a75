//! The guided run: one step a screen, for somebody with both hands full.
//!
//! The field for the reading always has the keyboard. Enter, or a space behind the figure (a foot
//! key), takes it; the page keys go back and forth; F11 leaves a step out, F12 asks for the cause.

mod done;
mod reading;
mod what;

use egui::{Align, Key, Layout, Modifiers, RichText, ScrollArea, Ui};

use crate::app::action::{Action, Actions};
use crate::app::command::Command;
use crate::app::prove_studies::{ProveAsk, ProvePage};
use crate::app::stages::prove::bench::entry::Asked;
use crate::app::stages::prove::bench::guide::done::done_ui;
use crate::app::stages::prove::bench::guide::reading::reading_ui;
use crate::app::stages::prove::bench::guide::what::what_ui;
use crate::app::stages::prove::bench::run_words;
use crate::app::stages::prove::bench::steps::steps_ui;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Pen, quiet};
use crate::model::{BenchRun, BenchRunId};
use crate::proving::plan::{Plan, Step, StepKind};
use crate::proving::{Tally, next_open};

/// From this width on all steps stand beside the one at hand.
const WIDE: f32 = 820.0;
/// Width of that list.
const LIST: f32 = 270.0;
/// Below this height figures are smaller, so that what to connect stays in sight.
const LOW: f32 = 340.0;

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
    /// The step the controls of the window were last put for.
    held: Option<String>,
    /// How far the arrow keys want to scroll what is to be done.
    scroll: f32,
    /// Whether the field for the reading has been given the keyboard since the run was opened.
    has_begun: bool,
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
    /// Yes, with the cursor in the date.
    ToDate,
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
        return done_ui(ui, pen, (plan, round), own);
    };
    let step = &plan.steps[at];
    own.at = Some(step.key.clone());
    hold_controls(pen.actions, step, own);
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

/// The controls of the window stand as a step wants them, once when it is shown: what the strip and
/// the large figure say is then what this step should read.
fn hold_controls(actions: &mut Actions, step: &Step, own: &mut GuideState) {
    if own.held.as_ref() == Some(&step.key) {
        return;
    }
    own.held = Some(step.key.clone());
    if let Some(state) = &step.state {
        actions.push(Action::GoToState(state.clone()));
    }
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
    let has_room = !is_low(ui) && ui.available_width() >= 700.0;
    ui.horizontal_wrapped(|ui| {
        if ui.button("‹ Rounds").on_hover_text("Esc").clicked() {
            leave = Leave::ToRounds;
        }
        ui.label(RichText::new(run_words(run)).font(theme::bold(theme::TEXT_BODY)));
        quiet(ui, format!("step {} of {}", at + 1, plan.steps.len()), view.palette);
        if has_room {
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
    // A question takes a line more.
    let more = if own.asked.is_some() { 28.0 } else { 0.0 };
    let reading = more
        + match (is_low, ui.available_width() >= 520.0) {
            (false, _) => 156.0,
            (true, true) => 98.0,
            (true, false) => 122.0,
        };
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
