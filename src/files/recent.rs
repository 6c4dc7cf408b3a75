//! The files opened or saved last, newest first.

use std::path::{Path, PathBuf};

use crate::files::DataDir;
use crate::files::FileError;
use crate::files::keep;

const NAME: &str = "recent.json";

/// How many are kept.
pub const MOST: usize = 12;

/// The list, newest first; with a note where it is damaged. Files that are gone stay in it.
pub fn list(dir: &DataDir) -> (Vec<PathBuf>, Option<String>) {
    let (list, note) = keep::read::<Vec<PathBuf>>(&dir.path().join(NAME));
    let mut list = list.unwrap_or_default();
    list.truncate(MOST);
    (list, note)
}

/// Puts a file at the top. Its path is made absolute first; a path that is not Unicode has no place
/// in the list and is left out.
///
/// # Errors
/// Says why the list could not be written.
pub fn add(dir: &DataDir, path: &Path) -> Result<(), FileError> {
    let path = std::path::absolute(path).unwrap_or_else(|_| path.into());
    if path.to_str().is_none() {
        return Ok(());
    }
    change(dir, |list| {
        list.retain(|other| *other != path);
        list.insert(0, path);
        list.truncate(MOST);
    })
}

/// Takes a file out.
///
/// # Errors
/// Says why the list could not be written.
pub fn forget(dir: &DataDir, path: &Path) -> Result<(), FileError> {
    change(dir, |list| list.retain(|other| other != path))
}

fn change(dir: &DataDir, change: impl FnOnce(&mut Vec<PathBuf>)) -> Result<(), FileError> {
    let (mut list, _) = self::list(dir);
    change(&mut list);
    keep::write(&dir.made("")?.join(NAME), &list)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_newest_comes_first_and_once() {
        let folder = tempfile::tempdir().unwrap();
        let dir = DataDir::at(folder.path().join("not made yet"));
        assert_eq!(list(&dir), (vec![], None));
        for n in 0..15 {
            add(&dir, Path::new(&format!("/tmp/{n}.ohmloom"))).unwrap();
        }
        add(&dir, Path::new("/tmp/9.ohmloom")).unwrap();
        forget(&dir, Path::new("/tmp/14.ohmloom")).unwrap();
        let names: Vec<String> =
            list(&dir).0.iter().map(|p| p.file_stem().unwrap().to_str().unwrap().into()).collect();
        assert_eq!(names, ["9", "13", "12", "11", "10", "8", "7", "6", "5", "4", "3"]);
    }

    #[test]
    fn a_damaged_list_is_ignored_with_a_note_and_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let dir = DataDir::at(folder.path());
        std::fs::write(folder.path().join("recent.json"), b"[\"/tmp/a\", \xff\n").unwrap();
        let (files, note) = list(&dir);
        assert!(
            files.is_empty()
                && note.is_some_and(|note| note.contains("damaged") && !note.contains('\n'))
        );
        add(&dir, Path::new("/tmp/b")).unwrap();
        assert_eq!(list(&dir), (vec![PathBuf::from("/tmp/b")], None));
    }
}
