//! A choice from a list that opens below its field.

use egui::{ComboBox, Id, Ui};

/// Longer lists scroll.
const LIST_HEIGHT: f32 = 380.0;

/// Shows what is chosen now and returns what a hand picks instead.
pub fn choice<T>(
    ui: &mut Ui,
    id: Id,
    name: &str,
    now: &str,
    options: impl IntoIterator<Item = (String, T)>,
) -> Option<T> {
    choice_wide(ui, id, (name, f32::INFINITY), now, options)
}

/// The same with a width in points behind the name.
pub fn choice_wide<T>(
    ui: &mut Ui,
    id: Id,
    (name, width): (&str, f32),
    now: &str,
    options: impl IntoIterator<Item = (String, T)>,
) -> Option<T> {
    let mut picked = None;
    let size = egui::vec2(width.min(ui.available_width()), ui.spacing().interact_size.y);
    // A sub-region, because the box itself would grow with its words.
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    ui.allocate_ui_with_layout(size, layout, |ui| {
        ui.set_max_width(size.x);
        let response = ComboBox::from_id_salt(id)
            .width(size.x)
            .height(LIST_HEIGHT)
            .truncate()
            .selected_text(now)
            .show_ui(ui, |ui| {
                for (word, value) in options {
                    if ui.selectable_label(word == now, word.as_str()).clicked() && word != now {
                        picked = Some(value);
                    }
                }
            })
            .response;
        response.accessible_name(name);
    });
    picked
}
