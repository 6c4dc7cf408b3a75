//! Pages Set-up and Arming: settings typed, the story followed by hand, observations and what follows.

use egui::Key;
use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use ohmloom::app::{Action, AppState, ProvePage, Stage, ThemeChoice, dispatch};
use ohmloom::edit::Edit;
use ohmloom::edit::StoryEdit;
use ohmloom::model::{ControlId, Deed, Observation};

use crate::bench::{USUAL, picture_of, settle, window, with_sample};

type Window = Harness<'static, AppState>;

fn page(sample: &str, shown: ProvePage) -> Window {
    page_of(sample, shown, USUAL)
}

fn page_of(sample: &str, page: ProvePage, size: [f32; 2]) -> Window {
    let mut state = with_sample(sample);
    state.stage = Stage::Prove;
    let mut window = window(state, size);
    dispatch(window.state_mut(), Action::ShowProvePage(page));
    window.run_steps(2);
    settle(&mut window);
    window.run();
    window
}

fn steps(window: &mut Window) {
    window.run_steps(3);
    settle(window);
    window.run();
}

fn type_into(window: &mut Window, field: &str, text: &str) {
    window.get_by_role_and_label(Role::TextInput, field).focus();
    window.run();
    window.get_by_role_and_label(Role::TextInput, field).type_text(text);
    steps(window);
    window.key_press(Key::Enter);
    steps(window);
}

fn control(window: &Window, name: &str) -> ControlId {
    let mut controls = window.state().project().controls.iter();
    controls.find(|(_, control)| control.name == name).unwrap().0
}

fn put(window: &mut Window, name: &str, position: u8) {
    let control = control(window, name);
    dispatch(window.state_mut(), Action::MoveControl(control, position));
    steps(window);
}

fn says(window: &Window, words: &str) {
    assert!(window.query_all_by_label_contains(words).next().is_some(), "{words}");
}

#[test]
fn settings_and_changes_are_typed_and_come_back_by_undo() {
    let mut window = page("sprayer", ProvePage::SetUp);
    window.get_by_label("+ Add a setting").click();
    steps(&mut window);
    let id = window.state().project().set_up.ids().next().unwrap();
    type_into(&mut window, &format!("Name of setting {id}"), "pump delay");
    type_into(&mut window, "Value of pump delay", "2");
    type_into(&mut window, "Unit of pump delay", "s");
    let row = window.state().project().set_up.get(id).unwrap().clone();
    assert_eq!((row.name.as_str(), row.value_words().as_str()), ("pump delay", "2 s"));
    window.get_by_label("+ Add a change").click();
    steps(&mut window);
    let change = window.state().project().changes.ids().next().unwrap();
    type_into(&mut window, &format!("What of change {change}"), "new pump");
    assert_eq!(window.state().project().changes.get(change).unwrap().what, "new pump");
    window.get_by_label("Delete pump delay").click();
    steps(&mut window);
    assert!(window.state().project().set_up.is_empty());
    dispatch(window.state_mut(), Action::Run(ohmloom::app::Command::Undo));
    assert_eq!(window.state().project().set_up.len(), 1);
}

/// A photo beside the project is shown, a file that is no picture is there, one that is gone is said.
#[test]
fn photos_of_the_record_are_shown_and_what_is_gone_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = page("forwarder", ProvePage::SetUp);
    says(&window, "display-hold-5.jpg: looked for beside the project once that is saved");
    let photo = image::RgbImage::from_fn(300, 200, |x, y| image::Rgb([x as u8, y as u8, 90]));
    photo.save(folder.path().join("display-hold-5.jpg")).unwrap();
    window.state_mut().file = Some(folder.path().join("mine.ohmloom"));
    for _ in 0..6 {
        steps(&mut window);
        std::thread::sleep(std::time::Duration::from_millis(60));
    }
    window.get_by_label("Photo display-hold-5.jpg");
    says(&window, "▲ controller-sheet-p3.jpg is gone: there is no ");
    for (theme, word) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
        window.state_mut().preferences.theme = theme;
        steps(&mut window);
        picture_of(&mut window, &format!("prove-set-up-photo-{word}"));
    }
    // Looked for anew when the page is opened again.
    std::fs::write(folder.path().join("controller-sheet-p3.jpg"), b"no picture").unwrap();
    for shown in [ProvePage::Wear, ProvePage::SetUp] {
        dispatch(window.state_mut(), Action::ShowProvePage(shown));
        for _ in 0..6 {
            steps(&mut window);
            std::thread::sleep(std::time::Duration::from_millis(60));
        }
    }
    says(&window, "controller-sheet-p3.jpg is there, but not shown: expected a PNG or JPEG");
}

#[test]
fn the_story_follows_the_strip_and_the_clock_stands_still() {
    let mut window = page("forwarder", ProvePage::Arming);
    says(&window, "mode: automatic");
    put(&mut window, "Gate", 1);
    says(&window, "Gate to HOLD: the display still says AUTO");
    put(&mut window, "Lever", 2);
    says(&window, "Lever to fore (UP): the display says HOLD 4");
    put(&mut window, "Lever", 1);
    put(&mut window, "Gate", 0);
    says(&window, "Gate to AUTO: the display says AUTO");
    window.get_by_label("Let 60 s pass").click();
    steps(&mut window);
    says(&window, "60 s waited: the display still says AUTO");
    let n = window.state().project().story.seen.len();
    window.get_by_label("Write the last one into the table").click();
    steps(&mut window);
    let seen = &window.state().project().story.seen;
    assert_eq!(seen.len(), n + 1);
    assert_eq!(seen.iter().next_back().unwrap().1.deed, Deed::Waited { ms: 60_000 });
    says(&window, "60 s waited: the display still says AUTO");
    window.get_by_label("Switch off and on").click();
    steps(&mut window);
    says(&window, "switched off and on: the display still says AUTO");
}

#[test]
fn what_was_seen_settles_what_was_not_known_and_contradictions_show() {
    let mut window = page_of("forwarder", ProvePage::Arming, [1440.0, 2000.0]);
    says(&window, "range 4");
    says(&window, "Try next: Lever to aft (DOWN) and back");
    let lever = control(&window, "Lever");
    let deed = Deed::Tapped { control: lever, position: 0 };
    let seen = Observation { deed, display: None };
    let add = Action::Edit(Edit::SetStory(StoryEdit::AddSeen(seen)), None);
    dispatch(window.state_mut(), add);
    steps(&mut window);
    type_into(&mut window, "Display of row 6", "HOLD 3");
    says(&window, "One story explains every row.");
    type_into(&mut window, "Display of row 1", "HOLD 9");
    says(&window, "Row 1 contradicts the rows before it; it goes away without row 1");
    says(&window, "no mode has a display that says HOLD 9");
    type_into(&mut window, "Display of row 1", "dark");
    let row = window.state().project().story.seen.iter().next().unwrap().1.clone();
    assert_eq!(row.display.as_deref(), Some(""), "somebody looked, and it was dark");
    says(&window, "no mode has a display that says dark");
    says(&window, "⚠ Before you try it");
}

#[test]
fn a_story_is_begun_from_nothing_by_keyboard() {
    let mut window = page("sprayer", ProvePage::Arming);
    says(&window, "No story yet");
    for _ in 0..2 {
        window.get_by_label("+ Add a mode").focus();
        window.run();
        window.key_press(Key::Enter);
        steps(&mut window);
    }
    type_into(&mut window, "Display of mode mode 1", "WAIT");
    type_into(&mut window, "Display of mode mode 2", "READY");
    window.get_by_label("+ Add a link").focus();
    window.run();
    window.key_press(Key::Enter);
    steps(&mut window);
    type_into(&mut window, "After of link 1", "2 s");
    let story = &window.state().project().story;
    assert_eq!(story.links.iter().next().unwrap().1.after_ms, Some(2_000));
    put(&mut window, "LEFT", 1);
    says(&window, "LEFT to on: the display still says WAIT");
    put(&mut window, "LEFT", 0);
    window.get_by_label("Let 10 s pass").click();
    steps(&mut window);
    put(&mut window, "LEFT", 1);
    says(&window, "LEFT to on: the display says READY");
    says(&window, "can be left only by switching off");
}

#[test]
fn pictures_of_set_up_and_arming() {
    for (theme, word) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
        for (scale, size) in [(1.0, "100"), (2.0, "200")] {
            for (shown, name) in [(ProvePage::SetUp, "set-up"), (ProvePage::Arming, "arming")] {
                let tall = if scale > 1.0 { [1440.0, 5200.0] } else { [1440.0, 1500.0] };
                let size_of = |tall_too: bool| if tall_too { tall } else { USUAL };
                for is_tall in [false, true] {
                    let mut window = page_of("forwarder", shown, size_of(is_tall));
                    let mut preferences = window.state().preferences;
                    preferences.theme = theme;
                    preferences.text_scale = scale;
                    dispatch(window.state_mut(), Action::SetPreferences(preferences));
                    steps(&mut window);
                    if shown == ProvePage::Arming {
                        put(&mut window, "Gate", 1);
                    }
                    let end = if is_tall { "-tall" } else { "" };
                    picture_of(&mut window, &format!("prove-{name}-{word}-{size}{end}"));
                    if !is_tall {
                        window.set_size(egui::vec2(1280.0, 800.0) / scale);
                        steps(&mut window);
                        picture_of(&mut window, &format!("prove-{name}-{word}-{size}-small"));
                    }
                }
            }
        }
    }
}
