//! Edits of the arming story and of what was seen at the machine.

use std::collections::BTreeSet;

use crate::edit::apply::{Applied, EditError};
use crate::edit::guard::{check_count, check_texts};
use crate::edit::rows::{gone, replace, row, taken};
use crate::model::{
    ControlId, Deed, LinkId, ModeId, Observation, ObservationId, Project, SensePinId, Story,
    StoryEvent, StoryLink, StoryMode, limits,
};

/// A change to the arming story.
#[derive(Clone, Debug, PartialEq)]
pub enum StoryEdit {
    /// Says in which mode the machine may be when it is switched on.
    Start(BTreeSet<ModeId>),
    /// Adds a mode; the first one is where the story starts.
    AddMode(StoryMode),
    /// Replaces a mode.
    SetMode(ModeId, StoryMode),
    /// Deletes a mode and the links that have no other candidate.
    RemoveMode(ModeId),
    /// Adds a link.
    AddLink(Box<StoryLink>),
    /// Replaces a link.
    SetLink(LinkId, Box<StoryLink>),
    /// Deletes a link.
    RemoveLink(LinkId),
    /// Adds a row to what was seen.
    AddSeen(Observation),
    /// Replaces a row of what was seen.
    SetSeen(ObservationId, Observation),
    /// Deletes a row of what was seen.
    RemoveSeen(ObservationId),
}

impl StoryEdit {
    /// Name of the undo step.
    pub(super) fn title(&self) -> String {
        match self {
            Self::Start(_) => "set where the story starts".into(),
            Self::AddMode(mode) => format!("add mode {}", mode.name),
            Self::SetMode(_, mode) => format!("change mode {}", mode.name),
            Self::RemoveMode(_) => "delete a mode".into(),
            Self::AddLink(_) => "add a link".into(),
            Self::SetLink(..) => "change a link".into(),
            Self::RemoveLink(_) => "delete a link".into(),
            Self::AddSeen(_) => "add an observation".into(),
            Self::SetSeen(..) => "change an observation".into(),
            Self::RemoveSeen(_) => "delete an observation".into(),
        }
    }
}

/// Makes one of these edits.
pub(super) fn apply_story(project: &mut Project, edit: StoryEdit) -> Result<Applied, EditError> {
    match edit {
        StoryEdit::Start(modes) => {
            check_modes(&project.story, &modes)?;
            project.story.start = modes;
            Ok(Applied::default())
        }
        StoryEdit::AddMode(mode) => {
            check_mode(&mode)?;
            check_count("modes", project.story.modes.len() + 1, limits::STORY_MODES)?;
            let id: ModeId = project.fresh_id();
            if project.story.modes.is_empty() {
                project.story.start = BTreeSet::from([id]);
            }
            project.story.modes.put(id, mode);
            Ok(row(id.0))
        }
        StoryEdit::SetMode(id, mode) => {
            check_mode(&mode)?;
            replace(project.story.modes.get_mut(id), mode, "mode")
        }
        StoryEdit::RemoveMode(id) => {
            project.story.modes.remove(id).ok_or_else(|| gone("mode"))?;
            forget_gone(project);
            Ok(Applied::default())
        }
        StoryEdit::AddLink(link) => {
            check_link(project, &link)?;
            check_count("links", project.story.links.len() + 1, limits::STORY_LINKS)?;
            let id: LinkId = project.fresh_id();
            project.story.links.put(id, *link);
            Ok(row(id.0))
        }
        StoryEdit::SetLink(id, link) => {
            check_link(project, &link)?;
            replace(project.story.links.get_mut(id), *link, "link")
        }
        StoryEdit::RemoveLink(id) => taken(project.story.links.remove(id), "link"),
        StoryEdit::AddSeen(seen) => {
            check_seen(project, &seen)?;
            check_count("observations", project.story.seen.len() + 1, limits::OBSERVATIONS)?;
            let id: ObservationId = project.fresh_id();
            project.story.seen.put(id, seen);
            Ok(row(id.0))
        }
        StoryEdit::SetSeen(id, seen) => {
            check_seen(project, &seen)?;
            replace(project.story.seen.get_mut(id), seen, "observation")
        }
        StoryEdit::RemoveSeen(id) => taken(project.story.seen.remove(id), "observation"),
    }
}

/// Rows on modes, controls, positions and pins that are no longer there lose those candidates, and
/// go where no candidate is left.
pub(super) fn forget_gone(project: &mut Project) {
    if project.story.is_empty() {
        return;
    }
    let mut story = project.story.clone();
    story.start.retain(|mode| project.story.modes.contains(*mode));
    let links: Vec<LinkId> = story.links.ids().collect();
    for id in links {
        let Some(mut link) = story.links.get(id).cloned() else { continue };
        link.from.retain(|mode| project.story.modes.contains(*mode));
        link.to.retain(|mode| project.story.modes.contains(*mode));
        let is_left = match &mut link.event {
            StoryEvent::Stands { control, positions } => {
                positions.retain(|position| has_position(project, *control, *position));
                !positions.is_empty()
            }
            StoryEvent::Reads { pin, .. } => project.sense_pins.contains(*pin),
            StoryEvent::TimePasses => true,
        };
        if is_left && !link.from.is_empty() && !link.to.is_empty() {
            story.links.put(id, link);
        } else {
            story.links.remove(id);
        }
    }
    let lost: Vec<ObservationId> = story
        .seen
        .iter()
        .filter(|(_, seen)| check_deed(project, &seen.deed).is_err())
        .map(|(id, _)| id)
        .collect();
    for id in lost {
        story.seen.remove(id);
    }
    project.story = story;
}

fn has_position(project: &Project, control: ControlId, position: u8) -> bool {
    project.controls.get(control).is_some_and(|c| usize::from(position) < c.positions.len())
}

fn check_mode(mode: &StoryMode) -> Result<(), String> {
    check_texts("the texts of a mode", &[&mode.name, &mode.display])
}

fn check_modes(story: &Story, modes: &BTreeSet<ModeId>) -> Result<(), String> {
    if modes.iter().all(|mode| story.modes.contains(*mode)) {
        Ok(())
    } else {
        Err("a mode is no longer there".into())
    }
}

fn check_link(project: &Project, link: &StoryLink) -> Result<(), String> {
    for modes in [&link.from, &link.to] {
        check_modes(&project.story, modes)?;
        if modes.is_empty() {
            return Err("a link must name the mode it leaves and the mode it enters".into());
        }
    }
    match &link.event {
        StoryEvent::Stands { control, positions } => {
            if positions.is_empty() {
                return Err("a link on a control must name a position".into());
            }
            positions.iter().try_for_each(|position| check_stand(project, *control, *position))?;
        }
        StoryEvent::Reads { pin, actions } => {
            check_pin(project, *pin)?;
            if actions.is_empty() {
                return Err("a link on a pin must name a band".into());
            }
            check_count("candidates of a link", actions.len(), limits::BANDS)?;
            actions.iter().try_for_each(|action| check_texts("the name of a band", &[action]))?;
        }
        StoryEvent::TimePasses => {
            if link.after_ms.is_none() || link.within_ms.is_some() {
                return Err(
                    "a link on time alone must say after how many milliseconds, and no other limit"
                        .into(),
                );
            }
        }
    }
    check_ms(link.after_ms)?;
    check_ms(link.within_ms)
}

fn check_ms(ms: Option<u32>) -> Result<(), String> {
    match ms {
        Some(ms) if ms == 0 || ms > limits::STORY_MS => Err(format!(
            "a time of the story must be from 1 to {} ms, found {ms}",
            limits::STORY_MS
        )),
        Some(_) | None => Ok(()),
    }
}

fn check_stand(project: &Project, control: ControlId, position: u8) -> Result<(), String> {
    if has_position(project, control, position) {
        Ok(())
    } else {
        Err("the story names a position that does not exist".into())
    }
}

fn check_pin(project: &Project, pin: SensePinId) -> Result<(), String> {
    if project.sense_pins.contains(pin) {
        Ok(())
    } else {
        Err("the story names a sense pin that is no longer there".into())
    }
}

fn check_deed(project: &Project, deed: &Deed) -> Result<(), String> {
    match deed {
        Deed::SwitchedOn => Ok(()),
        Deed::Stands { control, position } | Deed::Tapped { control, position } => {
            check_stand(project, *control, *position)
        }
        Deed::Reads { pin, action } => {
            check_texts("the name of a band", &[action])?;
            check_pin(project, *pin)
        }
        Deed::Waited { ms } => check_ms(Some(*ms)),
    }
}

fn check_seen(project: &Project, seen: &Observation) -> Result<(), String> {
    check_texts("what the display said", &[seen.display.as_deref().unwrap_or_default()])?;
    check_deed(project, &seen.deed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, Item, apply, parse_placing};
    use crate::store;

    fn done(project: &mut Project, edit: StoryEdit) -> u32 {
        apply(project, Edit::SetStory(edit)).unwrap().row.unwrap_or_default()
    }

    fn with_button() -> (Project, ControlId, Item) {
        let mut project = Project::empty("test");
        let placed = apply(&mut project, Edit::Place(parse_placing("button").unwrap())).unwrap();
        let control = project.controls.ids().next().unwrap();
        (project, control, placed.created.into_iter().next().unwrap())
    }

    fn mode(name: &str) -> StoryMode {
        StoryMode { name: name.into(), display: name.to_uppercase() }
    }

    #[test]
    fn a_story_is_written_saved_and_follows_what_is_deleted() {
        let (mut project, control, part) = with_button();
        let idle = ModeId(done(&mut project, StoryEdit::AddMode(mode("idle"))));
        let armed = ModeId(done(&mut project, StoryEdit::AddMode(mode("armed"))));
        assert_eq!(project.story.start, BTreeSet::from([idle]));
        let event = StoryEvent::Stands { control, positions: BTreeSet::from([0, 1]) };
        let link = StoryLink {
            from: BTreeSet::from([idle, armed]),
            event,
            after_ms: None,
            within_ms: Some(900),
            to: BTreeSet::from([armed]),
        };
        done(&mut project, StoryEdit::AddLink(Box::new(link.clone())));
        let time = StoryLink {
            event: StoryEvent::TimePasses,
            after_ms: Some(60_000),
            within_ms: None,
            to: BTreeSet::from([idle]),
            ..link.clone()
        };
        done(&mut project, StoryEdit::AddLink(Box::new(time)));
        for deed in [
            Deed::SwitchedOn,
            Deed::Tapped { control, position: 1 },
            Deed::Stands { control, position: 1 },
            Deed::Waited { ms: 500 },
        ] {
            done(&mut project, StoryEdit::AddSeen(Observation { deed, display: Some("X".into()) }));
        }
        assert_eq!(store::read(store::write(&project).as_bytes()).unwrap(), project);

        done(&mut project, StoryEdit::RemoveMode(idle));
        assert!(project.story.start.is_empty());
        assert_eq!(project.story.links.len(), 1, "the link back to idle has no end left");
        assert_eq!(project.story.links.iter().next().unwrap().1.from, BTreeSet::from([armed]));
        apply(&mut project, Edit::Remove([part].into())).unwrap();
        assert!(project.story.links.is_empty(), "the button is gone");
        assert_eq!(project.story.seen.len(), 2);
        assert_eq!(store::read(store::write(&project).as_bytes()).unwrap(), project);
    }

    #[test]
    fn rows_that_name_nothing_are_refused() {
        let (mut project, control, _) = with_button();
        let idle = ModeId(done(&mut project, StoryEdit::AddMode(mode("idle"))));
        let good = StoryLink {
            from: BTreeSet::from([idle]),
            event: StoryEvent::Stands { control, positions: BTreeSet::from([1]) },
            after_ms: None,
            within_ms: None,
            to: BTreeSet::from([idle]),
        };
        let before = project.clone();
        let bad: [fn(&mut StoryLink); 6] = [
            |l| l.from = BTreeSet::new(),
            |l| l.to = BTreeSet::from([ModeId(999)]),
            |l| l.event = StoryEvent::TimePasses,
            |l| l.after_ms = Some(0),
            |l| l.within_ms = Some(u32::MAX),
            |l| {
                l.event = StoryEvent::Reads {
                    pin: SensePinId(9),
                    actions: BTreeSet::from(["UP".into()]),
                };
            },
        ];
        for change in bad {
            let mut link = good.clone();
            change(&mut link);
            let edit = Edit::SetStory(StoryEdit::AddLink(Box::new(link)));
            assert!(apply(&mut project, edit).is_err());
        }
        for deed in [Deed::Tapped { control, position: 9 }, Deed::Waited { ms: 0 }] {
            let seen = Observation { deed, display: None };
            assert!(apply(&mut project, Edit::SetStory(StoryEdit::AddSeen(seen))).is_err());
        }
        assert_eq!(project, before);
    }
}
