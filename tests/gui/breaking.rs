//! The pages of stage Break beside the faults: moves with their timeline, advice, the permit loop.

use egui_kittest::kittest::Queryable;
use ohmloom::app::{Action, AppState, BreakPage, Stage, ThemeChoice, dispatch};
use ohmloom::edit::Edit;
use ohmloom::model::ControlId;

use crate::bench::{SMALL, USUAL, picture_of, settle, window, with_empty_project, with_sample};

fn at(name: &str, page: BreakPage, theme: ThemeChoice) -> AppState {
    let mut state = with_sample(name);
    state.stage = Stage::Break;
    state.studies.breaking.page = page;
    state.preferences.theme = theme;
    state
}

const THEMES: [(ThemeChoice, &str); 2] =
    [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")];

#[test]
fn a_move_that_is_picked_shows_its_timeline_and_goes_to_its_start() {
    for (theme, name) in THEMES {
        let mut window = window(at("sprayer", BreakPage::Moves, theme), USUAL);
        settle(&mut window);
        window.get_by_label("0 long enough to count");
        let wanted = "Move LEFT off to on, then RIGHT on to off, from RIGHT on";
        window.get_by_label(wanted).click();
        window.run_steps(3);
        // The controls stand where the move starts.
        window.get_by_label("Decodes as RIGHT");
        window.get_by_label_contains(
            "Timeline of LEFT off to on, then RIGHT on to off: 0 ms to 6.2 ms",
        );
        window.get_by_label_contains("LEFT+RIGHT may stay for 30 ms from 0 ms on");
        picture_of(&mut window, &format!("sprayer-moves-{name}"));
    }
}

#[test]
fn a_slower_hand_makes_moves_count() {
    let mut window = window(at("sprayer", BreakPage::Moves, ThemeChoice::Paper), USUAL);
    settle(&mut window);
    let field = window.get_by_label("Skew");
    field.click();
    window.run_steps(2);
    for _ in 0..6 {
        window.key_press(egui::Key::Backspace);
    }
    window.run_steps(2);
    window.get_by_label("Skew").type_text("90");
    window.key_press(egui::Key::Enter);
    window.run_steps(3);
    settle(&mut window);
    assert_eq!(window.state().project().settings.timing.skew_ms, 90.0);
    // Of 48 moves of two toggles all pass the state in between; half of those that switch off end
    // in nothing, which is right between any two.
    assert!(window.query_by_label("0 long enough to count").is_none());
    window.get_by_label_contains("long enough to count");
    picture_of(&mut window, "sprayer-moves-slow");
}

#[test]
fn a_wrong_action_in_passing_is_drawn_in_ohms_too() {
    let mut state = at("forwarder", BreakPage::Moves, ThemeChoice::Paper);
    let mut settings = state.project().settings.clone();
    settings.timing.skew_ms = 70.0;
    dispatch(&mut state, Action::Edit(Edit::SetSettings(Box::new(settings)), None));
    let mut window = window(state, USUAL);
    settle(&mut window);
    window.get_by_label_contains("it counts, the debounce is only 60 ms");
    picture_of(&mut window, "forwarder-moves-paper");
}

#[test]
fn advice_names_its_number_and_leads_to_its_place() {
    for (theme, name) in THEMES {
        let mut window = window(at("forwarder", BreakPage::Advice, theme), USUAL);
        settle(&mut window);
        window.get_by_label("Independent stop");
        window.get_by_label("End resistor");
        window.get_by_label_contains("read open, as AUTO (open) does when nothing is broken");
        let stuck = "With S2 stuck closed, UP comes although nobody asked for it (Gate HOLD).";
        window.get_by_label_contains(stuck).click();
        window.run_steps(3);
        assert_eq!(window.state().selection.len(), 1, "the contact is selected");
        picture_of(&mut window, &format!("forwarder-advice-{name}"));
    }
}

#[test]
fn a_permit_loop_shows_its_table_beside_the_cautions() {
    for (theme, name) in THEMES {
        let mut window = window(at("forwarder", BreakPage::Permit, theme), USUAL);
        settle(&mut window);
        window.get_by_label("Closed only while Neutral is neutral");
        window.get_by_label_contains("Never bridge a permit loop");
        window.get_by_label("S6 bridged or welded: while Neutral in gear");
        window.get_by_label("● closed ◀ now");
        window.get_by_label("○ open").click();
        window.run_steps(3);
        let neutral = |state: &AppState| {
            let mut controls = state.project().controls.iter();
            let (id, _): (ControlId, _) =
                controls.find(|(_, control)| control.name == "Neutral").unwrap();
            state.bench.0.get(&id).copied()
        };
        assert_eq!(neutral(window.state()), Some(0));
        window.get_by_label("As the controls stand now the loop is open: it blocks");
        picture_of(&mut window, &format!("forwarder-permit-{name}"));
    }
}

#[test]
fn pages_fit_a_small_window_and_a_project_without_a_pin() {
    for page in BreakPage::ALL {
        let mut window = window(with_sample("railcar"), SMALL);
        window.state_mut().stage = Stage::Break;
        window.state_mut().studies.breaking.page = page;
        settle(&mut window);
        let name = page.word().to_lowercase().replace(' ', "-");
        picture_of(&mut window, &format!("railcar-{name}-small"));
        window.get_by_label(page.word());
    }
    let mut state = with_empty_project();
    state.stage = Stage::Break;
    let mut window = window(state, SMALL);
    window.get_by_label("Permit loop").click();
    window.run_steps(2);
    settle(&mut window);
    window.get_by_label("Draw a controller first.");
}
