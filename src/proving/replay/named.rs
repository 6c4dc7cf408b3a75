//! How the controls stood, as a text column says it: `LEFT on, CENTRE on`, `Gate=HOLD;Lever=fore`,
//! `all at rest`, or the name of the action that was asked for.

use crate::model::{ControlId, Project, SensePin, State};

/// What a cell about the controls says.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Said {
    /// A position for every control that is off rest.
    State(State),
    /// The action the hand asked for, as a band is named.
    Action(String),
}

/// The control of this name; `None` where two have it.
pub fn control_of_name(project: &Project, name: &str) -> Option<ControlId> {
    let is_named = |known: &str| known.trim().eq_ignore_ascii_case(name.trim());
    let mut found = project.controls.iter().filter(|(_, control)| is_named(&control.name));
    let (id, _) = found.next()?;
    found.next().is_none().then_some(id)
}

/// Index of the position of this name; its first word is enough where no other begins with it.
pub fn position_of(project: &Project, id: ControlId, name: &str) -> Option<u8> {
    let control = project.controls.get(id)?;
    let name = name.trim();
    let whole = |known: &str| known.trim().eq_ignore_ascii_case(name);
    let short = |known: &str| known.split_whitespace().next().is_some_and(whole);
    let positions = &control.positions;
    let mut wholes = (0..positions.len()).filter(|idx| whole(&positions[*idx].name));
    let mut shorts = (0..positions.len()).filter(|idx| short(&positions[*idx].name));
    let (idx, other) = match wholes.next() {
        Some(idx) => (idx, wholes.next()),
        None => (shorts.next()?, shorts.next()),
    };
    u8::try_from(idx).ok().filter(|_| other.is_none())
}

/// Reads a cell; `None` where it names neither controls nor an action of the pin.
pub fn state_of(project: &Project, pin: &SensePin, text: &str) -> Option<Said> {
    let text = text.trim();
    if let Some(band) = pin.bands.iter().find(|band| band.name.eq_ignore_ascii_case(text)) {
        return Some(Said::Action(band.name.clone()));
    }
    if text.eq_ignore_ascii_case("rest") || text.eq_ignore_ascii_case("all at rest") {
        return Some(Said::State(State::rest()));
    }
    let mut state = State::rest();
    let mut parts = text.split([',', ';', '&', '|', '+']).map(str::trim).filter(|p| !p.is_empty());
    let first = parts.next()?;
    for part in std::iter::once(first).chain(parts) {
        let (id, position) = pair(project, part)?;
        state.0.insert(id, position);
    }
    Some(Said::State(state))
}

/// `LEFT=on`, `LEFT: on` or `LEFT on`; names may hold spaces.
fn pair(project: &Project, text: &str) -> Option<(ControlId, u8)> {
    if let Some((name, position)) = text.split_once(['=', ':']) {
        let id = control_of_name(project, name)?;
        return Some((id, position_of(project, id, position)?));
    }
    text.match_indices(' ').find_map(|(at, _)| {
        let id = control_of_name(project, &text[..at])?;
        Some((id, position_of(project, id, &text[at..])?))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::state_words;
    use crate::samples;
    use crate::sense::Reader;

    #[test]
    fn every_state_is_read_back_from_its_words() {
        for sample in samples::LIST {
            let project = samples::open(sample.name).unwrap();
            let reader = Reader::new(&project);
            for (id, pin) in project.sense_pins.iter() {
                for row in &reader.table(id).unwrap().rows {
                    let words = state_words(&project, &row.state);
                    let Some(Said::State(state)) = state_of(&project, pin, &words) else {
                        panic!("{words}")
                    };
                    assert_eq!(state_words(&project, &state), words);
                }
            }
        }
    }

    #[test]
    fn what_fits_two_names_is_not_understood() {
        let mut project = samples::open("forwarder").unwrap();
        let ids: Vec<_> = project.controls.ids().collect();
        let control = project.controls.get_mut(ids[0]).unwrap();
        let names = ["up fast", "up slow", "up"];
        for (position, name) in control.positions.iter_mut().zip(names) {
            position.name = name.to_owned();
        }
        let n = control.positions.len().min(3);
        assert!(n >= 2);
        let want = (n == 3).then_some(2);
        assert_eq!(position_of(&project, ids[0], "up"), want);
        assert_eq!(position_of(&project, ids[0], "UP SLOW"), Some(1));
        let name = project.controls.get(ids[0]).unwrap().name.clone();
        assert_eq!(control_of_name(&project, &name), Some(ids[0]));
        project.controls.get_mut(ids[1]).unwrap().name = name.clone();
        assert_eq!(control_of_name(&project, &name), None);
    }

    #[test]
    fn cells_name_controls_or_an_action() {
        let project = samples::open("forwarder").unwrap();
        let pin = project.sense_pins.iter().next().unwrap().1;
        let of = |text: &str| state_of(&project, pin, text);
        let Some(Said::State(state)) = of("gate=HOLD; Lever: fore") else { panic!("no state") };
        assert_eq!(state.0.len(), 2);
        assert_eq!(of("rest"), Some(Said::State(State::rest())));
        assert_eq!(of("hold"), Some(Said::Action("HOLD".into())));
        for text in ["", ";", "Gate=SIDEWAYS", "somebody shouted", "Gate"] {
            assert_eq!(of(text), None, "{text}");
        }
    }
}
