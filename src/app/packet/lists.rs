//! What is still blank, each with the way there; and the tables, each with its CSV.

use egui::{Align, Label, Layout, RichText, Ui, vec2};

use crate::app::action::{Action, Actions};
use crate::app::packet::saving::SaveWhat;
use crate::app::packet::state::PacketState;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{is_out_of_sight, quiet, word_button};
use crate::model::{Project, Subject};
use crate::sheets::{Blank, Bookmark, Packet};

/// More blanks of one sheet are counted, not listed.
const MOST_OF_A_SHEET: usize = 40;

/// The tab of what is still blank.
pub fn blanks_ui(
    ui: &mut Ui,
    view: View<'_>,
    packet: &Packet,
    (own, actions): (&mut PacketState, &mut Actions),
) {
    if packet.blanks.is_empty() {
        quiet(ui, "Nothing is blank on these sheets.", view.palette);
        return;
    }
    quiet(
        ui,
        "What the project does not know is printed as a blank to write on, never made up.",
        view.palette,
    );
    for mark in &packet.bookmarks {
        let mut blanks = packet.blanks.iter().filter(|blank| blank.sheet == mark.kind);
        let listed: Vec<&Blank> = blanks.by_ref().take(MOST_OF_A_SHEET).collect();
        if listed.is_empty() {
            continue;
        }
        ui.add_space(6.0);
        title_ui(ui, view, packet, (own, mark));
        for blank in listed {
            blank_ui(ui, view, blank, actions);
        }
        let n_more = blanks.count();
        if n_more > 0 {
            quiet(ui, format!("… and {n_more} more, see the sheet."), view.palette);
        }
    }
}

/// Title of a sheet; leads to its first page.
fn title_ui(
    ui: &mut Ui,
    view: View<'_>,
    packet: &Packet,
    (own, mark): (&mut PacketState, &Bookmark),
) {
    ui.horizontal(|ui| {
        ui.label(RichText::new(&mark.title).font(theme::bold(theme::TEXT_BODY)));
        let word = format!("p. {}", mark.page + 1);
        let response = word_button(ui, &word, view.palette.chosen);
        let name = format!("Show the page of {}", mark.title);
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, name.as_str()));
        if response.clicked() {
            own.show_page(packet, mark.page);
        }
    });
}

fn blank_ui(ui: &mut Ui, view: View<'_>, blank: &Blank, actions: &mut Actions) {
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.label(RichText::new("–").color(view.palette.quiet));
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = 1.0;
            ui.add(Label::new(RichText::new(&blank.what).small()).wrap());
            if let Some((subject, name)) =
                blank.about.and_then(|about| Some((about, name_of(view.project, about)?)))
            {
                let response = word_button(ui, &format!("→ {name}"), view.palette.chosen);
                if response.on_hover_text("Go there").clicked() {
                    actions.push(Action::ShowSubject(subject));
                }
            }
        });
    });
}

/// What a blank leads to, by its name.
fn name_of(project: &Project, subject: Subject) -> Option<String> {
    match subject {
        Subject::Project => None,
        Subject::Part(id) => project.parts.get(id).map(|part| part.name.clone()),
        Subject::Wire(id) => project.wires.get(id).map(|wire| wire.name.clone()),
        Subject::Frame(id) => project.frames.get(id).map(|frame| frame.name.clone()),
        Subject::Control(id) => project.controls.get(id).map(|control| control.name.clone()),
        Subject::SensePin(id) => {
            project.sense_pins.get(id).map(|pin| project.terminal_name(pin.terminal))
        }
        Subject::Place(id) => project.places.get(id).map(|place| place.name.clone()),
        Subject::Run(id) => project.runs.get(id).map(|run| run.name.clone()),
    }
}

/// The tab of the tables.
pub fn tables_ui(
    ui: &mut Ui,
    view: View<'_>,
    packet: &Packet,
    (own, actions): (&mut PacketState, &mut Actions),
) {
    if packet.tables.is_empty() {
        quiet(ui, "There is no table on these sheets.", view.palette);
        return;
    }
    quiet(ui, "Every table of the sheets, each as comma-separated values.", view.palette);
    let Some((_, is_current)) = view.packet.shown(view.history.revision()) else { return };
    let is_ready = is_current && view.packet.saving().is_none();
    for (idx, named) in packet.tables.iter().enumerate() {
        let height = ui.spacing().interact_size.y;
        if is_out_of_sight(ui, height) {
            continue;
        }
        let size = vec2(ui.available_width(), height);
        ui.push_id(idx, |ui| {
            ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), |ui| {
                let response = ui.add_enabled(is_ready, egui::Button::new("CSV…").small());
                let name = format!("Save table {} as CSV", named.name);
                response.widget_info(|| {
                    egui::WidgetInfo::labeled(egui::Role::Button, is_ready, name.as_str())
                });
                if response.clicked() {
                    actions.push(Action::SavePacket(SaveWhat::Table(idx)));
                }
                let word = format!("p. {}", named.page + 1);
                if word_button(ui, &word, view.palette.chosen).clicked() {
                    own.show_page(packet, named.page);
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    ui.add(Label::new(&named.name).truncate()).on_hover_text(&named.name);
                });
            });
        });
    }
}
