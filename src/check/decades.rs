//! Resistors of one pin that are ten times their neighbour: a ring misread, a zero too many.

use std::collections::BTreeSet;

use crate::check::findings::Found;
use crate::check::reach::{Joins, Reach, Through};
use crate::cutting::natural_order;
use crate::model::{Diagnostic, PartId, PartKind, Project, Subject};
use crate::units::{format_ohm_short, round_figures};

/// The cures of the findings made here, by which they are known, and the factor each means.
const CURES: [(&str, f64); 2] = [
    ("measure it or read its rings again, a tenth would fit; leave it if it is meant so", 0.1),
    (
        "measure it or read its rings again, ten times as much would fit; leave it if it is meant so",
        10.0,
    ),
];

/// From this ratio on a neighbour is a decade away; a little less, so that tolerances of typed values
/// such as 4.99 k and 49.9 k count.
const DECADE: f64 = 9.99;

/// By what a resistor's value would fit its neighbours, where the finding is one of those made here.
pub fn fitting_factor(finding: &Diagnostic) -> Option<f64> {
    CURES.iter().find(|(cure, _)| finding.cure == *cure).map(|(_, factor)| *factor)
}

/// Looks at the resistors of every pin in the order of their names.
pub fn check(project: &Project, found: &mut Found) {
    let joins = Joins::new(project, Through::Everything);
    let mut seen: BTreeSet<PartId> = BTreeSet::new();
    for (_, pin) in project.sense_pins.iter() {
        let reach = Reach::from(&joins, pin.terminal);
        let mut list: Vec<(PartId, &str, f64)> = project
            .parts
            .iter()
            .filter_map(|(id, part)| {
                let PartKind::Resistor(resistor) = &part.kind else { return None };
                let is_here = (0..2).any(|terminal| {
                    reach.contains(crate::model::TerminalRef { part: id, terminal })
                });
                is_here.then_some((id, part.name.as_str(), resistor.ohm))
            })
            .collect();
        list.sort_by(|a, b| natural_order(a.1, b.1).then(a.0.cmp(&b.0)));
        for (n, (id, name, ohm)) in list.iter().enumerate() {
            let before = n.checked_sub(1).and_then(|n| list.get(n));
            let neighbours: Vec<&(PartId, &str, f64)> =
                before.into_iter().chain(list.get(n + 1)).collect();
            let Some(far) = neighbours
                .iter()
                .filter(|other| apart(*ohm, other.2) >= DECADE)
                .max_by(|a, b| apart(*ohm, a.2).total_cmp(&apart(*ohm, b.2)))
            else {
                continue;
            };
            let (cure, factor) = CURES[usize::from(far.2 > *ohm)];
            // Where a neighbour on the other side speaks for the value it is a wide ladder, no slip.
            let fits =
                |other: &&&(PartId, &str, f64)| apart(ohm * factor, other.2) < apart(*ohm, other.2);
            if neighbours.iter().filter(fits).count() == neighbours.len() && seen.insert(*id) {
                let times = round_figures(apart(*ohm, far.2), 2);
                let (mine, theirs) = (spaced(*ohm), spaced(far.2));
                let what = if far.2 < *ohm {
                    format!(
                        "{name} is {mine}Ω, {times} times its neighbour {}, {theirs}Ω: sure?",
                        far.1
                    )
                } else {
                    format!(
                        "{name} is {mine}Ω, its neighbour {} {times} times that, {theirs}Ω: sure?",
                        far.1
                    )
                };
                found.note(Subject::Part(*id), what, cure);
            }
        }
    }
}

/// How many times the larger is the smaller.
fn apart(a: f64, b: f64) -> f64 {
    (a / b).max(b / a)
}

/// `4.7 k`, `330 `.
fn spaced(ohm: f64) -> String {
    let short = format_ohm_short(ohm);
    match short.find(char::is_alphabetic) {
        Some(at) => format!("{} {}", &short[..at], &short[at..]),
        None => format!("{short} "),
    }
}
