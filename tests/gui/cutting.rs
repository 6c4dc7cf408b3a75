//! Stage Cut as a person works with it: a piece into the drawer, the allotment, ticks, cut, undo.

use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use ohmloom::app::{Action, AppState, CutPage, Stage, ThemeChoice, dispatch};
use ohmloom::edit::Item;
use ohmloom::model::WireId;
use ohmloom::store;

use crate::bench::{USUAL, picture_of, settle, window, with_sample};

type Window = Harness<'static, AppState>;

fn cut_stage() -> Window {
    let mut state = with_sample("sprayer");
    state.stage = Stage::Cut;
    window(state, USUAL)
}

fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
    settle(window);
}

fn show(window: &mut Window, page: CutPage) {
    dispatch(window.state_mut(), Action::ShowCutPage(page));
    window.run_steps(2);
    settle(window);
    window.run();
}

pub fn type_into(window: &mut Window, field: &str, text: &str) {
    window.get_by_role_and_label(Role::TextInput, field).focus();
    window.run();
    window.get_by_role_and_label(Role::TextInput, field).type_text(text);
    window.run();
    settle(window);
}

pub fn wire(window: &Window, name: &str) -> WireId {
    let mut wires = window.state().project().wires.iter();
    wires.find(|(_, wire)| wire.name == name).unwrap().0
}

#[test]
fn a_piece_is_added_wires_are_allotted_ticked_cut_and_it_is_all_undone() {
    let mut window = cut_stage();
    let before = window.state().project().clone();
    show(&mut window, CutPage::Allotment);
    assert!(window.query_by_label("optimal").is_some());
    assert!(window.query_by_label_contains("new wire A3: 4250 mm").is_some());

    show(&mut window, CutPage::Drawer);
    assert!(window.query_by_label_contains("piece SA2: ✕ rejected: measures 1.30 times").is_some());
    click(&mut window, "+ Add a piece");
    // It is like the first wire, 0.75 mm² violet; five metres of it give A3 its 4.25 m.
    type_into(&mut window, "Length of piece P1", "5000 mm");
    let (_, piece) = window.state().project().pieces.iter().next_back().unwrap();
    assert_eq!((piece.name.as_str(), piece.length_mm), ("P1", 5000.0));

    show(&mut window, CutPage::Allotment);
    assert!(window.query_by_label_contains("piece P1: A3 4250 mm, 750 mm left").is_some());
    assert!(window.query_by_label_contains("From new wire").is_none());
    click(&mut window, "All 8 wires are cut");
    let now = window.state().project();
    assert_eq!(now.cutting.ticks.len(), 8);
    assert_eq!(now.pieces.iter().next_back().unwrap().1.length_mm, 750.0);

    show(&mut window, CutPage::List);
    let a3 = wire(&window, "A3");
    window.get_by_label("Wire A3 is crimped").click();
    window.run();
    let ticks = window.state().project().cutting.ticks_of(a3);
    assert!(ticks.is_cut && ticks.is_crimped && !ticks.is_tested);

    while window.state().history.undo_title().is_some() {
        dispatch(window.state_mut(), Action::Run(ohmloom::app::Command::Undo));
        window.run();
    }
    let undone = window.state().project().clone();
    assert_eq!(undone.cutting, before.cutting);
    assert_eq!(undone.pieces, before.pieces);
}

#[test]
fn a_pasted_table_fills_the_drawer_in_one_step() {
    let mut window = cut_stage();
    show(&mut window, CutPage::Drawer);
    click(&mut window, "Paste a table…");
    type_into(&mut window, "Table of pieces", "Q1, 0.75, violet, 2\nQ2, 0.75, mauve, 3");
    assert!(window.query_by_label_contains("line 2, column 3").is_some());
    click(&mut window, "Close the table");
    click(&mut window, "Paste a table…");
    type_into(&mut window, "Table of pieces", "Q1, 0.75, violet, 2\nQ2, 2.5, red, 3");
    let before = window.state().project().pieces.len();
    click(&mut window, "Take 2 pieces");
    assert_eq!(window.state().project().pieces.len(), before + 2);
    dispatch(window.state_mut(), Action::Run(ohmloom::app::Command::Undo));
    assert_eq!(window.state().project().pieces.len(), before);
}

#[test]
fn wire_ends_are_typed_for_a_half_and_show_in_the_steps() {
    let mut window = cut_stage();
    let a1 = wire(&window, "A1");
    dispatch(window.state_mut(), Action::Select([Item::Wire(a1)].into()));
    window.run();
    type_into(&mut window, "Terminal at X3-1", "socket 1.5");
    type_into(&mut window, "Strip length at X3-1", "4.5 mm");
    assert!(window.query_by_label_contains("X3-1: crimp socket 1.5").is_some());
    assert!(window.query_by_label_contains("X3-1: strip 4.5 mm").is_some());
    let list = window.state().derived.cut_list().unwrap();
    let a2 = list.rows.iter().find(|row| row.name == "A2").unwrap();
    assert_eq!(a2.ends[0].terminal, "socket 1.5", "all wires of the half");
}

#[test]
fn a_price_is_typed_and_another_version_is_compared_with() {
    let mut window = cut_stage();
    show(&mut window, CutPage::Shopping);
    type_into(&mut window, "Price of wire 0.75 mm² violet", "2");
    assert!(window.query_by_label_contains("Sum 8.50").is_some());

    let mut built = window.state().project().clone();
    built.wires.get_mut(wire(&window, "A7")).unwrap().name = "B7".into();
    let folder = tempfile::TempDir::new().unwrap();
    let path = folder.path().join("built.ohmloom");
    std::fs::write(&path, store::write(&built)).unwrap();
    dispatch(window.state_mut(), Action::CompareWith(Some(path)));
    window.run_steps(2);
    settle(&mut window);
    window.run();
    assert!(window.query_by_label("wire A7 changes: redo its labels").is_some());
    assert!(window.query_by_label_contains("7 stay, 1 change, 0 new, 0 go").is_some());
}

#[test]
fn pictures_of_the_pages_of_cut() {
    for (theme, name) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
        let mut window = cut_stage();
        window.state_mut().preferences.theme = theme;
        let a1 = wire(&window, "A1");
        dispatch(window.state_mut(), Action::Select([Item::Wire(a1)].into()));
        let mut built = window.state().project().clone();
        built.wires.get_mut(wire(&window, "A7")).unwrap().name = "B7".into();
        built.wires.get_mut(wire(&window, "A2")).unwrap().typed_length_mm = Some(2000.0);
        let folder = tempfile::TempDir::new().unwrap();
        let path = folder.path().join("built.ohmloom");
        std::fs::write(&path, store::write(&built)).unwrap();
        dispatch(window.state_mut(), Action::CompareWith(Some(path)));
        for page in CutPage::ALL {
            show(&mut window, page);
            let page = page.word().to_lowercase().replace(' ', "-");
            let path = picture_of(&mut window, &format!("cut-{page}-{name}"));
            assert!(std::fs::metadata(path).unwrap().len() > 10_000);
        }
    }
}
