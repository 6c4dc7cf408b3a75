//! Pictures of the window for people to look at: `cargo test --test gui -- pictures`.
//!
//! They land in `target/pictures`. The tests hold that each picture can be made, that a second one
//! of the same state has the same bytes, and that the two themes do not look alike.

use ohmloom::app::{AppState, Stage, ThemeChoice};
use ohmloom::samples;

use crate::bench::{SMALL, USUAL, picture, with_empty_project, with_sample};

const THEMES: [(ThemeChoice, &str); 2] =
    [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")];

fn set_up(mut state: AppState, stage: Stage, theme: ThemeChoice) -> AppState {
    state.stage = stage;
    state.preferences.theme = theme;
    state
}

fn stage_pictures(sample: &str, stage: Stage) {
    let word = stage.word().to_lowercase();
    let pictures = THEMES.map(|(theme, name)| {
        let path = picture(
            &format!("{sample}-{word}-{name}"),
            set_up(with_sample(sample), stage, theme),
            USUAL,
        );
        std::fs::read(path).unwrap()
    });
    assert_ne!(pictures[0], pictures[1], "both themes look alike");
}

#[test]
fn pictures_of_sketch() {
    stage_pictures("forwarder", Stage::Sketch);
}

#[test]
fn pictures_of_read() {
    stage_pictures("forwarder", Stage::Read);
}

#[test]
fn pictures_of_cut() {
    stage_pictures("forwarder", Stage::Cut);
}

#[test]
fn pictures_of_every_sample() {
    for sample in samples::LIST {
        picture(&format!("{}-sample", sample.name), with_sample(sample.name), USUAL);
    }
}

#[test]
fn pictures_of_small_windows() {
    for (theme, name) in THEMES {
        let state = set_up(with_sample("forwarder"), Stage::Sketch, theme);
        picture(&format!("small-sketch-{name}"), state, SMALL);
    }
    for stage in Stage::ALL {
        let mut state = set_up(with_sample("forwarder"), stage, ThemeChoice::Paper);
        state.preferences.text_scale = 2.0;
        picture(&format!("large-text-{}", stage.word().to_lowercase()), state, USUAL);
    }
    picture(
        "least-window",
        set_up(with_sample("forwarder"), Stage::Sketch, ThemeChoice::Paper),
        [900.0, 600.0],
    );
}

#[test]
fn pictures_are_the_same_bytes_each_time() {
    let make = || std::fs::read(picture("empty", with_empty_project(), SMALL)).unwrap();
    assert_eq!(make(), make());
}
