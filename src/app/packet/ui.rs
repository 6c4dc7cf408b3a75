//! The packet's view: what is chosen at the left, the page in the middle, all pages small at the right.
//! In a narrow window they take turns.

use egui::{Align, Layout, RichText, ScrollArea, Ui, vec2};

use crate::app::action::{Action, Actions};
use crate::app::command::Command;
use crate::app::packet::state::{PacketState, PacketTab};
use crate::app::packet::study::GivenUp;
use crate::app::packet::{header, lists, pages, preview, sheets};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::quiet;
use crate::sheets::Packet;

/// From this width on all pages stand at the right.
const WIDE: f32 = 980.0;
/// From this width on the preview stands beside the tabs.
const MEDIUM: f32 = 620.0;
/// Width of the pages at the right.
const PAGES_WIDTH: f32 = 168.0;
/// Air between two columns.
const GAP: f32 = 12.0;

/// Draws the view.
pub fn packet_ui(ui: &mut Ui, view: View<'_>, own: &mut PacketState, actions: &mut Actions) {
    theme::card(view.palette).show(ui, |ui| {
        ui.set_min_size(ui.available_size());
        ui.spacing_mut().scroll = egui::style::ScrollStyle::thin();
        header::header_ui(ui, view, actions);
        ui.add_space(2.0);
        let shown = view.packet.shown(view.history.revision());
        if let Some((packet, true)) = shown
            && own.sheet_wanted.is_some()
        {
            own.show_wanted(packet);
        }
        let packet = shown.map(|(packet, _)| &**packet);
        if let Some(packet) = packet {
            own.page = own.page.min(packet.pages.len().saturating_sub(1));
            preview::page_keys(ui, packet, own);
        }
        let full = ui.available_size();
        if full.x < MEDIUM {
            use PacketTab::{Blank, Pages, Preview, Sheets, Tables};
            tabs_ui(ui, view, packet, (own, &[Preview, Pages, Sheets, Blank, Tables]));
            tab_ui(ui, view, packet, (own, actions));
        } else {
            columns_ui(ui, view, packet, (own, actions));
        }
        let is_free = !ui.ctx().text_edit_focused();
        if is_free
            && ui.input_mut(|input| input.consume_key(egui::Modifiers::NONE, egui::Key::Escape))
        {
            actions.push(Action::Run(Command::Packet));
        }
    });
}

fn columns_ui(
    ui: &mut Ui,
    view: View<'_>,
    packet: Option<&Packet>,
    (own, actions): (&mut PacketState, &mut Actions),
) {
    let full = ui.available_size();
    let is_wide = full.x >= WIDE;
    let left = if is_wide { 312.0 } else { (full.x * 0.42).min(300.0) };
    let right = if is_wide { PAGES_WIDTH } else { 0.0 };
    let n_gaps = if is_wide { 2.0 } else { 1.0 };
    let middle = full.x - left - right - n_gaps * GAP;
    ui.with_layout(Layout::left_to_right(Align::Min), |ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        column(ui, vec2(left, full.y), |ui| {
            use PacketTab::{Blank, Pages, Sheets, Tables};
            if is_wide {
                tabs_ui(ui, view, packet, (own, &[Sheets, Blank, Tables]));
            } else {
                tabs_ui(ui, view, packet, (own, &[Sheets, Pages, Blank, Tables]));
            }
            tab_ui(ui, view, packet, (own, actions));
        });
        ui.add_space(GAP);
        column(ui, vec2(middle, full.y), |ui| preview_or_why(ui, view, packet, (own, actions)));
        if let (true, Some(packet)) = (is_wide, packet) {
            ui.add_space(GAP);
            column(ui, vec2(right, full.y), |ui| pages::pages_ui(ui, view, packet, own));
        }
    });
}

fn column(ui: &mut Ui, size: egui::Vec2, add: impl FnOnce(&mut Ui)) {
    ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
        ui.set_min_size(size);
        ui.set_max_size(size);
        ui.spacing_mut().item_spacing.x = 8.0;
        add(ui);
    });
}

/// The tabs there is room for; what is chosen elsewhere falls back on the first.
fn tabs_ui(
    ui: &mut Ui,
    view: View<'_>,
    packet: Option<&Packet>,
    (own, tabs): (&mut PacketState, &[PacketTab]),
) {
    if !tabs.contains(&own.tab) {
        own.tab = tabs[0];
    }
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        ui.spacing_mut().button_padding.x = 7.0;
        for tab in tabs {
            let is_shown = own.tab == *tab;
            let n_blank = packet.map_or(0, |packet| packet.blanks.len());
            let word = match tab {
                PacketTab::Blank if n_blank > 0 => format!("{} ({n_blank})", tab.word()),
                PacketTab::Preview
                | PacketTab::Pages
                | PacketTab::Sheets
                | PacketTab::Blank
                | PacketTab::Tables => tab.word().to_owned(),
            };
            let word = RichText::new(word).font(theme::bold(theme::TEXT_BODY));
            let word = word.color(if is_shown { view.palette.ink } else { view.palette.quiet });
            let response = ui.selectable_label(is_shown, word);
            if response.clicked() {
                own.tab = *tab;
            }
        }
    });
    ui.add_space(2.0);
}

fn tab_ui(
    ui: &mut Ui,
    view: View<'_>,
    packet: Option<&Packet>,
    (own, actions): (&mut PacketState, &mut Actions),
) {
    let scrolled = |ui: &mut Ui, name: &str, add: &mut dyn FnMut(&mut Ui)| {
        ScrollArea::vertical().id_salt(name).auto_shrink(false).show(ui, |ui| add(ui));
    };
    match (own.tab, packet) {
        (PacketTab::Sheets, packet) => scrolled(ui, "sheets", &mut |ui| {
            sheets::sheets_ui(ui, view, packet, (own, actions));
        }),
        (PacketTab::Preview, _) | (_, None) => {
            preview_or_why(ui, view, packet, (own, actions));
        }
        (PacketTab::Pages, Some(packet)) => pages::pages_ui(ui, view, packet, own),
        (PacketTab::Blank, Some(packet)) => scrolled(ui, "blanks", &mut |ui| {
            lists::blanks_ui(ui, view, packet, (own, actions));
        }),
        (PacketTab::Tables, Some(packet)) => scrolled(ui, "tables", &mut |ui| {
            lists::tables_ui(ui, view, packet, (own, actions));
        }),
    }
}

/// The page, or why there is none.
fn preview_or_why(
    ui: &mut Ui,
    view: View<'_>,
    packet: Option<&Packet>,
    (own, actions): (&mut PacketState, &mut Actions),
) {
    let given_up = view.packet.given_up(view.history.revision());
    let words = match (packet, given_up) {
        (Some(packet), _) if !packet.pages.is_empty() => {
            return preview::preview_ui(ui, view, packet, (own, actions));
        }
        (Some(_), _) => "No sheet is picked. Pick sheets at the left, or under Sheets.",
        (None, Some(GivenUp::Stopped)) => "The pages were not made: it was stopped.",
        (None, Some(GivenUp::Failed)) => "The pages could not be made. The project is unharmed.",
        (None, None) => "The pages are being made …",
    };
    quiet(ui, words, view.palette);
}
