//! Wire tables from and to files, for dispatch.

use std::path::Path;

use crate::app::panels::Page;
use crate::app::state::{AppState, Notice};
use crate::files;
use crate::tables;

/// Reads a file into the page for wire tables and opens it; the project is not touched.
pub(super) fn open(state: &mut AppState, path: &Path) {
    let read = files::read_bytes(path).map_err(|error| error.to_string()).and_then(|bytes| {
        let text = tables::decoded(&bytes).map_err(|why| format!("{}: {why}", path.display()));
        text.map(str::to_owned)
    });
    match read {
        Ok(text) => {
            let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
            state.panels.wire_table.take_text(text, name);
            state.panels.page = Some(Page::WireTable);
            state.notice = None;
        }
        Err(why) => {
            state.notice = Some(Notice { text: format!("Not read: {why}."), is_error: true });
        }
    }
}

/// Writes the wires as a table.
pub(super) fn export(state: &mut AppState, path: &Path) {
    let n = tables::records(state.project()).len();
    let text = tables::wire_table_text(state.project());
    state.notice = Some(match files::save_bytes(path, text.as_bytes()) {
        Ok(()) => Notice {
            text: format!("Table of {n} wires written to {}.", path.display()),
            is_error: false,
        },
        Err(error) => Notice { text: format!("Not written: {error}."), is_error: true },
    });
}
