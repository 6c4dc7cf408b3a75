//! Suspects, measurements and verdicts in sentences.

use crate::check::state_words;
use crate::circuit::Source;
use crate::model::{PartKind, Project, SensePin};
use crate::proving::diagnose::inquiry::{Inquiry, Measurement, Ranked, Verdict};
use crate::proving::diagnose::suspect::Blame;
use crate::proving::typed::Quantity;
use crate::units::{engineering, format_ohm, round_figures, trim_zeros};

/// How the ranking comes about, for everybody who reads it.
pub const MODEL: [&str; 6] = [
    "Before the first reading every cause on the list counts alike, and the circuit is as likely sound as not.",
    "A reading counts by how well it fits what the cause lets the meter show, after the readings before it: what parts, pull and reference are off by within their tolerances is the same in all readings of one machine, the meter's error is new each time (normal curves as wide as a value that may lie anywhere between its limits).",
    "One reading in a thousand is taken for a slip, such as the wrong button, so no single reading settles everything.",
    "Dirt of unknown ohms, and a resistor of another value, are looked at from end to end of their range, every decade alike; so a fault that fits exactly goes before dirt that could be anything. What is on the list with a value, such as a resistor drifted by a tenth, counts at that value as well.",
    "What lies within its limits is never called faulty. Two things wrong at once are not on the list.",
    "A likely cause is no proof: look at the place before you cut or replace anything. Local rules and licensed practice go first.",
];

/// What carries less than this prints as 0 % and is not named.
pub const FAINTEST: f64 = 5e-4;

/// What a measurement of so many bits is worth, in words.
pub fn worth_words(bits: f64) -> &'static str {
    if bits >= 0.7 {
        "It should tell much: about half of what is suspected falls away, or more"
    } else if bits >= 0.1 {
        "It should tell something, but may not settle it"
    } else {
        "It hardly tells more: look at the place"
    }
}

/// Names of one blame that are told before the rest is counted.
const N_NAMED: usize = 3;

/// What is suspected, with its value where it has one:
/// `all high by the same 140 Ω: more ohms in wire D1, joint X2-3 (rotating contact) or contact S1`.
pub fn blame_title(project: &Project, inquiry: &Inquiry, ranked: &Ranked) -> String {
    let ohm = |(_, best, _): (f64, f64, f64)| {
        let (digits, prefix) = engineering(best, 2);
        format!("{digits} {prefix}Ω")
    };
    let about = ranked.value.map_or_else(|| "some ohms".to_owned(), ohm);
    let title = |row: &usize| inquiry.survey.rows[*row].fault.title.clone();
    match &inquiry.suspects[ranked.suspect].blame {
        Blame::Nothing { .. } => "nothing: the circuit is as drawn".into(),
        Blame::Faults(rows) => listed(rows.iter().map(title).collect()),
        Blame::MoreOhms { at, is_common } => {
            let mut at = at.clone();
            at.sort_by_key(|source| (likely_place(project, *source), *source));
            let places = listed(at.iter().map(|source| source_words(project, *source)).collect());
            if *is_common {
                format!(
                    "all high by the same {about}: common wire, joint or rotating contact ({places})"
                )
            } else {
                format!("about {about} too much in {places}")
            }
        }
        Blame::OtherValue { part, .. } => {
            let name = project.parts.get(*part).map_or("?", |part| part.name.as_str());
            format!("{name} has another value: about {about}")
        }
        Blame::Leak { between, is_at_pin: true, .. } => {
            let also = match between.is_empty() {
                true => String::new(),
                false => format!("; between {}", listed(between.clone())),
            };
            format!(
                "1/R higher by the same {}: a leak of about {about} across the pin, or a second module{also}",
                siemens(ranked.value)
            )
        }
        Blame::Leak { between, .. } => {
            format!("a leak of about {about} between {}", listed(between.clone()))
        }
        Blame::Lifted => {
            let volt = ranked.value.map_or(0.0, |(_, best, _)| best);
            let volt = trim_zeros(&format!("{volt:.2}"));
            format!("the return is lifted by about {volt} V: another load on the same ground")
        }
        Blame::OtherPull => {
            format!("the pull is about {about}: not as documented, or a second module beside it")
        }
    }
}

/// How the controls stand and where the leads go.
pub fn measurement_words(project: &Project, inquiry: &Inquiry, measurement: Measurement) -> String {
    let state = inquiry
        .survey
        .states
        .get(measurement.state)
        .map_or_else(|| "?".into(), |state| state_words(project, state));
    format!("{} with {state}", leads_words(project, &inquiry.pin, measurement.quantity))
}

/// Where the leads go for a quantity.
pub fn leads_words(project: &Project, pin: &SensePin, quantity: Quantity) -> String {
    let red = project.terminal_name(pin.terminal);
    let black = project.terminal_name(pin.reference);
    match quantity {
        Quantity::Volt => {
            let ground = match project.parts.get(pin.reference.part).map(|part| &part.kind) {
                Some(PartKind::Controller(_) | PartKind::Ground)
                    if pin.side == crate::model::Side::Ground =>
                {
                    black
                }
                _ => "the controller's ground".into(),
            };
            format!("volts of {red} against {ground}, plugged in and switched on")
        }
        Quantity::Ohm | Quantity::Length | Quantity::Sign => {
            format!("ohms from {red} to {black}, supplies off, controller unplugged")
        }
    }
}

/// The verdict in one sentence, never without the runner-up.
pub fn verdict_words(
    project: &Project,
    inquiry: &Inquiry,
    verdict: Verdict,
    ranked: &[Ranked],
) -> String {
    let share = |one: &Ranked| format!("{} %", trim_zeros(&format!("{:.1}", 100.0 * one.share)));
    let named = |idx: usize| {
        ranked.get(idx).map_or_else(
            || "nothing else".to_owned(),
            |one| match one.share < FAINTEST {
                true => "nothing else on the list that counts".to_owned(),
                false => format!("{} ({})", blame_title(project, inquiry, one), share(one)),
            },
        )
    };
    match verdict {
        Verdict::NothingMeasured => "Nothing is measured yet.".into(),
        Verdict::WithinLimits => format!(
            "Every reading lies within its limits: nothing to find fault with. What these readings do not rule out: {}.",
            named(1)
        ),
        Verdict::Found => {
            let alike = ranked.first().map_or(&[][..], |one| one.alike.as_slice());
            let others = ranked.iter().filter(|one| alike.contains(&one.suspect));
            let names: Vec<String> = others.map(|one| blame_title(project, inquiry, one)).collect();
            let also = if names.is_empty() {
                String::new()
            } else {
                format!(
                    " At this pin the meter cannot tell it from: {}. Only looking, or a measurement elsewhere, can.",
                    listed(names)
                )
            };
            format!("{}. Next likely: {}.{also}", sentence(&named(0)), named(1))
        }
        Verdict::Undecided => {
            format!("Not decided yet. Likeliest: {}; then {}.", named(0), named(1))
        }
        Verdict::Unexplained => format!(
            "Nothing on the list explains these readings together: measure the odd one again (wrong button, wrong cavity?), or more than one thing is wrong. Nearest: {}; then {}.",
            named(0),
            named(1)
        ),
    }
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    // Names such as `wire D1` may start a sentence; reference designations stay as they are.
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// What gathers ohms first goes first: rotating contacts, joints, contacts, wires with a name.
fn likely_place(project: &Project, source: Source) -> usize {
    match source {
        Source::Joint { part, .. } => {
            let kind = project.parts.get(part).map(|part| &part.kind);
            match kind {
                Some(PartKind::Connector(connector)) if connector.rotating => 0,
                _ => 1,
            }
        }
        Source::Part(_) | Source::Coil(_) => 2,
        Source::Wire(wire) => match project.wires.get(wire) {
            Some(row) if !row.name.is_empty() => 3,
            Some(_) | None => 5,
        },
        Source::Loop(_) => 4,
        Source::Bridge => 6,
    }
}

/// What an edge of the circuit stands for.
pub fn source_words(project: &Project, source: Source) -> String {
    let part_name = |part| project.parts.get(part).map_or("?".to_owned(), |part| part.name.clone());
    match source {
        Source::Part(part) => {
            let noun = project.parts.get(part).map_or("part", |part| part.kind.noun());
            format!("{noun} {}", part_name(part))
        }
        Source::Coil(part) => format!("coil of {}", part_name(part)),
        Source::Wire(wire) => {
            let row = project.wires.get(wire);
            match row.map(|row| (row.name.as_str(), row)) {
                Some(("", row)) => format!(
                    "the wire from {} to {}",
                    project.terminal_name(row.from.terminal),
                    project.terminal_name(row.to.terminal)
                ),
                Some((name, _)) => format!("wire {name}"),
                None => "a wire".into(),
            }
        }
        Source::Joint { part, cavity } => {
            let Some(row) = project.parts.get(part) else { return "a joint".into() };
            let is_rotating =
                matches!(&row.kind, PartKind::Connector(connector) if connector.rotating);
            let name = row.terminal_name(2 * cavity.saturating_sub(1));
            if is_rotating {
                format!("joint {name} (rotating contact)")
            } else {
                format!("joint {name}")
            }
        }
        Source::Loop(_) => "the wire loop".into(),
        Source::Bridge => "a bridge".into(),
    }
}

/// `a, b or c`, and how many more.
fn listed(mut names: Vec<String>) -> String {
    let mut told = std::collections::BTreeSet::new();
    names.retain(|name| told.insert(name.clone()));
    let n_more = names.len().saturating_sub(N_NAMED);
    names.truncate(N_NAMED);
    if n_more > 0 {
        return format!("{} or {n_more} more that read alike", names.join(", "));
    }
    match names.pop() {
        Some(last) if !names.is_empty() => format!("{} or {last}", names.join(", ")),
        Some(last) => last,
        None => String::new(),
    }
}

fn siemens(value: Option<(f64, f64, f64)>) -> String {
    match value {
        Some((_, best, _)) if best > 0.0 => {
            format!("{} µS", trim_zeros(&format!("{}", round_figures(1e6 / best, 2))))
        }
        Some(_) | None => "amount".into(),
    }
}

/// The measurement elsewhere that tells the first two faults of a group apart that read alike at the
/// pin; `None` where the suspect is no such group.
pub fn parting_words(project: &Project, inquiry: &Inquiry, ranked: &Ranked) -> Option<String> {
    let Blame::Faults(rows) = &inquiry.suspects[ranked.suspect].blame else { return None };
    let [one, other, ..] = rows.as_slice() else { return None };
    let title = |row: usize| &inquiry.survey.rows[row].fault.title;
    Some(match inquiry.survey.parting(project, *one, *other) {
        Some(parting) => format!(
            "These read alike at the pin. To tell them apart measure ohms from {} to {} with {}, supplies off, controller unplugged: {} with {}, {} with {}.",
            project.terminal_name(parting.red),
            project.terminal_name(parting.black),
            state_words(project, &parting.state),
            format_ohm(parting.ohm.0),
            title(*one),
            format_ohm(parting.ohm.1),
            title(*other)
        ),
        None => format!(
            "{} and {} read alike wherever a probe reaches: only looking tells them apart.",
            sentence(title(*one)),
            title(*other)
        ),
    })
}
