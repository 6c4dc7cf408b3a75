//! Stage Prove by keyboard alone: from F9 through the guided run to its last step.

use egui::{Event, Key};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use ohmloom::app::{Action, AppState, ProvePage, Stage, ThemeChoice, dispatch};
use ohmloom::edit::{Edit, Item};
use ohmloom::model::{BenchReading, BenchRun, Shown};
use ohmloom::proving::Tally;
use ohmloom::proving::plan::{Limits, Plan, Step, StepKind};
use ohmloom::sheets::SheetKind;
use ohmloom::store;

use crate::bench::{USUAL, picture_of, settle, window, with_sample};

type Window = Harness<'static, AppState>;

fn press(window: &mut Window, key: Key) {
    window.key_press(key);
    window.run_steps(3);
    settle(window);
    window.run();
}

/// Types into whatever has the keyboard.
fn keys(window: &mut Window, text: &str) {
    window.event(Event::Text(text.into()));
    window.run_steps(3);
    settle(window);
    window.run();
}

fn plan(window: &Window) -> Plan {
    let state = window.state();
    state.studies.proving.plan(state.history.revision()).unwrap().unwrap().clone()
}

fn round(window: &Window) -> &BenchRun {
    window.state().project().bench_runs.iter().next_back().unwrap().1
}

/// What a person types who reads what is usual.
fn usual(step: &Step) -> String {
    match step.limits.unwrap() {
        Limits::Open { .. } => "OL".into(),
        Limits::Figure { usual, .. } => format!("{usual:.4}"),
    }
}

fn begun(sample: &str) -> Window {
    let mut window = window(with_sample(sample), USUAL);
    press(&mut window, Key::F9);
    assert_eq!(window.state().stage, Stage::Prove);
    press(&mut window, Key::Enter);
    assert_eq!(window.state().project().bench_runs.len(), 1, "a round is begun");
    window.get_by_label_contains("step 1 of");
    window
}

/// Begun by a key, the first reading is what is typed next, and Enter takes it.
#[test]
fn a_round_begins_at_its_first_reading_and_its_date_can_wait() {
    let mut window = begun("sprayer");
    let first = plan(&window).steps[0].clone();
    assert!(first.blocked.is_none());
    keys(&mut window, &usual(&first));
    press(&mut window, Key::Enter);
    assert!(round(&window).readings.contains_key(&first.key));
    window.get_by_label_contains("step 2 of");
    // The same by the button, whether clicked or pressed by key.
    press(&mut window, Key::Escape);
    click(&mut window, "Begin a round");
    assert_eq!(window.state().project().bench_runs.len(), 2);
    keys(&mut window, &usual(&first));
    press(&mut window, Key::Enter);
    assert!(round(&window).readings.contains_key(&first.key));
    press(&mut window, Key::Escape);
    window.get_by_label("Begin a round").focus();
    window.run();
    press(&mut window, Key::Enter);
    assert_eq!(window.state().project().bench_runs.len(), 3);
    keys(&mut window, &usual(&first));
    press(&mut window, Key::Enter);
    assert!(round(&window).readings.contains_key(&first.key));
}

#[test]
fn the_guided_run_goes_from_f9_to_the_last_step_by_keyboard_alone() {
    let mut window = begun("sprayer");
    let plan = plan(&window);
    let todo: Vec<&Step> = plan.steps.iter().filter(|step| step.blocked.is_none()).collect();
    assert!(todo.len() > 20);
    for (n, step) in todo.iter().enumerate() {
        assert!(
            window.query_all_by_label(&step.title).next().is_some(),
            "step {n} {} is not shown",
            step.title
        );
        // Every other figure is taken by the foot key.
        keys(&mut window, &usual(step));
        if n % 2 == 0 {
            keys(&mut window, " ");
        } else {
            press(&mut window, Key::Enter);
        }
        assert!(round(&window).readings.contains_key(&step.key), "{}", step.title);
    }
    window.get_by_label("✔ All that can be done is done");
    shoot(&mut window, "done");
    // What is not known of the round is a key away, and so is the hand-over.
    press(&mut window, Key::D);
    keys(&mut window, "2027-03-14");
    press(&mut window, Key::Enter);
    assert_eq!(round(&window).date, "2027-03-14");
    press(&mut window, Key::Enter);
    press(&mut window, Key::T);
    assert!(round(&window).is_hand_over);
    press(&mut window, Key::S);
    assert!(window.state().packet.is_open);
    for _ in 0..4 {
        settle(&mut window);
        window.run_steps(3);
    }
    let shown = window.state().packet.shown(window.state().history.revision()).unwrap();
    let mark = shown.0.bookmarks.iter().find(|mark| mark.kind == SheetKind::SignOff).unwrap();
    assert_eq!(window.state().stages.packet.page, mark.page, "the sign-off sheet is shown");
    press(&mut window, Key::Escape);
    assert!(!window.state().packet.is_open);
    let tally = Tally::of(&plan, round(&window));
    assert_eq!((tally.good, tally.bad, tally.open), (todo.len(), 0, 0));
    let text = store::write(window.state().project());
    assert_eq!(&store::read(text.as_bytes()).unwrap(), window.state().project());
    press(&mut window, Key::Escape);
    window.get_by_label("Rounds");
}

fn go_to(window: &mut Window, plan: &Plan, wanted: impl Fn(&Step) -> bool) -> Step {
    for step in &plan.steps {
        if wanted(step) {
            return step.clone();
        }
        press(window, Key::PageDown);
    }
    panic!("no such step")
}

#[test]
fn a_wrong_button_is_asked_about_a_bad_reading_stays_and_undo_takes_it_back() {
    let mut window = begun("sprayer");
    let plan = plan(&window);
    let left = go_to(&mut window, &plan, |step| {
        step.kind == StepKind::Ohms && step.title.ends_with(": LEFT on")
    });
    keys(&mut window, "1.834");
    keys(&mut window, " ");
    assert!(round(&window).readings.is_empty(), "a unit may follow");
    keys(&mut window, "k");
    keys(&mut window, " ");
    assert!(round(&window).readings.is_empty(), "it is asked about");
    window.get_by_label_contains("CENTRE on reads, not");
    shoot(&mut window, "asked");
    press(&mut window, Key::Enter);
    assert!(window.query_by_label_contains("CENTRE on reads, not").is_none());
    // Something that no state reads is kept, and said to be wrong.
    keys(&mut window, "47k");
    press(&mut window, Key::Enter);
    assert_eq!(round(&window).readings[&left.key].shown, Some(Shown::Ohm(47e3)));
    window.get_by_label_contains("✖ 47.00 kΩ: too high");
    window.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    window.run();
    assert!(round(&window).readings.is_empty(), "undone");
    // A better one, then the step is left out, with a reason.
    keys(&mut window, "1405");
    press(&mut window, Key::Enter);
    press(&mut window, Key::PageUp);
    window.get_by_label_contains("✔ 1.405 kΩ: good");
    press(&mut window, Key::F11);
    keys(&mut window, "plug out of reach");
    press(&mut window, Key::Enter);
    let kept = &round(&window).readings[&left.key];
    assert_eq!((kept.shown, kept.note.as_str()), (None, "plug out of reach"));
    // A changed drawing makes it stale.
    let project = window.state().project();
    let (id, part) = project.parts.iter().find(|(_, part)| part.kind.resistor().is_some()).unwrap();
    let mut part = part.clone();
    if let ohmloom::model::PartKind::Resistor(row) = &mut part.kind {
        row.ohm *= 2.0;
    }
    dispatch(window.state_mut(), Action::Edit(Edit::SetPart(id, Box::new(part)), None));
    window.run_steps(2);
    settle(&mut window);
    window.run();
    let now = self::plan(&window);
    assert_eq!(Tally::of(&now, round(&window)).stale, 1);
}

const THEMES: [(ThemeChoice, &str); 2] =
    [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")];

/// Every page in a size: at the usual one, small, and both with text of twice the size.
const SIZES: [(&str, [f32; 2], f32); 4] = [
    ("usual", USUAL, 1.0),
    ("small", [1280.0, 800.0], 1.0),
    ("large-text", USUAL, 2.0),
    ("small-large-text", [1280.0, 800.0], 2.0),
];

fn shoot(window: &mut Window, name: &str) {
    for (theme, word) in THEMES {
        for (size_word, size, scale) in SIZES {
            window.state_mut().preferences.text_scale = 1.0;
            window.run_steps(3);
            window.set_size(size.into());
            window.state_mut().preferences.theme = theme;
            window.state_mut().preferences.text_scale = scale;
            window.run_steps(4);
            settle(window);
            window.run();
            let path = picture_of(window, &format!("prove-{name}-{size_word}-{word}"));
            assert!(std::fs::metadata(path).unwrap().len() > 10_000);
        }
    }
    window.state_mut().preferences.text_scale = 1.0;
    window.run_steps(3);
    window.set_size(USUAL.into());
    window.run_steps(4);
}

#[test]
fn pictures_of_the_bench_test() {
    let mut window = begun("forwarder");
    let plan = plan(&window);
    press(&mut window, Key::Escape);
    shoot(&mut window, "rounds");
    press(&mut window, Key::Enter);
    shoot(&mut window, "tape");
    go_to(&mut window, &plan, |step| step.kind == StepKind::Mirror);
    shoot(&mut window, "mirror");
    let ohms: Vec<&Step> = plan.steps.iter().filter(|step| step.kind == StepKind::Ohms).collect();
    let wanted = ohms[ohms.len() / 2].key.clone();
    press(&mut window, Key::Escape);
    press(&mut window, Key::Enter);
    go_to(&mut window, &plan, |step| step.key == wanted);
    keys(&mut window, "47k");
    press(&mut window, Key::Enter);
    shoot(&mut window, "ohms");
}

/// The contact of LEFT stays open: with LEFT on the sprayer reads its end resistor, as at rest.
#[test]
fn one_key_leads_from_a_bad_reading_to_its_cause_and_the_next_measurement() {
    let mut window = begun("sprayer");
    let plan = plan(&window);
    go_to(&mut window, &plan, |step| {
        step.kind == StepKind::Ohms && step.title.ends_with(": LEFT on")
    });
    keys(&mut window, "22.0k ");
    window.get_by_label_contains("all at rest reads, not");
    keys(&mut window, "22.0k ");
    window.get_by_label_contains("✖ 22.00 kΩ: too high");
    press(&mut window, Key::F12);
    assert_eq!(window.state().studies.proving.page, ProvePage::Cause);
    let pin = window.state().shown_pin().unwrap();
    let report = |window: &Window| {
        let state = window.state();
        let report = state.studies.proving.report(state.history.revision(), pin);
        report.unwrap().unwrap().clone().unwrap()
    };
    let first = report(&window);
    assert_eq!(first.judged.len(), 1, "the reading of the round counts");
    assert!(!first.judged[0].is_inside && first.suspects.len() >= 2);
    let next = first.next.clone().unwrap();
    window.get_by_label(&next.words);
    click(&mut window, "Set the controls so");
    assert_eq!(window.state().bench, next.state);
    // Nothing of LEFT conducts, so every state reads as without it: both others on 1229.2 Ω
    // (2000 ∥ 3300 ∥ 22000 plus the wires).
    press(&mut window, Key::Escape);
    press(&mut window, Key::Enter);
    keys(&mut window, "soon");
    press(&mut window, Key::Enter);
    window.get_by_label_contains("⚠ Not taken");
    window.get_by_role_and_label(egui::accesskit::Role::TextInput, "Reading at the pin").focus();
    window.run();
    window.key_press_modifiers(egui::Modifiers::COMMAND, Key::A);
    window.run();
    let state = &next.state;
    let on = |name: &str| {
        let project = window.state().project();
        let (id, control) = project.controls.iter().find(|(_, c)| c.name == name).unwrap();
        state.position(id, control) != control.rest
    };
    let parts: f64 = [("CENTRE", 2000.0), ("RIGHT", 3300.0)]
        .iter()
        .filter(|(name, _)| on(name))
        .map(|(_, ohm)| 1.0 / ohm)
        .sum();
    let ohm = 1.0 / (parts + 1.0 / 22_000.0) + 0.5;
    keys(&mut window, &format!("{ohm:.1}"));
    press(&mut window, Key::Enter);
    let second = report(&window);
    assert_eq!(second.judged.len(), 2);
    assert!(second.suspects[0].title.contains("R1 open"), "{:?}", second.suspects);
    assert!(second.words.to_lowercase().contains("next likely") || second.next.is_some());
    shoot(&mut window, "cause");
}

/// Nothing but one reading is done, and that is wrong: the end of the round leads on by key.
#[test]
fn the_end_of_a_round_leads_to_the_cause_and_to_what_has_aged() {
    let mut window = window(with_sample("rescue-boat"), USUAL);
    press(&mut window, Key::F9);
    settle(&mut window);
    click(&mut window, "Begin a round");
    let plan = plan(&window);
    let bad = plan.steps.iter().find(|step| step.kind == StepKind::Ohms).unwrap();
    let mut run = round(&window).clone();
    for step in plan.steps.iter().filter(|step| step.limits.is_some()) {
        let shown = (step.key == bad.key).then_some(Shown::Ohm(14_000.0));
        let (note, drawing) = ("out of reach".into(), step.drawing);
        let reading = BenchReading { shown, last_digit: 10.0, note, drawing };
        run.readings.insert(step.key.clone(), reading);
    }
    let id = window.state().project().bench_runs.ids().next_back().unwrap();
    dispatch(window.state_mut(), Action::Edit(Edit::SetBenchRun(id, Box::new(run)), None));
    window.run_steps(3);
    settle(&mut window);
    press(&mut window, Key::Escape);
    press(&mut window, Key::Enter);
    window.get_by_label("✖ Done, but not all is good");
    shoot(&mut window, "done-bad");
    press(&mut window, Key::F12);
    let proving = |window: &Window| {
        let proving = &window.state().studies.proving;
        (proving.page, proving.round(), proving.rounds(window.state().project()))
    };
    let (page, round, _) = proving(&window);
    assert_eq!((page, round), (ProvePage::Cause, Some(id)));
    press(&mut window, Key::F9);
    press(&mut window, Key::W);
    let (page, _, rounds) = proving(&window);
    assert_eq!((page, rounds.map(|(_, now)| now)), (ProvePage::Wear, Some(id)));
    press(&mut window, Key::F9);
    press(&mut window, Key::Enter);
    let reading = |window: &Window| round_of(window, id).readings[&bad.key].shown;
    keys(&mut window, "16.09k");
    press(&mut window, Key::Enter);
    assert_eq!(reading(&window), Some(Shown::Ohm(16_090.0)), "the bad one was read again");
    window.get_by_label("▲ Done but for what was left out");
}

fn round_of(window: &Window, id: ohmloom::model::BenchRunId) -> &BenchRun {
    window.state().project().bench_runs.get(id).unwrap()
}

/// The boat has a round of its hand-over and one of four years later.
#[test]
fn the_sample_with_two_rounds_shows_what_has_aged() {
    let mut window = window(with_sample("rescue-boat"), USUAL);
    press(&mut window, Key::F9);
    settle(&mut window);
    shoot(&mut window, "boat-rounds");
    click(&mut window, "Wear");
    window.get_by_label_contains("▲ contact S2");
    shoot(&mut window, "boat-wear");
}

fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run_steps(3);
    settle(window);
    window.run();
}

#[test]
fn a_hidden_fault_is_measured_named_and_scored() {
    let mut window = window(with_sample("sprayer"), USUAL);
    press(&mut window, Key::F9);
    click(&mut window, "Practice");
    let hidden = |window: &Window| {
        let state = window.state();
        let (revision, pin) = (state.history.revision(), state.shown_pin().unwrap());
        let proving = &state.studies.proving;
        let practice = proving.practice(revision, pin).unwrap().unwrap();
        let inquiry = proving.inquiry(revision, pin).unwrap().unwrap();
        let title = inquiry.survey.rows[practice.answer()].fault.title.clone();
        (practice.seed, title, practice.engine())
    };
    let (seed, title, engine) = hidden(&window);
    assert_eq!(seed, 1);
    press(&mut window, Key::Enter);
    window.get_by_label("1 measurement");
    press(&mut window, Key::Enter);
    window.get_by_label("1 measurement");
    window.key_press_modifiers(egui::Modifiers::SHIFT, Key::Enter);
    window.run();
    window.get_by_label("2 measurements");
    shoot(&mut window, "practice");
    // Its name typed in full leaves one on the list, which Enter names.
    let name = "Part of the fault's name";
    window.get_by_role_and_label(egui::accesskit::Role::TextInput, name).focus();
    window.run();
    keys(&mut window, &title);
    press(&mut window, Key::Enter);
    window.get_by_label_contains("✔ Right");
    window.get_by_label_contains("You: 2 measurements; the program itself");
    assert!(engine.is_some());
    shoot(&mut window, "practice-end");
    click(&mut window, "Go on to the next fault");
    assert_eq!(hidden(&window).0, 2);
    window.get_by_label("0 measurements");
    // The number that is typed brings the first one back.
    window.get_by_role_and_label(egui::accesskit::Role::TextInput, "Number of the fault").focus();
    window.run();
    keys(&mut window, "1");
    press(&mut window, Key::Enter);
    assert_eq!(hidden(&window), (1, title, engine));
}

/// What was measured and named belongs to the drawing it was hidden in: after an edit that leaves
/// fewer faults to name, a fault is hidden anew.
#[test]
fn a_changed_drawing_begins_the_practice_anew() {
    let mut window = window(with_sample("sprayer"), USUAL);
    press(&mut window, Key::F9);
    click(&mut window, "Practice");
    press(&mut window, Key::Enter);
    window.get_by_label("1 measurement");
    click(&mut window, "Give up");
    window.get_by_label("– Given up");
    let project = window.state().project();
    let (id, _) = project.parts.iter().find(|(_, part)| part.name == "R3").unwrap();
    let edit = Edit::Remove([Item::Part(id)].into());
    dispatch(window.state_mut(), Action::Edit(edit, None));
    window.run_steps(2);
    settle(&mut window);
    window.run();
    window.get_by_label("0 measurements");
    assert!(window.query_by_label("– Given up").is_none());
    // A round changes nothing that is drawn, so what was measured stays.
    press(&mut window, Key::Enter);
    window.get_by_label("1 measurement");
    let edit = Edit::AddBenchRun(Box::default());
    dispatch(window.state_mut(), Action::Edit(edit, None));
    window.run_steps(2);
    settle(&mut window);
    window.run();
    window.get_by_label("1 measurement");
}

/// Two rounds four years apart: 60 Ω have come wherever LEFT is on.
#[test]
fn two_rounds_are_compared_in_words() {
    let mut window = window(with_sample("sprayer"), USUAL);
    press(&mut window, Key::F9);
    click(&mut window, "Wear");
    window.get_by_label_contains("Two rounds with readings are needed");
    let plan = plan(&window);
    for (name, date, more) in [("hand-over", "2027-03-14", 0.0), ("check", "2031-03-14", 60.0)] {
        let mut run = BenchRun { name: name.into(), date: date.into(), ..BenchRun::default() };
        run.is_hand_over = name == "hand-over";
        for step in plan.steps.iter().filter(|step| step.kind == StepKind::Ohms) {
            let Some(Limits::Figure { usual, .. }) = step.limits else { continue };
            let mut list = vec![22e3];
            for (word, ohm) in [("LEFT", 1500.0), ("CENTRE", 2000.0), ("RIGHT", 3300.0)] {
                if step.title.contains(word) {
                    list.push(ohm);
                }
            }
            let beside = |list: &[f64]| 1.0 / list.iter().map(|ohm| 1.0 / ohm).sum::<f64>();
            let before = beside(&list);
            for ohm in list.iter_mut().filter(|ohm| **ohm == 1500.0) {
                *ohm += more;
            }
            let shown = Some(Shown::Ohm(usual + beside(&list) - before));
            let (note, drawing) = (String::new(), step.drawing);
            let reading = BenchReading { shown, last_digit: 0.0, note, drawing };
            run.readings.insert(step.key.clone(), reading);
        }
        let edit = Edit::AddBenchRun(Box::new(run));
        dispatch(window.state_mut(), Action::Edit(edit, None));
        window.run_steps(2);
    }
    settle(&mut window);
    window.run();
    window.get_by_label_contains("has 60.");
    shoot(&mut window, "wear");
}

/// What was looked up beside the bench test is left by the key of the stage, and a step puts the
/// controls of the window as it wants them held.
#[test]
fn the_key_of_the_stage_leads_back_and_a_step_moves_the_controls() {
    let mut window = window(with_sample("sprayer"), USUAL);
    settle(&mut window);
    press(&mut window, Key::F9);
    dispatch(window.state_mut(), Action::ShowProvePage(ProvePage::Cause));
    window.run_steps(3);
    settle(&mut window);
    press(&mut window, Key::F9);
    assert_eq!(window.state().studies.proving.page, ProvePage::Bench);
    let plan = plan(&window);
    let is_moved = |step: &Step| {
        step.state.as_ref().is_some_and(|state| window.state().project().n_off_rest(state) > 0)
    };
    let at = plan.steps.iter().position(is_moved).unwrap();
    press(&mut window, Key::Enter);
    let wanted = plan.steps[at].state.clone().unwrap();
    assert!(!window.state().project().stands(&wanted, &window.state().bench));
    for _ in 0..at {
        press(&mut window, Key::PageDown);
    }
    assert!(window.state().project().stands(&wanted, &window.state().bench));
}
