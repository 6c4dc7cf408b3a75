//! Tests of cut lengths, routes and splice places on small machines.

use super::*;
use crate::geometry::{Flip, Turn, point};
use crate::harness::{TapPlace, tap_fractions, tap_places, wire_ohms};
use crate::model::{
    BaseColour, Colour, End, Part, PartId, PartKind, Place, Run, RunId, RunPoint, TerminalRef,
    Twist, WireModel, WireSize,
};

/// A layout whose places are named by their index, with runs `(from, to, mm, loop mm)`.
fn machine(n_places: u32, runs: &[(u32, u32, f64, Option<f64>)]) -> Project {
    let mut project = Project::empty("machine");
    for n in 0..n_places {
        project.places.put(PlaceId(n), Place { name: format!("P{n}"), pos: point(0.0, 0.0) });
    }
    for (i, &(from, to, length_mm, loop_mm)) in runs.iter().enumerate() {
        let (from, to) = (PlaceId(from), PlaceId(to));
        let run = Run {
            name: format!("run {i}"),
            from,
            to,
            length_mm,
            loop_mm,
            laid: Default::default(),
        };
        project.runs.put(RunId(100 + i as u32), run);
    }
    project.next_id = 1000;
    project
}

fn add_part(project: &mut Project, kind: PartKind, place: Option<u32>) -> PartId {
    let id: PartId = project.fresh_id();
    let part = Part {
        name: format!("TP{id}"),
        label: String::new(),
        kind,
        pos: point(0.0, 0.0),
        turn: Turn::default(),
        flip: Flip::default(),
        place: place.map(PlaceId),
    };
    project.parts.put(id, part);
    id
}

fn add_wire(
    project: &mut Project,
    places: [Option<u32>; 2],
    kinds: [EndKind; 2],
    mm2: f64,
) -> WireId {
    let ends = [0, 1].map(|i| {
        let part = add_part(project, PartKind::TestPoint, places[i]);
        End { terminal: TerminalRef { part, terminal: 0 }, kind: Some(kinds[i]) }
    });
    let id: WireId = project.fresh_id();
    let wire = Wire {
        name: format!("W{id}"),
        circuit: String::new(),
        from: ends[0],
        to: ends[1],
        bends: Vec::new(),
        size: WireSize::Mm2(mm2),
        colour: Colour::plain(BaseColour::Violet),
        usage: WireUse::Harness,
        via: Vec::new(),
        typed_length_mm: None,
        make: Default::default(),
    };
    project.wires.put(id, wire);
    id
}

/// Switch box, cab floor, hitch, drawbar clip, tee, controller: the runs of our sprayer.
fn sprayer() -> Project {
    machine(
        6,
        &[
            (0, 1, 1250.0, None),
            (1, 2, 1980.0, None),
            (2, 3, 640.0, Some(150.0)),
            (3, 4, 2310.0, None),
            (4, 5, 870.0, None),
        ],
    )
}

/// Our own worked example: routed, allowance, cut and ohms of eight wires of the sprayer.
#[test]
fn the_sprayer_is_cut_as_worked_out_by_hand() {
    use EndKind::{Inline, Ring, Sealed};
    for (name, places, kinds, mm2, routed_mm, allowance_mm, cut_mm, ohm) in [
        ("A1", [0, 2], [Sealed, Inline], 0.75, 3230.0, 160.0, 3490.0, "0.0862"),
        ("A3", [2, 5], [Inline, Sealed], 0.75, 3820.0, 310.0, 4250.0, "0.1050"),
        ("A5", [2, 5], [Inline, Sealed], 2.5, 3820.0, 310.0, 4250.0, "0.0323"),
        ("A7", [1, 2], [Ring, Inline], 2.5, 1980.0, 110.0, 2150.0, "0.0163"),
    ] {
        let mut project = sprayer();
        let wire = add_wire(&mut project, places.map(Some), kinds, mm2);
        let length = wire_lengths(&project)[&wire].clone().unwrap();
        assert_eq!(
            (length.routed_mm, length.allowance_mm, length.cut_mm),
            (routed_mm, allowance_mm, cut_mm),
            "{name}"
        );
        let range = wire_ohms(&project)[&wire];
        assert_eq!(format!("{:.4}", range.nominal), ohm, "{name}");
        // Copper moves 0.393 % per kelvin; the span of a new project is 60 K.
        assert!((range.high / range.nominal - 1.2358).abs() < 1e-9);
        assert!((range.low / range.nominal - 0.7642).abs() < 1e-9);
    }
}

#[test]
fn noise_never_adds_a_step_and_a_real_excess_always_does() {
    let mut settings = Settings::for_new_project();
    settings.length_factor = 1.0;
    for (routed_mm, cut_mm) in [
        (4250.000000001, 4250.0),
        (4249.999999999, 4250.0),
        (4250.0, 4250.0),
        (4250.001, 4260.0),
        (4240.01, 4250.0),
        (0.0, 0.0),
    ] {
        assert_eq!(cut_length_mm(&settings, routed_mm, 0.0), cut_mm, "{routed_mm}");
    }
    settings.rounding_mm = 0.0;
    assert_eq!(cut_length_mm(&settings, 4250.001, 9.0), 4259.001);
    // 1.1 x 3000 is 3300.0000000000005 in binary.
    settings.rounding_mm = 10.0;
    settings.length_factor = 1.1;
    assert_eq!(cut_length_mm(&settings, 3000.0, 0.0), 3300.0);
}

#[test]
fn a_typed_length_goes_first_and_brings_no_loop() {
    let mut project = sprayer();
    let wire = add_wire(&mut project, [Some(2), Some(5)], [EndKind::Inline, EndKind::Sealed], 0.5);
    project.wires.get_mut(wire).unwrap().typed_length_mm = Some(1000.0);
    let length = wire_lengths(&project)[&wire].clone().unwrap();
    assert_eq!((length.runs, length.routed_mm), (vec![], 1000.0));
    assert_eq!((length.allowance_mm, length.cut_mm), (160.0, 1190.0));
}

#[test]
fn a_wire_passes_the_places_it_must_in_order_and_both_ways_alike() {
    // A square 0-1-2-3 with a short side 0-3.
    let runs = [(0, 1, 10.0, None), (1, 2, 10.0, None), (2, 3, 10.0, None), (3, 0, 5.0, None)];
    let mut project = machine(4, &runs);
    let there = add_wire(&mut project, [Some(0), Some(2)], [EndKind::Tag; 2], 0.5);
    let back = add_wire(&mut project, [Some(2), Some(0)], [EndKind::Tag; 2], 0.5);
    let around = add_wire(&mut project, [Some(0), Some(2)], [EndKind::Tag; 2], 0.5);
    project.wires.get_mut(around).unwrap().via = vec![PlaceId(1)];
    let round_trip = add_wire(&mut project, [Some(0), Some(0)], [EndKind::Tag; 2], 0.5);
    project.wires.get_mut(round_trip).unwrap().via = vec![PlaceId(3)];
    let lengths = wire_lengths(&project);
    let runs = |wire| -> Vec<u32> {
        lengths[&wire].as_ref().unwrap().runs.iter().map(|run| run.0 - 100).collect()
    };
    assert_eq!(runs(there), [3, 2]);
    assert_eq!(runs(back), [2, 3]);
    assert_eq!(runs(around), [0, 1]);
    assert_eq!(runs(round_trip), [3, 3]);
    assert_eq!(lengths[&round_trip].as_ref().unwrap().routed_mm, 10.0);
}

#[test]
fn every_failure_names_its_culprit() {
    let mut project = machine(4, &[(0, 1, 10.0, None), (2, 3, 10.0, None)]);
    let tags = [EndKind::Tag; 2];
    let no_place = add_wire(&mut project, [None, Some(1)], tags, 0.5);
    let apart = add_wire(&mut project, [Some(0), Some(2)], tags, 0.5);
    let via_apart = add_wire(&mut project, [Some(0), Some(1)], tags, 0.5);
    project.wires.get_mut(via_apart).unwrap().via = vec![PlaceId(3)];
    let via_gone = add_wire(&mut project, [Some(0), Some(1)], tags, 0.5);
    project.wires.get_mut(via_gone).unwrap().via = vec![PlaceId(77)];
    let same = add_wire(&mut project, [Some(1), Some(1)], tags, 0.5);
    let internal = add_wire(&mut project, [None, None], tags, 0.5);
    project.wires.get_mut(internal).unwrap().usage = WireUse::Internal;
    let lengths = wire_lengths(&project);
    let what = |wire| lengths[&wire].as_ref().unwrap_err().what.clone();
    assert!(what(no_place).contains("TP1000 has no place"), "{}", what(no_place));
    assert!(what(apart).ends_with("no run leads from P0 to P2"), "{}", what(apart));
    assert!(what(via_apart).ends_with("no run leads from P0 to P3"), "{}", what(via_apart));
    assert!(what(via_gone).contains("no longer in the layout"));
    assert!(what(same).contains("at P1"));
    assert!(!lengths.contains_key(&internal));
    assert!(wire_ohms(&project).is_empty(), "a wire without length is ideal");
    for (id, length) in &lengths {
        assert_eq!(length.as_ref().unwrap_err().subject, Subject::Wire(*id));
    }
}

#[test]
fn ideal_wires_weigh_nothing() {
    let mut project = sprayer();
    add_wire(&mut project, [Some(0), Some(5)], [EndKind::Tag; 2], 0.5);
    assert_eq!(wire_ohms(&project).len(), 1);
    project.settings.wire_model = WireModel::Ideal;
    assert!(wire_ohms(&project).is_empty());
}

#[test]
fn a_splice_sits_where_its_place_is_along_the_wire() {
    let mut project = sprayer();
    let wire = add_wire(&mut project, [Some(5), Some(2)], [EndKind::Tag; 2], 0.5);
    let mut splice =
        |place| add_part(&mut project, PartKind::Splice { on: Some(wire), at: None }, place);
    let (at_tee, at_end, off_route, nowhere) =
        (splice(Some(4)), splice(Some(2)), splice(Some(0)), splice(None));
    let fractions = tap_fractions(&project);
    // From the controller: 870 of 870 + 2310 + 640 + 150 of loop.
    assert!((fractions[&at_tee] - 870.0 / 3970.0).abs() < 1e-12);
    assert_eq!(fractions[&at_end], 1.0);
    assert_eq!((fractions[&off_route], fractions[&nowhere]), (0.5, 0.5));
    assert_eq!(tap_places(&project)[&off_route], TapPlace::OffRoute(PlaceId(0)));
    assert_eq!(tap_places(&project)[&nowhere], TapPlace::Unknown);
}

/// A splice 1000 mm from the tee on the run to the clip: wires end there, and it taps others there.
#[test]
fn a_splice_sits_at_its_distance_along_a_run() {
    let mut project = sprayer();
    let (clip_to_tee, tee) = (RunId(103), PlaceId(4));
    let at = Some(RunPoint { run: clip_to_tee, from: tee, distance_mm: 1000.0 });
    let joint = add_part(&mut project, PartKind::Splice { on: None, at }, None);
    let wire = add_wire(&mut project, [Some(5), Some(2)], [EndKind::Tag, EndKind::Splice], 0.5);
    project.wires.get_mut(wire).unwrap().to.terminal = TerminalRef { part: joint, terminal: 0 };
    let back = add_wire(&mut project, [Some(2), Some(5)], [EndKind::Splice, EndKind::Tag], 0.5);
    project.wires.get_mut(back).unwrap().from.terminal = TerminalRef { part: joint, terminal: 0 };
    let lengths = wire_lengths(&project);
    for id in [wire, back] {
        let length = lengths[&id].clone().unwrap();
        // 870 to the tee and 1000 on; (1870 x 1.03 + 40 + 40) rounded up.
        assert_eq!((length.routed_mm, length.cut_mm), (1870.0, 2010.0));
        assert_eq!(length.runs.len(), 2);
    }
    // A wire that passes the splice still has each run once, and the same length as before.
    let through = add_wire(&mut project, [Some(5), Some(2)], [EndKind::Tag; 2], 0.5);
    let length = wire_lengths(&project)[&through].clone().unwrap();
    assert_eq!((length.routed_mm, length.runs.len()), (3820.0, 3));
    let tap = add_part(&mut project, PartKind::Splice { on: Some(through), at }, None);
    assert!((tap_fractions(&project)[&tap] - 1870.0 / 3970.0).abs() < 1e-12);
    // Counted from the other end it is the same point; beyond the run there is none.
    let other = Some(RunPoint { run: clip_to_tee, from: PlaceId(3), distance_mm: 1310.0 });
    let twin = add_part(&mut project, PartKind::Splice { on: Some(through), at: other }, None);
    assert!((tap_fractions(&project)[&twin] - 1870.0 / 3970.0).abs() < 1e-12);
    let beyond = Some(RunPoint { run: clip_to_tee, from: PlaceId(3), distance_mm: 2310.5 });
    let lost = add_part(&mut project, PartKind::Splice { on: Some(through), at: beyond }, None);
    assert_eq!(tap_places(&project)[&lost], TapPlace::Unknown);
    let elsewhere = Some(RunPoint { run: RunId(100), from: PlaceId(0), distance_mm: 10.0 });
    let off = add_part(&mut project, PartKind::Splice { on: Some(through), at: elsewhere }, None);
    assert_eq!(tap_places(&project)[&off], TapPlace::OffRun(RunId(100)));
}

/// A splice in the middle of a moving run takes half of its loop.
#[test]
fn a_splice_on_a_moving_run_shares_its_loop() {
    let mut project = sprayer();
    let at = Some(RunPoint { run: RunId(102), from: PlaceId(2), distance_mm: 320.0 });
    let joint = add_part(&mut project, PartKind::Splice { on: None, at }, None);
    let wire = add_wire(&mut project, [Some(2), Some(2)], [EndKind::Inline, EndKind::Splice], 0.5);
    project.wires.get_mut(wire).unwrap().to.terminal = TerminalRef { part: joint, terminal: 0 };
    let length = wire_lengths(&project)[&wire].clone().unwrap();
    assert_eq!((length.routed_mm, length.allowance_mm), (320.0, 80.0 + 40.0 + 75.0));
}

/// Wires of 1.9 mm, one turn in 25 mm: each is longer than the pair by sqrt(1 + (π 1.9/25)²).
#[test]
fn a_twisted_pair_takes_more_wire_than_its_way() {
    let mut project = sprayer();
    let wire = add_wire(&mut project, [Some(0), Some(2)], [EndKind::Tag; 2], 0.75);
    project.settings.rounding_mm = 0.001;
    let straight = wire_lengths(&project)[&wire].clone().unwrap();
    let twist = Twist { pair: "P1".into(), lay_mm: 25.0 };
    project.wires.get_mut(wire).unwrap().make.twist = Some(twist);
    assert!(wire_lengths(&project)[&wire].is_err(), "never cut too short");
    project.wires.get_mut(wire).unwrap().make.outside_mm = Some(1.9);
    let twisted = wire_lengths(&project)[&wire].clone().unwrap();
    let factor = (1.0 + (std::f64::consts::PI * 1.9 / 25.0).powi(2)).sqrt();
    assert!((twisted.take_up - factor).abs() < 1e-12 && factor > 1.028);
    let more = twisted.cut_mm - straight.cut_mm;
    assert!((more - 3230.0 * 1.03 * (factor - 1.0)).abs() < 0.002, "{more}");
    assert_eq!(twisted.routed_mm, straight.routed_mm);
}

#[test]
fn a_twisted_wire_of_unknown_diameter_is_not_cut_too_short() {
    let mut project = machine(2, &[(0, 1, 1000.0, None)]);
    let wire = add_wire(&mut project, [Some(0), Some(1)], [EndKind::Tag; 2], 0.75);
    let row = project.wires.get_mut(wire).unwrap();
    row.make.twist = Some(Twist { pair: "P1".into(), lay_mm: 25.0 });
    let finding = wire_lengths(&project)[&wire].clone().unwrap_err();
    assert!(finding.what.contains("twisted") && finding.cure.contains("measure the diameter"));
    project.wires.get_mut(wire).unwrap().typed_length_mm = Some(1100.0);
    assert!(wire_lengths(&project)[&wire].is_ok());
}
