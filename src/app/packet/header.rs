//! The line above the packet: how far it is, saving, stopping, closing.

use egui::{Button, Label, RichText, Ui};

use crate::app::action::{Action, Actions};
use crate::app::command::Command;
use crate::app::packet::saving::SaveWhat;
use crate::app::packet::study::GivenUp;
use crate::app::theme;
use crate::app::view::View;
use crate::sheets::SheetKind;
use crate::units::counted;

/// Title, what is going on, and the buttons.
pub fn header_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("Packet").font(theme::bold(18.0)));
        save_ui(ui, view, actions);
        if ui.button("Close").on_hover_text("Back to the work (Esc)").clicked() {
            actions.push(Action::Run(Command::Packet));
        }
        ui.add_space(6.0);
        standing_ui(ui, view, actions);
    });
}

fn save_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let shown = view.packet.shown(view.history.revision());
    let is_ready = shown.is_some_and(|(packet, is_current)| is_current && !packet.pages.is_empty())
        && view.packet.saving().is_none();
    let has_tables = shown.is_some_and(|(packet, _)| !packet.tables.is_empty());
    let wait = "The pages have to be there first";
    for (word, tip, what, is_ready) in [
        ("Save PDF…", "All pages in one file", SaveWhat::Pdf, is_ready),
        ("Save SVGs…", "A picture of each page, into a folder", SaveWhat::Svgs, is_ready),
        (
            "Save tables…",
            "Each table as CSV, into a folder",
            SaveWhat::Tables,
            is_ready && has_tables,
        ),
    ] {
        let is_main = what == SaveWhat::Pdf;
        let text = RichText::new(word);
        let button = if is_main && is_ready {
            let text = text.font(theme::bold(theme::TEXT_BODY)).color(view.palette.card);
            Button::new(text).fill(view.palette.live)
        } else {
            Button::new(text)
        };
        let response = ui.add_enabled(is_ready, button);
        if response.on_hover_text(tip).on_disabled_hover_text(wait).clicked() {
            actions.push(Action::SavePacket(what));
        }
    }
}

/// How far it is, or how many pages and blanks there are.
fn standing_ui(ui: &mut Ui, view: View<'_>, actions: &mut Actions) {
    let palette = view.palette;
    let shown = view.packet.shown(view.history.revision());
    let busy = busy_words(view);
    if let Some(words) = busy {
        ui.spinner();
        ui.add(Label::new(RichText::new(words).color(palette.ink)).extend());
        if ui.button("Stop").on_hover_text("No half file is left").clicked() {
            actions.push(Action::StopPacket);
        }
        if shown.is_some_and(|(_, is_current)| !is_current) {
            let words = "These pages are from before your last change.";
            ui.label(RichText::new(words).small().color(palette.warning));
        }
        return;
    }
    if let Some(why) = view.packet.given_up(view.history.revision()) {
        let words = match why {
            GivenUp::Stopped => "▲ Stopped before all pages were made.",
            GivenUp::Failed => "✖ The pages could not be made; the project is unharmed.",
        };
        ui.label(RichText::new(words).color(palette.warning));
        if ui.button("Make the pages").clicked() {
            actions.push(Action::MakePacket);
        }
        return;
    }
    if let Some((packet, _)) = shown {
        let blank = match packet.blanks.len() {
            0 => "nothing blank".to_owned(),
            n => format!("{n} still blank"),
        };
        let words = format!("{}, {blank}", counted(packet.pages.len(), "page"));
        ui.add(Label::new(RichText::new(words).color(palette.quiet)).extend());
    }
}

/// What a worker is at, in words; `None` where none is at work.
fn busy_words(view: View<'_>) -> Option<String> {
    if let Some(saved) = view.packet.saving() {
        return Some(match saved {
            Some(saved) => format!("Writing {} of {} …", saved.n_done + 1, saved.n_all.max(1)),
            None => "Writing …".into(),
        });
    }
    let making = view.packet.making()?;
    Some(match making {
        Some(making) => {
            let what = making.kind.map_or("the states", SheetKind::title);
            format!("Making sheet {} of {}: {what} …", making.n_done + 1, making.n_all.max(1))
        }
        None => "Making the pages …".into(),
    })
}
