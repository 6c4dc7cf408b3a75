//! Several things selected: how many of what, and the actions that fit them all.

use std::collections::BTreeMap;

use egui::{RichText, Ui};

use crate::app::action::{Action, Actions};
use crate::app::command::Command;
use crate::app::theme;
use crate::app::widgets::{Pen, label_cell};
use crate::edit::{Edit, Item, Selection};
use crate::model::{Project, WireUse};

/// Count and common actions.
pub fn several_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let (project, selection) = (pen.view.project, pen.view.selection);
    ui.label(
        RichText::new(format!("{} selected", selection.len()))
            .font(theme::bold(theme::TEXT_HEADING)),
    );
    ui.label(counts(project, selection).join(", "));
    ui.add_space(4.0);
    let rows = [
        [Command::AlignRow, Command::AlignColumn],
        [Command::Turn, Command::Flip],
        [Command::FrameSelection, Command::Duplicate],
    ];
    for row in rows {
        buttons_ui(ui, &row, pen.actions);
    }
    buttons_ui(ui, &[Command::Delete], pen.actions);
    wires_use_ui(ui, pen);
}

fn buttons_ui(ui: &mut Ui, commands: &[Command], actions: &mut Actions) {
    let count = commands.len().max(1) as f32;
    let width = (ui.available_width() - ui.spacing().item_spacing.x * (count - 1.0)) / count;
    ui.horizontal(|ui| {
        ui.spacing_mut().button_padding.x = 4.0;
        for command in commands {
            let button = egui::Button::new(command.label()).min_size(egui::vec2(width, 0.0));
            if ui.add(button).on_hover_text(command.tip()).clicked() {
                actions.push(Action::Run(*command));
            }
        }
    });
}

/// All selected wires cut or drawn only, at one stroke.
fn wires_use_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let project = pen.view.project;
    let wires = || {
        pen.view.selection.iter().filter_map(|item| match item {
            Item::Wire(id) => project.wires.get(*id).map(|wire| (*id, wire)),
            Item::Part(_) | Item::Frame(_) => None,
        })
    };
    if wires().next().is_none() {
        return;
    }
    let mut wanted = None;
    ui.horizontal(|ui| {
        label_cell(ui, "All wires", pen.view.palette);
        ui.spacing_mut().item_spacing.x = 2.0;
        ui.spacing_mut().button_padding.x = 7.0;
        for (word, usage) in [("Harness", WireUse::Harness), ("Inside a box", WireUse::Internal)] {
            if ui.selectable_label(wires().all(|(_, wire)| wire.usage == usage), word).clicked() {
                wanted = Some(usage);
            }
        }
    });
    if let Some(usage) = wanted {
        let edits: Vec<Edit> = wires()
            .filter(|(_, wire)| wire.usage != usage)
            .map(|(id, wire)| {
                let mut wire = wire.clone();
                wire.usage = usage;
                Edit::SetWire(id, Box::new(wire))
            })
            .collect();
        // One undo step for all of them: a gesture of its own.
        let gesture = Some(crate::edit::Gesture((3 << 61) | pen.view.history.revision().0));
        for edit in edits {
            pen.actions.push(Action::Edit(edit, gesture));
        }
    }
}

/// `3 resistors`, `1 wire`, in alphabetical order.
fn counts(project: &Project, selection: &Selection) -> Vec<String> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for item in selection {
        let noun = match item {
            Item::Part(id) => project.parts.get(*id).map_or("part", |part| part.kind.noun()),
            Item::Wire(_) => "wire",
            Item::Frame(_) => "frame",
        };
        *counts.entry(noun).or_default() += 1;
    }
    counts
        .into_iter()
        .map(
            |(noun, count)| {
                if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
            },
        )
        .collect()
}
