//! The window between its start and its close: dropped files, title, unsaved work, what is kept.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use crate::app::Command;
use crate::app::action::{Action, Stage};
use crate::app::dialogs::DesktopDialogs;
use crate::app::dispatch::dispatch;
use crate::app::keeper::Keeper;
use crate::app::shell::app_ui;
use crate::app::start::Start;
use crate::app::state::{AppState, Notice};
use crate::files::DataDir;
use crate::model::Project;

/// The state with what only a real window has.
pub struct Window {
    state: AppState,
    keeper: Option<Keeper>,
    title: String,
    /// Set once there is something to be seen.
    is_up: Arc<AtomicBool>,
}

impl Window {
    /// Opens what is wanted; where it cannot be opened the window says why and is empty.
    pub fn new(start: Start, is_up: Arc<AtomicBool>) -> Self {
        let mut state = AppState::new(Project::empty("New project"));
        state.dialogs = Box::new(DesktopDialogs::default());
        let keeper = DataDir::find().map(|dir| Keeper::start(dir, &mut state));
        // Opening puts notices away; one about damaged settings should be read.
        let notice = state.notice.take();
        match start {
            Start::File(path) => dispatch(&mut state, Action::OpenFile(path)),
            Start::Sample(name) => dispatch(&mut state, Action::OpenSample(name)),
        }
        state.notice = state.notice.take().or(notice);
        Self { state, keeper, title: String::new(), is_up }
    }

    fn take_dropped_file(&mut self, ctx: &egui::Context) {
        let dropped =
            ctx.input(|input| input.raw.dropped_files.first().map(|file| file.path().to_owned()));
        match dropped {
            Some(path) if path.as_os_str().is_empty() => {
                let text = "What was dropped is not a file.".into();
                self.state.notice = Some(Notice { text, is_error: true });
            }
            Some(path) if is_picture(&path) => {
                dispatch(&mut self.state, Action::ShowStage(Stage::Route));
                dispatch(&mut self.state, Action::TakePicture(path));
            }
            Some(path) if self.state.stage == Stage::Prove && is_log(&path) => {
                dispatch(&mut self.state, Action::OpenLog(Some(path)));
            }
            Some(path) => dispatch(&mut self.state, Action::OpenFile(path)),
            None => {}
        }
    }

    /// Closing the window is quitting: unsaved work is asked about first.
    fn take_close_wish(&mut self, ctx: &egui::Context) {
        let is_wanted = ctx.input(|input| input.viewport().close_requested());
        if is_wanted && !self.state.closing {
            dispatch(&mut self.state, Action::Run(Command::Quit));
            if !self.state.closing {
                ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            }
        }
    }
}

impl eframe::App for Window {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.is_up.store(true, Ordering::Relaxed);
        let ctx = ui.ctx().clone();
        self.take_dropped_file(&ctx);
        self.take_close_wish(&ctx);
        app_ui(ui, &mut self.state);
        if let Some(keeper) = &mut self.keeper
            && let Some(pause) = keeper.look(&mut self.state, Instant::now())
        {
            ctx.request_repaint_after(pause);
        }
        if self.state.closing {
            ctx.send_viewport_cmd(egui::ViewportCommand::Close);
        }
        let title = self.state.title();
        if title != self.title {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        if let Some(keeper) = self.keeper.take() {
            keeper.finish();
        }
    }
}

/// Whether a dropped file is for the layout, by its ending.
fn is_picture(path: &std::path::Path) -> bool {
    ends_in(path, &["png", "jpg", "jpeg"])
}

/// Whether a dropped file may be a log, by its ending.
fn is_log(path: &std::path::Path) -> bool {
    ends_in(path, &["csv", "tsv", "txt", "log"])
}

fn ends_in(path: &std::path::Path, endings: &[&str]) -> bool {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    ending.is_some_and(|ending| endings.contains(&ending.as_str()))
}
