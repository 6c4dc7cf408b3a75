//! The frame of the window: stages, notices, questions, pages, files, small windows.

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use ohmloom::app::{Action, AppState, Command, Recovery, Stage, ThemeChoice, dispatch};
use ohmloom::edit::{Edit, Item};
use ohmloom::files;
use ohmloom::model::Project;

use crate::bench::{USUAL, window, with_empty_project, with_sample};

type Window = Harness<'static, AppState>;

fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
}

fn changed(title: &str) -> AppState {
    let mut state = with_empty_project();
    dispatch(&mut state, Action::Edit(Edit::SetTitle(title.into()), None));
    state
}

#[test]
fn a_stage_word_shows_its_stage() {
    let mut window = window(with_empty_project(), USUAL);
    for stage in [Stage::Cut, Stage::Read, Stage::Sketch] {
        click(&mut window, stage.word());
        assert_eq!(window.state().stage, stage);
    }
}

#[test]
fn unsaved_work_is_asked_about_and_staying_keeps_it() {
    let mut window = window(changed("Loader"), USUAL);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Q);
    window.run();
    window.get_by_label("“Loader” has changes that are not saved.");
    click(&mut window, "Stay here");
    assert!(!window.state().closing && window.state().pending.is_none());

    window.key_press_modifiers(Modifiers::COMMAND, Key::Q);
    window.run();
    window.key_press(Key::Escape);
    window.run();
    assert!(!window.state().closing && window.state().pending.is_none());

    window.key_press_modifiers(Modifiers::COMMAND, Key::Q);
    window.run();
    click(&mut window, "Throw the changes away");
    assert!(window.state().closing);
}

#[test]
fn saving_on_the_way_out_asks_for_a_path_and_then_closes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("loader.ohmloom");
    let mut window = window(changed("Loader"), USUAL);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Q);
    window.run();
    // The first answer has the keyboard.
    window.key_press(Key::Enter);
    window.run();
    let field = window.get_by_role_and_label(Role::TextInput, "Path of the file");
    assert_eq!(field.value().as_deref(), Some("Loader.ohmloom"), "a name is suggested");

    // A folder that is not there is said, and nothing typed is lost.
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    let wrong = folder.path().join("not there/loader.ohmloom").display().to_string();
    window.get_by_label("Path of the file").type_text(&wrong);
    window.run();
    window.get_by_label("There is no such folder yet.");
    window.key_press(Key::Enter);
    window.run();
    let field = window.get_by_role_and_label(Role::TextInput, "Path of the file");
    assert_eq!(field.value(), Some(wrong));
    assert!(!window.state().closing);

    window.get_by_label("Path of the file").focus();
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    window.get_by_label("Path of the file").type_text(&path.display().to_string());
    window.run();
    window.get_by_label("Save").click();
    window.run();
    assert!(window.state().closing, "{:?}", window.state().notice);
    assert_eq!(files::load(&path).unwrap().title, "Loader");
}

#[test]
fn a_file_is_replaced_only_by_the_button_that_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.ohmloom");
    files::save(&path, &Project::empty("old work")).unwrap();
    let mut window = window(changed("new work"), USUAL);
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    window.get_by_label("Path of the file").type_text(&path.display().to_string());
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(files::load(&path).unwrap().title, "old work");
    click(&mut window, "Replace it");
    assert_eq!(files::load(&path).unwrap().title, "new work");
}

#[test]
fn a_file_that_cannot_be_opened_leaves_the_project_and_says_why() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("broken.ohmloom");
    std::fs::write(&path, "{\"format\": \"ohmloom\", \"version\": 99}").unwrap();
    let mut window = window(with_sample("sprayer"), USUAL);
    let before = window.state().project().clone();
    dispatch(window.state_mut(), Action::OpenFile(path));
    window.run();
    window.get_by_label("Error");
    window.get_by_label_contains("newer");
    assert_eq!(window.state().project(), &before);
    click(&mut window, "Put the sentence away");
    assert_eq!(window.state().notice, None);
}

#[test]
fn work_left_over_from_a_crash_is_offered() {
    let mut state = with_empty_project();
    let project = Project::empty("Rescued");
    state.recovery = Some(Recovery { file: None, project, age: "5 minutes ago".into() });
    let mut window = window(state, USUAL);
    window.get_by_label("Ohmloom stopped before your last changes were saved.");
    window.get_by_label("“Rescued”, never saved to a file, as it was 5 minutes ago.");
    click(&mut window, "Take the changes over");
    assert_eq!(window.state().project().title, "Rescued");
    assert!(window.state().is_unsaved());
    assert_eq!(window.state().recovery, None);
}

#[test]
fn a_problem_leads_to_its_place() {
    let mut window = window(with_sample("railcar-first-attempt"), USUAL);
    click(&mut window, "Read");
    window.key_press(Key::F10);
    window.run();
    let finding = window.state().derived.findings()[0].clone();
    let start = finding.what.chars().skip(1).take(30).collect::<String>();
    let named = |node: &egui_kittest::Node<'_>| {
        node.accesskit_node().label().is_some_and(|label| label.contains(&start))
    };
    let rows: Vec<_> =
        window.get_all_by_role(Role::Button).filter(named).map(|node| node.rect()).collect();
    assert!(!rows.is_empty(), "{}", finding.what);
    let at = rows[0].center();
    window.hover_at(at);
    window.drag_at(at);
    window.drop_at(at);
    window.run();
    assert_eq!(window.state().stage, Stage::Sketch);
    assert!(
        window.state().selection.iter().any(|item| matches!(item, Item::Part(_) | Item::Wire(_)))
    );
}

#[test]
fn preferences_take_hold_at_once() {
    let mut window = window(with_empty_project(), USUAL);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Comma);
    window.run();
    click(&mut window, "Theme: Bench");
    assert_eq!(window.state().preferences.theme, ThemeChoice::Bench);
    let before = window.ctx.pixels_per_point();
    click(&mut window, "Larger text");
    assert!((window.ctx.pixels_per_point() / before - 1.1).abs() < 1e-3);
    click(&mut window, "Close preferences");
    assert!(window.query_by_label("Theme: Bench").is_none());
}

#[test]
fn the_help_page_names_every_key() {
    let mut window = window(with_empty_project(), USUAL);
    window.key_press(Key::F1);
    window.run();
    for command in Command::ALL {
        let Some(keys) = command.shortcut() else { continue };
        let keys = window.ctx.format_shortcut(&keys);
        assert!(window.query_all_by_label(&keys).next().is_some(), "{keys} is not on the page");
    }
    window.key_press(Key::Escape);
    window.run();
    assert!(window.query_by_label("Ten steps to start").is_none());
}

#[test]
fn the_top_bar_stays_within_small_windows() {
    // Full size, the least window, and both with text at 200 %.
    for (size, scale) in [(USUAL, 1.0), ([900.0, 600.0], 1.0), (USUAL, 2.0), ([900.0, 600.0], 2.0)]
    {
        let mut state = with_sample("forwarder");
        state.preferences.text_scale = scale;
        let mut window = window(state, size);
        let screen = window.ctx.content_rect();
        // The pixels stay, so larger text leaves fewer points.
        assert_eq!(screen.size(), egui::vec2(size[0], size[1]) / scale);
        let mut right = 0.0;
        for label in ["Sketch", "Read", "Cut", "Project"] {
            let rect = window.get_by_label(label).rect();
            assert!(screen.contains_rect(rect), "{label} at {rect:?} of {screen:?}");
            assert!(rect.left() >= right, "{label} overlaps what is left of it in {size:?}");
            right = rect.right();
        }
        click(&mut window, "Read");
        assert_eq!(window.state().stage, Stage::Read);
    }
}

/// Nothing that is in sight at all may stick out of the window, whatever the text size.
#[test]
fn cards_and_strip_stay_within_the_window_with_large_text() {
    for (size, scale) in [([900.0, 600.0], 1.0), (USUAL, 1.5), (USUAL, 2.0)] {
        let mut state = with_sample("forwarder");
        state.preferences.text_scale = scale;
        let window = window(state, size);
        let screen = window.ctx.content_rect();
        let reading = window.get_by_label("Reading open").rect();
        assert!(screen.contains_rect(reading), "{reading:?} in {screen:?}");
        // The widest line of the cards, and the strip from its heading down to its first control.
        for label in ["Show ohms", "Show percent of full scale", "Gate: HOLD"] {
            let rect = window.get_by_label(label).rect();
            assert!(screen.contains_rect(rect), "{label}: {rect:?} in {screen:?} at {scale}");
        }
        // The inspector has a tab of that name, so the heading is asked for by its role. With large
        // text it gives way to the names of the controls.
        let heading = window.query_by_role_and_label(Role::Label, "Controls");
        assert_eq!(heading.is_some(), scale < 2.0, "at {scale}");
        let first = heading.unwrap_or_else(|| window.get_by_label("Gate: HOLD")).rect();
        assert!(screen.contains_rect(first), "{first:?} in {screen:?} at {scale}");
        let sheet_end = window.get_by_label("Sheet").rect().bottom();
        assert!(first.top() > sheet_end, "the sheet covers the strip at {scale}");
        let sheet = window.get_by_label("Sheet").rect();
        assert!(sheet.right() < reading.left(), "the sheet covers the reading at {scale}");
        for part in ["G1 supply 12 V", "R1 resistor 6.81 kΩ HOLD", "X3 connector column joint"] {
            if let Some(node) = window.query_by_label(part) {
                assert!(sheet.contains_rect(node.rect()), "{part} is not fitted at {scale}");
            }
        }
        assert!(window.query_by_label("R1 resistor 6.81 kΩ HOLD").is_some(), "fitted at {scale}");
    }
}
