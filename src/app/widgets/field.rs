//! A text field that shows a value of the project and takes back what is typed, or says why it cannot.
//!
//! What is typed stays in the field until it is understood: a value that means nothing is never put
//! into the project, and the text that was refused is never thrown away behind the hand's back.

use std::collections::HashMap;

use egui::text::{CCursor, CCursorRange};
use egui::{Id, Key, TextEdit, Ui};

use crate::edit::Gesture;

/// When a field hands its value over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taking {
    /// With every key, as one undo step for the whole visit.
    AtOnce,
    /// When the field is left or Enter is pressed: where a half-typed value would do harm.
    WhenLeft,
}

/// How one field looks and behaves.
#[derive(Clone, Debug)]
pub struct Field {
    /// Its identity; from the identity of the row it edits.
    pub id: Id,
    /// What screen readers and tests call it.
    pub name: String,
    /// The value as text, unit included.
    pub shown: String,
    /// What stands in the field while it is empty.
    pub hint: &'static str,
    /// Width in points.
    pub width: f32,
    /// When the value is handed over.
    pub taking: Taking,
    /// Whether the whole text is marked when the field is entered: right for figures, wrong for prose.
    pub marks_all: bool,
    /// Lines shown; more than one takes line breaks.
    pub rows: usize,
}

impl Field {
    /// A field for a figure.
    pub fn figure(id: Id, name: impl Into<String>, shown: impl Into<String>) -> Self {
        Self {
            id,
            name: name.into(),
            shown: shown.into(),
            hint: "",
            width: f32::INFINITY,
            taking: Taking::AtOnce,
            marks_all: true,
            rows: 1,
        }
    }

    /// A field for words.
    pub fn words(id: Id, name: impl Into<String>, shown: impl Into<String>) -> Self {
        Self { marks_all: false, ..Self::figure(id, name, shown) }
    }

    /// With a hint for when it is empty.
    pub fn hint(self, hint: &'static str) -> Self {
        Self { hint, ..self }
    }

    /// Of a given width.
    pub fn width(self, width: f32) -> Self {
        Self { width, ..self }
    }

    /// Handed over only when left.
    pub fn when_left(self) -> Self {
        Self { taking: Taking::WhenLeft, ..self }
    }

    /// Of several lines.
    pub fn rows(self, rows: usize) -> Self {
        Self { rows, ..self }
    }
}

/// Texts being typed or refused, by field.
#[derive(Default)]
pub struct Fields {
    typed: HashMap<Id, Typed>,
    visits: u64,
}

struct Typed {
    text: String,
    refused: Option<String>,
    /// The value as text before the visit, to go back to.
    before: String,
    gesture: Gesture,
}

/// What a hand did to a field in this frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Typing {
    /// Nothing to hand over.
    Nothing,
    /// This text wants to be taken, as part of this undo step.
    Wants(String, Gesture),
}

impl Fields {
    /// Draws the field. The answer must be judged and [`Fields::judge`] told.
    pub fn show(&mut self, ui: &mut Ui, field: &Field) -> Typing {
        let refused = self.refused(field.id).is_some();
        let mut text = self
            .typed
            .get(&field.id)
            .map_or_else(|| field.shown.clone(), |typed| typed.text.clone());
        let editor = if field.rows > 1 {
            TextEdit::multiline(&mut text)
        } else {
            TextEdit::singleline(&mut text)
        };
        let width = field.width.min(ui.available_width());
        let mut output = ui
            .scope(|ui| {
                if refused {
                    let edge = egui::Stroke::new(1.5, ui.visuals().error_fg_color);
                    let visuals = ui.visuals_mut();
                    visuals.widgets.inactive.bg_stroke = edge;
                    visuals.widgets.hovered.bg_stroke = edge;
                    visuals.selection.stroke = edge;
                }
                editor
                    .id(field.id)
                    .desired_width(width)
                    .desired_rows(field.rows)
                    .hint_text(field.hint)
                    .show(ui)
            })
            .inner;
        let response = output.response.response.clone().accessible_name(field.name.as_str());
        if response.gained_focus() {
            self.enter(field);
            if field.marks_all {
                let end = CCursor::new(text.chars().count());
                output.state.cursor.set_char_range(Some(CCursorRange::two(CCursor::new(0), end)));
                output.state.store(ui.ctx(), field.id);
            }
        }
        if response.changed() {
            self.enter(field);
        }
        let Some(typed) = self.typed.get_mut(&field.id) else { return Typing::Nothing };
        if response.lost_focus() && ui.input(|input| input.key_pressed(Key::Escape)) {
            let (before, gesture) = (typed.before.clone(), typed.gesture);
            self.typed.remove(&field.id);
            return if field.taking == Taking::AtOnce && before != field.shown {
                Typing::Wants(before, gesture)
            } else {
                Typing::Nothing
            };
        }
        typed.text.clone_from(&text);
        let wants = match field.taking {
            Taking::AtOnce => response.changed(),
            Taking::WhenLeft => response.lost_focus() && text != typed.before,
        };
        if wants {
            return Typing::Wants(text, typed.gesture);
        }
        if field.taking == Taking::WhenLeft && response.changed() {
            typed.refused = None;
        }
        if !response.has_focus() && typed.refused.is_none() {
            if field.taking == Taking::WhenLeft && text != typed.before && !response.lost_focus() {
                typed.refused =
                    Some("typed but not taken yet, press Enter in the field to take it".into());
            } else {
                self.typed.remove(&field.id);
            }
        }
        Typing::Nothing
    }

    /// Keeps why a text was refused, or that it was taken.
    pub fn judge(&mut self, id: Id, is_focused: bool, verdict: Result<(), String>) {
        match verdict {
            Ok(()) if !is_focused => {
                self.typed.remove(&id);
            }
            Ok(()) => {
                if let Some(typed) = self.typed.get_mut(&id) {
                    typed.refused = None;
                }
            }
            Err(sentence) => {
                if let Some(typed) = self.typed.get_mut(&id) {
                    typed.refused = Some(sentence);
                }
            }
        }
    }

    /// Why the text of a field is not in the project.
    pub fn refused(&self, id: Id) -> Option<&str> {
        self.typed.get(&id)?.refused.as_deref()
    }

    /// Throws the text of a field away; it shows the project's value again.
    pub fn put_back(&mut self, id: Id) {
        self.typed.remove(&id);
    }

    /// Notes that a hand is in the field; nothing that was typed earlier is lost.
    fn enter(&mut self, field: &Field) {
        if !self.typed.contains_key(&field.id) {
            self.visits += 1;
            // High numbers, so that no gesture of the sheet is taken for a visit to a field; the identity
            // is in it, because every form counts its own visits.
            let gesture = Gesture((1 << 63) | (field.id.value() ^ self.visits));
            let (text, before) = (field.shown.clone(), field.shown.clone());
            self.typed.insert(field.id, Typed { text, refused: None, before, gesture });
        }
    }
}
