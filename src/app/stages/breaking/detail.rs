//! One fault: what it does in every state, which others look the same, and what parts them.

use egui::{Label, RichText, Ui};

use crate::app::action::{Action, Actions};
use crate::app::as_if::item_of;
use crate::app::reading::{capital, symptom_text};
use crate::app::stages::breaking::table::{effect_colour, effect_sign};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{heading, quiet};
use crate::check::state_words;
use crate::edit::Selection;
use crate::model::{Harm, SensePin, State};
use crate::study::faults::{Effect, Parting, Survey};
use crate::units::format_ohm;

/// Moves the controls to where a fault is worst and selects its place.
pub fn go_there(view: View<'_>, survey: &Survey, row: usize, actions: &mut Actions) {
    actions.push(Action::PartTwins(row));
    let row = &survey.rows[row];
    actions.push(Action::GoToState(survey.states[row.worst_state].clone()));
    let subjects = row.fault.subjects.iter();
    let items: Selection = subjects.filter_map(|subject| item_of(view.project, *subject)).collect();
    actions.push(Action::Select(items));
    actions.push(Action::ShowAsIf(Some(row.fault.title.clone())));
}

/// The fault in full.
pub fn detail_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, survey, idx): (&SensePin, &Survey, usize),
    actions: &mut Actions,
) {
    let row = &survey.rows[idx];
    let palette = view.palette;
    let title = RichText::new(capital(&row.fault.title)).font(theme::bold(theme::TEXT_HEADING));
    ui.add(Label::new(title).wrap());
    ui.horizontal_wrapped(|ui| {
        let colour = effect_colour(palette, row.worst, row.harm);
        let words = format!("{} {}", effect_sign(row.worst), row.worst.word());
        ui.label(RichText::new(words).color(colour).strong());
        ui.label(
            RichText::new(format!("{} · {}", row.fault.kind.word(), row.harm.word()))
                .color(palette.quiet),
        );
    });
    if row.is_over_limit {
        let words = "⚠ The pin gets more volts than it stands.";
        ui.label(RichText::new(words).color(palette.wrong));
    }
    if row.harm == Harm::Dangerous {
        let words = "An action that is marked dangerous comes unasked. Think of an independent stop before you rely on this line.";
        ui.add(Label::new(RichText::new(words).color(palette.wrong)).wrap());
    }
    if let Some(subject) = row.fault.subjects.first()
        && ui.button("Show it on the sheet").clicked()
    {
        go_there(view, survey, idx, actions);
        actions.push(Action::ShowSubject(*subject));
    }
    now_ui(ui, view, (pin, survey, idx));
    states_ui(ui, view, (pin, survey, idx), actions);
    twins_ui(ui, view, survey, idx);
}

/// What the pin would show with this fault while the controls stand as they do now.
fn now_ui(ui: &mut Ui, view: View<'_>, (pin, survey, idx): (&SensePin, &Survey, usize)) {
    let stands = |state: &State| view.project.stands(state, view.bench);
    let Some(now) = survey.states.iter().position(stands) else { return };
    let (faulty, sound) = (&survey.rows[idx].symptoms[now], &survey.sound[now]);
    heading(ui, "As the controls stand now");
    let words = format!("{} with this fault", symptom_text(pin, faulty));
    ui.label(RichText::new(words).font(theme::bold(theme::TEXT_HEADING)));
    quiet(ui, format!("{} when sound", symptom_text(pin, sound)), view.palette);
}

/// States in which something changes, the worst first.
fn states_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, survey, idx): (&SensePin, &Survey, usize),
    actions: &mut Actions,
) {
    let row = &survey.rows[idx];
    heading(ui, "What it does");
    let mut states: Vec<usize> = (0..survey.states.len())
        .filter(|state| row.symptoms[*state].effect != Some(Effect::Silent))
        .collect();
    states.sort_by_key(|state| std::cmp::Reverse(row.symptoms[*state].effect));
    if states.is_empty() {
        quiet(
            ui,
            "In no state does the controller make anything else of it: only a measurement finds this fault.",
            view.palette,
        );
        return;
    }
    let n = states.len();
    for state in states.into_iter().take(12) {
        let symptom = &row.symptoms[state];
        let effect = symptom.effect.unwrap_or(Effect::Silent);
        let words = format!(
            "{} {}: {}, sound {}",
            effect_sign(effect),
            state_words(view.project, &survey.states[state]),
            symptom_text(pin, symptom),
            symptom_text(pin, &survey.sound[state]),
        );
        let text =
            RichText::new(words).small().color(effect_colour(view.palette, effect, row.harm));
        let response = ui.add(Label::new(text).wrap().sense(egui::Sense::click()));
        if response.on_hover_text("click to move the controls there").clicked() {
            actions.push(Action::GoToState(survey.states[state].clone()));
        }
    }
    if n > 12 {
        quiet(ui, format!("… and {} states more", n - 12), view.palette);
    }
}

/// Faults that look the same at the pin, and the measurement that parts them.
fn twins_ui(ui: &mut Ui, view: View<'_>, survey: &Survey, idx: usize) {
    let twins = survey.twins_of(idx);
    heading(ui, "Looks the same at the pin");
    if twins.is_empty() {
        quiet(ui, "No other single fault reads like this in every state.", view.palette);
        return;
    }
    let key = (view.history.revision(), survey.pin);
    let known = view.studies.partings(key, idx);
    for other in twins {
        let title = &survey.rows[other].fault.title;
        let parting = known.and_then(|all| all.iter().find(|(row, _)| *row == other));
        let words = match parting {
            Some((_, Some(parting))) => format!("• {title}: {}", parting_words(view, parting)),
            Some((_, None)) => format!("• {title}: no measurement in ohms tells them apart"),
            None => format!("• {title}"),
        };
        quiet(ui, words, view.palette);
    }
}

/// How to measure, and what shows with the one fault and with the other.
fn parting_words(view: View<'_>, parting: &Parting) -> String {
    format!(
        "unplug the controller and measure {} to {} with {}: {} with this one, {} with that one",
        view.project.terminal_name(parting.red),
        view.project.terminal_name(parting.black),
        state_words(view.project, &parting.state),
        format_ohm(parting.ohm.0),
        format_ohm(parting.ohm.1)
    )
}
