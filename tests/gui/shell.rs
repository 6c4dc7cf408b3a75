//! The frame of the window: stages, notices, questions, preferences, help, small windows.

use egui_kittest::kittest::Queryable;
use ohmloom::app::Stage;

use crate::bench::{USUAL, window, with_empty_project};

#[test]
fn a_stage_word_shows_its_stage() {
    let mut harness = window(with_empty_project(), USUAL);
    for stage in [Stage::Cut, Stage::Read, Stage::Sketch] {
        harness.get_by_label(stage.word()).click();
        harness.run();
        assert_eq!(harness.state().stage, stage);
    }
}
