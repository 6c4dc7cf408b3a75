//! The lists beside the layout: parts, places and runs, wires, the picture. All that a pointer does
//! on the layout can be done here by keyboard.

use egui::{Button, RichText, ScrollArea, Ui};

use crate::app::action::Actions;
use crate::app::canvas::Lens;
use crate::app::stages::route::canvas::ask_run;
use crate::app::stages::route::state::{RouteState, TrayPage};
use crate::app::stages::route::{lists, parts, picture, rules, seats, wires};
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{Pen, heading, quiet};

const PAGES: [(TrayPage, &str, &str); 5] = [
    (TrayPage::Parts, "Parts", "What sits where; drag what has no place yet onto the layout"),
    (TrayPage::Runs, "Runs", "All places and runs, with their lengths"),
    (TrayPage::Wires, "Wires", "The route of every wire, and what is missing"),
    (TrayPage::Picture, "Picture", "A photo or drawing beneath the layout, and the scale"),
    (TrayPage::Rules, "Rules", "Temperatures, current, voltage drop, insulation"),
];

/// The words of the pages, and the page.
pub fn tray_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    lens: Option<Lens>,
    actions: &mut Actions,
) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 11.0;
        ui.spacing_mut().button_padding.x = 0.0;
        for (page, word, tip) in PAGES {
            let is_chosen = own.page == page;
            let text = RichText::new(word);
            let text = if is_chosen {
                text.font(theme::bold(theme::TEXT_SMALL))
            } else {
                text.color(view.palette.quiet).size(theme::TEXT_SMALL)
            };
            let response = ui.add(Button::new(text).frame(false)).on_hover_text(tip);
            response.widget_info(|| {
                egui::WidgetInfo::selected(egui::Role::Button, true, is_chosen, word)
            });
            if is_chosen {
                let size = egui::vec2(response.rect.width(), 2.5);
                let line = egui::Rect::from_min_size(response.rect.left_bottom(), size);
                ui.painter().rect_filled(line, 1.0, view.palette.live);
            }
            if response.clicked() {
                own.page = page;
            }
        }
    });
    ui.add_space(4.0);
    ui.spacing_mut().scroll = egui::style::ScrollStyle::thin();
    ScrollArea::vertical().id_salt(("lists", own.page as u8)).auto_shrink(false).show(ui, |ui| {
        ui.set_max_width(ui.available_width() - 8.0);
        match own.page {
            TrayPage::Parts => {
                parts::parts_ui(ui, view, own, actions);
                let mut pen = Pen { view, fields: &mut own.fields, actions };
                seats::seats_ui(ui, &mut pen, &own.scene.seats);
            }
            TrayPage::Runs => {
                let mut pen = Pen { view, fields: &mut own.fields, actions };
                lists::places_ui(ui, &mut pen);
                if let Some(ends) = lists::runs_ui(ui, &mut pen) {
                    ask_run(view, own, ends);
                    own.tray_shown = false;
                }
            }
            TrayPage::Wires => wires::wires_ui(ui, view, own, actions),
            TrayPage::Rules => {
                rules::rules_ui(ui, &mut Pen { view, fields: &mut own.fields, actions });
            }
            TrayPage::Picture => picture::picture_ui(ui, view, own, lens, actions),
        }
        cautions_ui(ui, view);
    });
}

/// What to mind before a wire is laid into a machine.
fn cautions_ui(ui: &mut Ui, view: View<'_>) {
    heading(ui, "Mind");
    for caution in view.derived.cautions() {
        quiet(ui, format!("• {caution}"), view.palette);
    }
}
