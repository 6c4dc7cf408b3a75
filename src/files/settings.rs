//! The program's own settings: theme, text scale, units. Which there are is the window's business.

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

use crate::files::DataDir;
use crate::files::FileError;
use crate::files::keep;

const NAME: &str = "settings.json";
/// Apart from the settings, so that a damaged one takes nothing with it.
const PRINTING: &str = "printing.json";

/// The kept settings, or the usual ones; with a note where the file is damaged.
pub fn read<T: DeserializeOwned + Default>(dir: &DataDir) -> (T, Option<String>) {
    read_file(dir, NAME)
}

/// The kept choices for printing, or the usual ones; with a note where the file is damaged.
pub fn read_printing<T: DeserializeOwned + Default>(dir: &DataDir) -> (T, Option<String>) {
    read_file(dir, PRINTING)
}

fn read_file<T: DeserializeOwned + Default>(dir: &DataDir, name: &str) -> (T, Option<String>) {
    // By name, because a list of values would be taken as fields in their order.
    let path = dir.path().join(name);
    let (fields, note) = keep::read::<Map<String, Value>>(&path);
    match fields.map(|fields| serde_json::from_value(Value::Object(fields))) {
        None => (T::default(), note),
        Some(Ok(settings)) => (settings, note),
        Some(Err(error)) => {
            let why = error.to_string().replace(['\n', '\r'], " ");
            (T::default(), Some(format!("{} is damaged ({why}); it is ignored", path.display())))
        }
    }
}

/// Keeps the settings.
///
/// # Errors
/// Says why they could not be written.
pub fn write<T: Serialize>(dir: &DataDir, settings: &T) -> Result<(), FileError> {
    keep::write(&dir.made("")?.join(NAME), settings)
}

/// Keeps the choices for printing.
///
/// # Errors
/// Says why they could not be written.
pub fn write_printing<T: Serialize>(dir: &DataDir, choices: &T) -> Result<(), FileError> {
    keep::write(&dir.made("")?.join(PRINTING), choices)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Debug, Default, PartialEq, Serialize, Deserialize)]
    #[serde(default)]
    struct Look {
        text_scale: f64,
        theme: String,
    }

    #[test]
    fn settings_come_back_and_damaged_ones_are_the_usual_with_a_note() {
        let folder = tempfile::tempdir().unwrap();
        let dir = DataDir::at(folder.path().join("deep/inside"));
        assert_eq!(read::<Look>(&dir), (Look::default(), None));
        let look = Look { text_scale: 1.25, theme: "bench".into() };
        write(&dir, &look).unwrap();
        assert_eq!(read::<Look>(&dir), (look, None));

        // A file of an older or newer program: what is known is taken.
        std::fs::write(dir.path().join(NAME), r#"{"theme": "paper", "more": 1}"#).unwrap();
        assert_eq!(read::<Look>(&dir), (Look { text_scale: 0.0, theme: "paper".into() }, None));

        for damaged in ["", "{", "[1]", r#"{"theme": 5}"#] {
            std::fs::write(dir.path().join(NAME), damaged).unwrap();
            let (look, note) = read::<Look>(&dir);
            assert_eq!(look, Look::default(), "{damaged}");
            assert!(
                note.is_some_and(|note| note.contains("ignored") && !note.contains('\n')),
                "{damaged}"
            );
        }
        write(&dir, &Look::default()).unwrap();
        assert_eq!(read::<Look>(&dir).1, None);
    }
}
