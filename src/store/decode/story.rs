//! Checks of the arming story: modes first, then what refers to them.

use std::collections::BTreeSet;

use crate::model::{
    ControlId, Deed, ModeId, Observation, Project, SensePinId, Story, StoryEvent, StoryLink,
    StoryMode, limits,
};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::project::{dangling, table, table_ids};
use crate::store::decode::value;
use crate::store::file;

/// The story; controls and pins of `project` are there already.
pub fn story(at: &At<'_>, row: file::Story, project: &Project) -> Checked<Story> {
    let ids = |name: &'static str, ids: Vec<u32>, most| {
        table_ids(&at.field(name), &ids, project.next_id, most, name)
    };
    let modes = ids("modes", row.modes.iter().map(|r| r.id).collect(), limits::STORY_MODES)?;
    ids("links", row.links.iter().map(|r| r.id).collect(), limits::STORY_LINKS)?;
    ids("seen", row.seen.iter().map(|r| r.id).collect(), limits::OBSERVATIONS)?;
    let start = mode_set(&at.field("start_modes"), &row.start_modes, &modes)?;
    Ok(Story {
        start,
        modes: table(&at.field("modes"), row.modes, |at, row: file::StoryMode| {
            let name = value::text(&at.field("name"), row.name)?;
            let display = value::text(&at.field("display"), row.display)?;
            Ok((row.id.into(), StoryMode { name, display }))
        })?,
        links: table(&at.field("links"), row.links, |at, row: file::StoryLink| {
            Ok((row.id.into(), link(at, row, project, &modes)?))
        })?,
        seen: table(&at.field("seen"), row.seen, |at, row: file::Observation| {
            let deed = deed(&at.field("did"), row.did, project)?;
            let display =
                row.display.map(|text| value::text(&at.field("display"), text)).transpose()?;
            Ok((row.id.into(), Observation { deed, display }))
        })?,
    })
}

fn mode_set(at: &At<'_>, ids: &[u32], known: &BTreeSet<u32>) -> Checked<BTreeSet<ModeId>> {
    once(at, ids.iter().copied(), |at, id| {
        if known.contains(&id) { Ok(ModeId(id)) } else { Err(dangling(at, "mode", id)) }
    })
}

/// A list in which nothing stands twice.
fn once<Row: std::fmt::Display + Clone, T: Ord>(
    at: &At<'_>,
    rows: impl IntoIterator<Item = Row>,
    mut decode: impl FnMut(&At<'_>, Row) -> Checked<T>,
) -> Checked<BTreeSet<T>> {
    let mut out = BTreeSet::new();
    for (idx, row) in rows.into_iter().enumerate() {
        let here = at.row(idx);
        if !out.insert(decode(&here, row.clone())?) {
            return Err(here.refuse(format!("expected each candidate once, found {row} again")));
        }
    }
    Ok(out)
}

fn filled<T>(at: &At<'_>, set: BTreeSet<T>, noun: &str) -> Checked<BTreeSet<T>> {
    if set.is_empty() {
        return Err(at.refuse(format!("expected at least one {noun}, found none")));
    }
    Ok(set)
}

fn link(
    at: &At<'_>,
    row: file::StoryLink,
    project: &Project,
    modes: &BTreeSet<u32>,
) -> Checked<StoryLink> {
    let ends = |name: &'static str, ids: &[u32]| {
        let here = at.field(name);
        filled(&here, mode_set(&here, ids, modes)?, "mode")
    };
    let on = at.field("on");
    let event = match row.on {
        file::StoryEvent::Stands(row) => {
            let here = on.field("stands");
            let list = here.field("reaches");
            let control = control(&here.field("control"), row.control, project)?;
            let positions = once(&list, row.reaches, |at, position| {
                self::position(at, control, position, project)
            })?;
            StoryEvent::Stands { control, positions: filled(&list, positions, "position")? }
        }
        file::StoryEvent::Reads(row) => {
            let here = on.field("reads");
            let list = here.field("actions");
            let pin = pin(&here.field("pin"), row.pin, project)?;
            value::at_most(&list, &row.actions, limits::BANDS, "actions")?;
            let actions = once(&list, row.actions, value::text)?;
            StoryEvent::Reads { pin, actions: filled(&list, actions, "action")? }
        }
        file::StoryEvent::TimePasses => StoryEvent::TimePasses,
    };
    let after_ms = milliseconds(&at.field("after_ms"), row.after_ms)?;
    let within_ms = milliseconds(&at.field("within_ms"), row.within_ms)?;
    if event == StoryEvent::TimePasses && (after_ms.is_none() || within_ms.is_some()) {
        return Err(at.refuse(
            "expected after_ms and no within_ms where time alone leads on, found it otherwise"
                .into(),
        ));
    }
    let (from, to) = (ends("from_modes", &row.from_modes)?, ends("to_modes", &row.to_modes)?);
    Ok(StoryLink { from, event, after_ms, within_ms, to })
}

fn milliseconds(at: &At<'_>, ms: Option<u32>) -> Checked<Option<u32>> {
    match ms {
        Some(ms) if ms == 0 || ms > limits::STORY_MS => Err(at.refuse(format!(
            "expected whole milliseconds from 1 to {}, found {ms}",
            limits::STORY_MS
        ))),
        Some(_) | None => Ok(ms),
    }
}

fn control(at: &At<'_>, id: u32, project: &Project) -> Checked<ControlId> {
    let known = project.controls.contains(ControlId(id));
    if known { Ok(ControlId(id)) } else { Err(dangling(at, "control", id)) }
}

fn pin(at: &At<'_>, id: u32, project: &Project) -> Checked<SensePinId> {
    let known = project.sense_pins.contains(SensePinId(id));
    if known { Ok(SensePinId(id)) } else { Err(dangling(at, "sense pin", id)) }
}

fn position(at: &At<'_>, control: ControlId, position: u8, project: &Project) -> Checked<u8> {
    let count = project.controls.get(control).map_or(0, |c| c.positions.len());
    if usize::from(position) < count {
        return Ok(position);
    }
    Err(at.refuse(format!("expected a position from 0 to below {count}, found {position}")))
}

fn deed(at: &At<'_>, row: file::Deed, project: &Project) -> Checked<Deed> {
    let stand = |at: &At<'_>, row: &file::StoryStand| {
        let control = control(&at.field("control"), row.control, project)?;
        Ok((control, position(&at.field("position"), control, row.position, project)?))
    };
    Ok(match row {
        file::Deed::SwitchedOn => Deed::SwitchedOn,
        file::Deed::Stands(row) => {
            let (control, position) = stand(&at.field("stands"), &row)?;
            Deed::Stands { control, position }
        }
        file::Deed::Tapped(row) => {
            let (control, position) = stand(&at.field("tapped"), &row)?;
            Deed::Tapped { control, position }
        }
        file::Deed::Reads(row) => {
            let here = at.field("reads");
            let pin = pin(&here.field("pin"), row.pin, project)?;
            Deed::Reads { pin, action: value::text(&here.field("action"), row.action)? }
        }
        file::Deed::Waited(ms) => {
            milliseconds(&at.field("waited_ms"), Some(ms))?;
            Deed::Waited { ms }
        }
    })
}
