//! The program's own settings: theme, text scale, units. Which there are is the window's business.

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::files::DataDir;
use crate::files::FileError;
use crate::files::keep;

const NAME: &str = "settings.json";

/// The kept settings, or the usual ones; with a note where the file is damaged.
pub fn read<T: DeserializeOwned + Default>(dir: &DataDir) -> (T, Option<String>) {
    let (value, note) = keep::read(&dir.path().join(NAME));
    (value.unwrap_or_default(), note)
}

/// Keeps the settings.
///
/// # Errors
/// Says why they could not be written.
pub fn write<T: Serialize>(dir: &DataDir, settings: &T) -> Result<(), FileError> {
    keep::write(&dir.made("")?.join(NAME), settings)
}
