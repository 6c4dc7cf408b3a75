//! Paper, colour and date of the packet.

use egui::{Id, Ui};

use crate::app::action::{Action, Actions};
use crate::app::packet::choices::PrintChoices;
use crate::app::packet::state::PacketState;
use crate::app::panels::{Segment, segment_ui};
use crate::app::view::View;
use crate::app::widgets::{Field, Typing, heading, label_cell, quiet};
use crate::sheets::{Orientation, Paper, Tint};

/// The rows of the tab Sheets that say what is printed on.
pub fn paper_ui(
    ui: &mut Ui,
    view: View<'_>,
    (own, wanted): (&mut PacketState, &mut PrintChoices),
    actions: &mut Actions,
) {
    heading(ui, "Paper");
    let papers = [("A4", Paper::A4), ("Letter", Paper::Letter), ("A3", Paper::A3)];
    choice_ui(ui, view, "Size", &papers, &mut wanted.paper);
    let sides = [("upright", Orientation::Portrait), ("on its side", Orientation::Landscape)];
    choice_ui(ui, view, "Lies", &sides, &mut wanted.orientation);
    let tints = [("colour", Tint::Colour), ("black and white", Tint::Mono)];
    choice_ui(ui, view, "Print", &tints, &mut wanted.tint);
    ui.horizontal(|ui| {
        label_cell(ui, "Date", view.palette);
        let field =
            Field::words(Id::unique("packet date"), "Date of the packet", view.packet.date())
                .hint("such as 2026-05-01")
                .when_left();
        if let Typing::Wants(text, _) = own.fields.show(ui, &field) {
            own.fields.judge(field.id, false, Ok(()));
            actions.push(Action::DatePacket(text.trim().to_owned()));
        }
    });
    if view.packet.date().is_empty() {
        quiet(ui, "Without a date every page has a line to write it on.", view.palette);
    }
}

fn choice_ui<T: Copy + PartialEq>(
    ui: &mut Ui,
    view: View<'_>,
    name: &str,
    options: &[(&str, T)],
    value: &mut T,
) {
    ui.horizontal(|ui| {
        label_cell(ui, name, view.palette);
        let segments: Vec<Segment<'_>> = options
            .iter()
            .map(|(word, _)| Segment {
                text: word,
                label: format!("{name}: {word}"),
                tip: String::new(),
                is_enabled: true,
            })
            .collect();
        let chosen = options.iter().position(|(_, option)| option == value);
        let clicked = ui.push_id(name, |ui| segment_ui(ui, view.palette, &segments, chosen)).inner;
        if let Some(idx) = clicked {
            *value = options[idx].1;
        }
    });
}
