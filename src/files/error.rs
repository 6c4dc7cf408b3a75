//! Why a file could not be read or written, as one sentence.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

use crate::store::ReadError;

/// A failed operation on a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FileError {
    /// The file cannot be read.
    Read {
        /// The file.
        path: PathBuf,
        /// Why, in plain words.
        why: String,
    },
    /// A folder, a device or a pipe, where a file is wanted.
    NotAFile {
        /// What is no file.
        path: PathBuf,
    },
    /// The file was read, but it is no project this program understands.
    Refused {
        /// The file.
        path: PathBuf,
        /// Why and where.
        error: ReadError,
    },
    /// The file cannot be written; what was there before is untouched.
    Write {
        /// The file.
        path: PathBuf,
        /// Why, in plain words.
        why: String,
    },
    /// The project holds something its own file format refuses; nothing was written.
    NotReadable {
        /// The file.
        path: PathBuf,
        /// What would be refused at the next opening.
        error: ReadError,
    },
    /// The text does not give the same project again; nothing was written.
    Changed {
        /// The file.
        path: PathBuf,
    },
}

impl FileError {
    /// A failed reading.
    pub(super) fn read(path: &Path, error: &io::Error) -> Self {
        Self::Read { path: path.into(), why: plain(error) }
    }

    /// A failed writing.
    pub(super) fn write(path: &Path, error: &io::Error) -> Self {
        Self::Write { path: path.into(), why: plain(error) }
    }
}

impl fmt::Display for FileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Read { path, why } => write!(f, "could not read {}: {why}", shown(path)),
            Self::NotAFile { path } => {
                write!(
                    f,
                    "could not use {}: expected a file, found a folder or a device",
                    shown(path)
                )
            }
            Self::Refused { path, error } => write!(f, "could not open {}: {error}", shown(path)),
            Self::Write { path, why } => {
                write!(
                    f,
                    "could not write {}: {why}; what was there before is untouched",
                    shown(path)
                )
            }
            Self::NotReadable { path, error } => write!(
                f,
                "did not write {}, because it could not be opened again: {error}; what was there before is untouched",
                shown(path)
            ),
            Self::Changed { path } => write!(
                f,
                "did not write {}, because reading it back gives another project; what was there before is untouched",
                shown(path)
            ),
        }
    }
}

impl std::error::Error for FileError {}

/// A path on one line.
fn shown(path: &Path) -> String {
    path.display()
        .to_string()
        .chars()
        .flat_map(|c| if c.is_control() { c.escape_debug().collect() } else { vec![c] })
        .collect()
}

/// The usual causes in plain words; others as the system says them.
fn plain(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder".into(),
        io::ErrorKind::PermissionDenied => "permission denied".into(),
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::WriteZero => {
            "there is no room left on the disk".into()
        }
        io::ErrorKind::FileTooLarge => "the file is larger than the system allows".into(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk is read-only".into(),
        io::ErrorKind::IsADirectory => "it is a folder".into(),
        io::ErrorKind::NotADirectory => "a part of the path is not a folder".into(),
        _ => error.to_string().replace(['\n', '\r'], " "),
    }
}
