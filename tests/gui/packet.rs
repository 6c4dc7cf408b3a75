//! The packet as a person works with it: open, pick and order sheets, turn pages, zoom, save, stop.

use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use ohmloom::app::{Action, AppState, Command, SaveWhat, Stage, ThemeChoice, dispatch};
use ohmloom::edit::Edit;
use ohmloom::model::Project;
use ohmloom::samples;
use ohmloom::sheets::SheetKind;

use crate::bench::{USUAL, picture_of, settle, window, with_project, with_sample};

type Window = Harness<'static, AppState>;

/// The window of a common laptop, in points at 100 %.
const LAPTOP: [f32; 2] = [1280.0, 800.0];

fn opened(mut state: AppState, size: [f32; 2]) -> Window {
    dispatch(&mut state, Action::Run(Command::Packet));
    let mut window = window(state, size);
    settle(&mut window);
    window.run();
    window
}

fn run(window: &mut Window, action: Action) {
    dispatch(window.state_mut(), action);
    window.run_steps(2);
    settle(window);
    window.run();
}

fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run_steps(2);
    settle(window);
    window.run();
}

fn sheets(window: &Window) -> Vec<SheetKind> {
    let state = window.state();
    let (packet, is_current) = state.packet.shown(state.history.revision()).unwrap();
    assert!(is_current);
    packet.bookmarks.iter().map(|mark| mark.kind).collect()
}

fn n_pages(window: &Window) -> usize {
    let state = window.state();
    state.packet.shown(state.history.revision()).unwrap().0.pages.len()
}

fn pick_only(window: &mut Window, kinds: &[SheetKind]) {
    let mut choices = window.state().packet.choices().clone();
    for (kind, is_on) in &mut choices.sheets {
        *is_on = kinds.contains(kind);
    }
    run(window, Action::ChoosePrint(Box::new(choices)));
}

fn type_into(window: &mut Window, field: &str, text: &str) {
    window.get_by_role_and_label(Role::TextInput, field).focus();
    window.run();
    window.get_by_role_and_label(Role::TextInput, field).type_text(text);
    window.run();
    window.key_press(egui::Key::Enter);
    window.run_steps(2);
    settle(window);
    window.run();
}

#[test]
fn the_packet_opens_by_key_and_word_takes_the_work_area_and_closes() {
    let mut window = window(with_sample("sprayer"), USUAL);
    assert!(window.query_by_label("Save PDF…").is_none());
    window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::P);
    window.run_steps(3);
    settle(&mut window);
    window.run();
    assert!(window.query_by_label("Save PDF…").is_some());
    assert!(window.query_by_label_contains("Page 1 of").is_some());
    assert!(window.query_by_label("Edge A1").is_none());
    window.key_press(egui::Key::Escape);
    window.run();
    assert!(window.query_by_label("Save PDF…").is_none());
    click(&mut window, "Packet");
    assert!(window.state().packet.is_open);
    click(&mut window, "Cut");
    assert!(!window.state().packet.is_open);
    assert_eq!(window.state().stage, Stage::Cut);
}

#[test]
fn sheets_are_picked_and_put_in_order_and_the_pages_follow() {
    let mut window = opened(with_sample("sprayer"), USUAL);
    assert!(!sheets(&window).contains(&SheetKind::Board), "the build board is there to be picked");
    let before = n_pages(&window);
    window.get_by_role_and_label(Role::CheckBox, "Build board").click();
    window.run_steps(2);
    settle(&mut window);
    assert!(n_pages(&window) > before + 10);
    click(&mut window, "Pick none");
    assert_eq!(n_pages(&window), 0);
    assert!(window.query_by_label_contains("No sheet is picked").is_some());
    for title in ["Cut list", "Owner page", "Labels"] {
        window.get_by_role_and_label(Role::CheckBox, title).click();
        window.run_steps(2);
        settle(&mut window);
    }
    window.run();
    assert_eq!(sheets(&window), [SheetKind::Owner, SheetKind::Cut, SheetKind::Labels]);
    for _ in 0..4 {
        click(&mut window, "Move Cut list up");
    }
    assert_eq!(sheets(&window), [SheetKind::Cut, SheetKind::Owner, SheetKind::Labels]);
    assert!(window.query_by_label_contains("Page 1 of").is_some());
    assert!(window.query_by_label("Page 1, Cut list").is_some());
}

#[test]
fn pages_turn_by_key_and_click_and_are_seen_larger() {
    let mut window = opened(with_sample("sprayer"), USUAL);
    let n = n_pages(&window);
    let shows = |window: &Window, page: usize| {
        window.query_by_label_contains(&format!("Page {page} of {n}:")).is_some()
    };
    assert!(shows(&window, 1));
    window.key_press(egui::Key::PageDown);
    window.run();
    assert!(shows(&window, 2));
    window.key_press(egui::Key::End);
    window.run();
    assert!(shows(&window, n));
    window.key_press(egui::Key::Home);
    window.run();
    click(&mut window, "Next page");
    assert!(shows(&window, 2));
    click(&mut window, "Page 3, Cautions");
    assert!(shows(&window, 3));
    let seen = |window: &Window| window.state().stages.packet.scale_seen;
    let whole = seen(&window);
    window.key_press(egui::Key::Plus);
    window.run();
    assert!(seen(&window) > whole * 1.1);
    click(&mut window, "Page larger");
    assert!(seen(&window) > whole * 1.4);
    click(&mut window, "page width");
    assert!(seen(&window) > whole);
    let at = window.get_by_label_contains("Page 3 of").rect().center();
    let before = window.state().stages.packet.middle_mm;
    window.drag_at(at);
    window.run();
    window.hover_at(at + egui::vec2(0.0, -120.0));
    window.run();
    window.drop_at(at + egui::vec2(0.0, -120.0));
    window.run();
    assert!(window.state().stages.packet.middle_mm.y > before.y + 10.0);
    window.key_press(egui::Key::F);
    window.run();
    assert!((seen(&window) - whole).abs() < 1e-3);
}

#[test]
fn a_pdf_is_saved_where_the_field_says_and_tables_beside_it() {
    let mut window = opened(with_sample("sprayer"), USUAL);
    pick_only(&mut window, &[SheetKind::Cut, SheetKind::Connectors]);
    type_into(&mut window, "Date of the packet", "2026-05-01");
    let folder = tempfile::TempDir::new().unwrap();
    let path = folder.path().join("packet.pdf");
    click(&mut window, "Save PDF…");
    let field = window.get_by_role_and_label(Role::TextInput, "Path of the file");
    assert!(field.value().unwrap().ends_with(".pdf"));
    window.state_mut().path_field.as_mut().unwrap().text = path.display().to_string();
    window.run();
    click(&mut window, "Write");
    let bytes = std::fs::read(&path).unwrap();
    let document = lopdf::Document::load_mem(&bytes).unwrap();
    assert_eq!(document.get_pages().len(), n_pages(&window));
    assert!(window.query_by_label_contains("written to").is_some());

    let into = folder.path().join("tables");
    run(&mut window, Action::WritePacket(SaveWhat::Tables, into.clone()));
    let names: Vec<_> = std::fs::read_dir(&into).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert!(names.iter().any(|name| name == "cut-wires.csv"), "{names:?}");
    click(&mut window, "Tables");
    click(&mut window, "Save table cut-wires as CSV");
    let field = window.get_by_role_and_label(Role::TextInput, "Path of the file");
    assert_eq!(field.value().unwrap(), "cut-wires.csv");
}

#[test]
fn what_is_blank_is_listed_and_leads_to_its_place() {
    let mut project = samples::open("sprayer").unwrap();
    let (wire, _) = project.wires.iter().find(|(_, wire)| wire.name == "A3").unwrap();
    let wire_row = project.wires.get_mut(wire).unwrap();
    wire_row.typed_length_mm = None;
    let from = wire_row.from.terminal.part;
    project.parts.get_mut(from).unwrap().place = None;
    let mut window = opened(with_project(project), USUAL);
    let tab = window.get_by_label_contains("Blank (");
    tab.click();
    window.run();
    assert!(window.query_by_label_contains("the date at the foot of every page").is_some());
    window.get_by_label("→ A3").click();
    window.run();
    assert!(!window.state().packet.is_open);
    assert!(window.state().selection.contains(&ohmloom::edit::Item::Wire(wire)));
}

#[test]
fn a_change_makes_the_pages_anew_and_stopping_is_said() {
    let mut window = opened(with_sample("railcar"), USUAL);
    run(&mut window, Action::Edit(Edit::SetTitle("Another title".into()), None));
    let state = window.state();
    let (packet, is_current) = state.packet.shown(state.history.revision()).unwrap();
    assert!(is_current && packet.title == "Another title");
    dispatch(window.state_mut(), Action::Edit(Edit::SetTitle("A third".into()), None));
    window.run_steps(1);
    assert!(window.state().packet.is_busy());
    dispatch(window.state_mut(), Action::StopPacket);
    settle(&mut window);
    window.run();
    if window.query_by_label_contains("Stopped before all pages").is_some() {
        click(&mut window, "Make the pages");
    }
    let state = window.state();
    assert_eq!(state.packet.shown(state.history.revision()).unwrap().0.title, "A third");
}

#[test]
fn keys_of_the_sheet_do_nothing_behind_the_packet() {
    let mut window = opened(with_sample("sprayer"), USUAL);
    let before = window.state().project().clone();
    run(&mut window, Action::Run(Command::SelectAll));
    for key in [egui::Key::Delete, egui::Key::R, egui::Key::M, egui::Key::H] {
        window.key_press(key);
        window.run();
    }
    assert_eq!(*window.state().project(), before);
}

#[test]
fn labels_are_printed_on_the_users_own_sheet() {
    let mut window = opened(with_sample("sprayer"), USUAL);
    pick_only(&mut window, &[SheetKind::Labels]);
    let mut choices = window.state().packet.choices().clone();
    choices.has_label_sheet = true;
    run(&mut window, Action::ChoosePrint(Box::new(choices)));
    type_into(&mut window, "Width of a label", "44 mm");
    assert_eq!(window.state().packet.choices().label_sheet.width_mm, 44.0);
    type_into(&mut window, "Labels side by side", "9");
    assert!(window.query_by_label_contains("Printed on plain paper instead").is_some());
    type_into(&mut window, "Labels below each other", "many");
    assert!(window.query_by_label_contains("expected a whole number").is_some());
    type_into(&mut window, "Labels side by side", "3");
    let state = window.state();
    let (packet, _) = state.packet.shown(state.history.revision()).unwrap();
    assert!(packet.pages[1].is_bare, "nothing but labels on the sheet");
}

#[test]
fn an_empty_project_has_pages_too() {
    let mut window = opened(with_project(Project::empty("New project")), LAPTOP);
    assert!(n_pages(&window) > 5);
    window.get_by_label_contains("Blank (").click();
    window.run();
    assert!(window.query_all_by_label_contains("the sense pin").count() > 1);
}

#[test]
fn pictures_of_the_packet() {
    for (theme, name) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
        let mut state = with_sample("railcar");
        state.preferences.theme = theme;
        let mut window = opened(state, LAPTOP);
        picture_of(&mut window, &format!("packet-{name}"));
        window.state_mut().stages.packet.page = 3;
        window.run();
        window.get_by_label_contains("Blank (").click();
        window.run();
        click(&mut window, "page width");
        picture_of(&mut window, &format!("packet-blank-{name}"));
        click(&mut window, "Tables");
        picture_of(&mut window, &format!("packet-tables-{name}"));
    }
    for (size, name) in [(LAPTOP, "laptop"), (USUAL, "usual")] {
        for (theme, word) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
            let mut state = with_sample("railcar");
            state.preferences.theme = theme;
            state.preferences.text_scale = 2.0;
            let mut window = opened(state, size);
            picture_of(&mut window, &format!("packet-large-text-{name}-{word}"));
            if window.query_by_label("Preview").is_some() {
                click(&mut window, "Preview");
                picture_of(&mut window, &format!("packet-large-text-preview-{name}-{word}"));
            }
            click(&mut window, "Pages");
            picture_of(&mut window, &format!("packet-large-text-pages-{name}-{word}"));
        }
    }
    let mut window = opened(with_sample("sprayer"), USUAL);
    let mut choices = window.state().packet.choices().clone();
    choices.has_label_sheet = true;
    choices.sheets.iter_mut().for_each(|(kind, is_on)| {
        *is_on = matches!(kind, SheetKind::Labels | SheetKind::Board);
    });
    run(&mut window, Action::ChoosePrint(Box::new(choices)));
    let path = picture_of(&mut window, "packet-board");
    assert!(std::fs::metadata(path).unwrap().len() > 10_000);
}
