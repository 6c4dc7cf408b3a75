//! Checks of the set-up record and the change log.

use crate::model::{ChangeNote, SetupRow};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::value::text;
use crate::store::file;

/// One setting.
pub fn setting(at: &At<'_>, row: file::SetupRow) -> Checked<SetupRow> {
    Ok(SetupRow {
        name: text(&at.field("name"), row.name)?,
        value: text(&at.field("value"), row.value)?,
        unit: text(&at.field("unit"), row.unit)?,
        provenance: row.known_by.map(Into::into),
        date: text(&at.field("date"), row.date)?,
        who: text(&at.field("who"), row.who)?,
        file: text(&at.field("file"), row.file)?,
    })
}

/// One line of the change log.
pub fn change(at: &At<'_>, row: file::ChangeNote) -> Checked<ChangeNote> {
    Ok(ChangeNote {
        date: text(&at.field("date"), row.date)?,
        who: text(&at.field("who"), row.who)?,
        what: text(&at.field("what"), row.what)?,
    })
}
