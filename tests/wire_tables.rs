//! Wire tables: read and written, what comes of every row, and what damage does not do.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use ohmloom::edit::{Edit, History, Item, apply};
use ohmloom::model::{BaseColour, Colour, PartKind, Project, Wire, WireId, WireSize, WireUse};
use ohmloom::random::Random;
use ohmloom::tables::{
    Column, Fate, Header, ImportPlan, Matching, Missing, Moving, TerminalNames, plan, read_table,
    wire_table_text,
};
use ohmloom::{samples, testing};

fn planned(project: &Project, text: &str, missing: Missing) -> (ImportPlan, Matching) {
    let table = read_table(text, None).unwrap();
    let matching = Matching::guess(&table);
    (plan(project, &table, &matching, (missing, Moving::Refuse)), matching)
}

fn forwarder() -> Project {
    samples::open("forwarder").unwrap()
}

/// Words for everything that is wrong.
fn problems(project: &Project, text: &str) -> Vec<String> {
    let (plan, matching) = planned(project, text, Missing::Refuse);
    if !plan.problems.is_empty() {
        assert_eq!(plan.edit(), None, "nothing is imported where anything is wrong");
    }
    plan.problems.iter().map(|p| p.words(&matching)).collect()
}

/// What a table holds of a wire.
fn told(wire: &Wire) -> impl PartialEq + std::fmt::Debug + use<> {
    let Wire { name, circuit, from, to, size, colour, typed_length_mm, .. } = wire.clone();
    (name, circuit, from.terminal, to.terminal, size, colour, typed_length_mm)
}

fn cut_wires(project: &Project) -> Vec<(WireId, Wire)> {
    let wires = project.wires.iter().filter(|(_, wire)| wire.usage == WireUse::Harness);
    wires.map(|(id, wire)| (id, wire.clone())).collect()
}

#[test]
fn every_sample_reads_back_equal() {
    for sample in samples::LIST {
        let project = samples::open(sample.name).unwrap();
        let text = wire_table_text(&project);
        let wires = cut_wires(&project);
        if wires.is_empty() {
            continue;
        }
        let (plan, _) = planned(&project, &text, Missing::Refuse);
        assert_eq!(plan.problems, [], "{}", sample.name);
        assert_eq!(plan.counts(), (0, 0, wires.len()), "{}", sample.name);
        assert_eq!(plan.edit(), None, "nothing to do");

        // The same table into the same machine without its wires makes them anew.
        let mut bare = project.clone();
        apply(&mut bare, Edit::Remove(wires.iter().map(|(id, _)| Item::Wire(*id)).collect()))
            .unwrap();
        let (plan, _) = planned(&bare, &text, Missing::Refuse);
        assert_eq!(plan.counts(), (wires.len(), 0, 0));
        apply(&mut bare, plan.edit().unwrap()).unwrap();
        let again: Vec<_> = cut_wires(&bare).iter().map(|(_, wire)| told(wire)).collect();
        let before: Vec<_> = wires.iter().map(|(_, wire)| told(wire)).collect();
        assert_eq!(again, before, "{}", sample.name);
        assert_eq!(wire_table_text(&bare), text);
    }
}

#[test]
fn generated_projects_read_back_equal_unless_a_name_is_shared() {
    let (mut equal, mut rows) = (0, 0);
    for seed in 0..300 {
        let project = testing::project(seed, 14);
        if cut_wires(&project).is_empty() {
            continue;
        }
        let (plan, matching) = planned(&project, &wire_table_text(&project), Missing::Refuse);
        if plan.problems.is_empty() {
            assert_eq!(plan.counts().2, plan.rows.len(), "seed {seed}: {:?}", plan.rows);
            equal += 1;
            rows += plan.rows.len();
        } else {
            for problem in &plan.problems {
                let words = problem.words(&matching);
                let is_name = ["(from)", "(to)", "(wire)"].iter().any(|c| words.contains(c));
                assert!(is_name, "seed {seed}: {words}");
            }
        }
    }
    assert!(equal > 20 && rows > 100, "{equal} projects, {rows} rows");
}

#[test]
fn new_changed_and_unchanged_rows_become_one_step() {
    let project = forwarder();
    let d2 = cut_wires(&project).into_iter().find(|(_, wire)| wire.name == "D2").unwrap();
    let names = TerminalNames::of(&project);
    let [from, to] = [d2.1.from, d2.1.to].map(|end| names.name(end.terminal).to_owned());
    // Semicolons, decimal commas, another order of columns, one new wire, one changed, both ends turned.
    let text = format!(
        "To;From;Wire;Gauge;Color;Length (cm)\n{from};{to};D2;0,75;gn/ye;81,5\nX1:12;G1;;18 AWG;pink;\n"
    );
    let (plan, _) = planned(&project, &text, Missing::Refuse);
    assert_eq!(plan.problems, []);
    assert_eq!(plan.counts(), (1, 1, 0));
    assert_eq!(plan.rows[0].fate, Fate::Change(d2.0));
    let mut history = History::new(project.clone());
    history.commit(plan.edit().unwrap(), None).unwrap();
    let wire = history.project().wires.get(d2.0).unwrap();
    assert_eq!(wire.size, WireSize::Mm2(0.75));
    assert_eq!(wire.typed_length_mm, Some(815.0));
    assert_eq!(wire.colour, Colour { base: BaseColour::Green, tracer: Some(BaseColour::Yellow) });
    assert_eq!((wire.from, wire.to), (d2.1.from, d2.1.to), "a wire has no direction");
    assert_eq!((&wire.bends, &wire.circuit), (&d2.1.bends, &d2.1.circuit), "no column, no change");
    let (_, new) = history.project().wires.iter().last().unwrap();
    assert_eq!((new.size, new.typed_length_mm), (WireSize::Awg(18), None));
    assert!(new.name.starts_with('W'), "{}", new.name);
    assert_eq!(history.undo().as_deref(), Some("import 2 wires"));
    assert_eq!(
        (&history.project().wires, &history.project().parts),
        (&project.wires, &project.parts)
    );
}

#[test]
fn everything_wrong_is_named_by_line_and_column() {
    let project = forwarder();
    let found = problems(
        &project,
        "from,to,size,colour,length\nX1-99,X2-1,0.5,red,800\nX9-1,X1-12,thick,mauve,long\n\nX1-12,X1-12,0.5,red,\nX1-12,G1,,,\n",
    );
    for (n, begins) in [
        "line 2, column 1 (from): expected a terminal of X1 (it has 16), found \"X1-99\"",
        "line 2, column 2 (to): expected one terminal, found \"X2-1\", which may be X2-1 sockets or X2-1 pins",
        "line 3, column 1 (from): expected a terminal the project has, found \"X9-1\": there is no X9",
        "line 3, column 3 (size): expected a size",
        "line 3, column 4 (colour): expected a colour",
        "line 3, column 5 (length): expected a length",
        "line 5, column 2 (to): expected two different terminals",
        "line 6, column 3 (size): expected the size of a new wire, found nothing",
        "line 6, column 4 (colour): expected the colour of a new wire",
    ]
    .iter()
    .enumerate()
    {
        assert!(found[n].starts_with(begins), "{} is not {begins}", found[n]);
    }
    assert_eq!(found.len(), 9);
    assert!(problems(&project, "from,size\nX1-1,0.5")[0].contains("means \"to\""));
    assert!(problems(&project, "from,to,size,colour")[0].contains("only the names of columns"));
    assert!(problems(&project, "from,to\nX1-12,G1")[0].contains("no column that means it"));
    assert!(
        problems(&project, "from,to,size,colour\nX1-12,G1,0.5,red,extra")[0]
            .contains("line 2, column 5: expected 4 cells as in the first row, found \"extra\"")
    );
}

#[test]
fn missing_connectors_are_made_where_that_is_asked_for() {
    let project = forwarder();
    let text = "from connector,from pin,to,size,colour\nX9,1,X1-12,0.5,red\nx9,4,X10-2,0.5,blue\n";
    let (refused, _) = planned(&project, text, Missing::Refuse);
    assert_eq!(refused.problems.len(), 3, "{:?}", refused.problems);
    let (plan, _) = planned(&project, text, Missing::Make);
    assert_eq!(plan.problems, []);
    let made: Vec<(&str, u16)> = plan.made.iter().map(|m| (m.name.as_str(), m.cavities)).collect();
    assert_eq!(made, [("X9", 4), ("X10", 2)]);
    let mut after = project.clone();
    apply(&mut after, plan.edit().unwrap()).unwrap();
    let part = |name: &str| after.parts.iter().find(|(_, part)| part.name == name).unwrap().1;
    match &part("X9").kind {
        PartKind::Connector(connector) => {
            assert_eq!((connector.layout.count(), connector.first.name.as_str()), (4, "X9"));
        }
        other => panic!("X9 is a {}", other.noun()),
    }
    let names = TerminalNames::of(&after);
    let last = after.wires.iter().last().unwrap().1;
    assert_eq!([names.name(last.from.terminal), names.name(last.to.terminal)], ["X9-4", "X10-2"]);
    // And what was made reads back.
    let (again, _) = planned(&after, &wire_table_text(&after), Missing::Refuse);
    assert_eq!((again.problems.len(), again.edit()), (0, None));
}

fn planned_moves(project: &Project, text: &str, moving: Moving) -> ImportPlan {
    let table = read_table(text, None).unwrap();
    plan(project, &table, &Matching::guess(&table), (Missing::Refuse, moving))
}

#[test]
fn a_wire_moves_only_when_asked_and_leaves_its_old_way_behind() {
    let mut project = forwarder();
    let (id, mut wire) = cut_wires(&project).into_iter().find(|(_, w)| w.name == "D3").unwrap();
    wire.bends = vec![ohmloom::geometry::point(50.0, 50.0)];
    wire.via = vec![project.places.ids().next().unwrap()];
    wire.typed_length_mm = Some(815.0);
    apply(&mut project, Edit::SetWire(id, Box::new(wire))).unwrap();
    let text = "wire,from,to,length\nD3,X2-3 pins,X1-12,\n";
    let refused = planned_moves(&project, text, Moving::Refuse);
    assert_eq!((refused.rows[0].fate, refused.edit()), (Fate::Moves(id), None));
    let [problem] = refused.problems.as_slice() else { panic!("{:?}", refused.problems) };
    assert_eq!((problem.line, problem.slot), (2, Some(0)));
    assert!(problem.what.contains("would move to X2-3 pins – X1-12"), "{}", problem.what);
    let plan = planned_moves(&project, text, Moving::Take);
    assert_eq!((plan.rows[0].fate, plan.counts()), (Fate::Moves(id), (0, 1, 0)));
    let what: Vec<&str> = plan.rows[0].differences.iter().map(|d| d.what).collect();
    assert_eq!(what, ["ends", "typed length", "places it must pass"]);
    let length = &plan.rows[0].differences[1];
    assert_eq!((&*length.before, &*length.now), ("815 mm", "by route"));
    apply(&mut project, plan.edit().unwrap()).unwrap();
    let wire = project.wires.get(id).unwrap();
    assert_eq!(TerminalNames::of(&project).name(wire.to.terminal), "X1-12");
    assert_eq!((wire.bends.len(), wire.via.len(), wire.typed_length_mm), (0, 0, None));
}

#[test]
fn an_empty_cell_keeps_and_a_dash_takes_away() {
    let mut project = forwarder();
    let (id, mut wire) = cut_wires(&project).into_iter().find(|(_, w)| w.name == "D2").unwrap();
    wire.typed_length_mm = Some(815.0);
    wire.circuit = "sense".into();
    apply(&mut project, Edit::SetWire(id, Box::new(wire.clone()))).unwrap();
    let names = TerminalNames::of(&project);
    let [from, to] = [wire.from, wire.to].map(|end| names.name(end.terminal).to_owned());
    let text = |cell: &str| format!("wire,from,to,circuit,length\nD2,{from},{to},{cell},{cell}\n");
    let kept = planned_moves(&project, &text(""), Moving::Refuse);
    assert_eq!((kept.rows[0].fate, kept.edit()), (Fate::Same(id), None));
    let taken = planned_moves(&project, &text("-"), Moving::Refuse);
    assert_eq!(taken.rows[0].fate, Fate::Change(id));
    let words: Vec<String> = taken.rows[0]
        .differences
        .iter()
        .map(|d| format!("{}: {} to {}", d.what, d.before, d.now))
        .collect();
    assert_eq!(words, ["circuit: sense to none", "typed length: 815 mm to by route"]);
    apply(&mut project, taken.edit().unwrap()).unwrap();
    let wire = project.wires.get(id).unwrap();
    assert_eq!((wire.circuit.as_str(), wire.typed_length_mm), ("", None));
    assert!(wire_table_text(&project).contains(",-\r\n"), "the way back says none as well");
}

#[test]
fn a_name_stands_once_and_sizes_end_with_the_standard() {
    let project = forwarder();
    let found = problems(
        &project,
        "wire,from,to,size,colour\nK1,X1-12,G1,0.5,red\nK2,X1-13,G1,999 mm²,red\nK1,X1-13,G1,0.5,red\n",
    );
    assert!(found[0].starts_with("line 3, column 4 (size): expected a size"), "{found:?}");
    assert_eq!(
        found[1..],
        ["line 4, column 1 (wire): expected each wire once, found K1 here and on line 2"]
    );
}

#[test]
fn columns_are_matched_by_hand() {
    let project = forwarder();
    let table = read_table("red|a|X1-12|0.5|G1\nblue|b|X1-13|0.5|G1", None).unwrap();
    let mut matching = Matching::guess(&table);
    assert_eq!(matching.header, Header::None);
    let by_hand = [Column::Colour, Column::Circuit, Column::From, Column::Size, Column::To];
    for (slot, column) in by_hand.into_iter().enumerate() {
        matching.set(slot, Some(column));
    }
    let plan = plan(&project, &table, &matching, (Missing::Refuse, Moving::Refuse));
    assert_eq!((plan.problems.len(), plan.counts()), (0, (2, 0, 0)), "{:?}", plan.problems);
}

/// Damaged tables end in named problems or in an edit that can be made; never in anything else.
#[test]
fn damaged_tables_leave_the_project_whole() {
    let mut r = Random::new(11);
    let project = forwarder();
    let good = wire_table_text(&project);
    let bits = [
        "\"",
        ",",
        ";",
        "\n",
        "\r",
        "X1-11",
        "X99-3",
        "0,5",
        "AWG",
        "-",
        "é",
        "\u{1F50C}",
        "\0",
        "mm²",
        " ",
    ];
    let (mut refused, mut taken, mut wrong) = (0, 0, 0);
    for _ in 0..2_000 {
        let mut text: Vec<char> = good.chars().collect();
        for _ in 0..1 + r.below(4) {
            let at = r.below(text.len());
            if r.once_in(3) {
                text.drain(at..(at + 1 + r.below(6)).min(text.len()));
            } else {
                let bit: Vec<char> = r.pick(&bits).chars().collect();
                text.splice(at..at, bit);
            }
        }
        let text: String = text.into_iter().collect();
        let Ok(table) = read_table(&text, None) else {
            refused += 1;
            continue;
        };
        let missing = if r.once_in(2) { Missing::Make } else { Missing::Refuse };
        let moving = if r.once_in(2) { Moving::Take } else { Moving::Refuse };
        let plan = plan(&project, &table, &Matching::guess(&table), (missing, moving));
        match plan.edit() {
            Some(edit) => {
                let mut work = project.clone();
                apply(&mut work, edit).unwrap_or_else(|error| panic!("{error}: {text}"));
                let text = ohmloom::store::write(&work);
                assert_eq!(ohmloom::store::read(text.as_bytes()).unwrap(), work);
                taken += 1;
            }
            None => wrong += usize::from(!plan.problems.is_empty()),
        }
    }
    assert!(refused > 50 && taken > 50 && wrong > 50, "{refused} {taken} {wrong}");
}
