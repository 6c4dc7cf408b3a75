//! Page "Practice": the program hides a fault; measure and name it in fewer measurements than the
//! program would need.

mod names;

use std::collections::BTreeSet;

use egui::{Button, Id, Key, Modifiers, RichText, TextEdit, Ui};

use crate::app::action::{Action, Lead};
use crate::app::prove_studies::ProveAsk;
use crate::app::stages::prove::practice::names::{Line, NameList};
use crate::app::theme::{self, Palette};
use crate::app::view::View;
use crate::app::widgets::{
    Field, Half, Pen, Typing, halves_from_ui, heading, label_cell, quiet, terminal_choice,
};
use crate::check::state_words;
use crate::model::{SensePinId, Shown, State, TerminalRef};
use crate::proving::diagnose::{Inquiry, Measurement, expected_words};
use crate::proving::practice::{Leads, Named, Practice, is_as_drawn};
use crate::proving::{Quantity, shown_words};
use crate::units::counted;

/// Below this height what explains the page gives way to what is done on it.
const LOW: f32 = 300.0;

/// What the page remembers between frames: it all belongs to one hidden fault.
#[derive(Default)]
pub struct PracticeState {
    /// The drawing by its number, the seed, the pin.
    of: Option<(u64, u64, SensePinId)>,
    measured: Vec<(State, Leads, Result<Shown, String>)>,
    wrong: BTreeSet<usize>,
    end: Option<End>,
    filter: String,
    names: Option<NameList>,
}

/// How it ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    /// It was named; by row of the survey.
    Named(usize, Named),
    /// It was given up.
    GivenUp,
}

/// The page.
pub fn practice_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, own: &mut PracticeState) {
    let view = pen.view;
    let proving = &view.studies.proving;
    let Some(pin) = view.pin else {
        quiet(ui, "No sense pin is set: there is nothing to practise on.", view.palette);
        return;
    };
    let revision = view.history.revision();
    // Without a number nothing is known of the drawing yet, and nothing is shown that belongs to one.
    let key = proving.number(revision).map(|number| (number, proving.seed(), pin));
    if key.is_some() && own.of != key {
        *own = PracticeState { of: key, ..PracticeState::default() };
    }
    let known = proving.inquiry(revision, pin).flatten().cloned();
    let hidden = proving.practice(revision, pin);
    let is_low = ui.available_height() < LOW;
    halves_from_ui(ui, 560.0, 0.5, &mut |ui, half| {
        ui.set_max_width(ui.available_width() - 8.0);
        match (half, &known, hidden) {
            (Half::First, Some(inquiry), Some(Some(practice))) => {
                head_ui(ui, pen, is_low);
                measure_ui(ui, pen, (inquiry, practice), (own, is_low));
            }
            (Half::Second, Some(inquiry), Some(Some(practice))) => {
                name_ui(ui, pen, (inquiry, practice), own);
            }
            (Half::First, _, Some(None)) => {
                head_ui(ui, pen, is_low);
                let words = "No fault can be hidden here: none would show at this pin.";
                ui.label(RichText::new(words).color(view.palette.warning));
            }
            (Half::First, _, _) => {
                head_ui(ui, pen, is_low);
                let is_none = matches!(proving.inquiry(revision, pin), Some(None));
                if is_none {
                    let words = "This pin cannot be practised on: it reads nothing, or it has more states than faults are put to.";
                    ui.label(RichText::new(words).color(view.palette.warning));
                } else {
                    ui.horizontal(|ui| {
                        ui.spinner();
                        quiet(ui, "Building a machine with a fault in it …", view.palette);
                    });
                }
            }
            (Half::Second, _, _) => {}
        }
    });
}

/// What it is about, and which fault it is.
fn head_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, is_low: bool) {
    let view = pen.view;
    let seed = view.studies.proving.seed();
    let about = "One thing is not as drawn. Move the controls below, measure, and name it.";
    if !is_low {
        ui.label(RichText::new("A fault is hidden").font(theme::bold(theme::TEXT_HEADING)));
        quiet(ui, about, view.palette);
    }
    ui.horizontal_wrapped(|ui| {
        if is_low {
            let head = RichText::new("Hidden fault").font(theme::bold(theme::TEXT_BODY));
            ui.label(head).on_hover_text(about);
        } else {
            label_cell(ui, "Fault no.", view.palette);
        }
        let field =
            Field::figure(Id::unique("practice seed"), "Number of the fault", seed.to_string())
                .width(if is_low { 56.0 } else { 90.0 })
                .when_left();
        if let Typing::Wants(text, _) = pen.fields.show(ui, &field) {
            let number = text.trim().parse::<u64>().ok().filter(|n| *n > 0);
            let verdict = match number {
                Some(n) => {
                    pen.actions.push(Action::AskProve(ProveAsk::Hide(n)));
                    Ok(())
                }
                None => Err("expected a whole number from 1 on".to_owned()),
            };
            pen.fields.judge(field.id, false, verdict);
        }
        let tip = "Hides another one; the same number always hides the same fault";
        if ui.button("Next fault").on_hover_text(tip).clicked() {
            pen.actions.push(Action::AskProve(ProveAsk::Hide(seed + 1)));
        }
    });
    pen.refusal_ui(ui, Id::unique("practice seed"), &seed.to_string());
}

/// Asking for measurements, and what was read.
fn measure_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (inquiry, practice): (&Inquiry, &Practice),
    (own, is_low): (&mut PracticeState, bool),
) {
    let view = pen.view;
    let palette = view.palette;
    if !is_low {
        heading(ui, "Measure");
    }
    ui.horizontal_wrapped(|ui| {
        let words = if is_low { "Measure with" } else { "with the controls as below:" };
        quiet(ui, words, palette);
        let words = state_words(view.project, view.bench);
        ui.label(RichText::new(words).font(theme::bold(theme::TEXT_HEADING)).color(palette.live));
    });
    let pin = view.project.terminal_name(inquiry.pin.terminal);
    let is_free = ui.ctx().memory(|memory| memory.focused().is_none());
    let key = |modifiers| is_free && ui.input_mut(|input| input.consume_key(modifiers, Key::Enter));
    let (by_shift, by_enter) = (key(Modifiers::SHIFT), key(Modifiers::NONE));
    let mut wanted = None;
    ui.horizontal_wrapped(|ui| {
        // What the leads are at stands above where there is no room for it on both buttons.
        let at = if is_low { String::new() } else { format!(" at {pin}") };
        let tip = format!("Between {pin} and its reference");
        let button = |ui: &mut Ui, words: String| ui.button(words).on_hover_text(&tip).clicked();
        if button(ui, format!("Ohms{at}  Enter")) || (by_enter && !by_shift) {
            wanted = Some(Leads::PinOhms);
        }
        if button(ui, format!("Volts{at}  Shift+Enter")) || by_shift {
            wanted = Some(Leads::PinVolts);
        }
    });
    // Where there is little height, what was read stands before what is seldom needed.
    if !is_low && let Some((red, black)) = leads_ui(ui, pen) {
        wanted = Some(Leads::Between(red, black));
    }
    measure(view, practice, wanted, own);
    heading(ui, &counted(own.measured.len(), "measurement"));
    for (state, leads, shown) in own.measured.iter().rev() {
        measured_ui(ui, view, inquiry, (state, *leads, shown));
    }
    if is_low && let Some((red, black)) = leads_ui(ui, pen) {
        measure(view, practice, Some(Leads::Between(red, black)), own);
    }
    ui.add_space(6.0);
    let words = "Every part of this machine is off within its tolerance, and the meter within its error; so a figure that differs a little says nothing.";
    quiet(ui, words, palette);
}

/// Writes down what is read so; the same twice is one measurement.
fn measure(view: View<'_>, practice: &Practice, wanted: Option<Leads>, own: &mut PracticeState) {
    let Some(leads) = wanted else { return };
    let is_new = !own.measured.iter().any(|(s, l, _)| (s, *l) == (view.bench, leads));
    if is_new {
        let shown = practice.measure(view.bench, leads);
        own.measured.push((view.bench.clone(), leads, shown));
    }
}

/// The two leads of the meter, put anywhere; returns where, when the button is pressed.
fn leads_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) -> Option<(TerminalRef, TerminalRef)> {
    let view = pen.view;
    let fallback = view.project.parts.ids().next().map(|part| TerminalRef { part, terminal: 0 })?;
    let mut wanted = None;
    egui::CollapsingHeader::new("Ohms between any two points").id_salt("practice leads").show(
        ui,
        |ui| {
            for (lead, label, now) in [
                (Lead::Red, "Red lead", view.meter.red),
                (Lead::Black, "Black lead", view.meter.black),
            ] {
                let id = Id::unique(("practice lead", label));
                let shown = now.unwrap_or(fallback);
                if let Some(at) = terminal_choice(ui, id, label, view, shown) {
                    pen.actions.push(Action::PutLead(lead, Some(at)));
                }
            }
            let red = view.meter.red.unwrap_or(fallback);
            let black = view.meter.black.unwrap_or(fallback);
            let words = format!(
                "Ohms from {} to {}",
                view.project.terminal_name(red),
                view.project.terminal_name(black)
            );
            if ui.button(words).clicked() {
                wanted = Some((red, black));
            }
        },
    );
    wanted
}

fn measured_ui(
    ui: &mut Ui,
    view: View<'_>,
    inquiry: &Inquiry,
    (state, leads, shown): (&State, Leads, &Result<Shown, String>),
) {
    let palette = view.palette;
    ui.horizontal_wrapped(|ui| {
        let shown = match shown {
            Ok(shown) => *shown,
            Err(why) => {
                ui.label(RichText::new(format!("– {why}")).color(palette.warning));
                quiet(ui, state_words(view.project, state), palette);
                return;
            }
        };
        let read = shown_words(shown, &view.project.settings.meter);
        let quantity = match leads {
            Leads::PinOhms => Some(Quantity::Ohm),
            Leads::PinVolts => Some(Quantity::Volt),
            Leads::Between(..) => None,
        };
        let at = quantity
            .zip(inquiry.state_of(view.project, state))
            .map(|(quantity, state)| Measurement { state, quantity });
        let (sign, colour, sound) = match at {
            None => ("·", palette.quiet, String::new()),
            Some(at) => {
                let sound = expected_words(inquiry.expected(0, 0, at), at);
                match is_as_drawn(inquiry, at, shown) {
                    true => ("✔", palette.right, format!("as drawn: {sound}")),
                    false => ("✖", palette.wrong, format!("as drawn it would be {sound}")),
                }
            }
        };
        ui.label(RichText::new(sign).color(colour));
        ui.label(RichText::new(read).font(theme::bold(16.0)));
        ui.label(state_words(view.project, state));
        if let Leads::Between(red, black) = leads {
            let name = |at| view.project.terminal_name(at);
            ui.label(format!("{} to {}", name(red), name(black)));
        }
        quiet(ui, sound, palette);
    });
}

/// The list to name it from, and how it ended.
fn name_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (inquiry, practice): (&Inquiry, &Practice),
    own: &mut PracticeState,
) {
    let palette = pen.view.palette;
    ui.label(RichText::new("Name it").font(theme::bold(theme::TEXT_HEADING)));
    if let Some(end) = own.end {
        end_ui(ui, pen, (inquiry, practice), (own, end));
        return;
    }
    let mut is_named = false;
    ui.horizontal(|ui| {
        let output = TextEdit::singleline(&mut own.filter)
            .id(Id::unique("practice filter"))
            .desired_width((ui.available_width() - 110.0).clamp(80.0, 260.0))
            .hint_text("part of its name")
            .show(ui);
        let response = output.response.response.accessible_name("Part of the fault's name");
        is_named = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        if ui.button("Give up").on_hover_text("Shows what it is").clicked() {
            own.end = Some(End::GivenUp);
        }
    });
    if !own.wrong.is_empty() {
        let words = format!(
            "✖ {} named that it is not; each counts as a measurement",
            counted(own.wrong.len(), "fault")
        );
        ui.label(RichText::new(words).color(palette.wrong));
    }
    let names = own.names.get_or_insert_with(|| NameList::of(inquiry));
    names.find(&own.filter);
    let mut picked = None;
    if let Some(only) = names.only() {
        quiet(ui, "one is left: Enter in the field names it", palette);
        picked = is_named.then_some(only);
    }
    let clicked = names_ui(ui, (inquiry, palette), names.lines(), &own.wrong);
    if let Some(row) = clicked.or(picked) {
        match practice.judge(inquiry, row) {
            Named::Wrong => {
                own.wrong.insert(row);
            }
            named @ (Named::Right | Named::Alike) => own.end = Some(End::Named(row, named)),
        }
    }
}

/// The faults it may be, by kind, as far as they are in sight; returns the one that is clicked.
fn names_ui(
    ui: &mut Ui,
    (inquiry, palette): (&Inquiry, &Palette),
    lines: &[Line],
    wrong: &BTreeSet<usize>,
) -> Option<usize> {
    let mut clicked = None;
    rows_in_sight_ui(ui, lines.len(), &mut |ui, n| match lines[n] {
        Line::Kind(kind) => {
            quiet(ui, kind.word(), palette);
        }
        Line::Fault(row) => {
            let Some(survey_row) = inquiry.survey.rows.get(row) else { return };
            let title = survey_row.fault.title.as_str();
            let is_wrong = wrong.contains(&row);
            let words = if is_wrong { format!("✖ {title}") } else { title.to_owned() };
            let button = Button::selectable(false, words).truncate();
            if ui.add_enabled(!is_wrong, button).clicked() {
                clicked = Some(row);
            }
        }
    });
    clicked
}

/// Rows of one height in what scrolls already: those out of sight only take their room.
fn rows_in_sight_ui(ui: &mut Ui, count: usize, own: &mut dyn FnMut(&mut Ui, usize)) {
    let height = ui.spacing().interact_size.y + 2.0;
    let size = egui::vec2(ui.available_width(), height * count as f32);
    let (whole, _) = ui.allocate_exact_size(size, egui::Sense::hover());
    let sight = ui.clip_rect();
    let row_at = |y: f32| ((y - whole.top()) / height).max(0.0);
    let first = row_at(sight.top()).floor() as usize;
    let end = (row_at(sight.bottom()).ceil() as usize).min(count);
    for n in first..end {
        let corner = whole.min + egui::vec2(0.0, height * n as f32);
        let row = egui::Rect::from_min_size(corner, egui::vec2(whole.width(), height));
        let layout = egui::Layout::left_to_right(egui::Align::Center);
        let builder = egui::UiBuilder::new().id_salt(("name", n)).max_rect(row).layout(layout);
        ui.scope_builder(builder, |ui| own(ui, n));
    }
}

/// What it was, and the score.
fn end_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    (inquiry, practice): (&Inquiry, &Practice),
    (own, end): (&PracticeState, End),
) {
    let palette = pen.view.palette;
    let title =
        |row: usize| inquiry.survey.rows.get(row).map_or("?", |row| row.fault.title.as_str());
    let hidden = title(practice.answer());
    let (head, colour, words) = match end {
        End::Named(_, Named::Right) => ("✔ Right", palette.right, format!("It is: {hidden}.")),
        End::Named(row, Named::Alike | Named::Wrong) => (
            "✔ Right as far as this pin can tell",
            palette.right,
            format!("{} reads the same at the pin; hidden is: {hidden}.", title(row)),
        ),
        End::GivenUp => ("– Given up", palette.warning, format!("It is: {hidden}.")),
    };
    ui.label(RichText::new(head).font(theme::bold(24.0)).color(colour));
    ui.label(RichText::new(words).font(theme::plain(16.0)));
    ui.label(RichText::new(score_words(own, end, practice)).font(theme::bold(16.0)));
    if ui.button("Go on to the next fault").clicked() {
        pen.actions.push(Action::AskProve(ProveAsk::Hide(practice.seed + 1)));
    }
}

/// Measurements used against those the program would have needed.
fn score_words(own: &PracticeState, end: End, practice: &Practice) -> String {
    let used = own.measured.len() + own.wrong.len();
    let engine = practice.engine();
    let program = match engine {
        Some(n) => format!("the program itself needs {} at the pin", counted(n, "measurement")),
        None => "the program itself does not find it at the pin".into(),
    };
    let you = format!("You: {}", counted(used, "measurement"));
    match (end, engine) {
        (End::GivenUp, _) => format!("{you}; {program}."),
        (End::Named(..), Some(n)) if used < n => format!("{you}; {program}: you were quicker."),
        (End::Named(..), Some(n)) if used == n => format!("{you}; {program}: even."),
        (End::Named(..), _) => format!("{you}; {program}."),
    }
}
