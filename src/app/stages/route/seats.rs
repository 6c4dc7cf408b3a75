//! Where parts sit in the layout: those without a place first, since their wires have no length.

use std::collections::BTreeSet;

use egui::{RichText, Ui};

use crate::app::panels::place_choice;
use crate::app::widgets::{Pen, heading, is_out_of_sight, quiet};
use crate::model::{Part, PartId, PartKind, Project, WireUse};

/// All parts at the ends of harness wires; `seats` as from [`seats`].
pub fn seats_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, seats: &[PartId]) {
    let project = pen.view.project;
    if project.places.is_empty() {
        return;
    }
    heading(ui, "Where parts sit");
    if seats.is_empty() {
        quiet(ui, "No harness wire ends anywhere yet.", pen.view.palette);
    }
    for id in seats {
        if is_out_of_sight(ui, 26.0) {
            continue;
        }
        let Some(part) = project.parts.get(*id) else { continue };
        ui.horizontal(|ui| {
            let width = (ui.available_width() * 0.45).floor();
            let size = egui::vec2(width, ui.spacing().interact_size.y);
            ui.allocate_ui_with_layout(
                size,
                egui::Layout::left_to_right(egui::Align::Center),
                |ui| {
                    ui.set_min_width(width);
                    let name = format!("{} {}", part.name, part.kind.noun());
                    let text = if has_spot(part) {
                        RichText::new(name)
                    } else {
                        RichText::new(format!("⚠ {name}")).color(pen.view.palette.warning)
                    };
                    ui.add(egui::Label::new(text).truncate());
                },
            );
            match along(project, part) {
                Some(words) => {
                    ui.add(egui::Label::new(words).truncate());
                }
                None => place_choice(ui, pen, (*id, part)),
            }
        });
    }
}

/// Whether a part sits somewhere: at a place, or along a run.
pub fn has_spot(part: &Part) -> bool {
    part.place.is_some() || matches!(part.kind, PartKind::Splice { at: Some(_), .. })
}

/// The run a splice sits along, in words.
fn along(project: &Project, part: &Part) -> Option<String> {
    let PartKind::Splice { at: Some(at), .. } = &part.kind else { return None };
    Some(format!("along {}", project.runs.get(at.run)?.name))
}

/// Parts at the ends of harness wires, and those that belong to a place by their kind; without a place first.
pub fn seats(project: &Project) -> Vec<PartId> {
    let ends: BTreeSet<PartId> = project
        .wires
        .iter()
        .filter(|(_, wire)| wire.usage == WireUse::Harness)
        .flat_map(|(_, wire)| [wire.from.terminal.part, wire.to.terminal.part])
        .collect();
    let by_kind = |part: &Part| match part.kind {
        PartKind::Connector(_)
        | PartKind::Controller(_)
        | PartKind::Supply(_)
        | PartKind::Ground => true,
        PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => false,
    };
    let mut seats: Vec<(PartId, &Part)> = project
        .parts
        .iter()
        .filter(|(id, part)| ends.contains(id) || (part.place.is_some() && by_kind(part)))
        .collect();
    seats.sort_by_key(|(id, part)| (has_spot(part), *id));
    seats.into_iter().map(|(id, _)| id).collect()
}
