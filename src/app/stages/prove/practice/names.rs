//! The faults that may be named, sorted once, and those left by what is typed.

use crate::proving::diagnose::Inquiry;
use crate::proving::practice::choices;
use crate::study::faults::FaultKind;

/// One line of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Line {
    /// Head of the faults of a kind.
    Kind(FaultKind),
    /// A fault, by row of the survey.
    Fault(usize),
}

/// A fault with its name as it is looked for.
struct Name {
    kind: FaultKind,
    row: usize,
    title: String,
}

/// All faults of one survey in the order they are listed, and the lines left of them.
pub(super) struct NameList {
    all: Vec<Name>,
    /// What the lines were picked by; none before they were.
    wanted: Option<String>,
    lines: Vec<Line>,
}

impl NameList {
    /// All that may be hidden, by kind and name.
    pub(super) fn of(inquiry: &Inquiry) -> Self {
        let mut rows = choices(inquiry);
        rows.sort_by_cached_key(|row| {
            let fault = &inquiry.survey.rows[*row].fault;
            (fault.kind, fault.title.clone())
        });
        let name = |row: usize| {
            let fault = &inquiry.survey.rows[row].fault;
            Name { kind: fault.kind, row, title: fault.title.to_lowercase() }
        };
        Self { all: rows.into_iter().map(name).collect(), wanted: None, lines: Vec::new() }
    }

    /// Leaves the faults that hold every word typed; a whole name leaves that one alone, though
    /// others hold it as a part of theirs.
    pub(super) fn find(&mut self, typed: &str) {
        if self.wanted.as_deref() == Some(typed) {
            return;
        }
        self.wanted = Some(typed.to_owned());
        let typed = typed.trim().to_lowercase();
        let whole = self.all.iter().find(|name| name.title == typed);
        let is_left = |name: &&Name| match whole {
            Some(whole) => whole.row == name.row,
            None => typed
                .split_whitespace()
                .all(|word| name.title.contains(word) || name.kind.word().contains(word)),
        };
        self.lines.clear();
        let mut kind = None;
        for name in self.all.iter().filter(is_left) {
            if kind != Some(name.kind) {
                kind = Some(name.kind);
                self.lines.push(Line::Kind(name.kind));
            }
            self.lines.push(Line::Fault(name.row));
        }
    }

    /// The lines left.
    pub(super) fn lines(&self) -> &[Line] {
        &self.lines
    }

    /// The fault that is left alone.
    pub(super) fn only(&self) -> Option<usize> {
        match self.lines.as_slice() {
            [Line::Kind(_), Line::Fault(row)] => Some(*row),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    #[test]
    fn every_fault_stands_once_under_its_kind_and_words_leave_those_that_hold_them() {
        let project = samples::open("sprayer").unwrap();
        let pin = project.sense_pins.ids().next().unwrap();
        let inquiry = Inquiry::new(&project, pin, &|| true).unwrap();
        let fault = |row: usize| &inquiry.survey.rows[row].fault;
        let mut names = NameList::of(&inquiry);
        let mut listed = |typed: &str| {
            names.find(typed);
            let mut rows = Vec::new();
            let mut kinds = Vec::new();
            for line in names.lines() {
                match line {
                    Line::Kind(kind) => kinds.push(*kind),
                    Line::Fault(row) => {
                        assert_eq!(kinds.last(), Some(&fault(*row).kind));
                        rows.push(*row);
                    }
                }
            }
            assert!(kinds.is_sorted() && kinds.windows(2).all(|two| two[0] != two[1]));
            (rows, names.only())
        };
        let (mut all, only) = listed("");
        assert_eq!(only, None);
        let one = all[all.len() / 2];
        all.sort_unstable();
        assert_eq!(all, choices(&inquiry));
        let (some, _) = listed(" OPEN r1 ");
        assert!(!some.is_empty() && some.len() < all.len());
        assert!(some.iter().all(|row| fault(*row).title.to_lowercase().contains("r1")));
        assert_eq!(listed(&fault(one).title).1, Some(one));
        assert_eq!(listed("no such fault"), (vec![], None));
        assert_eq!(listed("").0.len(), all.len());
    }
}
