//! What an editor needs at hand: the view, the texts being typed, and where changes go.

use egui::{Id, RichText, Ui};

use crate::app::action::{Action, Actions};
use crate::app::view::View;
use crate::app::widgets::field::{Field, Fields, Typing};
use crate::app::widgets::row::{label_cell, word_button};
use crate::edit::{Edit, apply};

/// Handed from editor to editor during one frame.
pub struct Pen<'a, 'b> {
    /// The frame's view.
    pub view: View<'a>,
    /// Texts being typed.
    pub fields: &'b mut Fields,
    /// Where changes go.
    pub actions: &'b mut Actions,
}

impl Pen<'_, '_> {
    /// A field without a label before it. `make` turns the text into an edit; the edit is tried on a
    /// copy of the project first, and what is refused is said by [`Pen::refusal_ui`].
    pub fn field(
        &mut self,
        ui: &mut Ui,
        field: &Field,
        make: impl FnOnce(&str) -> Result<Edit, String>,
    ) {
        if let Typing::Wants(text, gesture) = self.fields.show(ui, field) {
            let tried = make(&text).and_then(|edit| {
                let mut trial = self.view.project.clone();
                apply(&mut trial, edit.clone()).map(|_| edit).map_err(|error| error.to_string())
            });
            let focused = ui.memory(|memory| memory.has_focus(field.id));
            match tried {
                Ok(edit) => {
                    self.actions.push(Action::Edit(edit, Some(gesture)));
                    self.fields.judge(field.id, focused, Ok(()));
                }
                Err(sentence) => self.fields.judge(field.id, focused, Err(sentence)),
            }
        }
    }

    /// A labelled field, with its refusal below.
    pub fn row(
        &mut self,
        ui: &mut Ui,
        label: &str,
        field: &Field,
        make: impl FnOnce(&str) -> Result<Edit, String>,
    ) {
        ui.horizontal(|ui| {
            label_cell(ui, label, self.view.palette);
            self.field(ui, field, make);
        });
        self.refusal_ui(ui, field.id, &field.shown);
    }

    /// Says below a field why its text is not in the project, and offers to put it back.
    pub fn refusal_ui(&mut self, ui: &mut Ui, id: Id, kept: &str) {
        let Some(sentence) = self.fields.refused(id) else { return };
        let kept =
            if kept.is_empty() { "it stays empty".to_owned() } else { format!("{kept} is kept") };
        let text = format!("⚠ Not taken: {sentence}; {kept}.");
        ui.label(RichText::new(text).small().color(self.view.palette.wrong));
        if word_button(ui, "Put back", self.view.palette.chosen).clicked() {
            self.fields.put_back(id);
        }
    }

    /// An edit that is a step of its own.
    pub fn edit(&mut self, edit: Edit) {
        self.actions.edit(edit);
    }
}
