//! The list of events; a click or Enter leads there.

use egui::{Button, Color32, RichText, Ui};

use crate::app::theme::{self, Palette};
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::model::SensePin;
use crate::proving::replay::{
    Event, EventKind, Log, Replay, event_words, expected_words, length_words, read_words,
};
use crate::units::counted;

/// Events listed; more are found by going closer.
const LISTED: usize = 300;

/// `7 events`.
pub fn count_words(replay: &Replay) -> String {
    match replay.events.len() {
        0 => "No events".to_owned(),
        n => counted(n, "event"),
    }
}

/// Sign and colour of a kind; the words stand beside it.
pub fn look(palette: &Palette, kind: EventKind) -> (&'static str, Color32) {
    match kind {
        EventKind::WrongAction => ("✖", palette.wrong),
        EventKind::Detected => ("✖", palette.wrong),
        EventKind::Intermittent => ("▲", palette.warning),
        EventKind::InGuard => ("▲", palette.warning),
        EventKind::Dip => ("▼", palette.warning),
        EventKind::Drift => ("▲", palette.warning),
        EventKind::Brief => ("●", palette.quiet),
    }
}

/// The list. Returns the event a hand picked.
pub fn events_ui(
    ui: &mut Ui,
    view: View<'_>,
    (pin, log, replay): (&SensePin, &Log, &Replay),
    picked: Option<usize>,
) -> Option<usize> {
    let palette = view.palette;
    if replay.events.is_empty() {
        let is_all_known =
            log.refused.is_empty() && log.notes.is_empty() && replay.notes.is_empty();
        let words = match is_all_known {
            true => "Every reading is one the controls give, and none left its band.",
            false => "No event was found by these rules.",
        };
        ui.label(RichText::new(format!("✔ {words}")).color(palette.right));
        return None;
    }
    let mut clicked = None;
    for (idx, event) in replay.events.iter().enumerate().take(LISTED) {
        let is_picked = picked == Some(idx);
        let (sign, colour) = look(palette, event.kind);
        let title = format!("{sign} {}  {}", log.time_words(event.from_s), event.kind.word());
        let text = RichText::new(title.as_str()).font(theme::bold(theme::TEXT_BODY)).color(colour);
        let button = Button::selectable(is_picked, text).wrap();
        let response = ui.add(button).on_hover_text("Shows it in the plot");
        if response.clicked() {
            clicked = Some(idx);
        }
        ui.indent(("log event", idx), |ui| {
            ui.label(format!("{}.", capital(&event_words(pin, replay, log, event))));
            quiet(ui, detail_words(pin, log, event), palette);
        });
    }
    if let Some(more) = replay.events.len().checked_sub(LISTED).filter(|n| *n > 0) {
        quiet(ui, format!("and {more} more; ohmloom replay lists all"), palette);
    }
    clicked
}

fn detail_words(pin: &SensePin, log: &Log, event: &Event) -> String {
    let read = read_words(pin, event.read);
    let expected = expected_words(pin, event);
    let drawing =
        if expected.is_empty() { String::new() } else { format!("; the drawing gives {expected}") };
    format!(
        "line {}, {}: read {read}{drawing}",
        log.line[event.first],
        length_words(event.length_s())
    )
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
