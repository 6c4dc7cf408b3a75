//! The table of faults.

use egui::{Align, Color32, Label, Layout, RichText, Role, Sense, Ui, WidgetInfo};
use egui_extras::{Column, TableBuilder};

use crate::app::reading::symptom_text;
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
    let mut clicked = None;
    egui::ScrollArea::horizontal().id_salt("faults across").auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing = egui::vec2(12.0, 2.0);
        ui.style_mut().interaction.selectable_labels = false;
        ui.visuals_mut().selection.bg_fill = view.palette.wash(view.palette.live, 0.15);
        let mut builder = TableBuilder::new(ui)
            .id_salt("faults")
            .sense(Sense::click())
            .auto_shrink(false)
            .min_scrolled_height(40.0)
            .cell_layout(Layout::left_to_right(Align::Center));
        for (n, (_, width)) in COLUMNS.iter().enumerate() {
            let column = match n {
                1 => Column::remainder().at_least(*width).clip(true),
                _ => Column::exact(*width).clip(true),
            };
            builder = builder.column(column);
        }
        builder
            .header(24.0, |mut header| {
                for (word, _) in COLUMNS {
                    header.col(|ui| {
                        let text = RichText::new(word).font(theme::bold(theme::TEXT_SMALL));
                        ui.label(text.color(view.palette.quiet));
                    });
                }
            })
            .body(|body| {
                body.rows(ROW_HEIGHT, shown.len(), |mut row| {
                    let idx = shown[row.index()];
                    row.set_selected(chosen == Some(idx));
                    let fault = &survey.rows[idx];
                    let texts = texts(view, (pin, survey), idx);
                    let colour = effect_colour(view.palette, fault.worst, fault.harm);
                    for (n, text) in texts.into_iter().enumerate() {
                        row.col(|ui| {
                            let text = RichText::new(text);
                            let text = match n {
                                0 => text.color(colour).font(theme::bold(theme::TEXT_SMALL)),
                                1 => text.color(view.palette.ink),
                                _ => text.color(view.palette.quiet),
                            };
                            // Text that can be marked would take the click from its row.
                            ui.add(Label::new(text).truncate().selectable(false));
                        });
                    }
                    let response = row.response();
                    response.widget_info(|| {
                        let name = format!("Fault {}", fault.fault.title);
                        WidgetInfo::selected(Role::Row, true, chosen == Some(idx), name)
                    });
                    let response = response.on_hover_text(format!(
                        "{}: {}\nclick to move the controls there and select the place",
                        fault.fault.kind.word(),
                        fault.fault.title
                    ));
                    if response.clicked() {
                        clicked = Some(idx);
                    }
                });
            });
    });
    clicked
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
