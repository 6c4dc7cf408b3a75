//! The panel in a harness: what a hand does by label, and what comes of it in the project.

use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use crate::app::panels::inspector_ui;
use crate::app::{Action, Actions, AppState, dispatch, theme};
use crate::edit::{Edit, Item, parse_placing};
use crate::geometry::point;
use crate::model::{
    CavityFit, Control, Corner, Course, Lines, Numbering, PartId, PartKind, Project, SensePin, Span,
};
use crate::samples;

/// The panel alone, with all its actions carried out and remembered.
struct Bench {
    state: AppState,
    done: Vec<Action>,
}

fn bench_ui(ui: &mut egui::Ui, bench: &mut Bench) {
    theme::apply(ui.ctx(), &bench.state.preferences);
    let revision = bench.state.history.revision();
    let state = &mut bench.state;
    state.derived.refresh(state.history.project(), revision, &state.bench, &state.meter);
    let mut actions = Actions::default();
    let (view, _, panels, _) = state.split();
    egui::CentralPanel::default().show(ui, |ui| {
        inspector_ui(ui, view, false, &mut panels.inspector, &mut actions);
    });
    for action in actions.take() {
        bench.done.push(action.clone());
        dispatch(&mut bench.state, action);
    }
}

fn panel(state: AppState) -> Harness<'static, Bench> {
    let mut harness = Harness::builder()
        .with_size([340.0, 2600.0])
        .with_max_steps(30)
        .with_context_setup(theme::install_fonts)
        .build_ui_state(bench_ui, Bench { state, done: Vec::new() });
    harness.run();
    harness
}

fn forwarder() -> AppState {
    AppState::new(samples::open("forwarder").unwrap())
}

fn part_named(project: &Project, name: &str) -> PartId {
    project.parts.iter().find(|(_, part)| part.name == name).unwrap().0
}

fn with_part(mut state: AppState, name: &str) -> AppState {
    state.selection = [Item::Part(part_named(state.project(), name))].into();
    state
}

fn resistor_ohm(harness: &Harness<'_, Bench>, name: &str) -> f64 {
    let project = harness.state().state.project();
    match &project.parts.get(part_named(project, name)).unwrap().kind {
        PartKind::Resistor(resistor) => resistor.ohm,
        other => panic!("{name} is a {}", other.noun()),
    }
}

fn click(harness: &mut Harness<'_, Bench>, role: Role, label: &str) {
    harness.get_by_role_and_label(role, label).click();
    harness.run();
}

fn press(harness: &mut Harness<'_, Bench>, label: &str) {
    click(harness, Role::Button, label);
}

/// Enters a field, which marks all of a figure, and types.
fn type_into(harness: &mut Harness<'_, Bench>, field: &str, text: &str) {
    harness.get_by_role_and_label(Role::TextInput, field).focus();
    harness.run();
    harness.get_by_role_and_label(Role::TextInput, field).type_text(text);
    harness.run();
}

fn shown(harness: &Harness<'_, Bench>, field: &str) -> String {
    harness.get_by_role_and_label(Role::TextInput, field).value().unwrap()
}

fn pick(harness: &mut Harness<'_, Bench>, choice: &str, option: &str) {
    click(harness, Role::ComboBox, choice);
    press(harness, option);
}

fn only_pin(harness: &Harness<'_, Bench>) -> SensePin {
    harness.state().state.project().sense_pins.iter().next().unwrap().1.clone()
}

fn control_named(harness: &Harness<'_, Bench>, name: &str) -> Control {
    let project = harness.state().state.project();
    project.controls.iter().find(|(_, control)| control.name == name).unwrap().1.clone()
}

#[test]
fn a_resistor_takes_a_value_that_is_typed_as_one_step() {
    let mut harness = panel(with_part(forwarder(), "R1"));
    type_into(&mut harness, "Value", "4k7");
    assert_eq!(resistor_ohm(&harness, "R1"), 4700.0);
    harness.key_press(egui::Key::Enter);
    harness.run();
    assert_eq!(shown(&harness, "Value"), "4.7 kΩ");
    let edits = harness
        .state()
        .done
        .iter()
        .filter(|action| matches!(action, Action::Edit(Edit::SetPart(..), Some(_))));
    assert!(edits.count() >= 1);
    let history = &mut harness.state_mut().state.history;
    assert_eq!(history.undo().as_deref(), Some("change R1"));
    assert_eq!(resistor_ohm(&harness, "R1"), 6810.0, "one visit is one step");
}

#[test]
fn what_means_nothing_keeps_the_last_good_value_and_loses_nothing_typed() {
    for (text, says) in [
        ("soon", "a resistance such as 4k7"),
        ("0", "above zero"),
        ("-5", "a resistance such as 4k7"),
    ] {
        let mut harness = panel(with_part(forwarder(), "R1"));
        type_into(&mut harness, "Value", text);
        harness.key_press(egui::Key::Enter);
        harness.run();
        assert_eq!(resistor_ohm(&harness, "R1"), 6810.0, "{text}");
        assert_eq!(shown(&harness, "Value"), text);
        let sentence = harness.get_by_label_contains("Not taken:");
        let words = sentence.value().unwrap();
        assert!(words.contains(says) && words.contains("6.81 kΩ is kept"), "{words}");
        // It is still there after something else was selected in between.
        let resistor = harness.state().state.selection.clone();
        harness.state_mut().state.selection.clear();
        harness.run();
        harness.state_mut().state.selection = resistor;
        harness.run();
        assert_eq!(shown(&harness, "Value"), text);
        press(&mut harness, "Put back");
        assert_eq!(shown(&harness, "Value"), "6.81 kΩ");
        assert!(harness.query_by_label_contains("Not taken:").is_none());
    }
}

#[test]
fn escape_takes_a_visit_back() {
    let mut harness = panel(with_part(forwarder(), "R1"));
    type_into(&mut harness, "Value", "1k");
    assert_eq!(resistor_ohm(&harness, "R1"), 1000.0);
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert_eq!(resistor_ohm(&harness, "R1"), 6810.0);
    assert_eq!(shown(&harness, "Value"), "6.81 kΩ");
}

#[test]
fn a_value_that_is_no_preferred_one_can_be_changed_to_the_nearest() {
    let mut harness = panel(with_part(forwarder(), "R1"));
    type_into(&mut harness, "Value", "6.95k");
    press(&mut harness, "Take 6.98 kΩ of E96");
    assert_eq!(resistor_ohm(&harness, "R1"), 6980.0);
}

#[test]
fn a_band_can_be_added_and_its_edges_cannot_cross_or_overlap() {
    let mut harness = panel(forwarder());
    press(&mut harness, "Sense pins");
    press(&mut harness, "+ Add a band");
    let bands = only_pin(&harness).bands;
    assert_eq!(bands.len(), 5);
    let added = bands[4].clone();
    // Upside down: said and not taken.
    type_into(&mut harness, &format!("{} from", added.name), "45k");
    let words = harness.get_by_label_contains("Not taken:").value().unwrap();
    assert!(words.contains("upside down"), "{words}");
    assert_eq!(only_pin(&harness).bands[4], added);
    press(&mut harness, "Put back");
    // Over another band: said and not taken.
    type_into(&mut harness, "UP to", "2.2k");
    let words = harness.get_by_label_contains("Not taken:").value().unwrap();
    assert!(words.contains("overlap band DOWN (2.1 kΩ … 2.5 kΩ)"), "{words}");
    assert_eq!(only_pin(&harness).bands[0].high, Some(1120.0));
}

#[test]
fn a_renamed_band_takes_its_rules_with_it() {
    let mut harness = panel(forwarder());
    press(&mut harness, "Sense pins");
    let rules = |pin: &SensePin, name: &str| {
        pin.expectations.iter().filter(|rule| rule.action == name).count()
    };
    let before = rules(&only_pin(&harness), "UP");
    assert!(before > 0);
    harness.get_by_role_and_label(Role::TextInput, "Name of band 1").focus();
    harness.run();
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    harness.run();
    harness.get_by_role_and_label(Role::TextInput, "Name of band 1").type_text("RAISE");
    harness.run();
    assert_eq!(only_pin(&harness).bands[0].name, "RAISE");
    assert_eq!(rules(&only_pin(&harness), "RAISE"), before);
}

#[test]
fn a_contact_changes_what_it_does_in_a_position() {
    let mut harness = panel(forwarder());
    press(&mut harness, "Controls");
    press(&mut harness, "Gate");
    press(&mut harness, "S1 closed in HOLD");
    let gate = control_named(&harness, "Gate");
    assert!(
        gate.positions.iter().all(|position| position.throws.values().all(|throw| *throw == 0))
    );
    press(&mut harness, "+ Add a position");
    assert_eq!(control_named(&harness, "Gate").positions.len(), 3);
}

/// Puts things on the sheet as the sheet does; returns the first part of each.
fn sheet(state: &mut AppState, placings: &[&str]) -> Vec<PartId> {
    (0u8..)
        .zip(placings)
        .map(|(row, text)| {
            let placement = parse_placing(text).unwrap().at(point(40.0 * f64::from(row), 0.0));
            dispatch(state, Action::Edit(Edit::Place(placement), None));
            match state.selection.first() {
                Some(Item::Part(id)) => *id,
                other => panic!("{text} placed {other:?}"),
            }
        })
        .collect()
}

#[test]
fn from_an_empty_project_to_a_decoded_reading() {
    let mut state = AppState::new(Project::empty("ladder"));
    let ids = sheet(&mut state, &["supply 12", "1k", "controller 1x4"]);
    let contact = {
        // A contact without a control: the panel makes one.
        let mut placement = parse_placing("button").unwrap();
        placement.control = None;
        dispatch(&mut state, Action::Edit(Edit::Place(placement), None));
        part_named(state.project(), "S1")
    };
    let terminal = |part: PartId, terminal: u16| crate::model::TerminalRef { part, terminal };
    let joins = [
        (terminal(ids[0], 0), terminal(contact, 0)),
        (terminal(contact, 1), terminal(ids[1], 0)),
        (terminal(ids[1], 1), terminal(ids[2], 2)),
    ];
    for (from, to) in joins {
        let end = |terminal| crate::model::End { terminal, kind: None };
        let wire = crate::model::Wire {
            name: String::new(),
            circuit: String::new(),
            from: end(from),
            to: end(to),
            bends: Vec::new(),
            size: crate::model::WireSize::Mm2(0.5),
            colour: crate::model::Colour::plain(crate::model::BaseColour::Red),
            usage: crate::model::WireUse::Harness,
            via: Vec::new(),
            typed_length_mm: None,
            make: Default::default(),
        };
        dispatch(&mut state, Action::Edit(Edit::AddWire(wire), None));
    }
    let mut harness = panel(with_part(state, "S1"));
    press(&mut harness, "Make a control for S1");
    harness.state_mut().state.selection = [Item::Part(ids[2])].into();
    harness.run();
    press(&mut harness, "cavity 3, face view");
    press(&mut harness, "Make cavity 3 a sense pin");
    let pin = only_pin(&harness);
    assert_eq!((pin.terminal, pin.reference), (terminal(ids[2], 2), terminal(ids[0], 0)));
    press(&mut harness, "Sense pins");
    press(&mut harness, "+ Add a band");
    // The upper edge first: a band is never upside down in between.
    type_into(&mut harness, "Band 1 to", "1.1k");
    type_into(&mut harness, "Band 1 from", "900");
    press(&mut harness, "+ Add a rule");
    let pin = only_pin(&harness);
    assert_eq!((pin.bands[0].low, pin.bands[0].high), (900.0, Some(1100.0)));
    assert_eq!(pin.expectations.len(), 1);
    let control = harness.state().state.project().controls.ids().next().unwrap();
    dispatch(&mut harness.state_mut().state, Action::MoveControl(control, 1));
    harness.run();
    let state = &harness.state().state;
    let row = state.derived.live(state.shown_pin().unwrap()).unwrap().row.clone().unwrap();
    assert!((row.ohm.nominal - 1000.0).abs() < 1.0, "{row:?}");
    assert_eq!((row.band, row.asked.as_slice()), (Some(0), ["Band 1".to_owned()].as_slice()));
    assert_eq!(row.verdict, Some(crate::sense::Verdict::Ok), "{}", row.why);
}

#[test]
fn a_layout_that_would_lose_a_wire_is_refused_in_words() {
    let mut harness = panel(with_part(forwarder(), "X2"));
    type_into(&mut harness, "Cavities", "1x2");
    // Half-typed arrangements do no harm: nothing is taken before the field is left.
    assert!(harness.query_by_label_contains("Not taken:").is_none());
    harness.key_press(egui::Key::Enter);
    harness.run();
    let words = harness.get_by_label_contains("Not taken:").value().unwrap();
    assert!(words.contains("would lose") && words.contains("2x3 is kept"), "{words}");
}

#[test]
fn settings_are_edited_where_nothing_is_selected() {
    let mut harness = panel(forwarder());
    type_into(&mut harness, "Closed contact, greatest", "7");
    assert_eq!(harness.state().state.project().settings.contact_ohm.high, 7.0);
    pick(&mut harness, "Wires", "no resistance");
    assert_eq!(harness.state().state.project().settings.wire_model, crate::model::WireModel::Ideal);
}

#[test]
fn every_page_of_every_sample_draws_with_named_fields() {
    for sample in samples::LIST {
        let project = samples::open(sample.name).unwrap();
        let mut state = AppState::new(project.clone());
        state.selection.clear();
        let mut harness = panel(state);
        for page in ["Controls", "Sense pins", "Settings"] {
            press(&mut harness, page);
        }
        // The harness itself fails on an input without a name.
        for item in project.parts.ids().map(Item::Part).chain(project.wires.ids().map(Item::Wire)) {
            harness.state_mut().state.selection = [item].into();
            harness.run();
        }
        assert!(
            harness.state().done.iter().all(|action| !matches!(action, Action::Edit(..))),
            "looking changes nothing"
        );
    }
}

#[test]
fn numbers_of_another_makers_pin_table_are_taken_over_when_confirmed() {
    let mut harness = panel(with_part(forwarder(), "X2"));
    let numbering = |harness: &Harness<'_, Bench>| {
        let project = harness.state().state.project();
        match &project.parts.get(part_named(project, "X2")).unwrap().kind {
            PartKind::Connector(connector) => connector.numbering,
            other => panic!("X2 is a {}", other.noun()),
        }
    };
    let before = numbering(&harness);
    press(&mut harness, "+ Numbers from another maker's pin table…");
    let field = "How the pin table is drawn";
    let text = |harness: &Harness<'_, Bench>| {
        harness.get_by_role_and_label(Role::MultilineTextInput, field).value().unwrap()
    };
    assert!(text(&harness).starts_with("wire view, latch up, first half"));
    harness.get_by_role_and_label(Role::MultilineTextInput, field).focus();
    harness.run();
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    harness.get_by_role_and_label(Role::MultilineTextInput, field).type_text("wires, latch");
    harness.run();
    assert!(harness.query_by_label_contains("found \"latch\"").is_some());
    harness
        .get_by_role_and_label(Role::MultilineTextInput, field)
        .type_text(" down, pins half, lower left, by columns");
    harness.run();
    assert!(harness.query_by_label_contains("found \"").is_none());
    assert_eq!(numbering(&harness), before, "nothing changes before it is confirmed");
    for picture in ["the pin table", "new face view", "new wire view"] {
        harness.get_by_role_and_label(Role::Button, &format!("cavity 1, {picture}"));
    }
    // The live half of X2 has sockets: seen from the wires of the other half is not mirrored, latch
    // down is half a turn, so their lower left is our upper right.
    press(&mut harness, "Take these numbers");
    let after = numbering(&harness);
    assert_eq!(
        after,
        Numbering { start: Corner::UpperRight, lines: Lines::Columns, course: Course::Reading }
    );
    assert!(harness.query_by_label(field).is_none());
    let history = &mut harness.state_mut().state.history;
    assert_eq!(history.undo().as_deref(), Some("change X1"));
    assert_eq!(numbering(&harness), before);
}

#[test]
fn what_fits_is_typed_and_forgotten_again() {
    let mut harness = panel(with_part(forwarder(), "X2"));
    let fit = |harness: &Harness<'_, Bench>| {
        let project = harness.state().state.project();
        match &project.parts.get(part_named(project, "X2")).unwrap().kind {
            PartKind::Connector(connector) => connector.fit,
            other => panic!("X2 is a {}", other.noun()),
        }
    };
    for (field, text) in
        [("Pitch", "4"), ("Conductor", "0.35 to 0.5 mm²"), ("Insulation", "1,2-2,1")]
    {
        type_into(&mut harness, field, text);
        harness.key_press(egui::Key::Enter);
        harness.run();
    }
    assert_eq!(
        fit(&harness),
        CavityFit {
            pitch_mm: Some(4.0),
            row_pitch_mm: None,
            conductor_mm2: Some(Span { low: 0.35, high: 0.5 }),
            insulation_mm: Some(Span { low: 1.2, high: 2.1 }),
        }
    );
    type_into(&mut harness, "Conductor", "not known");
    harness.key_press(egui::Key::Enter);
    harness.run();
    assert_eq!(fit(&harness).conductor_mm2, None);
}
