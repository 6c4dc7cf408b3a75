//! Where the program keeps what is not part of any project.

use std::env;
use std::path::{Path, PathBuf};

use crate::files::error::FileError;

/// The variable that puts the folder elsewhere, for tests and for people with a memory stick.
pub const VARIABLE: &str = "OHMLOOM_DATA_DIR";

/// The program's folder among the user's data. It need not exist yet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DataDir(PathBuf);

impl DataDir {
    /// The folder named by `OHMLOOM_DATA_DIR`, else the system's usual place; `None` where a system
    /// has no such place, for example without a home folder.
    pub fn find() -> Option<Self> {
        match env::var_os(VARIABLE) {
            Some(folder) if !folder.is_empty() => Some(Self(folder.into())),
            Some(_) | None => directories::ProjectDirs::from("", "", "ohmloom")
                .map(|dirs| Self(dirs.data_dir().into())),
        }
    }

    /// A given folder.
    pub fn at(folder: impl Into<PathBuf>) -> Self {
        Self(folder.into())
    }

    /// The folder.
    pub fn path(&self) -> &Path {
        &self.0
    }

    /// A folder inside, made where it is not there yet.
    pub(super) fn made(&self, name: &str) -> Result<PathBuf, FileError> {
        let folder = if name.is_empty() { self.0.clone() } else { self.0.join(name) };
        std::fs::create_dir_all(&folder).map_err(|error| FileError::write(&folder, &error))?;
        Ok(folder)
    }
}
