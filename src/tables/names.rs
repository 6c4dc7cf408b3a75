//! Terminals by the names lists use, such as X1-11: looked up, and written so that they are found again.

use std::collections::BTreeMap;

use crate::model::{HalfSide, PartId, PartKind, Project, TerminalRef, cavity_of_terminal};

/// What to do about a connector the project does not have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Missing {
    /// It is an error of the row.
    Refuse,
    /// It is made, in one row with as many cavities as the table names.
    Make,
}

/// All terminals of a project by name.
#[derive(Clone, Debug)]
pub struct TerminalNames {
    /// Every spelling, and the terminals it may mean.
    by_name: BTreeMap<String, Vec<TerminalRef>>,
    /// The name a list should use, for every terminal.
    shown: BTreeMap<TerminalRef, String>,
    /// Names of parts, halves and plugs, and how many terminals each has.
    parts: BTreeMap<String, (String, u16)>,
}

/// What a name leads to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Found {
    /// One terminal.
    One(TerminalRef),
    /// A connector that is not there, and the cavity of it.
    NoSuchConnector(String, u16),
    /// Nothing; the sentence says why.
    Wrong(String),
}

impl TerminalNames {
    /// Names of everything a wire can end at.
    pub fn of(project: &Project) -> Self {
        let mut out =
            Self { by_name: BTreeMap::new(), shown: BTreeMap::new(), parts: BTreeMap::new() };
        for (id, part) in project.parts.iter() {
            for terminal in (0..part.kind.terminal_count()).filter(|t| part.kind.has_terminal(*t)) {
                let at = TerminalRef { part: id, terminal };
                let name = part.terminal_name(terminal);
                out.by_name.entry(normal(&name)).or_default().push(at);
                for half in half_words(&part.kind, terminal) {
                    out.by_name.entry(normal(&format!("{name} {half}"))).or_default().push(at);
                }
                out.shown.insert(at, name);
            }
            for name in names_of(project, id) {
                out.parts.insert(normal(&name), (name, part.kind.terminal_count()));
            }
        }
        // Where a name is shared by the halves of a connector, the half is said.
        for (at, name) in &mut out.shown {
            if out.by_name.get(&normal(name)).is_some_and(|all| all.len() > 1)
                && let Some(part) = project.parts.get(at.part)
            {
                let only = |word: &&&str| {
                    let all = out.by_name.get(&normal(&format!("{name} {word}")));
                    all.is_some_and(|all| all.len() == 1)
                };
                let words = half_words(&part.kind, at.terminal);
                if let Some(word) = words.iter().find(only) {
                    *name = format!("{name} {word}");
                }
            }
        }
        out
    }

    /// The name that leads back to a terminal.
    pub fn name(&self, terminal: TerminalRef) -> &str {
        self.shown.get(&terminal).map_or("?", String::as_str)
    }

    /// The terminal of a name as people write it: X1-11, x1:11, X1.11, X2-1 sockets.
    pub(super) fn find(&self, text: &str) -> Found {
        if text.is_empty() {
            return Found::Wrong("expected a terminal such as X1-11, found nothing".into());
        }
        let name = normal(text);
        match self.by_name.get(&name).map(Vec::as_slice) {
            Some([one]) => return Found::One(*one),
            Some(several) => {
                let names: Vec<&str> = several.iter().map(|at| self.name(*at)).collect();
                return Found::Wrong(format!(
                    "expected one terminal, found \"{text}\", which may be {}",
                    names.join(" or ")
                ));
            }
            None => {}
        }
        let (part, rest) = name.rsplit_once('-').unwrap_or((&name, ""));
        let cavity: Option<u16> = rest.parse().ok();
        match (self.parts.get(part).or_else(|| self.parts.get(&name)), cavity) {
            (Some((shown, n)), _) => Found::Wrong(format!(
                "expected a terminal of {shown} (it has {n}), found \"{text}\""
            )),
            (None, Some(cavity @ 1..)) if is_connector_name(part) => {
                Found::NoSuchConnector(part.to_uppercase(), cavity)
            }
            (None, _) => Found::Wrong(format!(
                "expected a terminal the project has, such as {}, found \"{text}\"",
                self.shown.values().next().map_or("X1-1", String::as_str)
            )),
        }
    }
}

/// Letters X and digits: what IEC 81346-2 calls connectors.
fn is_connector_name(part: &str) -> bool {
    part.strip_prefix('x')
        .is_some_and(|digits| !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit()))
}

/// Lower case, and one hyphen for every mark between name and cavity.
fn normal(name: &str) -> String {
    let lower = name.to_lowercase();
    let words: Vec<&str> = lower
        .split(|c: char| c.is_whitespace() || "-:./_–".contains(c))
        .filter(|word| !word.is_empty())
        .collect();
    words.join("-")
}

/// Words that name the half a connector's terminal belongs to.
fn half_words(kind: &PartKind, terminal: u16) -> Vec<&'static str> {
    let PartKind::Connector(connector) = kind else { return Vec::new() };
    let Some(second) = &connector.second else { return Vec::new() };
    let (half, side) = match cavity_of_terminal(terminal).1 {
        HalfSide::First => (&connector.first, "first"),
        HalfSide::Second => (second, "second"),
    };
    let gender = half.gender.noun();
    if connector.first.gender == second.gender { vec![side] } else { vec![gender, side] }
}

/// Names a part goes by in lists.
fn names_of(project: &Project, id: PartId) -> Vec<String> {
    let Some(part) = project.parts.get(id) else { return Vec::new() };
    let mut names = vec![part.name.clone()];
    match &part.kind {
        PartKind::Connector(connector) => {
            names.push(connector.first.name.clone());
            names.extend(connector.second.as_ref().map(|half| half.name.clone()));
        }
        PartKind::Controller(controller) => names.push(controller.plug.name.clone()),
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => {}
    }
    names
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    #[test]
    fn every_terminal_of_every_sample_is_found_by_the_name_it_is_given() {
        for sample in samples::LIST {
            let project = samples::open(sample.name).unwrap();
            let names = TerminalNames::of(&project);
            for (id, part) in project.parts.iter() {
                for terminal in
                    (0..part.kind.terminal_count()).filter(|t| part.kind.has_terminal(*t))
                {
                    let at = TerminalRef { part: id, terminal };
                    assert_eq!(names.find(names.name(at)), Found::One(at), "{}", names.name(at));
                }
            }
        }
    }

    #[test]
    fn people_write_names_in_many_ways() {
        let project = samples::open("forwarder").unwrap();
        let names = TerminalNames::of(&project);
        let at = names.find("X1-11");
        assert!(matches!(at, Found::One(_)));
        for text in ["x1:11", "X1.11", "X1 11", " X1 - 11", "X1/11"] {
            assert_eq!(names.find(text), at, "{text}");
        }
        assert_eq!(names.find("X9-4"), Found::NoSuchConnector("X9".into(), 4));
        for (text, says) in [
            ("X2-1", "X2-1 sockets or X2-1 pins"),
            ("X1-17", "X1 (it has 16)"),
            ("X1", "of X1"),
            ("engine", "a terminal the project has"),
            ("X9-0", "a terminal the project has"),
            ("", "found nothing"),
        ] {
            match names.find(text) {
                Found::Wrong(sentence) => assert!(sentence.contains(says), "{text}: {sentence}"),
                other => panic!("{text}: {other:?}"),
            }
        }
    }
}
