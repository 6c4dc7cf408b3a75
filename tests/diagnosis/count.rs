//! How many hidden faults are found in four measurements, from the first failed step of a bench test
//! and from no reading at all.

use std::collections::BTreeMap;

use ohmloom::model::Project;
use ohmloom::proving::Quantity;
use ohmloom::proving::diagnose::{Blame, Diagnosis, Inquiry, Measurement, Reading, Verdict};
use ohmloom::random::Random;
use ohmloom::samples;
use ohmloom::study::faults::FaultKind;

use crate::bench::Machine;

/// Of so many faults one is tried, unless the environment says otherwise.
const STRIDE: usize = 23;

/// Readings that may be taken.
const MOST: usize = 4;

/// How one hidden fault fared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Outcome {
    /// It is first, alone or in a group that reads the same or holds it as a case.
    First,
    /// One that reads the same at every measurement, as far as the meter can tell, is first.
    Twin,
    /// Not one measurement at the pin lies outside its limits: nothing may be called faulty.
    NoReadingTells,
    /// Something else is first, or four readings within their limits left it unseen.
    Missed,
}

/// From where the diagnosis starts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Start {
    /// The first step of a bench test that reads outside its limits.
    FailedStep,
    /// Nothing: the first measurement is proposed as well.
    Blind,
}

/// The first measurement of a bench test, in its order, that lies outside its limits.
fn failed_step(
    project: &Project,
    inquiry: &Inquiry,
    machine: &Machine,
    r: &mut Random,
) -> Option<Reading> {
    let mut all = inquiry.measurements.clone();
    all.sort_by_key(|at| (at.quantity, at.state));
    for at in all {
        let Some(reading) = read(inquiry, machine, at, r) else { continue };
        let state = inquiry.state_of(project, &reading.state).unwrap();
        let one = Measurement { state, quantity: at.quantity };
        if !inquiry.is_within(one, reading.shown, reading.last_digit) {
            return Some(reading);
        }
    }
    None
}

/// What the meter shows; `None` where nothing can be measured, as the fuse blows.
pub fn read(
    inquiry: &Inquiry,
    machine: &Machine,
    at: Measurement,
    r: &mut Random,
) -> Option<Reading> {
    let state = inquiry.survey.states[at.state].clone();
    let shown = machine.measure(&state, at.quantity, r)?;
    Some(Reading { state, shown, last_digit: 0.0 })
}

/// Measures what is proposed until nothing more is, or enough is measured.
fn found(
    project: &Project,
    inquiry: &Inquiry,
    machine: &Machine,
    mut readings: Vec<Reading>,
    r: &mut Random,
) -> (Diagnosis, Vec<Reading>) {
    loop {
        let answer = inquiry.diagnose(project, &readings, &|| true).unwrap().unwrap();
        let Some(next) = answer.next.as_ref().map(|next| next.measurement) else {
            return (answer, readings);
        };
        if readings.len() == MOST {
            return (answer, readings);
        }
        let Some(reading) = read(inquiry, machine, next, r) else { return (answer, readings) };
        readings.push(reading);
    }
}

fn judge(inquiry: &Inquiry, answer: &Diagnosis, row: usize) -> Outcome {
    let first = &answer.ranked[0];
    let rows = inquiry.suspects[first.suspect].blame.rows();
    let alike = first.alike.iter().any(|one| inquiry.suspects[*one].blame.rows().contains(&row));
    let twins = inquiry.survey.twins_of(row);
    match () {
        () if rows.contains(&row) => Outcome::First,
        () if alike || rows.iter().any(|other| twins.contains(other)) => Outcome::Twin,
        () => Outcome::Missed,
    }
}

fn tell(inquiry: &Inquiry, answer: &Diagnosis, readings: &[Reading], row: usize, start: Start) {
    println!("  MISS {start:?} {}: {:?}", inquiry.survey.rows[row].fault.title, answer.verdict);
    for (judged, _) in answer.judged.iter().zip(readings) {
        let state = &inquiry.survey.states[judged.measurement.state];
        println!("       {:?} {:?} {:?} inside {}", state.0, judged.shown, judged.expected, judged.is_inside);
    }
    let name = |suspect: usize| {
        let blame = &inquiry.suspects[suspect].blame;
        let titles: Vec<&str> =
            blame.rows().iter().map(|row| inquiry.survey.rows[*row].fault.title.as_str()).collect();
        let kind: String = format!("{blame:?}").chars().take(14).collect();
        format!("{kind} {}", titles.join("|"))
    };
    for one in answer.ranked.iter().take(7) {
        let is = inquiry.suspects[one.suspect].blame.rows().contains(&row);
        println!("     {} {:.3} {} {:?} alike {:?}", if is { "*" } else { " " }, one.share, name(one.suspect), one.value.map(|v| v.1), one.alike);
    }
    if let Some(at) = answer.ranked.iter().position(|one| inquiry.suspects[one.suspect].blame.rows().contains(&row)) {
        println!("     true at place {} share {:.3}", at + 1, answer.ranked[at].share);
    } else {
        println!("     true not in list");
    }
    println!("     next {:?}", answer.next);
}

#[test]
fn hidden_faults_are_found_in_four_measurements() {
    let number = |name| std::env::var(name).ok().and_then(|n| n.parse::<usize>().ok());
    let stride = number("OHMLOOM_STRIDE");
    let seed = number("OHMLOOM_SEED").unwrap_or(0) as u64;
    let is_talking = stride.is_some();
    let stride = stride.unwrap_or(STRIDE);
    let mut all: BTreeMap<(Start, Outcome), usize> = BTreeMap::new();
    let mut kinds: BTreeMap<(Start, FaultKind), [usize; 2]> = BTreeMap::new();
    for (n, sample) in samples::LIST.iter().enumerate() {
        let project = samples::open(sample.name).unwrap();
        for id in project.sense_pins.ids() {
            let at = std::time::Instant::now();
            let Some(inquiry) = Inquiry::new(&project, id, &|| true) else { continue };
            println!("{} {}: {} states, {} suspects {:?}", sample.name, inquiry.pin.name, inquiry.survey.states.len(), inquiry.suspects.len(), at.elapsed());
            let Blame::Nothing { unseen } = &inquiry.suspects[0].blame else {
                panic!("the first suspect is nothing")
            };
            let mut count: BTreeMap<(Start, Outcome), usize> = BTreeMap::new();
            for row in (n..inquiry.survey.rows.len()).step_by(stride) {
                if unseen.contains(&row) {
                    continue;
                }
                let r = &mut Random::new(row as u64 * 7919 + u64::from(id.0) + seed * 1_000_003);
                let fault = &inquiry.survey.rows[row].fault;
                let machine = Machine::build(&project, id, Some(&fault.cause), r);
                let first = failed_step(&project, &inquiry, &machine, r);
                for start in [Start::FailedStep, Start::Blind] {
                    let outcome = match &first {
                        None => Outcome::NoReadingTells,
                        Some(first) => {
                            let readings = match start {
                                Start::FailedStep => vec![first.clone()],
                                Start::Blind => Vec::new(),
                            };
                            let (answer, readings) =
                                found(&project, &inquiry, &machine, readings, r);
                            assert!(answer.ranked.len() >= 2, "no verdict without the runner-up");
                            let outcome = match answer.verdict {
                                Verdict::NothingMeasured => Outcome::Missed,
                                _ => judge(&inquiry, &answer, row),
                            };
                            if is_talking && outcome == Outcome::Missed {
                                tell(&inquiry, &answer, &readings, row, start);
                            }
                            outcome
                        }
                    };
                    *count.entry((start, outcome)).or_default() += 1;
                    *all.entry((start, outcome)).or_default() += 1;
                    let kind = kinds.entry((start, fault.kind)).or_default();
                    match outcome {
                        Outcome::First | Outcome::Twin => {
                            kind[0] += 1;
                            kind[1] += 1;
                        }
                        Outcome::Missed => kind[1] += 1,
                        Outcome::NoReadingTells => {}
                    }
                }
            }
            for start in [Start::FailedStep, Start::Blind] {
                let of = |outcome| count.get(&(start, outcome)).copied().unwrap_or(0);
                let n_found = of(Outcome::First) + of(Outcome::Twin);
                let n_all = n_found + of(Outcome::Missed);
                println!(
                    "{} {} {start:?}: {n_found} of {n_all} ({:.1} %), twins {}, no reading tells {}, unseen {} of {} {:?}",
                    sample.name,
                    inquiry.pin.name,
                    100.0 * n_found as f64 / n_all as f64,
                    of(Outcome::Twin),
                    of(Outcome::NoReadingTells),
                    unseen.len(),
                    inquiry.survey.rows.len(),
                    at.elapsed(),
                );
            }
        }
    }
    for ((start, kind), [n_found, n_all]) in &kinds {
        if n_found < n_all {
            println!("{start:?} {}: {n_found} of {n_all}", kind.word());
        }
    }
    for start in [Start::FailedStep, Start::Blind] {
        let of = |outcome| all.get(&(start, outcome)).copied().unwrap_or(0);
        let n_found = of(Outcome::First) + of(Outcome::Twin);
        let n_all = n_found + of(Outcome::Missed);
        println!("{start:?}: {n_found} of {n_all}, {:.1} %, twins {}, no reading tells {}", 100.0 * n_found as f64 / n_all as f64, of(Outcome::Twin), of(Outcome::NoReadingTells));
    }
}

