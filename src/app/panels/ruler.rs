//! The band ruler in the strip: bands, all states and a needle for now.

use egui::{RichText, Ui};

use crate::app::action::Actions;
use crate::app::reading::capital;
use crate::app::ruler::{RulerMemo, RulerSize, ruler_plot_ui};
use crate::app::theme;
use crate::app::view::View;

/// The band ruler of the pin in the readout.
pub fn ruler_ui(ui: &mut Ui, view: View<'_>, own: &mut RulerMemo, actions: &mut Actions) {
    let pin = view.pin.and_then(|id| Some((id, view.project.sense_pins.get(id)?)));
    let table = pin.and_then(|(id, _)| view.derived.table(id));
    ui.horizontal(|ui| {
        ui.label(RichText::new("Band ruler").font(theme::bold(theme::TEXT_HEADING)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.add_space(4.0);
            let text = match table.map(|table| table.rows.len()) {
                Some(1) => "the only state".to_owned(),
                Some(n) => format!("all {n} states"),
                None => String::new(),
            };
            ui.label(RichText::new(text).small().color(view.palette.quiet));
        });
    });
    let (Some((id, pin)), Some(table)) = (pin, table) else {
        let text = if view.pin.is_none() {
            "Bands and states show here once a cavity of a controller is a sense pin.".to_owned()
        } else {
            view.derived.waiting_words()
        };
        ui.label(RichText::new(text).color(view.palette.quiet));
        return;
    };
    match own.facts(view, id, pin, table) {
        Ok(facts) => ruler_plot_ui(ui, view, (pin, table), facts, RulerSize::Small, actions),
        Err(sentence) => {
            ui.label(RichText::new(capital(sentence)).color(view.palette.quiet));
        }
    }
}
