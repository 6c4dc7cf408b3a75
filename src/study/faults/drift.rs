//! Resistors of another value: drifted, a decade off, in each other's place.

use crate::circuit::{Change, Source};
use crate::model::{PartId, Subject};
use crate::study::faults::base::Base;
use crate::study::faults::{Cause, Fault, FaultKind};
use crate::units::format_ohm;

/// How far a drifted resistor is off: ten percent, far beyond any tolerance that is bought on
/// purpose (common practice, no source).
const DRIFT: f64 = 0.10;

/// Faults of single resistors and of pairs.
pub fn list(base: &Base<'_>) -> Vec<Fault> {
    let resistors: Vec<(PartId, f64)> = base
        .sources()
        .into_iter()
        .filter_map(Source::part)
        .filter_map(|part| Some((part, base.project.parts.get(part)?.kind.resistor()?.ohm)))
        .collect();
    let mut faults = Vec::new();
    for (part, ohm) in &resistors {
        let name = base.part_name(*part);
        for (kind, factor, words) in [
            (FaultKind::Drift, 1.0 + DRIFT, "drifted 10 % up"),
            (FaultKind::Drift, 1.0 - DRIFT, "drifted 10 % down"),
            (FaultKind::Decade, 10.0, "ten times too large"),
            (FaultKind::Decade, 0.1, "ten times too small"),
        ] {
            let value = ohm * factor;
            let title = format!("{name} {words} ({})", format_ohm(value));
            let cause = Cause::Circuit(vec![Change::Value(Source::Part(*part), value)]);
            faults.push(Fault { kind, title, subjects: vec![Subject::Part(*part)], cause });
        }
    }
    for (n, (one, one_ohm)) in resistors.iter().enumerate() {
        for (other, other_ohm) in resistors[n + 1..].iter().filter(|(_, ohm)| ohm != one_ohm) {
            let cause = Cause::Circuit(vec![
                Change::Value(Source::Part(*one), *other_ohm),
                Change::Value(Source::Part(*other), *one_ohm),
            ]);
            let title = format!("{} and {} swapped", base.part_name(*one), base.part_name(*other));
            let subjects = vec![Subject::Part(*one), Subject::Part(*other)];
            faults.push(Fault { kind: FaultKind::ResistorsSwapped, title, subjects, cause });
        }
    }
    faults
}
