//! What to do next at the machine so that its display tells most about the stories that are left.

use std::collections::{BTreeMap, BTreeSet};

use crate::model::{Deed, StoryEvent};
use crate::proving::story::infer::asked;
use crate::proving::story::player::{Machine, Player};
use crate::proving::story::walk::Stuck;

/// Longest row of deeds that is thought of.
const DEEDS_MOST: usize = 3;

/// Deeds that are tried at most.
const TRIES_MOST: usize = 4_000;

/// Tries that one counts for which grew too large: it took far longer than others.
const STUCK_TRIES: usize = 100;

/// Something to do, and what the display may say then.
#[derive(Clone, Debug, PartialEq)]
pub struct NextLook {
    /// What to do, in order.
    pub deeds: Vec<Deed>,
    /// What the display may say after the last one, with the number of stories in which it does.
    pub outcomes: BTreeMap<String, u128>,
}

impl NextLook {
    /// Stories that are left at worst.
    fn worst(&self) -> u128 {
        self.outcomes.values().copied().max().unwrap_or_default()
    }
}

/// The shortest row of deeds whose last display splits what is left; of these the one that leaves
/// fewest at worst, the first such. Where too much would have to be tried, the best of what was
/// tried; `None` where no row that was tried splits anything.
///
/// # Errors
/// `keep_going` said no.
pub(super) fn next_look(
    machine: &Machine<'_>,
    player: &Player,
    keep_going: &dyn Fn() -> bool,
) -> Result<Option<NextLook>, Stuck> {
    let deeds = deeds(machine);
    let mut level: Vec<(Vec<Deed>, Player)> = vec![(Vec::new(), player.clone().in_a_hurry())];
    let mut n_tries = 0;
    for _ in 0..DEEDS_MOST {
        let mut best: Option<NextLook> = None;
        let mut after = Vec::new();
        for (done, player) in &level {
            for deed in &deeds {
                n_tries += 1;
                if n_tries > TRIES_MOST {
                    return Ok(best);
                }
                asked(keep_going)?;
                let mut then = player.clone();
                if !is_possible(machine, &then, deed) {
                    continue;
                }
                if then.act(machine, deed).is_err() {
                    n_tries += STUCK_TRIES;
                    continue;
                }
                let mut all = done.clone();
                all.push(deed.clone());
                let look = NextLook { outcomes: outcomes(&then), deeds: all.clone() };
                let is_better = best.as_ref().is_none_or(|best| look.worst() < best.worst());
                if look.outcomes.len() > 1 && is_better {
                    best = Some(look);
                }
                if then != *player {
                    after.push((all, then));
                }
            }
        }
        if best.is_some() {
            return Ok(best);
        }
        level = after;
    }
    Ok(None)
}

fn outcomes(player: &Player) -> BTreeMap<String, u128> {
    let mut counts = BTreeMap::new();
    for display in player.walk.displays() {
        let mut walk = player.walk.clone();
        walk.saw(&display);
        counts.insert(display, walk.n_stories());
    }
    counts
}

/// Whether the hand can do it: the position is another one, and what it needs stands so.
fn is_possible(machine: &Machine<'_>, player: &Player, deed: &Deed) -> bool {
    match deed {
        Deed::Stands { control, position } | Deed::Tapped { control, position } => {
            machine.project.controls.get(*control).is_some_and(|row| {
                player.state.position(*control, row) != *position
                    && machine.project.is_allowed(*control, *position, &player.state)
            })
        }
        Deed::SwitchedOn | Deed::Reads { .. } | Deed::Waited { .. } => true,
    }
}

/// What can be done at all: controls put or tapped, the machine switched on anew, the times of the
/// story waited for.
fn deeds(machine: &Machine<'_>) -> Vec<Deed> {
    let mut deeds = Vec::new();
    for (control, row) in machine.project.controls.iter() {
        for idx in 0..row.positions.len() {
            let Ok(position) = u8::try_from(idx) else { continue };
            if row.kind.returns() {
                if position != row.rest {
                    deeds.push(Deed::Tapped { control, position });
                }
            } else {
                deeds.push(Deed::Stands { control, position });
            }
        }
    }
    deeds.push(Deed::SwitchedOn);
    let mut times = BTreeSet::new();
    for (_, link) in machine.project.story.links.iter() {
        match link.event {
            StoryEvent::TimePasses => times.extend(link.after_ms),
            StoryEvent::Stands { .. } | StoryEvent::Reads { .. } => {
                times.extend(link.after_ms);
                times.extend(link.within_ms.map(|ms| ms + 1));
            }
        }
    }
    deeds.extend(times.into_iter().map(|ms| Deed::Waited { ms }));
    deeds
}
