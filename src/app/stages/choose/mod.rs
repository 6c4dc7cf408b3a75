//! Stage Choose: which resistors, and how much dirt they stand.

mod answers;
mod ask;
mod dirt;
mod eats;
mod infer;
mod marking;
mod sliders;
mod starter;

use std::collections::BTreeSet;

use egui::{RichText, Ui};

use crate::app::action::Actions;
use crate::app::reading::pin_title;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Half, halves_ui, quiet};
use crate::model::PartId;
use crate::series::Series;
use crate::study::values::{Bands, MarginUnit};

/// One page of the stage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Page {
    /// Best values, sliders, what eats the margin, dirt.
    Values,
    /// A ladder from what is known before there is a drawing.
    Starter,
    /// Pull, reference and how switches join, from readings.
    Infer,
    /// What is printed on a resistor.
    Marking,
}

impl Page {
    const ALL: [Self; 4] = [Self::Values, Self::Starter, Self::Infer, Self::Marking];

    fn words(self) -> &'static str {
        match self {
            Self::Values => "Values and dirt",
            Self::Starter => "Start a ladder",
            Self::Infer => "From readings",
            Self::Marking => "Resistor marking",
        }
    }
}

/// What the stage remembers between frames.
pub struct ChooseState {
    /// The page a hand has chosen; `None` shows what fits the project.
    page: Option<Page>,
    starter: starter::StarterState,
    infer: infer::InferState,
    marking: marking::MarkingState,
    /// Resistors that shall stay as they are.
    kept: BTreeSet<PartId>,
    /// Whether the first ticks have been set.
    is_ticked: bool,
    series: Series,
    low: String,
    high: String,
    drawer: String,
    is_drawer: bool,
    with_pairs: bool,
    bands: Bands,
    /// What margins are compared in; `None` for what fits the bands.
    unit: Option<MarginUnit>,
    /// Why the last question could not be asked.
    refused: Option<String>,
    sliders: sliders::SliderState,
}

impl Default for ChooseState {
    fn default() -> Self {
        Self {
            page: None,
            starter: starter::StarterState::default(),
            infer: infer::InferState::default(),
            marking: marking::MarkingState::default(),
            kept: BTreeSet::new(),
            is_ticked: false,
            series: Series::E24,
            low: "100".into(),
            high: "100k".into(),
            drawer: String::new(),
            is_drawer: false,
            with_pairs: false,
            bands: Bands::Fixed,
            unit: None,
            refused: None,
            sliders: sliders::SliderState::default(),
        }
    }
}

/// The page chosen, under a row with all of them.
pub fn choose_ui(ui: &mut Ui, view: View<'_>, own: &mut ChooseState, actions: &mut Actions) {
    let fitting = if view.project.sense_pins.is_empty() { Page::Starter } else { Page::Values };
    let mut page = own.page.unwrap_or(fitting);
    ui.horizontal_wrapped(|ui| {
        for one in Page::ALL {
            if ui.selectable_value(&mut page, one, one.words()).clicked() {
                own.page = Some(one);
            }
        }
    });
    ui.add_space(2.0);
    match page {
        Page::Values => values_ui(ui, view, own, actions),
        Page::Starter => starter::starter_ui(ui, view, &mut own.starter, actions),
        Page::Infer => infer::infer_ui(ui, view, &mut own.infer, actions),
        Page::Marking => marking::marking_ui(ui, view, &mut own.marking),
    }
}

/// The best values beside the dirt budget.
fn values_ui(ui: &mut Ui, view: View<'_>, own: &mut ChooseState, actions: &mut Actions) {
    let pin = view.pin.and_then(|id| Some((id, view.project.sense_pins.get(id)?)));
    let Some((id, pin)) = pin else {
        ui.label(RichText::new("No sense pin yet").font(theme::bold(theme::TEXT_HEADING)));
        let words = "Make a cavity of a controller a sense pin; then values can be weighed for it.";
        quiet(ui, words, view.palette);
        return;
    };
    let title = format!("Values and dirt of {}", pin_title(view.project, pin));
    ui.label(RichText::new(title).font(theme::bold(theme::TEXT_HEADING)));
    ui.add_space(4.0);
    halves_ui(ui, 0.52, &mut |ui, half| match half {
        Half::First => {
            ask::ask_ui(ui, view, id, own, actions);
            answers::answers_ui(ui, view, actions);
            sliders::sliders_ui(ui, view, (id, pin), &mut own.sliders, actions);
        }
        Half::Second => {
            eats::eats_ui(ui, view, id, actions);
            dirt::dirt_ui(ui, view, id, actions);
        }
    });
}
