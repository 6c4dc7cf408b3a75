//! Theme, text size, units, resistor sign: what a person prefers, whatever the project.

use egui::{Label, RichText, Ui};

use crate::app::action::{Action, Actions};
use crate::app::command::Command;
use crate::app::panels::segment::{Segment, segment_ui};
use crate::app::prefs::{AreaUnit, LengthUnit, Preferences, SignChoice, ThemeChoice};
use crate::app::theme;
use crate::app::view::View;

/// The preferences; every change shows at once and is kept.
pub fn preferences_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let mut wanted = *view.preferences;
    let themes = [("Paper", ThemeChoice::Paper), ("Bench", ThemeChoice::Bench)];
    choice_ui(ui, view, ("Theme", "Light paper, or a dark bench"), &themes, &mut wanted.theme);
    text_size_ui(ui, view, actions);
    let lengths = [("mm", LengthUnit::Millimetre), ("inch", LengthUnit::Inch)];
    choice_ui(ui, view, ("Lengths", "Files always hold millimetres"), &lengths, &mut wanted.length);
    let sizes = [("mm²", AreaUnit::SquareMillimetre), ("AWG", AreaUnit::Awg)];
    let about = "What a typed number is taken as; a wire keeps the size it is sold in";
    choice_ui(ui, view, ("Wire sizes", about), &sizes, &mut wanted.area);
    let signs = [("rectangle, IEC", SignChoice::Iec), ("zigzag, IEEE", SignChoice::Ieee)];
    let about = "As in IEC 60617 or IEEE 315";
    choice_ui(ui, view, ("Resistor sign", about), &signs, &mut wanted.sign);
    if wanted != *view.preferences {
        actions.push(Action::SetPreferences(wanted));
    }
    ui.add_space(14.0);
    let text = "Tolerances of contacts, end allowances and other settings of this project are under \
                Project in the card at the right, and travel with its file.";
    ui.add(Label::new(RichText::new(text).small().color(view.palette.quiet)).wrap());
}

fn heading_ui(ui: &mut Ui, view: View<'_>, heading: &str, about: &str) {
    ui.add_space(12.0);
    ui.label(RichText::new(heading).font(theme::bold(theme::TEXT_BODY)));
    ui.add(Label::new(RichText::new(about).small().color(view.palette.quiet)).wrap());
}

/// A heading and the words to choose from.
fn choice_ui<T: Copy + PartialEq>(
    ui: &mut Ui,
    view: View<'_>,
    (heading, about): (&str, &str),
    options: &[(&str, T)],
    value: &mut T,
) {
    heading_ui(ui, view, heading, about);
    let segments: Vec<Segment<'_>> = options
        .iter()
        .map(|(word, _)| Segment {
            text: word,
            label: format!("{heading}: {word}"),
            tip: about.into(),
            is_enabled: true,
        })
        .collect();
    let chosen = options.iter().position(|(_, option)| option == value);
    let clicked = ui.push_id(heading, |ui| segment_ui(ui, view.palette, &segments, chosen)).inner;
    if let Some(idx) = clicked {
        *value = options[idx].1;
    }
}

fn text_size_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    heading_ui(ui, view, "Text size", "From 80 to 200 %; everything else grows with it");
    let scale = view.preferences.clamped_text_scale();
    ui.horizontal(|ui| {
        let steps = [
            ("−", Command::TextSmaller, Preferences::LEAST_TEXT),
            ("+", Command::TextLarger, Preferences::MOST_TEXT),
        ];
        for (sign, command, end) in steps {
            let is_enabled = (scale - end).abs() > 0.001;
            let button = egui::Button::new(sign).min_size(egui::vec2(30.0, 26.0));
            let response = ui.add_enabled(is_enabled, button).on_hover_text(command.tip());
            response.widget_info(|| {
                egui::WidgetInfo::labeled(egui::Role::Button, is_enabled, command.label())
            });
            if response.clicked() {
                actions.push(Action::Run(command));
            }
            if command == Command::TextSmaller {
                ui.label(format!("{:.0} %", scale * 100.0));
            }
        }
        if (scale - 1.0).abs() > 0.001 && ui.button("100 %").clicked() {
            let usual = Preferences { text_scale: 1.0, ..*view.preferences };
            actions.push(Action::SetPreferences(usual));
        }
    });
}
