//! The end of a round: how it went, what to do next, and what is not good or not done.

use egui::{Button, Color32, Key, Modifiers, RichText, ScrollArea, Ui};

use crate::app::action::Action;
use crate::app::prove_studies::{ProveAsk, ProvePage};
use crate::app::stages::prove::bench::guide::{
    GuideState, LOW, Leave, Round, Said, go_to, to_cause,
};
use crate::app::stages::prove::bench::run_words;
use crate::app::stages::prove::bench::steps::mark;
use crate::app::theme::{self, Palette};
use crate::app::view::View;
use crate::app::widgets::{Pen, heading, quiet};
use crate::edit::Edit;
use crate::model::{BenchRun, BenchRunId, Project};
use crate::proving::plan::{Plan, Step, StepKind};
use crate::proving::wear::first_hand_over;
use crate::proving::{Standing, Tally, standing};
use crate::sheets::SheetKind;

/// How the round went, in one line: green only where nothing was left out.
fn head(tally: &Tally, palette: &Palette) -> (&'static str, Color32) {
    match (tally.bad, tally.skipped, tally.good) {
        (0, 0, 0) => ("There is nothing to be done", palette.quiet),
        (0, 0, _) => ("✔ All that can be done is done", palette.right),
        (0, ..) => ("▲ Done but for what was left out", palette.warning),
        _ => ("✖ Done, but not all is good", palette.wrong),
    }
}

/// What can be done next, the most useful first.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Deed {
    /// Reads the first step that is not good once more, by its place in the plan.
    ReadAgain(usize),
    /// Looks for what is wrong, from the readings of the round at the pin of this step.
    Cause(usize),
    /// Holds the round to the one the machine was handed over with.
    Compare(BenchRunId),
    /// Says that the machine is handed over with this round.
    HandOver,
    /// Writes down what is not known of the round.
    WriteDown(Vec<&'static str>),
    /// Shows the sign-off sheet of the packet.
    SignOff,
}

impl Deed {
    /// Its key, and the word for the key.
    fn key(&self) -> (Key, &'static str) {
        match self {
            Self::ReadAgain(_) => (Key::Enter, "Enter"),
            Self::Cause(_) => (Key::F12, "F12"),
            Self::Compare(_) => (Key::W, "W"),
            Self::HandOver => (Key::T, "T"),
            Self::WriteDown(_) => (Key::D, "D"),
            Self::SignOff => (Key::S, "S"),
        }
    }

    fn words(&self, view: View<'_>, plan: &Plan) -> String {
        match self {
            Self::ReadAgain(n) => {
                let title = plan.steps.get(*n).map_or("", |step| step.title.as_str());
                format!("Read {title} once more")
            }
            Self::Cause(_) => "Find the cause of what is not good".into(),
            Self::Compare(then) => {
                let name = view.project.bench_runs.get(*then).map_or("", |run| run.name.as_str());
                format!("Compare with {name}: what has aged")
            }
            Self::HandOver => "Hand the machine over with this round".into(),
            Self::WriteDown(what) => format!("Write down {}", listed(what)),
            Self::SignOff => "Show the sign-off sheet".into(),
        }
    }
}

/// `date, meter and initials`.
fn listed(what: &[&str]) -> String {
    match what {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

fn is_bad(step: &Step, run: &BenchRun) -> bool {
    let stands = standing(step, run.readings.get(&step.key));
    matches!(stands, Standing::Read(outcome) if !outcome.is_good())
}

/// Whether a machine may be handed over with a round: nothing failed, left out, stale or open.
fn is_whole(tally: &Tally) -> bool {
    tally.good > 0 && tally.bad + tally.skipped + tally.stale + tally.open == 0
}

/// What is useful after this round.
fn deeds(project: &Project, plan: &Plan, (id, run): (BenchRunId, &BenchRun)) -> Vec<Deed> {
    let mut deeds = Vec::new();
    deeds.extend(plan.steps.iter().position(|step| is_bad(step, run)).map(Deed::ReadAgain));
    let at_pin = |step: &&Step| matches!(step.kind, StepKind::Ohms | StepKind::Volts);
    let cause = plan.steps.iter().position(|step| at_pin(&step) && is_bad(step, run));
    deeds.extend(cause.map(Deed::Cause));
    match (first_hand_over(project, Some(id)), run.is_hand_over) {
        (_, true) => {}
        (Some(then), false) => deeds.push(Deed::Compare(then)),
        (None, false) if is_whole(&Tally::of(plan, run)) => deeds.push(Deed::HandOver),
        (None, false) => {}
    }
    let known = [("date", &run.date), ("initials", &run.initials), ("meter", &run.meter)];
    let missing: Vec<&str> =
        known.iter().filter(|(_, text)| text.trim().is_empty()).map(|(what, _)| *what).collect();
    if !missing.is_empty() {
        deeds.push(Deed::WriteDown(missing));
    }
    deeds.push(Deed::SignOff);
    deeds
}

/// All that can be done is done: how it went, what to do next, and what is not good or not done.
pub(super) fn done_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (plan, round): (&Plan, Round<'_>),
    own: &mut GuideState,
) -> Leave {
    let view = pen.view;
    let (palette, run) = (view.palette, round.1);
    let tally = Tally::of(plan, run);
    let mut leave = Leave::Stay;
    ui.horizontal_wrapped(|ui| {
        if ui.button("‹ Rounds").on_hover_text("Esc").clicked()
            || ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape))
        {
            leave = Leave::ToRounds;
        }
        ui.label(RichText::new(run_words(run)).font(theme::bold(theme::TEXT_BODY)));
        if let Some(Said::Good(words)) = &own.said {
            ui.label(RichText::new(format!("✔ {words}")).color(palette.right));
        }
    });
    let (head, colour) = head(&tally, palette);
    let size = if ui.available_height() < LOW { 22.0 } else { 30.0 };
    ScrollArea::vertical().id_salt("bench done").auto_shrink(false).show(ui, |ui| {
        ui.label(RichText::new(head).font(theme::bold(size)).color(colour));
        ui.label(RichText::new(tally.words()).font(theme::plain(16.0)));
        let words = "Passed steps prove no safety; local rules and licensed practice go first.";
        quiet(ui, words, palette);
        ui.add_space(6.0);
        let deeds = deeds(view.project, plan, round);
        let picked = deeds_ui(ui, view, plan, &deeds);
        if let Some(deed) = picked.and_then(|n| deeds.get(n)) {
            let left = carry_out(pen, (plan, round), deed, own);
            leave = if left == Leave::Stay { leave } else { left };
        }
        if let Some(n) = rest_ui(ui, view, (plan, run)) {
            go_to(own, plan, n);
        }
    });
    leave
}

/// The deeds, a button each with its key; returns the one that is picked.
fn deeds_ui(ui: &mut Ui, view: View<'_>, plan: &Plan, deeds: &[Deed]) -> Option<usize> {
    let palette = view.palette;
    ui.label(RichText::new("Next").font(theme::bold(theme::TEXT_HEADING)));
    let is_free = ui.ctx().memory(|memory| memory.focused().is_none());
    let mut picked = None;
    for (n, deed) in deeds.iter().enumerate() {
        let (key, key_word) = deed.key();
        ui.horizontal(|ui| {
            let words = RichText::new(deed.words(view, plan)).font(theme::plain(16.0));
            let mut button = Button::new(words).wrap();
            if n == 0 {
                button = button.fill(palette.wash(palette.live, 0.16));
            }
            let is_clicked = ui.add(button).clicked();
            quiet(ui, key_word, palette);
            let is_keyed = is_free && ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
            if is_clicked || is_keyed {
                picked = Some(n);
            }
        });
    }
    picked
}

fn carry_out(
    pen: &mut Pen<'_, '_>,
    (plan, (id, run)): (&Plan, Round<'_>),
    deed: &Deed,
    own: &mut GuideState,
) -> Leave {
    let view = pen.view;
    match deed {
        Deed::ReadAgain(n) => go_to(own, plan, *n),
        Deed::Cause(n) => {
            if let Some(step) = plan.steps.get(*n) {
                to_cause(pen.actions, (view, id), step);
            }
        }
        Deed::Compare(then) => {
            pen.actions.push(Action::AskProve(ProveAsk::Compare(*then, id)));
            pen.actions.push(Action::ShowProvePage(ProvePage::Wear));
        }
        Deed::HandOver => {
            let run = BenchRun { is_hand_over: true, ..run.clone() };
            pen.edit(Edit::SetBenchRun(id, Box::new(run)));
        }
        Deed::WriteDown(_) => return Leave::ToDate,
        Deed::SignOff => pen.actions.push(Action::ShowSheet(SheetKind::SignOff)),
    }
    Leave::Stay
}

/// What is not good or not done; returns the step that is clicked.
fn rest_ui(ui: &mut Ui, view: View<'_>, (plan, run): (&Plan, &BenchRun)) -> Option<usize> {
    let palette = view.palette;
    let mut clicked = None;
    let mut is_first = true;
    for (n, step) in plan.steps.iter().enumerate() {
        let stands = standing(step, run.readings.get(&step.key));
        let is_open = match stands {
            Standing::Read(outcome) => !outcome.is_good(),
            Standing::Skipped | Standing::Blocked | Standing::Stale | Standing::Open => true,
        };
        if !is_open {
            continue;
        }
        if std::mem::take(&mut is_first) {
            heading(ui, "Not good, or not done");
        }
        let (sign, colour) = mark(stands, palette);
        let words = format!("{sign} {}: {}", step.title, stands.words());
        let text = RichText::new(words).color(colour);
        if ui.add(Button::selectable(false, text).wrap()).clicked() {
            clicked = Some(n);
        }
    }
    clicked
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::ThemeChoice;
    use crate::model::{BenchReading, Shown};
    use crate::proving::Quantity;
    use crate::proving::plan::Limits;

    #[test]
    fn what_was_left_out_is_not_told_as_done() {
        let palette = Palette::of(ThemeChoice::Paper);
        let told = |good, bad, skipped| {
            let tally = Tally { good, bad, skipped, ..Tally::default() };
            let (words, colour) = head(&tally, palette);
            (words.chars().next().unwrap(), colour)
        };
        assert_eq!(told(40, 0, 0), ('✔', palette.right));
        assert_eq!(told(1, 0, 39), ('▲', palette.warning));
        assert_eq!(told(0, 0, 40), ('▲', palette.warning));
        assert_eq!(told(38, 1, 1), ('✖', palette.wrong));
        assert_eq!(told(0, 0, 0), ('T', palette.quiet), "nothing that can be done");
    }

    /// What is offered depends on how the round went and on the rounds there are.
    #[test]
    fn the_next_deeds_follow_from_the_round() {
        let mut project = crate::samples::open("sprayer").unwrap();
        let plan = crate::proving::plan::plan(&project, &|| true).unwrap();
        let ohms = plan.steps.iter().position(|step| step.kind == StepKind::Ohms).unwrap();
        let step = &plan.steps[ohms];
        let mut run = BenchRun { date: "2027-03-14".into(), ..BenchRun::default() };
        let id = BenchRunId(9001);
        let told = |project: &Project, run: &BenchRun| deeds(project, &plan, (id, run));
        let missing = || Deed::WriteDown(vec!["initials", "meter"]);
        assert_eq!(told(&project, &run), [missing(), Deed::SignOff], "nothing was read yet");
        let usual = |step: &Step| {
            let shown = match (step.limits.as_ref()?, step.quantity) {
                (Limits::Open { .. }, _) => Shown::OverRange,
                (Limits::Figure { usual, .. }, Quantity::Ohm) => Shown::Ohm(*usual),
                (Limits::Figure { usual, .. }, Quantity::Volt) => Shown::Volt(*usual),
                (Limits::Figure { usual, .. }, Quantity::Length) => Shown::Millimetre(*usual),
                (Limits::Figure { .. }, Quantity::Sign) => Shown::Yes,
            };
            let (note, drawing) = (String::new(), step.drawing);
            Some((
                step.key.clone(),
                BenchReading { shown: Some(shown), last_digit: 0.0, note, drawing },
            ))
        };
        run.readings = plan.steps.iter().filter_map(usual).collect();
        assert!(is_whole(&Tally::of(&plan, &run)), "{:?}", Tally::of(&plan, &run));
        assert_eq!(told(&project, &run), [Deed::HandOver, missing(), Deed::SignOff]);
        let good = run.clone();
        let left_out = run.readings.get_mut(&step.key).unwrap();
        left_out.shown = None;
        assert_eq!(told(&project, &run), [missing(), Deed::SignOff], "not with a step left out");
        run = BenchRun { readings: Default::default(), ..good };
        (run.initials, run.meter) = ("KV".into(), "shop 2".into());
        run.is_hand_over = true;
        assert_eq!(told(&project, &run), [Deed::SignOff]);
        project.bench_runs.put(BenchRunId(9000), run.clone());
        run.is_hand_over = false;
        let shown = Some(Shown::Ohm(12.0));
        let (note, drawing) = (String::new(), step.drawing);
        let reading = BenchReading { shown, last_digit: 0.0, note, drawing };
        run.readings.insert(step.key.clone(), reading);
        let all = told(&project, &run);
        let compare = Deed::Compare(BenchRunId(9000));
        assert_eq!(all, [Deed::ReadAgain(ohms), Deed::Cause(ohms), compare, Deed::SignOff]);
        let keys: std::collections::BTreeSet<_> = all.iter().map(|deed| deed.key().1).collect();
        assert_eq!(keys.len(), all.len());
    }
}
