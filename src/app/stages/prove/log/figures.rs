//! Measured against expected, band by band.

use egui::{Grid, RichText, ScrollArea, Ui};

use crate::app::view::View;
use crate::app::widgets::heading;
use crate::model::SensePin;
use crate::proving::replay::{GUARD, Replay, band_name, length_words, read_words};

/// The table of bands.
pub fn figures_ui(ui: &mut Ui, view: View<'_>, (pin, replay): (&SensePin, &Replay)) {
    let palette = view.palette;
    heading(ui, "Measured against expected");
    let figures = &replay.summary;
    let recorded = (figures.span_s - figures.silent_s).max(f64::MIN_POSITIVE);
    ScrollArea::horizontal().id_salt("log figures").auto_shrink([false, true]).show(ui, |ui| {
        Grid::new("log figures").striped(true).spacing([11.0, 4.0]).show(ui, |ui| {
            for head in ["band", "share", "time", "stays", "mean", "read", "drawing"] {
                ui.label(RichText::new(head).small().color(palette.quiet));
            }
            ui.end_row();
            for band in &figures.bands {
                let text = |value: f64| pin.scale.text(value);
                ui.label(if band.band == GUARD { "guards" } else { band_name(pin, band.band) });
                ui.label(format!("{:.1} %", 100.0 * band.time_s / recorded));
                ui.label(length_words(band.time_s));
                ui.label(band.stays.to_string());
                ui.label(text(band.read.nominal));
                ui.label(read_words(pin, (band.read.low, band.read.high)));
                ui.label(band.expected.map_or_else(
                    || "no state reads so".to_owned(),
                    |range| {
                        let worst = read_words(pin, (range.low, range.high));
                        format!("{} ({worst})", text(range.nominal))
                    },
                ));
                ui.end_row();
            }
        });
    });
}
