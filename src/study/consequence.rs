//! What a stuck contact and two hands at once mean for each action, in plain words.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use crate::model::{BandRole, Harm, Project, SensePin, State, Subject};
use crate::sense::asked;
use crate::study::faults::{Effect, FaultKind, Survey};

/// What leads to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Occasion {
    /// A contact that sticks, by the row of the survey.
    Stuck(usize),
    /// Two controls off rest at once; nothing is broken.
    TwoAtOnce,
}

/// What becomes of the action.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fate {
    /// It comes although nobody asks for it.
    Comes,
    /// It is asked for and does not come; what comes instead, if anything does.
    StaysAway(Option<String>),
    /// It is asked for beside others and is what comes.
    Wins(Vec<String>),
}

/// One consequence for one action.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Consequence {
    /// What leads to it.
    pub occasion: Occasion,
    /// What becomes of the action.
    pub fate: Fate,
    /// The state in which it shows, by index: of several the one with the fewest controls off rest.
    pub state: usize,
}

/// All consequences for one action.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ActionFate {
    /// The action.
    pub action: String,
    /// How bad it is unasked for.
    pub harm: Harm,
    /// Consequences, those by which it comes unasked first.
    pub list: Vec<Consequence>,
}

impl Consequence {
    /// `With S1 stuck closed, HOLD comes although nobody asked for it (all at rest).`
    pub fn words(
        &self,
        action: &str,
        survey: &Survey,
        state_words: &dyn Fn(&State) -> String,
    ) -> String {
        let state = state_words(&survey.states[self.state]);
        let (start, place) = match self.occasion {
            Occasion::Stuck(row) => {
                (format!("With {}, ", survey.rows[row].fault.title), format!(" ({state})"))
            }
            Occasion::TwoAtOnce => (format!("With {state}, "), String::new()),
        };
        let does = match &self.fate {
            Fate::Comes => format!("{action} comes although nobody asked for it"),
            Fate::StaysAway(None) => format!("{action} is asked for and nothing comes"),
            Fate::StaysAway(Some(other)) => {
                format!("{action} is asked for and {other} comes instead")
            }
            Fate::Wins(others) => format!("{action} comes and {} waits", others.join(" and ")),
        };
        format!("{start}{does}{place}.")
    }

    /// Where to look.
    pub fn subject(&self, survey: &Survey) -> Option<Subject> {
        match self.occasion {
            Occasion::Stuck(row) => survey.rows[row].fault.subjects.first().copied(),
            Occasion::TwoAtOnce => None,
        }
    }
}

/// Consequences for every action of the pin, in the order of its bands.
pub fn consequences(project: &Project, pin: &SensePin, survey: &Survey) -> Vec<ActionFate> {
    let all = Asked {
        pin,
        survey,
        asked: survey.states.iter().map(|state| asked(project, pin, state)).collect(),
        off_rest: survey.states.iter().map(|state| project.n_off_rest(state)).collect(),
    };
    let mut done = BTreeSet::new();
    let actions = pin.bands.iter().filter(|band| band.role == BandRole::Action);
    actions
        .filter(|band| done.insert(band.name.clone()))
        .map(|band| {
            let of_name = pin.bands.iter().filter(|other| other.name == band.name);
            let harm = of_name.map(|band| band.harm).max().unwrap_or_default();
            ActionFate { action: band.name.clone(), harm, list: all.of_action(&band.name) }
        })
        .collect()
}

struct Asked<'a> {
    pin: &'a SensePin,
    survey: &'a Survey,
    asked: Vec<Vec<String>>,
    off_rest: Vec<usize>,
}

impl Asked<'_> {
    fn of_action(&self, action: &str) -> Vec<Consequence> {
        let mut list = Vec::new();
        for (idx, row) in self.survey.rows.iter().enumerate() {
            if row.fault.kind != FaultKind::Stuck {
                continue;
            }
            let symptom = |state: usize| (row.symptoms[state].effect, row.symptoms[state].band);
            let comes = |state: usize| {
                let (effect, band) = symptom(state);
                effect == Some(Effect::WrongAction) && self.name(band) == Some(action)
            };
            let stays_away = |state: usize| {
                let (effect, _) = symptom(state);
                self.asked[state] == [action] && effect.is_some_and(|e| e != Effect::Silent)
            };
            if let Some(state) = self.plainest(&comes) {
                let occasion = Occasion::Stuck(idx);
                list.push(Consequence { occasion, fate: Fate::Comes, state });
            }
            if let Some(state) = self.plainest(&stays_away) {
                let fate = Fate::StaysAway(self.instead(symptom(state).1));
                list.push(Consequence { occasion: Occasion::Stuck(idx), fate, state });
            }
        }
        let two = (0..self.survey.states.len()).filter(|state| self.off_rest[*state] == 2);
        list.extend(two.filter_map(|state| self.of_two(action, state)));
        let rank = |one: &Consequence| match one.fate {
            Fate::Comes => 2,
            Fate::StaysAway(_) => 1,
            Fate::Wins(_) => 0,
        };
        list.sort_by_key(|one| Reverse(rank(one)));
        list
    }

    /// What becomes of an action in a sound circuit while two controls are off rest.
    fn of_two(&self, action: &str, state: usize) -> Option<Consequence> {
        let sound = &self.survey.sound[state];
        sound.scaled?;
        let asked = &self.asked[state];
        let band = self.name(sound.band);
        let is_asked = asked.iter().any(|name| name == action);
        let others = || asked.iter().filter(|name| *name != action).cloned().collect::<Vec<_>>();
        let fate = match (is_asked, band == Some(action)) {
            (false, true) => Fate::Comes,
            (true, true) if asked.len() > 1 => Fate::Wins(others()),
            (true, false) if !asked.iter().any(|name| Some(name.as_str()) == band) => {
                Fate::StaysAway(self.instead(sound.band))
            }
            (true | false, _) => return None,
        };
        Some(Consequence { occasion: Occasion::TwoAtOnce, fate, state })
    }

    /// Of the states that fit, the first with the fewest controls off rest.
    fn plainest(&self, fits: &dyn Fn(usize) -> bool) -> Option<usize> {
        let states = 0..self.survey.states.len();
        states.filter(|state| fits(*state)).min_by_key(|state| (self.off_rest[*state], *state))
    }

    fn name(&self, band: Option<usize>) -> Option<&str> {
        Some(self.pin.bands.get(band?)?.name.as_str())
    }

    /// The action that comes in its place.
    fn instead(&self, band: Option<usize>) -> Option<String> {
        let band = self.pin.bands.get(band?)?;
        (band.role == BandRole::Action).then(|| band.name.clone())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;
    use crate::study::faults::survey;

    fn all(name: &str) -> (Vec<ActionFate>, Survey, Project) {
        let project = samples::open(name).unwrap();
        let (id, pin) = project.sense_pins.iter().next().unwrap();
        let survey = survey(&project, id, &|| true).unwrap();
        (consequences(&project, pin, &survey), survey, project)
    }

    fn words(name: &str, action: &str) -> Vec<String> {
        let (all, survey, project) = all(name);
        let names = |state: &State| -> String {
            let moved = state.0.iter().filter_map(|(id, at)| {
                let control = project.controls.get(*id)?;
                (control.rest != *at).then(|| control.name.clone())
            });
            let words: Vec<String> = moved.collect();
            if words.is_empty() { "all at rest".into() } else { words.join(" and ") }
        };
        let of = all.iter().find(|of| of.action == action).unwrap();
        of.list.iter().map(|one| one.words(action, &survey, &names)).collect()
    }

    /// By hand: the rim's UP button stuck closed leaves 1.21 kΩ, which is a guard, until the gate puts
    /// 6.81 kΩ beside it: 1.03 kΩ, UP. The gate's own contact stuck closed leaves 6.81 kΩ, HOLD.
    #[test]
    fn a_stuck_button_is_told_for_the_action_it_makes() {
        let up = words("forwarder", "UP");
        let want = "With S4 stuck closed, UP comes although nobody asked for it (Gate).";
        assert!(up.iter().any(|line| line == want), "{up:?}");
        let gone = "With S4 stuck open, UP is asked for and HOLD comes instead (Gate and Rim UP).";
        assert!(up.iter().any(|line| line == gone), "{up:?}");
        let hold = words("forwarder", "HOLD");
        let want = "With S1 stuck closed, HOLD comes although nobody asked for it (all at rest).";
        assert_eq!(hold[0], want);
    }

    /// By hand: in a chain the button nearest the pin wins, whoever presses the other.
    #[test]
    fn two_hands_are_told_who_wins() {
        let home = words("rescue-boat", "HOME");
        let won: Vec<&String> = home.iter().filter(|line| line.contains("waits")).collect();
        assert_eq!(won.len(), 5, "{home:?}");
        let want = "With HOME and LEFT helm, HOME comes and LEFT waits.";
        assert!(won.iter().any(|line| *line == want), "{won:?}");
    }

    /// Two buttons of the first attempt read as a third, a fact of the sample's notes.
    #[test]
    fn two_hands_may_make_a_third_action() {
        let (all, survey, _) = all("railcar-first-attempt");
        let third: Vec<&Consequence> = all
            .iter()
            .flat_map(|of| &of.list)
            .filter(|one| one.occasion == Occasion::TwoAtOnce && one.fate == Fate::Comes)
            .collect();
        assert_eq!(third.len(), 2);
        assert!(third.iter().all(|one| one.subject(&survey).is_none()));
        let (all, ..) = super::tests::all("railcar");
        let is_third =
            |one: &Consequence| one.occasion == Occasion::TwoAtOnce && one.fate == Fate::Comes;
        assert!(!all.iter().flat_map(|of| &of.list).any(is_third), "none with two buttons");
    }
}
