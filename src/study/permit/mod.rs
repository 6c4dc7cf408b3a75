//! Permit loops: contacts in series between two terminals that let something start or move only
//! while the loop is closed.
//!
//! [`permit`] says in which states the loop is closed, and what each single mistake makes of that:
//! a wire broken, a contact of the other form, a contact bridged, a wire that touches an end of the
//! loop. It judges no safety: it says nothing of what the controller does with the loop.

mod mistakes;

use std::collections::{BTreeMap, BTreeSet};

use crate::circuit::{Change, Source};
use crate::model::{
    CavityFill, ControlId, PartId, PartKind, Project, SensePin, SensePinId, State, Subject,
    TerminalRef,
};
use crate::study::faults::{Base, MAX_STATES};

/// What stands beside every permit loop (common practice, no source).
pub const CAUTIONS: [&str; 4] = [
    "Local rules, the machine's own documents and licensed practice go first; this table proves no safety.",
    "Never bridge a permit loop, not even to find a fault: secure the machine and measure instead.",
    "A loop of one contact is defeated by one bridge or one weld. Where a start can hurt somebody, a second, independent path must block it too.",
    "After any work on the loop try every control in turn and see that the machine does not start.",
];

/// One kind of mistake in a permit loop.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MistakeKind {
    /// A wire, joint, fuse or resistor does not conduct.
    Broken,
    /// A contact of the other form: closed at rest instead of open, or the other way round.
    Swapped,
    /// A contact is bridged or welded, or the whole loop is.
    Bypassed,
    /// A wire of the loop touches one of its ends.
    Touching,
}

impl MistakeKind {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Broken => "broken",
            Self::Swapped => "other form",
            Self::Bypassed => "bypassed",
            Self::Touching => "touching",
        }
    }
}

/// What a mistake makes of the loop.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MistakeEffect {
    /// The loop is closed and open in the same states.
    Same,
    /// The loop is open in some state in which it should be closed.
    Blocks,
    /// The loop is closed in some state in which it should be open.
    Permits,
}

impl MistakeEffect {
    /// The words for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Same => "no difference",
            Self::Blocks => "blocks",
            Self::Permits => "permits wrongly",
        }
    }
}

/// One mistake and what comes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Mistake {
    /// Its kind.
    pub kind: MistakeKind,
    /// What is wrong, in words.
    pub title: String,
    /// Where.
    pub subject: Subject,
    /// States, by index, in which the loop is closed though it should be open.
    pub permits: Vec<usize>,
    /// States in which it is open though it should be closed.
    pub blocks: Vec<usize>,
}

impl Mistake {
    /// The worse of what it does.
    pub fn effect(&self) -> MistakeEffect {
        match (self.permits.is_empty(), self.blocks.is_empty()) {
            (false, _) => MistakeEffect::Permits,
            (true, false) => MistakeEffect::Blocks,
            (true, true) => MistakeEffect::Same,
        }
    }
}

/// What is odd about a loop as it is drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LoopFinding {
    /// No position of the controls closes it.
    NeverClosed,
    /// No position of the controls opens it.
    NeverOpen,
    /// This contact changes nothing, however it stands.
    DecidesNothing(PartId),
    /// The loop is also wired to this supply or ground point.
    Touches(PartId),
}

impl LoopFinding {
    /// Cause and cure in one sentence.
    pub fn words(&self, project: &Project) -> String {
        let name = |part: &PartId| project.parts.get(*part).map_or("?", |part| part.name.as_str());
        match self {
            Self::NeverClosed => {
                "No position of the controls closes the loop: look for a wire that is missing or a contact of the wrong form.".into()
            }
            Self::NeverOpen => {
                "No position of the controls opens the loop: it permits always; look for what bridges it.".into()
            }
            Self::DecidesNothing(part) => format!(
                "{} decides nothing: the loop is the same however it stands; look for a way around it.",
                name(part)
            ),
            Self::Touches(part) => format!(
                "The loop is also wired to {}: it may be fed or grounded from there whatever its contacts do.",
                name(part)
            ),
        }
    }
}

/// The truth table of a loop, and what mistakes make of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Permit {
    /// One end.
    pub from: TerminalRef,
    /// The other end.
    pub to: TerminalRef,
    /// Controls that move its contacts, and those they need.
    pub controls: Vec<ControlId>,
    /// Every state, first control slowest.
    pub states: Vec<State>,
    /// Ohms from end to end in each, at usual values; infinite where open.
    pub ohms: Vec<f64>,
    /// Positions in which each control lets the loop be closed, where that says it all.
    pub closed_when: Option<BTreeMap<ControlId, BTreeSet<u8>>>,
    /// Mistakes, those that permit wrongly first.
    pub mistakes: Vec<Mistake>,
    /// What is odd about the loop as drawn.
    pub findings: Vec<LoopFinding>,
}

impl Permit {
    /// Whether the loop is closed in a state.
    pub fn is_closed(&self, idx: usize) -> bool {
        self.ohms[idx].is_finite()
    }

    /// `closed only while Lever is centre and Key is in`.
    pub fn rule_words(&self, project: &Project) -> String {
        let n_closed = (0..self.states.len()).filter(|idx| self.is_closed(*idx)).count();
        if n_closed == 0 {
            return "never closed".into();
        }
        if n_closed == self.states.len() {
            return "always closed".into();
        }
        let Some(rule) = &self.closed_when else {
            return format!("closed in {n_closed} of {} states", self.states.len());
        };
        let words = rule.iter().filter_map(|(id, positions)| {
            let control = project.controls.get(*id)?;
            if positions.len() == control.positions.len() {
                return None;
            }
            let name =
                |at: &u8| control.positions.get(usize::from(*at)).map_or("?", |p| p.name.as_str());
            let names: Vec<&str> = positions.iter().map(name).collect();
            Some(format!("{} is {}", control.name, names.join(" or ")))
        });
        format!("closed only while {}", words.collect::<Vec<_>>().join(" and "))
    }
}

/// Reckons the truth table of the loop between two terminals, and every single mistake in it.
///
/// Cost: one reduction and one walk over the states for each mistake.
///
/// # Errors
/// One sentence: a terminal that does not exist, one terminal named twice, too many states.
pub fn permit(project: &Project, from: TerminalRef, to: TerminalRef) -> Result<Permit, String> {
    for terminal in [from, to] {
        if !project.has_terminal(terminal) {
            return Err("expected two terminals of the sheet, found one that does not exist".into());
        }
    }
    if from == to {
        let name = project.terminal_name(from);
        return Err(format!("expected two different terminals, found {name} twice"));
    }
    let (work, id) = with_loop(project, from, to);
    let base = Base::new(&work, id)
        .ok_or_else(|| format!("the loop has more than {MAX_STATES} states"))?;
    if let Some(diode) = diode_in(&base) {
        return Err(format!(
            "{diode} is a diode in the loop: whether it conducts depends on what the controller puts on the loop, so its truth table is not reckoned"
        ));
    }
    let ohms = base.ohms(&work, &base.netlist).ok_or("an end of the loop is no longer there")?;
    let is_closed: Vec<bool> = ohms.iter().map(|ohm| ohm.is_finite()).collect();
    let mut mistakes = mistakes::list(&base, &is_closed);
    mistakes.sort_by(|a, b| (b.effect(), a.kind, &a.title).cmp(&(a.effect(), b.kind, &b.title)));
    Ok(Permit {
        from,
        to,
        controls: base.network.controls().collect(),
        closed_when: rule(&base.states, &is_closed),
        findings: findings(&base, &is_closed),
        states: base.states,
        ohms,
        mistakes,
    })
}

/// Name of a diode or a load of constant current on the way of the loop.
fn diode_in(base: &Base<'_>) -> Option<String> {
    base.sources().into_iter().find_map(|source| match source {
        Source::Part(part) if base.netlist.is_curved(part) => Some(base.part_name(part).to_owned()),
        Source::Part(_)
        | Source::Coil(_)
        | Source::Joint { .. }
        | Source::Wire(_)
        | Source::Loop(_)
        | Source::Bridge => None,
    })
}

/// The loop read like a pin that knows nothing but ohms.
fn with_loop(project: &Project, from: TerminalRef, to: TerminalRef) -> (Project, SensePinId) {
    let mut work = project.clone();
    let id: SensePinId = work.fresh_id();
    work.sense_pins.put(id, SensePin::bare("permit", from, to));
    (work, id)
}

/// Ends to begin with: a cavity of a controller whose note speaks of a permit, and the ground point
/// or the other such cavity that some state joins it to.
pub fn likely_ends(project: &Project) -> Option<(TerminalRef, TerminalRef)> {
    const WORDS: [&str; 3] = ["permit", "inhibit", "interlock"];
    let mut named = project.parts.iter().flat_map(|(part, row)| {
        let notes = row.kind.controller().map(|controller| &controller.cavities);
        let says = |circuit: &str| WORDS.iter().any(|word| circuit.to_lowercase().contains(word));
        notes
            .into_iter()
            .flatten()
            .filter(move |(_, cavity)| cavity.fill != CavityFill::Plug && says(&cavity.circuit))
            .map(move |(cavity, _)| TerminalRef { part, terminal: cavity.saturating_sub(1) })
    });
    let first = named.next()?;
    let is_joined = |other: &TerminalRef| {
        let (work, id) = with_loop(project, first, *other);
        let base = Base::new(&work, id);
        base.is_some_and(|base| base.sound.iter().any(|symptom| symptom.ohm.is_finite()))
    };
    let grounds = project
        .parts
        .iter()
        .filter(|(_, part)| matches!(part.kind, PartKind::Ground))
        .map(|(part, _)| TerminalRef { part, terminal: 0 });
    // A loop that goes to ground may reach another one's cavity through it, so ground goes first.
    let to = grounds.chain(named).find(is_joined)?;
    Some((first, to))
}

/// For each control the positions in which the loop may be closed, if the loop is closed in every
/// combination of them.
fn rule(states: &[State], is_closed: &[bool]) -> Option<BTreeMap<ControlId, BTreeSet<u8>>> {
    let mut allowed: BTreeMap<ControlId, BTreeSet<u8>> = BTreeMap::new();
    let closed = || states.iter().zip(is_closed).filter(|(_, closed)| **closed);
    for (id, position) in closed().flat_map(|(state, _)| &state.0) {
        allowed.entry(*id).or_default().insert(*position);
    }
    let fits = |state: &State| {
        state.0.iter().all(|(id, at)| allowed.get(id).is_some_and(|list| list.contains(at)))
    };
    let says_it_all = states.iter().zip(is_closed).all(|(state, closed)| fits(state) == *closed);
    says_it_all.then_some(allowed)
}

fn findings(base: &Base<'_>, is_closed: &[bool]) -> Vec<LoopFinding> {
    let mut found = Vec::new();
    if is_closed.iter().all(|closed| !closed) {
        found.push(LoopFinding::NeverClosed);
    }
    if is_closed.iter().all(|closed| *closed) {
        found.push(LoopFinding::NeverOpen);
    }
    for (part, form) in mistakes::contacts(base) {
        let mut stuck = (0..form.throws()).map(|throw| {
            mistakes::closed(
                base,
                base.project,
                &base.netlist.changed(&[Change::Stuck(part, throw)]),
            )
        });
        let first = stuck.next().flatten();
        if !is_closed.iter().all(|closed| !closed) && stuck.all(|other| other == first) {
            found.push(LoopFinding::DecidesNothing(part));
        }
    }
    let own = [base.sense.terminal.part, base.sense.reference.part];
    let others = base.network.mixed.iter().map(|potential| potential.part);
    let others: BTreeSet<PartId> = others.filter(|part| !own.contains(part)).collect();
    found.extend(others.into_iter().map(LoopFinding::Touches));
    found
}

#[cfg(test)]
mod tests;
