//! Stage Choose: which resistors, and how much dirt they stand.

mod answers;
mod ask;
mod dirt;
mod eats;
mod sliders;

use std::collections::BTreeSet;

use egui::{Align, Layout, RichText, Ui};

use crate::app::action::Actions;
use crate::app::reading::pin_title;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::model::PartId;
use crate::series::Series;
use crate::study::values::Bands;

/// What the stage remembers between frames.
pub struct ChooseState {
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
    /// Why the last question could not be asked.
    refused: Option<String>,
    sliders: sliders::SliderState,
    limit: ask::Limit,
}

impl Default for ChooseState {
    fn default() -> Self {
        Self {
            kept: BTreeSet::new(),
            is_ticked: false,
            series: Series::E24,
            low: "100".into(),
            high: "100k".into(),
            drawer: String::new(),
            is_drawer: false,
            with_pairs: false,
            bands: Bands::Fixed,
            refused: None,
            sliders: sliders::SliderState::default(),
            limit: None,
        }
    }
}

/// Below this width one half stands under the other.
const WIDE: f32 = 860.0;

/// The best values beside the dirt budget.
pub fn choose_ui(ui: &mut Ui, view: View<'_>, own: &mut ChooseState, actions: &mut Actions) {
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
    let full = ui.available_size();
    let is_wide = full.x >= WIDE;
    let half = if is_wide {
        egui::vec2(((full.x - 14.0) * 0.52).floor(), full.y)
    } else {
        egui::vec2(full.x, (full.y * 0.55).max(180.0))
    };
    let layout =
        if is_wide { Layout::left_to_right(Align::Min) } else { Layout::top_down(Align::Min) };
    ui.with_layout(layout, |ui| {
        ui.allocate_ui_with_layout(half, Layout::top_down(Align::Min), |ui| {
            ui.set_min_size(half);
            egui::ScrollArea::vertical().id_salt("values").auto_shrink(false).show(ui, |ui| {
                ask::ask_ui(ui, view, id, own, actions);
                answers::answers_ui(ui, view, actions);
                sliders::sliders_ui(ui, view, (id, pin), &mut own.sliders, actions);
            });
        });
        ui.add_space(14.0);
        let size = ui.available_size();
        ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
            egui::ScrollArea::vertical().id_salt("dirt").auto_shrink(false).show(ui, |ui| {
                eats::eats_ui(ui, view, id, actions);
                dirt::dirt_ui(ui, view, id, actions);
            });
        });
    });
}
