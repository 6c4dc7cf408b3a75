//! A walk through all stories that may be right at once.

use std::collections::BTreeSet;
use std::fmt;

use crate::model::{
    ControlId, LinkId, ModeId, SensePinId, Story, StoryEvent, StoryLink, StoryMode, Table,
};

/// More boxes of stories than this are not walked through.
pub const CASES_MOST: usize = 20_000;

/// More links than this, in all boxes together, are not taken on time alone during one wait.
const TURNS_MOST: usize = 200_000;

/// The same where a hand waits for the answer, or very many waits are tried.
const TURNS_FEW: usize = 10_000;

/// Something the machine notices.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Happening {
    /// A control reaches a position.
    Stands(ControlId, u8),
    /// A pin comes to read as a band.
    Reads(SensePinId, String),
}

/// Why a walk goes no further.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stuck {
    /// There is no mode to start in.
    NoStart,
    /// Too many stories would have to be told apart.
    TooMany,
    /// Links on time alone go round and round.
    Endless,
    /// Nobody wants the answer any more.
    Stopped,
}

impl fmt::Display for Stuck {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoStart => f.write_str(
                "nobody has said in which mode the machine is when it is switched on: name it",
            ),
            Self::TooMany => write!(
                f,
                "more than {CASES_MOST} boxes of stories would have to be told apart: leave out \
                 candidates that cannot be right"
            ),
            Self::Endless => f.write_str(
                "links on time alone would be taken too many times in one wait: wait a shorter \
                 time, give them longer times, or leave out candidates that cannot be right",
            ),
            Self::Stopped => f.write_str("stopped before all stories were walked: ask again"),
        }
    }
}

/// A box of stories that have gone the same way so far, and where the machine stands in them.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// Start modes of its stories.
    pub start: BTreeSet<ModeId>,
    /// Links with the candidates of its stories: every choice from them is one story.
    pub links: Table<LinkId, StoryLink>,
    /// Mode the machine is in.
    pub mode: ModeId,
    /// When it entered the mode, in milliseconds from the beginning of the walk.
    pub entered_ms: u64,
}

impl Case {
    /// How many stories it holds.
    pub fn n_stories(&self) -> u128 {
        choices(&self.start, &self.links)
    }

    fn entered(mut self, mode: ModeId, at_ms: u64) -> Self {
        self.mode = mode;
        self.entered_ms = at_ms;
        self
    }

    /// The same box with other candidates of one link; `None` where none are left.
    fn with(&self, id: LinkId, change: impl FnOnce(&mut StoryLink)) -> Option<Self> {
        let mut case = self.clone();
        let link = case.links.get_mut(id)?;
        change(link);
        let is_left = !link.from.is_empty() && !link.to.is_empty() && n_values(&link.event) > 0;
        is_left.then_some(case)
    }
}

/// How many stories a story with candidates holds.
pub fn n_stories(story: &Story) -> u128 {
    choices(&story.start, &story.links)
}

fn choices(start: &BTreeSet<ModeId>, links: &Table<LinkId, StoryLink>) -> u128 {
    let of = |link: &StoryLink| [link.from.len(), n_values(&link.event), link.to.len()];
    let counts = links.iter().flat_map(|(_, link)| of(link));
    counts.fold(start.len() as u128, |n, count| n.saturating_mul(count as u128))
}

fn n_values(event: &StoryEvent) -> usize {
    match event {
        StoryEvent::Stands { positions, .. } => positions.len(),
        StoryEvent::Reads { actions, .. } => actions.len(),
        StoryEvent::TimePasses => 1,
    }
}

/// All stories that may be right, each as far as it has come.
#[derive(Clone, Debug, PartialEq)]
pub struct Walk {
    modes: Table<ModeId, StoryMode>,
    /// Boxes of stories; no story is in two of them.
    pub cases: Vec<Case>,
    /// Milliseconds since the beginning.
    pub now_ms: u64,
    /// Links that one wait takes on time alone at most.
    turns_most: usize,
}

impl Walk {
    /// All stories of a story with candidates, just switched on.
    ///
    /// # Errors
    /// No mode to start in.
    pub fn begin(story: &Story) -> Result<Self, Stuck> {
        if story.start.is_empty() {
            return Err(Stuck::NoStart);
        }
        let case = |mode: &ModeId| Case {
            start: BTreeSet::from([*mode]),
            links: story.links.clone(),
            mode: *mode,
            entered_ms: 0,
        };
        let cases = story.start.iter().map(case).collect();
        Ok(Self { modes: story.modes.clone(), cases, now_ms: 0, turns_most: TURNS_MOST })
    }

    /// Gives up far sooner on links that go round and round, so that no wait takes long.
    pub(super) fn hurry(&mut self) {
        self.turns_most = TURNS_FEW;
    }

    /// Back to the start mode.
    pub fn switch_on(&mut self) {
        for case in &mut self.cases {
            case.mode = *case.start.first().expect("a case has the mode it started in");
            case.entered_ms = self.now_ms;
        }
    }

    /// Counts time from here.
    pub(super) fn begin_clock(&mut self) {
        self.now_ms = 0;
        for case in &mut self.cases {
            case.entered_ms = 0;
        }
    }

    /// Something happens now.
    ///
    /// # Errors
    /// Too many stories to tell apart.
    pub fn happen(&mut self, happening: &Happening) -> Result<(), Stuck> {
        let mut next = Vec::new();
        for case in std::mem::take(&mut self.cases) {
            take_first(case, happening, self.now_ms, &mut next);
            if next.len() > CASES_MOST {
                return Err(Stuck::TooMany);
            }
        }
        self.cases = next;
        Ok(())
    }

    /// Time passes and nothing else happens.
    ///
    /// # Errors
    /// Too many stories to tell apart, or links on time alone that go round and round.
    pub fn wait(&mut self, ms: u64) -> Result<(), Stuck> {
        self.now_ms = self.now_ms.saturating_add(ms);
        let mut done = Vec::new();
        let mut open: Vec<Case> = std::mem::take(&mut self.cases).into_iter().rev().collect();
        let mut n_turns = 0;
        while let Some(case) = open.pop() {
            if open.len() + done.len() > CASES_MOST {
                return Err(Stuck::TooMany);
            }
            let Some((due_ms, id)) = next_due(&case, self.now_ms) else {
                done.push(case);
                continue;
            };
            n_turns += 1;
            if n_turns > self.turns_most {
                return Err(Stuck::Endless);
            }
            let mode = case.mode;
            let others = case.with(id, |link| {
                link.from.remove(&mode);
            });
            open.extend(others);
            let Some(link) = case.links.get(id) else { continue };
            for to in &link.to {
                let taken = case.with(id, |link| {
                    link.from = BTreeSet::from([mode]);
                    link.to = BTreeSet::from([*to]);
                });
                open.extend(taken.map(|case| case.entered(*to, due_ms)));
            }
        }
        self.cases = done;
        Ok(())
    }

    /// What the display may say now.
    pub fn displays(&self) -> BTreeSet<String> {
        self.cases.iter().map(|case| self.display(case)).collect()
    }

    /// Modes the machine may be in.
    pub fn modes(&self) -> BTreeSet<ModeId> {
        self.cases.iter().map(|case| case.mode).collect()
    }

    /// Keeps the stories in which the display says this now.
    pub fn saw(&mut self, display: &str) {
        let modes = &self.modes;
        let says = |mode: ModeId| modes.get(mode).map_or("", |mode| mode.display.trim());
        self.cases.retain(|case| says(case.mode) == display.trim());
    }

    /// How many stories are left.
    pub fn n_stories(&self) -> u128 {
        self.cases.iter().fold(0, |sum: u128, case| sum.saturating_add(case.n_stories()))
    }

    fn display(&self, case: &Case) -> String {
        self.modes.get(case.mode).map_or_else(String::new, |m| m.display.trim().to_owned())
    }
}

/// The first link on time alone that is due by now.
fn next_due(case: &Case, now_ms: u64) -> Option<(u64, LinkId)> {
    case.links
        .iter()
        .filter(|(_, link)| link.event == StoryEvent::TimePasses && link.from.contains(&case.mode))
        .filter_map(|(id, link)| Some((case.entered_ms + u64::from(link.after_ms?), id)))
        .filter(|(due_ms, _)| *due_ms <= now_ms)
        .min()
}

/// Whether the mode was entered long enough ago, and not too long.
fn is_in_time(case: &Case, link: &StoryLink, now_ms: u64) -> bool {
    let ago_ms = now_ms - case.entered_ms;
    link.after_ms.is_none_or(|ms| ago_ms >= u64::from(ms))
        && link.within_ms.is_none_or(|ms| ago_ms <= u64::from(ms))
}

/// Every story of the box takes the first of its links that fits, or stays where it is.
fn take_first(case: Case, happening: &Happening, now_ms: u64, out: &mut Vec<Case>) {
    let mut open = vec![case];
    let ids: Vec<LinkId> = open[0].links.ids().collect();
    for id in ids {
        let mut still = Vec::new();
        for case in open {
            let mode = case.mode;
            let fits = case.links.get(id).is_some_and(|link| {
                link.from.contains(&mode)
                    && is_in_time(&case, link, now_ms)
                    && is_on(&link.event, happening)
            });
            if !fits {
                still.push(case);
                continue;
            }
            // Three boxes: it leaves another mode; it leaves this one on something else; it is taken.
            still.extend(case.with(id, |link| {
                link.from.remove(&mode);
            }));
            still.extend(case.with(id, |link| {
                link.from = BTreeSet::from([mode]);
                leave_out(&mut link.event, happening);
            }));
            let Some(link) = case.links.get(id) else { continue };
            for to in &link.to {
                let taken = case.with(id, |link| {
                    link.from = BTreeSet::from([mode]);
                    leave_only(&mut link.event, happening);
                    link.to = BTreeSet::from([*to]);
                });
                out.extend(taken.map(|case| case.entered(*to, now_ms)));
            }
        }
        open = still;
    }
    out.append(&mut open);
}

fn is_on(event: &StoryEvent, happening: &Happening) -> bool {
    match (event, happening) {
        (StoryEvent::Stands { control, positions }, Happening::Stands(moved, position)) => {
            control == moved && positions.contains(position)
        }
        (StoryEvent::Reads { pin, actions }, Happening::Reads(read, action)) => {
            pin == read && actions.contains(action)
        }
        (
            StoryEvent::Stands { .. } | StoryEvent::Reads { .. } | StoryEvent::TimePasses,
            Happening::Stands(..) | Happening::Reads(..),
        ) => false,
    }
}

fn leave_out(event: &mut StoryEvent, happening: &Happening) {
    match (event, happening) {
        (StoryEvent::Stands { positions, .. }, Happening::Stands(_, position)) => {
            positions.remove(position);
        }
        (StoryEvent::Reads { actions, .. }, Happening::Reads(_, action)) => {
            actions.remove(action);
        }
        (
            StoryEvent::Stands { .. } | StoryEvent::Reads { .. } | StoryEvent::TimePasses,
            Happening::Stands(..) | Happening::Reads(..),
        ) => {}
    }
}

fn leave_only(event: &mut StoryEvent, happening: &Happening) {
    match (event, happening) {
        (StoryEvent::Stands { positions, .. }, Happening::Stands(_, position)) => {
            *positions = BTreeSet::from([*position]);
        }
        (StoryEvent::Reads { actions, .. }, Happening::Reads(_, action)) => {
            *actions = BTreeSet::from([action.clone()]);
        }
        (
            StoryEvent::Stands { .. } | StoryEvent::Reads { .. } | StoryEvent::TimePasses,
            Happening::Stands(..) | Happening::Reads(..),
        ) => {}
    }
}
