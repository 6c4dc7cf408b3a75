//! Copies of unsaved work, kept beside the user's data and offered after a crash.
//!
//! Every open window holds one slot. A lock on the slot's lock file lives as long as the program
//! does, however it ends; a slot with a copy and without a lock is left over from a crash.

use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::files::DataDir;
use crate::files::FileError;
use crate::files::keep;
use crate::model::Project;
use crate::store;

const FOLDER: &str = "autosave";

/// Slots tried before giving up; more windows than this are not expected.
const MOST_SLOTS: u32 = 200;

/// The slot of one open window.
#[derive(Debug)]
pub struct Slot {
    copy: PathBuf,
    /// Held for its lock; the system frees it when the program ends.
    _lock: File,
}

/// What stands in a copy.
#[derive(Serialize, Deserialize)]
struct Copy {
    original: Option<PathBuf>,
    saved_at_unix_s: u64,
    project: String,
}

/// A copy left over from a crash. It stays locked to this program until it is dropped or discarded.
#[derive(Debug)]
pub struct Leftover {
    /// The file it was opened from; `None` where it was never saved.
    pub original: Option<PathBuf>,
    /// When it was written, in seconds since 1970-01-01 UTC.
    pub saved_at_unix_s: u64,
    /// The work itself.
    pub project: Project,
    slot: Slot,
}

impl Slot {
    /// Takes a free slot for a window.
    ///
    /// # Errors
    /// Where the data folder cannot be written or all slots are taken.
    pub fn claim(dir: &DataDir) -> Result<Self, FileError> {
        let folder = dir.made(FOLDER)?;
        for number in 1..=MOST_SLOTS {
            if let Some(slot) = Self::lock(&folder, number)?
                && !slot.copy.exists()
            {
                return Ok(slot);
            }
        }
        Err(FileError::Write {
            path: folder,
            why: format!("all {MOST_SLOTS} autosave slots are taken"),
        })
    }

    /// Writes the copy, in place of the one before.
    ///
    /// # Errors
    /// Says why it could not be written; the copy before stays.
    pub fn write(
        &self,
        original: Option<&Path>,
        saved_at_unix_s: u64,
        project: &Project,
    ) -> Result<(), FileError> {
        let original = original
            .map(|path| std::path::absolute(path).unwrap_or_else(|_| path.into()))
            .filter(|path| path.to_str().is_some());
        keep::write(&self.copy, &Copy { original, saved_at_unix_s, project: store::write(project) })
    }

    /// Drops the copy: the work is saved or given up.
    ///
    /// # Errors
    /// Says why it could not be removed.
    pub fn clear(&self) -> Result<(), FileError> {
        match fs::remove_file(&self.copy) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                Err(FileError::write(&self.copy, &error))
            }
            Ok(()) | Err(_) => Ok(()),
        }
    }

    /// A slot by number; `None` where another program holds it.
    fn lock(folder: &Path, number: u32) -> Result<Option<Self>, FileError> {
        let path = folder.join(format!("slot-{number}.lock"));
        let refuse = |error| FileError::write(&path, &error);
        let lock =
            File::options().create(true).truncate(false).write(true).open(&path).map_err(refuse)?;
        match lock.try_lock() {
            Ok(()) => {
                Ok(Some(Self { copy: folder.join(format!("slot-{number}.json")), _lock: lock }))
            }
            Err(TryLockError::WouldBlock) => Ok(None),
            Err(TryLockError::Error(error)) => Err(refuse(error)),
        }
    }
}

impl Leftover {
    /// Throws the copy away, once the work is taken over or not wanted.
    ///
    /// # Errors
    /// Says why it could not be removed.
    pub fn discard(self) -> Result<(), FileError> {
        self.slot.clear()
    }
}

/// All copies left over from crashes, newest first, and notes on those that are damaged.
///
/// A damaged copy is renamed to end in `.damaged`, so that it is told of once and can be looked at.
pub fn leftovers(dir: &DataDir) -> (Vec<Leftover>, Vec<String>) {
    let folder = dir.path().join(FOLDER);
    let (mut found, mut notes) = (Vec::new(), Vec::new());
    for number in 1..=MOST_SLOTS {
        if !folder.join(format!("slot-{number}.json")).exists() {
            continue;
        }
        let slot = match Slot::lock(&folder, number) {
            Ok(Some(slot)) => slot,
            Ok(None) => continue,
            Err(error) => {
                notes.push(error.to_string());
                continue;
            }
        };
        let (copy, note) = keep::read::<Copy>(&slot.copy);
        let read = copy.map(|copy| (store::read(copy.project.as_bytes()), copy));
        match read {
            Some((Ok(project), copy)) => found.push(Leftover {
                original: copy.original,
                saved_at_unix_s: copy.saved_at_unix_s,
                project,
                slot,
            }),
            Some((Err(error), _)) => notes.push(set_aside(&slot.copy, &error.to_string())),
            None => notes.push(set_aside(&slot.copy, &note.unwrap_or_default())),
        }
    }
    found.sort_by_key(|leftover| std::cmp::Reverse(leftover.saved_at_unix_s));
    (found, notes)
}

fn set_aside(copy: &Path, why: &str) -> String {
    let aside = copy.with_extension("damaged");
    let outcome = match fs::rename(copy, &aside) {
        Ok(()) => format!("it is kept as {}", aside.display()),
        Err(_) => "it is ignored".into(),
    };
    format!("an autosaved copy cannot be used: {why}; {outcome}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;

    #[test]
    fn a_copy_is_offered_only_after_its_program_is_gone() {
        let folder = tempfile::tempdir().unwrap();
        let dir = DataDir::at(folder.path());
        let (one, two) = (testing::project(1, 5), testing::project(2, 5));
        let first = Slot::claim(&dir).unwrap();
        let second = Slot::claim(&dir).unwrap();
        first.write(Some(Path::new("/tmp/one.ohmloom")), 100, &two).unwrap();
        first.write(Some(Path::new("/tmp/one.ohmloom")), 200, &one).unwrap();
        second.write(None, 300, &two).unwrap();
        assert_eq!(leftovers(&dir).0.len(), 0, "both programs still run");

        // Dropping a slot frees its lock and leaves its copy, as a crash does.
        drop(first);
        drop(second);
        let (left, notes) = leftovers(&dir);
        assert_eq!(notes, Vec::<String>::new());
        let seen: Vec<_> =
            left.iter().map(|l| (l.saved_at_unix_s, l.original.as_deref(), &l.project)).collect();
        assert_eq!(seen, [(300, None, &two), (200, Some(Path::new("/tmp/one.ohmloom")), &one)]);

        // A new window takes neither of the slots, and a second program is not offered them.
        let third = Slot::claim(&dir).unwrap();
        assert_eq!(leftovers(&dir).0.len(), 0);
        for leftover in left {
            leftover.discard().unwrap();
        }
        third.clear().unwrap();
        assert_eq!(leftovers(&dir).0.len(), 0);
    }

    #[test]
    fn cleared_work_is_not_offered() {
        let folder = tempfile::tempdir().unwrap();
        let dir = DataDir::at(folder.path());
        let slot = Slot::claim(&dir).unwrap();
        slot.write(None, 1, &testing::project(1, 3)).unwrap();
        slot.clear().unwrap();
        slot.clear().unwrap();
        drop(slot);
        assert_eq!(leftovers(&dir).0.len(), 0);
    }

    #[test]
    fn damaged_copies_are_told_of_once() {
        let folder = tempfile::tempdir().unwrap();
        let dir = DataDir::at(folder.path());
        fs::create_dir(folder.path().join(FOLDER)).unwrap();
        fs::write(folder.path().join(FOLDER).join("slot-1.json"), b"{\"original\": nu").unwrap();
        let inner = r#"{"original": null, "saved_at_unix_s": 5, "project": "{}"}"#;
        fs::write(folder.path().join(FOLDER).join("slot-2.json"), inner).unwrap();
        let (left, notes) = leftovers(&dir);
        assert_eq!((left.len(), notes.len()), (0, 2), "{notes:?}");
        assert!(notes.iter().all(|note| note.contains("cannot be used") && !note.contains('\n')));
        assert_eq!(leftovers(&dir).1.len(), 0);
        assert!(Slot::claim(&dir).is_ok());
    }
}
