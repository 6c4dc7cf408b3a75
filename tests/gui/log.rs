//! Page "Log" as a person works with it: a log opened, its columns matched, events gone through.

use std::path::{Path, PathBuf};

use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use ohmloom::app::{Action, AppState, LogAsk, ProveAsk, ProvePage, Stage, ThemeChoice, dispatch};
use ohmloom::proving::replay::{Role as Meaning, Unit};

use crate::bench::{USUAL, picture_of, settle, window, with_sample};

type Window = Harness<'static, AppState>;

fn sample_log() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-projects/sprayer-log.csv")
}

fn log_page(path: Option<PathBuf>) -> Window {
    let mut state = with_sample("sprayer");
    state.stage = Stage::Prove;
    dispatch(&mut state, Action::ShowProvePage(ProvePage::Log));
    let mut window = window(state, USUAL);
    if path.is_some() {
        dispatch(window.state_mut(), Action::OpenLog(path));
        settle(&mut window);
        window.run();
    }
    window
}

fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
    settle(window);
}

fn plot_words(window: &Window) -> String {
    let node = window.get_by_label_contains("Plot of the log from");
    node.accesskit_node().label().unwrap_or_default()
}

#[test]
fn a_log_is_opened_and_its_events_are_gone_through() {
    let before = std::fs::read(sample_log()).unwrap();
    let mut window = log_page(Some(sample_log()));
    assert!(window.query_by_label_contains("7 events").is_some());
    assert!(window.query_by_label_contains("2832 rows over 56.64 s").is_some());
    let whole = plot_words(&window);
    assert!(whole.contains("from 0.000 s to 56.6"), "{whole}");

    // An event of the list leads to its place, by hand and by keyboard.
    window.get_by_label_contains("supply dip").click();
    window.run();
    let at = plot_words(&window);
    assert!(at.contains("from 13.1"), "{at}");
    click(&mut window, "Next event");
    let next = plot_words(&window);
    assert_ne!(next, at);
    window.get_by_label_contains("intermittent contact").focus();
    window.run();
    window.key_press(egui::Key::Enter);
    window.run();
    let by_key = plot_words(&window);
    assert!(by_key.contains("from 33.9"), "{by_key}");

    click(&mut window, "Closer");
    click(&mut window, "Later");
    assert_ne!(plot_words(&window), by_key);
    click(&mut window, "Whole log");
    assert_eq!(plot_words(&window), whole);
    assert_eq!(std::fs::read(sample_log()).unwrap(), before, "a log is only read");
}

#[test]
fn columns_are_matched_by_hand_and_broken_rows_are_named() {
    let folder = tempfile::TempDir::new().unwrap();
    let path = folder.path().join("odd.csv");
    let mut text = "a;b;c\n".to_owned();
    for n in 0..400 {
        text += &if n == 200 { "soon;2,9;x\n".into() } else { format!("{};2,921;x\n", n * 10) };
    }
    std::fs::write(&path, text).unwrap();
    let mut window = log_page(Some(path));
    assert!(window.query_by_label_contains("unit of the time not given: taken as s").is_some());
    assert!(window.query_by_label_contains("1 row could not be read").is_some());
    assert!(window.query_by_label_contains("No events").is_some());
    // The same figures as counts of the converter are a short, and the list says so.
    let ask = ProveAsk::Log(LogAsk::Unit(Meaning::Reading, Unit::Count));
    dispatch(window.state_mut(), Action::AskProve(ask));
    settle(&mut window);
    window.run();
    assert!(window.query_by_label_contains("SHORT/GROUND for").is_some());
    let ask = ProveAsk::Log(LogAsk::Match(1, None));
    dispatch(window.state_mut(), Action::AskProve(ask));
    settle(&mut window);
    window.run();
    assert!(window.query_by_label_contains("expected a column matched as reading").is_some());
    assert!(window.query_by_role_and_label(Role::ComboBox, "Meaning of column b").is_some());
    click(&mut window, "Close the log");
    assert!(window.query_by_label_contains("or drop a file here").is_some());
}

#[test]
fn a_file_that_is_no_log_is_refused_in_one_sentence_and_loading_can_be_stopped() {
    let folder = tempfile::TempDir::new().unwrap();
    let path = folder.path().join("letter.csv");
    std::fs::write(&path, "Dear reader,\nnothing was recorded.\n").unwrap();
    let mut window = log_page(Some(path));
    assert!(window.query_by_label_contains("expected rows with a time and a reading").is_some());
    dispatch(window.state_mut(), Action::OpenLog(Some(sample_log())));
    settle(&mut window);
    let stop = ProveAsk::Log(LogAsk::Stop);
    dispatch(window.state_mut(), Action::AskProve(stop));
    window.run();
    assert!(window.query_by_label("Loading was stopped.").is_some());
    click(&mut window, "Load");
    assert!(window.query_by_label_contains("7 events").is_some());
}

#[test]
fn pictures_of_the_log() {
    for (theme, name) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
        for (scale, size) in [(1.0, ""), (2.0, "-large")] {
            let mut window = log_page(Some(sample_log()));
            window.state_mut().preferences.theme = theme;
            window.state_mut().preferences.text_scale = scale;
            window.run();
            picture_of(&mut window, &format!("log-whole-{name}{size}"));
            window.set_size(egui::vec2(1280.0, 800.0) / scale);
            window.run();
            picture_of(&mut window, &format!("log-whole-{name}{size}-small"));
            window.set_size(egui::Vec2::from(USUAL) / scale);
            window.run();
            click(&mut window, "Next event");
            for _ in 0..3 {
                click(&mut window, "Next event");
            }
            let path = picture_of(&mut window, &format!("log-event-{name}{size}"));
            assert!(std::fs::metadata(path).unwrap().len() > 10_000);
        }
    }
    let mut window = log_page(None);
    picture_of(&mut window, "log-none-paper");
}
