//! The page that works out what the controller is from what was measured.

use egui::{Grid, Label, RichText, TextEdit, Ui};

use crate::app::action::Actions;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{
    Half, halves_ui, label_cell, parse_ohms, parse_unit, quiet, word_button,
};
use crate::edit::Edit;
use crate::model::{SensePin, Side};
use crate::study::infer::{self, Joined, Pair, TableVerdict};
use crate::units::{Tolerant, format_ohm, format_volt, round_figures};

/// The meter's error where none is said: 1 % and 10 mV (common practice, no source).
const METER: (f64, f64) = (0.01, 0.01);

/// What the page remembers between frames.
#[derive(Default)]
pub struct InferState {
    /// The side a hand has chosen; `None` is that of the pin.
    side: Option<Side>,
    ohm: String,
    volt: String,
    reference: String,
    table: String,
    one: String,
    other: String,
    both: String,
    none: String,
}

/// Pull and presses beside the table.
pub fn infer_ui(ui: &mut Ui, view: View<'_>, own: &mut InferState, actions: &mut Actions) {
    let title = "What the controller is, from what was measured";
    ui.label(RichText::new(title).font(theme::bold(theme::TEXT_HEADING)));
    let of_pin = pin_of(view).map_or(Side::Ground, |pin| pin.side);
    let mut side = own.side.unwrap_or(of_pin);
    ui.horizontal_wrapped(|ui| {
        label_cell(ui, "Side", view.palette);
        for (one, word) in [(Side::Ground, "ground side"), (Side::Supply, "supply side")] {
            if ui.selectable_value(&mut side, one, word).clicked() {
                own.side = Some(one);
            }
        }
    });
    halves_ui(ui, 0.5, &mut |ui, half| match half {
        Half::First => {
            pull_ui(ui, view, side, own, actions);
            ui.add_space(8.0);
            presses_ui(ui, view, own);
        }
        Half::Second => table_ui(ui, view, side, own, actions),
    });
}

fn pin_of(view: View<'_>) -> Option<&SensePin> {
    view.project.sense_pins.get(view.pin?)
}

fn heading(ui: &mut Ui, text: &str) {
    ui.label(RichText::new(text).font(theme::bold(theme::TEXT_BODY)));
}

fn field(ui: &mut Ui, view: View<'_>, text: &mut String, (label, name, hint): (&str, &str, &str)) {
    ui.horizontal(|ui| {
        label_cell(ui, label, view.palette);
        ui.add(TextEdit::singleline(text).hint_text(hint).desired_width(110.0))
            .accessible_name(name);
    });
}

fn refusal(ui: &mut Ui, view: View<'_>, sentence: &str) {
    let words = RichText::new(format!("⚠ {sentence}.")).small().color(view.palette.wrong);
    ui.add(Label::new(words).wrap());
}

fn pull_ui(ui: &mut Ui, view: View<'_>, side: Side, own: &mut InferState, actions: &mut Actions) {
    heading(ui, "The pull, from one known resistor");
    let ends = match side {
        Side::Ground => "the pin and the return",
        Side::Supply => "the pin and the reference",
    };
    quiet(
        ui,
        format!("Put a resistor between {ends} and measure the volts at the pin."),
        view.palette,
    );
    field(ui, view, &mut own.ohm, ("Resistor", "Known resistor", "2k2"));
    field(ui, view, &mut own.volt, ("Volts", "Volts at the pin", "3.44 V"));
    field(ui, view, &mut own.reference, ("Reference", "Volts of the reference", "5 V"));
    if [&own.ohm, &own.volt, &own.reference].iter().all(|text| text.trim().is_empty()) {
        return;
    }
    let volts = |text: &str| parse_unit(text, "V", "volts such as 3.44 V");
    let answer = parse_ohms(&own.ohm)
        .and_then(|ohm| Ok((Pair { ohm, volt: volts(&own.volt)? }, volts(&own.reference)?)))
        .and_then(|(pair, reference)| Ok((infer::pull(side, pair, reference)?, reference)));
    match answer {
        Ok((pull, reference)) => {
            ui.label(RichText::new(format!("The pull is {}", format_ohm(pull))).strong());
            take_ui(ui, view, side, (pull, reference), actions);
        }
        Err(sentence) => refusal(ui, view, &sentence),
    }
}

/// The word that writes what was found into the pin.
fn take_ui(
    ui: &mut Ui,
    view: View<'_>,
    side: Side,
    (pull_ohm, reference_volt): (f64, f64),
    actions: &mut Actions,
) {
    let (Some(id), Some(pin)) = (view.pin, pin_of(view)) else { return };
    let words = format!("take pull and reference for {}", view.project.terminal_name(pin.terminal));
    let tip = "Rounded to four figures; known tolerances stay, unknown ones become 1 %";
    if word_button(ui, &words, view.palette.chosen).on_hover_text(tip).clicked() {
        let known = |old: Option<Tolerant>, nominal: f64| {
            let tolerance = old.map_or(METER.0, |old| old.tolerance);
            Some(Tolerant { nominal: round_figures(nominal, 4), tolerance })
        };
        let taught = SensePin {
            side,
            pull_ohm: known(pin.pull_ohm, pull_ohm),
            reference_volt: known(pin.reference_volt, reference_volt),
            ..pin.clone()
        };
        actions.edit(Edit::SetSensePin(id, Box::new(taught)));
    }
}

fn presses_ui(ui: &mut Ui, view: View<'_>, own: &mut InferState) {
    heading(ui, "How two switches join, from two presses");
    quiet(ui, "Ohms at the unplugged plug with one pressed, the other, and both.", view.palette);
    field(ui, view, &mut own.one, ("One", "Ohms with the one pressed", "1k21"));
    field(ui, view, &mut own.other, ("The other", "Ohms with the other pressed", "3k48"));
    field(ui, view, &mut own.both, ("Both", "Ohms with both pressed", "898"));
    field(ui, view, &mut own.none, ("None", "Ohms with none pressed", "open"));
    if [&own.one, &own.other, &own.both].iter().any(|text| text.trim().is_empty()) {
        return;
    }
    let ohms = |text: &str| {
        let is_open = ["", "open", "ol"].contains(&text.trim().to_lowercase().as_str());
        if is_open { Ok(f64::INFINITY) } else { parse_ohms(text) }
    };
    let joined = ohms(&own.one).and_then(|one| {
        let (other, both, none) = (ohms(&own.other)?, ohms(&own.both)?, ohms(&own.none)?);
        Ok(infer::two_presses(one, other, both, none, METER.0))
    });
    match joined {
        Ok(joined) => {
            let sign = if joined == Joined::Unknown { "?" } else { "✔" };
            let words = RichText::new(format!("{sign} {}", joined.words())).strong();
            ui.add(Label::new(words).wrap());
        }
        Err(sentence) => refusal(ui, view, &sentence),
    }
}

fn table_ui(ui: &mut Ui, view: View<'_>, side: Side, own: &mut InferState, actions: &mut Actions) {
    heading(ui, "Pull and reference, from a table");
    quiet(
        ui,
        "Paste ohms and volts, a pair a line; headings and decimal commas are understood.",
        view.palette,
    );
    let width = ui.available_width() - 6.0;
    ui.add(
        TextEdit::multiline(&mut own.table)
            .hint_text("680 2.02\n1k5 3.00\n3k3 3.84\nopen 5.00")
            .desired_rows(5)
            .desired_width(width),
    )
    .accessible_name("Ohms and volts");
    if own.table.trim().is_empty() {
        return;
    }
    let answer = infer::parse_table(&own.table)
        .and_then(|pairs| Ok((infer::table(side, &pairs, METER)?, pairs)));
    match answer {
        Ok((verdict, pairs)) => verdict_ui(ui, view, (side, &verdict, &pairs), actions),
        Err(sentence) => refusal(ui, view, &sentence),
    }
}

fn verdict_ui(
    ui: &mut Ui,
    view: View<'_>,
    (side, verdict, pairs): (Side, &TableVerdict, &[Pair]),
    actions: &mut Actions,
) {
    let fit = &verdict.fit;
    let figures =
        format!("pull {}, reference {}", format_ohm(fit.pull_ohm), format_volt(fit.reference_volt));
    if verdict.is_good {
        let words = match pairs.len() {
            0..3 => format!("{figures}: two rows cannot check each other, add a third"),
            _ => format!("✔ {figures}: every row agrees"),
        };
        ui.label(RichText::new(words).strong());
        take_ui(ui, view, side, (fit.pull_ohm, fit.reference_volt), actions);
    } else {
        let words = RichText::new("✖ No single value fits").color(view.palette.wrong).strong();
        ui.label(words);
        quiet(ui, format!("Nearest: {figures}."), view.palette);
        for cause in &verdict.causes {
            ui.add(Label::new(format!("Likely: {cause}.")).wrap());
        }
    }
    ui.add_space(4.0);
    Grid::new("residuals").spacing([18.0, 3.0]).show(ui, |ui| {
        for word in ["Ohms", "Volts", "Off by"] {
            let font = theme::bold(theme::TEXT_SMALL);
            ui.label(RichText::new(word).font(font).color(view.palette.quiet));
        }
        ui.end_row();
        for (pair, rest) in pairs.iter().zip(&fit.residual_volt) {
            ui.label(format_ohm(pair.ohm));
            ui.label(format_volt(pair.volt));
            let is_off = rest.abs() > METER.0 * pair.volt + METER.1;
            let words =
                format!("{}{:.1} mV", if *rest < 0.0 { "−" } else { "+" }, rest.abs() * 1e3);
            let colour = if is_off { view.palette.wrong } else { view.palette.ink };
            let sign = if is_off { "✖ " } else { "" };
            ui.label(RichText::new(format!("{sign}{words}")).color(colour));
            ui.end_row();
        }
    });
}
