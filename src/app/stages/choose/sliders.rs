//! Sliders for cold, wet and worn: what every state would read, live.

use std::ops::RangeInclusive;

use egui::{Grid, RichText, Slider, Ui};

use crate::app::action::{Action, Actions};
use crate::app::reading::symptom_text;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{quiet, word_button};
use crate::check::state_words;
use crate::edit::Revision;
use crate::model::{SensePin, SensePinId, State};
use crate::study::faults::Effect;
use crate::study::whatif::{Outcome, WhatIf, read};
use crate::units::format_ohm;

/// More states than this that read otherwise are counted, not listed.
const MAX_LISTED: usize = 6;

/// Above this many states the sliders would make frames slow.
const MAX_STATES: usize = 512;

/// The sliders, and the outcome of where they stand.
#[derive(Default)]
pub struct SliderState {
    what: WhatIf,
    known: Option<(Revision, SensePinId, WhatIf, Option<Outcome>)>,
}

/// Sliders, the reading as the controls stand, and the states that would read otherwise.
pub fn sliders_ui(
    ui: &mut Ui,
    view: View<'_>,
    (id, pin): (SensePinId, &SensePin),
    own: &mut SliderState,
    actions: &mut Actions,
) {
    ui.add_space(8.0);
    ui.horizontal(|ui| {
        ui.label(RichText::new("Cold, wet and worn").font(theme::bold(theme::TEXT_BODY)));
        if own.what != WhatIf::default()
            && word_button(ui, "all to usual", view.palette.chosen).clicked()
        {
            own.what = WhatIf::default();
        }
    });
    bars_ui(ui, view, &mut own.what);
    let states: usize = view.derived.table(id).map_or(usize::MAX, |table| table.rows.len());
    if states > MAX_STATES {
        quiet(
            ui,
            format!("The sliders work on pins with at most {MAX_STATES} states."),
            view.palette,
        );
        return;
    }
    let revision = view.history.revision();
    let is_known = own
        .known
        .as_ref()
        .is_some_and(|(of, pin, what, _)| (*of, *pin, *what) == (revision, id, own.what));
    if !is_known {
        own.known = Some((revision, id, own.what, read(view.project, id, &own.what)));
    }
    if let Some((_, _, _, Some(outcome))) = &own.known {
        outcome_ui(ui, view, (pin, outcome), actions);
    }
}

fn bars_ui(ui: &mut Ui, view: View<'_>, what: &mut WhatIf) {
    let mut leak_micro = what.leak_siemens * 1e6;
    let mut supply_percent = what.supply_share * 100.0;
    Grid::new("sliders").num_columns(2).spacing([10.0, 3.0]).show(ui, |ui| {
        let bar = |ui: &mut Ui, word: &str, slider: Slider<'_>| {
            ui.label(RichText::new(word).small().color(view.palette.quiet));
            ui.spacing_mut().slider_width = (ui.available_width() - 92.0).clamp(80.0, 240.0);
            ui.add(slider).accessible_name(word);
            ui.end_row();
        };
        let slider =
            |value, range: RangeInclusive<f64>, unit| Slider::new(value, range).suffix(unit);
        bar(
            ui,
            "Temperature above the room",
            slider(&mut what.warmer_k, -60.0..=100.0, " K").step_by(1.0),
        );
        bar(ui, "Supply", slider(&mut supply_percent, 50.0..=150.0, " %").step_by(1.0));
        bar(ui, "Contact wear", slider(&mut what.wear_ohm, 0.0..=1000.0, " Ω").step_by(1.0));
        bar(
            ui,
            "Rotating contact",
            slider(&mut what.rotating_ohm, 0.0..=1000.0, " Ω").step_by(1.0),
        );
        bar(ui, "Leak at the pin", slider(&mut leak_micro, 0.0..=500.0, " µS").step_by(1.0));
        bar(ui, "Ground lifted", slider(&mut what.offset_volt, -1.0..=1.0, " V").step_by(0.01));
    });
    what.leak_siemens = leak_micro * 1e-6;
    what.supply_share = supply_percent / 100.0;
    if leak_micro > 0.0 {
        quiet(
            ui,
            format!("{leak_micro:.0} µS is a leak of {}.", format_ohm(1e6 / leak_micro)),
            view.palette,
        );
    }
}

fn outcome_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, outcome): (&SensePin, &Outcome),
    actions: &mut Actions,
) {
    let stands = |state: &State| view.project.stands(state, view.bench);
    if let Some(now) = outcome.states.iter().position(stands) {
        let words = format!("Now: {}", symptom_text(pin, &outcome.readings[now]));
        ui.label(RichText::new(words).font(theme::bold(theme::TEXT_HEADING)));
    }
    let otherwise: Vec<usize> = (0..outcome.states.len())
        .filter(|idx| outcome.readings[*idx].band != outcome.sound[*idx].band)
        .collect();
    if otherwise.is_empty() {
        let words = "✔ every state decodes as it does at usual values";
        ui.label(RichText::new(words).small().color(view.palette.right));
        return;
    }
    let words =
        format!("✖ {} of {} states decode otherwise", otherwise.len(), outcome.states.len());
    ui.label(RichText::new(words).small().color(view.palette.wrong));
    for idx in otherwise.iter().take(MAX_LISTED) {
        let reading = &outcome.readings[*idx];
        let colour = match reading.effect {
            Some(Effect::WrongAction) => view.palette.wrong,
            Some(Effect::Dead | Effect::Detected) => view.palette.warning,
            Some(Effect::Silent) | None => view.palette.quiet,
        };
        let words = format!(
            "{}: {}, usually {}",
            state_words(view.project, &outcome.states[*idx]),
            symptom_text(pin, reading),
            symptom_text(pin, &outcome.sound[*idx])
        );
        let text = RichText::new(words).small().color(colour);
        let label = egui::Label::new(text).wrap().sense(egui::Sense::click());
        if ui.add(label).on_hover_text("click to move the controls there").clicked() {
            actions.push(Action::GoToState(outcome.states[*idx].clone()));
        }
    }
}
