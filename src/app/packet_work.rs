//! What dispatch does for the packet: the view opened and closed, where to save asked for, commands
//! that mean something else while it is shown.

use std::path::PathBuf;

use crate::app::action::Action;
use crate::app::command::Command;
use crate::app::dialogs::DialogPurpose;
use crate::app::packet::SaveWhat;
use crate::app::state::{AppState, Notice};
use crate::sheets::{SheetKind, file_names};

/// What an action that leads to the work does to the view; called before it is carried out.
pub(super) fn leave(state: &mut AppState, action: &Action) {
    let is_work =
        matches!(action, Action::ShowStage(_) | Action::ShowSubject(_) | Action::TakePicture(_));
    if is_work || matches!(action, Action::Run(command) if leads_to_work(*command)) {
        state.packet.is_open = false;
    }
}

fn leads_to_work(command: Command) -> bool {
    matches!(
        command,
        Command::StageSketch
            | Command::StageRead
            | Command::StageChoose
            | Command::StageBreak
            | Command::StageRoute
            | Command::StageCut
            | Command::StageProve
            | Command::PlaceByTyping
            | Command::Find
            | Command::TakePicture
    )
}

/// Carries out what a command means while the packet is shown. `false` where it means the same as
/// everywhere.
pub(super) fn on_packet(state: &mut AppState, command: Command) -> bool {
    if !state.packet.is_open {
        return false;
    }
    let own = &mut state.stages.packet;
    if command == Command::ZoomIn {
        own.zoom_wanted = Some(1.25);
    } else if command == Command::ZoomOut {
        own.zoom_wanted = Some(0.8);
    } else if command == Command::Fit {
        own.fit_wanted = true;
    } else {
        return is_of_the_sheet(command);
    }
    true
}

/// The sheet is out of sight: nothing on it, and no control, is changed behind the page.
fn is_of_the_sheet(command: Command) -> bool {
    matches!(
        command,
        Command::Delete
            | Command::Duplicate
            | Command::Turn
            | Command::Flip
            | Command::AlignRow
            | Command::AlignColumn
            | Command::SelectAll
            | Command::FrameSelection
            | Command::Rename
            | Command::RestControls
            | Command::LeadsOff
    )
}

/// Opens the view, or closes it when it is open.
pub(super) fn toggle(state: &mut AppState) {
    state.packet.is_open = !state.packet.is_open;
    state.stages.packet.sheet_wanted = None;
}

/// Opens the view at a sheet; one that was left out is taken in.
pub(super) fn show_sheet(state: &mut AppState, kind: SheetKind) {
    let mut choices = state.packet.choices().clone();
    for (other, is_on) in &mut choices.sheets {
        *is_on |= *other == kind;
    }
    state.packet.choose(choices);
    state.packet.is_open = true;
    state.stages.packet.sheet_wanted = Some(kind);
}

/// Asks where something of the packet is to be written.
pub(super) fn ask_where(state: &mut AppState, what: SaveWhat) {
    let name = match what {
        SaveWhat::Pdf => state.suggested_name("pdf"),
        SaveWhat::Svgs => "pages".into(),
        SaveWhat::Tables => "tables".into(),
        SaveWhat::Table(idx) => {
            let shown = state.packet.shown(state.history.revision());
            let names = shown.map(|(packet, _)| file_names(&packet.tables)).unwrap_or_default();
            names.into_iter().nth(idx).unwrap_or_else(|| "table.csv".into())
        }
    };
    // A question still open stays as it is, with what it was asked for.
    if !state.dialogs.is_open() {
        state.packet.ask();
    }
    state.ask_path(DialogPurpose::SavePacket(what, name));
}

/// Writes what was asked for by a worker; the notice line says what came of it.
pub(super) fn write(state: &mut AppState, what: SaveWhat, path: PathBuf) {
    let own = state.file.clone();
    let revision = state.history.revision();
    if let Err(why) = state.packet.save((what, path), own.as_deref(), revision) {
        state.notice = Some(Notice { text: why.into(), is_error: true });
    }
}
