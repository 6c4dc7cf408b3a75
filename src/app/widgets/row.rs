//! Small pieces every form is made of: label cells, headings, words that act.

use egui::{Button, Color32, Label, Response, RichText, Ui, vec2};

use crate::app::theme::{self, Palette};

/// The quiet label at the left of a row, always equally wide.
pub fn label_cell(ui: &mut Ui, label: &str, palette: &Palette) {
    let size = vec2(theme::LABEL_WIDTH, ui.spacing().interact_size.y);
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    ui.allocate_ui_with_layout(size, layout, |ui| {
        ui.set_min_width(theme::LABEL_WIDTH);
        ui.add(Label::new(RichText::new(label).color(palette.quiet)).truncate());
    });
}

/// Heading of a group of rows, with air above.
pub fn heading(ui: &mut Ui, text: &str) {
    ui.add_space(6.0);
    ui.label(RichText::new(text).font(theme::bold(theme::TEXT_BODY)));
}

/// A sentence that explains.
pub fn quiet(ui: &mut Ui, text: impl Into<String>, palette: &Palette) -> Response {
    ui.add(Label::new(RichText::new(text).small().color(palette.quiet)).wrap())
}

/// A word that acts, without the weight of a button.
pub fn word_button(ui: &mut Ui, word: &str, colour: Color32) -> Response {
    ui.add(Button::new(RichText::new(word).small().color(colour)).frame(false))
}

/// `＋ word`: adds a row.
pub fn add_word(ui: &mut Ui, word: &str, palette: &Palette) -> Response {
    word_button(ui, &format!("+ {word}"), palette.chosen)
}

/// A small cross that takes a row away; `what` names the row.
pub fn remove_sign(ui: &mut Ui, what: &str, palette: &Palette) -> Response {
    let name = format!("Delete {what}");
    let button = Button::new(RichText::new("✕").color(palette.quiet))
        .frame(false)
        .min_size(vec2(20.0, 20.0));
    ui.add(button).on_hover_text(name.as_str()).accessible_name(name)
}

/// Keeps the room of a row that lies outside what is visible, and says so: it need not be drawn.
pub fn is_out_of_sight(ui: &mut Ui, height: f32) -> bool {
    let top = ui.next_widget_position();
    let row = egui::Rect::from_min_size(top, vec2(ui.available_width().max(1.0), height));
    // A margin, so that the keyboard finds the next field.
    if ui.is_rect_visible(row.expand(60.0)) {
        return false;
    }
    ui.allocate_space(vec2(1.0, height));
    true
}
