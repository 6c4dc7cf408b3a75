//! The page that reads and writes what is printed on a resistor.

use egui::{Grid, Id, RichText, TextEdit, Ui};

use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{
    Half, choice_wide, halves_ui, label_cell, ohm_text, quiet, ring_names, rings_ui,
};
use crate::marking::{Marked, Ring, digits, read_both_ways, read_code, rings};
use crate::series::Series;
use crate::units::{format_iec60062, format_percent, parse_ohm, parse_percent};

/// What the page remembers between frames.
pub struct MarkingState {
    value: String,
    tolerance: String,
    code: String,
    rings: [Ring; 5],
    n_rings: usize,
}

impl Default for MarkingState {
    fn default() -> Self {
        Self {
            value: "4k7".into(),
            tolerance: "1 %".into(),
            code: String::new(),
            rings: [Ring::Yellow, Ring::Violet, Ring::Black, Ring::Brown, Ring::Brown],
            n_rings: 5,
        }
    }
}

/// From a value to its marking, and from a marking to its value.
pub fn marking_ui(ui: &mut Ui, view: View<'_>, own: &mut MarkingState) {
    ui.label(RichText::new("What is printed on a resistor").font(theme::bold(theme::TEXT_HEADING)))
        .on_hover_text("IEC 60062; series of IEC 60063");
    halves_ui(ui, 0.5, &mut |ui, half| match half {
        Half::First => value_ui(ui, view, own),
        Half::Second => {
            rings_read_ui(ui, view, own);
            code_ui(ui, view, own);
        }
    });
}

fn heading(ui: &mut Ui, text: &str) {
    ui.label(RichText::new(text).font(theme::bold(theme::TEXT_BODY)));
}

fn value_ui(ui: &mut Ui, view: View<'_>, own: &mut MarkingState) {
    heading(ui, "From a value");
    ui.horizontal(|ui| {
        label_cell(ui, "Value", view.palette);
        ui.add(TextEdit::singleline(&mut own.value).desired_width(90.0))
            .accessible_name("Value to mark");
        ui.label("±");
        ui.add(TextEdit::singleline(&mut own.tolerance).desired_width(54.0))
            .accessible_name("Tolerance to mark");
    });
    let ohm = match parse_ohm(&own.value).map_err(|error| error.to_string()) {
        Ok(ohm) if ohm > 0.0 => ohm,
        Ok(_) => return refusal(ui, view, "a resistor has a resistance above zero"),
        Err(sentence) => return refusal(ui, view, &sentence),
    };
    let tolerance = match parse_percent(&own.tolerance) {
        Ok(tolerance) => tolerance,
        Err(error) => return refusal(ui, view, &error.to_string()),
    };
    for (n_digits, label) in [(2, "Four rings"), (3, "Five rings")] {
        ui.horizontal(|ui| {
            label_cell(ui, label, view.palette);
            match rings(ohm, tolerance, n_digits) {
                Some(list) => {
                    rings_ui(ui, Id::unique(("marking rings", n_digits)), &list, view);
                    ui.add(egui::Label::new(ring_names(&list)).wrap());
                }
                None => {
                    quiet(ui, "cannot say this value with this tolerance", view.palette);
                }
            }
        });
    }
    ui.horizontal(|ui| {
        label_cell(ui, "Letters", view.palette);
        ui.label(format_iec60062(ohm));
    });
    ui.horizontal(|ui| {
        label_cell(ui, "Digits", view.palette);
        let both: Vec<String> = [2, 3].into_iter().filter_map(|n| digits(ohm, n)).collect();
        ui.label(if both.is_empty() { "none say it".to_owned() } else { both.join(" or ") });
    });
    ui.add_space(4.0);
    series_ui(ui, view, ohm);
}

/// Which series have the value, and the nearest of those that do not.
fn series_ui(ui: &mut Ui, view: View<'_>, ohm: f64) {
    heading(ui, "Preferred numbers");
    Grid::new("series").spacing([16.0, 3.0]).show(ui, |ui| {
        for series in Series::ALL {
            ui.label(RichText::new(series.to_string()).color(view.palette.quiet));
            if series.contains(ohm) {
                ui.label(RichText::new("✔ has it").color(view.palette.right));
            } else if let Some(nearest) = series.nearest(ohm) {
                let off = nearest / ohm - 1.0;
                let sign = if off < 0.0 { "−" } else { "+" };
                ui.label(format!(
                    "nearest {}, {sign}{}",
                    ohm_text(nearest),
                    format_percent(off.abs())
                ));
            }
            ui.end_row();
        }
    });
}

fn rings_read_ui(ui: &mut Ui, view: View<'_>, own: &mut MarkingState) {
    heading(ui, "From rings, in either direction");
    ui.horizontal(|ui| {
        label_cell(ui, "Rings", view.palette);
        for (count, word) in [(3, "three"), (4, "four"), (5, "five")] {
            ui.selectable_value(&mut own.n_rings, count, word);
        }
    });
    ui.horizontal_wrapped(|ui| {
        for n in 0..own.n_rings {
            let options = Ring::ALL.map(|ring| (ring.name().to_owned(), ring));
            let now = own.rings[n].name();
            let (id, name) = (Id::unique(("ring", n)), format!("Ring {}", n + 1));
            if let Some(picked) = choice_wide(ui, id, (&name, 86.0), now, options) {
                own.rings[n] = picked;
            }
        }
    });
    let list = &own.rings[..own.n_rings];
    rings_ui(ui, Id::unique("rings to read"), list, view);
    let both = read_both_ways(list);
    let is_preferred =
        |one: &Result<Marked, String>| one.as_ref().is_ok_and(|m| Series::of(m.ohm).is_some());
    for (word, one) in ["From left", "From right"].into_iter().zip(&both) {
        ui.horizontal_wrapped(|ui| {
            label_cell(ui, word, view.palette);
            match one {
                Ok(marked) => {
                    ui.label(RichText::new(marked_words(*marked)).strong());
                    let series = Series::of(marked.ohm);
                    let words = series.map_or_else(
                        || "no preferred number".to_owned(),
                        |series| format!("preferred, from {series} on"),
                    );
                    quiet(ui, words, view.palette);
                }
                Err(sentence) => {
                    quiet(ui, sentence.as_str(), view.palette);
                }
            }
        });
    }
    let words = match (is_preferred(&both[0]), is_preferred(&both[1])) {
        (true, true) if both[0] == both[1] => "Both directions say the same.",
        (true, true) => {
            "Both directions make sense: measure it, or look for the wider gap before the last ring."
        }
        (true, false) => "Only from the left it is a value that is sold.",
        (false, true) => "Only from the right it is a value that is sold.",
        (false, false) => "In neither direction it is a value that is sold: look again.",
    };
    quiet(ui, words, view.palette);
    ui.add_space(6.0);
}

fn code_ui(ui: &mut Ui, view: View<'_>, own: &mut MarkingState) {
    heading(ui, "From digits or letters");
    ui.horizontal(|ui| {
        label_cell(ui, "Printed", view.palette);
        ui.add(
            TextEdit::singleline(&mut own.code).hint_text("472, 4701, 4K7F").desired_width(190.0),
        )
        .accessible_name("Printed marking");
    });
    if own.code.trim().is_empty() {
        return;
    }
    match read_code(&own.code) {
        Ok(marked) => {
            ui.horizontal(|ui| {
                label_cell(ui, "", view.palette);
                ui.label(RichText::new(marked_words(marked)).strong());
            });
        }
        Err(sentence) => refusal(ui, view, &sentence),
    }
}

fn marked_words(marked: Marked) -> String {
    match marked.tolerance {
        Some(tolerance) => format!("{} ± {}", ohm_text(marked.ohm), format_percent(tolerance)),
        None => ohm_text(marked.ohm),
    }
}

fn refusal(ui: &mut Ui, view: View<'_>, sentence: &str) {
    quiet(ui, format!("⚠ {sentence}."), view.palette);
}
