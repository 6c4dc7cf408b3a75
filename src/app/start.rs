//! Starting the window, and plain sentences where that does not work.

use std::panic::{self, AssertUnwindSafe};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::app::theme;
use crate::app::window::Window;

/// What to open at the start.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Start {
    /// A file.
    File(PathBuf),
    /// A built-in sample by name.
    Sample(String),
}

/// Opens the window and returns when it is closed.
///
/// # Errors
/// One plain sentence, without a full stop, why there is no window (no display, no graphics, a
/// library of the desktop that is missing) or why it stopped.
pub fn run(start: Start) -> Result<(), String> {
    let is_up = Arc::new(AtomicBool::new(false));
    let hook = Arc::new(panic::take_hook());
    let (up, usual) = (Arc::clone(&is_up), Arc::clone(&hook));
    // Until the first frame a panic means a missing piece of the desktop: that is said in one
    // sentence below, without a backtrace. Afterwards it is a fault of the program.
    panic::set_hook(Box::new(move |info| {
        if up.load(Ordering::Relaxed) {
            usual(info);
        }
    }));
    let up = Arc::clone(&is_up);
    let outcome = panic::catch_unwind(AssertUnwindSafe(|| open(start, up)));
    // The closure above still holds the usual hook, so it goes on serving from within a new one.
    panic::set_hook(Box::new(move |info| hook(info)));
    match outcome {
        Ok(Ok(())) => Ok(()),
        Ok(Err(error)) => Err(why_no_window(&error.to_string())),
        Err(_) if is_up.load(Ordering::Relaxed) => Err(
            "the window stopped because of a fault in the program; unsaved work is offered at the \
             next start"
                .into(),
        ),
        Err(panic) => {
            let text = panic.downcast_ref::<String>().map(String::as_str);
            let text = text.or_else(|| panic.downcast_ref::<&str>().copied());
            Err(why_no_window(text.unwrap_or_default()))
        }
    }
}

fn open(start: Start, is_up: Arc<AtomicBool>) -> eframe::Result {
    let icon = eframe::icon_data::from_png_bytes(include_bytes!("../../icons/ohmloom.png"));
    let mut viewport = egui::ViewportBuilder::default()
        .with_title("Ohmloom")
        .with_app_id("ohmloom")
        .with_inner_size([1440.0, 900.0])
        .with_min_inner_size([900.0, 600.0])
        .with_drag_and_drop(true);
    if let Ok(icon) = icon {
        viewport = viewport.with_icon(icon);
    }
    let options = eframe::NativeOptions { viewport, ..Default::default() };
    eframe::run_native(
        "ohmloom",
        options,
        Box::new(move |creation| {
            theme::install_fonts(&creation.egui_ctx);
            // The program has its own keys for text size.
            creation.egui_ctx.options_mut(|options| options.zoom_with_keyboard = false);
            Ok(Box::new(Window::new(start, is_up)))
        }),
    )
}

/// What the system said, as one sentence for people.
fn why_no_window(said: &str) -> String {
    let lower = said.to_lowercase();
    let has = |words: &[&str]| words.iter().any(|word| lower.contains(word));
    let first_line = said.lines().next().unwrap_or_default();
    // Where in whose sources it was noticed helps nobody here: `os error at …/mod.rs:788: `.
    let first_line = first_line.rsplit_once(".rs:").map_or(first_line, |(_, rest)| rest);
    let first_line =
        first_line.trim_start_matches(|c: char| c.is_ascii_digit() || c == ':' || c == ' ');
    let first_line = first_line.trim_end_matches('.');
    if has(&[".so", "library"]) {
        format!(
            "a library of the desktop is missing ({first_line}); on Debian or Ubuntu \
             `apt install libxcursor1 libxi6 libxkbcommon-x11-0 libgl1` brings what a window needs"
        )
    } else if has(&["wayland_display", "opendisplay", "display", "x11", "connect"]) {
        format!("no display answers ({first_line})")
    } else if has(&["opengl", "glutin", "gl ", "egl", "glx", "config", "context"]) {
        format!("the display offers no usable OpenGL ({first_line})")
    } else if first_line.is_empty() {
        "the desktop gave no reason".into()
    } else {
        first_line.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_system_says_becomes_one_plain_sentence() {
        // As winit 0.30 and glutin say it on a machine without these things.
        for (said, begins) in [
            (
                "os error at platform_impl/linux/mod.rs: neither WAYLAND_DISPLAY nor WAYLAND_SOCKET \
                 nor DISPLAY is set.",
                "no display answers",
            ),
            ("XOpenDisplayFailed", "no display answers"),
            (
                "winit EventLoopError: os error at /home/me/.cargo/linux/mod.rs:788: Failed to open \
                 connection to X server",
                "no display answers (Failed to open connection to X server)",
            ),
            (
                "Library libxkbcommon-x11.so could not be loaded.",
                "a library of the desktop is missing (Library libxkbcommon-x11.so could not be loaded)",
            ),
            ("failed to create an OpenGL context", "the display offers no usable OpenGL"),
            ("", "the desktop gave no reason"),
        ] {
            let sentence = why_no_window(said);
            assert!(sentence.starts_with(begins), "{sentence}");
            assert!(!sentence.contains('\n') && !sentence.ends_with('.'), "{sentence}");
        }
    }
}
