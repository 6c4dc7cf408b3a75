//! What may change, and from what values: the question for the best values.

use egui::{Id, RichText, TextEdit, Ui};

use crate::app::action::{Action, Actions};
use crate::app::stages::choose::ChooseState;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{choice_wide, quiet};
use crate::model::{PartId, Project, Resistor, SensePinId};
use crate::series::Series;
use crate::study::values::{Bands, MAX_PARTS, MarginUnit, Question, drawer, from_series, pairs};
use crate::units::{format_ohm, parse_ohm};

/// The question, and the button that asks it.
pub fn ask_ui(
    ui: &mut Ui,
    view: View<'_>,
    pin: SensePinId,
    own: &mut ChooseState,
    actions: &mut Actions,
) {
    let resistors = resistors(view.project);
    ui.label(RichText::new("Best values").font(theme::bold(theme::TEXT_BODY)));
    if resistors.is_empty() {
        quiet(
            ui,
            "There is no resistor on the sheet yet: place one by typing its value.",
            view.palette,
        );
        return;
    }
    // A first question that can be asked: not more resistors than a search takes.
    if !std::mem::replace(&mut own.is_ticked, true) {
        own.kept.extend(resistors.iter().skip(MAX_PARTS).map(|(id, ..)| *id));
    }
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("May change").color(view.palette.quiet));
        for (id, name, resistor) in &resistors {
            let mut may_change = !own.kept.contains(id);
            let words = format!("{name} {}", format_ohm(resistor.ohm));
            if ui.checkbox(&mut may_change, words).changed() {
                if may_change {
                    own.kept.remove(id)
                } else {
                    own.kept.insert(*id)
                };
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("From").color(view.palette.quiet));
        let id = Id::unique("series to choose from");
        let options = Series::ALL.map(|series| (series.to_string(), Some(series)));
        let now = if own.is_drawer { "my drawer".into() } else { own.series.to_string() };
        let options = options.into_iter().chain([("my drawer".to_owned(), None)]);
        if let Some(picked) = choice_wide(ui, id, ("Values from", 110.0), &now, options) {
            own.is_drawer = picked.is_none();
            own.series = picked.unwrap_or(own.series);
        }
        if !own.is_drawer {
            ui.add(TextEdit::singleline(&mut own.low).desired_width(56.0))
                .accessible_name("Least value");
            ui.label("to");
            ui.add(TextEdit::singleline(&mut own.high).desired_width(56.0))
                .accessible_name("Greatest value");
        }
        ui.checkbox(&mut own.with_pairs, "also two together");
    });
    if own.is_drawer {
        ui.add(
            TextEdit::multiline(&mut own.drawer)
                .hint_text("4k7 x10, 1k5 5% x3 …")
                .desired_rows(2)
                .desired_width(f32::INFINITY),
        )
        .accessible_name("What is in the drawer");
    }
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("The controller's bands").color(view.palette.quiet));
        ui.selectable_value(&mut own.bands, Bands::Fixed, "stand");
        ui.selectable_value(&mut own.bands, Bands::Free, "can be taught");
        ui.label(RichText::new("Compare in").color(view.palette.quiet));
        let now = unit_words(own.unit);
        let options = UNITS.map(|unit| (unit_words(unit).to_owned(), unit));
        let id = Id::unique("unit of margins");
        if let Some(unit) = choice_wide(ui, id, ("Compare in", 120.0), now, options) {
            own.unit = unit;
        }
    });
    room_ui(ui, view, pin);
    button_ui(ui, view, (pin, &resistors), own, actions);
    if let Some(sentence) = &own.refused {
        ui.label(RichText::new(format!("⚠ {sentence}.")).small().color(view.palette.wrong));
    }
}

/// Units margins can be compared in; the first is what fits the bands by itself.
const UNITS: [Option<MarginUnit>; 4] =
    [None, Some(MarginUnit::Volt), Some(MarginUnit::Count), Some(MarginUnit::Ratio)];

fn unit_words(unit: Option<MarginUnit>) -> &'static str {
    match unit {
        None | Some(MarginUnit::Scale) => "what fits the bands",
        Some(MarginUnit::Volt) => "volts",
        Some(MarginUnit::Count) => "counts",
        Some(MarginUnit::Ratio) => "percent of the ohms",
    }
}

/// How many readings the pin can tell apart at all, and what a second pin would give.
fn room_ui(ui: &mut Ui, view: View<'_>, pin: SensePinId) {
    let room = view.studies.room(view.history.revision(), pin);
    if let Some(room) = room.flatten() {
        quiet(ui, room.words(view.project), view.palette);
    }
}

type Known<'a> = (PartId, &'a str, &'a Resistor);

fn button_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, resistors): (SensePinId, &[Known<'_>]),
    own: &mut ChooseState,
    actions: &mut Actions,
) {
    ui.horizontal(|ui| match view.studies.progress() {
        Some(progress) => {
            ui.spinner();
            let words = match progress.filter(|progress| progress.best.is_finite()) {
                Some(progress) if progress.bound.is_finite() => format!(
                    "{:.0} % looked through; best {:.4}, none can beat {:.4}",
                    progress.share * 100.0,
                    progress.best,
                    progress.bound
                ),
                Some(_) | None => "Trying values …".into(),
            };
            ui.label(words);
            if ui.button("Stop").clicked() {
                actions.push(Action::StopSeeking);
            }
        }
        None => {
            if ui.button(RichText::new("Find the best values").strong()).clicked() {
                match question(view.project, (pin, resistors), own) {
                    Ok(question) => {
                        own.refused = None;
                        actions.push(Action::SeekValues(Box::new(question)));
                    }
                    Err(sentence) => own.refused = Some(sentence),
                }
            }
        }
    });
}

/// The question as it stands in the fields.
fn question(
    project: &Project,
    (pin, resistors): (SensePinId, &[Known<'_>]),
    own: &ChooseState,
) -> Result<Question, String> {
    let chosen: Vec<&Known<'_>> =
        resistors.iter().filter(|(id, ..)| !own.kept.contains(id)).collect();
    let Some((_, _, first)) = chosen.first() else {
        return Err("tick at least one resistor that may change".into());
    };
    if chosen.len() > MAX_PARTS {
        return Err(format!("at most {MAX_PARTS} resistors can change at once: untick some"));
    }
    let tolerance = first.tolerance;
    let mut candidates = if own.is_drawer {
        drawer(&own.drawer, tolerance)?
    } else {
        let value = |text: &str| {
            parse_ohm(text)
                .ok()
                .filter(|ohm| *ohm > 0.0)
                .ok_or_else(|| format!("expected a value such as 4k7, found \"{text}\""))
        };
        let (low, high) = (value(&own.low)?, value(&own.high)?);
        if low >= high {
            return Err(format!(
                "the least value {} is not below the greatest {}",
                own.low, own.high
            ));
        }
        from_series(own.series, low, high, tolerance)
    };
    if candidates.is_empty() {
        return Err("there is no value to choose from".into());
    }
    if own.with_pairs {
        candidates = pairs(&candidates);
    }
    let drift = first.tempco_ppm_per_k * 1e-6 * project.settings.temperature_span_k;
    let parts = chosen.iter().map(|(id, ..)| *id).collect();
    Ok(Question { pin, parts, candidates, drift, bands: own.bands, unit: own.unit })
}

fn resistors(project: &Project) -> Vec<Known<'_>> {
    project
        .parts
        .iter()
        .filter_map(|(id, part)| Some((id, part.name.as_str(), part.kind.resistor()?)))
        .collect()
}
