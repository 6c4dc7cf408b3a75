//! What stands in for the window where there is none: the state table and the cut list as text.

use std::env;
use std::process::ExitCode;

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
