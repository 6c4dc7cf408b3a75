//! Open: each wire, joint, fuse and resistor that stops conducting.

use crate::circuit::{Change, Source};
use crate::model::{End, PartKind, Subject};
use crate::study::faults::base::Base;
use crate::study::faults::{Cause, Fault, FaultKind};

/// One fault for each thing that can break. Contacts are left to those that stick.
pub fn list(base: &Base<'_>) -> Vec<Fault> {
    base.sources().into_iter().filter_map(|source| open(base, source)).collect()
}

fn open(base: &Base<'_>, source: Source) -> Option<Fault> {
    let mut kind = FaultKind::Open;
    let (title, subject) = match source {
        Source::Wire(wire) => {
            let row = base.project.wires.get(wire)?;
            let name = if row.name.is_empty() {
                let end = |end: &End| base.project.terminal_name(end.terminal);
                format!("{} to {}", end(&row.from), end(&row.to))
            } else {
                row.name.clone()
            };
            (format!("wire {name} broken"), Subject::Wire(wire))
        }
        Source::Joint { part, cavity } => {
            let row = base.project.parts.get(part)?;
            let name = row.terminal_name(2 * (cavity - 1));
            (format!("joint {name} open"), Subject::Part(part))
        }
        Source::Part(part) => {
            let name = base.part_name(part);
            let title = match base.project.parts.get(part)?.kind {
                PartKind::Fuse(_) => format!("fuse {name} blown"),
                PartKind::Resistor(_) if is_end_resistor(base, source) => {
                    kind = FaultKind::EndMissing;
                    format!("{name} at the end of the line missing")
                }
                PartKind::Resistor(_) => format!("{name} open"),
                PartKind::Contact(_)
                | PartKind::Supply(_)
                | PartKind::Ground
                | PartKind::Splice { .. }
                | PartKind::Connector(_)
                | PartKind::Controller(_)
                | PartKind::TestPoint
                | PartKind::Element(_) => return None,
            };
            (title, Subject::Part(part))
        }
        Source::Loop(pin) => ("the wire loop broken".into(), Subject::SensePin(pin)),
        // Elements have a list of their own.
        Source::Coil(_) | Source::Bridge => return None,
    };
    let cause = Cause::Circuit(vec![Change::Open(source)]);
    Some(Fault { kind, title, subjects: vec![subject], cause })
}

/// Whether a resistor is all that joins pin and reference at rest.
fn is_end_resistor(base: &Base<'_>, source: Source) -> bool {
    let Some(rest) = base.sound.first().filter(|rest| rest.ohm.is_finite()) else { return false };
    let cause = Cause::Circuit(vec![Change::Open(source)]);
    let fault = Fault { kind: FaultKind::Open, title: String::new(), subjects: Vec::new(), cause };
    let others_work = |symptoms: &[crate::study::faults::Symptom]| {
        symptoms.iter().skip(1).any(|symptom| symptom.ohm.is_finite())
    };
    rest.ohm > 0.0
        && base
            .symptoms(&fault)
            .is_some_and(|symptoms| symptoms[0].ohm.is_infinite() && others_work(&symptoms))
}
