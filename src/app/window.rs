//! The real window: eframe, its start, and its close.

use std::path::PathBuf;

use crate::app::Command;
use crate::app::action::Action;
use crate::app::dialogs::DesktopDialogs;
use crate::app::dispatch::dispatch;
use crate::app::shell::app_ui;
use crate::app::state::AppState;
use crate::app::theme;
use crate::model::Project;
use crate::samples;

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
/// One plain sentence why there is no window (no display, no graphics).
pub fn run(start: Start) -> Result<(), String> {
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_title("Ohmloom")
            .with_app_id("ohmloom")
            .with_inner_size([1440.0, 900.0])
            .with_min_inner_size([900.0, 600.0])
            .with_drag_and_drop(true),
        ..Default::default()
    };
    eframe::run_native(
        "ohmloom",
        options,
        Box::new(move |creation| {
            theme::install_fonts(&creation.egui_ctx);
            Ok(Box::new(Window::new(start)))
        }),
    )
    .map_err(|error| format!("no window could be opened ({error})"))
}

struct Window {
    state: AppState,
    title: String,
}

impl Window {
    fn new(start: Start) -> Self {
        let mut state = AppState::new(Project::empty("New project"));
        state.dialogs = Box::new(DesktopDialogs::default());
        match start {
            Start::File(path) => dispatch(&mut state, Action::OpenFile(path)),
            Start::Sample(name) => {
                if samples::open(&name).is_some() {
                    dispatch(&mut state, Action::OpenSample(name));
                }
            }
        }
        Self { state, title: String::new() }
    }
}

impl eframe::App for Window {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        let ctx = ui.ctx().clone();
        let dropped =
            ctx.input(|input| input.raw.dropped_files.first().map(|file| file.path().to_owned()));
        if let Some(path) = dropped {
            dispatch(&mut self.state, Action::OpenFile(path));
        }
        if ctx.input(|input| input.viewport().close_requested())
            && !self.state.closing
            && self.state.is_unsaved()
        {
            ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            dispatch(&mut self.state, Action::Run(Command::Quit));
        }
        app_ui(ui, &mut self.state);
        if self.state.closing {
            ctx.send_viewport_cmd(egui::ViewportCommand::Close);
        }
        let title = self.state.title();
        if title != self.title {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }
}
