//! Wires drawn, bent, spliced and typed.

use super::*;

#[test]
fn a_wire_is_drawn_from_terminal_to_terminal_and_only_there() {
    // Where it is let go, and whether a wire comes of it.
    let table = [
        ((50.0, 0.0), true, "on a terminal"),
        ((50.9, 0.8), true, "near a terminal"),
        ((60.0, 0.5), true, "on the body: the nearest terminal"),
        ((30.0, 40.0), false, "on nothing"),
        ((10.0, 0.0), false, "back on itself"),
        ((0.0, 0.0), false, "on its own body"),
    ];
    for (to, makes_wire, what) in table {
        let mut bench = Bench::new();
        let (a, b) = (bench.place("1k", 0.0, 0.0), bench.place("2k", 60.0, 0.0));
        bench.drag((10.0, 0.0), to);
        assert_eq!(bench.history.project().wires.len(), usize::from(makes_wire), "{what}");
        if makes_wire {
            let (id, wire) = bench.only_wire();
            assert_eq!(wire.from.terminal, TerminalRef { part: a, terminal: 1 }, "{what}");
            assert_eq!(wire.to.terminal.part, b, "{what}");
            assert_eq!(bench.selection, [Item::Wire(id)].into(), "{what}");
            assert_eq!(bench.undo_title(), "draw a wire");
        }
    }
}

#[test]
fn a_second_wire_between_the_same_terminals_is_refused_in_words() {
    let mut bench = Bench::new();
    bench.place("1k", 0.0, 0.0);
    bench.place("2k", 60.0, 0.0);
    bench.drag((10.0, 0.0), (50.0, 0.0));
    bench.drag((50.0, 0.0), (10.0, 0.0));
    assert_eq!(bench.history.project().wires.len(), 1);
    assert_eq!(bench.last, [Action::Say("Wire W1 already joins R2-1 and R1-2.".into())]);
}

#[test]
fn a_wire_let_go_on_a_wire_ends_there_in_a_splice_as_one_step() {
    let mut bench = Bench::new();
    bench.place("1k", 0.0, 0.0);
    bench.place("2k", 60.0, 0.0);
    bench.drag((10.0, 0.0), (50.0, 0.0));
    let (tapped, _) = bench.only_wire();
    let r3 = bench.place("3k", 20.0, 40.0);
    bench.drag((30.0, 40.0), (30.4, 0.6));
    let project = bench.history.project();
    let (splice, part) = project.parts.iter().last().unwrap();
    assert_eq!(part.kind, PartKind::Splice { on: Some(tapped), at: None });
    assert_eq!(part.pos, point(30.0, 0.0));
    let (_, wire) = project.wires.iter().last().unwrap();
    assert_eq!((wire.from.terminal.part, wire.to.terminal.part), (r3, splice));
    bench.history.undo();
    assert_eq!((bench.history.project().wires.len(), bench.history.project().parts.len()), (1, 3));
    // At the very end of a wire its terminal is meant, and no splice is made.
    bench.drag((30.0, 40.0), (48.2, 0.9));
    let (_, wire) = bench.history.project().wires.iter().last().unwrap();
    assert_eq!(bench.history.project().terminal_name(wire.to.terminal), "R2-1");
}

#[test]
fn a_new_wire_takes_after_the_last_and_is_internal_inside_one_box() {
    let mut bench = Bench::new();
    bench.place("1k", 0.0, 0.0);
    bench.place("2k", 60.0, 0.0);
    bench.place("3k", 60.0, 30.0);
    bench.drag((10.0, 0.0), (50.0, 0.0));
    let (id, mut wire) = bench.only_wire();
    assert_eq!(wire.usage, WireUse::Harness);
    wire.size = WireSize::Mm2(2.5);
    bench.history.commit(Edit::SetWire(id, Box::new(wire)), None).unwrap();
    bench.drag((70.0, 0.0), (70.0, 30.0));
    assert_eq!(bench.history.project().wires.iter().last().unwrap().1.size, WireSize::Mm2(2.5));
    bench.frame((40.0, 90.0), (-20.0, 50.0));
    bench.drag((50.0, 30.0), (50.0, 0.0));
    assert_eq!(bench.history.project().wires.iter().last().unwrap().1.usage, WireUse::Internal);
}

#[test]
fn a_stretch_of_a_wire_is_bent_and_runs_by_itself_again() {
    let mut bench = Bench::new();
    bench.place("1k", 0.0, 0.0);
    bench.place("2k", 60.0, 0.0);
    bench.drag((10.0, 0.0), (50.0, 0.0));
    let (id, _) = bench.only_wire();
    bench.drag((30.0, 0.3), (33.0, 15.4));
    let run = |bench: &mut Bench| {
        bench.scene.refresh(bench.history.project(), &State::rest(), &BTreeSet::new());
        bench.scene.paths[&id].clone()
    };
    let bent = [
        point(10.0, 0.0),
        point(12.5, 0.0),
        point(12.5, 15.0),
        point(47.5, 15.0),
        point(47.5, 0.0),
        point(50.0, 0.0),
    ];
    assert_eq!(run(&mut bench), bent);
    assert_eq!(bench.undo_title(), "change wire W1");
    // An upright stretch moves across, too; the corner beside it follows.
    bench.drag((12.5, 8.0), (20.0, 60.0));
    assert_eq!(run(&mut bench)[1..3], [point(20.0, 0.0), point(20.0, 15.0)]);
    bench.input(Input::Grab(point(30.0, 15.0), Keys::default()));
    bench.input(Input::Drag(point(30.0, 40.0)));
    bench.input(Input::Cancel);
    assert_eq!(run(&mut bench)[2], point(20.0, 15.0), "escape takes the drag back");
    bench.input(Input::DoubleClick(point(30.0, 15.0)));
    assert_eq!(run(&mut bench), [point(10.0, 0.0), point(50.0, 0.0)]);
}

#[test]
fn a_splice_on_a_stretch_moves_with_it() {
    let mut bench = Bench::new();
    bench.place("1k", 0.0, 0.0);
    bench.place("2k", 60.0, 0.0);
    bench.place("3k", 20.0, 40.0);
    bench.drag((10.0, 0.0), (50.0, 0.0));
    bench.drag((30.0, 40.0), (30.0, 0.0));
    let (splice, _) = bench.history.project().parts.iter().last().unwrap();
    bench.drag((40.0, 0.0), (40.0, -10.0));
    assert_eq!(bench.pos(splice), (30.0, -10.0));
    bench.history.undo();
    assert_eq!(bench.pos(splice), (30.0, 0.0), "bend and splice are one step");
}

#[test]
fn a_splice_is_dragged_once_it_is_selected_and_wired_before() {
    let mut bench = Bench::new();
    let splice = bench.place("splice", 0.0, 0.0);
    bench.place("1k", 60.0, 0.0);
    bench.drag((0.0, 0.0), (50.0, 0.0));
    assert_eq!(bench.history.project().wires.len(), 1);
    bench.click(0.0, 0.0).drag((0.0, 0.0), (0.0, 25.0));
    assert_eq!(bench.pos(splice), (0.0, 25.0));
    let mut other = Bench::new();
    let resistor = other.place("1k", 0.0, 0.0);
    other.input(Input::Grab(point(10.0, 0.0), Keys { is_adding: false, is_moving: true }));
    other.input(Input::Drop(point(15.0, 0.0)));
    assert_eq!(other.pos(resistor), (5.0, 0.0), "alt drags at a terminal");
}

#[test]
fn a_wire_can_be_typed() {
    let mut bench = Bench::new();
    let (a, b) = (bench.place("1k", 0.0, 0.0), bench.place("changeover", 60.0, 0.0));
    let project = bench.history.project();
    let ends = |text: &str| {
        wiring::parse_wire(project, text).map(|wire| wire.map(|w| (w.from.terminal, w.to.terminal)))
    };
    let want = (TerminalRef { part: a, terminal: 1 }, TerminalRef { part: b, terminal: 0 });
    for text in ["wire R1-2 S1-common", "wire r1-2 to s1-COMMON", " wire  R1-2   S1-common "] {
        assert_eq!(ends(text), Some(Ok(want)), "{text}");
    }
    for text in ["wire", "wire R1-2", "wire R1-2 R1-2", "wire R1-3 S1-common", "wire R1-2S1-common"]
    {
        assert!(matches!(ends(text), None | Some(Err(_))), "{text}");
    }
    assert_eq!(ends("6k81"), None);
    assert_eq!(ends("wireless"), None);
}
