//! Edits of the set-up record and the change log.

use crate::edit::apply::{Applied, EditError};
use crate::edit::guard::{check_count, check_texts};
use crate::edit::rows::{replace, row, taken};
use crate::model::{ChangeId, ChangeNote, Project, SetupId, SetupRow, limits};

/// A change to the set-up record or the change log.
#[derive(Clone, Debug, PartialEq)]
pub enum RecordEdit {
    /// Adds a setting.
    AddSetting(Box<SetupRow>),
    /// Replaces a setting.
    SetSetting(SetupId, Box<SetupRow>),
    /// Deletes a setting.
    RemoveSetting(SetupId),
    /// Adds a line to the change log.
    AddChange(Box<ChangeNote>),
    /// Replaces a line of the change log.
    SetChange(ChangeId, Box<ChangeNote>),
    /// Deletes a line of the change log.
    RemoveChange(ChangeId),
}

impl RecordEdit {
    /// Name of the undo step.
    pub(super) fn title(&self) -> String {
        match self {
            Self::AddSetting(_) => "add a setting".into(),
            Self::SetSetting(_, row) if !row.name.is_empty() => format!("change {}", row.name),
            Self::SetSetting(..) => "change a setting".into(),
            Self::RemoveSetting(_) => "delete a setting".into(),
            Self::AddChange(_) => "add to the change log".into(),
            Self::SetChange(..) => "change the change log".into(),
            Self::RemoveChange(_) => "delete from the change log".into(),
        }
    }
}

/// Makes one of these edits.
pub(super) fn apply_record(project: &mut Project, edit: RecordEdit) -> Result<Applied, EditError> {
    match edit {
        RecordEdit::AddSetting(setting) => {
            check_setting(&setting)?;
            check_count("settings", project.set_up.len() + 1, limits::SETUP_ROWS)?;
            let id: SetupId = project.fresh_id();
            project.set_up.put(id, *setting);
            Ok(row(id.0))
        }
        RecordEdit::SetSetting(id, setting) => {
            check_setting(&setting)?;
            replace(project.set_up.get_mut(id), *setting, "setting")
        }
        RecordEdit::RemoveSetting(id) => taken(project.set_up.remove(id), "setting"),
        RecordEdit::AddChange(change) => {
            check_change(&change)?;
            check_count("lines of the change log", project.changes.len() + 1, limits::CHANGES)?;
            let id: ChangeId = project.fresh_id();
            project.changes.put(id, *change);
            Ok(row(id.0))
        }
        RecordEdit::SetChange(id, change) => {
            check_change(&change)?;
            replace(project.changes.get_mut(id), *change, "line of the change log")
        }
        RecordEdit::RemoveChange(id) => taken(project.changes.remove(id), "line of the change log"),
    }
}

fn check_setting(row: &SetupRow) -> Result<(), String> {
    let texts = [&row.name, &row.value, &row.unit, &row.date, &row.who, &row.file];
    check_texts("the texts of a setting", &texts.map(String::as_str))
}

fn check_change(row: &ChangeNote) -> Result<(), String> {
    check_texts("the texts of the change log", &[&row.date, &row.who, &row.what])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, apply};
    use crate::model::Provenance;
    use crate::store;

    #[test]
    fn settings_and_changes_are_added_saved_and_deleted() {
        let mut project = Project::empty("test");
        let bare = store::write(&project);
        let row = SetupRow {
            name: "tap time".into(),
            value: "60".into(),
            unit: "ms".into(),
            provenance: Some(Provenance::Measured),
            ..SetupRow::default()
        };
        assert_eq!(row.value_words(), "60 ms");
        let add = Edit::SetRecord(RecordEdit::AddSetting(Box::new(row.clone())));
        let id = SetupId(apply(&mut project, add).unwrap().row.unwrap());
        let note = ChangeNote { what: "new gate".into(), ..ChangeNote::default() };
        let add = Edit::SetRecord(RecordEdit::AddChange(Box::new(note)));
        let change = ChangeId(apply(&mut project, add).unwrap().row.unwrap());
        assert_eq!(store::read(store::write(&project).as_bytes()).unwrap(), project);
        let before = project.clone();
        let long = SetupRow { value: "x".repeat(3000), ..row };
        let set = Edit::SetRecord(RecordEdit::SetSetting(id, Box::new(long)));
        assert!(apply(&mut project, set).unwrap_err().0.contains("2000"));
        assert_eq!(project, before);
        apply(&mut project, Edit::SetRecord(RecordEdit::RemoveSetting(id))).unwrap();
        apply(&mut project, Edit::SetRecord(RecordEdit::RemoveChange(change))).unwrap();
        assert!(apply(&mut project, Edit::SetRecord(RecordEdit::RemoveSetting(id))).is_err());
        project.next_id = 1;
        assert_eq!(store::write(&project), bare, "nothing of it is left in the file");
    }
}
