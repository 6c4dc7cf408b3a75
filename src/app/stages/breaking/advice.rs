//! Page Advice: what the numbers suggest, and what stuck contacts and two hands mean for each action.

use egui::{Label, RichText, Sense, Ui};

use crate::app::action::{Action, Actions};
use crate::app::break_studies::Counsel;
use crate::app::reading::{capital, pin_title};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Half, halves_ui, heading, quiet, word_button};
use crate::check::state_words;
use crate::model::{Harm, SensePin, SensePinId, State, Subject};
use crate::study::advice::{Advice, Topic};
use crate::study::consequence::{ActionFate, Fate};
use crate::study::faults::{MAX_STATES, Survey};

/// Consequences of one action that are listed; the rest is counted.
const MAX_LISTED: usize = 8;

/// Advice beside consequences.
pub fn advice_ui(
    ui: &mut Ui,
    view: View<'_>,
    (id, pin): (SensePinId, &SensePin),
    actions: &mut Actions,
) {
    let revision = view.history.revision();
    let survey = view.studies.faults(revision, id);
    let counsel = view.studies.breaking.counsel((revision, id));
    match (survey, counsel) {
        (Some(Some(survey)), Some(Some(counsel))) => {
            counsel_ui(ui, view, (pin, survey, counsel), actions);
        }
        (Some(None), _) | (_, Some(None)) => {
            let title = pin_title(view.project, pin);
            let words = format!(
                "There is nothing to advise on: {title} has no network, or more than {MAX_STATES} states."
            );
            quiet(ui, words, view.palette);
        }
        (None | Some(Some(_)), None) | (None, Some(Some(_))) => {
            ui.horizontal(|ui| {
                ui.spinner();
                ui.label("Weighing every fault and every move …");
            });
        }
    }
}

fn counsel_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, survey, counsel): (&SensePin, &Survey, &Counsel),
    actions: &mut Actions,
) {
    halves_ui(ui, 0.5, &mut |ui, half| match half {
        Half::First => {
            let title = format!("Advice on {}", pin_title(view.project, pin));
            ui.add(Label::new(RichText::new(title).font(theme::bold(theme::TEXT_HEADING))).wrap());
            if counsel.advice.is_empty() {
                let words = "✔ No number of this pin asks for anything.";
                ui.label(RichText::new(words).color(view.palette.right));
            }
            for advice in &counsel.advice {
                one_ui(ui, view, advice, actions);
            }
            ui.add_space(8.0);
            quiet(
                ui,
                "• Advice follows from the numbers of this drawing and can be wrong for the machine. Local rules, the machine's own documents and licensed practice go first.",
                view.palette,
            );
        }
        Half::Second => {
            let title = "Stuck contacts and two hands at once";
            ui.add(Label::new(RichText::new(title).font(theme::bold(theme::TEXT_HEADING))).wrap());
            for fate in &counsel.fates {
                fate_ui(ui, view, (survey, fate), actions);
            }
            if counsel.fates.is_empty() {
                quiet(ui, "No band of this pin is an action.", view.palette);
            }
        }
    });
}

/// What to do, the number that led to it, and where.
fn one_ui(ui: &mut Ui, view: View<'_>, advice: &Advice, actions: &mut Actions) {
    ui.add_space(6.0);
    ui.horizontal(|ui| {
        let colour = match advice.topic {
            Topic::IndependentStop | Topic::ProtectPin => view.palette.wrong,
            Topic::Diode | Topic::EndResistor | Topic::OpenBand | Topic::MoreGuard => {
                view.palette.warning
            }
            Topic::Debounce | Topic::Gold => view.palette.chosen,
        };
        let title = RichText::new(capital(advice.topic.word()));
        ui.label(title.font(theme::bold(theme::TEXT_BODY)).color(colour));
        if let Some(subject) = advice.subjects.first()
            && word_button(ui, "show", view.palette.chosen).clicked()
        {
            actions.push(Action::ShowSubject(*subject));
        }
    });
    ui.add(Label::new(format!("{}.", capital(&advice.figure))).wrap());
    quiet(ui, advice.words.as_str(), view.palette);
}

/// What becomes of one action.
fn fate_ui(
    ui: &mut Ui,
    view: View<'_>,
    (survey, fate): (&Survey, &ActionFate),
    actions: &mut Actions,
) {
    let mark = if fate.harm == Harm::Dangerous { "⚠ " } else { "" };
    heading(ui, &format!("{mark}{} · {}", fate.action, fate.harm.word()));
    if fate.list.is_empty() {
        quiet(ui, "Neither a stuck contact nor a second hand changes it.", view.palette);
    }
    let names = |state: &State| state_words(view.project, state);
    for one in fate.list.iter().take(MAX_LISTED) {
        let (sign, colour) = match (&one.fate, fate.harm) {
            (Fate::Comes, Harm::Dangerous) => ("✖", view.palette.wrong),
            (Fate::Comes, Harm::Harmless | Harm::Nuisance) => ("✖", view.palette.warning),
            (Fate::StaysAway(_), _) => ("○", view.palette.ink),
            (Fate::Wins(_), _) => ("·", view.palette.quiet),
        };
        let words = format!("{sign} {}", one.words(&fate.action, survey, &names));
        let label = Label::new(RichText::new(words).small().color(colour)).wrap();
        let response = ui.add(label.sense(Sense::click()));
        let response = response.on_hover_text("click to move the controls there");
        if response.clicked() {
            actions.push(Action::GoToState(survey.states[one.state].clone()));
            if let Some(Subject::Part(part)) = one.subject(survey) {
                let items = [crate::edit::Item::Part(part)].into_iter().collect();
                actions.push(Action::Select(items));
            }
        }
    }
    let n_more = fate.list.len().saturating_sub(MAX_LISTED);
    if n_more > 0 {
        quiet(ui, format!("… and {n_more} more"), view.palette);
    }
}
