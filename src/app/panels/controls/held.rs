//! How to hold the controls, drawn: the same faces as on the strip, but no hand moves them.

use egui::{Align, Layout, RichText, Ui, vec2};

use crate::app::panels::controls::face::{FACE_HEIGHT, FaceLook, widest_word};
use crate::app::panels::controls::ui::control_face_ui;
use crate::app::theme;
use crate::app::view::View;
use crate::model::{Control, ControlId, ControlKind, State};

/// Air between two controls.
const AIR: f32 = 24.0;
/// Height of the words below a face.
const WORDS: f32 = 20.0;

/// Draws the controls a state speaks of as they stand in it, in as many rows as they need.
pub fn held_ui(ui: &mut Ui, view: View<'_>, state: &State) {
    let full = ui.available_width();
    let mut rows: Vec<Vec<(ControlId, &Control, f32)>> = Vec::new();
    let mut taken = f32::INFINITY;
    for (id, control) in view.project.controls.iter() {
        if !state.0.contains_key(&id) {
            continue;
        }
        let words = words(state, (id, control));
        let font = theme::bold(theme::TEXT_BODY);
        let galley = ui.painter().layout_no_wrap(words, font, view.palette.ink);
        let width = face_width(ui, control).max(galley.size().x + 2.0);
        if taken + AIR + width > full || rows.is_empty() {
            rows.push(Vec::new());
            taken = -AIR;
        }
        taken += AIR + width;
        if let Some(row) = rows.last_mut() {
            row.push((id, control, width));
        }
    }
    for row in rows {
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = AIR;
            for (id, control, width) in row {
                let size = vec2(width, FACE_HEIGHT + WORDS);
                ui.allocate_ui_with_layout(size, Layout::top_down(Align::Center), |ui| {
                    ui.set_width(width);
                    ui.push_id(("held", id.0), |ui| one_ui(ui, view, state, (id, control)));
                });
            }
        });
    }
}

fn words(state: &State, (id, control): (ControlId, &Control)) -> String {
    let position = control.positions.get(usize::from(state.position(id, control)));
    let position = position.map_or("?", |position| position.name.as_str());
    format!("{}: {position}", control.name)
}

fn one_ui(ui: &mut Ui, view: View<'_>, state: &State, (id, control): (ControlId, &Control)) {
    let stands = state.position(id, control);
    let look = FaceLook { palette: view.palette, is_free: true, stands, is_still: true };
    ui.spacing_mut().item_spacing.y = 2.0;
    control_face_ui(ui, look, control);
    let (font, colour) = if stands == control.rest {
        (theme::plain(theme::TEXT_BODY), view.palette.quiet)
    } else {
        (theme::bold(theme::TEXT_BODY), view.palette.live)
    };
    let words = RichText::new(words(state, (id, control))).font(font).color(colour);
    ui.add(egui::Label::new(words).extend());
}

/// At most so wide is the face of a control: as if every word of it stood in bold.
fn face_width(ui: &Ui, control: &Control) -> f32 {
    let n = control.positions.len();
    let word = widest_word(ui, control);
    match control.kind {
        ControlKind::Momentary if n == 2 => 74.0,
        ControlKind::Momentary | ControlKind::SpringReturn => 2.0 * (word.max(20.0) + 50.0),
        ControlKind::Maintained if n <= 3 => n as f32 * (word + 26.0).max(56.0) + 6.0,
        ControlKind::Maintained | ControlKind::Selector if n <= 6 => 72.0 + 2.0 * (word + 12.0),
        ControlKind::Maintained | ControlKind::Selector => 104.0,
    }
}
