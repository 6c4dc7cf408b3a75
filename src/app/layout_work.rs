//! What dispatch does on the layout: commands of stage Route, and what is selected there.

use crate::app::action::{LayoutItem, Stage};
use crate::app::command::Command;
use crate::app::state::{AppState, Notice};
use crate::edit::{Edit, Item};
use crate::model::Project;

/// Whether a thing of the layout is still there.
pub fn is_there(project: &Project, item: LayoutItem) -> bool {
    match item {
        LayoutItem::Place(id) => project.places.contains(id),
        LayoutItem::Run(id) => project.runs.contains(id),
        LayoutItem::Underlay => project.underlay.is_some(),
    }
}

/// Selects a thing of the layout; what was selected on the sheet is let go.
pub fn select(state: &mut AppState, item: Option<LayoutItem>) {
    state.layout = item;
    if item.is_some() {
        state.selection.clear();
    }
}

/// What an edit that adds a row to the layout makes, by the number of the row.
pub fn made_by(edit: &Edit) -> Option<fn(u32) -> LayoutItem> {
    match edit {
        Edit::AddPlace(_) => Some(|id| LayoutItem::Place(id.into())),
        Edit::AddRun(_) => Some(|id| LayoutItem::Run(id.into())),
        _ => None,
    }
}

/// What a command means while stage Route is shown.
pub enum Meaning {
    /// The same as everywhere.
    Usual,
    /// It is done.
    Done,
    /// An edit.
    Edit(Edit),
}

/// Commands that mean something of their own on the layout.
pub fn on_route(state: &mut AppState, command: Command) -> Meaning {
    if state.stage != Stage::Route {
        return Meaning::Usual;
    }
    match command {
        Command::Delete => deletion(state),
        Command::Rename => match state.layout {
            Some(LayoutItem::Place(_) | LayoutItem::Run(_)) => {
                state.stages.route.rename_wanted = true;
                Meaning::Done
            }
            Some(LayoutItem::Underlay) | None => Meaning::Usual,
        },
        Command::Fit => {
            state.stages.route.fit_wanted = true;
            Meaning::Done
        }
        Command::ZoomIn => {
            state.stages.route.zoom_wanted = Some(1.25);
            Meaning::Done
        }
        Command::ZoomOut => {
            state.stages.route.zoom_wanted = Some(0.8);
            Meaning::Done
        }
        Command::PlaceByTyping => {
            state.stages.route.focus_placing = true;
            Meaning::Done
        }
        Command::Duplicate
        | Command::Turn
        | Command::Flip
        | Command::AlignRow
        | Command::AlignColumn
        | Command::SelectAll
        | Command::FrameSelection => {
            let text = format!("{} works on the sheet, in stage Sketch.", command.label());
            state.notice = Some(Notice { text, is_error: false });
            Meaning::Done
        }
        _ => Meaning::Usual,
    }
}

/// On the layout, deleting a part takes it off its place; the drawing keeps it.
fn deletion(state: &mut AppState) -> Meaning {
    let project = state.project();
    match state.layout {
        Some(LayoutItem::Place(id)) => return Meaning::Edit(Edit::RemovePlace(id)),
        Some(LayoutItem::Run(id)) => return Meaning::Edit(Edit::RemoveRun(id)),
        Some(LayoutItem::Underlay) => return Meaning::Edit(Edit::SetUnderlay(None)),
        None => {}
    }
    let mut names = Vec::new();
    let mut edits = Vec::new();
    for item in &state.selection {
        let Item::Part(id) = item else { continue };
        if let Some(part) = project.parts.get(*id).filter(|part| part.place.is_some()) {
            let mut part = part.clone();
            part.place = None;
            names.push(part.name.clone());
            edits.push(Edit::SetPart(*id, Box::new(part)));
        }
    }
    if !edits.is_empty() {
        let title = format!("take {} off the layout", names.join(", "));
        return Meaning::Edit(Edit::Together { title, edits });
    }
    let text = if state.selection.is_empty() {
        "Select a place or a run first."
    } else {
        "Wires and parts are deleted on the sheet, in stage Sketch."
    };
    state.notice = Some(Notice { text: text.into(), is_error: false });
    Meaning::Done
}
