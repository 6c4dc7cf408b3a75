//! Stories that cannot be meant so: modes nobody comes to, links that never count, two at once.

use std::collections::BTreeSet;

use crate::model::{LinkId, ModeId, Project, Story, StoryEvent, StoryLink};
use crate::proving::story::words::{event_words, link_words, ms_words};

/// Where something is wrong with a story.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StoryPlace {
    /// The whole of it.
    Story,
    /// A mode.
    Mode(ModeId),
    /// A link.
    Link(LinkId),
}

/// Something wrong with a story, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoryFault {
    /// Where.
    pub place: StoryPlace,
    /// What is wrong and what to do, in one sentence.
    pub what: String,
}

/// Everything about the story that cannot be meant so, in the order of its rows.
///
/// Where candidates are open, a mode counts as reached and a link as possible if some choice makes
/// it so. Cost: pairs of links that leave one mode.
pub fn story_faults(project: &Project) -> Vec<StoryFault> {
    let story = &project.story;
    let mut faults = Vec::new();
    if story.is_empty() {
        return faults;
    }
    let mut put = |place, what: String| faults.push(StoryFault { place, what });
    if story.modes.is_empty() {
        put(StoryPlace::Story, "there is no mode yet: add what the display shows at rest".into());
        return faults;
    }
    if story.start.is_empty() {
        let what = "nobody has said in which mode the machine is when it is switched on: name it";
        put(StoryPlace::Story, what.into());
    }
    let reached = reached(story);
    for (id, mode) in story.modes.iter() {
        let name = &mode.name;
        let twin = story.modes.iter().find(|(other, row)| *other < id && row.name == *name);
        if twin.is_some() {
            put(StoryPlace::Mode(id), format!("two modes are called {name}: rename one"));
        }
        if !story.start.is_empty() && !reached.contains(&id) {
            put(StoryPlace::Mode(id), format!("no way leads to {name}: add a link to it"));
        }
        let leaves = story.links.iter().any(|(_, link)| {
            link.from.contains(&id) && (link.from.len() > 1 || link.to != BTreeSet::from([id]))
        });
        if reached.contains(&id) && !leaves {
            let what = format!("{name} can be left only by switching off: add a link out of it");
            put(StoryPlace::Mode(id), what);
        }
    }
    for (id, link) in story.links.iter() {
        for what in link_faults(project, id, link) {
            put(StoryPlace::Link(id), what);
        }
    }
    faults
}

/// Modes some story comes to.
fn reached(story: &Story) -> BTreeSet<ModeId> {
    let mut reached = story.start.clone();
    loop {
        let n = reached.len();
        for (id, link) in story.links.iter() {
            if !link.from.is_disjoint(&reached) && !is_never(story, id, link) {
                reached.extend(&link.to);
            }
        }
        if reached.len() == n {
            return reached;
        }
    }
}

/// Whether no choice of candidates ever takes the link.
fn is_never(story: &Story, id: LinkId, link: &StoryLink) -> bool {
    has_no_time(link) || overtaken(story, id, link).is_some()
}

fn has_no_time(link: &StoryLink) -> bool {
    matches!((link.after_ms, link.within_ms), (Some(after), Some(within)) if after > within)
}

/// A link on time alone that surely leaves the mode before this one may be taken.
fn overtaken(story: &Story, id: LinkId, link: &StoryLink) -> Option<LinkId> {
    let mut from = link.from.iter();
    let mode = from.next().filter(|_| from.next().is_none())?;
    let first_ms = link.after_ms.unwrap_or(0);
    let is_before = |other_id: LinkId, other: &StoryLink| {
        let surely = other.from == BTreeSet::from([*mode]);
        let Some(due_ms) = other.after_ms else { return false };
        let at_once = other_id < id || link.event != StoryEvent::TimePasses;
        surely
            && other.event == StoryEvent::TimePasses
            && (due_ms < first_ms || due_ms == first_ms && at_once)
    };
    let mut others = story.links.iter().filter(|(other, _)| *other != id);
    others.find(|(other_id, other)| is_before(*other_id, other)).map(|(other, _)| other)
}

fn link_faults(project: &Project, id: LinkId, link: &StoryLink) -> Vec<String> {
    let story = &project.story;
    let mut out = Vec::new();
    let words = link_words(project, link);
    if has_no_time(link) {
        out.push(format!("\"{words}\" never counts: it may come no later than before it may come"));
    } else if let Some(first) = overtaken(story, id, link).and_then(|id| story.links.get(id)) {
        let ms = ms_words(first.after_ms.unwrap_or_default());
        out.push(format!("\"{words}\" never counts: after {ms} the mode is left on time alone"));
    }
    if let StoryEvent::Reads { pin, actions } = &link.event
        && let Some(row) = project.sense_pins.get(*pin)
    {
        for action in actions.iter().filter(|a| row.bands.iter().all(|band| band.name != **a)) {
            let at = project.terminal_name(row.terminal);
            out.push(format!("\"{words}\" names {action}, and {at} has no band of that name"));
        }
    }
    for (other_id, other) in story.links.iter().filter(|(other, _)| *other < id) {
        if let Some(what) = together(project, (other_id, other), (id, link)) {
            out.push(what);
        }
    }
    out
}

/// Two links that one thing takes at once.
fn together(
    project: &Project,
    (first_id, first): (LinkId, &StoryLink),
    (id, link): (LinkId, &StoryLink),
) -> Option<String> {
    let story = &project.story;
    if is_never(story, first_id, first) || is_never(story, id, link) {
        return None;
    }
    let mode = first.from.intersection(&link.from).next()?;
    let same_end = first.to == link.to && link.to.len() == 1;
    let overlap = {
        let start = first.after_ms.max(link.after_ms).unwrap_or(0);
        let end = |link: &StoryLink| link.within_ms.unwrap_or(u32::MAX);
        start <= end(first).min(end(link))
    };
    let is_shared = match (&first.event, &link.event) {
        (
            StoryEvent::Stands { control, positions },
            StoryEvent::Stands { control: other, positions: others },
        ) => control == other && !positions.is_disjoint(others),
        (StoryEvent::Reads { pin, actions }, StoryEvent::Reads { pin: other, actions: others }) => {
            pin == other && !actions.is_disjoint(others)
        }
        // Of two times the shorter one is first; equal times are named as one that never counts.
        (StoryEvent::TimePasses, StoryEvent::TimePasses)
        | (
            StoryEvent::Stands { .. } | StoryEvent::Reads { .. } | StoryEvent::TimePasses,
            StoryEvent::Stands { .. } | StoryEvent::Reads { .. } | StoryEvent::TimePasses,
        ) => false,
    };
    if same_end || !overlap || !is_shared {
        return None;
    }
    let is_sure = [&first.from, &first.to, &link.from, &link.to].iter().all(|set| set.len() == 1);
    let (take, hint) = if is_sure { ("takes", "") } else { ("may take", " where both are right") };
    Some(format!(
        "in {}, \"{}\" {take} two links at once: the upper one counts{hint}; part them by time or \
         delete one",
        story.mode_name(*mode),
        event_words(project, &link.event)
    ))
}
