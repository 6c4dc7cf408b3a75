//! Small JSON files beside the user's data; a broken one is set aside with a note, never a failure.

use std::fs::File;
use std::io;
use std::io::Read;
use std::path::Path;

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::files::error::FileError;
use crate::files::write;
use crate::model::limits;

/// Bytes read of a kept file; an autosave is the largest and holds a whole project as one text.
const MOST_BYTES: u64 = 3 * limits::FILE_BYTES as u64;

/// What a kept file holds; `None` where there is none or it is broken, then with a note.
pub fn read<T: DeserializeOwned>(path: &Path) -> (Option<T>, Option<String>) {
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|file| file.take(MOST_BYTES).read_to_end(&mut bytes));
    match read {
        Err(error) if error.kind() == io::ErrorKind::NotFound => (None, None),
        Err(error) => (None, Some(format!("{}; it is ignored", FileError::read(path, &error)))),
        Ok(_) => match serde_json::from_slice(&bytes) {
            Ok(value) => (Some(value), None),
            Err(error) => {
                let why = error.to_string().replace(['\n', '\r'], " ");
                (None, Some(format!("{} is damaged ({why}); it is ignored", path.display())))
            }
        },
    }
}

/// Writes a kept file, whole or not at all.
pub fn write<T: Serialize>(path: &Path, value: &T) -> Result<(), FileError> {
    let mut text = serde_json::to_string_pretty(value)
        .map_err(|error| FileError::write(path, &io::Error::other(error)))?;
    text.push('\n');
    write::whole(path, text.as_bytes())
}
