//! The diagnosis put to the test: faults are hidden in machines built within their tolerances and
//! measured with a meter that is off within its leaflet.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

mod bench;

use ohmloom::model::Project;
use ohmloom::proving::diagnose::{Blame, Diagnosis, Inquiry, Reading, Verdict};
use ohmloom::random::Random;
use ohmloom::samples;

use bench::Machine;

/// How one hidden fault was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Outcome {
    /// It is first, alone or with others that read the same.
    First,
    /// A twin of it is first, as the survey counts twins.
    Twin,
    /// The same part with a value of its own is first.
    SamePlace,
    /// All readings lie within their limits.
    Hidden,
    /// Something else is first.
    Missed,
}

/// Measures what is proposed until it is decided, four times at most.
fn found(
    project: &Project,
    inquiry: &Inquiry<'_>,
    machine: &Machine,
    start: &Diagnosis,
    r: &mut Random,
) -> (Diagnosis, usize) {
    let mut readings: Vec<Reading> = Vec::new();
    loop {
        let answer = if readings.is_empty() {
            start.clone()
        } else {
            inquiry.diagnose(project, &readings, &|| true).unwrap().unwrap()
        };
        let Some(next) = answer.next.as_ref().map(|next| next.measurement) else {
            return (answer, readings.len());
        };
        if readings.len() == 4 {
            return (answer, readings.len());
        }
        let state = inquiry.survey.states[next.state].clone();
        // What cannot be measured (the fuse blows) says nothing; somebody would stop there.
        let Some(shown) = machine.measure(&state, next.quantity, r) else {
            return (answer, readings.len());
        };
        readings.push(Reading { state, shown, last_digit: 0.0 });
    }
}

fn judge(inquiry: &Inquiry<'_>, answer: &Diagnosis, row: usize) -> Outcome {
    let first = &inquiry.suspects[answer.ranked[0].suspect].blame;
    if answer.verdict == Verdict::WithinLimits {
        return Outcome::Hidden;
    }
    match first {
        Blame::Faults(rows) if rows.contains(&row) => Outcome::First,
        Blame::Faults(rows) => {
            let twins = inquiry.survey.twins_of(row);
            if rows.iter().any(|other| twins.contains(other)) {
                Outcome::Twin
            } else {
                Outcome::Missed
            }
        }
        Blame::OtherValue(part) => {
            let subject = ohmloom::model::Subject::Part(*part);
            let fault = &inquiry.survey.rows[row].fault;
            if fault.subjects.contains(&subject) { Outcome::SamePlace } else { Outcome::Missed }
        }
        _ => Outcome::Missed,
    }
}

#[test]
fn hidden_faults_are_found_in_four_measurements() {
    // Every fault in turn is a matter of minutes without optimisation: one in `STRIDE` here.
    let stride: usize =
        std::env::var("OHMLOOM_STRIDE").ok().and_then(|n| n.parse().ok()).unwrap_or(9);
    let (mut n_seen, mut n_found) = (0, 0);
    for sample in samples::LIST {
        let project = samples::open(sample.name).unwrap();
        for id in project.sense_pins.ids() {
            let Some(inquiry) = Inquiry::new(&project, id, &|| true) else { continue };
            let unseen = match &inquiry.suspects[0].blame {
                Blame::Nothing { unseen } => unseen.clone(),
                other => panic!("the first is nothing, not {other:?}"),
            };
            let start = inquiry.diagnose(&project, &[], &|| true).unwrap().unwrap();
            let mut count = std::collections::BTreeMap::new();
            for row in (0..inquiry.survey.rows.len()).step_by(stride) {
                if unseen.contains(&row) {
                    continue;
                }
                let r = &mut Random::new(row as u64 * 7919 + u64::from(id.0));
                let fault = &inquiry.survey.rows[row].fault;
                let machine = Machine::build(&project, id, Some(&fault.cause), r);
                let (answer, n) = found(&project, &inquiry, &machine, &start, r);
                let outcome = judge(&inquiry, &answer, row);
                if matches!(outcome, Outcome::Missed | Outcome::Hidden)
                    && std::env::var_os("OHMLOOM_TALK").is_some()
                {
                    println!(
                        "{} {:?} {} [{n}] -> {:?} {:.2}",
                        sample.name,
                        outcome,
                        fault.title,
                        &inquiry.suspects[answer.ranked[0].suspect].blame,
                        answer.ranked[0].share
                    );
                }
                *count.entry(outcome).or_insert(0) += 1;
                n_seen += 1;
                n_found += usize::from(!matches!(outcome, Outcome::Missed | Outcome::Hidden));
            }
            println!(
                "{} {}: {} faults, {} suspects, {} unseen, {count:?}",
                sample.name,
                inquiry.pin.name,
                inquiry.survey.rows.len(),
                inquiry.suspects.len(),
                unseen.len()
            );
        }
    }
    println!("{n_found} of {n_seen}");
    assert!(n_found * 100 >= n_seen * 95, "{n_found} of {n_seen}");
}
