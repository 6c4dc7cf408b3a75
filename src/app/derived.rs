//! Results of the project and the bench, kept until what they come from changes.
//!
//! Small projects are reckoned within the frame. Large ones go to a worker thread: its answer
//! carries the revision it belongs to and is dropped when the project has moved on, so a late
//! answer is never shown as current. A worker that panics loses nothing but its answer.

use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use crate::app::meter::{MeterMode, MeterState};
use crate::app::routes::Routes;
use crate::check;
use crate::cutting::{CutList, cut_list};
use crate::edit::Revision;
use crate::model::{Diagnostic, Part, PartId, PartKind, Project, SensePinId, State, WireId};
use crate::sense::{Eater, Judge, MeterReading, PinTable, Reader, Run, StateRow};

/// Above this many states times parts the tables are reckoned by a worker: about 2 ms of work.
const INLINE_WORK: usize = 40_000;

/// What one pin reads now.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PinLive {
    /// The reading and its decode.
    pub row: Option<StateRow>,
    /// The sum in words.
    pub working: Vec<String>,
    /// Parts on the live path.
    pub parts: BTreeSet<PartId>,
    /// Wires on the live path.
    pub wires: BTreeSet<WireId>,
    /// What eats the margin.
    pub eaters: Vec<Eater>,
}

/// A worker at one revision.
struct Job {
    revision: Revision,
    answer: Receiver<Option<Result<Results, String>>>,
    watch: Arc<Watch>,
}

/// What window and worker tell each other.
#[derive(Default)]
struct Watch {
    is_cancelled: AtomicBool,
    /// States judged so far.
    judged: AtomicUsize,
    /// States of the tables begun so far.
    begun: AtomicUsize,
}

impl Watch {
    fn is_cancelled(&self) -> bool {
        self.is_cancelled.load(Ordering::Relaxed)
    }
}

/// Everything reckoned from one revision.
struct Results {
    reader: Reader,
    tables: BTreeMap<SensePinId, PinTable>,
    cut_list: CutList,
    routes: Arc<Routes>,
    findings: Vec<Diagnostic>,
    cautions: Vec<String>,
}

/// All results, with what they were reckoned from.
#[derive(Default)]
pub struct Derived {
    /// Revision of `results`.
    revision: Revision,
    results: Option<Arc<Results>>,
    bench: Option<State>,
    live: BTreeMap<SensePinId, PinLive>,
    /// Relays that have pulled.
    pulled: BTreeSet<PartId>,
    meter_of: Option<MeterState>,
    meter: Option<MeterReading>,
    job: Option<Job>,
    /// Results nobody looks at any more: the next worker lets go of them, for with thousands of
    /// wires that alone takes milliseconds.
    spent: Vec<Arc<Results>>,
    /// What went wrong in a worker, until the next revision.
    failed: Option<String>,
    /// What can hurt someone; kept while newer results of the same project are on their way.
    cautions: Vec<String>,
}

impl Derived {
    /// Brings all results up to date, or starts what takes longer. Returns whether a worker is busy.
    pub fn refresh(
        &mut self,
        project: &Project,
        revision: Revision,
        bench: &State,
        meter: &MeterState,
    ) -> bool {
        if self.revision != revision || self.results.is_none() {
            self.take_answer(project, revision);
        }
        if self.revision != revision || self.results.is_none() {
            self.reckon(project, revision);
        }
        if self.revision == revision && self.bench.as_ref() != Some(bench) {
            self.read_bench(project, bench);
        }
        if self.revision == revision && (self.meter_of != Some(*meter)) {
            self.read_meter(bench, meter);
        }
        self.job.is_some()
    }

    /// That results are on their way, and how far they are: `Reckoning… 4096 of 65536 states`.
    pub fn waiting_words(&self) -> String {
        let watch = self.job.as_ref().map(|job| &job.watch);
        let [judged, begun] = watch.map_or([0, 0], |watch| {
            [&watch.judged, &watch.begun].map(|count| count.load(Ordering::Relaxed))
        });
        if begun < 4 * STRETCH {
            return "Reckoning…".into();
        }
        format!("Reckoning… {judged} of {begun} states")
    }

    /// Whether the results belong to this revision.
    pub fn is_current(&self, revision: Revision) -> bool {
        self.revision == revision && self.results.is_some()
    }

    /// All states of one pin.
    pub fn table(&self, pin: SensePinId) -> Option<&PinTable> {
        self.results.as_ref()?.tables.get(&pin)
    }

    /// What one pin reads now.
    pub fn live(&self, pin: SensePinId) -> Option<&PinLive> {
        self.live.get(&pin)
    }

    /// Relays that have pulled now.
    pub fn pulled(&self) -> &BTreeSet<PartId> {
        &self.pulled
    }

    /// The cut list.
    pub fn cut_list(&self) -> Option<&CutList> {
        Some(&self.results.as_ref()?.cut_list)
    }

    /// Which runs the wires take.
    pub fn routes(&self) -> Option<&Arc<Routes>> {
        Some(&self.results.as_ref()?.routes)
    }

    /// Every finding about the project.
    pub fn findings(&self) -> &[Diagnostic] {
        self.results.as_ref().map_or(&[], |results| results.findings.as_slice())
    }

    /// What can hurt someone, in the order it matters; the last known where the newest is on its way.
    pub fn cautions(&self) -> &[String] {
        &self.cautions
    }

    /// What the meter shows; `None` while a lead is off.
    pub fn meter(&self) -> Option<&MeterReading> {
        self.meter.as_ref()
    }

    /// What went wrong while reckoning, if anything did.
    pub fn failure(&self) -> Option<&str> {
        self.failed.as_deref()
    }

    /// Looks whether the worker has answered, and keeps the answer only if it is still wanted.
    fn take_answer(&mut self, project: &Project, wanted: Revision) {
        let Some(job) = &self.job else { return };
        let revision = job.revision;
        if revision != wanted {
            // Nobody waits for it any more; it gives up at the next stretch.
            job.watch.is_cancelled.store(true, Ordering::Relaxed);
        }
        match job.answer.try_recv() {
            Ok(Some(answer)) if revision == wanted => {
                self.job = None;
                self.keep(answer, project, revision);
            }
            Ok(answer) => {
                self.job = None;
                self.spent.extend(answer.and_then(Result::ok).map(Arc::new));
            }
            Err(TryRecvError::Disconnected) => self.job = None,
            // Also when the project has moved on: one worker at a time, however fast a hand drags.
            Err(TryRecvError::Empty) => {}
        }
    }

    fn reckon(&mut self, project: &Project, revision: Revision) {
        if self.job.is_some() {
            return;
        }
        if self.failed.is_some() && self.revision == revision {
            return;
        }
        self.failed = None;
        if is_quick(project) {
            if let Some(answer) = guarded(project, &Watch::default()) {
                self.keep(answer, project, revision);
            }
            self.spent.clear();
            return;
        }
        if self.results.is_none() {
            // Nobody has to wait for what can hurt someone.
            self.cautions = check::cautions(project);
        }
        let (send, answer) = channel();
        let project = project.clone();
        let watch = Arc::new(Watch::default());
        let told = Arc::clone(&watch);
        let spent = std::mem::take(&mut self.spent);
        std::thread::spawn(move || {
            drop(spent);
            // The window may have closed or moved on; then nobody listens, and that is fine.
            let _ = send.send(guarded(&project, &told));
        });
        self.job = Some(Job { revision, answer, watch });
    }

    fn keep(&mut self, answer: Result<Results, String>, project: &Project, revision: Revision) {
        self.revision = revision;
        self.bench = None;
        self.meter_of = None;
        self.spent.extend(self.results.take());
        match answer {
            Ok(mut results) => {
                self.cautions = std::mem::take(&mut results.cautions);
                self.results = Some(Arc::new(results));
            }
            Err(sentence) => {
                // What is left of the revision before must not be shown as this one's.
                self.failed = Some(sentence);
                self.cautions = check::cautions(project);
                self.live.clear();
                self.pulled.clear();
                self.meter = None;
            }
        }
    }

    fn read_bench(&mut self, project: &Project, bench: &State) {
        let Some(results) = self.results.clone() else { return };
        self.live = project
            .sense_pins
            .ids()
            .map(|pin| {
                let (parts, wires) = results.reader.live(pin, bench);
                let row = results.reader.row(pin, bench);
                let working = results.reader.working(pin, bench);
                let eaters = results.reader.eaters(pin, bench);
                (pin, PinLive { row, working, parts, wires, eaters })
            })
            .collect();
        self.pulled = results.reader.pulled(bench);
        self.bench = Some(bench.clone());
        self.meter_of = None;
    }

    fn read_meter(&mut self, bench: &State, meter: &MeterState) {
        let Some(results) = &self.results else { return };
        self.meter = meter.red.zip(meter.black).map(|(red, black)| match meter.mode {
            MeterMode::Ohm => results.reader.meter_ohm(bench, red, black),
            MeterMode::Volt => results.reader.meter_volt(bench, red, black),
        });
        self.meter_of = Some(*meter);
    }
}

/// Whether it is reckoned within the frame: little work, and no bundle that must be packed with a search.
fn is_quick(project: &Project) -> bool {
    work(project) <= INLINE_WORK && check::bundles_to_search(project) == 0
}

/// Rough measure of the work: states of all pins times parts.
fn work(project: &Project) -> usize {
    let states = project
        .controls
        .iter()
        .map(|(_, control)| control.positions.len())
        .fold(1usize, |product, n| product.saturating_mul(n));
    let size = project.parts.len() + project.wires.len();
    // Routes, bundles, drops and feeds weigh far more than a part of the drawing alone.
    let each = if project.runs.is_empty() { 20 } else { 300 };
    // Where diodes and relays decide, every state is solved some eighty times.
    let is_element = |part: &Part| matches!(part.kind, PartKind::Element(_));
    let weight = if project.parts.iter().any(|(_, part)| is_element(part)) { 1_000 } else { 1 };
    states
        .saturating_mul(project.sense_pins.len())
        .saturating_mul(weight)
        .saturating_add(size.saturating_mul(each))
}

/// Reckons everything; a panic becomes a sentence. `None` where it was cancelled.
fn guarded(project: &Project, watch: &Watch) -> Option<Result<Results, String>> {
    let outcome = catch_unwind(AssertUnwindSafe(|| {
        let reader = Reader::new(project);
        let run: Run<'_> = &|count, judge| on_two_cores(count, judge, watch);
        let mut tables: BTreeMap<SensePinId, PinTable> = BTreeMap::new();
        for pin in project.sense_pins.ids() {
            tables.extend(reader.table_by(pin, run).map(|table| (pin, table)));
            if watch.is_cancelled() {
                return None;
            }
        }
        let findings = check::findings_from(project, &reader, &tables.values().collect::<Vec<_>>());
        if watch.is_cancelled() {
            return None;
        }
        let routes = Arc::new(Routes::of(project));
        if watch.is_cancelled() {
            return None;
        }
        let cautions = check::cautions(project);
        Some(Results { tables, cut_list: cut_list(project), routes, findings, cautions, reader })
    }));
    match outcome {
        Ok(None) => None,
        Ok(Some(results)) => Some(Ok(results)),
        Err(_) => Some(Err(FAILED.into())),
    }
}

/// What is said when a worker panicked.
const FAILED: &str =
    "the readings could not be reckoned; the drawing is unharmed, undo the last step or report it";

/// States judged between two looks at whether anybody still waits.
const STRETCH: usize = 512;

/// Shares the states of a table out over two threads where that pays. `None` where it was cancelled.
fn on_two_cores(count: usize, judge: Judge<'_>, watch: &Watch) -> Option<Vec<StateRow>> {
    watch.begun.fetch_add(count, Ordering::Relaxed);
    let judge_all = |from: usize, to: usize| {
        let mut rows = Vec::with_capacity(to - from);
        for at in (from..to).step_by(STRETCH) {
            if watch.is_cancelled() {
                return None;
            }
            rows.extend(judge(at..to.min(at + STRETCH)));
            watch.judged.fetch_add(to.min(at + STRETCH) - at, Ordering::Relaxed);
        }
        Some(rows)
    };
    if count < 4 * STRETCH {
        return judge_all(0, count);
    }
    let half = count / 2;
    std::thread::scope(|scope| {
        let last = scope.spawn(|| judge_all(half, count));
        let mut rows = judge_all(0, half);
        match last.join() {
            Ok(more) => {
                let (all, more) = (rows.as_mut()?, more?);
                all.extend(more);
                rows
            }
            Err(panic) => std::panic::resume_unwind(panic),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;
    use crate::testing::parallel_ladder;

    fn refreshed(derived: &mut Derived, project: &Project, revision: u64) -> bool {
        derived.refresh(project, Revision(revision), &State::rest(), &MeterState::default())
    }

    #[test]
    fn a_revision_that_could_not_be_reckoned_shows_nothing_of_the_one_before() {
        let project = samples::open("forwarder").unwrap();
        let mut derived = Derived::default();
        refreshed(&mut derived, &project, 1);
        assert!(derived.is_current(Revision(1)) && derived.cut_list().is_some());
        derived.keep(Err("no".into()), &project, Revision(2));
        assert!(!refreshed(&mut derived, &project, 2));
        assert!(!derived.is_current(Revision(2)));
        assert!(derived.cut_list().is_none() && derived.findings().is_empty());
        assert_eq!(derived.cautions(), check::cautions(&project));
        assert_eq!(derived.failure(), Some("no"));
        refreshed(&mut derived, &project, 3);
        assert!(derived.is_current(Revision(3)) && derived.failure().is_none());
    }

    #[test]
    fn a_late_answer_is_dropped_and_no_second_worker_starts_beside_the_first() {
        let project = samples::open("forwarder").unwrap();
        let mut derived = Derived::default();
        let (send, answer) = channel();
        let watch = Arc::new(Watch::default());
        let told = Arc::clone(&watch);
        derived.job = Some(Job { revision: Revision(1), answer, watch });
        assert!(refreshed(&mut derived, &project, 2), "the first worker is still busy");
        assert!(told.is_cancelled(), "and is told that nobody waits for it");
        assert!(!derived.is_current(Revision(2)));
        send.send(guarded(&Project::empty("older"), &Watch::default())).unwrap();
        assert!(!refreshed(&mut derived, &project, 2));
        assert!(derived.is_current(Revision(2)));
        assert_eq!(derived.cut_list().map(|list| list.rows.len()), Some(7));
    }

    /// Counts what is done in the frame: a bundle that must be searched is left to the worker.
    #[test]
    fn a_bundle_that_must_be_searched_never_keeps_the_window_waiting() {
        let mut project = samples::open("sprayer").unwrap();
        let mut derived = Derived::default();
        assert!(!refreshed(&mut derived, &project, 1), "all of it is done in the frame");
        let ids: Vec<WireId> = project.wires.ids().collect();
        for (n, id) in ids.into_iter().enumerate() {
            project.wires.get_mut(id).unwrap().make.outside_mm = Some(1.4 + 0.37 * n as f64);
        }
        let lengths = crate::harness::wire_lengths(&project);
        let reports = crate::harness::run_reports_of(
            &project,
            &lengths,
            crate::harness::Effort::Quick,
            &|run| project.runs.get(run).is_some_and(|run| run.laid.hole.is_some()),
        );
        let (run, report) = reports.iter().next().unwrap();
        let size = report.size.clone().unwrap();
        let thicker = report.outside_mm.unwrap() - size.diameter_mm;
        let hole = project.runs.get_mut(*run).unwrap().laid.hole.as_mut().unwrap();
        hole.bore_mm = (size.diameter_mm + size.lower_mm) / 2.0 + thicker;
        assert_eq!(check::bundles_to_search(&project), 1);
        assert!(refreshed(&mut derived, &project, 2), "the search is the worker's");
        let mut opened = Derived::default();
        assert!(refreshed(&mut opened, &project, 1));
        assert_eq!(opened.cautions(), check::cautions(&project), "cautions never wait");
        assert!(!derived.is_current(Revision(2)));
        for _ in 0..2_000 {
            if !refreshed(&mut derived, &project, 2) {
                break;
            }
            std::thread::sleep(std::time::Duration::from_millis(10));
        }
        assert!(derived.is_current(Revision(2)));
    }

    #[test]
    fn two_cores_make_the_table_of_one_and_stop_when_told() {
        let (sketch, pin) = parallel_ladder(&[1000.0; 13], 5000.0);
        let reader = Reader::new(&sketch.project);
        let go = Watch::default();
        let shared = reader.table_by(pin, &|count, judge| on_two_cores(count, judge, &go));
        assert_eq!(shared, reader.table(pin));
        assert_eq!(go.judged.load(Ordering::Relaxed), 8192);
        let (_, answer) = channel();
        let job = Some(Job { revision: Revision(1), answer, watch: Arc::new(go) });
        let derived = Derived { job, ..Derived::default() };
        assert_eq!(derived.waiting_words(), "Reckoning… 8192 of 8192 states");
        let stop = Watch { is_cancelled: AtomicBool::new(true), ..Watch::default() };
        let stopped = reader.table_by(pin, &|count, judge| on_two_cores(count, judge, &stop));
        assert_eq!(stopped, None);
        assert!(guarded(&sketch.project, &stop).is_none());
    }
}
