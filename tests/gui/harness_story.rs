//! The harness in one go: a layout of five places drawn, a connector moved, the cut list seen to change,
//! pieces allotted, the list exported. And what only the harness has: shields, the own wire table.

use egui::{Key, Modifiers, vec2};
use egui_kittest::kittest::Queryable;
use ohmloom::app::{Action, CutPage, Stage, ThemeChoice, dispatch};
use ohmloom::harness::{ohm_per_metre_of, outside_of};
use ohmloom::model::{AmpacityRule, WireSize};

use crate::bench::{USUAL, picture_of, settle, window, with_project, with_sample};
use crate::cutting::{type_into, wire};
use crate::route::{
    Window, bare, centre, click, cut_mm, drag, draw_run, layout, on_route, page, pick,
    place_by_typing, settle_figures,
};

/// Clicks a stage in the top bar.
fn stage(window: &mut Window, word: &str) {
    let stage = Stage::ALL.into_iter().find(|stage| stage.word() == word).unwrap();
    dispatch(window.state_mut(), Action::ShowStage(stage));
    window.run();
}

fn show(window: &mut Window, cut_page: CutPage) {
    click(window, cut_page.word());
    window.run_steps(2);
    settle(window);
    window.run();
}

/// The columns `wire` and `cut_mm` of an exported list.
fn exported(text: &str) -> Vec<(String, f64)> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headers = reader.headers().unwrap().clone();
    let column = |word: &str| headers.iter().position(|name| name == word).unwrap();
    let (wire, cut) = (column("wire"), column("cut_mm"));
    let rows = reader.records().map(Result::unwrap);
    rows.map(|row| (row[wire].to_owned(), row[cut].parse().unwrap())).collect()
}

/// Five places, four runs, three parts put onto them: 5 names typed, 5 drags to spread them, 4 runs
/// drawn, 3 parts dragged; both wires route themselves.
fn draw_the_layout(window: &mut Window) {
    for name in ["lever base", "floor", "tee", "controller", "spare"] {
        place_by_typing(window, name);
    }
    window.key_press(Key::Escape);
    window.run();
    let layout = layout(window);
    for (name, x, y) in [
        ("lever base", 0.12, 0.3),
        ("floor", 0.35, 0.75),
        ("tee", 0.55, 0.3),
        ("controller", 0.88, 0.4),
        ("spare", 0.6, 0.8),
    ] {
        let to = layout.min + layout.size() * vec2(x, y);
        drag(window, &format!("name of place {name}"), to);
    }
    draw_run(window, "lever base", "floor", "620 mm");
    draw_run(window, "floor", "tee", "940 mm");
    draw_run(window, "tee", "controller", "1480 mm");
    draw_run(window, "floor", "spare", "500 mm");
    for (part, place) in
        [("X1, connector", "lever base"), ("SP1, splice", "tee"), ("A1, controller", "controller")]
    {
        let to = centre(window, &format!("place {place}"));
        drag(window, &format!("{part}: without a place"), to);
    }
    window.get_by_label("✔ all 2 wires have a route");
}

#[test]
fn five_places_a_moved_connector_pieces_allotted_and_a_list_written() {
    let mut window = window(on_route(with_project(bare())), USUAL);
    draw_the_layout(&mut window);
    picture_of(&mut window, "story-1-layout");

    // Cut: 1560 mm x 1.03 + 80 mm at the plug + 40 mm at the splice, up to tens; 1480 mm likewise.
    stage(&mut window, "Cut");
    window.get_by_label("cut list row, wire D1");
    assert_eq!((cut_mm(&window, "D1"), cut_mm(&window, "D2")), (Some(1730.0), Some(1650.0)));
    window.get_by_label("1730 mm");
    picture_of(&mut window, "story-2-cut-list");

    // The connector moves to the floor; the list follows: 940 mm x 1.03 + 120 mm.
    stage(&mut window, "Route");
    let to = centre(&window, "place floor");
    drag(&mut window, "X1 at lever base", to);
    picture_of(&mut window, "story-3-moved");
    stage(&mut window, "Cut");
    assert_eq!(cut_mm(&window, "D1"), Some(1090.0));
    window.get_by_label("1090 mm");
    assert!(window.query_by_label("1730 mm").is_none());

    // Two pieces from the drawer: one is enough for both wires where the colours agree; they do not.
    show(&mut window, CutPage::Drawer);
    click(&mut window, "Paste a table…");
    let table = "P1, 0.5, violet, 1.2\nP2, 0.5, violet, 3\nP3, 0.5, orange, 1.6";
    type_into(&mut window, "Table of pieces", table);
    click(&mut window, "Take 3 pieces");
    picture_of(&mut window, "story-4-drawer");
    show(&mut window, CutPage::Allotment);
    window.get_by_label("optimal");
    // The long piece stays whole: the short one will do. No piece holds D2, so it is new wire.
    window.get_by_label_contains("piece P1: D1 1090 mm, 110 mm left");
    window.get_by_label_contains("new wire D2: 1650 mm");
    picture_of(&mut window, "story-5-allotment");
    show(&mut window, CutPage::Shopping);
    window.get_by_label("wire 0.5 mm² orange");
    picture_of(&mut window, "story-6-shopping");

    show(&mut window, CutPage::List);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("boxes.csv");
    window.key_press_modifiers(Modifiers::COMMAND, Key::E);
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    window.get_by_label("Path of the file").type_text(&path.display().to_string());
    window.run();
    window.key_press(Key::Enter);
    window.run();
    window.get_by_label_contains("Cut list of 2 wires written to");
    let list = exported(&std::fs::read_to_string(&path).unwrap());
    assert_eq!(list, [("D1".to_owned(), 1090.0), ("D2".to_owned(), 1650.0)]);
    picture_of(&mut window, "story-7-exported");
    assert_eq!(window.state().stage, Stage::Cut);
}

#[test]
fn a_shield_with_its_drain_is_typed_and_holds_two_wires() {
    for (theme, name) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
        let mut state = on_route(with_sample("sprayer"));
        state.preferences.theme = theme;
        let mut window = window(state, [1440.0, 2400.0]);
        page(&mut window, "Wires");
        click(&mut window, "route of wire A1");
        settle_figures(&mut window);
        type_into(&mut window, "Shield it lies under", "SH1");
        type_into(&mut window, "Drain of the shield", "0.35");
        pick(&mut window, "Wire to put under the shield", "A2, SECTION return, cab side");
        settle_figures(&mut window);
        let shield = |wire_name: &str| {
            let id = wire(&window, wire_name);
            window.state().project().wires.get(id).unwrap().make.shield.clone()
        };
        let shielded = shield("A1").unwrap();
        assert_eq!((shielded.name.as_str(), shielded.drain), ("SH1", Some(WireSize::Mm2(0.35))));
        assert_eq!(shield("A2"), Some(shielded));
        assert_eq!(shield("A3"), None);
        // What is typed at one wire holds for the shield.
        click(&mut window, "route of wire A2");
        type_into(&mut window, "Measured diameter over it", "5.2 mm");
        let id = wire(&window, "A1");
        let measured = window.state().project().wires.get(id).unwrap().make.shield.clone();
        assert_eq!(measured.unwrap().outside_mm, Some(5.2));
        settle_figures(&mut window);
        picture_of(&mut window, &format!("route-shield-{name}"));
        window.get_by_label("Delete A1 from under shield SH1").click();
        window.run();
        let id = wire(&window, "A1");
        assert_eq!(window.state().project().wires.get(id).unwrap().make.shield, None);
    }
}

#[test]
fn the_own_wire_table_goes_before_the_program_s() {
    for (theme, name) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
        let mut state = on_route(with_sample("sprayer"));
        state.preferences.theme = theme;
        let mut window = window(state, [1440.0, 1900.0]);
        page(&mut window, "Rules");
        click(&mut window, "+ Add a row");
        type_into(&mut window, "Size, row 1 of the own table", "2.5");
        type_into(&mut window, "Ω at 20 °C, row 1 of the own table", "7.1");
        type_into(&mut window, "Outside, row 1 of the own table", "2.9 mm");
        type_into(&mut window, "Alone in air, row 1 of the own table", "24");
        window.get_by_label_contains("Say where the figures are from");
        type_into(&mut window, "Source, row 1 of the own table", "leaflet of the reel");
        let own = "own table, bundle factor of MIL-STD-975M Appendix A 3.16";
        pick(&mut window, "Rule for current", own);
        settle_figures(&mut window);
        let project = window.state().project().clone();
        assert_eq!(project.settings.wiring.ampacity, Some(AmpacityRule::OwnTable));
        let a5 = project.wires.get(wire(&window, "A5")).unwrap();
        assert!((ohm_per_metre_of(&project, a5).ohm_per_m - 0.0071).abs() < 1e-15);
        assert_eq!(outside_of(&project, a5).unwrap().mm, 2.9);
        let report = window.state().harness.report().unwrap().clone();
        let ampacity = report.wires[&wire(&window, "A5")].ampacity.clone().unwrap();
        assert_eq!(ampacity.table_amp, 24.0);
        picture_of(&mut window, &format!("route-own-table-{name}"));
        // The card says where the figures are from.
        page(&mut window, "Wires");
        click(&mut window, "route of wire A5");
        settle_figures(&mut window);
        window.get_by_label("Own wire table: leaflet of the reel.");
        window.get_by_label_contains("The own figure is from: leaflet of the reel");
        page(&mut window, "Rules");
        type_into(&mut window, "Alone in air, row 1 of the own table", "much");
        window.get_by_label_contains("Not taken: expected amperes such as 14 A");
        window.get_by_label("Delete row 1 of the own table, 2.5 mm²").click();
        window.run();
        assert!(window.state().project().settings.wiring.own_wires.is_empty());
    }
}

/// What the other version had is said of resistors too.
#[test]
fn changed_resistors_stand_beside_changed_wires() {
    let mut state = with_sample("sprayer");
    state.stage = Stage::Cut;
    let mut window = window(state, USUAL);
    let mut built = window.state().project().clone();
    let (id, _) = built.parts.iter().find(|(_, part)| part.name == "R1").unwrap();
    let ohmloom::model::PartKind::Resistor(r1) = &mut built.parts.get_mut(id).unwrap().kind else {
        panic!("R1 is a resistor")
    };
    r1.ohm = 2200.0;
    let folder = tempfile::TempDir::new().unwrap();
    let path = folder.path().join("built.ohmloom");
    std::fs::write(&path, ohmloom::store::write(&built)).unwrap();
    dispatch(window.state_mut(), Action::CompareWith(Some(path)));
    window.run_steps(2);
    settle(&mut window);
    window.run();
    window.get_by_label("resistor R1 changes: swap it");
    window.get_by_label_contains("2.200 kΩ 1 % 0.25 W → 1.500 kΩ 1 % 0.25 W");
}
