//! Which sheets are printed and in which order; below it paper, date and labels.

use egui::{Align, Button, Label, Layout, RichText, Ui, vec2};

use crate::app::action::{Action, Actions};
use crate::app::packet::choices::PrintChoices;
use crate::app::packet::state::PacketState;
use crate::app::packet::{labels, paper};
use crate::app::view::View;
use crate::app::widgets::{heading, quiet, word_button};
use crate::sheets::{Packet, SheetKind};

/// The tab.
pub fn sheets_ui(
    ui: &mut Ui,
    view: View<'_>,
    packet: Option<&Packet>,
    (own, actions): (&mut PacketState, &mut Actions),
) {
    let mut wanted = view.packet.choices().clone();
    ui.horizontal(|ui| {
        if word_button(ui, "Pick all", view.palette.chosen).clicked() {
            wanted.sheets.iter_mut().for_each(|(_, is_on)| *is_on = true);
        }
        if word_button(ui, "Pick none", view.palette.chosen).clicked() {
            wanted.sheets.iter_mut().for_each(|(_, is_on)| *is_on = false);
        }
        if word_button(ui, "As at first", view.palette.chosen).clicked() {
            wanted.sheets = PrintChoices::default().sheets;
        }
    });
    let rows = wanted.sheets.clone();
    let n_rows = rows.len();
    for (idx, (kind, is_on)) in rows.into_iter().enumerate() {
        ui.push_id(kind.word(), |ui| {
            row_ui(ui, view, packet, (own, (kind, is_on)), ((idx, n_rows), &mut wanted));
        });
    }
    quiet(
        ui,
        "The build board is the harness at full size on many pages, with a map of which page lies where.",
        view.palette,
    );
    paper::paper_ui(ui, view, (own, &mut wanted), actions);
    heading(ui, "Labels");
    labels::labels_ui(ui, view, (own, &mut wanted));
    ui.add_space(8.0);
    if wanted != *view.packet.choices() {
        actions.push(Action::ChoosePrint(Box::new(wanted)));
    }
}

fn row_ui(
    ui: &mut Ui,
    view: View<'_>,
    packet: Option<&Packet>,
    (own, (kind, is_on)): (&mut PacketState, (SheetKind, bool)),
    ((idx, n_rows), wanted): ((usize, usize), &mut PrintChoices),
) {
    ui.allocate_ui_with_layout(
        vec2(ui.available_width(), ui.spacing().interact_size.y),
        Layout::right_to_left(Align::Center),
        |ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            for (sign, word, by, is_enabled) in
                [("▼", "down", 1, idx + 1 < n_rows), ("▲", "up", -1, idx > 0)]
            {
                let sign = RichText::new(sign).color(view.palette.quiet);
                let button = Button::new(sign).frame(false).min_size(vec2(22.0, 22.0));
                let name = format!("Move {} {word}", kind.title());
                let response = ui.add_enabled(is_enabled, button).on_hover_text(&name);
                response.widget_info(|| {
                    egui::WidgetInfo::labeled(egui::Role::Button, is_enabled, name.as_str())
                });
                if response.clicked() {
                    *wanted = wanted.moved(kind, by);
                }
            }
            pages_word_ui(ui, view, packet, (own, kind));
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let mut is_picked = is_on;
                let ticked = ui.checkbox(&mut is_picked, "");
                ticked.widget_info(|| {
                    egui::WidgetInfo::selected(egui::Role::CheckBox, true, is_on, kind.title())
                });
                let colour = if is_on { view.palette.ink } else { view.palette.quiet };
                let title = Label::new(RichText::new(kind.title()).color(colour)).truncate();
                let title = ui.add(title.sense(egui::Sense::click()).selectable(false));
                let is_clicked = title.clicked();
                if (is_clicked || ticked.changed())
                    && let Some(row) = wanted.sheets.iter_mut().find(|(other, _)| *other == kind)
                {
                    row.1 = !is_on;
                }
            });
        },
    );
}

/// `p. 5–8`: leads to the sheet's first page.
fn pages_word_ui(
    ui: &mut Ui,
    view: View<'_>,
    packet: Option<&Packet>,
    (own, kind): (&mut PacketState, SheetKind),
) {
    let Some(packet) = packet else { return };
    let Some(mark) = packet.bookmarks.iter().find(|mark| mark.kind == kind) else { return };
    let word = match mark.n_pages {
        1 => format!("p. {}", mark.page + 1),
        n => format!("p. {}–{}", mark.page + 1, mark.page + n),
    };
    let response = word_button(ui, &word, view.palette.chosen);
    let name = format!("Show {}, {word}", kind.title());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, name.as_str()));
    if response.on_hover_text("Show its first page").clicked() {
        own.show_page(packet, mark.page);
    }
}
