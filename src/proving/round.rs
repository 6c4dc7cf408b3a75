//! Where a round of the bench test stands: what each step has come to, what is next, and the round
//! in figures.

use crate::model::{BenchReading, BenchRun};
use crate::proving::plan::{Outcome, Plan, Step, judge};

/// What a step of a round has come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Not done yet.
    Open,
    /// It cannot be done yet.
    Blocked,
    /// Read, and this is what came of it.
    Read(Outcome),
    /// Left out, with a reason.
    Skipped,
    /// Read on a drawing whose limits hung on something else: to be read again.
    Stale,
}

impl Standing {
    /// Whether nothing more has to be done.
    pub fn is_done(self) -> bool {
        match self {
            Self::Read(_) | Self::Skipped => true,
            Self::Open | Self::Blocked | Self::Stale => false,
        }
    }

    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Open => "to do",
            Self::Blocked => "not yet",
            Self::Read(outcome) => outcome.words(),
            Self::Skipped => "left out",
            Self::Stale => "stale: read again",
        }
    }
}

/// What a step has come to.
pub fn standing(step: &Step, reading: Option<&BenchReading>) -> Standing {
    match reading {
        Some(reading) if reading.drawing != step.drawing => Standing::Stale,
        Some(BenchReading { shown: None, .. }) => Standing::Skipped,
        _ if step.limits.is_none() => Standing::Blocked,
        None => Standing::Open,
        Some(BenchReading { shown: Some(shown), last_digit, .. }) => {
            Standing::Read(judge(step, *shown, *last_digit))
        }
    }
}

/// A round in figures.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Steps of the bench test.
    pub steps: usize,
    /// Good.
    pub good: usize,
    /// Outside their limits.
    pub bad: usize,
    /// Left out with a reason.
    pub skipped: usize,
    /// To be read again.
    pub stale: usize,
    /// Cannot be done yet.
    pub blocked: usize,
    /// Not done yet.
    pub open: usize,
    /// Readings of steps that the bench test no longer has.
    pub orphans: usize,
}

impl Tally {
    /// Counts a round.
    pub fn of(plan: &Plan, run: &BenchRun) -> Self {
        let mut tally = Self { steps: plan.steps.len(), ..Self::default() };
        let mut known = 0;
        for step in &plan.steps {
            let reading = run.readings.get(&step.key);
            known += usize::from(reading.is_some());
            let count = match standing(step, reading) {
                Standing::Open => &mut tally.open,
                Standing::Blocked => &mut tally.blocked,
                Standing::Read(outcome) if outcome.is_good() => &mut tally.good,
                Standing::Read(_) => &mut tally.bad,
                Standing::Skipped => &mut tally.skipped,
                Standing::Stale => &mut tally.stale,
            };
            *count += 1;
        }
        tally.orphans = run.readings.len().saturating_sub(known);
        tally
    }

    /// `11 of 40 done: 10 good, 1 outside limits; 1 left out, 2 stale, 3 cannot be done yet`.
    pub fn words(&self) -> String {
        let done = self.good + self.bad;
        let listed = |parts: &[(usize, &str)]| {
            let some = parts.iter().filter(|(n, _)| *n > 0);
            some.map(|(n, word)| format!("{n} {word}")).collect::<Vec<_>>().join(", ")
        };
        let what = [(self.good, "good"), (self.bad, "outside limits")];
        let rest = [
            (self.skipped, "left out"),
            (self.stale, "stale, to be read again"),
            (self.blocked, "cannot be done yet"),
            (self.orphans, "of steps that are gone"),
        ];
        let mut words = format!("{done} of {} done", self.steps);
        if done > 0 {
            words += &format!(": {}", listed(&what));
        }
        if self.skipped + self.stale + self.blocked + self.orphans > 0 {
            words += &format!("; {}", listed(&rest));
        }
        words
    }
}

/// The first step, by index, that wants a reading, from `from` on and then from the start; `None`
/// where all that can be done is done.
pub fn next_open(plan: &Plan, run: &BenchRun, from: usize) -> Option<usize> {
    let wants = |n: &usize| {
        let step = &plan.steps[*n];
        match standing(step, run.readings.get(&step.key)) {
            Standing::Open => true,
            Standing::Stale => step.limits.is_some(),
            Standing::Blocked | Standing::Read(_) | Standing::Skipped => false,
        }
    };
    let n = plan.steps.len();
    (from.min(n)..n).find(wants).or_else(|| (0..from.min(n)).find(wants))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Project, Shown};
    use crate::proving::plan::{Limits, StepKind, plan};
    use crate::proving::typed::Quantity;

    fn step(key: &str, limits: Option<Limits>) -> Step {
        Step {
            key: key.into(),
            kind: StepKind::Ohms,
            title: key.into(),
            connect: Vec::new(),
            state: None,
            red: None,
            black: None,
            quantity: Quantity::Ohm,
            blocked: limits.is_none().then(|| "later".into()),
            limits,
            notes: Vec::new(),
            drawing: 7,
        }
    }

    fn read(ohm: f64, drawing: u64) -> BenchReading {
        BenchReading { shown: Some(Shown::Ohm(ohm)), last_digit: 0.0, note: String::new(), drawing }
    }

    #[test]
    fn a_round_goes_on_where_it_was_left_and_comes_back_to_what_is_stale() {
        let limits = Some(Limits::Figure { low: 90.0, usual: 100.0, high: 110.0 });
        let plan = Plan {
            steps: vec![
                step("a", limits),
                step("b", limits),
                step("c", None),
                step("d", limits),
                step("e", limits),
            ],
            left_out: Vec::new(),
        };
        let mut run = BenchRun::default();
        assert_eq!(next_open(&plan, &run, 0), Some(0));
        run.readings.insert("a".into(), read(100.0, 6));
        run.readings.insert("b".into(), read(100.0, 7));
        run.readings.insert("d".into(), read(120.0, 7));
        let skipped = BenchReading { shown: None, note: "no access".into(), ..read(0.0, 7) };
        run.readings.insert("e".into(), skipped);
        run.readings.insert("gone".into(), read(1.0, 7));
        let at = |n: usize| standing(&plan.steps[n], run.readings.get(&plan.steps[n].key));
        assert_eq!(at(0), Standing::Stale);
        assert_eq!(at(1), Standing::Read(Outcome::Good));
        assert_eq!(at(2), Standing::Blocked);
        assert_eq!(at(3), Standing::Read(Outcome::High));
        assert_eq!(at(4), Standing::Skipped);
        assert_eq!(next_open(&plan, &run, 2), Some(0), "round the end");
        let tally = Tally::of(&plan, &run);
        assert_eq!(
            tally.words(),
            "2 of 5 done: 1 good, 1 outside limits; 1 left out, \
             1 stale, to be read again, 1 cannot be done yet, 1 of steps that are gone"
        );
        run.readings.insert("a".into(), read(100.0, 7));
        assert_eq!(next_open(&plan, &run, 2), None);
    }

    #[test]
    fn nothing_drawn_is_nothing_to_do() {
        let project = Project::empty("bare");
        let plan = plan(&project, &|| true).unwrap();
        assert_eq!(next_open(&plan, &BenchRun::default(), 3), None);
        assert_eq!(Tally::of(&plan, &BenchRun::default()).words(), "0 of 0 done");
    }
}
