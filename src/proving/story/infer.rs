//! What follows from what was seen: which stories explain every row, and where none does.

use std::collections::BTreeSet;

use crate::model::{
    LinkId, ModeId, Observation, ObservationId, State, Story, StoryEvent, StoryLink,
};
use crate::proving::story::next::{NextLook, next_look};
use crate::proving::story::player::{Machine, Player};
use crate::proving::story::walk::{Case, Stuck, Walk, n_stories};

/// With more rows than this nobody looks for the one that does not fit the others.
const BLAMED_MOST: usize = 200;

/// What was not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum StoryField {
    /// The mode the machine is in when it is switched on.
    Start,
    /// The mode a link leaves.
    From(LinkId),
    /// The position or the band that leads on.
    On(LinkId),
    /// The mode a link enters.
    To(LinkId),
}

/// What is left of something that was not known.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldLeft {
    /// What it is.
    pub field: StoryField,
    /// All candidates in words, with whether a story that is left needs it.
    pub candidates: Vec<(String, bool)>,
}

impl FieldLeft {
    /// The only candidate that is left.
    pub fn settled(&self) -> Option<&str> {
        let mut left = self.candidates.iter().filter(|(_, is_left)| *is_left);
        left.next().filter(|_| left.next().is_none()).map(|(words, _)| words.as_str())
    }
}

/// What one row told.
#[derive(Clone, Debug, PartialEq)]
pub struct RowTold {
    /// The row.
    pub id: ObservationId,
    /// What the display could have said, by the rows before.
    pub could_say: BTreeSet<String>,
    /// Stories left after it.
    pub n_left: u128,
    /// Whether no story that explains the rows before shows what was seen.
    pub is_contradiction: bool,
}

/// Rows that do not go together.
#[derive(Clone, Debug, PartialEq)]
pub struct Contradiction {
    /// The first row that no story explains together with the rows before it.
    pub row: ObservationId,
    /// Rows any one of which, left out, leaves a story, and how many it leaves.
    pub without: Vec<(ObservationId, u128)>,
}

/// What follows from all rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Inference {
    /// Stories there were before the first row.
    pub n_before: u128,
    /// Stories that explain all rows; none where rows contradict.
    pub n_left: u128,
    /// Row by row; a row that contradicts is left out of what follows.
    pub rows: Vec<RowTold>,
    /// Everything that was not known, with what is left of it.
    pub fields: Vec<FieldLeft>,
    /// The first contradiction.
    pub contradiction: Option<Contradiction>,
    /// The stories that are left, in boxes; a walk may begin with them.
    pub left: Vec<Case>,
    /// What to try next, where that tells the stories that are left apart.
    pub next: Option<NextLook>,
}

impl Inference {
    /// Stories a walk begins with: those left, rows that contradict left out.
    pub fn n_walked(&self) -> u128 {
        self.left.iter().fold(0, |sum: u128, case| sum.saturating_add(case.n_stories()))
    }
}

/// Walks through the observation table.
///
/// The machine is switched on with every control at rest before the first row. Exact: a story is
/// left if and only if it shows what was seen in every row. Cost: rows times boxes times links; the
/// boxes are split only where what was not known has mattered. `keep_going` is asked once a row, and
/// once for everything that is tried to find what to try next.
///
/// # Errors
/// The story cannot be walked, or `keep_going` said no.
pub fn infer(machine: &Machine<'_>, keep_going: &dyn Fn() -> bool) -> Result<Inference, Stuck> {
    let story = &machine.project.story;
    let mut player = Player::switched_on(machine, &State::rest())?;
    let mut rows = Vec::new();
    let mut first = None;
    for (id, seen) in story.seen.iter() {
        asked(keep_going)?;
        let told = row(machine, &mut player, id, seen)?;
        if told.is_contradiction && first.is_none() {
            first = Some(id);
        }
        rows.push(told);
    }
    let contradiction = match first {
        Some(row) => Some(Contradiction { row, without: without(machine, keep_going)? }),
        None => None,
    };
    let n_left = if contradiction.is_some() { 0 } else { player.walk.n_stories() };
    Ok(Inference {
        n_before: n_stories(story),
        n_left,
        rows,
        fields: fields(machine, &player.walk),
        next: if n_left > 1 { next_look(machine, &player, keep_going)? } else { None },
        contradiction,
        left: player.walk.cases,
    })
}

/// Goes no further where nobody wants the answer.
pub(super) fn asked(keep_going: &dyn Fn() -> bool) -> Result<(), Stuck> {
    if keep_going() { Ok(()) } else { Err(Stuck::Stopped) }
}

fn row(
    machine: &Machine<'_>,
    player: &mut Player,
    id: ObservationId,
    seen: &Observation,
) -> Result<RowTold, Stuck> {
    player.act(machine, &seen.deed)?;
    let could_say = player.walk.displays();
    let mut is_contradiction = false;
    if let Some(display) = &seen.display {
        is_contradiction = !could_say.contains(display.trim());
        if !is_contradiction {
            player.walk.saw(display);
        }
    }
    Ok(RowTold { id, could_say, n_left: player.walk.n_stories(), is_contradiction })
}

/// Which single row, not looked at, leaves the others explained.
fn without(
    machine: &Machine<'_>,
    keep_going: &dyn Fn() -> bool,
) -> Result<Vec<(ObservationId, u128)>, Stuck> {
    let seen = &machine.project.story.seen;
    let mut found = Vec::new();
    if seen.len() > BLAMED_MOST {
        return Ok(found);
    }
    for (out, _) in seen.iter().filter(|(_, row)| row.display.is_some()) {
        match left_without(machine, out, keep_going) {
            Ok(0) => {}
            Ok(n) => found.push((out, n)),
            Err(Stuck::Stopped) => return Err(Stuck::Stopped),
            // The walk that could be walked with the row grows too large without it.
            Err(Stuck::NoStart | Stuck::TooMany | Stuck::Endless) => {}
        }
    }
    Ok(found)
}

/// Stories that explain every row but one.
fn left_without(
    machine: &Machine<'_>,
    out: ObservationId,
    keep_going: &dyn Fn() -> bool,
) -> Result<u128, Stuck> {
    let mut player = Player::switched_on(machine, &State::rest())?;
    for (id, seen) in machine.project.story.seen.iter() {
        asked(keep_going)?;
        player.act(machine, &seen.deed)?;
        if let Some(display) = seen.display.as_ref().filter(|_| id != out) {
            player.walk.saw(display);
        }
    }
    Ok(player.walk.n_stories())
}

fn fields(machine: &Machine<'_>, walk: &Walk) -> Vec<FieldLeft> {
    let story = &machine.project.story;
    let mut out = Vec::new();
    let mut put = |field, candidates: Vec<(String, bool)>| {
        if candidates.len() > 1 {
            out.push(FieldLeft { field, candidates });
        }
    };
    let modes = |all: &BTreeSet<ModeId>, left: &dyn Fn(&Case) -> BTreeSet<ModeId>| {
        let left: BTreeSet<ModeId> = walk.cases.iter().flat_map(left).collect();
        all.iter().map(|id| (story.mode_name(*id).to_owned(), left.contains(id))).collect()
    };
    put(StoryField::Start, modes(&story.start, &|case| case.start.clone()));
    for (id, link) in story.links.iter() {
        let of = |case: &Case, get: fn(&StoryLink) -> &BTreeSet<ModeId>| {
            case.links.get(id).map(|link| get(link).clone()).unwrap_or_default()
        };
        put(StoryField::From(id), modes(&link.from, &|case| of(case, |link| &link.from)));
        put(StoryField::On(id), values(machine, walk, story, id));
        put(StoryField::To(id), modes(&link.to, &|case| of(case, |link| &link.to)));
    }
    out
}

fn values(machine: &Machine<'_>, walk: &Walk, story: &Story, id: LinkId) -> Vec<(String, bool)> {
    let left = |is_left: &dyn Fn(&StoryEvent) -> bool| {
        walk.cases.iter().any(|case| case.links.get(id).is_some_and(|link| is_left(&link.event)))
    };
    match story.links.get(id).map(|link| &link.event) {
        Some(StoryEvent::Stands { control, positions }) => positions
            .iter()
            .map(|position| {
                let row = machine.project.controls.get(*control);
                let name = row.and_then(|row| row.positions.get(usize::from(*position)));
                let is_left = left(&|event| match event {
                    StoryEvent::Stands { positions, .. } => positions.contains(position),
                    StoryEvent::Reads { .. } | StoryEvent::TimePasses => false,
                });
                (name.map_or("?", |name| name.name.as_str()).to_owned(), is_left)
            })
            .collect(),
        Some(StoryEvent::Reads { actions, .. }) => actions
            .iter()
            .map(|action| {
                let is_left = left(&|event| match event {
                    StoryEvent::Reads { actions, .. } => actions.contains(action),
                    StoryEvent::Stands { .. } | StoryEvent::TimePasses => false,
                });
                (action.clone(), is_left)
            })
            .collect(),
        Some(StoryEvent::TimePasses) | None => Vec::new(),
    }
}
