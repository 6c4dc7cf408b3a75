//! Controls, their positions and terminals by name, as the text commands write and read them.

use crate::cli::words::listed;
use crate::model::{ControlId, PartKind, Project, SensePinId, State, TerminalRef};

/// Names and positions of these controls in a state, told apart where two share a name.
pub fn positions(project: &Project, ids: &[ControlId], state: &State) -> Vec<(String, String)> {
    let mut pairs: Vec<(String, String)> = Vec::new();
    for (name, id) in control_names(project, ids) {
        let Some(control) = project.controls.get(id) else { continue };
        let position = usize::from(state.position(id, control));
        let position = control.positions.get(position).map_or("?", |p| p.name.as_str());
        pairs.push((name, position.to_owned()));
    }
    pairs
}

/// Names of these controls; a second one of a name is numbered.
pub fn control_names(project: &Project, ids: &[ControlId]) -> Vec<(String, ControlId)> {
    let mut names: Vec<(String, ControlId)> = Vec::new();
    for id in ids {
        let Some(control) = project.controls.get(*id) else { continue };
        let mut name = control.name.clone();
        let mut n = 2;
        while names.iter().any(|(taken, _)| *taken == name) {
            name = format!("{} ({n})", control.name);
            n += 1;
        }
        names.push((name, *id));
    }
    names
}

/// `Gate HOLD` as name and position; the longest name that begins it.
fn written_out<'a>(text: &'a str, names: &[(String, ControlId)]) -> Option<(&'a str, &'a str)> {
    let split = |name: &str| {
        let (head, tail) = text.split_at_checked(name.len())?;
        (head.eq_ignore_ascii_case(name) && tail.starts_with(' ')).then_some((head, tail.trim()))
    };
    names.iter().filter_map(|(name, _)| split(name)).max_by_key(|(name, _)| name.len())
}

/// How a state of this project is written, in words.
fn example(project: &Project, names: &[(String, ControlId)]) -> String {
    let of = |(name, id): &(String, ControlId)| {
        let positions = &project.controls.get(*id)?.positions;
        Some(format!("{name}={}", positions.get(1).or(positions.first())?.name))
    };
    match names.iter().find_map(of) {
        Some(pair) => format!("a state such as {pair}, of {}", {
            listed(names.iter().map(|(name, _)| name.as_str()))
        }),
        None => "a state, and this project has no controls".into(),
    }
}

/// Reads `Gate=HOLD,Lever=fore`, also as states are written out, `Gate HOLD, Lever fore`; controls
/// that are not named stand at rest, and so do all in `all at rest`.
///
/// # Errors
/// One sentence: which control or position is meant by no name.
pub fn parse_state(project: &Project, text: &str) -> Result<State, String> {
    let ids: Vec<ControlId> = project.controls.ids().collect();
    let names = control_names(project, &ids);
    let mut state = State::rest();
    if text.trim().eq_ignore_ascii_case("all at rest") {
        return Ok(state);
    }
    for pair in text.split(',').map(str::trim).filter(|pair| !pair.is_empty()) {
        let (name, position) = pair
            .split_once('=')
            .or_else(|| written_out(pair, &names))
            .ok_or_else(|| format!("expected {}, found \"{pair}\"", example(project, &names)))?;
        let (_, id) = names
            .iter()
            .find(|(known, _)| known.eq_ignore_ascii_case(name.trim()))
            .ok_or_else(|| {
                let known = listed(names.iter().map(|(name, _)| name.as_str()));
                format!("expected one of the controls {known}, found \"{}\"", name.trim())
            })?;
        let Some(control) = project.controls.get(*id) else { continue };
        let wanted = position.trim();
        let by_name = |name: &str| name.eq_ignore_ascii_case(wanted);
        let short = |name: &str| {
            name.split_whitespace().next().is_some_and(|word| word.eq_ignore_ascii_case(wanted))
        };
        let found = control
            .positions
            .iter()
            .position(|position| by_name(&position.name))
            .or_else(|| control.positions.iter().position(|position| short(&position.name)));
        let Some(idx) = found else {
            let known = listed(control.positions.iter().map(|position| position.name.as_str()));
            return Err(format!(
                "expected one of the positions {known} of {}, found \"{wanted}\"",
                control.name
            ));
        };
        state.0.insert(*id, u8::try_from(idx).unwrap_or(u8::MAX));
    }
    Ok(state)
}

/// The sense pin of this name; the only one where none is named.
///
/// # Errors
/// One sentence: no pin, several, or none of that name.
pub fn sense_pin(project: &Project, name: Option<&str>) -> Result<SensePinId, String> {
    let known: Vec<(SensePinId, String)> = project
        .sense_pins
        .iter()
        .map(|(id, pin)| (id, project.terminal_name(pin.terminal)))
        .collect();
    let names = || listed(known.iter().map(|(_, name)| name.as_str()));
    match (name, known.as_slice()) {
        (_, []) => Err("the project has no sense pin".into()),
        (None, [(id, _)]) => Ok(*id),
        (None, _) => Err(format!("say with --pin which sense pin is meant: {}", names())),
        (Some(name), _) => known
            .iter()
            .find(|(_, known)| known.eq_ignore_ascii_case(name))
            .map(|(id, _)| *id)
            .ok_or_else(|| format!("expected one of the sense pins {}, found \"{name}\"", names())),
    }
}

/// Reads a terminal such as `X1-3`, as lists write it. Where two parts share a name, the
/// controller's cavity goes first, then the part that was drawn first.
///
/// # Errors
/// One sentence: no terminal is called so.
pub fn terminal(project: &Project, name: &str) -> Result<TerminalRef, String> {
    let all = project.parts.iter().flat_map(|(part, row)| {
        let terminals = 0..row.kind.terminal_count();
        let exists = |terminal: &u16| row.kind.has_terminal(*terminal);
        terminals.filter(exists).map(move |terminal| (row, TerminalRef { part, terminal }))
    });
    let mut named: Vec<_> = all
        .filter(|(row, at)| row.terminal_name(at.terminal).eq_ignore_ascii_case(name.trim()))
        .collect();
    named.sort_by_key(|(row, at)| (!matches!(row.kind, PartKind::Controller(_)), *at));
    named.first().map(|(_, at)| *at).ok_or_else(|| no_terminal(project, name.trim()))
}

/// What there is in place of a terminal that there is not: those of the connector or part that is
/// named, else what has terminals.
fn no_terminal(project: &Project, wanted: &str) -> String {
    let mut terminals: Vec<String> = Vec::new();
    // Plugs first: their cavities are what is asked for most.
    let mut rows: Vec<_> = project.parts.iter().map(|(_, row)| row).collect();
    let is_controller = |kind: &PartKind| matches!(kind, PartKind::Controller(_));
    rows.sort_by_key(|row| (!is_controller(&row.kind), row.kind.cavities().is_none()));
    for row in rows {
        let exists = (0..row.kind.terminal_count()).filter(|at| row.kind.has_terminal(*at));
        terminals.extend(exists.map(|at| row.terminal_name(at)));
    }
    let owner = |name: &str| name.rsplit_once('-').map_or(name, |(owner, _)| owner).to_lowercase();
    let own = terminals.iter().filter(|name| owner(name) == owner(wanted));
    let own = listed(own.map(String::as_str));
    if !own.is_empty() {
        return format!("expected one of the terminals {own}, found \"{wanted}\"");
    }
    let owners = terminals.iter().map(|name| name.rsplit_once('-').map_or(name.as_str(), |n| n.0));
    format!(
        "expected a terminal such as {}, of one of {}, found \"{wanted}\"",
        terminals.first().map_or("X1-3", String::as_str),
        listed(owners)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    #[test]
    fn states_are_read_by_name_and_refused_in_one_sentence() {
        let project = samples::open("forwarder").unwrap();
        let state = parse_state(&project, "gate=HOLD, Lever=fore").unwrap();
        assert_eq!(state.0.len(), 2);
        let ids: Vec<ControlId> = state.0.keys().copied().collect();
        let words = positions(&project, &ids, &state);
        assert_eq!(words[0], ("Gate".to_owned(), "HOLD".to_owned()));
        assert!(words[1].1.starts_with("fore"), "{words:?}");
        // As lists and reports write them.
        assert_eq!(parse_state(&project, "Gate HOLD, Lever fore").unwrap(), state);
        assert_eq!(parse_state(&project, "all at rest").unwrap(), State::rest());
        let boat = samples::open("rescue-boat").unwrap();
        let helm = parse_state(&boat, "LEFT helm on").unwrap();
        assert_eq!(helm, parse_state(&boat, "LEFT helm=on").unwrap());
        assert_eq!(helm.0.len(), 1);
        let error = parse_state(&boat, "LEFT").unwrap_err();
        assert!(error.starts_with("expected a state such as HOME=on, of HOME, "), "{error}");
        for (text, part) in [("Gate", "such as"), ("Gat=HOLD", "Gate"), ("Gate=UP", "AUTO")] {
            let error = parse_state(&project, text).unwrap_err();
            assert!(error.contains(part), "{error}");
        }
    }

    #[test]
    fn a_terminal_that_is_none_is_answered_with_those_there_are() {
        let project = samples::open("forwarder").unwrap();
        for (name, want) in [
            ("X1-99", "expected one of the terminals X1-1, X1-2, X1-3, X1-4"),
            ("X9-3", "expected a terminal such as "),
        ] {
            let error = terminal(&project, name).unwrap_err();
            assert!(error.starts_with(want) && error.ends_with(&format!("{name}\"")), "{error}");
        }
        let error = terminal(&project, "X9-3").unwrap_err();
        assert!(error.contains("of one of ") && error.contains("X1"), "{error}");
    }
}
