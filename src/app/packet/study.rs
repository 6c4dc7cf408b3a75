//! The packet of the project as it is now: what is chosen for it, its pages, and what is being saved.
//!
//! Pages belong to a revision and to the choices they were made with. Those of before stay in sight
//! while new ones are made, and the view says so.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::app::action::{Action, Actions};
use crate::app::packet::choices::PrintChoices;
use crate::app::packet::saving::{SaveWhat, Saved, save};
use crate::app::packet::worker::{Come, Worker};
use crate::edit::Revision;
use crate::model::Project;
use crate::sheets::{Making, Packet, packet_told};

/// What pages belong to: a revision, and the count of changed choices.
type Key = (Revision, u64);

/// Everything the window knows about the packet.
#[derive(Default)]
pub struct PacketStudy {
    /// Whether the view is shown.
    pub is_open: bool,
    choices: PrintChoices,
    date: String,
    /// Counts changes of the choices.
    number: u64,
    made: Option<(Key, Arc<Packet>)>,
    making: Option<(Key, Worker<Option<Packet>, Making>)>,
    /// What was stopped or failed is not begun again by itself.
    given_up: Option<(Key, GivenUp)>,
    saving: Option<Worker<Result<String, String>, Saved>>,
    /// The pages that were there when it was asked where to save.
    asked: Option<Key>,
}

/// What is said where the pages are not those that were asked for.
const CHANGED: &str = "Not written: the project or its choices have changed; save again.";

/// Why there are no pages.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GivenUp {
    /// The user stopped it.
    Stopped,
    /// The worker panicked.
    Failed,
}

impl PacketStudy {
    /// What is chosen.
    pub fn choices(&self) -> &PrintChoices {
        &self.choices
    }

    /// The date at the foot of every page, as typed.
    pub fn date(&self) -> &str {
        &self.date
    }

    /// Takes other choices; the pages are made anew.
    pub fn choose(&mut self, choices: PrintChoices) {
        if self.choices != choices {
            self.choices = choices;
            self.number += 1;
        }
    }

    /// Takes another date.
    pub fn set_date(&mut self, date: String) {
        if self.date != date {
            self.date = date;
            self.number += 1;
        }
    }

    /// Takes answers in and starts what is wanted. Returns whether a worker is busy.
    pub fn refresh(
        &mut self,
        project: &Project,
        revision: Revision,
        actions: &mut Actions,
    ) -> bool {
        self.take_saved(actions);
        let key = (revision, self.number);
        self.take_made();
        if !self.is_open {
            // Nobody looks: dropping the worker stops it.
            self.making = None;
            return self.is_busy();
        }
        let is_made = self.made.as_ref().is_some_and(|(of, _)| *of == key);
        let is_coming = self.making.as_ref().is_some_and(|(of, _)| *of == key);
        let is_given_up = self.given_up.is_some_and(|(of, _)| of == key);
        if !is_made && !is_coming && !is_given_up {
            let (project, setup) = (project.clone(), self.choices.setup(&self.date));
            let worker = Worker::start(move |line| {
                packet_told(&project, &setup, &|| line.goes_on(), &|making| line.tell(making))
            });
            self.making = Some((key, worker));
        }
        self.is_busy()
    }

    fn take_made(&mut self) {
        let Some((key, worker)) = &self.making else { return };
        let key = *key;
        match worker.come() {
            Come::Nothing => return,
            Come::Answer(Some(packet)) => {
                if let Some((_, old)) = self.made.replace((key, Arc::new(packet))) {
                    // A thousand pages take their time to be put away; the window does not wait.
                    std::thread::spawn(move || drop(old));
                }
                self.given_up = None;
            }
            Come::Answer(None) => self.given_up = Some((key, GivenUp::Stopped)),
            Come::Failed => self.given_up = Some((key, GivenUp::Failed)),
        }
        self.making = None;
    }

    fn take_saved(&mut self, actions: &mut Actions) {
        let Some(worker) = &self.saving else { return };
        match worker.come() {
            Come::Nothing => return,
            Come::Answer(Ok(sentence)) => actions.push(Action::Say(sentence)),
            Come::Answer(Err(sentence)) => actions.push(Action::Refuse(sentence)),
            Come::Failed => {
                let sentence = "Not written: the packet could not be put together.";
                actions.push(Action::Refuse(sentence.into()));
            }
        }
        self.saving = None;
    }

    /// The pages there are, and whether they are those of this revision and these choices.
    pub fn shown(&self, revision: Revision) -> Option<(&Arc<Packet>, bool)> {
        let (key, packet) = self.made.as_ref()?;
        Some((packet, *key == (revision, self.number)))
    }

    /// How far the pages are; the inner `None` before the worker has said anything.
    pub fn making(&self) -> Option<Option<Making>> {
        Some(self.making.as_ref()?.1.progress())
    }

    /// How far the saving is.
    pub fn saving(&self) -> Option<Option<Saved>> {
        Some(self.saving.as_ref()?.progress())
    }

    /// Why there are no pages of this revision.
    pub fn given_up(&self, revision: Revision) -> Option<GivenUp> {
        let (key, why) = self.given_up?;
        (key == (revision, self.number)).then_some(why)
    }

    /// Remembers which pages it was asked for where to save.
    pub fn ask(&mut self) {
        self.asked = self.made.as_ref().map(|(key, _)| *key);
    }

    /// Writes the pages of this revision; one thing at a time.
    ///
    /// # Errors
    /// A sentence where the pages are of before, or not those for which a path was asked.
    pub fn save(
        &mut self,
        (what, path): (SaveWhat, PathBuf),
        own_file: Option<&Path>,
        revision: Revision,
    ) -> Result<(), &'static str> {
        if self.saving.is_some() {
            return Err("Not written: something else is being saved; wait or stop it.");
        }
        let now = (revision, self.number);
        let packet = match &self.made {
            Some((key, packet)) if *key == now => packet,
            Some(_) | None => return Err(CHANGED),
        };
        if self.asked.is_some_and(|asked| asked != now) {
            return Err(CHANGED);
        }
        let (packet, own) = (Arc::clone(packet), own_file.map(Path::to_owned));
        self.saving = Some(Worker::start(move |line| {
            save(&packet, (what, &path), own.as_deref(), &|saved| {
                line.tell(saved);
                line.goes_on()
            })
        }));
        Ok(())
    }

    /// Stops what is being made or saved.
    pub fn stop(&mut self) {
        if let Some((_, worker)) = &self.making {
            worker.stop();
        }
        if let Some(worker) = &self.saving {
            worker.stop();
        }
    }

    /// Another project is opened: pages of the one before are put away.
    pub fn forget(&mut self) {
        self.made = None;
        self.making = None;
        self.given_up = None;
        // What was asked for is gone; a late answer is refused.
        self.asked = self.asked.map(|_| (Revision(u64::MAX), self.number));
    }

    /// Makes what was given up anew.
    pub fn try_again(&mut self) {
        self.given_up = None;
    }

    /// Whether a worker is at work.
    pub fn is_busy(&self) -> bool {
        self.making.is_some() || self.saving.is_some()
    }
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::*;
    use crate::samples;
    use crate::sheets::SheetKind;

    fn settle(study: &mut PacketStudy, project: &Project, revision: u64) -> Vec<Action> {
        let start = Instant::now();
        let mut actions = Actions::default();
        while study.refresh(project, Revision(revision), &mut actions) {
            assert!(start.elapsed() < Duration::from_secs(60), "no answer came");
            std::thread::sleep(Duration::from_millis(2));
        }
        actions.take()
    }

    fn few(study: &mut PacketStudy, kinds: &[SheetKind]) {
        let mut choices = study.choices().clone();
        for (kind, is_on) in &mut choices.sheets {
            *is_on = kinds.contains(kind);
        }
        study.choose(choices);
    }

    #[test]
    fn pages_belong_to_their_revision_and_choices_and_are_made_only_while_looked_at() {
        let project = samples::open("sprayer").unwrap();
        let mut study = PacketStudy::default();
        few(&mut study, &[SheetKind::Cut]);
        settle(&mut study, &project, 1);
        assert!(study.shown(Revision(1)).is_none(), "nobody looks");
        study.is_open = true;
        settle(&mut study, &project, 1);
        assert!(study.shown(Revision(1)).unwrap().1);
        assert!(!study.shown(Revision(2)).unwrap().1, "those of before are said to be so");
        study.set_date("2026-05-01".into());
        assert!(!study.shown(Revision(1)).unwrap().1);
        settle(&mut study, &project, 1);
        let (packet, is_current) = study.shown(Revision(1)).unwrap();
        assert!(is_current && packet.blanks.iter().all(|blank| !blank.what.contains("date")));
    }

    #[test]
    fn what_is_stopped_stays_stopped_until_it_is_asked_for_again() {
        let project = samples::open("railcar").unwrap();
        let mut study = PacketStudy { is_open: true, ..PacketStudy::default() };
        study.refresh(&project, Revision(1), &mut Actions::default());
        study.stop();
        settle(&mut study, &project, 1);
        assert_eq!(study.given_up(Revision(1)), Some(GivenUp::Stopped));
        assert!(study.shown(Revision(1)).is_none());
        few(&mut study, &[SheetKind::Rope]);
        settle(&mut study, &project, 1);
        assert!(study.shown(Revision(1)).is_some_and(|(_, is_current)| is_current));
    }

    #[test]
    fn files_are_written_and_said() {
        let project = samples::open("sprayer").unwrap();
        let mut study = PacketStudy { is_open: true, ..PacketStudy::default() };
        few(&mut study, &[SheetKind::Cut, SheetKind::Connectors, SheetKind::Labels]);
        settle(&mut study, &project, 1);
        let folder = tempfile::tempdir().unwrap();
        let n_files = |path: &Path| std::fs::read_dir(path).map_or(0, Iterator::count);
        let at = folder.path().join("packet.pdf");
        study.save((SaveWhat::Pdf, at.clone()), None, Revision(1)).unwrap();
        let said = settle(&mut study, &project, 1);
        assert!(
            matches!(&said[..], [Action::Say(text)] if text.contains("packet.pdf")),
            "{said:?}"
        );
        assert!(std::fs::read(&at).unwrap().starts_with(b"%PDF"));
        assert_eq!(n_files(folder.path()), 1);

        let packet = Arc::clone(study.shown(Revision(1)).unwrap().0);
        for (what, n) in
            [(SaveWhat::Svgs, packet.pages.len()), (SaveWhat::Tables, packet.tables.len())]
        {
            let into = folder.path().join(format!("{what:?}"));
            study.save((what, into.clone()), None, Revision(1)).unwrap();
            settle(&mut study, &project, 1);
            assert_eq!(n_files(&into), n, "{what:?}");
        }
    }

    #[test]
    fn an_answer_that_comes_after_a_change_writes_nothing() {
        let mut project = samples::open("sprayer").unwrap();
        let mut study = PacketStudy { is_open: true, ..PacketStudy::default() };
        few(&mut study, &[SheetKind::Cut, SheetKind::Connectors]);
        settle(&mut study, &project, 1);
        study.ask();
        let folder = tempfile::tempdir().unwrap();
        let at = folder.path().join("table.csv");
        let save = |study: &mut PacketStudy, revision| {
            study.save((SaveWhat::Table(0), at.clone()), None, Revision(revision))
        };
        project.title = "Another".into();
        assert_eq!(save(&mut study, 2), Err(CHANGED), "the pages are of before");
        settle(&mut study, &project, 2);
        assert_eq!(save(&mut study, 2), Err(CHANGED), "they are not those that were asked for");
        assert!(!study.is_busy() && !at.exists());
        study.ask();
        assert_eq!(save(&mut study, 2), Ok(()));
        settle(&mut study, &project, 2);
        assert!(at.exists());
        study.ask();
        few(&mut study, &[SheetKind::Cut]);
        assert_eq!(save(&mut study, 2), Err(CHANGED), "the choices are others");
        study.forget();
        assert_eq!(save(&mut study, 2), Err(CHANGED), "there are no pages");
    }
}
