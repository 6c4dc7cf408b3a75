//! What has no place yet: boxes and single parts, to be dragged onto the layout.

use std::collections::BTreeSet;

use egui::{CursorIcon, RichText, Sense, Stroke, StrokeKind, Ui, vec2};

use crate::app::action::Actions;
use crate::app::stages::route::gesture::Hand;
use crate::app::stages::route::seats::has_spot;
use crate::app::stages::route::state::RouteState;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{heading, is_out_of_sight, quiet};
use crate::model::{PartId, Project};

/// Something to drag onto the layout.
#[derive(Clone, Debug, PartialEq)]
pub struct Loose {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub noun: String,
    /// Its parts.
    pub parts: Vec<PartId>,
}

/// Boxes first, then single parts that stand in none; `seats` as from [`super::seats::seats`].
pub fn loose(project: &Project, seats: &[PartId]) -> Vec<Loose> {
    let is_without = |id: &&PartId| project.parts.get(**id).is_some_and(|part| !has_spot(part));
    let without: Vec<PartId> = seats.iter().filter(is_without).copied().collect();
    let mut boxed: BTreeSet<PartId> = BTreeSet::new();
    let mut list = Vec::new();
    for (_, frame) in project.frames.iter() {
        let is_inside = |id: &&PartId| {
            let part = project.parts.get(**id);
            !boxed.contains(*id) && part.is_some_and(|part| frame.rect.contains(part.pos))
        };
        let parts: Vec<PartId> = without.iter().filter(is_inside).copied().collect();
        // A box of one part is that part.
        if parts.len() > 1 {
            boxed.extend(&parts);
            let noun = format!("box, {} parts", parts.len());
            list.push(Loose { name: frame.name.clone(), noun, parts });
        }
    }
    for id in without {
        if let Some(part) = project.parts.get(id).filter(|_| !boxed.contains(&id)) {
            let noun = if part.label.is_empty() {
                part.kind.noun().to_owned()
            } else {
                format!("{}, {}", part.kind.noun(), part.label)
            };
            list.push(Loose { name: part.name.clone(), noun, parts: vec![id] });
        }
    }
    list
}

/// The list of what has no place yet.
pub fn parts_ui(ui: &mut Ui, view: View<'_>, own: &mut RouteState, _actions: &mut Actions) {
    let list = loose(view.project, &own.scene.seats);
    heading(ui, "Without a place");
    if list.is_empty() {
        let words = if own.scene.seats.is_empty() {
            "No harness wire ends anywhere yet: draw wires on the sheet first."
        } else {
            "✔ Everything has a place."
        };
        quiet(ui, words, view.palette);
        return;
    }
    quiet(ui, "Drag onto a place, or onto free ground for a new one.", view.palette);
    for row in list {
        if is_out_of_sight(ui, 30.0) {
            continue;
        }
        row_ui(ui, view, own, row);
    }
}

fn row_ui(ui: &mut Ui, view: View<'_>, own: &mut RouteState, row: Loose) {
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), 28.0), Sense::click_and_drag());
    let label = format!("{}, {}: without a place", row.name, row.noun);
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, label.as_str())
    });
    let is_hot = response.hovered() || response.dragged();
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    let fill = view.palette.wash(view.palette.chosen, if is_hot { 0.14 } else { 0.04 });
    painter.rect_filled(rect, 6.0, fill);
    let edge = if is_hot { view.palette.chosen } else { view.palette.edge };
    painter.rect_stroke(rect, 6.0, Stroke::new(1.0, edge), StrokeKind::Inside);
    let name = painter.text(
        rect.left_center() + vec2(9.0, 0.0),
        egui::Align2::LEFT_CENTER,
        &row.name,
        theme::bold(theme::TEXT_SMALL),
        view.palette.ink,
    );
    painter.text(
        name.right_center() + vec2(8.0, 0.0),
        egui::Align2::LEFT_CENTER,
        &row.noun,
        theme::plain(theme::TEXT_SMALL),
        view.palette.quiet,
    );
    if response.drag_started() {
        own.hand = Hand::Carrying(row.parts, row.name, None);
    }
    if response.hovered() {
        ui.set_cursor_icon(CursorIcon::Grab);
    }
    response.on_hover_text(RichText::new(label));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::stages::route::seats::seats;
    use crate::edit::{Edit, apply};
    use crate::samples;

    #[test]
    fn a_box_is_listed_as_one_and_every_part_once() {
        for sample in samples::LIST {
            let mut project = samples::open(sample.name).unwrap();
            assert!(
                loose(&project, &seats(&project)).is_empty(),
                "{}: all parts have places",
                sample.name
            );
            let ids: Vec<PartId> = project.parts.ids().collect();
            for id in ids {
                let mut part = project.parts.get(id).unwrap().clone();
                part.place = None;
                apply(&mut project, Edit::SetPart(id, Box::new(part))).unwrap();
            }
            let list = loose(&project, &seats(&project));
            let all: Vec<PartId> = list.iter().flat_map(|row| row.parts.clone()).collect();
            let unique: BTreeSet<PartId> = all.iter().copied().collect();
            assert_eq!(all.len(), unique.len(), "{}", sample.name);
            assert_eq!(all.len(), seats(&project).len(), "{}", sample.name);
        }
    }
}
