//! Two halves of a page beside each other, or one under the other where there is no room.

use egui::{Align, Layout, ScrollArea, Ui};

/// Below this width one half of a page stands under the other.
const WIDE: f32 = 860.0;

/// Which half is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Half {
    /// The left one.
    First,
    /// The right one.
    Second,
}

/// Two halves, each scrolling by itself, the first taking its share of the width; in a narrow
/// window one under the other, and both scroll together.
pub fn halves_ui(ui: &mut Ui, share: f32, own: &mut dyn FnMut(&mut Ui, Half)) {
    halves_from_ui(ui, WIDE, share, own);
}

/// The same, beside each other from a width of their own on: for halves that are narrow.
pub fn halves_from_ui(ui: &mut Ui, wide: f32, share: f32, own: &mut dyn FnMut(&mut Ui, Half)) {
    let full = ui.available_size();
    let area = |name: &'static str| ScrollArea::vertical().id_salt(name).auto_shrink(false);
    if full.x < wide {
        area("both halves").show(ui, |ui| {
            own(ui, Half::First);
            ui.add_space(10.0);
            own(ui, Half::Second);
        });
        return;
    }
    let half = egui::vec2(((full.x - 14.0) * share).floor(), full.y);
    ui.with_layout(Layout::left_to_right(Align::Min), |ui| {
        ui.allocate_ui_with_layout(half, Layout::top_down(Align::Min), |ui| {
            ui.set_min_size(half);
            area("first half").show(ui, |ui| own(ui, Half::First));
        });
        ui.add_space(14.0);
        let size = ui.available_size();
        ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
            area("second half").show(ui, |ui| own(ui, Half::Second));
        });
    });
}
