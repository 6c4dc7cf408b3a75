//! Writing the packet to files, by a worker: everything is put together first, then written, each
//! file whole or not at all. Who stops it finds no new file, and hears which of those that were there
//! are replaced already.

use std::cell::Cell;
use std::path::{Path, PathBuf};

use crate::files::{self, Made};
use crate::sheets::{Packet, csv_text, file_names, page_names, pdf, svg};
use crate::units::counted;

/// What is saved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SaveWhat {
    /// The packet as one PDF.
    Pdf,
    /// A folder with an SVG of each page.
    Svgs,
    /// A folder with a CSV of each table.
    Tables,
    /// The CSV of one table, by its index in the packet.
    Table(usize),
}

impl SaveWhat {
    /// Whether a folder is asked for.
    pub fn is_folder(self) -> bool {
        match self {
            Self::Pdf | Self::Table(_) => false,
            Self::Svgs | Self::Tables => true,
        }
    }

    /// What the path is for, in words.
    pub fn question(self) -> &'static str {
        match self {
            Self::Pdf => "Path to write the packet to",
            Self::Svgs => "Folder to write a picture (SVG) of each page into",
            Self::Tables => "Folder to write each table (CSV) into",
            Self::Table(_) => "Path to write the table to",
        }
    }
}

/// How far the saving is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Saved {
    /// Pages or files that are done.
    pub n_done: usize,
    /// All of them.
    pub n_all: usize,
}

/// Puts together and writes. `goes_on` hears how far it is and says whether somebody still waits. The
/// answer is a sentence for the notice line.
///
/// # Errors
/// A sentence that says what was not written and why.
pub fn save(
    packet: &Packet,
    (what, path): (SaveWhat, &Path),
    own_file: Option<&Path>,
    goes_on: &dyn Fn(Saved) -> bool,
) -> Result<String, String> {
    let files = put_together(packet, (what, path), goes_on)?;
    if let Some(own) = own_file
        && files.iter().any(|(path, _)| files::is_same_file(own, path))
    {
        return Err("Not written: that is the project file itself, choose another name.".into());
    }
    if what.is_folder() {
        std::fs::create_dir_all(path).map_err(|error| {
            format!("Not written: could not make the folder {}: {error}.", path.display())
        })?;
    }
    let n_all = files.len();
    let mut written = Written::default();
    for (n_done, (path, bytes)) in files.iter().enumerate() {
        if !goes_on(Saved { n_done, n_all }) {
            return Err(written.undone(STOPPED));
        }
        let was_there = path.exists();
        if let Err(error) = files::save_bytes(path, bytes) {
            return Err(written.undone(&format!("Not written: {error}.")));
        }
        match was_there {
            true => written.n_replaced += 1,
            false => written.new.push(path),
        }
    }
    Ok(match what {
        SaveWhat::Pdf => {
            let pages = counted(packet.pages.len(), "page");
            format!("Packet of {pages} written to {}.", path.display())
        }
        SaveWhat::Svgs | SaveWhat::Tables => {
            let is_pages = what == SaveWhat::Svgs;
            let (word, made) =
                if is_pages { ("page", Made::Pages) } else { ("table", Made::Tables) };
            let own = files.iter().map(|(path, _)| path.as_path());
            let others = files::others_words(made, path, own);
            let others = others.map_or_else(String::new, |words| format!(" {words}"));
            format!("{} written into {}.{others}", counted(n_all, word), path.display())
        }
        SaveWhat::Table(_) => format!("Table written to {}.", path.display()),
    })
}

/// What is said when it was stopped.
const STOPPED: &str = "Stopped; nothing new was written.";

/// What is on the disk so far.
#[derive(Default)]
struct Written<'a> {
    /// Files that were not there before.
    new: Vec<&'a PathBuf>,
    /// Files that were there before and are other ones now.
    n_replaced: usize,
}

impl Written<'_> {
    /// Takes new files away again and says what cannot be undone.
    fn undone(&self, why: &str) -> String {
        let is_left = |path: &&&PathBuf| std::fs::remove_file(path).is_err();
        let n_left = self.new.iter().filter(is_left).count();
        let mut words = why.to_owned();
        if self.n_replaced > 0 {
            words += &match self.n_replaced {
                1 => " But 1 file that was there before is replaced already.".to_owned(),
                n => format!(" But {n} files that were there before are replaced already."),
            };
        }
        if n_left > 0 {
            words += &format!(" {} could not be taken away again.", counted(n_left, "new file"));
        }
        words
    }
}

fn put_together(
    packet: &Packet,
    (what, path): (SaveWhat, &Path),
    goes_on: &dyn Fn(Saved) -> bool,
) -> Result<Vec<(PathBuf, Vec<u8>)>, String> {
    let n_all = packet.pages.len();
    let mut files = Vec::new();
    match what {
        SaveWhat::Pdf => {
            let n_done = Cell::new(0);
            let is_stopped = Cell::new(false);
            let keep_going = || {
                is_stopped.set(!goes_on(Saved { n_done: n_done.get(), n_all }));
                n_done.set(n_done.get() + 1);
                !is_stopped.get()
            };
            let bytes = pdf(packet, &keep_going).map_err(|why| match is_stopped.get() {
                true => STOPPED.into(),
                false => format!("Not written: {why}."),
            })?;
            files.push((path.to_owned(), bytes));
        }
        SaveWhat::Svgs => {
            for (n_done, (name, title)) in page_names(packet).into_iter().enumerate() {
                if !goes_on(Saved { n_done, n_all }) {
                    return Err(STOPPED.into());
                }
                files.push((path.join(name), svg(&packet.pages[n_done], &title).into_bytes()));
            }
        }
        SaveWhat::Tables => {
            for (name, named) in file_names(&packet.tables).into_iter().zip(&packet.tables) {
                files.push((path.join(name), csv_text(&named.table).into_bytes()));
            }
        }
        SaveWhat::Table(idx) => {
            let named = packet.tables.get(idx).ok_or("Not written: there is no such table.")?;
            files.push((path.to_owned(), csv_text(&named.table).into_bytes()));
        }
    }
    Ok(files)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;
    use crate::sheets::{Setup, SheetKind, packet};

    fn few() -> Packet {
        let project = samples::open("sprayer").unwrap();
        let sheets = vec![SheetKind::Cut, SheetKind::Connectors];
        packet(&project, &Setup { sheets, ..Setup::all_on_a4() }, &|| true).unwrap()
    }

    fn n_files(path: &Path) -> usize {
        std::fs::read_dir(path).map_or(0, Iterator::count)
    }

    #[test]
    fn nothing_is_left_of_what_is_stopped_at_any_point() {
        let packet = few();
        for what in [SaveWhat::Pdf, SaveWhat::Svgs, SaveWhat::Tables, SaveWhat::Table(0)] {
            for n_steps in 0.. {
                let folder = tempfile::tempdir().unwrap();
                let path = folder.path().join("out");
                let left = Cell::new(n_steps);
                let goes_on = |_| {
                    left.set(left.get() - 1);
                    left.get() >= 0
                };
                let said = save(&packet, (what, &path), None, &goes_on);
                if said.is_ok() {
                    assert!(n_steps > 0, "{what:?} cannot be stopped");
                    break;
                }
                assert_eq!(said, Err(STOPPED.into()), "{what:?}");
                let n = if path.is_dir() { n_files(&path) } else { n_files(folder.path()) };
                assert_eq!(n, 0, "{what:?} stopped at step {n_steps}");
            }
        }
    }

    /// A folder with the first, third … file of a packet in it, each with other words.
    fn half_full(what: SaveWhat) -> (tempfile::TempDir, Vec<PathBuf>) {
        let folder = tempfile::tempdir().unwrap();
        save(&few(), (what, folder.path()), None, &|_| true).unwrap();
        let entries = std::fs::read_dir(folder.path()).unwrap();
        let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
        paths.sort();
        for (n, path) in paths.iter().enumerate() {
            match n % 2 {
                0 => std::fs::write(path, "of before").unwrap(),
                _ => std::fs::remove_file(path).unwrap(),
            }
        }
        (folder, paths)
    }

    #[test]
    fn files_that_are_replaced_already_are_counted_when_it_is_stopped() {
        let packet = few();
        for what in [SaveWhat::Svgs, SaveWhat::Tables] {
            let mut most = 0;
            for n_steps in 0.. {
                let (folder, paths) = half_full(what);
                let left = Cell::new(n_steps);
                let goes_on = |_| {
                    left.set(left.get() - 1);
                    left.get() >= 0
                };
                let said = save(&packet, (what, folder.path()), None, &goes_on);
                if said.is_ok() {
                    break;
                }
                let is_other =
                    |path: &&PathBuf| std::fs::read_to_string(path).is_ok_and(|t| t != "of before");
                let n_replaced = paths.iter().filter(is_other).count();
                assert_eq!(n_files(folder.path()), paths.len().div_ceil(2), "no new file is left");
                let said = said.unwrap_err();
                match n_replaced {
                    0 => assert_eq!(said, STOPPED),
                    n => assert!(said.contains(&format!(" But {n} file")), "{said}"),
                }
                most = most.max(n_replaced);
            }
            assert!(most > 0, "{what:?}: it was never stopped late enough");
        }
    }

    #[test]
    fn a_write_that_fails_leaves_no_new_file_and_says_what_is_replaced() {
        let (folder, paths) = half_full(SaveWhat::Svgs);
        let last = paths.last().unwrap();
        let _ = std::fs::remove_file(last);
        // A folder of that name cannot be written as a file.
        std::fs::create_dir(last).unwrap();
        let n_before = n_files(folder.path());
        let said = save(&few(), (SaveWhat::Svgs, folder.path()), None, &|_| true).unwrap_err();
        assert!(said.starts_with("Not written") && said.contains("replaced already"), "{said}");
        assert_eq!(n_files(folder.path()), n_before);
    }

    #[test]
    fn pages_and_tables_of_another_packet_are_named() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["page-900-cut.svg", "old.csv", "page-901-rope.svg", "notes.txt", "my.svg"] {
            std::fs::write(folder.path().join(name), "of before").unwrap();
        }
        let said = |what| save(&few(), (what, folder.path()), None, &|_| true).unwrap();
        let words = "not of this packet: page-900-cut.svg, page-901-rope.svg.";
        for _ in 0..2 {
            assert!(said(SaveWhat::Svgs).ends_with(words));
            assert!(said(SaveWhat::Tables).ends_with("not of this packet: old.csv."));
        }
        for n in 2..5 {
            std::fs::write(folder.path().join(format!("page-90{n}.svg")), "of before").unwrap();
        }
        let words = said(SaveWhat::Svgs);
        let named = "page-900-cut.svg, page-901-rope.svg, page-902.svg and 2 more.";
        assert!(words.ends_with(named), "{words}");
    }

    #[test]
    fn the_project_file_is_never_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let own = folder.path().join("mine.ohmloom");
        std::fs::write(&own, "my work").unwrap();
        let said = save(&few(), (SaveWhat::Pdf, &own), Some(&own), &|_| true);
        assert!(said.unwrap_err().contains("project file itself"));
        assert_eq!(std::fs::read_to_string(&own).unwrap(), "my work");
        let no_folder = own.join("inside a file");
        let said = save(&few(), (SaveWhat::Tables, &no_folder), None, &|_| true);
        assert!(said.unwrap_err().starts_with("Not written"));
    }
}
