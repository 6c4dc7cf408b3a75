//! Reading and writing files, whole or not at all, and what the program keeps beside the user's data.
//!
//! The clock is not read here: dates come in as arguments.

pub mod autosave;
mod data_dir;
mod error;
mod keep;
mod others;
mod picture;
pub mod recent;
pub mod settings;
mod write;

pub use data_dir::DataDir;
pub use error::FileError;
pub use others::{Made, others_words};
pub use picture::read_picture;

use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::model::{Project, limits};
use crate::store;

/// Reads a project from a file.
///
/// # Errors
/// Where the file cannot be read, or its text is refused by [`store::read`].
pub fn load(path: &Path) -> Result<Project, FileError> {
    let bytes = bytes_of(path)?;
    store::read(&bytes).map_err(|error| FileError::Refused { path: path.into(), error })
}

/// Reads the bytes of a file that is not a project (a table).
///
/// # Errors
/// Where the file cannot be read or is too large.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, FileError> {
    bytes_of(path)
}

/// Most bytes of a log.
const LOG_BYTES: usize = 1 << 30;

/// Reads the bytes of a log, which may be far larger than a project.
///
/// # Errors
/// Where the file cannot be read or has more than a gibibyte.
pub fn read_log(path: &Path) -> Result<Vec<u8>, FileError> {
    let bytes = bytes_up_to(path, LOG_BYTES)?;
    if bytes.len() > LOG_BYTES {
        let why = "it has more than 1 GiB: cut it into parts".to_owned();
        return Err(FileError::Read { path: path.into(), why });
    }
    Ok(bytes)
}

/// Reads a text that is not a project (a list of values).
///
/// # Errors
/// Where the file cannot be read or is no text.
pub fn read_text(path: &Path) -> Result<String, FileError> {
    let why = "it is not text in UTF-8".to_owned();
    String::from_utf8(bytes_of(path)?).map_err(|_| FileError::Read { path: path.into(), why })
}

/// Writes a project to a file: all of it, or the old file stays as it was.
///
/// The text is read back before anything is touched, so a file that could not be opened again is
/// never written. It goes to a temporary file in the same folder, is flushed to the disk, takes the
/// old file's permissions and is then renamed. A symbolic link stays a link; a file marked read-only
/// is refused. Where the old file has several hard links, the others keep the old content.
///
/// # Errors
/// Says what could not be done; no temporary file is left behind.
pub fn save(path: &Path, project: &Project) -> Result<(), FileError> {
    let text = store::write(project);
    match store::read(text.as_bytes()) {
        Ok(again) if again == *project => {}
        Ok(_) => return Err(FileError::Changed { path: path.into() }),
        Err(error) => return Err(FileError::NotReadable { path: path.into(), error }),
    }
    write::whole(path, text.as_bytes())
}

/// Writes bytes that are not a project (a cut list, a table) with the same care as [`save`].
///
/// # Errors
/// Says what could not be done; no temporary file is left behind.
pub fn save_bytes(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    write::whole(path, bytes)
}

/// Whether two paths lead to one file that is there.
pub fn is_same_file(a: &Path, b: &Path) -> bool {
    matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b)
}

/// All bytes of a file, up to just past the limit, so that a huge or endless file fills no memory.
fn bytes_of(path: &Path) -> Result<Vec<u8>, FileError> {
    bytes_up_to(path, limits::FILE_BYTES)
}

fn bytes_up_to(path: &Path, most: usize) -> Result<Vec<u8>, FileError> {
    let refuse = |error| FileError::read(path, &error);
    let file = File::open(path).map_err(refuse)?;
    let meta = file.metadata().map_err(refuse)?;
    if !meta.is_file() {
        return Err(FileError::NotAFile { path: path.into() });
    }
    let likely = usize::try_from(meta.len()).unwrap_or(most).min(most);
    let mut bytes = Vec::with_capacity(likely + 1);
    file.take(most as u64 + 1).read_to_end(&mut bytes).map_err(refuse)?;
    Ok(bytes)
}
