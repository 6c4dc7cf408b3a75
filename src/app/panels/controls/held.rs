//! How to hold the controls, drawn: the same faces as on the strip, but no hand moves them.

use egui::{RichText, ScrollArea, Ui};

use crate::app::panels::controls::face::FaceLook;
use crate::app::panels::controls::ui::control_face_ui;
use crate::app::theme;
use crate::app::view::View;
use crate::model::State;

/// Draws the controls a state speaks of as they stand in it.
pub fn held_ui(ui: &mut Ui, view: View<'_>, state: &State) {
    ui.spacing_mut().scroll = egui::style::ScrollStyle::thin();
    ScrollArea::horizontal().id_salt("held").auto_shrink([false, true]).show(ui, |ui| {
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = 24.0;
            for (id, control) in view.project.controls.iter() {
                if !state.0.contains_key(&id) {
                    continue;
                }
                let stands = state.position(id, control);
                let look =
                    FaceLook { palette: view.palette, is_free: true, stands, is_still: true };
                ui.push_id(("held", id.0), |ui| {
                    ui.vertical(|ui| {
                        ui.spacing_mut().item_spacing.y = 2.0;
                        control_face_ui(ui, look, control);
                        let position = control.positions.get(usize::from(stands));
                        let position = position.map_or("?", |position| position.name.as_str());
                        let is_moved = stands != control.rest;
                        let (font, colour) = if is_moved {
                            (theme::bold(theme::TEXT_BODY), view.palette.live)
                        } else {
                            (theme::plain(theme::TEXT_BODY), view.palette.quiet)
                        };
                        let words = format!("{}: {position}", control.name);
                        ui.label(RichText::new(words).font(font).color(colour));
                    });
                });
            }
        });
    });
}
