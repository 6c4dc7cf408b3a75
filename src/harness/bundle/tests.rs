//! Bundles, coverings, bends, supports and bores on a machine of one run.

use super::*;
use crate::geometry::{Flip, Turn, point};
use crate::harness::wire_lengths;
use crate::model::{
    BaseColour, Colour, Covering, End, EndKind, Grommet, Hole, Insulation, Make, Part, PartId,
    PartKind, Place, PlaceId, Run, Shield, TerminalRef, Twist, WireUse,
};

/// One run of 1300 mm with these wires along it.
fn machine(makes: &[(f64, Make)], laid: Laid) -> Project {
    let mut project = Project::empty("one run");
    project.settings.wiring.insulation = Some(Insulation::ThinWall);
    for n in [1, 2] {
        let place = Place { name: format!("P{n}"), pos: point(0.0, 0.0) };
        project.places.put(PlaceId(n), place);
        let part = Part {
            name: format!("TP{n}"),
            label: String::new(),
            kind: PartKind::TestPoint,
            pos: point(0.0, 0.0),
            turn: Turn::default(),
            flip: Flip::default(),
            place: Some(PlaceId(n)),
        };
        project.parts.put(PartId(n), part);
    }
    let (from, to) = (PlaceId(1), PlaceId(2));
    let run = Run { name: "S1".into(), from, to, length_mm: 1300.0, loop_mm: None, laid };
    project.runs.put(RunId(1), run);
    for (n, (mm2, make)) in makes.iter().enumerate() {
        let end = |part| End {
            terminal: TerminalRef { part: PartId(part), terminal: 0 },
            kind: Some(EndKind::Tag),
        };
        let wire = Wire {
            name: format!("W{n}"),
            circuit: String::new(),
            from: end(1),
            to: end(2),
            bends: Vec::new(),
            size: WireSize::Mm2(*mm2),
            colour: Colour::plain(BaseColour::Violet),
            usage: WireUse::Harness,
            via: Vec::new(),
            typed_length_mm: None,
            make: Box::new(make.clone()),
        };
        project.wires.put(WireId(n as u32), wire);
    }
    project
}

fn only_run(project: &Project) -> RunReport {
    run_reports(project, &wire_lengths(project)).remove(&RunId(1)).unwrap()
}

fn plain(mm2: f64, n: usize) -> Vec<(f64, Make)> {
    vec![(mm2, Make::default()); n]
}

#[test]
fn seven_equal_wires_are_three_wires_across() {
    let report = only_run(&machine(&plain(0.75, 7), Laid::default()));
    let size = report.size.clone().unwrap();
    assert_eq!((report.wires.len(), size.diameter_mm), (7, 3.0 * 1.9));
    assert_eq!((size.found, size.standing), (Found::Table, Standing::FromMemory));
    assert_eq!(report.outside_mm, Some(3.0 * 1.9));
    assert!((report.bend_mm.unwrap() - 57.0).abs() < 1e-9);
    assert!((report.bend_once_mm.unwrap() - 34.2).abs() < 1e-9);
    // 1300 mm are held at both ends and, at 609.6 mm at most, twice between.
    assert_eq!((report.supports, report.clearance_mm), (2, None));
}

#[test]
fn coverings_and_holes_count_in_walls() {
    let covering = |kind, thickness_mm| Some(Covering { kind, thickness_mm, words: String::new() });
    let hole = Some(Hole { bore_mm: 7.0, grommet: Grommet::Missing });
    let of =
        |covering| only_run(&machine(&plain(0.75, 7), Laid { covering, hole, ..Laid::default() }));
    let tube = of(covering(CoveringKind::Tube, Some(0.5)));
    assert!((tube.outside_mm.unwrap() - 6.7).abs() < 1e-9);
    assert!((tube.clearance_mm.unwrap() - 0.15).abs() < 1e-9);
    let tape = of(covering(CoveringKind::Tape, Some(0.2)));
    assert!((tape.outside_mm.unwrap() - 6.5).abs() < 1e-9, "half over itself: two layers");
    let sleeve = of(covering(CoveringKind::Sleeve, None));
    assert_eq!((sleeve.outside_mm, sleeve.clearance_mm), (None, None), "never guessed");
    let thick = of(covering(CoveringKind::Tube, Some(0.8)));
    assert!(thick.clearance_mm.unwrap() < 0.0);
}

#[test]
fn a_wire_without_diameter_is_named_and_nothing_is_guessed() {
    let mut project = machine(&plain(0.75, 3), Laid::default());
    project.settings.wiring.insulation = None;
    project.wires.get_mut(WireId(1)).unwrap().make.outside_mm = Some(2.0);
    let report = only_run(&project);
    let unknown = report.size.unwrap_err();
    assert_eq!(
        unknown,
        [(WireId(0), NoOutside::NoInsulation), (WireId(2), NoOutside::NoInsulation)]
    );
    assert_eq!((report.outside_mm, report.bend_mm), (None, None));
    let odd = only_run(&machine(&plain(0.13, 1), Laid::default()));
    assert_eq!(odd.size.unwrap_err(), [(WireId(0), NoOutside::NotInTable)]);
    let empty = only_run(&machine(&[], Laid::default()));
    assert_eq!((empty.wires.len(), empty.outside_mm), (0, None));
}

#[test]
fn pairs_and_shields_are_circles_of_their_own() {
    let twist = || Some(Twist { pair: "P1".into(), lay_mm: 25.0 });
    let pair = vec![(0.75, Make { twist: twist(), ..Make::default() }); 2];
    let size = only_run(&machine(&pair, Laid::default())).size.unwrap();
    assert_eq!((size.diameter_mm, size.circles.len()), (3.8, 1));
    let shield = |outside_mm| Some(Shield { name: "SH1".into(), outside_mm, drain: None });
    let bare = Make { twist: twist(), shield: shield(None), ..Make::default() };
    let size = only_run(&machine(&vec![(0.75, bare); 2], Laid::default())).size.unwrap();
    assert_eq!((size.diameter_mm, size.bare_shields), (3.8, vec!["SH1".to_owned()]));
    let mut measured = vec![(0.75, Make { shield: shield(Some(5.2)), ..Make::default() })];
    measured.push((0.75, Make { shield: shield(None), ..Make::default() }));
    let size = only_run(&machine(&measured, Laid::default())).size.unwrap();
    assert_eq!((size.diameter_mm, size.bare_shields.len()), (5.2, 0));
}

/// A bundle of 10 mm in a bore of 20 mm has 5 mm all around.
#[test]
fn clearance_is_what_is_free_all_around() {
    let make = Make { outside_mm: Some(10.0), ..Make::default() };
    let of = |bore_mm| {
        let hole = Some(Hole { bore_mm, grommet: Grommet::Missing });
        let laid = Laid { hole, ..Laid::default() };
        only_run(&machine(&[(2.5, make.clone())], laid)).clearance_mm.unwrap()
    };
    assert!((of(20.0) - 5.0).abs() < 1e-9 && of(20.0) < HOLE_CLEARANCE_MM);
    // 10 mm and twice 3/8 in are 29.05 mm.
    assert!(of(29.0) < HOLE_CLEARANCE_MM && of(29.1) > HOLE_CLEARANCE_MM);
}

/// 1300 mm held every 400 mm: at 400, 800 and 1200 mm; held every 900 mm, the rule goes first.
#[test]
fn supports_keep_a_typed_distance() {
    let of = |support_mm| {
        let laid = Laid { support_mm, ..Laid::default() };
        only_run(&machine(&plain(0.75, 1), laid)).supports
    };
    assert_eq!([of(None), of(Some(400.0)), of(Some(900.0))], [2, 3, 2]);
}
