//! What-ifs on worker threads: faults, dirt budgets, best values.
//!
//! Every answer carries what it was asked for and is dropped when that is no longer wanted. A worker
//! is told to stop as soon as nobody waits for it; dropping its job does that. One that panics loses
//! nothing but its answer.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::sync::{Arc, Mutex};

use crate::app::action::Stage;
use crate::app::as_if::AsIf;
use crate::app::break_studies::BreakStudies;
use crate::app::cut_studies::CutStudies;
use crate::app::prove_studies::ProveStudies;
use crate::edit::Revision;
use crate::model::{Project, SensePinId, State};
use crate::study::budget::{Budget, budget};
use crate::study::faults::{Parting, Survey, survey};
use crate::study::values::{Answer, Progress, Question, Room, choose};

/// What an answer belongs to.
pub type Key = (Revision, SensePinId);

/// Measurements by the row they part a fault from; `None` where none does.
type Partings = Vec<(usize, Option<Parting>)>;

/// Not more twins than this are told apart.
const MAX_PARTED: usize = 4;

/// The outcome of a search for the best values, with what was asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Choices {
    /// The question.
    pub question: Question,
    /// The answer, or why there is none.
    pub answer: Result<Answer, String>,
}

/// All what-ifs.
#[derive(Default)]
pub struct Studies {
    /// What stage Break asks beside the faults.
    pub breaking: BreakStudies,
    /// The fault the circuit is shown with.
    pub as_if: AsIf,
    /// What stage Cut asks.
    pub cutting: CutStudies,
    /// What stage Prove asks.
    pub proving: ProveStudies,
    faults: Kept<Survey>,
    budget: Kept<Budget>,
    room: Kept<Room>,
    partings: Option<(Key, usize, Partings)>,
    parting: Option<(Key, usize, Job<Partings>)>,
    choices: Option<(Revision, Choices)>,
    seeking: Option<(Revision, Job<Choices>)>,
}

/// One study: its answer and what it is for, and the worker that is at the next one.
pub(super) struct Kept<T, K = Key> {
    answer: Option<(K, Option<T>)>,
    job: Option<(K, Job<Option<T>>)>,
}

impl<T, K> Default for Kept<T, K> {
    fn default() -> Self {
        Self { answer: None, job: None }
    }
}

/// A worker that can be stopped. Dropping it stops it.
pub(super) struct Job<T> {
    answer: Receiver<T>,
    stop: Arc<AtomicBool>,
    progress: Arc<Mutex<Option<Progress>>>,
}

impl<T> Drop for Job<T> {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// What a worker looks at: whether it should stop, and where it says how far it is.
pub(super) struct Leash {
    stop: Arc<AtomicBool>,
    progress: Arc<Mutex<Option<Progress>>>,
}

impl Leash {
    /// Whether somebody still waits for the answer.
    pub(super) fn goes_on(&self) -> bool {
        !self.stop.load(Ordering::Relaxed)
    }

    fn tell(&self, progress: Progress) {
        // A poisoned lock means the window has gone; nobody reads it then.
        if let Ok(mut shown) = self.progress.lock() {
            *shown = Some(progress);
        }
    }
}

impl<T: Send + 'static> Job<T> {
    /// Puts a worker to it.
    pub(super) fn start(work: impl FnOnce(&Leash) -> T + Send + 'static) -> Self {
        let (send, answer) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let progress = Arc::new(Mutex::new(None));
        let leash = Leash { stop: stop.clone(), progress: progress.clone() };
        std::thread::spawn(move || {
            // A panic drops the sender, which ends the wait; the window goes on.
            if let Ok(answer) = catch_unwind(AssertUnwindSafe(|| work(&leash))) {
                // Where nobody listens any more the answer is not wanted.
                let _ = send.send(answer);
            }
        });
        Self { answer, stop, progress }
    }
}

impl<T: Send + 'static, K: Copy + PartialEq> Kept<T, K> {
    /// Takes an answer in, if one has come.
    pub(super) fn take(&mut self) {
        let Some((of, job)) = &self.job else { return };
        match job.answer.try_recv() {
            Ok(answer) => {
                self.answer = Some((*of, answer));
                self.job = None;
            }
            Err(TryRecvError::Disconnected) => {
                self.answer = Some((*of, None));
                self.job = None;
            }
            Err(TryRecvError::Empty) => {}
        }
    }

    /// Whether the answer is neither known nor on its way.
    pub(super) fn wants(&self, key: K) -> bool {
        let is_known = self.answer.as_ref().is_some_and(|(of, _)| *of == key);
        let is_coming = self.job.as_ref().is_some_and(|(of, _)| *of == key);
        !is_known && !is_coming
    }

    /// Waits for this worker; one that was at something else is stopped.
    pub(super) fn start(&mut self, key: K, job: Job<Option<T>>) {
        self.job = Some((key, job));
    }

    /// Whether a worker is at work.
    pub(super) fn is_busy(&self) -> bool {
        self.job.is_some()
    }

    /// The answer to this very question; the inner `None` says that there is none to be had.
    pub(super) fn of(&self, key: K) -> Option<Option<&T>> {
        let (_, answer) = self.answer.as_ref().filter(|(of, _)| *of == key)?;
        Some(answer.as_ref())
    }
}

impl<T: Send + 'static> Kept<T> {
    /// Takes an answer in, and starts a worker where another one is wanted. Returns whether one is busy.
    fn refresh(
        &mut self,
        project: &Project,
        key: Key,
        work: fn(&Project, SensePinId, &Leash) -> Option<T>,
    ) -> bool {
        self.take();
        if self.wants(key) {
            let project = project.clone();
            self.start(key, Job::start(move |leash| work(&project, key.1, leash)));
        }
        self.is_busy()
    }
}

impl Studies {
    /// Brings what the stage shows up to date. Returns whether a worker is busy.
    pub fn refresh(
        &mut self,
        project: &Project,
        (revision, pin): (Revision, Option<SensePinId>),
        (stage, bench): (Stage, &State),
    ) -> bool {
        if let Some((asked_at, job)) = &self.seeking {
            match job.answer.try_recv() {
                Ok(choices) => {
                    self.choices = Some((*asked_at, choices));
                    self.seeking = None;
                }
                Err(TryRecvError::Disconnected) => self.seeking = None,
                Err(TryRecvError::Empty) => {}
            }
        }
        if let Some((key, row, job)) = &self.parting {
            match job.answer.try_recv() {
                Ok(partings) => {
                    self.partings = Some((*key, *row, partings));
                    self.parting = None;
                }
                Err(TryRecvError::Disconnected) => self.parting = None,
                Err(TryRecvError::Empty) => {}
            }
        }
        if stage == Stage::Cut {
            // What is cut needs no pin.
            let is_busy = self.cutting.refresh(project, revision);
            return is_busy || self.seeking.is_some() || self.parting.is_some();
        }
        if stage == Stage::Prove {
            // A bench test needs no pin.
            let is_busy = self.proving.refresh(project, revision, pin);
            return is_busy || self.seeking.is_some() || self.parting.is_some();
        }
        let Some(pin) = pin else {
            // A permit loop needs no pin.
            let is_asked = stage == Stage::Break;
            let is_busy = is_asked && self.breaking.refresh(project, revision, (None, None));
            return is_busy || self.seeking.is_some();
        };
        let key = (revision, pin);
        let is_shown = self.as_if.title().is_some();
        let is_seeking = (is_shown || stage == Stage::Break)
            && self.faults.refresh(project, key, |project, pin, leash| {
                survey(project, pin, &|| leash.goes_on())
            });
        if is_shown {
            self.as_if.refresh(project, key, self.faults.of(key).flatten(), bench);
        }
        let is_busy = match stage {
            Stage::Choose => {
                let is_busy = self.room.refresh(project, key, |project, pin, l| {
                    Room::of(project, pin, &|| l.goes_on())
                });
                self.budget.refresh(project, key, |project, pin, _| budget(project, pin)) || is_busy
            }
            Stage::Break => {
                let survey = self.faults.of(key).flatten();
                self.breaking.refresh(project, revision, (Some(pin), survey))
            }
            Stage::Sketch | Stage::Read | Stage::Route | Stage::Cut | Stage::Prove => false,
        };
        is_busy || is_seeking || self.seeking.is_some() || self.parting.is_some()
    }

    /// Faults of a pin; `None` while they are being sought, `Some(None)` where there is nothing to seek.
    pub fn faults(&self, revision: Revision, pin: SensePinId) -> Option<Option<&Survey>> {
        self.faults.of((revision, pin))
    }

    /// Dirt budget of a pin; `None` and `Some(None)` as for [`Studies::faults`].
    pub fn budget(&self, revision: Revision, pin: SensePinId) -> Option<Option<&Budget>> {
        self.budget.of((revision, pin))
    }

    /// What a pin has room for; `None` and `Some(None)` as for [`Studies::faults`].
    pub fn room(&self, revision: Revision, pin: SensePinId) -> Option<Option<&Room>> {
        self.room.of((revision, pin))
    }

    /// Starts to look for what parts a fault from its twins.
    pub fn part(&mut self, project: &Project, key: Key, row: usize) {
        let Some(survey) = self.faults.of(key).flatten().cloned() else { return };
        if self.partings.as_ref().is_some_and(|(of, known, _)| (*of, *known) == (key, row)) {
            return;
        }
        let project = project.clone();
        let job = Job::start(move |leash| {
            let twins = survey.twins_of(row).into_iter().take(MAX_PARTED);
            twins
                .take_while(|_| leash.goes_on())
                .map(|other| (other, survey.parting(&project, row, other)))
                .collect()
        });
        self.parting = Some((key, row, job));
    }

    /// What parts a fault from its twins, once it is known.
    pub fn partings(&self, key: Key, row: usize) -> Option<&[(usize, Option<Parting>)]> {
        let (_, _, found) =
            self.partings.as_ref().filter(|(of, known, _)| (*of, *known) == (key, row))?;
        Some(found)
    }

    /// The last search for the best values, and the revision it was asked of.
    pub fn choices(&self) -> Option<(Revision, &Choices)> {
        self.choices.as_ref().map(|(revision, choices)| (*revision, choices))
    }

    /// Starts to look for the best values.
    pub fn seek(&mut self, project: &Project, revision: Revision, question: Question) {
        self.choices = None;
        let project = project.clone();
        let job = Job::start(move |leash| {
            let answer = choose(&project, &question, &mut |progress| {
                leash.tell(progress);
                leash.goes_on()
            });
            Choices { question, answer }
        });
        self.seeking = Some((revision, job));
    }

    /// Gives the search up; what it has found until then is shown when it answers.
    pub fn stop_seeking(&mut self) {
        if let Some((_, job)) = &self.seeking {
            job.stop.store(true, Ordering::Relaxed);
        }
    }

    /// Whether a worker is at work.
    pub fn is_busy(&self) -> bool {
        self.faults.job.is_some()
            || self.budget.job.is_some()
            || self.room.job.is_some()
            || self.seeking.is_some()
            || self.parting.is_some()
            || self.breaking.is_busy()
            || self.cutting.is_busy()
            || self.proving.is_busy()
    }

    /// How far the search is; `None` where none runs.
    pub fn progress(&self) -> Option<Option<Progress>> {
        let (_, job) = self.seeking.as_ref()?;
        Some(job.progress.lock().ok().and_then(|progress| *progress))
    }
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::*;
    use crate::model::PartKind;
    use crate::samples;
    use crate::series::Series;
    use crate::study::values::{Bands, from_series};

    /// Frames until nothing is busy.
    fn settle(studies: &mut Studies, project: &Project, key: Key, stage: Stage) {
        let start = Instant::now();
        while studies.refresh(project, (key.0, Some(key.1)), (stage, &State::rest())) {
            assert!(start.elapsed() < Duration::from_secs(60), "no answer came");
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    fn sprayer() -> (Project, SensePinId, Question) {
        let project = samples::open("sprayer").unwrap();
        let pin = project.sense_pins.ids().next().unwrap();
        let is_resistor = |kind: &PartKind| matches!(kind, PartKind::Resistor(_));
        let parts = project
            .parts
            .iter()
            .filter(|(_, part)| is_resistor(&part.kind))
            .map(|(id, _)| id)
            .collect();
        let candidates = from_series(Series::E96, 100.0, 99e3, 0.01);
        let question =
            Question { pin, parts, candidates, drift: 0.006, bands: Bands::Free, unit: None };
        (project, pin, question)
    }

    #[test]
    fn answers_belong_to_their_revision() {
        let (project, pin, _) = sprayer();
        let mut studies = Studies::default();
        settle(&mut studies, &project, (Revision(1), pin), Stage::Break);
        assert!(studies.faults(Revision(1), pin).flatten().is_some());
        assert!(studies.faults(Revision(2), pin).is_none());
        assert!(studies.budget(Revision(1), pin).is_none(), "nobody looks at it");
        settle(&mut studies, &project, (Revision(2), pin), Stage::Choose);
        assert!(studies.budget(Revision(2), pin).flatten().is_some());
    }

    #[test]
    fn a_search_that_is_given_up_answers_soon_with_what_it_has() {
        let (project, pin, question) = sprayer();
        let mut studies = Studies::default();
        studies.seek(&project, Revision(1), question);
        let now = (Stage::Sketch, &State::rest());
        assert!(studies.refresh(&project, (Revision(1), Some(pin)), now));
        studies.stop_seeking();
        settle(&mut studies, &project, (Revision(1), pin), Stage::Sketch);
        let answer = studies.choices().unwrap().1.answer.as_ref().unwrap();
        assert!(!answer.is_proven);
        assert!(studies.progress().is_none());
    }
}
