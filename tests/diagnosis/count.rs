//! How many hidden faults are found in four measurements, from the first failed step of a bench test
//! and from no reading at all.
//!
//! From a failed reading, which counts as one of the four, at least 95 of 100 must be found: first,
//! or reading the same as what is first. From no reading at all, four readings often all lie within
//! their limits; nothing may be called faulty then, and the fault counts as missed, so less is asked
//! for. Faults that change nothing at the pin, and machines in which no reading lies outside its
//! limits, are counted apart.
//!
//! The diagnosis was made with the machines of other seeds (5 and 6) before its eyes. Those that stand
//! here were chosen afterwards, three of them because one alone swings by two in a hundred.

use std::thread;

use ohmloom::model::{Project, SensePinId};
use ohmloom::proving::diagnose::{Blame, Diagnosis, Inquiry, Measurement, Reading, Verdict};
use ohmloom::random::Random;
use ohmloom::samples;
use ohmloom::study::faults::FaultKind;

use crate::bench::Machine;

/// Of so many faults one is tried, unless the environment says otherwise.
const STRIDE: usize = 101;

/// What the machines are drawn with: each fault is built once with each, unless the environment
/// names one.
const SEEDS: [usize; 3] = [7, 11, 12];

/// Readings that may be taken.
const MOST: usize = 4;

/// How one hidden fault fared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Outcome {
    /// It is first, alone or in a group that reads the same or holds it as a case.
    First,
    /// It is not first, but no measurement at the pin tells it from what is.
    Twin,
    /// In this machine not one measurement at the pin lies outside its limits: nothing may be called
    /// faulty.
    NoReadingTells,
    /// Something else is first, or four readings within their limits left it unseen.
    Missed,
}

/// From where the diagnosis starts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Start {
    /// The first step of a bench test that reads outside its limits; it is one of the four.
    FailedStep,
    /// Nothing: the first measurement is proposed as well.
    Blind,
}

impl Start {
    const ALL: [Self; 2] = [Self::FailedStep, Self::Blind];
}

/// How the faults of one pin fared.
struct Count {
    name: String,
    n_faults: usize,
    n_unseen: usize,
    outcomes: Vec<(Start, FaultKind, Outcome)>,
}

impl Count {
    /// Found and tried.
    fn of(&self, start: Start, kind: Option<FaultKind>) -> [usize; 2] {
        let of = |outcomes: &[Outcome]| {
            let is = |(s, k, outcome): &&(Start, FaultKind, Outcome)| {
                *s == start && kind.is_none_or(|kind| kind == *k) && outcomes.contains(outcome)
            };
            self.outcomes.iter().filter(is).count()
        };
        let n_found = of(&[Outcome::First, Outcome::Twin]);
        [n_found, n_found + of(&[Outcome::Missed])]
    }

    fn n(&self, start: Start, outcome: Outcome) -> usize {
        self.outcomes.iter().filter(|(s, _, o)| (*s, *o) == (start, outcome)).count()
    }
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
) -> Diagnosis {
    loop {
        let answer = inquiry.diagnose(project, &readings, &|| true).unwrap().unwrap();
        assert!(answer.ranked.len() >= 2, "no verdict without the runner-up");
        let is_inside = answer.judged.iter().all(|judged| judged.is_inside);
        if is_inside && !readings.is_empty() {
            assert_eq!(answer.verdict, Verdict::WithinLimits);
            let first = &inquiry.suspects[answer.ranked[0].suspect].blame;
            assert!(matches!(first, Blame::Nothing { .. }), "within limits, yet {first:?}");
        } else {
            assert_ne!(answer.verdict, Verdict::WithinLimits);
        }
        let Some(next) = answer.next.as_ref().map(|next| next.measurement) else { return answer };
        if readings.len() == MOST {
            return answer;
        }
        let Some(reading) = read(inquiry, machine, next, r) else { return answer };
        readings.push(reading);
    }
}

fn judge(inquiry: &Inquiry, answer: &Diagnosis, row: usize) -> Outcome {
    if matches!(answer.verdict, Verdict::NothingMeasured | Verdict::WithinLimits) {
        return Outcome::Missed;
    }
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

/// Says what was taken for what, and by which measurements.
fn tell(inquiry: &Inquiry, answer: &Diagnosis, row: usize, start: Start) {
    let title = |row: usize| inquiry.survey.rows[row].fault.title.as_str();
    println!("  missed from {start:?}: {}, {:?}", title(row), answer.verdict);
    for judged in &answer.judged {
        let state = &inquiry.survey.states[judged.measurement.state].0;
        let at: Vec<String> = state.values().map(u8::to_string).collect();
        let inside = if judged.is_inside { "inside" } else { "outside" };
        println!("    at {} {:?}, {inside}", at.join(" "), judged.shown);
    }
    for one in answer.ranked.iter().take(4) {
        let blame = &inquiry.suspects[one.suspect].blame;
        let is_it = if blame.rows().contains(&row) { " (it is)" } else { "" };
        let name = match blame.rows().first() {
            Some(row) => title(*row).to_owned(),
            None => format!("{blame:?}").chars().take(60).collect(),
        };
        println!("    {:.3} {name}{is_it}", one.share);
    }
}

/// Hides one in `stride` of the faults of a pin, beginning with another one for each seed.
fn count(
    (name, project, id): (&str, &Project, SensePinId),
    (stride, seeds): (usize, &[usize]),
    is_talking: bool,
) -> Option<Count> {
    let inquiry = Inquiry::new(project, id, &|| true)?;
    let Blame::Nothing { unseen } = &inquiry.suspects[0].blame else {
        panic!("the first suspect is nothing")
    };
    let mut outcomes = Vec::new();
    let n_rows = inquiry.survey.rows.len();
    let hidden = seeds
        .iter()
        .flat_map(|seed| (seed % stride..n_rows).step_by(stride).map(move |row| (*seed, row)));
    for (seed, row) in hidden {
        if unseen.contains(&row) {
            continue;
        }
        let r = &mut Random::new((seed * 1_000_003 + row * 7919) as u64 + u64::from(id.0));
        let fault = &inquiry.survey.rows[row].fault;
        let machine = Machine::build(project, id, Some(&fault.cause), r);
        let failed = failed_step(project, &inquiry, &machine, r);
        for start in Start::ALL {
            let readings = match (&failed, start) {
                (Some(reading), Start::FailedStep) => Some(vec![reading.clone()]),
                (Some(_), Start::Blind) => Some(Vec::new()),
                (None, _) => None,
            };
            let outcome = match readings {
                None => Outcome::NoReadingTells,
                Some(readings) => {
                    let answer = found(project, &inquiry, &machine, readings, r);
                    let outcome = judge(&inquiry, &answer, row);
                    if is_talking && outcome == Outcome::Missed {
                        tell(&inquiry, &answer, row, start);
                    }
                    outcome
                }
            };
            outcomes.push((start, fault.kind, outcome));
        }
    }
    let name = format!("{name} {}", inquiry.pin.name);
    Some(Count { name, n_faults: n_rows, n_unseen: unseen.len(), outcomes })
}

fn share([n_found, n_all]: [usize; 2]) -> String {
    format!("{n_found} of {n_all} ({:.1} %)", 100.0 * n_found as f64 / n_all.max(1) as f64)
}

/// Prints the figures: by sample and start, by kind where something was missed.
fn print(counts: &[Count]) {
    for count in counts {
        println!(
            "{}: {} faults, {} change nothing at the pin",
            count.name, count.n_faults, count.n_unseen
        );
        for start in Start::ALL {
            println!(
                "  {start:?}: {}, of these {} by what reads alike; no reading tells {}",
                share(count.of(start, None)),
                count.n(start, Outcome::Twin),
                count.n(start, Outcome::NoReadingTells)
            );
        }
    }
    for start in Start::ALL {
        for kind in FaultKind::ALL {
            let all = sum(counts, start, Some(kind));
            if all[0] < all[1] {
                println!("{start:?}, {}: {}", kind.word(), share(all));
            }
        }
        println!("{start:?}: {}", share(sum(counts, start, None)));
    }
}

fn sum(counts: &[Count], start: Start, kind: Option<FaultKind>) -> [usize; 2] {
    counts.iter().map(|count| count.of(start, kind)).fold([0, 0], |[a, b], [c, d]| [a + c, b + d])
}

#[test]
fn hidden_faults_are_found_in_four_measurements() {
    let number = |name| std::env::var(name).ok().and_then(|n| n.parse::<usize>().ok());
    let stride = number("OHMLOOM_STRIDE").unwrap_or(STRIDE);
    let seeds = number("OHMLOOM_SEED").map_or(SEEDS.to_vec(), |seed| vec![seed]);
    let is_talking = number("OHMLOOM_STRIDE").is_some();
    let of_sample = |sample: &samples::Sample| {
        let project = samples::open(sample.name).unwrap();
        let of_pin = |id| count((sample.name, &project, id), (stride, &seeds), is_talking);
        project.sense_pins.ids().filter_map(of_pin).collect::<Vec<Count>>()
    };
    let counts: Vec<Count> = thread::scope(|scope| {
        let threads: Vec<_> =
            samples::LIST.iter().map(|sample| scope.spawn(|| of_sample(sample))).collect();
        threads.into_iter().flat_map(|thread| thread.join().unwrap()).collect()
    });
    print(&counts);
    for start in Start::ALL {
        let [n_found, n_all] = sum(&counts, start, None);
        assert!(n_all >= 20, "too few were tried: {n_all}");
        let least = match (start, n_all) {
            // Where few are tried, chance alone moves the share by some in a hundred.
            (_, ..500) => 88,
            (Start::FailedStep, _) => 95,
            (Start::Blind, _) => 94,
        };
        assert!(n_found * 100 >= n_all * least, "{start:?}: {n_found} of {n_all}");
        let n_hidden: usize = counts.iter().map(|c| c.n(start, Outcome::NoReadingTells)).sum();
        assert!(n_hidden * 10 <= n_found, "limits hide too much: {n_hidden}");
    }
}
