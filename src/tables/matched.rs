//! Which wire of the project a row means, and what the row makes of it.

use std::collections::{BTreeMap, BTreeSet};

use crate::cutting::Difference;
use crate::model::{Colour, End, Project, TerminalRef, Wire, WireId, WireSize, WireUse};
use crate::tables::names::TerminalNames;

/// What a row says; `None` in a field that keeps what the wire has.
pub(super) struct Said {
    pub name: Option<String>,
    /// Empty where the row says that it carries none.
    pub circuit: Option<String>,
    pub ends: [TerminalRef; 2],
    pub size: Option<WireSize>,
    pub colour: Option<Colour>,
    /// `Some(None)` where the row says that its length is not typed.
    pub length_mm: Option<Option<f64>>,
}

/// Wires under one key, each handed out once, in the order they were drawn.
type Waiting<Key> = BTreeMap<Key, std::collections::VecDeque<WireId>>;

/// The wire of the project each row means: by name and ends, then by name, then by ends alone.
/// Wires found by name alone may lie elsewhere: see [`moves`].
pub(super) fn matched(project: &Project, read: &[Option<Said>]) -> Vec<Option<WireId>> {
    let sorted = |ends: [TerminalRef; 2]| {
        let [a, b] = ends;
        if a <= b { [a, b] } else { [b, a] }
    };
    let mut exact: Waiting<(&str, [TerminalRef; 2])> = BTreeMap::new();
    let mut by_name: Waiting<&str> = BTreeMap::new();
    let mut by_ends: Waiting<[TerminalRef; 2]> = BTreeMap::new();
    for (id, wire) in project.wires.iter().filter(|(_, wire)| wire.usage == WireUse::Harness) {
        let (name, ends) = (wire.name.trim(), sorted([wire.from.terminal, wire.to.terminal]));
        exact.entry((name, ends)).or_default().push_back(id);
        by_name.entry(name).or_default().push_back(id);
        by_ends.entry(ends).or_default().push_back(id);
    }
    let mut taken: BTreeSet<WireId> = BTreeSet::new();
    let mut out = vec![None; read.len()];
    for pass in 0..3 {
        for (slot, said) in out.iter_mut().zip(read) {
            let (None, Some(said)) = (*slot, said) else { continue };
            let ends = sorted(said.ends);
            *slot = match (pass, said.name.as_deref()) {
                (0, Some(name)) => next(exact.get_mut(&(name, ends)), &mut taken),
                (1, Some(name)) => next(by_name.get_mut(name), &mut taken),
                (2, None) => next(by_ends.get_mut(&ends), &mut taken),
                (_, _) => None,
            };
        }
    }
    out
}

/// The first wire nobody has taken yet.
fn next(
    waiting: Option<&mut std::collections::VecDeque<WireId>>,
    taken: &mut BTreeSet<WireId>,
) -> Option<WireId> {
    let waiting = waiting?;
    loop {
        let id = waiting.pop_front()?;
        if taken.insert(id) {
            return Some(id);
        }
    }
}

/// Hands out `W1`, `W2`, … that neither the project nor the table has.
pub(super) struct FreeNames {
    taken: BTreeSet<String>,
    number: u32,
}

impl FreeNames {
    pub(super) fn new(project: &Project, read: &[Option<Said>]) -> Self {
        let drawn = project.wires.iter().map(|(_, wire)| wire.name.clone());
        let told = read.iter().flatten().filter_map(|said| said.name.clone());
        Self { taken: drawn.chain(told).collect(), number: 0 }
    }

    pub(super) fn next(&mut self) -> String {
        loop {
            self.number = self.number.saturating_add(1);
            let name = format!("W{}", self.number);
            if !self.taken.contains(&name) {
                return name;
            }
        }
    }
}

/// Whether the row says other ends than the wire has, whichever way round.
pub(super) fn moves(old: &Wire, said: &Said) -> bool {
    let ends = [old.from.terminal, old.to.terminal];
    said.ends != ends && said.ends != [ends[1], ends[0]]
}

/// The wire with what the row says; what the row does not say stays.
///
/// A wire that moves keeps neither its corners nor the places it had to pass nor its typed length:
/// they belong to the old way.
pub(super) fn changed(old: &Wire, said: &Said) -> Wire {
    let mut wire = old.clone();
    if moves(old, said) {
        for (end, terminal) in [(&mut wire.from, said.ends[0]), (&mut wire.to, said.ends[1])] {
            if end.terminal != terminal {
                *end = End { terminal, kind: None };
            }
        }
        wire.bends.clear();
        wire.via.clear();
        wire.typed_length_mm = None;
    }
    let differs = |new: &Option<String>, old: &str| new.as_ref().is_some_and(|n| n != old.trim());
    if differs(&said.name, &old.name) {
        wire.name = said.name.clone().unwrap_or_default();
    }
    if differs(&said.circuit, &old.circuit) {
        wire.circuit = said.circuit.clone().unwrap_or_default();
    }
    wire.size = said.size.unwrap_or(wire.size);
    wire.colour = said.colour.unwrap_or(wire.colour);
    wire.typed_length_mm = said.length_mm.unwrap_or(wire.typed_length_mm);
    wire
}

/// What differs between a wire and what becomes of it, in words.
pub(super) fn differences(old: &Wire, new: &Wire, names: &TerminalNames) -> Vec<Difference> {
    let mut out = Vec::new();
    let mut note = |what, before: String, now: String| {
        if before != now {
            out.push(Difference { what, before, now });
        }
    };
    let or_none = |text: &str| if text.trim().is_empty() { "none".into() } else { text.to_owned() };
    let typed = |wire: &Wire| {
        wire.typed_length_mm.map_or_else(|| "by route".to_owned(), |mm| format!("{mm} mm"))
    };
    let passed = |wire: &Wire| match wire.via.len() {
        0 => "none".to_owned(),
        n => n.to_string(),
    };
    note("name", or_none(&old.name), or_none(&new.name));
    note("circuit", or_none(&old.circuit), or_none(&new.circuit));
    note("ends", ends_text(old, names), ends_text(new, names));
    note("size", old.size.text(), new.size.text());
    note("colour", old.colour.text(), new.colour.text());
    note("typed length", typed(old), typed(new));
    note("places it must pass", passed(old), passed(new));
    out
}

/// `X1-11 – X2-2`.
pub(super) fn ends_text(wire: &Wire, names: &TerminalNames) -> String {
    format!("{} – {}", names.name(wire.from.terminal), names.name(wire.to.terminal))
}
