//! Page "Log": a log recorded in the machine, held to the drawing.

mod columns;
mod events;
mod figures;
mod paint;
mod plot;
mod window;

use egui::{CollapsingHeader, ProgressBar, RichText, ScrollArea, Ui};

use crate::app::action::Action;
use crate::app::log_study::{LogAsk, LogStanding};
use crate::app::prove_studies::ProveAsk;
use crate::app::theme;
use crate::app::widgets::{Half, Pen, halves_ui, heading, quiet};
use crate::model::SensePin;
use crate::proving::replay::{Log, Replay, length_words};
use crate::units::counted;

use window::Shown;

/// What the page remembers between frames.
#[derive(Default)]
pub struct LogState {
    /// The file and matching the rest belongs to.
    number: u64,
    /// The stretch of time in sight.
    shown: Option<Shown>,
    /// The event that is picked.
    picked: Option<usize>,
    /// The event the plot was last brought into sight for.
    seen: Option<usize>,
    /// Height of the plot in this frame.
    plot_height: f32,
}

/// Rows that could not be read which are listed; the text command lists all.
const LISTED: usize = 50;

/// Below this width, in points, the page is one column that scrolls as a whole.
const WIDE: f32 = 860.0;

/// The page.
pub fn log_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, own: &mut LogState) {
    // The plot takes what is left below its buttons, and something of the events stays in sight.
    own.plot_height = (ui.available_height() * 0.53).clamp(160.0, 420.0);
    if ui.available_width() >= WIDE {
        return page_ui(ui, pen, own);
    }
    ScrollArea::vertical().id_salt("log page").auto_shrink(false).show(ui, |ui| {
        page_ui(ui, pen, own);
    });
}

fn page_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, own: &mut LogState) {
    let view = pen.view;
    let palette = view.palette;
    let study = &view.studies.proving.log;
    if own.number != study.number() {
        let plot_height = own.plot_height;
        *own = LogState { number: study.number(), plot_height, ..LogState::default() };
    }
    head_ui(ui, pen);
    let standing = study.standing();
    if let LogStanding::Closed = standing {
        let words = "A table recorded in the machine (CSV): the time, what the pin read in ohms, volts or counts, and perhaps the supply and how the controls stood. It is decoded by the bands of the drawing, and what went wrong is listed. The file is only read.";
        quiet(ui, words, palette);
        return;
    }
    let Some(pin) = view.pin.and_then(|pin| view.project.sense_pins.get(pin)) else {
        let words = "A log is held to a sense pin: set one first.";
        ui.label(RichText::new(words).color(palette.warning));
        return;
    };
    let is_refused = matches!(standing, LogStanding::Refused(_));
    if let Some((outline, matching)) = study.columns() {
        CollapsingHeader::new(RichText::new("Columns").small().color(palette.quiet))
            .id_salt(("log columns", is_refused))
            .default_open(is_refused)
            .show(ui, |ui| {
                quiet(ui, columns::summary(view.project, outline, matching), palette);
                columns::columns_ui(ui, pen, outline, matching);
            });
    }
    match standing {
        LogStanding::Closed => {}
        LogStanding::Coming(share) => {
            ui.horizontal(|ui| {
                ui.add(ProgressBar::new(share).desired_width(260.0).show_percentage());
                if ui.button("Stop").clicked() {
                    ask(pen, LogAsk::Stop);
                }
            });
        }
        LogStanding::Stopped => {
            ui.horizontal(|ui| {
                ui.label("Loading was stopped.");
                if ui.button("Load").clicked() {
                    ask(pen, LogAsk::GoOn);
                }
            });
        }
        LogStanding::Refused(why) => {
            ui.label(RichText::new(format!("⚠ Not shown: {why}.")).color(palette.wrong));
        }
        LogStanding::Deciding(log) => {
            ui.horizontal(|ui| {
                ui.spinner();
                quiet(ui, format!("Decoding {} …", counted(log.n_rows(), "row")), palette);
                if ui.button("Stop").clicked() {
                    ask(pen, LogAsk::Stop);
                }
            });
        }
        LogStanding::Ready(log, replay) => ready_ui(ui, pen, own, (pin, log, replay)),
    }
}

fn ask(pen: &mut Pen<'_, '_>, ask: LogAsk) {
    pen.actions.push(Action::AskProve(ProveAsk::Log(ask)));
}

/// Name of the file, and the buttons for another one.
fn head_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let name = pen.view.studies.proving.log.name();
    ui.horizontal_wrapped(|ui| {
        let words = name.as_deref().unwrap_or("Log of the machine");
        ui.label(RichText::new(words).font(theme::bold(theme::TEXT_HEADING)));
        if ui.button("Open a log…").clicked() {
            pen.actions.push(Action::OpenLog(None));
        }
        match name {
            Some(_) => {
                if ui.button("Close the log").clicked() {
                    ask(pen, LogAsk::Close);
                }
            }
            None => {
                quiet(ui, "or drop a file here", pen.view.palette);
            }
        }
    });
}

fn ready_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    own: &mut LogState,
    (pin, log, replay): (&SensePin, &Log, &Replay),
) {
    let view = pen.view;
    let mut words =
        format!("{} over {}", counted(log.n_rows(), "row"), length_words(replay.summary.span_s));
    if log.is_regular {
        words += &format!(", one every {}", length_words(log.step_s));
    }
    if replay.summary.gaps > 0 {
        words += &format!(", silent {}", counted(replay.summary.gaps, "time"));
    }
    quiet(ui, words, view.palette);
    for note in log.notes.iter().chain(&replay.notes) {
        ui.label(RichText::new(format!("▲ {note}")).small().color(view.palette.warning));
    }
    if !log.refused.is_empty() {
        refused_ui(ui, pen, log);
    }
    let shown = own.shown.get_or_insert_with(|| Shown::whole(log));
    let (mut jump, picked, height) = (None, own.picked, own.plot_height);
    let is_wide = ui.available_width() >= WIDE;
    let mut half_ui = |ui: &mut Ui, half: Half| match half {
        Half::First => {
            window::buttons_ui(ui, log, replay, shown, &mut own.picked);
            let what = (pin, log, replay);
            let hand = plot::plot_ui(ui, view, what, (shown, own.picked), height);
            // Where the page scrolls, an event that is picked should be seen.
            if own.picked.is_some() && own.picked != own.seen {
                hand.scroll_to_me(Some(egui::Align::Center));
            }
            own.seen = own.picked;
            if is_wide {
                figures::figures_ui(ui, view, (pin, replay));
            }
        }
        Half::Second => {
            heading(ui, &events::count_words(replay));
            jump = events::events_ui(ui, view, (pin, log, replay), picked).or(jump);
        }
    };
    if is_wide {
        halves_ui(ui, 0.64, &mut half_ui);
    } else {
        half_ui(ui, Half::First);
        half_ui(ui, Half::Second);
        figures::figures_ui(ui, view, (pin, replay));
    }
    if let Some(idx) = jump {
        own.picked = Some(idx);
        if let Some(shown) = &mut own.shown {
            shown.show_event(log, &replay.events[idx]);
        }
    }
}

/// Rows that could not be read, by line and column.
fn refused_ui(ui: &mut Ui, pen: &Pen<'_, '_>, log: &Log) {
    let palette = pen.view.palette;
    let title = format!("▲ {} could not be read", counted(log.refused.len(), "row"));
    CollapsingHeader::new(RichText::new(title).small().color(palette.warning))
        .id_salt("log refused")
        .show(ui, |ui| {
            for refused in log.refused.iter().take(LISTED) {
                quiet(ui, refused.words(), palette);
            }
            if let Some(more) = log.refused.len().checked_sub(LISTED).filter(|n| *n > 0) {
                quiet(ui, format!("and {more} more; ohmloom replay lists all"), palette);
            }
        });
}
