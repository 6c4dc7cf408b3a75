//! The project itself: title, notes, and its settings.

use egui::{Id, RichText, Ui};

use crate::app::panels::inspector::meter::meter_profile_ui;
use crate::app::panels::inspector::settings;
use crate::app::widgets::{Field, Pen, parse_named};
use crate::edit::Edit;

/// The page of the project.
pub fn project_page_ui(ui: &mut Ui, pen: &mut Pen<'_, '_>) {
    let project = pen.view.project;
    let title = Field::words(Id::unique("project title"), "Title", project.title.as_str());
    pen.row(ui, "Title", &title, |text| Ok(Edit::SetTitle(parse_named(text)?)));
    ui.label(RichText::new("Notes").color(pen.view.palette.quiet));
    let notes = Field::words(Id::unique("project notes"), "Notes", project.notes.as_str())
        .rows(4)
        .hint("what a person should know who opens this in five years");
    egui::ScrollArea::vertical().id_salt("notes").max_height(120.0).show(ui, |ui| {
        pen.field(ui, &notes, |text| Ok(Edit::SetNotes(text.to_owned())));
    });
    settings::dirt_ui(ui, pen);
    settings::lengths_ui(ui, pen);
    meter_profile_ui(ui, pen, "project");
}
