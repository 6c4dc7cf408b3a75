//! Page Arming: the story of the machine drawn and live, its rows, and what was seen at the machine.

mod diagram;
mod follows;
mod labels;
mod live;
mod rows;
mod seen;

use egui::{Align, Layout, RichText, ScrollArea, Ui};

use crate::app::prove_studies::StoryAnswer;
use crate::app::widgets::{Pen, quiet};
use live::Live;

/// Below this width everything stands in one column.
const WIDE: f32 = 900.0;

/// What the page remembers between frames.
#[derive(Default)]
pub struct ArmingState {
    live: Live,
}

/// The page.
pub fn arming_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, own: &mut ArmingState) {
    let answer = pen.view.studies.proving.story(pen.view.history.revision());
    let answer = match answer {
        None => None,
        Some(None) => {
            let words = "The story could not be worked out; the project is unharmed.";
            ui.label(RichText::new(words).color(pen.view.palette.wrong));
            None
        }
        Some(Some(answer)) => Some(answer),
    };
    if ui.available_width() < WIDE {
        ScrollArea::vertical().id_salt("arming").auto_shrink(false).show(ui, |ui| {
            story_ui(ui, pen, own, answer);
            rows_ui(ui, pen, answer);
        });
        return;
    }
    let full = ui.available_size();
    let left = (full.x * 0.46).floor();
    ui.horizontal_top(|ui| {
        ui.allocate_ui_with_layout(egui::vec2(left, full.y), Layout::top_down(Align::Min), |ui| {
            ui.set_min_size(egui::vec2(left, full.y));
            let area = ScrollArea::vertical().id_salt("story").auto_shrink(false);
            area.show(ui, |ui| story_ui(ui, pen, own, answer));
        });
        ui.add_space(10.0);
        let size = ui.available_size();
        ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
            let area = ScrollArea::vertical().id_salt("story rows").auto_shrink(false);
            area.show(ui, |ui| rows_ui(ui, pen, answer));
        });
    });
}

/// The machine now, the picture, and what follows from what was seen.
fn story_ui(
    ui: &mut Ui,
    pen: &mut Pen<'_, '_>,
    own: &mut ArmingState,
    answer: Option<&StoryAnswer>,
) {
    let view = pen.view;
    if view.project.story.modes.is_empty() {
        let words = "No story yet. Add a mode for each thing the display may say, then links: what \
                     leads from one mode to the next. Where you do not know, tick all that may be \
                     right; what you see at the machine then says which.";
        quiet(ui, words, view.palette);
        return;
    }
    let Some(answer) = answer else {
        quiet(ui, "Working the story out …", view.palette);
        return;
    };
    own.live.follow(view, answer);
    live::live_ui(ui, pen, &mut own.live, answer);
    diagram::diagram_ui(ui, view, &own.live, answer);
    follows::follows_ui(ui, view, answer);
}

fn rows_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>, answer: Option<&StoryAnswer>) {
    seen::seen_ui(ui, pen, answer);
    rows::modes_ui(ui, pen);
    rows::links_ui(ui, pen);
}
