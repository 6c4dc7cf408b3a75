//! Files of an earlier packet that are still in a folder a new one was written into.

use std::collections::BTreeSet;
use std::path::Path;

/// What was written into the folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Made {
    /// A picture of each page.
    Pages,
    /// A file of each table.
    Tables,
}

/// So many are named.
const NAMED: usize = 3;

/// A sentence on files of the same kind in the folder that are none of `own`: pages by their names,
/// all tables; `None` where there are none.
pub fn others_words<'a>(
    made: Made,
    folder: &Path,
    own: impl Iterator<Item = &'a Path>,
) -> Option<String> {
    let others = others(made, folder, own);
    let named = others[..others.len().min(NAMED)].join(", ");
    let more = match others.len().saturating_sub(NAMED) {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    let words = format!("Also in this folder, but not of this packet: {named}{more}.");
    (!others.is_empty()).then_some(words)
}

fn others<'a>(made: Made, folder: &Path, own: impl Iterator<Item = &'a Path>) -> Vec<String> {
    let name_of = |path: &Path| path.file_name().map(|name| name.to_string_lossy().into_owned());
    let own: BTreeSet<String> =
        own.filter_map(|path| Some(name_of(path)?.to_lowercase())).collect();
    let is_like = |name: &str| match made {
        Made::Pages => {
            let rest = name.strip_prefix("page-").unwrap_or_default();
            rest.starts_with(|c: char| c.is_ascii_digit()) && name.ends_with(".svg")
        }
        Made::Tables => name.ends_with(".csv"),
    };
    // A folder that cannot be listed keeps its secret; the files are written all the same.
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let mut others: Vec<String> = entries
        .filter_map(|entry| name_of(&entry.path()))
        .filter(|name| is_like(name) && !own.contains(&name.to_lowercase()))
        .collect();
    others.sort();
    others
}
