//! Gestures as tables: what goes in, what the project is afterwards.

use std::collections::BTreeSet;

use super::*;
use crate::app::action::Lead;
use crate::app::canvas::scene::Scene;
use crate::edit::{History, parse_placing};
use crate::model::{ControlId, FrameId, State, WireSize, WireUse};

mod wires;

/// A sheet with a hand: inputs go in, the project changes as dispatch would change it.
struct Bench {
    history: History,
    scene: Scene,
    selection: Selection,
    bench: State,
    latched: BTreeSet<ControlId>,
    hand: Hand,
    gestures: u64,
    last: Vec<Action>,
}

impl Bench {
    fn new() -> Self {
        Self {
            history: History::new(Project::empty("test")),
            scene: Scene::default(),
            selection: Selection::new(),
            bench: State::rest(),
            latched: BTreeSet::new(),
            hand: Hand::Idle,
            gestures: 0,
            last: Vec::new(),
        }
    }

    fn place(&mut self, text: &str, x_mm: f64, y_mm: f64) -> PartId {
        let edit = Edit::Place(parse_placing(text).unwrap().at(point(x_mm, y_mm)));
        let created = self.history.commit(edit, None).unwrap().created;
        match created.first().unwrap() {
            Item::Part(id) => *id,
            Item::Wire(_) | Item::Frame(_) => unreachable!("placing makes parts"),
        }
    }

    fn frame(&mut self, x: (f64, f64), y: (f64, f64)) -> FrameId {
        let rect = Rect::spanning(point(x.0, y.0), point(x.1, y.1));
        let edit = Edit::AddFrame(Frame { name: "Box".into(), rect });
        match self.history.commit(edit, None).unwrap().created.first().unwrap() {
            Item::Frame(id) => *id,
            Item::Part(_) | Item::Wire(_) => unreachable!("a frame was drawn"),
        }
    }

    fn input(&mut self, input: Input) -> &mut Self {
        self.scene.refresh(self.history.project(), &self.bench, &BTreeSet::new());
        self.gestures += 1;
        let view = SheetView {
            project: self.history.project(),
            paths: &self.scene.paths,
            selection: &self.selection,
            bench: &self.bench,
            latched: &self.latched,
            reach_mm: 1.5,
            in_view: Rect::spanning(point(-100.0, -80.0), point(100.0, 80.0)),
            gesture: Gesture(1000 + self.gestures),
        };
        let (hand, actions) = step(std::mem::take(&mut self.hand), input, &view);
        self.hand = hand;
        for action in &actions {
            match action {
                Action::Edit(edit, gesture) => {
                    let created = self.history.commit(edit.clone(), *gesture).unwrap().created;
                    if !created.is_empty() {
                        self.selection = created;
                    }
                }
                Action::Select(selection) => self.selection.clone_from(selection),
                Action::Run(Command::Undo) => {
                    self.history.undo();
                }
                other => assert!(!matches!(other, Action::DismissNotice), "{other:?}"),
            }
        }
        self.last = actions;
        self
    }

    fn drag(&mut self, from: (f64, f64), to: (f64, f64)) -> &mut Self {
        let middle = point((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
        self.input(Input::Grab(point(from.0, from.1), Keys::default()));
        self.input(Input::Drag(middle));
        self.input(Input::Drag(point(to.0, to.1)));
        self.input(Input::Drop(point(to.0, to.1)))
    }

    fn click(&mut self, x: f64, y: f64) -> &mut Self {
        self.input(Input::Click(point(x, y), Keys::default()))
    }

    fn pos(&self, id: PartId) -> (f64, f64) {
        let pos = self.history.project().parts.get(id).unwrap().pos;
        (pos.x_mm, pos.y_mm)
    }

    fn undo_title(&self) -> &str {
        self.history.undo_title().unwrap_or("")
    }

    fn only_wire(&self) -> (WireId, crate::model::Wire) {
        let wires: Vec<_> = self.history.project().wires.iter().collect();
        assert_eq!(wires.len(), 1);
        (wires[0].0, wires[0].1.clone())
    }
}

const ADD: Keys = Keys { is_adding: true, is_moving: false };

#[test]
fn a_click_selects_and_with_shift_it_adds_and_takes_away() {
    let mut bench = Bench::new();
    let (a, b) = (bench.place("1k", 0.0, 0.0), bench.place("2k", 0.0, 30.0));
    let (a, b) = (Item::Part(a), Item::Part(b));
    let table: [(f64, f64, Keys, &[Item]); 7] = [
        (0.0, 0.0, Keys::default(), &[a]),
        (0.0, 30.0, Keys::default(), &[b]),
        (0.0, 0.0, ADD, &[a, b]),
        (50.0, 50.0, ADD, &[a, b]),
        (0.0, 30.0, ADD, &[a]),
        (10.0, 30.0, Keys::default(), &[b]), // a terminal stands for its part
        (50.0, 50.0, Keys::default(), &[]),
    ];
    for (x, y, keys, want) in table {
        bench.input(Input::Click(point(x, y), keys));
        assert_eq!(
            bench.selection,
            want.iter().copied().collect(),
            "click at {x}, {y} with {keys:?}"
        );
    }
}

#[test]
fn a_dragged_part_moves_on_the_grid_in_one_step() {
    let table = [
        ((1.0, 1.0), (21.2, 8.9), (20.0, 7.5)),
        ((0.0, 0.0), (-3.8, 0.4), (-5.0, 0.0)),
        ((2.0, 0.0), (2.4, 0.3), (0.0, 0.0)),
    ];
    for (from, to, want) in table {
        let mut bench = Bench::new();
        let id = bench.place("1k", 0.0, 0.0);
        bench.drag(from, to);
        assert_eq!(bench.pos(id), want, "{from:?} to {to:?}");
        assert_eq!(bench.selection, [Item::Part(id)].into());
        assert_eq!(bench.hand, Hand::Idle);
        let moved = want != (0.0, 0.0);
        assert_eq!(bench.undo_title(), if moved { "move R1" } else { "place resistor" });
        bench.history.undo();
        if moved {
            assert_eq!(bench.pos(id), (0.0, 0.0), "one step takes the whole drag back");
        }
    }
}

#[test]
fn a_group_moves_together_and_a_frame_takes_along_what_it_holds() {
    let mut bench = Bench::new();
    let (a, b, c) =
        (bench.place("1k", 0.0, 0.0), bench.place("2k", 0.0, 20.0), bench.place("3k", 90.0, 0.0));
    bench.selection = [Item::Part(a), Item::Part(b)].into();
    bench.drag((0.0, 0.0), (10.0, 5.0));
    assert_eq!(
        (bench.pos(a), bench.pos(b), bench.pos(c)),
        ((10.0, 5.0), (10.0, 25.0), (90.0, 0.0))
    );
    let frame = bench.frame((-10.0, 40.0), (-10.0, 40.0));
    bench.drag((-5.0, -6.0), (5.0, -6.0));
    assert_eq!(
        (bench.pos(a), bench.pos(b), bench.pos(c)),
        ((20.0, 5.0), (20.0, 25.0), (90.0, 0.0))
    );
    assert_eq!(bench.history.project().frames.get(frame).unwrap().rect.min, point(0.0, -10.0));
}

#[test]
fn an_edge_of_a_frame_can_be_pulled_but_not_through_the_other() {
    let mut bench = Bench::new();
    let frame = bench.frame((0.0, 50.0), (0.0, 40.0));
    let rect = |bench: &Bench| {
        let rect = bench.history.project().frames.get(frame).unwrap().rect;
        (rect.min.x_mm, rect.min.y_mm, rect.max.x_mm, rect.max.y_mm)
    };
    bench.drag((50.0, 20.0), (62.0, 33.0));
    assert_eq!(rect(&bench), (0.0, 0.0, 62.5, 40.0));
    bench.drag((62.5, 40.0), (70.0, 50.0));
    assert_eq!(rect(&bench), (0.0, 0.0, 70.0, 50.0));
    bench.drag((0.0, 20.0), (500.0, 20.0));
    assert_eq!(rect(&bench), (60.0, 0.0, 70.0, 50.0));
    bench.input(Input::Grab(point(70.0, 20.0), Keys::default()));
    bench.input(Input::Drag(point(90.0, 20.0)));
    bench.input(Input::Cancel);
    assert_eq!(rect(&bench), (60.0, 0.0, 70.0, 50.0));
}

#[test]
fn a_box_selects_what_lies_in_it() {
    let mut bench = Bench::new();
    let (a, b) = (bench.place("1k", 0.0, 0.0), bench.place("2k", 60.0, 0.0));
    let far = bench.place("3k", 60.0, 70.0);
    bench.drag((10.0, 0.0), (50.0, 0.0));
    let (wire, _) = bench.only_wire();
    bench.drag((-20.0, -20.0), (80.0, 20.0));
    assert_eq!(bench.selection, [Item::Part(a), Item::Part(b), Item::Wire(wire)].into());
    bench.input(Input::Grab(point(20.0, 50.0), ADD));
    bench.input(Input::Drop(point(90.0, 90.0)));
    assert!(bench.selection.contains(&Item::Part(far)) && bench.selection.len() == 4);
    bench.drag((20.0, 50.0), (25.0, 55.0));
    assert!(bench.selection.is_empty());
}

#[test]
fn what_was_typed_follows_the_pointer_and_is_put_down() {
    let placement = || Box::new(parse_placing("6k81").unwrap());
    let parts = |bench: &Bench| bench.history.project().parts.len();
    let mut bench = Bench::new();
    bench.input(Input::Take(placement()));
    bench.input(Input::Hover(point(11.0, 4.0)));
    assert!(matches!(&bench.hand, Hand::Placing { at: Some(at), .. } if *at == point(10.0, 5.0)));
    bench.click(11.0, 4.0);
    assert_eq!((parts(&bench), bench.hand.clone()), (1, Hand::Idle));
    assert_eq!(bench.history.project().parts.iter().next().unwrap().1.pos, point(10.0, 5.0));
    // Shift puts one more into the hand, escape empties it.
    bench.input(Input::Take(placement()));
    bench.input(Input::Click(point(40.0, 30.0), ADD));
    assert!(matches!(bench.hand, Hand::Placing { .. }) && parts(&bench) == 2);
    bench.input(Input::Cancel);
    assert_eq!((parts(&bench), bench.hand.clone()), (2, Hand::Idle));
    // Enter puts down clear of everything, near the middle of the view.
    for want in 3..8 {
        bench.input(Input::Take(placement()));
        bench.input(Input::PutDown);
        assert_eq!(parts(&bench), want);
    }
    let rects: Vec<Rect> =
        bench.history.project().parts.iter().map(|(_, part)| drawing::part_rect(part)).collect();
    for (at, rect) in rects.iter().enumerate() {
        assert!(rects[..at].iter().all(|other| !other.touches(*rect)), "{rect:?}");
    }
    // Carried from the strip: let go on the sheet, or outside it.
    bench.input(Input::Carry(placement()));
    bench.input(Input::Drag(point(-50.0, -50.0)));
    bench.input(Input::Drop(point(-50.0, -50.0)));
    assert_eq!(parts(&bench), 8);
    bench.input(Input::Carry(placement()));
    bench.input(Input::Drop(point(-50.0, -900.0)));
    assert_eq!((parts(&bench), bench.hand.clone()), (8, Hand::Idle));
}

#[test]
fn a_double_click_on_a_contact_moves_its_control() {
    let mut bench = Bench::new();
    bench.place("toggle", 0.0, 0.0);
    bench.place("button", 40.0, 0.0);
    bench.place("lever", 80.0, 0.0);
    bench.place("1k", 0.0, 40.0);
    let ids: Vec<ControlId> = bench.history.project().controls.ids().collect();
    let mut check = |x: f64, y: f64, want: &[Action]| {
        bench.input(Input::DoubleClick(point(x, y)));
        assert_eq!(bench.last, want, "{x}, {y}");
        for action in want {
            match action {
                Action::MoveControl(id, to) => {
                    bench.bench.0.insert(*id, *to);
                }
                Action::LatchControl(id, true) => {
                    bench.latched.insert(*id);
                }
                Action::LatchControl(id, false) => {
                    bench.latched.remove(id);
                    bench.bench.0.remove(id);
                }
                _ => {}
            }
        }
    };
    let held = |id, to| [Action::MoveControl(id, to), Action::LatchControl(id, true)];
    check(0.0, 0.0, &[Action::MoveControl(ids[0], 1)]);
    check(0.0, 0.0, &[Action::MoveControl(ids[0], 0)]);
    check(40.0, 0.0, &held(ids[1], 1));
    check(40.0, 0.0, &[Action::LatchControl(ids[1], false)]);
    check(80.0, 0.0, &held(ids[2], 2));
    check(80.0, 15.0, &held(ids[2], 0));
    check(80.0, 15.0, &[Action::LatchControl(ids[2], false)]);
    check(0.0, 40.0, &[Action::Run(Command::Rename)]);
    check(0.0, 90.0, &[]);
    let alt = Keys { is_adding: false, is_moving: true };
    bench.input(Input::Click(point(0.0, 0.0), alt));
    assert_eq!(bench.last, [Action::MoveControl(ids[0], 1)], "a click with alt does the same");
    bench.input(Input::Click(point(0.0, 40.0), alt));
    assert!(matches!(bench.last[..], [Action::Select(_)]));
}

#[test]
fn a_lead_goes_onto_a_terminal_and_off_again() {
    let mut bench = Bench::new();
    let part = bench.place("1k", 0.0, 0.0);
    for (to, terminal) in [((10.4, 0.2), Some(1)), ((-4.0, 0.0), Some(0)), ((50.0, 50.0), None)] {
        bench.input(Input::TakeLead(Lead::Red));
        bench.input(Input::Drag(point(to.0, to.1)));
        bench.input(Input::Drop(point(to.0, to.1)));
        let terminal = terminal.map(|terminal| TerminalRef { part, terminal });
        assert_eq!(bench.last, [Action::PutLead(Lead::Red, terminal)], "{to:?}");
    }
}

#[test]
fn escape_lets_go_first_of_the_hand_and_then_of_the_selection() {
    let mut bench = Bench::new();
    let part = bench.place("1k", 0.0, 0.0);
    bench.input(Input::Grab(point(0.0, 0.0), Keys::default()));
    bench.input(Input::Drag(point(30.0, 0.0)));
    assert_eq!(bench.pos(part), (30.0, 0.0));
    bench.input(Input::Cancel);
    assert_eq!(bench.pos(part), (0.0, 0.0));
    assert_eq!(bench.selection, [Item::Part(part)].into());
    bench.input(Input::Cancel);
    assert!(bench.selection.is_empty());
    bench.input(Input::Cancel);
    assert!(bench.last.is_empty());
    bench.input(Input::Grab(point(10.0, 0.0), Keys::default()));
    bench.input(Input::Drag(point(50.0, 50.0)));
    assert!(matches!(bench.hand, Hand::Wiring { .. }));
    bench.input(Input::Cancel);
    bench.input(Input::Drop(point(50.0, 50.0)));
    assert_eq!((bench.hand.clone(), bench.history.project().wires.len()), (Hand::Idle, 0));
}

#[test]
fn arrow_keys_nudge_the_selection_in_one_step() {
    let mut bench = Bench::new();
    let part = bench.place("1k", 0.0, 0.0);
    bench.input(Input::Nudge(point(2.5, 0.0), Gesture(5)));
    assert!(bench.last.is_empty(), "nothing is selected");
    bench.click(0.0, 0.0);
    for _ in 0..3 {
        bench.input(Input::Nudge(point(2.5, 0.0), Gesture(5)));
    }
    assert_eq!(bench.pos(part), (7.5, 0.0));
    bench.history.undo();
    assert_eq!(bench.pos(part), (0.0, 0.0));
}
