//! Stage Break: what faults, mistakes, moves and a bypassed permit loop look like.

mod advice;
mod detail;
mod faults;
mod listing;
mod moves;
mod permit;
mod table;
mod timeline;

use egui::{Align, Layout, RichText, ScrollArea, Ui};

use crate::app::action::{Action, Actions};
use crate::app::break_studies::BreakPage;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::quiet;

/// What the stage remembers between frames.
#[derive(Default)]
pub struct BreakState {
    faults: faults::FaultsState,
    moves: moves::MovesState,
}

/// The pages, and the one that is asked for.
pub fn break_ui(ui: &mut Ui, view: View<'_>, own: &mut BreakState, actions: &mut Actions) {
    let page = view.studies.breaking.page;
    pages_ui(ui, view, page, actions);
    if page == BreakPage::Permit {
        permit::permit_ui(ui, view, actions);
        return;
    }
    let pin = view.pin.and_then(|id| Some((id, view.project.sense_pins.get(id)?)));
    let Some(pin) = pin else {
        ui.label(RichText::new("No sense pin yet").font(theme::bold(theme::TEXT_HEADING)));
        let words =
            "Make a cavity of a controller a sense pin; then every fault can be tried on it.";
        quiet(ui, words, view.palette);
        return;
    };
    match page {
        BreakPage::Faults => faults::faults_ui(ui, view, pin, &mut own.faults, actions),
        BreakPage::Moves => moves::moves_ui(ui, view, pin, &mut own.moves, actions),
        BreakPage::Advice => advice::advice_ui(ui, view, pin, actions),
        BreakPage::Permit => {}
    }
}

/// Below this width the chosen row is told under the table.
const WIDE: f32 = 900.0;

/// A table and what is said of its chosen row beside it; in a narrow window below it, and both
/// scroll together.
fn beside_ui(
    ui: &mut Ui,
    narrow_table: f32,
    table: impl FnOnce(&mut Ui),
    detail: impl FnOnce(&mut Ui),
) {
    let full = ui.available_size();
    let is_wide = full.x >= WIDE;
    let size = match is_wide {
        true => egui::vec2((full.x * 0.6).floor(), full.y),
        false => egui::vec2(full.x, narrow_table),
    };
    let table = |ui: &mut Ui| {
        ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
            ui.set_min_size(size);
            table(ui);
        });
    };
    if !is_wide {
        ScrollArea::vertical().id_salt("both").auto_shrink(false).show(ui, |ui| {
            table(ui);
            ui.add_space(8.0);
            detail(ui);
        });
        return;
    }
    ui.with_layout(Layout::left_to_right(Align::Min), |ui| {
        table(ui);
        ui.add_space(10.0);
        let size = ui.available_size();
        ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
            ScrollArea::vertical().id_salt("detail").auto_shrink(false).show(ui, detail);
        });
    });
}

fn pages_ui(ui: &mut Ui, view: View<'_>, shown: BreakPage, actions: &mut Actions) {
    ui.horizontal_wrapped(|ui| {
        for page in BreakPage::ALL {
            let is_shown = shown == page;
            let word = RichText::new(page.word()).font(theme::bold(theme::TEXT_BODY));
            let word = word.color(if is_shown { view.palette.ink } else { view.palette.quiet });
            if ui.selectable_label(is_shown, word).clicked() {
                actions.push(Action::ShowBreakPage(page));
            }
        }
    });
    ui.add_space(2.0);
}
