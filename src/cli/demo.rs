//! `ohmloom demo`: the built-in samples as a list and as files.

use std::fs;
use std::path::Path;

use crate::cli::text_table::{Align, table};
use crate::files;
use crate::samples;
use crate::store;

/// The samples with what each shows.
pub fn list() -> String {
    let rows: Vec<Vec<String>> = samples::LIST
        .iter()
        .map(|sample| vec![sample.name.to_owned(), sample.title.to_owned()])
        .collect();
    table(&[("sample", Align::Left), ("what it shows", Align::Left)], &rows)
}

/// Writes one sample, or all, into a folder that is made where it is missing. A file that is
/// there already with other content is left alone.
///
/// # Errors
/// A sentence; what was written before it stays.
pub fn write(name: Option<&str>, folder: &Path) -> Result<String, String> {
    fs::create_dir_all(folder)
        .map_err(|error| format!("could not make the folder {}: {error}", folder.display()))?;
    let wanted: Vec<(&samples::Sample, std::path::PathBuf)> = samples::LIST
        .iter()
        .filter(|sample| name.is_none_or(|name| sample.name == name))
        .map(|sample| (sample, folder.join(sample.name).with_extension(store::EXTENSION)))
        .collect();
    let is_changed = |sample: &samples::Sample, path: &Path| {
        fs::read(path).is_ok_and(|there| there != sample.text.as_bytes())
    };
    if let Some((_, path)) = wanted.iter().find(|(sample, path)| is_changed(sample, path)) {
        return Err(format!(
            "did not write {}: there is a file of that name with other content; move it, or name another folder",
            path.display()
        ));
    }
    let mut text = String::new();
    for (sample, path) in wanted {
        files::save_bytes(&path, sample.text.as_bytes()).map_err(|error| error.to_string())?;
        text += &format!("{}\n", path.display());
    }
    Ok(text)
}
