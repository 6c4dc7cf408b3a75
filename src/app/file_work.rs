//! What dispatch does with files: one project put in place of another, what was left taken over, the
//! cut list written; asking first where unsaved work is in the way.

use std::path::{Path, PathBuf};

use crate::app::action::{Action, Stage};
use crate::app::cut_studies::CutPage;
use crate::app::prove_studies::ProvePage;
use crate::app::state::{AppState, Notice, Pending};
use crate::cutting;
use crate::edit::History;
use crate::files;
use crate::model::{Project, State};
use crate::samples;

/// Opens a recording for the replay.
pub(super) fn open_log(state: &mut AppState, path: PathBuf) {
    state.stage = Stage::Prove;
    state.studies.proving.page = ProvePage::Log;
    state.studies.proving.log.open(path);
}

/// Says what went wrong.
pub(super) fn say_error(state: &mut AppState, text: String) {
    state.notice = Some(Notice { text, is_error: true });
}

/// Runs something that replaces the project, or asks first when there is unsaved work.
pub(super) fn guarded(state: &mut AppState, action: Action, go: impl FnOnce(&mut AppState)) {
    if state.is_unsaved() {
        state.pending = Some(Pending { then: action });
    } else {
        go(state);
    }
}

/// Opens a project.
pub(super) fn open_file(state: &mut AppState, path: PathBuf) {
    match files::load(&path) {
        Ok(project) => {
            state.remember(&path);
            replace_project(state, project, Some(path));
        }
        Err(error) => say_error(state, format!("Not opened: {error}.")),
    }
}

/// Opens a sample.
pub(super) fn open_sample(state: &mut AppState, name: &str) {
    match samples::open(name) {
        Some(project) => replace_project(state, project, None),
        None => say_error(state, format!("There is no sample named {name}.")),
    }
}

pub(super) fn replace_project(state: &mut AppState, project: Project, file: Option<PathBuf>) {
    state.history = History::renewed(project, state.history.revision());
    state.saved = state.history.content();
    state.file = file;
    // Nothing of the project that is put away may be shown as this one's.
    state.derived = Default::default();
    state.bench = State::rest();
    state.latched.clear();
    state.selection.clear();
    state.layout = None;
    state.packet.forget();
    // Texts being typed belong to rows of the project that is put away.
    state.panels.inspector = Default::default();
    state.stages = Default::default();
    state.studies.proving.forget();
    state.meter = Default::default();
    state.pin = None;
    state.scale = None;
    state.notice = None;
    state.canvas.fit_wanted = true;
}

/// Reads another version of the project to compare with; the project itself stays.
pub(super) fn compare_with(state: &mut AppState, path: &Path) {
    match files::load(path) {
        Ok(other) => {
            state.studies.cutting.take_other(path, other);
            state.studies.cutting.page = CutPage::Compare;
        }
        Err(error) => say_error(state, format!("Not compared: {error}.")),
    }
}

/// Writes the cut list.
pub(super) fn export_cut_list(state: &mut AppState, path: &Path) {
    let list = cutting::cut_list(state.project());
    let text = cutting::csv_text(&list);
    let missing = list.rows.iter().filter(|row| row.cut_mm.is_none()).count();
    match files::save_bytes(path, text.as_bytes()) {
        Ok(()) => {
            let text = match missing {
                0 => {
                    format!("Cut list of {} wires written to {}.", list.rows.len(), path.display())
                }
                _ => format!(
                    "Cut list written to {}; {missing} of {} wires have no length yet.",
                    path.display(),
                    list.rows.len()
                ),
            };
            state.notice = Some(Notice { text, is_error: false });
        }
        Err(error) => say_error(state, format!("Not written: {error}.")),
    }
}

/// Takes over what was left unsaved, or throws it away.
pub(super) fn answer_recovery(state: &mut AppState, take: bool) {
    if !take {
        state.recovery = None;
        return;
    }
    guarded(state, Action::AnswerRecovery(true), |state| {
        let Some(recovery) = state.recovery.take() else { return };
        replace_project(state, recovery.project, recovery.file);
        // What was taken over is not in the file yet.
        state.saved = crate::edit::Revision::default();
    });
}
