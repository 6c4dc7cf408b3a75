//! What a hand on a control does: pressing, letting go, keeping, by pointer or by key. Pure functions.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::app::action::Action;
use crate::model::{Control, ControlId, ControlKind, Project, State};

/// Whether a hand keeps the control where it put it, or only holds it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grip {
    /// Held as long as the hand is on it.
    Hold,
    /// Kept after the hand is gone.
    Keep,
}

/// Which way a step goes along the positions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// To the next one.
    Next,
    /// To the one before.
    Before,
}

/// A number key going down or up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DigitKey {
    /// From 1 to 9.
    pub digit: u8,
    /// Down or up.
    pub is_down: bool,
    /// Hold or keep.
    pub grip: Grip,
    /// Which way to go.
    pub way: Way,
}

/// Where things stand on the bench.
#[derive(Clone, Copy)]
pub struct Hand<'a> {
    /// The project.
    pub project: &'a Project,
    /// Positions of the controls.
    pub bench: &'a State,
    /// Latched controls.
    pub latched: &'a BTreeSet<ControlId>,
}

/// Positions from left to right as they lie under the hand. A lever whose rest is listed first and that
/// has two more positions leans to both sides of its rest.
pub fn arc(control: &Control) -> Vec<u8> {
    let all: Vec<u8> = (0..u8::try_from(control.positions.len()).unwrap_or(u8::MAX)).collect();
    if control.kind == ControlKind::SpringReturn && all.len() == 3 && control.rest == 0 {
        return vec![2, 0, 1];
    }
    all
}

/// The first position that is not rest: where a button goes when it is pressed.
pub fn pressed_position(control: &Control) -> u8 {
    u8::from(control.rest == 0)
}

impl Hand<'_> {
    /// A pointer goes down on a control that returns, for this position.
    pub fn press(&self, id: ControlId, position: u8, grip: Grip) -> Vec<Action> {
        let Some(control) = self.project.controls.get(id) else { return Vec::new() };
        let stands = self.bench.position(id, control);
        let is_kept = self.latched.contains(&id);
        if is_kept && stands == position {
            return vec![Action::LatchControl(id, false)];
        }
        let mut actions = vec![Action::MoveControl(id, position)];
        if grip == Grip::Keep && !is_kept && self.project.is_allowed(id, position, self.bench) {
            actions.push(Action::LatchControl(id, true));
        }
        actions
    }

    /// The keep switch beside a control that returns.
    pub fn toggle_keep(&self, id: ControlId) -> Vec<Action> {
        let Some(control) = self.project.controls.get(id) else { return Vec::new() };
        if self.latched.contains(&id) {
            return vec![Action::LatchControl(id, false)];
        }
        let mut actions = Vec::new();
        if control.kind == ControlKind::Momentary
            && self.bench.position(id, control) == control.rest
        {
            if !self.project.is_allowed(id, pressed_position(control), self.bench) {
                return Vec::new();
            }
            actions.push(Action::MoveControl(id, pressed_position(control)));
        }
        actions.push(Action::LatchControl(id, true));
        actions
    }

    /// The next or previous position of a control that stays, around the end to the other end.
    pub fn step(&self, id: ControlId, way: Way) -> Vec<Action> {
        let Some(control) = self.project.controls.get(id) else { return Vec::new() };
        let arc = arc(control);
        let Some(at) =
            arc.iter().position(|position| *position == self.bench.position(id, control))
        else {
            return Vec::new();
        };
        let to = match way {
            Way::Next => (at + 1) % arc.len(),
            Way::Before => (at + arc.len() - 1) % arc.len(),
        };
        vec![Action::MoveControl(id, arc[to])]
    }

    /// A number key. `held` remembers which control each key holds until it comes up again.
    pub fn key(&self, key: DigitKey, held: &mut BTreeMap<u8, ControlId>) -> Vec<Action> {
        if !key.is_down {
            return held.remove(&key.digit).map(Action::ReleaseControl).into_iter().collect();
        }
        let nth = usize::from(key.digit.saturating_sub(1));
        let Some((id, control)) = self.project.controls.iter().nth(nth) else { return Vec::new() };
        if !control.kind.returns() {
            return self.step(id, key.way);
        }
        let target = self.leaned(id, control, key.way);
        if self.latched.contains(&id) && target == self.bench.position(id, control) {
            return vec![Action::LatchControl(id, false)];
        }
        if key.grip == Grip::Hold {
            held.insert(key.digit, id);
        }
        self.press(id, target, key.grip)
    }

    /// Where a key takes a control that returns: a button down, a lever one step along its arc.
    fn leaned(&self, id: ControlId, control: &Control, way: Way) -> u8 {
        if control.positions.len() == 2 {
            return pressed_position(control);
        }
        let arc = arc(control);
        let at = arc
            .iter()
            .position(|position| *position == self.bench.position(id, control))
            .unwrap_or(0);
        let to = match way {
            Way::Next => (at + 1).min(arc.len() - 1),
            Way::Before => at.saturating_sub(1),
        };
        arc[to]
    }
}

/// Why a control cannot leave rest now: the control and position it needs.
pub fn need_text(project: &Project, id: ControlId, bench: &State) -> Option<String> {
    let control = project.controls.get(id)?;
    let need = control.needs?;
    let other = project.controls.get(need.control)?;
    let is_met = bench.position(need.control, other) == need.position;
    let position = other.positions.get(usize::from(need.position))?;
    (!is_met).then(|| format!("needs {} {}", other.name, position.name))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::ladder;

    struct Bench {
        project: Project,
        ids: Vec<ControlId>,
        state: State,
        latched: BTreeSet<ControlId>,
        held: BTreeMap<u8, ControlId>,
    }

    impl Bench {
        fn new() -> Self {
            let project = ladder().0;
            let ids = project.controls.ids().collect();
            Self {
                project,
                ids,
                state: State::rest(),
                latched: BTreeSet::new(),
                held: BTreeMap::new(),
            }
        }

        fn hand(&self) -> Hand<'_> {
            Hand { project: &self.project, bench: &self.state, latched: &self.latched }
        }

        fn key(&mut self, digit: u8, is_down: bool, grip: Grip, way: Way) -> Vec<Action> {
            let mut held = std::mem::take(&mut self.held);
            let actions = self.hand().key(DigitKey { digit, is_down, grip, way }, &mut held);
            self.held = held;
            actions
        }
    }

    #[test]
    fn a_key_holds_a_button_and_lets_it_go() {
        let mut bench = Bench::new();
        let up = bench.ids[2];
        assert_eq!(bench.key(3, true, Grip::Hold, Way::Next), [Action::MoveControl(up, 1)]);
        bench.state.0.insert(up, 1);
        assert_eq!(bench.key(3, false, Grip::Hold, Way::Next), [Action::ReleaseControl(up)]);
        assert_eq!(bench.key(3, false, Grip::Hold, Way::Next), [], "it was let go already");
        assert_eq!(bench.key(9, true, Grip::Hold, Way::Next), [], "there is no ninth control");
    }

    #[test]
    fn shift_keeps_a_button_and_the_next_press_frees_it() {
        let mut bench = Bench::new();
        let up = bench.ids[2];
        let want = [Action::MoveControl(up, 1), Action::LatchControl(up, true)];
        assert_eq!(bench.key(3, true, Grip::Keep, Way::Next), want);
        assert_eq!(bench.key(3, false, Grip::Keep, Way::Next), [], "nothing is held");
        bench.state.0.insert(up, 1);
        bench.latched.insert(up);
        assert_eq!(bench.key(3, true, Grip::Hold, Way::Next), [Action::LatchControl(up, false)]);
        assert_eq!(bench.hand().press(up, 1, Grip::Hold), [Action::LatchControl(up, false)]);
        assert_eq!(bench.hand().toggle_keep(up), [Action::LatchControl(up, false)]);
    }

    #[test]
    fn a_lever_leans_both_ways_and_only_when_what_it_needs_is_there() {
        let mut bench = Bench::new();
        let (gate, lever) = (bench.ids[0], bench.ids[1]);
        assert_eq!(
            need_text(&bench.project, lever, &bench.state).as_deref(),
            Some("needs Gate HOLD")
        );
        // The move itself is refused, with a notice; nothing is latched that did not move.
        assert_eq!(bench.key(2, true, Grip::Keep, Way::Next), [Action::MoveControl(lever, 2)]);
        bench.state.0.insert(gate, 1);
        assert_eq!(need_text(&bench.project, lever, &bench.state), None);
        assert_eq!(bench.key(2, true, Grip::Hold, Way::Next), [Action::MoveControl(lever, 2)]);
        assert_eq!(bench.key(2, false, Grip::Hold, Way::Next), [Action::ReleaseControl(lever)]);
        assert_eq!(bench.key(2, true, Grip::Hold, Way::Before), [Action::MoveControl(lever, 0)]);
    }

    #[test]
    fn controls_that_stay_step_around() {
        let mut bench = Bench::new();
        let (gate, mode) = (bench.ids[0], bench.ids[4]);
        assert_eq!(bench.key(1, true, Grip::Hold, Way::Next), [Action::MoveControl(gate, 1)]);
        bench.state.0.insert(gate, 1);
        assert_eq!(bench.key(1, true, Grip::Hold, Way::Next), [Action::MoveControl(gate, 0)]);
        assert_eq!(bench.key(5, true, Grip::Hold, Way::Before), [Action::MoveControl(mode, 3)]);
        assert!(bench.held.is_empty(), "nothing that stays is held");
    }

    #[test]
    fn a_lever_whose_rest_is_listed_first_leans_to_both_sides_of_it() {
        let bench = Bench::new();
        let mut lever = bench.project.controls.get(bench.ids[1]).unwrap().clone();
        assert_eq!(arc(&lever), [0, 1, 2]);
        lever.rest = 0;
        assert_eq!(arc(&lever), [2, 0, 1]);
    }
}
