//! A choice from a list that opens below its field.

use egui::{ComboBox, Id, Ui};

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
    let width = width.min(ui.available_width());
    let response = ComboBox::from_id_salt(id)
        .width(width)
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
    picked
}
