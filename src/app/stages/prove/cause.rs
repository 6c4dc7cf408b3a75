//! Page "Cause": from readings at the sense pin to what is wrong, and what to measure next.

use egui::{Button, CollapsingHeader, Id, Key, Modifiers, RichText, TextEdit, Ui};

use crate::app::action::Action;
use crate::app::prove_studies::ProveAsk;
use crate::app::theme;
use crate::app::widgets::{
    Half, Pen, choice, halves_from_ui, heading, label_cell, quiet, remove_sign,
};
use crate::check::state_words;
use crate::model::{BenchRunId, SensePinId};
use crate::proving::diagnose::{MODEL, NextRow, Reading, Report, SuspectRow, Verdict, likely_word};
use crate::proving::{Quantity, parse_shown, shown_words};

/// What the page remembers between frames.
#[derive(Default)]
pub struct CauseState {
    /// The reading being typed.
    text: String,
    /// Why the last one was not taken.
    refused: Option<String>,
}

/// The model in one sentence; the rest unfolds.
const IN_SHORT: &str = "How it is worked out: each cause counts by how well it explains all the readings, within tolerances and the meter's error; a likely cause is no proof, so look before you cut.";

/// The page.
pub fn cause_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, own: &mut CauseState) {
    let view = pen.view;
    let Some(pin) = view.pin else {
        quiet(
            ui,
            "No sense pin is set: readings at one tell what is wrong. Set one in the properties of the controller's cavity.",
            view.palette,
        );
        return;
    };
    halves_from_ui(ui, 560.0, 0.44, &mut |ui, half| {
        ui.set_max_width(ui.available_width() - 8.0);
        match half {
            Half::First => readings_ui(ui, pen, pin, own),
            Half::Second => answer_ui(ui, pen, pin),
        }
    });
}

/// The readings, and one more typed for the controls as they stand.
fn readings_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, pin: SensePinId, own: &mut CauseState) {
    let view = pen.view;
    let palette = view.palette;
    let name = view.project.sense_pins.get(pin).map_or("?", |pin| pin.name.as_str());
    let head = format!("Readings at {name}");
    ui.label(RichText::new(head).font(theme::bold(theme::TEXT_HEADING)));
    round_choice_ui(ui, pen);
    add_ui(ui, pen, pin, own);
    let (readings, n_by_hand) = view.studies.proving.readings(pin);
    let report = view.studies.proving.report(view.history.revision(), pin);
    let judged = match report {
        Some(Some(Ok(report))) => report.judged.as_slice(),
        Some(Some(Err(_)) | None) | None => &[],
    };
    if readings.is_empty() {
        quiet(ui, "No readings yet.", palette);
        return;
    }
    let first_by_hand = readings.len() - n_by_hand;
    for (n, reading) in readings.iter().enumerate().rev() {
        ui.horizontal_wrapped(|ui| {
            let read = shown_words(reading.shown, &view.project.settings.meter);
            let (sign, colour, sound) = match judged.get(n) {
                Some(row) if row.is_inside => ("✔", palette.right, "within its limits".to_owned()),
                Some(row) => ("✖", palette.wrong, format!("outside: sound is {}", row.sound)),
                None => ("·", palette.quiet, String::new()),
            };
            ui.label(RichText::new(sign).color(colour));
            ui.label(RichText::new(read).font(theme::bold(theme::TEXT_BODY)));
            ui.label(state_words(view.project, &reading.state));
            quiet(ui, sound, palette);
            let hand = n.checked_sub(first_by_hand);
            if let Some(hand) = hand
                && remove_sign(ui, &format!("reading {}", hand + 1), palette).clicked()
            {
                pen.actions.push(Action::AskProve(ProveAsk::DropReading(pin, hand)));
            }
        });
    }
    if n_by_hand > 1 && ui.button("Take all readings by hand away").clicked() {
        pen.actions.push(Action::AskProve(ProveAsk::DropAll(pin)));
    }
}

/// Which round's readings count as well.
fn round_choice_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let view = pen.view;
    let runs = &view.project.bench_runs;
    if runs.is_empty() {
        return;
    }
    let words = |id: BenchRunId| {
        runs.get(id).map_or_else(|| "none".to_owned(), |run| format!("{} {}", run.name, run.date))
    };
    ui.horizontal(|ui| {
        label_cell(ui, "Of round", view.palette);
        let now = view.studies.proving.round().filter(|id| runs.contains(*id));
        let shown = now.map_or_else(|| "none".to_owned(), words);
        let mut options = vec![("none".to_owned(), None)];
        options.extend(runs.ids().map(|id| (words(id), Some(id))));
        let id = Id::unique("cause round");
        if let Some(round) = choice(ui, id, "Readings of this round count", &shown, options) {
            pen.actions.push(Action::AskProve(ProveAsk::TakeRound(round)));
        }
    });
}

/// A reading for the controls as they stand on the strip.
fn add_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, pin: SensePinId, own: &mut CauseState) {
    let view = pen.view;
    let palette = view.palette;
    // The heading gives way where there is little height.
    let is_low = ui.clip_rect().height() < 300.0;
    if !is_low {
        heading(ui, "Add a reading");
    }
    ui.horizontal_wrapped(|ui| {
        quiet(ui, if is_low { "Read with" } else { "with the controls as below:" }, palette);
        let words = state_words(view.project, view.bench);
        ui.label(RichText::new(words).font(theme::bold(theme::TEXT_HEADING)).color(palette.live));
    });
    let field = Id::unique("cause reading");
    let mut is_done = false;
    ui.horizontal(|ui| {
        let output = TextEdit::singleline(&mut own.text)
            .id(field)
            .font(theme::bold(22.0))
            .desired_width((ui.available_width() - 80.0).clamp(80.0, 200.0))
            .hint_text(RichText::new("1.21k, 2.93V, OL").font(theme::plain(14.0)))
            .show(ui);
        let response = output.response.response.accessible_name("Reading at the pin");
        if response.changed() {
            own.refused = None;
        }
        is_done = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        is_done |= ui.button("Add").clicked();
        // Without a field the number keys move the controls; Enter comes back here.
        let is_free = ui.ctx().memory(|memory| memory.focused().is_none());
        if !is_done
            && is_free
            && ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Enter))
        {
            response.request_focus();
        }
    });
    if is_done && !own.text.trim().is_empty() {
        match parse_shown(&own.text, Quantity::Ohm, &view.project.settings.meter) {
            Ok(typed) => {
                let (shown, last_digit) = (typed.shown, typed.last_digit);
                let reading = Reading { state: view.bench.clone(), shown, last_digit };
                pen.actions.push(Action::AskProve(ProveAsk::AddReading(pin, reading)));
                own.text.clear();
                own.refused = None;
            }
            Err(error) => own.refused = Some(error.to_string()),
        }
    }
    if let Some(why) = &own.refused {
        ui.label(RichText::new(format!("⚠ Not taken: {why}")).color(palette.wrong));
    }
    let words = "Ohms: supplies off, controller unplugged. With a V: volts, plugged in and switched on. Enter goes to the field and takes the figure; number keys move the controls.";
    quiet(ui, words, palette);
}

/// The verdict, the suspects, what to measure next.
fn answer_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, pin: SensePinId) {
    let view = pen.view;
    let palette = view.palette;
    let revision = view.history.revision();
    if let Some(None) = view.studies.proving.inquiry(revision, pin) {
        let words = "This pin cannot be diagnosed: it reads nothing, or it has more states than faults are put to.";
        ui.label(RichText::new(words).color(palette.warning));
        return;
    }
    match view.studies.proving.report(revision, pin) {
        None => {
            ui.horizontal(|ui| {
                ui.spinner();
                quiet(ui, "Weighing every fault against the readings …", palette);
            });
        }
        Some(None) => {
            let words = "The cause could not be worked out; the project is unharmed.";
            ui.label(RichText::new(words).color(palette.wrong));
        }
        Some(Some(Err(why))) => {
            ui.label(RichText::new(format!("⚠ {why}")).color(palette.wrong));
        }
        Some(Some(Ok(report))) => report_ui(ui, pen, report),
    }
}

fn report_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, report: &Report) {
    let palette = pen.view.palette;
    let (head, colour) = match report.verdict {
        Verdict::NothingMeasured => ("Nothing measured", palette.quiet),
        Verdict::WithinLimits => ("✔ Within limits", palette.right),
        Verdict::Found => ("✖ Found", palette.wrong),
        Verdict::Undecided => ("? Not decided yet", palette.warning),
        Verdict::Unexplained => ("? Unexplained", palette.warning),
    };
    ui.label(RichText::new(head).font(theme::bold(22.0)).color(colour));
    ui.label(RichText::new(&report.words).font(theme::plain(15.0)));
    if let Some(next) = &report.next {
        next_ui(ui, pen, next);
    } else {
        quiet(ui, "No other measurement at this pin tells more.", palette);
    }
    if let Some(words) = &report.parting {
        ui.label(words);
    }
    if report.verdict != Verdict::NothingMeasured {
        heading(ui, "What may be wrong");
        for (n, row) in report.suspects.iter().enumerate() {
            suspect_ui(ui, pen, n, row);
        }
    }
    ui.add_space(4.0);
    quiet(ui, IN_SHORT, palette);
    CollapsingHeader::new("More on how it is worked out").id_salt("cause model").show(ui, |ui| {
        for line in MODEL {
            quiet(ui, format!("• {line}"), palette);
        }
    });
}

fn next_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, next: &NextRow) {
    let palette = pen.view.palette;
    let frame = egui::Frame::new()
        .fill(palette.wash(palette.chosen, 0.10))
        .corner_radius(8)
        .inner_margin(egui::Margin::symmetric(10, 7));
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.label(RichText::new("Measure next").font(theme::bold(theme::TEXT_BODY)));
        ui.label(RichText::new(&next.words).font(theme::plain(16.0)));
        ui.horizontal_wrapped(|ui| {
            let button = Button::new("Set the controls so");
            if ui
                .add(button)
                .on_hover_text("Puts the controls below as they must be held")
                .clicked()
            {
                pen.actions.push(Action::GoToState(next.state.clone()));
            }
            quiet(ui, format!("{}.", next.worth), palette);
        });
    });
}

/// One suspect: a bar as long as it is likely, its word and percent, what it is.
fn suspect_ui(ui: &mut Ui, pen: &Pen<'_, '_>, n: usize, row: &SuspectRow) {
    let palette = pen.view.palette;
    let percent = 100.0 * row.share;
    let percent = if percent >= 1.0 { format!("{percent:.0} %") } else { "below 1 %".into() };
    ui.horizontal_top(|ui| {
        let size = egui::vec2(64.0, 18.0);
        let (rect, response) = ui.allocate_exact_size(size, egui::Sense::hover());
        let bar = egui::Rect::from_min_size(rect.min + egui::vec2(0.0, 5.0), egui::vec2(64.0, 9.0));
        ui.painter().rect_filled(bar, 3.0, palette.wash(palette.ink, 0.08));
        let colour = if n == 0 { palette.live } else { palette.quiet };
        let width = (64.0 * row.share as f32).max(2.0);
        let filled = egui::Rect::from_min_size(bar.min, egui::vec2(width, bar.height()));
        ui.painter().rect_filled(filled, 3.0, colour);
        response.on_hover_text(percent.as_str());
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = 1.0;
            let font =
                if n == 0 { theme::bold(theme::TEXT_BODY) } else { theme::plain(theme::TEXT_BODY) };
            ui.label(RichText::new(&row.title).font(font));
            let mut words = format!("{}, {percent}", likely_word(row.share));
            if row.is_like_first {
                words += "; reads like the first one at this pin";
            }
            if !row.between.is_empty() {
                words += &format!("; between {}", row.between);
            }
            quiet(ui, words, palette);
        });
    });
}

#[cfg(test)]
mod tests {
    use crate::app::prove_studies::{ProveAsk, ProvePage, ProveStudies};
    use crate::edit::Revision;
    use crate::model::{Project, SensePinId, Shown, State};
    use crate::proving::diagnose::Reading;

    /// A reading typed at one pin says nothing about another.
    #[test]
    fn readings_by_hand_stay_with_their_pin() {
        let (one, other) = (SensePinId(1), SensePinId(2));
        let project = Project::empty("rounds");
        let mut studies = ProveStudies::default();
        studies.page = ProvePage::Cause;
        let reading =
            |ohm| Reading { state: State::rest(), shown: Shown::Ohm(ohm), last_digit: 1.0 };
        let mut look = |asks: Vec<ProveAsk>, pin| {
            asks.into_iter().for_each(|ask| studies.ask(ask));
            studies.refresh(&project, Revision(1), Some(pin));
            let (readings, n_by_hand) = studies.readings(pin);
            assert_eq!(readings.len(), n_by_hand);
            let elsewhere = if pin == one { other } else { one };
            assert_eq!(studies.readings(elsewhere), (&[][..], 0), "not before they are gathered");
            readings.iter().map(|reading| reading.shown).collect::<Vec<_>>()
        };
        let (first, second) = (reading(1210.0), reading(47.0));
        assert_eq!(look(vec![ProveAsk::AddReading(one, first)], one), [Shown::Ohm(1210.0)]);
        assert!(look(vec![], other).is_empty());
        assert_eq!(look(vec![ProveAsk::AddReading(other, second)], other), [Shown::Ohm(47.0)]);
        assert!(look(vec![ProveAsk::DropAll(other)], other).is_empty());
        assert_eq!(look(vec![], one), [Shown::Ohm(1210.0)]);
        assert_eq!(look(vec![ProveAsk::DropReading(one, 1)], one), [Shown::Ohm(1210.0)]);
        assert!(look(vec![ProveAsk::DropReading(one, 0)], one).is_empty());
    }
}
