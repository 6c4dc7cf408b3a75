//! What stands in for the window where there is none: the state table and the cut list as text.

use std::env;
use std::panic::{self, UnwindSafe};
use std::process::ExitCode;
use std::sync::{Arc, Mutex, PoisonError};

use crate::check;
use crate::cli::args::Opening;
use crate::cli::output::{failed, print};
use crate::cli::text_table::wrapped;
use crate::cli::{cut, states};
use crate::cutting::cut_list;
use crate::files;
use crate::model::Project;
use crate::samples;

/// Why there is no window.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoWindow {
    /// Built without it.
    NotBuilt,
    /// Nothing to show it on.
    NoDisplay,
    /// It did not open; the sentence says why.
    Failed(String),
}

/// Whether there is anything a window could be shown on.
pub fn has_display() -> bool {
    let is_set = |name: &str| env::var_os(name).is_some_and(|value| !value.is_empty());
    cfg!(not(all(unix, not(target_os = "macos")))) || is_set("DISPLAY") || is_set("WAYLAND_DISPLAY")
}

/// Whether what is to be opened can be read.
///
/// # Errors
/// The exit code; why has been printed.
pub fn readable(opening: &Opening) -> Result<(), ExitCode> {
    load(opening).map(|_| ()).map_err(|sentence| failed(&sentence))
}

/// Prints the state table and the cut list, and one sentence how to get a window.
pub fn without_window(opening: &Opening, why: &NoWindow) -> ExitCode {
    let printed = load(opening).and_then(|project| print(&text(&project, why)));
    match printed {
        Ok(()) => ExitCode::SUCCESS,
        Err(sentence) => failed(&sentence),
    }
}

/// Runs the window; a panic comes back as one line with its place instead of a trace on the screen.
/// Where `RUST_BACKTRACE` asks for a trace, it is printed too.
///
/// # Errors
/// What the panic said.
pub fn without_panic<T>(window: impl FnOnce() -> T + UnwindSafe) -> Result<T, String> {
    let said = Arc::new(Mutex::new(String::new()));
    let keep = Arc::clone(&said);
    let usual = panic::take_hook();
    panic::set_hook(Box::new(move |info| {
        let text = info.payload_as_str().unwrap_or("no reason given");
        let at = info.location().map_or_else(String::new, |at| format!(" ({at})"));
        let line = format!("{}{at}", text.lines().next().unwrap_or_default());
        *keep.lock().unwrap_or_else(PoisonError::into_inner) = line;
        if env::var_os("RUST_BACKTRACE").is_some() {
            usual(info);
        }
    }));
    let done = panic::catch_unwind(window);
    // The usual hook comes back with its default behaviour.
    drop(panic::take_hook());
    done.map_err(|_| said.lock().unwrap_or_else(PoisonError::into_inner).clone())
}

/// Says that a window that had been open stopped by a fault of the program.
pub fn stopped(why: &str) -> ExitCode {
    failed(&format!(
        "the window stopped by a fault in the program: {why}; unsaved work is offered at the next start"
    ))
}

fn load(opening: &Opening) -> Result<Project, String> {
    match opening {
        Opening::File(path) => files::load(path).map_err(|error| error.to_string()),
        Opening::Sample(name) => {
            samples::open(name).ok_or_else(|| format!("there is no sample named {name}"))
        }
    }
}

fn text(project: &Project, why: &NoWindow) -> String {
    let mut text = states::text(project, &states::tables(project));
    text += "\n";
    text += &cut::text(project, &cut_list(project));
    text += "\nCautions\n";
    for caution in check::cautions(project) {
        text += &wrapped("- ", &caution, 2);
    }
    text += "\n";
    text += &wrapped("", &how_to_get_one(why), 0);
    text
}

fn how_to_get_one(why: &NoWindow) -> String {
    match why {
        NoWindow::NotBuilt => "This ohmloom was built without its window: build it with \
            `cargo build --release` and its default features to get one."
            .into(),
        NoWindow::NoDisplay => "There is no display here (neither DISPLAY nor WAYLAND_DISPLAY is \
            set): start ohmloom from a desktop session to get its window."
            .into(),
        NoWindow::Failed(why) => format!(
            "The window did not open: {why}. Start ohmloom from a desktop session with OpenGL and \
             the usual X11 or Wayland libraries to get it."
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_one_line_with_its_place() {
        assert_eq!(without_panic(|| 7), Ok(7));
        let said = without_panic(|| panic!("a library is missing\nand more")).unwrap_err();
        assert!(said.starts_with("a library is missing (src/cli/window.rs:"), "{said}");
        assert!(!said.contains('\n'));
    }
}
