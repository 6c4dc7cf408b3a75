//! The best values that were found, and the word that tries them on the sheet.

use std::collections::BTreeMap;

use egui::{Grid, RichText, Ui};

use crate::app::action::{Action, Actions};
use crate::app::reading::number_text;
use crate::app::studies::Choices;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{quiet, word_button};
use crate::edit::Edit;
use crate::model::{PartId, Scale};
use crate::study::values::{Answer, Bands, Choice, MarginUnit};
use crate::units::{format_ohm, format_volt, trim_zeros};

/// The last answer, if there is one.
pub fn answers_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    ui.add_space(6.0);
    let Some((revision, choices)) = view.studies.choices() else {
        quiet(
            ui,
            "Every cause the state table counts is weighed: tolerance, temperature, contacts, wire, leak, pull, reference and converter. The ten best come with their margin, proven.",
            view.palette,
        );
        return;
    };
    match &choices.answer {
        Err(sentence) => {
            ui.label(RichText::new(format!("⚠ {sentence}.")).color(view.palette.wrong));
        }
        Ok(answer) if answer.best.is_empty() => limit_ui(ui, view, choices),
        Ok(answer) => {
            if revision != view.history.revision() {
                quiet(ui, "Reckoned before the last change of the drawing.", view.palette);
            }
            list_ui(ui, view, (choices, answer), actions);
        }
    }
}

/// What to do where nothing fits.
fn limit_ui(ui: &mut Ui, view: View<'_>, choices: &Choices) {
    ui.label(RichText::new("No choice keeps every state right").color(view.palette.wrong).strong());
    let words = match choices.question.bands {
        Bands::Fixed => {
            "Let the bands be taught, allow more or finer values, or tick more resistors. If that does not help the pin carries too many states: move one control to a second pin."
        }
        Bands::Free => {
            "Some states read the same whatever the values are: the pin carries too many states. Move one control to a second pin."
        }
    };
    quiet(ui, words, view.palette);
}

fn list_ui(
    ui: &mut Ui,
    view: View<'_>,
    (choices, answer): (&Choices, &Answer),
    actions: &mut Actions,
) {
    let head = match (answer.is_proven, choices.question.bands) {
        (true, Bands::Fixed) => "Best first, proven: margin of the weakest state in its band",
        (true, Bands::Free) => "Best first, proven: least gap between neighbouring states",
        (false, _) => "Stopped early: the best found so far",
    };
    quiet(ui, head, view.palette);
    if !answer.is_proven {
        quiet(
            ui,
            format!("None can have more than {}.", margin(view, answer, answer.bound)),
            view.palette,
        );
    }
    Grid::new("best values").spacing([14.0, 4.0]).striped(false).show(ui, |ui| {
        let title = |text: &str| {
            RichText::new(text.to_owned())
                .font(theme::bold(theme::TEXT_SMALL))
                .color(view.palette.quiet)
        };
        ui.label(title("Margin"));
        for part in &choices.question.parts {
            ui.label(title(name(view, *part)));
        }
        ui.label("");
        ui.end_row();
        for (rank, choice) in answer.best.iter().enumerate() {
            let is_good = choice.margin > 0.0;
            let colour = if is_good { view.palette.right } else { view.palette.wrong };
            let sign = if is_good { "✔" } else { "✖" };
            let words = format!("{sign} {}", margin(view, answer, choice.margin));
            ui.label(RichText::new(words).color(colour));
            for pick in &choice.picks {
                let candidate = &choices.question.candidates[*pick];
                ui.label(format_ohm(candidate.ohm)).on_hover_text(recipe(view, choices, *pick));
            }
            let tip = "Fills the values in on the sheet, as one step that can be undone";
            let response =
                word_button(ui, "try on the sheet", view.palette.chosen).on_hover_text(tip);
            if response.accessible_name(format!("Try choice {}", rank + 1)).clicked() {
                actions.push(Action::Edit(Edit::SetOhms(ohms(choices, choice)), None));
            }
            ui.end_row();
        }
    });
    let best = &answer.best[0];
    let buy: Vec<String> = best.picks.iter().map(|pick| recipe(view, choices, *pick)).collect();
    quiet(ui, format!("To buy for the best: {}.", buy.join(", ")), view.palette);
}

fn ohms(choices: &Choices, choice: &Choice) -> BTreeMap<PartId, f64> {
    let values = choice.picks.iter().map(|pick| choices.question.candidates[*pick].ohm);
    choices.question.parts.iter().copied().zip(values).collect()
}

/// What a value is made of; tolerances are named where they are not those of the drawing.
fn recipe(view: View<'_>, choices: &Choices, pick: usize) -> String {
    let first = choices.question.parts.first().and_then(|part| view.project.parts.get(*part));
    let usual = first.and_then(|part| part.kind.resistor());
    let usual = usual.map_or(0.0, |resistor| resistor.tolerance);
    choices.question.candidates[pick].recipe.words(usual)
}

fn name<'a>(view: View<'a>, part: PartId) -> &'a str {
    view.project.parts.get(part).map_or("?", |part| part.name.as_str())
}

fn margin(view: View<'_>, answer: &Answer, margin: f64) -> String {
    let scale = view
        .pin
        .and_then(|pin| view.project.sense_pins.get(pin))
        .map_or(Scale::Ohm, |pin| pin.scale);
    match answer.unit {
        MarginUnit::Scale if margin < 0.0 => format!("−{}", number_text(-margin, scale)),
        MarginUnit::Scale => number_text(margin, scale),
        MarginUnit::Volt => format_volt(margin),
        MarginUnit::Count => format!("{} counts", trim_zeros(&format!("{margin:.1}"))),
        MarginUnit::Ratio => {
            format!("{} %", trim_zeros(&format!("{:.2}", margin.exp_m1() * 100.0)))
        }
    }
}
