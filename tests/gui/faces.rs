//! Connectors in the window: both views, named in large letters, and another maker's pin table.

use egui::accesskit::Role;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;

use ohmloom::app::{AppState, ThemeChoice};
use ohmloom::edit::{Edit, Item, apply};
use ohmloom::model::{
    CavityFit, CavityLayout, Corner, Course, Latch, Lines, Numbering, OffsetRows, PartId, PartKind,
    Project, RowShift,
};

use crate::bench::{picture_of, window, with_sample};

fn part_named(project: &Project, name: &str) -> PartId {
    project.parts.iter().find(|(_, part)| part.name == name).unwrap().0
}

/// The sample with the connector of its lever base laid out another way, and selected.
fn with_face(layout: CavityLayout, numbering: Numbering, latch: Latch) -> AppState {
    let mut state = with_sample("forwarder");
    let id = part_named(state.project(), "X2");
    let mut part = state.project().parts.get(id).unwrap().clone();
    let PartKind::Connector(connector) = &mut part.kind else { panic!("X2 is no connector") };
    (connector.layout, connector.numbering, connector.latch) = (layout, numbering, latch);
    connector.fit = CavityFit { pitch_mm: Some(4.0), ..CavityFit::default() };
    apply(&mut state.project().clone(), Edit::SetPart(id, Box::new(part.clone()))).unwrap();
    state.history.commit(Edit::SetPart(id, Box::new(part)), None).unwrap();
    state.selection = [Item::Part(id)].into();
    state
}

fn spot(harness: &Harness<'_, AppState>, cavity: u16, view: &str) -> egui::Pos2 {
    let name = format!("cavity {cavity}, {view}");
    harness.get_by_role_and_label(Role::Button, &name).rect().center()
}

#[test]
fn both_views_are_drawn_and_mirror_each_other() {
    let layouts = [
        CavityLayout::Grid { rows: 2, columns: 3 },
        CavityLayout::Offset(OffsetRows::new(&[4, 3], RowShift::Middle).unwrap()),
        CavityLayout::Ring { around: 6, centre: true },
    ];
    let numbering =
        Numbering { start: Corner::LowerLeft, lines: Lines::Columns, course: Course::Serpentine };
    for layout in layouts {
        let mut harness = window(with_face(layout, numbering, Latch::Left), [1500.0, 1900.0]);
        harness.run();
        for view in ["FACE VIEW", "WIRE VIEW"] {
            harness.get_by_label(view);
        }
        for other in 2..=layout.count() {
            let across = |view: &str| spot(&harness, other, view) - spot(&harness, 1, view);
            let (face, wires) = (across("face view"), across("wire view"));
            assert!((face.x + wires.x).abs() < 0.6, "{layout:?} {other}: {face:?} {wires:?}");
            assert!((face.y - wires.y).abs() < 0.6, "{layout:?} {other}: {face:?} {wires:?}");
        }
    }
}

#[test]
fn pictures_of_faces() {
    let offset = CavityLayout::Offset(OffsetRows::new(&[5, 4], RowShift::Middle).unwrap());
    let ring = CavityLayout::Ring { around: 7, centre: true };
    let grid = CavityLayout::Grid { rows: 2, columns: 3 };
    for (theme, name) in [(ThemeChoice::Paper, "paper"), (ThemeChoice::Bench, "bench")] {
        for (layout, word) in [(offset, "offset"), (ring, "ring"), (grid, "grid")] {
            let mut state = with_face(layout, Numbering::FORWARD, Latch::Up);
            state.preferences.theme = theme;
            let mut harness = window(state, [1500.0, 1900.0]);
            harness.run();
            if word == "grid" {
                let open = "+ Numbers from another maker's pin table…";
                harness.get_by_role_and_label(Role::Button, open).click();
                harness.run();
            }
            picture_of(&mut harness, &format!("faces-{word}-{name}"));
        }
        let mut state = with_sample("forwarder");
        state.preferences.theme = theme;
        state.selection = [Item::Part(part_named(state.project(), "A1"))].into();
        let mut harness = window(state, [1500.0, 1900.0]);
        harness.run();
        picture_of(&mut harness, &format!("faces-controller-{name}"));
    }
}
