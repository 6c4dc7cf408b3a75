//! The table of faults.

use egui::{Color32, Label, RichText, Ui};
use egui_extras::TableRow;

use crate::app::reading::symptom_text;
use crate::app::stages::breaking::listing::Listing;
use crate::app::theme::{self, Palette};
use crate::app::view::View;
use crate::check::state_words;
use crate::model::{Harm, SensePin};
use crate::study::faults::{Effect, FaultRow, Survey};

/// Height of a row.
const ROW_HEIGHT: f32 = 24.0;

/// Heading and width of each column.
const COLUMNS: [(&str, f32); 5] =
    [("Does", 138.0), ("Fault", 140.0), ("While", 122.0), ("Reads", 112.0), ("Twins", 48.0)];

/// A sign for an effect, so that colour is not the only one.
pub fn effect_sign(effect: Effect) -> &'static str {
    match effect {
        Effect::WrongAction => "✖",
        Effect::Dead => "○",
        Effect::Detected => "▲",
        Effect::Silent => "·",
    }
}

/// Colour of an effect.
pub fn effect_colour(palette: &Palette, effect: Effect, harm: Harm) -> Color32 {
    match (effect, harm) {
        (Effect::WrongAction, Harm::Dangerous) => palette.wrong,
        (Effect::WrongAction | Effect::Dead, _) => palette.warning,
        (Effect::Detected, _) => palette.chosen,
        (Effect::Silent, _) => palette.quiet,
    }
}

/// The rows shown; returns the one that was clicked, by its index in the survey.
pub fn table_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, survey): (&SensePin, &Survey),
    (shown, chosen): (&[usize], Option<usize>),
) -> Option<usize> {
    let listing =
        Listing { salt: "faults", columns: &COLUMNS, row_height: ROW_HEIGHT, shown, chosen };
    let cells = |line: &mut TableRow<'_, '_>, idx: usize| {
        let row = &survey.rows[idx];
        let colour = effect_colour(view.palette, row.worst, row.harm);
        for (n, text) in texts(view, (pin, survey), idx).into_iter().enumerate() {
            let text = RichText::new(text);
            let text = match n {
                0 => text.color(colour).font(theme::bold(theme::TEXT_SMALL)),
                1 => text.color(view.palette.ink),
                _ => text.color(view.palette.quiet),
            };
            // Text that can be marked would take the click from its row.
            line.col(|ui| {
                ui.add(Label::new(text).truncate().selectable(false));
            });
        }
    };
    let words = |idx: usize| {
        let fault = &survey.rows[idx].fault;
        let tip = format!(
            "{}: {}\nclick to move the controls there and select the place",
            fault.kind.word(),
            fault.title
        );
        (format!("Fault {}", fault.title), tip)
    };
    let across = egui::ScrollArea::horizontal().id_salt("faults across").auto_shrink(false);
    let table = |ui: &mut Ui| {
        ui.spacing_mut().item_spacing = egui::vec2(12.0, 2.0);
        ui.style_mut().interaction.selectable_labels = false;
        listing.ui(ui, view, cells, words)
    };
    across.show(ui, table).inner
}

fn texts(view: View<'_>, (pin, survey): (&SensePin, &Survey), idx: usize) -> [String; 5] {
    let row: &FaultRow = &survey.rows[idx];
    let harm = if row.harm == Harm::Dangerous { "⚠ " } else { "" };
    let twins = survey.twins_of(idx).len();
    [
        format!("{harm}{} {}", effect_sign(row.worst), row.worst.word()),
        row.fault.title.clone(),
        state_words(view.project, &survey.states[row.worst_state]),
        symptom_text(pin, &row.symptoms[row.worst_state]),
        if twins == 0 { String::new() } else { twins.to_string() },
    ]
}
