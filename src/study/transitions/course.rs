//! The course of one move: which contact throws are closed, open or bouncing, stretch by stretch.

use std::collections::{BTreeMap, BTreeSet};

use crate::circuit::Switch;
use crate::model::{ContactForm, PartId, Project, State, Timing};
use crate::study::transitions::Making;

/// A stretch of time, and which throws are closed for certain and which bounce.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// When it begins, in milliseconds.
    pub from_ms: f64,
    /// When it ends.
    pub to_ms: f64,
    /// Throws that conduct.
    pub closed: BTreeSet<Switch>,
    /// Throws that may conduct or not.
    pub bouncing: BTreeSet<Switch>,
}

/// Whether some step both opens and closes contacts, so that it matters what it does first.
pub fn has_order(project: &Project, contacts: &[PartId], stations: &[&State]) -> bool {
    stations.windows(2).any(|pair| {
        let (opening, closing) = changes(project, contacts, pair[0], pair[1]);
        !opening.is_empty() && !closing.is_empty()
    })
}

/// The course through the stations: start, perhaps one in between, end.
///
/// Each step begins so much skew after the one before. Where a step opens and closes contacts, one
/// comes first and the other follows after the change time; otherwise all of it happens at once.
pub fn course(
    project: &Project,
    contacts: &[PartId],
    stations: &[&State],
    (timing, making): (&Timing, Making),
) -> Vec<Span> {
    // What happens to which throw, and when.
    let mut events: Vec<(f64, Switch, bool)> = Vec::new();
    for (n, pair) in stations.windows(2).enumerate() {
        let (opening, closing) = changes(project, contacts, pair[0], pair[1]);
        let begin = n as f64 * timing.skew_ms;
        let later = match !opening.is_empty() && !closing.is_empty() {
            true => begin + timing.change_ms,
            false => begin,
        };
        let (open_at, close_at) = match making {
            Making::BreakFirst => (begin, later),
            Making::MakeFirst => (later, begin),
        };
        events.extend(opening.into_iter().map(|switch| (open_at, switch, false)));
        events.extend(closing.into_iter().map(|switch| (close_at, switch, true)));
    }
    events.sort_by(|a, b| a.0.total_cmp(&b.0));
    let bounce_ends = events.iter().filter(|event| event.2).map(|(ms, ..)| ms + timing.bounce_ms);
    let mut times: Vec<f64> = events.iter().map(|(ms, ..)| *ms).chain(bounce_ends).collect();
    times.sort_by(f64::total_cmp);
    times.dedup();
    let mut status: BTreeMap<Switch, Option<f64>> = contacts
        .iter()
        .filter_map(|contact| conducting(project, *contact, stations.first()?))
        .map(|switch| (switch, None))
        .collect();
    let mut waiting = events.into_iter().peekable();
    let mut spans = Vec::new();
    for (n, from_ms) in times.iter().enumerate() {
        while let Some((ms, switch, closes)) = waiting.next_if(|(ms, ..)| ms <= from_ms) {
            if closes {
                status.insert(switch, Some(ms + timing.bounce_ms));
            } else {
                status.remove(&switch);
            }
        }
        let Some(to_ms) = times.get(n + 1) else { break };
        let is_bouncing = |until: &Option<f64>| until.is_some_and(|until| until > *from_ms);
        let of = |bounces: bool| {
            let throws = status.iter().filter(|(_, until)| is_bouncing(until) == bounces);
            throws.map(|(switch, _)| *switch).collect()
        };
        spans.push(Span {
            from_ms: *from_ms,
            to_ms: *to_ms,
            closed: of(false),
            bouncing: of(true),
        });
    }
    spans
}

/// The throw a contact conducts in, if it does in this state.
pub fn conducting(project: &Project, contact: PartId, state: &State) -> Option<Switch> {
    let throw = project.throw(contact, state);
    form(project, contact)?.joined(throw).map(|_| Switch { contact, throw })
}

fn form(project: &Project, contact: PartId) -> Option<ContactForm> {
    Some(project.parts.get(contact)?.kind.contact()?.form)
}

/// Throws that open and throws that close from one state to the next.
fn changes(
    project: &Project,
    contacts: &[PartId],
    from: &State,
    to: &State,
) -> (Vec<Switch>, Vec<Switch>) {
    let (mut opening, mut closing) = (Vec::new(), Vec::new());
    for contact in contacts {
        if project.throw(*contact, from) != project.throw(*contact, to) {
            opening.extend(conducting(project, *contact, from));
            closing.extend(conducting(project, *contact, to));
        }
    }
    (opening, closing)
}
