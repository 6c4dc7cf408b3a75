//! The readout card.

use egui::{
    Align, Align2, CornerRadius, Label, Layout, RichText, Sense, Stroke, StrokeKind, Ui, vec2,
};

use crate::app::action::{Action, Actions};
use crate::app::panels::readout::as_if::banner_ui;
use crate::app::panels::readout::band_bar::band_bar_ui;
use crate::app::panels::readout::facts::ReadoutFacts;
use crate::app::panels::segment::{Segment, segment_ui};
use crate::app::reading::{SCALES, capital, missing, pin_title, verdict_colour, verdict_sign};
use crate::app::theme;
use crate::app::view::View;
use crate::model::{Scale, SensePin, SensePinId};

/// What the pin reads now.
pub fn readout_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let Some((id, pin)) = view.pin.and_then(|id| Some((id, view.project.sense_pins.get(id)?)))
    else {
        heading_ui(ui, "Reading");
        let text = "No sense pin yet. Select a controller and make one of its cavities a sense pin; \
                    its reading shows here.";
        ui.label(RichText::new(text).color(view.palette.quiet));
        return;
    };
    header_ui(ui, view, id, pin, actions);
    if let Some(shown) = view.studies.as_if.shown() {
        banner_ui(ui, view, shown, actions);
        facts_ui(ui, view, &ReadoutFacts::as_if(view.project, pin, shown, view.scale));
        return;
    }
    let row = view.derived.live(id).and_then(|live| live.row.as_ref());
    match row {
        Some(row) => {
            facts_ui(ui, view, &ReadoutFacts::gather(view.project, pin, row, view.scale));
        }
        None => nothing_ui(ui, view, id),
    }
}

fn facts_ui(ui: &mut Ui, view: View<'_>, facts: &ReadoutFacts) {
    figure_ui(ui, view, facts);
    decode_ui(ui, view, facts);
    if let Some(bar) = &facts.bar {
        band_bar_ui(ui, view.palette, bar, &facts.sentences.join(", "));
    }
    for line in &facts.sentences {
        ui.label(RichText::new(line).color(view.palette.quiet));
    }
}

fn heading_ui(ui: &mut Ui, text: &str) {
    ui.add(Label::new(RichText::new(text).font(theme::bold(theme::TEXT_HEADING))).truncate());
}

/// Name of the pin (or a choice of pins) and the unit switch.
fn header_ui(ui: &mut Ui, view: View<'_>, id: SensePinId, pin: &SensePin, actions: &mut Actions) {
    let title = pin_title(view.project, pin);
    ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            unit_switch_ui(ui, view, pin, actions);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                if view.project.sense_pins.len() < 2 {
                    heading_ui(ui, &title);
                    return;
                }
                let width = ui.available_width() - 4.0;
                egui::ComboBox::from_id_salt("pin shown")
                    .width(width)
                    .truncate()
                    .selected_text(RichText::new(&title).font(theme::bold(theme::TEXT_HEADING)))
                    .show_ui(ui, |ui| {
                        for (other, row) in view.project.sense_pins.iter() {
                            if ui
                                .selectable_label(other == id, pin_title(view.project, row))
                                .clicked()
                            {
                                actions.push(Action::ShowPin(other));
                            }
                        }
                    })
                    .response
                    .on_hover_text(format!("Sense pin shown: {title}"));
            });
        });
    });
}

/// Ω V count %: those that cannot be told say which figure is missing.
fn unit_switch_ui(ui: &mut Ui, view: View<'_>, pin: &SensePin, actions: &mut Actions) {
    let segments = SCALES.map(|scale| {
        let (text, noun) = match scale {
            Scale::Ohm => ("Ω", "ohms"),
            Scale::Volt => ("V", "volts"),
            Scale::Count => ("count", "counts"),
            Scale::Percent => ("%", "percent of full scale"),
        };
        let missing = missing(view.project, pin, scale);
        Segment {
            text,
            label: format!("Show {noun}"),
            tip: missing.map_or_else(
                || format!("Show {noun}"),
                |missing| format!("{} need {missing}", capital(noun)),
            ),
            is_enabled: missing.is_none(),
        }
    });
    let chosen = SCALES.iter().position(|scale| *scale == view.scale);
    if let Some(idx) = segment_ui(ui, view.palette, &segments, chosen) {
        actions.push(Action::ReadoutScale(SCALES[idx]));
    }
}

/// The figure that is read from across the bench.
fn figure_ui(ui: &mut Ui, view: View<'_>, facts: &ReadoutFacts) {
    let palette = view.palette;
    let (digits, unit, size) = match &facts.figure {
        Some(figure) => (figure.digits.as_str(), figure.unit.as_str(), theme::TEXT_HERO),
        None => ("not known", "", theme::TEXT_FIGURE),
    };
    let big = ui.painter().layout_no_wrap(digits.into(), theme::bold(size), palette.ink);
    let small =
        ui.painter().layout_no_wrap(unit.into(), theme::plain(theme::TEXT_FIGURE), palette.quiet);
    let (ascent, below) = (size * 0.93, size * 0.14);
    let wanted = vec2(ui.available_width(), ascent + below);
    let (rect, response) = ui.allocate_exact_size(wanted, Sense::hover());
    let base = rect.top() + ascent;
    // Text is placed by its base line, so that digits and unit stand on one line whatever their size.
    let text_top = |galley: &egui::Galley| {
        let ascent = galley
            .rows
            .first()
            .and_then(|row| row.row.glyphs.first())
            .map_or(0.0, |glyph| glyph.font_ascent);
        base - ascent
    };
    let gap = if unit == "%" { 6.0 } else { 10.0 };
    // The bearing of the first digit grows with its size.
    let left = rect.left() - size * 0.035;
    let (big_top, small_top) = (text_top(&big), text_top(&small));
    let unit_left = left + big.size().x + gap;
    ui.painter().galley(egui::pos2(left, big_top), big, palette.ink);
    ui.painter().galley(egui::pos2(unit_left, small_top), small, palette.quiet);
    let spoken = format!("{digits} {unit}").trim_end().to_owned();
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::Role::Label, true, format!("Reading {spoken}"))
    });
    if !view.derived.is_current(view.history.revision()) {
        let at = rect.right_bottom() - vec2(0.0, 6.0);
        ui.painter().text(
            at,
            Align2::RIGHT_BOTTOM,
            "reckoning…",
            theme::plain(theme::TEXT_SMALL),
            palette.quiet,
        );
    }
}

/// The decoded action as a word in a chip, and the verdict beside it.
fn decode_ui(ui: &mut Ui, view: View<'_>, facts: &ReadoutFacts) {
    let palette = view.palette;
    let colour = verdict_colour(palette, facts.verdict);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 10.0;
        if !facts.decoded.is_empty() {
            let font = theme::bold(17.0);
            let widest = ui.available_width() * 0.62;
            let mut job =
                egui::text::LayoutJob::simple_singleline(facts.decoded.clone(), font, colour);
            job.wrap = egui::text::TextWrapping::truncate_at_width(widest);
            let galley = ui.painter().layout_job(job);
            let size = vec2((galley.size().x + 34.0).max(86.0), 33.0);
            let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
            let round = CornerRadius::same(16);
            ui.painter().rect(
                rect,
                round,
                palette.wash(colour, 0.12),
                Stroke::new(1.4, colour),
                StrokeKind::Inside,
            );
            let at = rect.center() - galley.size() / 2.0;
            ui.painter().galley(at, galley, colour);
            let label = format!("Decodes as {}", facts.decoded);
            response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, &label));
            response.on_hover_text(label);
        }
        let words = format!("{} {}", verdict_sign(facts.verdict), facts.words);
        ui.add(Label::new(RichText::new(words).color(colour)).wrap());
    });
}

/// No reading at all: still reckoning, failed, or a circuit without an answer.
fn nothing_ui(ui: &mut Ui, view: View<'_>, id: SensePinId) {
    let palette = view.palette;
    if let Some(sentence) = view.derived.failure() {
        ui.label(RichText::new(capital(sentence)).color(palette.wrong));
        return;
    }
    let finding = view.derived.table(id).and_then(|table| table.findings.first());
    match finding {
        Some(finding) => {
            ui.label(RichText::new("no reading").font(theme::bold(theme::TEXT_FIGURE)));
            ui.label(RichText::new(format!("⚠ {}", capital(&finding.what))).color(palette.wrong));
            ui.label(RichText::new(capital(&finding.cure)).color(palette.quiet));
        }
        None if view.derived.is_current(view.history.revision()) => {
            ui.label(RichText::new("no reading").font(theme::bold(theme::TEXT_FIGURE)));
            let text = "The pin or its reference is not joined to anything that can be read.";
            ui.label(RichText::new(text).color(palette.quiet));
        }
        None => {
            ui.label(
                RichText::new("reckoning…")
                    .font(theme::plain(theme::TEXT_FIGURE))
                    .color(palette.quiet),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::{Bench, ladder};
    use egui_kittest::Harness;
    use egui_kittest::kittest::NodeT;
    use egui_kittest::kittest::Queryable;

    fn harness(bench: Bench) -> Harness<'static, Bench> {
        Harness::builder()
            .with_size(vec2(320.0, 420.0))
            .with_context_setup(theme::install_fonts)
            .build_ui_state(
                |ui, bench| {
                    theme::apply(ui.ctx(), &bench.preferences);
                    let (view, actions) = bench.split();
                    readout_ui(ui, view, actions);
                },
                bench,
            )
    }

    #[test]
    fn units_are_offered_and_those_that_need_a_figure_say_which() {
        let mut bench = Bench::new(ladder().0);
        let (id, mut pin) = {
            let (id, pin) = bench.history.project().sense_pins.iter().next().unwrap();
            (id, pin.clone())
        };
        let harness = harness(bench);
        assert!(harness.get_by_label("Show volts").accesskit_node().is_disabled());
        pin.pull_ohm = Some(crate::units::Tolerant { nominal: 1000.0, tolerance: 0.01 });
        pin.name = "RANGE".into();
        bench = Bench::new(ladder().0);
        bench.edit(crate::edit::Edit::SetSensePin(id, Box::new(pin)));
        let mut harness = self::harness(bench);
        harness.get_by_label("Show volts").click();
        harness.run();
        assert_eq!(harness.state().actions.as_slice(), [Action::ReadoutScale(Scale::Volt)]);
        harness.get_by_label("Reading open");
    }

    #[test]
    fn without_a_pin_the_card_says_how_to_get_one() {
        let harness = harness(Bench::new(crate::model::Project::empty("New")));
        harness.get_by_label_contains("No sense pin yet");
    }
}
