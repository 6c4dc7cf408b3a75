//! Two versions of a project: which wires stay, change, are new or go, and which labels to redo.

use std::collections::{BTreeMap, BTreeSet};

use crate::cutting::compare_parts::{ComparedResistor, compare_resistors, unclear_resistors};
use crate::cutting::cut_list::{CutRow, cut_list};
use crate::cutting::natural::natural_order;
use crate::model::{Project, WireId};
use crate::units::trim_zeros;

/// What becomes of a wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fate {
    /// Nothing is different.
    Stays,
    /// Something is different.
    Changes,
    /// It was not there before.
    New,
    /// It is no longer there.
    Goes,
}

impl Fate {
    /// Its word in lists.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stays => "stays",
            Self::Changes => "changes",
            Self::New => "new",
            Self::Goes => "goes",
        }
    }
}

/// Something that is different.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// What it is.
    pub what: &'static str,
    /// As it was.
    pub before: String,
    /// As it is.
    pub now: String,
}

/// One wire of either version.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    /// Name as it is now, or was where it goes.
    pub name: String,
    /// What becomes of it.
    pub fate: Fate,
    /// What is different.
    pub differences: Vec<Difference>,
    /// Markers to put on anew, at which end; empty where none is.
    pub labels: Vec<String>,
    /// What to do with the wire.
    pub work: &'static str,
}

/// Both versions, wire by wire.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Wires in the order of their names.
    pub rows: Vec<Compared>,
    /// Resistors that are not as they were, in the order of their names.
    pub resistors: Vec<ComparedResistor>,
    /// Names that stand for several resistors, which nobody can tell apart.
    pub unclear: Vec<String>,
}

impl Comparison {
    /// Whether nothing at all is different, as far as can be told of everything.
    pub fn is_same(&self) -> bool {
        let is_told = self.unclear.is_empty();
        is_told && self.resistors.is_empty() && self.count(Fate::Stays) == self.rows.len()
    }

    /// How many wires have this fate.
    pub fn count(&self, fate: Fate) -> usize {
        self.rows.iter().filter(|row| row.fate == fate).count()
    }
}

/// Compares what is planned now with what was planned, or built, before.
///
/// A wire is the same wire where id and name agree; else where its name stands once in both; else
/// where its id and both ends agree; else where both its ends do and no other wire's.
pub fn compare(before: &Project, now: &Project) -> Comparison {
    let (old, new) = (cut_list(before).rows, cut_list(now).rows);
    let pairs = pairs(&old, &new);
    let taken: BTreeSet<usize> = pairs.values().copied().collect();
    let mut rows: Vec<Compared> = Vec::new();
    for (at, row) in new.iter().enumerate() {
        rows.push(match pairs.get(&at) {
            Some(was) => compared(&old[*was], row),
            None => Compared {
                name: row.name.clone(),
                fate: Fate::New,
                differences: Vec::new(),
                labels: labels(None, row),
                work: "make it",
            },
        });
    }
    for (_, row) in old.iter().enumerate().filter(|(at, _)| !taken.contains(at)) {
        rows.push(Compared {
            name: row.name.clone(),
            fate: Fate::Goes,
            differences: Vec::new(),
            labels: Vec::new(),
            work: "take it out",
        });
    }
    rows.sort_by(|a, b| natural_order(&a.name, &b.name).then(a.fate.cmp(&b.fate)));
    let (resistors, unclear) = (compare_resistors(before, now), unclear_resistors(before, now));
    Comparison { rows, resistors, unclear }
}

/// Rows of the new list to rows of the old one.
fn pairs(old: &[CutRow], new: &[CutRow]) -> BTreeMap<usize, usize> {
    let ends = |row: &CutRow| (row.from.clone(), row.to.clone());
    let mut pairs = BTreeMap::new();
    let mut free: BTreeSet<usize> = (0..old.len()).collect();
    let mut join = |key: &dyn Fn(&CutRow) -> Key| {
        let mut by_key: BTreeMap<Key, Vec<usize>> = BTreeMap::new();
        for at in &free {
            by_key.entry(key(&old[*at])).or_default().push(*at);
        }
        let open: Vec<usize> = (0..new.len()).filter(|at| !pairs.contains_key(at)).collect();
        let mut wanted: BTreeMap<Key, Vec<usize>> = BTreeMap::new();
        for at in open {
            wanted.entry(key(&new[at])).or_default().push(at);
        }
        for (key, at) in wanted {
            if let ([at], Some([was])) = (at.as_slice(), by_key.get(&key).map(Vec::as_slice)) {
                pairs.insert(*at, *was);
                free.remove(was);
            }
        }
    };
    join(&|row| (Some(row.wire), row.name.clone(), String::new()));
    join(&|row| (None, row.name.clone(), String::new()));
    join(&|row| (Some(row.wire), ends(row).0, ends(row).1));
    join(&|row| (None, ends(row).0, ends(row).1));
    pairs
}

type Key = (Option<WireId>, String, String);

fn compared(was: &CutRow, row: &CutRow) -> Compared {
    let mut differences = Vec::new();
    let mut note = |what, before: String, now: String| {
        if before != now {
            differences.push(Difference { what, before, now });
        }
    };
    note("name", was.name.clone(), row.name.clone());
    note("circuit", was.circuit.clone(), row.circuit.clone());
    note("from", was.from.clone(), row.from.clone());
    note("to", was.to.clone(), row.to.clone());
    note("size", was.size.text(), row.size.text());
    note("colour", was.colour.text(), row.colour.text());
    note("cut length", length(was.cut_mm), length(row.cut_mm));
    for (end, (old, new)) in was.ends.iter().zip(&row.ends).enumerate() {
        let what = |from, to| if end == 0 { from } else { to };
        note(
            what("terminal at from", "terminal at to"),
            old.terminal.clone(),
            new.terminal.clone(),
        );
        note(what("seal at from", "seal at to"), old.seal.clone(), new.seal.clone());
        note(what("boot at from", "boot at to"), old.boot.clone(), new.boot.clone());
    }
    let labels = labels(Some(was), row);
    let work = work(was, row, &differences, &labels);
    let fate =
        if differences.is_empty() && labels.is_empty() { Fate::Stays } else { Fate::Changes };
    Compared { name: row.name.clone(), fate, differences, labels, work }
}

/// Markers that read differently now.
fn labels(was: Option<&CutRow>, row: &CutRow) -> Vec<String> {
    let old = |at: usize| was.map(|was| was.ends[at].marker.as_str());
    row.ends
        .iter()
        .enumerate()
        .filter(|(at, end)| old(*at) != Some(end.marker.as_str()))
        .map(|(_, end)| format!("{}: {}", end.name, end.marker))
        .collect()
}

fn work(was: &CutRow, row: &CutRow, differences: &[Difference], labels: &[String]) -> &'static str {
    let is_other_wire = was.size != row.size || was.colour != row.colour;
    let is_longer = match (was.cut_mm, row.cut_mm) {
        (Some(was), Some(now)) => now > was,
        (None, Some(_)) | (None, None) | (Some(_), None) => false,
    };
    let is_length_known = was.cut_mm.is_some() && row.cut_mm.is_some();
    if is_other_wire || is_longer {
        return "cut anew";
    }
    if differences.iter().any(|d| d.what == "cut length") {
        return if is_length_known { "shorten" } else { "measure: its length is not known" };
    }
    let is_at_ends = |d: &Difference| !matches!(d.what, "name" | "circuit");
    if differences.iter().any(is_at_ends) {
        return "change its ends";
    }
    if labels.is_empty() { "nothing" } else { "redo its labels" }
}

fn length(mm: Option<f64>) -> String {
    mm.map_or_else(|| "not known".into(), |mm| format!("{} mm", trim_zeros(&format!("{mm:.3}"))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::fixture::{parallel_pair, wire_between};
    use crate::model::{Colour, WireSize};

    #[test]
    fn every_fate_with_what_to_do() {
        let (mut before, a, b) = parallel_pair();
        let size = WireSize::Mm2(0.75);
        let ids: Vec<WireId> = ["W1", "W2", "W3", "W4", "W5"]
            .into_iter()
            .map(|name| wire_between(&mut before, name, [a, b], size, "red"))
            .collect();
        let mut now = before.clone();
        now.wires.get_mut(ids[1]).unwrap().colour = Colour::from_text("blue").unwrap();
        now.wires.get_mut(ids[2]).unwrap().typed_length_mm = Some(500.0);
        now.wires.remove(ids[3]);
        now.wires.get_mut(ids[4]).unwrap().name = "V5".into();
        now.wires.get_mut(ids[4]).unwrap().to.terminal.terminal = 1;
        wire_between(&mut now, "W6", [b, a], size, "red");
        let compared = compare(&before, &now);
        let rows: Vec<(&str, &str, &str, usize)> = compared
            .rows
            .iter()
            .map(|row| (row.name.as_str(), row.fate.word(), row.work, row.labels.len()))
            .collect();
        assert_eq!(
            rows,
            [
                ("V5", "new", "make it", 2),
                ("W1", "stays", "nothing", 0),
                ("W2", "changes", "cut anew", 0),
                ("W3", "changes", "shorten", 0),
                ("W4", "goes", "take it out", 0),
                ("W5", "goes", "take it out", 0),
                ("W6", "new", "make it", 2),
            ]
        );
        let colour = &compared.rows[2].differences[0];
        assert_eq!((colour.what, &*colour.before, &*colour.now), ("colour", "red", "blue"));
    }

    #[test]
    fn a_renamed_wire_is_the_same_wire_and_gets_new_labels() {
        let (mut before, a, b) = parallel_pair();
        let id = wire_between(&mut before, "W1", [a, b], WireSize::Mm2(0.75), "red");
        let mut now = before.clone();
        now.wires.get_mut(id).unwrap().name = "A1".into();
        let row = &compare(&before, &now).rows[0];
        assert_eq!((row.fate, row.work), (Fate::Changes, "redo its labels"));
        assert_eq!(row.labels, ["A-1: A1 A-1/B-1", "B-1: A1 B-1/A-1"]);
        assert!(compare(&now, &now).rows.iter().all(|row| row.fate == Fate::Stays));
    }
}
