//! The hand on the layout as a table: what it holds and does after each input.

use super::*;
use crate::edit::apply;
use crate::samples;

struct Bench {
    project: Project,
    layout: Option<LayoutItem>,
    wire: Option<(WireId, Vec<RunId>)>,
}

impl Bench {
    fn new() -> Self {
        Self { project: samples::open("forwarder").unwrap(), layout: None, wire: None }
    }

    fn place(&self, name: &str) -> PlaceId {
        self.project.places.iter().find(|(_, place)| place.name == name).unwrap().0
    }

    fn pos(&self, name: &str) -> Point {
        self.project.places.get(self.place(name)).unwrap().pos
    }

    fn step(&self, hand: Hand, input: Input) -> (Hand, Vec<Deed>) {
        let ground = Ground {
            project: &self.project,
            layout: self.layout,
            wire: self.wire.as_ref().map(|(id, runs)| (*id, runs.as_slice())),
            reach_mm: 3.0,
            picture_corner: Some(point(100.0, 60.0)),
            gesture: Gesture(7),
        };
        step(hand, input, &ground)
    }

    fn applied(&mut self, deeds: Vec<Deed>) {
        for deed in deeds {
            if let Deed::Act(Action::Edit(edit, _)) = deed {
                apply(&mut self.project, edit).unwrap();
            }
        }
    }
}

#[test]
fn a_dot_begins_a_run_and_moves_once_it_is_selected() {
    let mut bench = Bench::new();
    let (tee, other) = (bench.place("bulkhead tee"), bench.place("fuse box"));
    let at = bench.pos("bulkhead tee");
    let grab = Input::Grab(at, Some(Hit::Dot(tee)), false);
    let (hand, deeds) = bench.step(Hand::Idle, grab);
    assert_eq!((&hand, deeds.len()), (&Hand::Drawing(tee, at), 0));
    let (done, deeds) = bench.step(hand.clone(), Input::Drop(at, Some(other)));
    assert_eq!((done, deeds), (Hand::Idle, vec![Deed::AskRun([tee, other])]));
    assert_eq!(bench.step(hand.clone(), Input::Drop(at, Some(tee))).1, [], "no run to itself");
    assert_eq!(bench.step(hand, Input::Drop(at, None)).1, []);

    bench.layout = Some(LayoutItem::Place(tee));
    let (hand, _) = bench.step(Hand::Idle, grab);
    assert!(matches!(hand, Hand::Moving(..)), "{hand:?}");
    let to = at + point(11.0, -6.2);
    let (hand, deeds) = bench.step(hand, Input::Go(to));
    bench.applied(deeds);
    assert_eq!(bench.pos("bulkhead tee"), to.snapped(GRID_MM), "on the grid");
    assert_eq!(bench.step(hand, Input::Go(to)).1, [], "no edit where nothing moves");
}

#[test]
fn a_name_moves_its_place_and_what_sits_there_comes_along() {
    let mut bench = Bench::new();
    let tee = bench.place("bulkhead tee");
    let there = |bench: &Bench| -> Vec<String> {
        let parts = bench.project.parts.iter().filter(|(_, part)| part.place == Some(tee));
        parts.map(|(_, part)| part.name.clone()).collect()
    };
    let before = there(&bench);
    let by = point(-40.0, 0.0);
    let at = bench.pos("bulkhead tee") + point(0.0, 8.0);
    let (hand, deeds) = bench.step(Hand::Idle, Input::Grab(at, Some(Hit::Tag(tee)), false));
    assert_eq!(deeds, [select(Some(LayoutItem::Place(tee)))]);
    let old = bench.pos("bulkhead tee");
    let (_, deeds) = bench.step(hand, Input::Go(at + by));
    bench.applied(deeds);
    assert_eq!(bench.pos("bulkhead tee"), (old + by).snapped(GRID_MM));
    assert_eq!(there(&bench), before);
}

#[test]
fn parts_go_to_a_place_or_make_one() {
    let mut bench = Bench::new();
    let (part, row) = bench.project.parts.iter().find(|(_, part)| part.place.is_some()).unwrap();
    let (name, at) = (row.name.clone(), bench.pos("fuse box"));
    let (hand, _) = bench.step(Hand::Idle, Input::Grab(at, Some(Hit::Chip(part)), false));
    assert_eq!(hand, Hand::Carrying(vec![part], name, Some(at)));
    let (_, deeds) = bench.step(hand.clone(), Input::Drop(at, None));
    assert_eq!(deeds, [Deed::PlaceFor(vec![part], at.snapped(GRID_MM))]);
    let fuse_box = bench.place("fuse box");
    let (_, deeds) = bench.step(hand.clone(), Input::Drop(at, Some(fuse_box)));
    bench.applied(deeds);
    assert_eq!(bench.project.parts.get(part).unwrap().place, Some(fuse_box));
    let (_, deeds) = bench.step(hand, Input::Drop(at, Some(fuse_box)));
    assert_eq!(deeds, [], "it sits there already");
}

#[test]
fn a_lit_route_is_pinned_by_dropping_one_of_its_runs_on_a_place() {
    let mut bench = Bench::new();
    let lengths = crate::harness::wire_lengths(&bench.project);
    let (wire, runs) = lengths
        .iter()
        .find_map(|(id, length)| Some((*id, length.as_ref().ok()?.runs.clone())))
        .unwrap();
    let (at, run) = (point(0.0, 0.0), runs[0]);
    let grab = Input::Grab(at, Some(Hit::Run(run)), false);
    assert_eq!(bench.step(Hand::Idle, grab).0, Hand::Panning, "no wire is lit");
    bench.wire = Some((wire, runs.clone()));
    let (hand, _) = bench.step(Hand::Idle, grab);
    assert_eq!(hand, Hand::Pinning(wire, run, at));
    let taken = crate::harness::end_places(&bench.project, bench.project.wires.get(wire).unwrap());
    let other = bench.project.places.ids().find(|id| !taken.contains(&Some(*id))).unwrap();
    let (_, deeds) = bench.step(hand, Input::Drop(at, Some(other)));
    bench.applied(deeds);
    assert_eq!(bench.project.wires.get(wire).unwrap().via, [other]);
}

#[test]
fn two_clicks_mark_a_stretch_and_escape_lets_go() {
    let bench = Bench::new();
    let (a, b) = (point(1.0, 2.0), point(31.0, 2.0));
    let (hand, _) = bench.step(Hand::Idle, Input::Measure);
    let (hand, deeds) = bench.step(hand, Input::Click(a, None));
    assert_eq!(deeds, []);
    let (same, _) = bench.step(hand.clone(), Input::Click(a, None));
    assert_eq!(same, hand, "a stretch without length is none");
    assert_eq!(bench.step(hand.clone(), Input::Cancel), (Hand::Idle, Vec::new()));
    let (hand, deeds) = bench.step(hand, Input::Click(b, None));
    assert_eq!((hand, deeds), (Hand::Idle, vec![Deed::AskScale([a, b])]));
    assert_eq!(bench.step(Hand::Idle, Input::Cancel).1, [select(None)]);
}

#[test]
fn the_picture_moves_only_while_it_is_selected_and_grows_by_its_corner() {
    let mut bench = Bench::new();
    let bytes = vec![1].into();
    let start =
        Underlay { name: "a".into(), bytes, pos: point(0.0, 0.0), width_mm: 100.0, opacity: 0.5 };
    bench.project.underlay = Some(start);
    let grab = |at| Input::Grab(at, None, false);
    assert_eq!(bench.step(Hand::Idle, grab(point(50.0, 30.0))).0, Hand::Panning);
    bench.layout = Some(LayoutItem::Underlay);
    let (hand, _) = bench.step(Hand::Idle, grab(point(50.0, 30.0)));
    let (_, deeds) = bench.step(hand, Input::Go(point(60.0, 25.0)));
    bench.applied(deeds);
    assert_eq!(bench.project.underlay.as_ref().unwrap().pos, point(10.0, -5.0));
    let (hand, _) = bench.step(Hand::Idle, grab(point(101.0, 60.0)));
    let (hand, deeds) = bench.step(hand, Input::Go(point(151.0, 70.0)));
    bench.applied(deeds);
    assert_eq!(bench.project.underlay.as_ref().unwrap().width_mm, 150.0);
    let (_, deeds) = bench.step(hand, Input::Go(point(-500.0, 0.0)));
    bench.applied(deeds);
    assert_eq!(bench.project.underlay.as_ref().unwrap().width_mm, LEAST_PICTURE_MM);
}

#[test]
fn clicks_select_and_double_clicks_name_or_place() {
    let bench = Bench::new();
    let (tee, at) = (bench.place("bulkhead tee"), point(3.0, 4.9));
    let run = bench.project.runs.ids().next().unwrap();
    let click = |hit| bench.step(Hand::Idle, Input::Click(at, hit)).1;
    assert_eq!(click(Some(Hit::Tag(tee))), [select(Some(LayoutItem::Place(tee)))]);
    assert_eq!(
        click(Some(Hit::Run(run))),
        [select(Some(LayoutItem::Run(run))), Deed::TypeLength(run)]
    );
    let twice = |hit| bench.step(Hand::Idle, Input::DoubleClick(at, hit)).1;
    assert_eq!(twice(Some(Hit::Dot(tee))), [Deed::Rename(tee)]);
    assert_eq!(twice(None), [Deed::NewPlace(point(2.5, 5.0))]);
}
