//! What the window's tests share: a window in the harness, and its picture.

use std::path::{Path, PathBuf};

use egui_kittest::Harness;
use ohmloom::app::{AppState, app_ui, theme};
use ohmloom::model::Project;
use ohmloom::samples;

use crate::raster::Raster;

/// Size of the window in most tests, in points.
pub const USUAL: [f32; 2] = [1440.0, 900.0];
/// A small window, in points.
pub const SMALL: [f32; 2] = [1000.0, 650.0];

/// The state with a built-in sample open.
pub fn with_sample(name: &str) -> AppState {
    AppState::new(samples::open(name).unwrap_or_else(|| panic!("no sample named {name}")))
}

/// The state with a project open.
pub fn with_project(project: Project) -> AppState {
    AppState::new(project)
}

/// The state with an empty project.
pub fn with_empty_project() -> AppState {
    AppState::new(Project::empty("New project"))
}

/// The whole window in a harness that can make pictures.
pub fn window(state: AppState, size: [f32; 2]) -> Harness<'static, AppState> {
    let mut harness = Harness::builder()
        .with_size(size)
        .with_max_steps(30)
        .with_render_cursor(false)
        .with_context_setup(theme::install_fonts)
        .renderer(Raster::default())
        .build_ui_state(whole_window, state);
    // A worker that is at work turns a wheel, which never settles.
    harness.run_steps(2);
    while harness.state().studies.is_busy() || harness.state().packet.is_busy() {
        std::thread::sleep(std::time::Duration::from_millis(10));
        harness.run_steps(1);
    }
    harness.run();
    harness
}

/// Frames until no worker is at work any more.
pub fn settle(window: &mut Harness<'static, AppState>) {
    let start = std::time::Instant::now();
    loop {
        window.run_steps(2);
        let state = window.state();
        if !state.studies.is_busy()
            && !state.packet.is_busy()
            && state.derived.is_current(state.history.revision())
        {
            return;
        }
        assert!(start.elapsed().as_secs() < 120, "a worker never answers");
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
}

/// The window without the margin a harness draws around what it tests.
fn whole_window(ui: &mut egui::Ui, state: &mut AppState) {
    let whole = ui.ctx().content_rect();
    ui.scope_builder(egui::UiBuilder::new().max_rect(whole), |ui| {
        ui.set_clip_rect(whole);
        app_ui(ui, state);
    });
}

/// Renders what a harness shows to `target/pictures/NAME.png`.
pub fn picture_of<S>(harness: &mut Harness<'_, S>, name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).with_file_name("pictures");
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join(format!("{name}.png"));
    harness.render().unwrap().save(&path).unwrap();
    path
}

/// Renders the window in this state to `target/pictures/NAME.png`.
pub fn picture(name: &str, state: AppState, size: [f32; 2]) -> PathBuf {
    picture_of(&mut window(state, size), name)
}
