//! Set-up record, change log and arming story to file structs.

use crate::model;
use crate::model::{ControlId, Deed, StoryEvent};
use crate::store::file;

/// One setting.
pub(super) fn setting(id: u32, row: &model::SetupRow) -> file::SetupRow {
    file::SetupRow {
        id,
        name: row.name.clone(),
        value: row.value.clone(),
        unit: row.unit.clone(),
        known_by: row.provenance.map(Into::into),
        date: row.date.clone(),
        who: row.who.clone(),
        file: row.file.clone(),
    }
}

/// One line of the change log.
pub(super) fn change(id: u32, row: &model::ChangeNote) -> file::ChangeNote {
    file::ChangeNote { id, date: row.date.clone(), who: row.who.clone(), what: row.what.clone() }
}

/// The field `story`; `None` where nothing of one is written down.
pub(super) fn story(row: &model::Story) -> Option<file::Story> {
    if row.is_empty() {
        return None;
    }
    Some(file::Story {
        start_modes: row.start.iter().map(|id| id.0).collect(),
        modes: row
            .modes
            .iter()
            .map(|(id, mode)| file::StoryMode {
                id: id.0,
                name: mode.name.clone(),
                display: mode.display.clone(),
            })
            .collect(),
        links: row.links.iter().map(|(id, link)| self::link(id.0, link)).collect(),
        seen: row
            .seen
            .iter()
            .map(|(id, seen)| file::Observation {
                id: id.0,
                did: deed(&seen.deed),
                display: seen.display.clone(),
            })
            .collect(),
    })
}

fn link(id: u32, link: &model::StoryLink) -> file::StoryLink {
    file::StoryLink {
        id,
        from_modes: link.from.iter().map(|id| id.0).collect(),
        on: match &link.event {
            StoryEvent::Stands { control, positions } => {
                let reaches = positions.iter().copied().collect();
                file::StoryEvent::Stands(file::StandsInOne { control: control.0, reaches })
            }
            StoryEvent::Reads { pin, actions } => {
                let actions = actions.iter().cloned().collect();
                file::StoryEvent::Reads(file::ReadsAsOne { pin: pin.0, actions })
            }
            StoryEvent::TimePasses => file::StoryEvent::TimePasses,
        },
        after_ms: link.after_ms,
        within_ms: link.within_ms,
        to_modes: link.to.iter().map(|id| id.0).collect(),
    }
}

fn deed(deed: &Deed) -> file::Deed {
    let stand = |control: ControlId, position| file::StoryStand { control: control.0, position };
    match deed {
        Deed::SwitchedOn => file::Deed::SwitchedOn,
        Deed::Stands { control, position } => file::Deed::Stands(stand(*control, *position)),
        Deed::Tapped { control, position } => file::Deed::Tapped(stand(*control, *position)),
        Deed::Reads { pin, action } => {
            file::Deed::Reads(file::ReadsAs { pin: pin.0, action: action.clone() })
        }
        Deed::Waited { ms } => file::Deed::Waited(*ms),
    }
}
