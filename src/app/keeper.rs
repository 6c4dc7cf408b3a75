//! What outlives the window: preferences, recent files, and copies of unsaved work.
//!
//! A copy is written some time after a change, by a thread, so that the window never waits for a
//! disk. It goes once the work is saved or given up; one that is left tells of a crash.

use std::path::PathBuf;
use std::sync::Arc;
use std::thread::JoinHandle;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use crate::app::packet::PrintChoices;
use crate::app::prefs::Preferences;
use crate::app::state::{AppState, Notice, Recovery};
use crate::edit::Revision;
use crate::files::autosave::{self, Leftover, Slot};
use crate::files::{DataDir, FileError, recent, settings};

/// Unsaved work is copied this long after the last copy.
const EVERY: Duration = Duration::from_secs(20);

/// Keeps what outlives the window.
pub struct Keeper {
    dir: DataDir,
    slot: Option<Arc<Slot>>,
    /// The revision the copy holds.
    copied: Option<Revision>,
    /// When unsaved work was first seen, or last copied.
    since: Option<Instant>,
    writer: Option<JoinHandle<Result<(), FileError>>>,
    leftovers: Vec<Leftover>,
    offered: Option<Leftover>,
    preferences: Preferences,
    printing: PrintChoices,
    recent: Vec<PathBuf>,
    /// Whether it was already said that copies cannot be kept.
    has_complained: bool,
}

impl Keeper {
    /// Reads what was kept into the state and offers work left over from a crash.
    pub fn start(dir: DataDir, state: &mut AppState) -> Self {
        let (preferences, settings_note) = settings::read::<Preferences>(&dir);
        let (printing, printing_note) = settings::read_printing::<PrintChoices>(&dir);
        let (recent, recent_note) = recent::list(&dir);
        let (leftovers, notes) = autosave::leftovers(&dir);
        state.preferences = preferences;
        state.packet.choose(printing.clone());
        state.recent.clone_from(&recent);
        let notes: Vec<String> = [settings_note, printing_note, recent_note]
            .into_iter()
            .flatten()
            .chain(notes)
            .collect();
        if !notes.is_empty() {
            state.notice = Some(Notice { text: format!("{}.", notes.join("; ")), is_error: true });
        }
        let mut keeper = Self {
            dir,
            slot: None,
            copied: None,
            since: None,
            writer: None,
            leftovers,
            offered: None,
            preferences,
            printing,
            recent,
            has_complained: false,
        };
        keeper.offer_next(state);
        keeper
    }

    /// Looks after every frame what there is to keep. Returns in how long to look again.
    pub fn look(&mut self, state: &mut AppState, now: Instant) -> Option<Duration> {
        if state.preferences != self.preferences {
            self.preferences = state.preferences;
            let kept = settings::write(&self.dir, &self.preferences);
            self.complain(state, kept);
        }
        if *state.packet.choices() != self.printing {
            self.printing = state.packet.choices().clone();
            let kept = settings::write_printing(&self.dir, &self.printing);
            self.complain(state, kept);
        }
        if state.recent != self.recent {
            self.recent.clone_from(&state.recent);
            if let Some(path) = self.recent.first() {
                let kept = recent::add(&self.dir, path);
                self.complain(state, kept);
            }
        }
        if self.offered.is_some() && state.recovery.is_none() {
            self.settle_offer(state);
        }
        self.copy(state, now)
    }

    /// The window closes as it should: nothing is left to offer.
    pub fn finish(mut self) {
        // Whether the last copy was written no longer matters.
        let _ = self.wait();
        if let Some(slot) = &self.slot {
            // A copy that cannot be removed is offered at the next start, which does no harm.
            let _ = slot.clear();
        }
    }

    fn copy(&mut self, state: &mut AppState, now: Instant) -> Option<Duration> {
        if self.writer.as_ref().is_some_and(JoinHandle::is_finished) {
            let written = self.wait();
            self.complain(state, written);
        }
        if !state.is_unsaved() {
            self.since = None;
            if self.copied.take().is_some() {
                let written = self.wait();
                let cleared = self.slot.as_ref().map_or(Ok(()), |slot| slot.clear());
                self.complain(state, written.and(cleared));
            }
            return None;
        }
        if self.copied == Some(state.history.revision()) {
            return None;
        }
        let since = *self.since.get_or_insert(now);
        let waited = now.saturating_duration_since(since);
        if waited < EVERY {
            return Some(EVERY - waited);
        }
        if self.writer.is_some() {
            return Some(Duration::from_secs(1));
        }
        self.start_copy(state);
        self.since = Some(now);
        None
    }

    fn start_copy(&mut self, state: &mut AppState) {
        let slot = match &self.slot {
            Some(slot) => Arc::clone(slot),
            None => match Slot::claim(&self.dir) {
                Ok(slot) => {
                    let slot = Arc::new(slot);
                    self.slot = Some(Arc::clone(&slot));
                    slot
                }
                Err(error) => {
                    self.copied = Some(state.history.revision());
                    self.complain(state, Err(error));
                    return;
                }
            },
        };
        let (file, project) = (state.file.clone(), state.project().clone());
        self.copied = Some(state.history.revision());
        self.writer = Some(std::thread::spawn(move || {
            let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |t| t.as_secs());
            slot.write(file.as_deref(), seconds, &project)
        }));
    }

    /// Waits for a copy that is being written.
    fn wait(&mut self) -> Result<(), FileError> {
        // A writer that panicked has said so on its own; the next copy is a new try.
        self.writer.take().map_or(Ok(()), |writer| writer.join().unwrap_or(Ok(())))
    }

    fn complain(&mut self, state: &mut AppState, kept: Result<(), FileError>) {
        if let Err(error) = kept
            && !self.has_complained
        {
            self.has_complained = true;
            let text = format!("Nothing can be kept between two starts: {error}.");
            state.notice = Some(Notice { text, is_error: true });
        }
    }

    /// The offer was answered. What was taken over is copied before the old copy goes.
    fn settle_offer(&mut self, state: &mut AppState) {
        if state.is_unsaved() {
            self.start_copy(state);
            let written = self.wait();
            let is_safe = written.is_ok();
            self.complain(state, written);
            if !is_safe {
                self.offered = None;
                return;
            }
        }
        if let Some(leftover) = self.offered.take() {
            let gone = leftover.discard();
            self.complain(state, gone);
        }
        self.offer_next(state);
    }

    fn offer_next(&mut self, state: &mut AppState) {
        if self.leftovers.is_empty() {
            return;
        }
        let leftover = self.leftovers.remove(0);
        let now = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |t| t.as_secs());
        state.recovery = Some(Recovery {
            file: leftover.original.clone(),
            project: leftover.project.clone(),
            age: age_text(now.saturating_sub(leftover.saved_at_unix_s)),
        });
        self.offered = Some(leftover);
    }
}

/// `2 minutes ago`, `3 days ago`.
fn age_text(seconds: u64) -> String {
    let (count, word) = match seconds {
        0..=89 => return "a minute ago".into(),
        90..=5399 => ((seconds + 30) / 60, "minutes"),
        5400..=129_599 => ((seconds + 1800) / 3600, "hours"),
        129_600.. => ((seconds + 43_200) / 86_400, "days"),
    };
    format!("{count} {word} ago")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::action::Action;
    use crate::app::dispatch::dispatch;
    use crate::app::prefs::ThemeChoice;
    use crate::edit::Edit;
    use crate::model::Project;
    use crate::sheets::Tint;

    fn started(folder: &tempfile::TempDir) -> (Keeper, AppState) {
        let mut state = AppState::new(Project::empty("Loader"));
        let keeper = Keeper::start(DataDir::at(folder.path()), &mut state);
        (keeper, state)
    }

    fn rename(state: &mut AppState, title: &str) {
        dispatch(state, Action::Edit(Edit::SetTitle(title.into()), None));
    }

    #[test]
    fn preferences_and_recent_files_outlive_the_window() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, mut state) = started(&folder);
        state.preferences.theme = ThemeChoice::Bench;
        let mono = PrintChoices { tint: Tint::Mono, ..PrintChoices::default() };
        dispatch(&mut state, Action::ChoosePrint(Box::new(mono)));
        state.remember(std::path::Path::new("/tmp/loader.ohmloom"));
        assert_eq!(keeper.look(&mut state, Instant::now()), None);
        let (_, again) = started(&folder);
        assert_eq!(again.preferences.theme, ThemeChoice::Bench);
        assert_eq!(again.packet.choices().tint, Tint::Mono);
        assert_eq!(again.recent, [PathBuf::from("/tmp/loader.ohmloom")]);
    }

    #[test]
    fn a_crash_leaves_a_copy_that_can_be_taken_over() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, mut state) = started(&folder);
        let start = Instant::now();
        assert_eq!(keeper.look(&mut state, start), None, "nothing changed, nothing to wait for");
        rename(&mut state, "Loader with a second lever");
        assert_eq!(keeper.look(&mut state, start), Some(EVERY));
        keeper.look(&mut state, start + EVERY);
        keeper.wait().unwrap();
        // Dropping it without `finish` is what a crash does.
        drop(keeper);

        let (mut keeper, mut state) = started(&folder);
        let offered = state.recovery.clone().unwrap();
        assert_eq!(offered.project.title, "Loader with a second lever");
        assert_eq!(offered.age, "a minute ago");
        dispatch(&mut state, Action::AnswerRecovery(true));
        assert_eq!(state.project().title, "Loader with a second lever");
        assert!(state.is_unsaved());
        keeper.look(&mut state, Instant::now());
        drop(keeper);

        // It stopped again before anything was saved: still not lost.
        let (mut keeper, mut state) = started(&folder);
        assert_eq!(state.recovery.clone().unwrap().project.title, "Loader with a second lever");
        dispatch(&mut state, Action::AnswerRecovery(false));
        keeper.look(&mut state, Instant::now());
        keeper.finish();
        assert_eq!(started(&folder).1.recovery, None);
    }

    #[test]
    fn saved_work_leaves_no_copy() {
        let folder = tempfile::tempdir().unwrap();
        let (mut keeper, mut state) = started(&folder);
        let start = Instant::now();
        rename(&mut state, "Loader, finished");
        keeper.look(&mut state, start);
        keeper.look(&mut state, start + EVERY);
        dispatch(&mut state, Action::SaveTo(folder.path().join("loader.ohmloom")));
        keeper.look(&mut state, start + EVERY);
        drop(keeper);
        assert_eq!(started(&folder).1.recovery, None);
    }

    #[test]
    fn unsaved_work_is_asked_about_before_a_copy_replaces_it() {
        let folder = tempfile::tempdir().unwrap();
        let (_, mut state) = started(&folder);
        state.recovery = Some(Recovery {
            file: None,
            project: Project::empty("from the crash"),
            age: "a minute ago".into(),
        });
        rename(&mut state, "newer work");
        dispatch(&mut state, Action::AnswerRecovery(true));
        assert_eq!(state.project().title, "newer work");
        assert!(state.pending.is_some() && state.recovery.is_some());
    }

    #[test]
    fn ages_read_as_people_say_them() {
        let said = [5, 120, 3600, 7200, 200_000].map(age_text);
        assert_eq!(
            said,
            ["a minute ago", "2 minutes ago", "60 minutes ago", "2 hours ago", "2 days ago"]
        );
    }
}
