//! A page that opens between the stage and the cards: problems, a wire table, preferences or help.

use egui::{Align, Button, Key, Label, Layout, Modifiers, RichText, ScrollArea, Ui};

use crate::app::action::Actions;
use crate::app::panels::PanelsState;
use crate::app::panels::help::help_ui;
use crate::app::panels::preferences::preferences_ui;
use crate::app::panels::problems::problems_ui;
use crate::app::panels::wire_table::wire_table_ui;
use crate::app::theme;
use crate::app::view::View;

/// The pages there are; one is open at a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    /// Every finding.
    Problems,
    /// Theme, text size, units, resistor sign.
    Preferences,
    /// How to start, keys, words.
    Help,
    /// A table of wires to take over.
    WireTable,
}

impl Page {
    /// Whether it holds more than a list.
    pub fn is_wide(self) -> bool {
        match self {
            Self::Problems | Self::Preferences => false,
            Self::Help | Self::WireTable => true,
        }
    }

    fn heading(self) -> &'static str {
        match self {
            Self::Problems => "Problems",
            Self::Preferences => "Preferences",
            Self::Help => "Help",
            Self::WireTable => "Wire table",
        }
    }
}

/// The open page on a card of its own, with a sign to close it.
pub fn page_ui(ui: &mut Ui, view: View<'_>, own: &mut PanelsState, actions: &mut Actions) {
    let Some(page) = own.page else { return };
    let (open, wire_table) = (&mut own.page, &mut own.wire_table);
    theme::card(view.palette).show(ui, |ui| {
        ui.set_min_size(ui.available_size());
        ui.horizontal(|ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let sign = Button::new(RichText::new("✕").color(view.palette.quiet)).frame(false);
                let name = format!("Close {}", page.heading().to_lowercase());
                let close = ui.add(sign).on_hover_text(format!("{name} (Esc)"));
                close.widget_info(|| {
                    egui::WidgetInfo::labeled(egui::Role::Button, true, name.as_str())
                });
                let is_escape = !ui.ctx().text_edit_focused()
                    && ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape));
                if close.clicked() || is_escape {
                    *open = None;
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    let heading = RichText::new(page.heading()).font(theme::bold(18.0));
                    ui.add(Label::new(heading).truncate());
                });
            });
        });
        ui.add_space(4.0);
        ui.spacing_mut().scroll = egui::style::ScrollStyle::thin();
        ScrollArea::vertical().id_salt(page.heading()).auto_shrink(false).show(
            ui,
            |ui| match page {
                Page::Problems => problems_ui(ui, view, actions),
                Page::Preferences => preferences_ui(ui, view, actions),
                Page::Help => help_ui(ui, view),
                Page::WireTable => wire_table_ui(ui, view, wire_table, actions),
            },
        );
    });
}
