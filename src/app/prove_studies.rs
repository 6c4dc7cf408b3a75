//! What stage Prove asks of workers: the bench test, what its readings mean, a hidden fault, wear.
//!
//! Answers belong to the drawing they were reckoned for. Typing readings down changes the project
//! but not the drawing, so the bench test stays in sight while a round is made.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::app::log_study::{LogAsk, LogStudy};
use crate::app::studies::{Job, Kept};
use crate::edit::Revision;
use crate::model::{BenchRun, BenchRunId, Project, SensePinId, Story, Table};
use crate::proving::diagnose::{Inquiry, Reading, Report};
use crate::proving::plan::{Plan, StepKind, plan};
use crate::proving::practice::Practice;
use crate::proving::story::{Inference, Machine, StoryFault, Stuck, infer, story_faults};
use crate::proving::wear::{Wear, likely_rounds, wear};
use crate::proving::{Standing, standing};
use crate::sense::Reader;

/// One page of stage Prove.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ProvePage {
    /// The bench test, step by step.
    #[default]
    Bench,
    /// From readings to what is wrong.
    Cause,
    /// A hidden fault to be found.
    Practice,
    /// Two rounds compared.
    Wear,
    /// Settings and change log.
    SetUp,
    /// The arming story.
    Arming,
    /// A log recorded in the machine.
    Log,
}

impl ProvePage {
    /// All pages with the words on their tabs, in their order.
    pub const ALL: &[(Self, &str)] = &[
        (Self::Bench, "Bench test"),
        (Self::Cause, "Cause"),
        (Self::Practice, "Practice"),
        (Self::Wear, "Wear"),
        (Self::SetUp, "Set-up"),
        (Self::Arming, "Arming"),
        (Self::Log, "Log"),
    ];

    /// Word on its tab.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(page, _)| *page == self).map_or("", |(_, word)| word)
    }
}

/// What a hand asks of stage Prove.
#[derive(Clone, Debug, PartialEq)]
pub enum ProveAsk {
    /// The round whose readings count for the cause; none where only those typed by hand do.
    TakeRound(Option<BenchRunId>),
    /// Adds a reading by hand at a pin.
    AddReading(SensePinId, Reading),
    /// Takes a reading by hand at a pin away, by its place.
    DropReading(SensePinId, usize),
    /// Takes all readings by hand at a pin away.
    DropAll(SensePinId),
    /// Hides the fault of this seed.
    Hide(u64),
    /// The rounds to compare: then and now.
    Compare(BenchRunId, BenchRunId),
    /// Asks something of the log.
    Log(LogAsk),
}

/// Two rounds: then and now.
type Pair = (BenchRunId, BenchRunId);

/// The page shown, and the answers to it.
#[derive(Default)]
pub struct ProveStudies {
    /// The page shown.
    pub page: ProvePage,
    /// The log that is open.
    pub log: LogStudy,
    drawing: Drawing,
    plan: Kept<Plan, u64>,
    inquiry: Kept<Arc<Inquiry>, (u64, SensePinId)>,
    cause: Cause,
    /// The seed of the hidden fault.
    seed: u64,
    practice: Kept<Practice, (u64, SensePinId, u64)>,
    rounds: Option<(BenchRunId, BenchRunId)>,
    compared: Numbered<Option<(BenchRun, BenchRun)>>,
    /// What the rounds compared were last copied for.
    compared_for: Option<(Option<Revision>, Option<Pair>)>,
    wear: Kept<Vec<Wear>, (u64, u64)>,
    story: Kept<StoryAnswer, Revision>,
}

/// What the page on arming shows.
pub struct StoryAnswer {
    /// The drawing, to be asked what its pins read as.
    pub reader: Reader,
    /// What is wrong with the story.
    pub faults: Vec<StoryFault>,
    /// What follows from what was seen.
    pub told: Result<Inference, Stuck>,
}

/// Readings that are asked about, and the answer.
#[derive(Default)]
struct Cause {
    round: Option<BenchRunId>,
    by_hand: BTreeMap<SensePinId, Vec<Reading>>,
    readings: Numbered<Vec<Reading>>,
    /// What the readings were last gathered for: the project, the bench test as it was known, the pin.
    gathered_for: Option<(Option<Revision>, Option<u64>, SensePinId)>,
    report: Kept<Result<Report, String>, (u64, SensePinId, u64)>,
}

impl Cause {
    /// Readings by hand at a pin, to be changed: what counts is gathered anew.
    fn at(&mut self, pin: SensePinId) -> &mut Vec<Reading> {
        self.gathered_for = None;
        self.by_hand.entry(pin).or_default()
    }
}

/// The project without its rounds, and how often that has changed.
#[derive(Default)]
struct Drawing {
    revision: Option<Revision>,
    project: Option<Arc<Project>>,
    number: u64,
}

/// A value and how often it has changed, so that an answer for an earlier one is told apart.
#[derive(Default)]
struct Numbered<T> {
    value: T,
    number: u64,
}

impl<T: PartialEq> Numbered<T> {
    fn set(&mut self, value: T) -> u64 {
        if self.value != value {
            self.value = value;
            self.number += 1;
        }
        self.number
    }
}

impl Drawing {
    /// Looks whether more than rounds has changed since the last frame.
    fn refresh(&mut self, project: &Project, revision: Revision) -> Option<(Arc<Project>, u64)> {
        if self.revision != Some(revision) {
            self.revision = Some(revision);
            let mut bare = project.clone();
            bare.bench_runs = Table::default();
            bare.set_up = Table::default();
            bare.changes = Table::default();
            bare.story = Story::default();
            // Ids that only rounds, records and the story used up change no drawing.
            let next_id = bare.next_id;
            bare.next_id = self.project.as_deref().map_or(next_id, |kept| kept.next_id);
            if self.project.as_deref() != Some(&bare) {
                bare.next_id = next_id;
                self.project = Some(Arc::new(bare));
                self.number += 1;
            }
        }
        Some((self.project.clone()?, self.number))
    }
}

impl ProveStudies {
    /// Brings what the page shows up to date. Returns whether a worker is busy.
    pub fn refresh(
        &mut self,
        project: &Project,
        revision: Revision,
        pin: Option<SensePinId>,
    ) -> bool {
        let Some((drawing, number)) = self.drawing.refresh(project, revision) else {
            return false;
        };
        self.plan.take();
        if self.plan.wants(number) {
            let drawing = drawing.clone();
            let job = Job::start(move |leash| plan(&drawing, &|| leash.goes_on()));
            self.plan.start(number, job);
        }
        self.log.refresh((&drawing, number), pin);
        match self.page {
            ProvePage::Bench | ProvePage::SetUp => {}
            ProvePage::Arming => self.refresh_story(project, revision),
            ProvePage::Cause => self.refresh_cause(project, (&drawing, number), pin),
            ProvePage::Practice => self.refresh_practice((&drawing, number), pin),
            ProvePage::Wear => self.refresh_wear(project, (&drawing, number)),
            ProvePage::Log => {}
        }
        self.is_busy()
    }

    /// What all suspects would read at a pin.
    fn refresh_inquiry(&mut self, (drawing, number): (&Arc<Project>, u64), pin: SensePinId) {
        self.inquiry.take();
        if self.inquiry.wants((number, pin)) {
            let drawing = drawing.clone();
            let job = Job::start(move |leash| {
                Inquiry::new(&drawing, pin, &|| leash.goes_on()).map(Arc::new)
            });
            self.inquiry.start((number, pin), job);
        }
    }

    fn refresh_cause(
        &mut self,
        project: &Project,
        (drawing, number): (&Arc<Project>, u64),
        pin: Option<SensePinId>,
    ) {
        let Some(pin) = pin else { return };
        self.refresh_inquiry((drawing, number), pin);
        let known = self.plan.of(number).map(|_| number);
        let gathered_for = Some((self.drawing.revision, known, pin));
        if self.cause.gathered_for != gathered_for {
            let mut readings = self.readings_of_round(project, pin, number);
            readings.extend(self.cause.by_hand.get(&pin).into_iter().flatten().cloned());
            self.cause.readings.set(readings);
            self.cause.gathered_for = gathered_for;
        }
        self.cause.report.take();
        let key = (number, pin, self.cause.readings.number);
        let Some(inquiry) = self.inquiry.of((number, pin)).flatten() else { return };
        if self.cause.report.wants(key) {
            let (drawing, inquiry) = (drawing.clone(), inquiry.clone());
            let readings = self.cause.readings.value.clone();
            let job = Job::start(move |leash| {
                match inquiry.diagnose(&drawing, &readings, &|| leash.goes_on()) {
                    Ok(found) => found.map(|found| Ok(Report::of(&drawing, &inquiry, &found))),
                    Err(why) => Some(Err(why)),
                }
            });
            self.cause.report.start(key, job);
        }
    }

    /// Readings of the round at this pin that still hold for the drawing.
    fn readings_of_round(&self, project: &Project, pin: SensePinId, number: u64) -> Vec<Reading> {
        let run = self.cause.round.and_then(|id| project.bench_runs.get(id));
        let plan = self.plan.of(number).flatten();
        let terminal = project.sense_pins.get(pin).map(|pin| pin.terminal);
        let (Some(run), Some(plan)) = (run, plan) else { return Vec::new() };
        let reading = |step: &crate::proving::plan::Step| {
            let is_at_pin = matches!(step.kind, StepKind::Ohms | StepKind::Volts);
            let kept = run.readings.get(&step.key).filter(|_| is_at_pin && step.red == terminal)?;
            let is_fresh = matches!(standing(step, Some(kept)), Standing::Read(_));
            Some(Reading {
                state: step.state.clone().filter(|_| is_fresh)?,
                shown: kept.shown?,
                last_digit: kept.last_digit,
            })
        };
        plan.steps.iter().filter_map(reading).collect()
    }

    fn refresh_practice(
        &mut self,
        (drawing, number): (&Arc<Project>, u64),
        pin: Option<SensePinId>,
    ) {
        let Some(pin) = pin else { return };
        self.refresh_inquiry((drawing, number), pin);
        self.practice.take();
        let key = (number, pin, self.seed());
        let Some(inquiry) = self.inquiry.of((number, pin)).flatten() else { return };
        if self.practice.wants(key) {
            let (drawing, inquiry) = (drawing.clone(), inquiry.clone());
            let job = Job::start(move |leash| {
                Practice::hide(&drawing, &inquiry, key.2, &|| leash.goes_on())
            });
            self.practice.start(key, job);
        }
    }

    fn refresh_wear(&mut self, project: &Project, (drawing, number): (&Arc<Project>, u64)) {
        let rounds = self.rounds(project);
        let compared_for = Some((self.drawing.revision, rounds));
        if self.compared_for != compared_for {
            let of = |id| project.bench_runs.get(id).cloned();
            self.compared.set(rounds.and_then(|(then, now)| Some((of(then)?, of(now)?))));
            self.compared_for = compared_for;
        }
        self.wear.take();
        let key = (number, self.compared.number);
        let Some(pair) = &self.compared.value else { return };
        let Some(plan) = self.plan.of(number).flatten() else { return };
        if self.wear.wants(key) {
            let (drawing, plan, pair) = (drawing.clone(), plan.clone(), pair.clone());
            let job = Job::start(move |leash| {
                wear(&drawing, &plan, (&pair.0, &pair.1), &|| leash.goes_on())
            });
            self.wear.start(key, job);
        }
    }

    fn refresh_story(&mut self, project: &Project, revision: Revision) {
        self.story.take();
        if self.story.wants(revision) {
            let project = project.clone();
            let job = Job::start(move |leash| {
                let reader = Reader::new(&project);
                let told = infer(&Machine::new(&project, &reader), &|| leash.goes_on());
                (told != Err(Stuck::Stopped)).then(|| StoryAnswer {
                    faults: story_faults(&project),
                    told,
                    reader,
                })
            });
            self.story.start(revision, job);
        }
    }

    /// The arming story; `None` while it is worked out, `Some(None)` where that failed.
    pub fn story(&self, revision: Revision) -> Option<Option<&StoryAnswer>> {
        self.story.of(revision)
    }

    /// Takes what is asked.
    pub fn ask(&mut self, ask: ProveAsk) {
        match ask {
            ProveAsk::TakeRound(round) => {
                self.cause.round = round;
                self.cause.gathered_for = None;
            }
            ProveAsk::AddReading(pin, reading) => self.cause.at(pin).push(reading),
            ProveAsk::DropReading(pin, n) => {
                let by_hand = self.cause.at(pin);
                if n < by_hand.len() {
                    by_hand.remove(n);
                }
            }
            ProveAsk::DropAll(pin) => self.cause.at(pin).clear(),
            ProveAsk::Hide(seed) => self.seed = seed,
            ProveAsk::Compare(then, now) => self.rounds = Some((then, now)),
            ProveAsk::Log(ask) => self.log.ask(&ask),
        }
    }

    /// Forgets what belonged to a project that is put away.
    pub fn forget(&mut self) {
        let mut log = std::mem::take(&mut self.log);
        log.forget_project();
        let drawing = std::mem::take(&mut self.drawing);
        *self = Self { page: self.page, log, drawing, ..Self::default() };
    }

    /// The bench test; `None` while it is made, `Some(None)` where that failed.
    pub fn plan(&self, revision: Revision) -> Option<Option<&Plan>> {
        self.plan.of(self.number(revision)?)
    }

    /// What all suspects would read; `None` while that is reckoned, `Some(None)` where the pin
    /// cannot be diagnosed.
    pub fn inquiry(&self, revision: Revision, pin: SensePinId) -> Option<Option<&Arc<Inquiry>>> {
        self.inquiry.of((self.number(revision)?, pin))
    }

    /// The round whose readings count for the cause.
    pub fn round(&self) -> Option<BenchRunId> {
        self.cause.round
    }

    /// Readings that count for the cause at a pin; those by hand are the last ones. None where they
    /// are still those of another pin.
    pub fn readings(&self, pin: SensePinId) -> (&[Reading], usize) {
        match self.cause.gathered_for {
            Some((.., of)) if of == pin => {
                let n_by_hand = self.cause.by_hand.get(&pin).map_or(0, Vec::len);
                (&self.cause.readings.value, n_by_hand)
            }
            Some(_) | None => (&[], 0),
        }
    }

    /// What the readings come to; `None` while that is reckoned.
    pub fn report(
        &self,
        revision: Revision,
        pin: SensePinId,
    ) -> Option<Option<&Result<Report, String>>> {
        let key = (self.number(revision)?, pin, self.cause.readings.number);
        self.cause.report.of(key)
    }

    /// The seed of the hidden fault; the first is 1.
    pub fn seed(&self) -> u64 {
        self.seed.max(1)
    }

    /// The machine with the hidden fault; `None` while it is built, `Some(None)` where nothing can
    /// be hidden.
    pub fn practice(&self, revision: Revision, pin: SensePinId) -> Option<Option<&Practice>> {
        self.practice.of((self.number(revision)?, pin, self.seed()))
    }

    /// The rounds that are compared: those picked, else the likely ones.
    pub fn rounds(&self, project: &Project) -> Option<(BenchRunId, BenchRunId)> {
        let is_there = |id| project.bench_runs.contains(id);
        let picked = self.rounds.filter(|(then, now)| is_there(*then) && is_there(*now));
        picked.or_else(|| likely_rounds(project))
    }

    /// What two rounds say; `None` while that is reckoned or there are no two.
    pub fn wear(&self, revision: Revision) -> Option<Option<&[Wear]>> {
        let found = self.wear.of((self.number(revision)?, self.compared.number))?;
        Some(found.map(Vec::as_slice))
    }

    /// The number of the drawing, where it is that of this revision: the same as long as only rounds,
    /// records and the story change.
    pub fn number(&self, revision: Revision) -> Option<u64> {
        (self.drawing.revision == Some(revision)).then_some(self.drawing.number)
    }

    /// Whether a worker is at work.
    pub fn is_busy(&self) -> bool {
        self.plan.is_busy()
            || self.inquiry.is_busy()
            || self.cause.report.is_busy()
            || self.practice.is_busy()
            || self.wear.is_busy()
            || self.story.is_busy()
            || self.log.is_busy()
    }
}
