//! What the controller itself may do otherwise than its sheet says, and what the return may carry.

use crate::model::{SensePin, Side, Subject};
use crate::study::faults::base::Base;
use crate::study::faults::{Cause, Fault, FaultKind};

/// How far a chassis return is lifted by a load of some ten amperes, in volts (common practice, no source).
const RETURN_OFFSET_VOLT: f64 = 0.5;

/// Pull and reference off, a wrong feed, a lifted return, a second module.
pub fn list(base: &Base<'_>) -> Vec<Fault> {
    let subject = base
        .project
        .sense_pins
        .iter()
        .find(|(_, row)| std::ptr::eq(*row, base.sense))
        .map(|(id, _)| id);
    let subjects: Vec<Subject> = subject.map(Subject::SensePin).into_iter().collect();
    let mut faults = Vec::new();
    let mut add = |kind, title: String, cause| {
        faults.push(Fault { kind, title, subjects: subjects.clone(), cause });
    };
    let edited = |change: &dyn Fn(&mut SensePin)| {
        let mut pin = base.sense.clone();
        change(&mut pin);
        Cause::Pin(Box::new(pin))
    };
    if base.sense.pull_ohm.is_some() {
        for (factor, words) in [(0.5, "half"), (2.0, "twice")] {
            let cause = edited(&|pin| {
                if let Some(pull) = &mut pin.pull_ohm {
                    pull.nominal *= factor;
                }
            });
            add(FaultKind::Sheet, format!("the pull is {words} what the sheet says"), cause);
        }
        let cause = edited(&|pin| {
            if let Some(pull) = &mut pin.pull_ohm {
                pull.nominal *= 0.5;
            }
        });
        add(
            FaultKind::SecondModule,
            "a second module with the same pull on the line".into(),
            cause,
        );
    }
    if base.sense.reference_volt.is_some() {
        for (factor, words) in [(0.9, "10 % low"), (1.1, "10 % high")] {
            let cause = edited(&|pin| {
                if let Some(reference) = &mut pin.reference_volt {
                    reference.nominal *= factor;
                }
            });
            add(FaultKind::Sheet, format!("the reference is {words}"), cause);
        }
    }
    if base.sense.pull_ohm.is_some() && base.sense.side == Side::Ground {
        add(
            FaultKind::ReturnOffset,
            format!("return on the chassis, lifted {RETURN_OFFSET_VOLT} V by another load"),
            Cause::Offset(RETURN_OFFSET_VOLT),
        );
    }
    for volt in feeds(base) {
        let cause = edited(&|pin| {
            if let Some(reference) = &mut pin.reference_volt {
                reference.nominal = volt;
            }
        });
        add(FaultKind::Feed, format!("fed with {volt} V"), cause);
    }
    faults
}

/// Voltages of supplies in the project that the line could be fed with by mistake.
fn feeds(base: &Base<'_>) -> Vec<f64> {
    let Some(reference) = base.sense.reference_volt else { return Vec::new() };
    let mut volts: Vec<f64> = base
        .project
        .parts
        .iter()
        .filter_map(|(_, part)| part.kind.supply())
        .map(|supply| supply.volt.nominal)
        .filter(|volt| (volt - reference.nominal).abs() > 0.1 * reference.nominal)
        .collect();
    volts.sort_by(f64::total_cmp);
    volts.dedup();
    volts
}
