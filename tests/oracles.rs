//! The circuit against answers that share no code with it: exact rationals, general linear algebra,
//! networkx, and random draws of every value that has a range.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

#[path = "oracles/exact.rs"]
mod exact;
#[path = "oracles/random.rs"]
mod random;

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector};
use num_traits::ToPrimitive;
use ohmloom::circuit::{Corner, Netlist, WireData, settled, solve};
use ohmloom::model::{PartKind, State};
use ohmloom::random::Random;
use ohmloom::sense::{MeterReading, Reader};
use ohmloom::testing::{Sketch, at};
use ohmloom::units::Range;

use random::{Branch, Circuit, Spread};

/// Relative difference; two opens agree.
fn apart(got: f64, want: f64) -> f64 {
    if got == want { 0.0 } else { ((got - want) / want).abs() }
}

/// A state's ohms at one corner by exact elimination.
fn exact_ohm(circuit: &Circuit, positions: &[u8], corner: Corner) -> f64 {
    let edges = circuit.conducting(positions, corner);
    match exact::resistance(circuit.nodes, &edges, 0, 1) {
        Some(ohm) => ohm.to_f64().unwrap(),
        None => f64::INFINITY,
    }
}

#[test]
fn nine_decades_agree_with_exact_rationals() {
    let mut worst: f64 = 0.0;
    let (mut open, mut readings) = (0, 0);
    for seed in 0..200 {
        let circuit = Circuit::random(seed, Spread::NineDecades);
        let (sketch, controls, pin) = circuit.drawn();
        let reader = Reader::new(&sketch.project);
        let table = reader.table(pin).unwrap();
        for row in table.rows.iter().step_by(1 + table.rows.len() / 4) {
            let positions: Vec<u8> =
                controls.iter().map(|id| row.state.0.get(id).copied().unwrap_or(0)).collect();
            for (corner, got) in [
                (Corner::Low, row.ohm.low),
                (Corner::Nominal, row.ohm.nominal),
                (Corner::High, row.ohm.high),
            ] {
                let want = exact_ohm(&circuit, &positions, corner);
                let off = apart(got, want);
                assert!(
                    off <= 1e-12,
                    "seed {seed}, {positions:?}, {corner:?}: {got} instead of {want}"
                );
                worst = worst.max(off);
                open += usize::from(want.is_infinite());
                readings += 1;
            }
        }
    }
    // The goal is 1e-12; sums, products and quotients of positive numbers alone do far better.
    assert!(worst < 1e-14, "worst relative error {worst:e}");
    assert!(
        readings > 1200 && open > 50 && open < readings / 2,
        "{readings} readings, {open} open"
    );
}

#[test]
fn a_chain_of_bridges_keeps_its_digits_where_subtraction_would_lose_them() {
    // 1 mΩ next to 1 GΩ in one bridge: the plain node equations lose digits, the reduction does not.
    let branches: Vec<Branch> = [
        (0, 2, 1e-3),
        (2, 3, 1e9),
        (0, 3, 1e6),
        (3, 4, 1e-3),
        (2, 4, 1e3),
        (4, 5, 1e9),
        (3, 5, 1e-2),
        (5, 1, 1e5),
        (4, 1, 1e-3),
    ]
    .into_iter()
    .map(|(a, b, ohm)| Branch::resistor(a, b, ohm))
    .collect();
    let circuit = Circuit { nodes: 6, branches, controls: 0 };
    let (sketch, _, pin) = circuit.drawn();
    let got = Reader::new(&sketch.project).row(pin, &State::rest()).unwrap().ohm.nominal;
    let want = exact_ohm(&circuit, &[], Corner::Nominal);
    assert!(apart(got, want) < 1e-15, "{got} instead of {want}");
}

#[test]
fn networkx_agrees() {
    let file: serde_json::Value = serde_json::from_str(include_str!("data/networkx.json")).unwrap();
    let cases = file["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 60);
    for case in cases {
        let mut sketch = Sketch::new();
        let nodes: Vec<_> = (0..9).map(|n| at(sketch.splice(&format!("SP{n}")), 0)).collect();
        let node = |value: &serde_json::Value| nodes[value.as_u64().unwrap() as usize];
        for edge in case["edges"].as_array().unwrap() {
            sketch.resistor_between("R", edge[2].as_f64().unwrap(), node(&edge[0]), node(&edge[1]));
        }
        let want = case["ohm"].as_f64().unwrap();
        let pin = sketch.pin(node(&case["from"]), node(&case["to"]));
        let got = Reader::new(&sketch.project).row(pin, &State::rest()).unwrap().ohm.nominal;
        assert!(apart(got, want) < 1e-9, "{case}: {got}");
    }
}

/// Ohms by LU factors of the nodal matrix of what the pin reaches, the reference struck out.
/// Ideal contacts are joined first. The pin is known to reach the reference.
fn nalgebra_ohm(circuit: &Circuit, positions: &[u8]) -> f64 {
    let edges = circuit.conducting(positions, Corner::Nominal);
    let mut net: Vec<usize> = (0..circuit.nodes).collect();
    for (a, b, _) in edges.iter().filter(|(.., ohm)| *ohm == 0.0) {
        let (old, new) = (net[*a], net[*b]);
        net.iter_mut().filter(|n| **n == old).for_each(|n| *n = new);
    }
    let edges: Vec<(usize, usize, f64)> =
        edges.iter().map(|(a, b, ohm)| (net[*a], net[*b], *ohm)).collect();
    let mut rows = vec![net[0]];
    let mut looked = 0;
    while looked < rows.len() {
        for (a, b, _) in &edges {
            let next = if *a == rows[looked] { *b } else { *a };
            let touches = *a == rows[looked] || *b == rows[looked];
            if touches && next != net[1] && !rows.contains(&next) {
                rows.push(next);
            }
        }
        looked += 1;
    }
    let mut matrix = DMatrix::<f64>::zeros(rows.len(), rows.len());
    let row = |node: usize| rows.iter().position(|row| *row == node);
    for (a, b, ohm) in edges.iter().filter(|(a, b, _)| a != b) {
        for (this, that) in [(row(*a), row(*b)), (row(*b), row(*a))] {
            let Some(this) = this else { continue };
            matrix[(this, this)] += 1.0 / ohm;
            if let Some(that) = that {
                matrix[(this, that)] -= 1.0 / ohm;
            }
        }
    }
    let mut fed = DVector::<f64>::zeros(rows.len());
    fed[0] = 1.0;
    matrix.lu().solve(&fed).unwrap()[0]
}

#[test]
fn walk_node_equations_meter_and_nalgebra_agree() {
    let mut compared = 0;
    for seed in 1000..1150 {
        let circuit = Circuit::random(seed, Spread::Moderate);
        let (sketch, controls, pin) = circuit.drawn();
        let reader = Reader::new(&sketch.project);
        let netlist = Netlist::new(&sketch.project, &WireData::default());
        let sense = sketch.project.sense_pins.get(pin).unwrap();
        let (from, to) =
            (netlist.node(sense.terminal).unwrap(), netlist.node(sense.reference).unwrap());
        for row in &reader.table(pin).unwrap().rows {
            let walk = row.ohm.nominal;
            let closed =
                netlist.closed_edges(&sketch.project, &settled(&sketch.project, &row.state));
            for (corner, got) in
                [(Corner::Low, row.ohm.low), (Corner::Nominal, walk), (Corner::High, row.ohm.high)]
            {
                let plain = solve::ohm(&netlist, &closed, corner, from, to);
                assert!(
                    apart(got, plain) < 1e-9,
                    "seed {seed}: {got} by the walk, {plain} by node equations"
                );
            }
            match reader.meter_ohm(&row.state, sense.terminal, sense.reference) {
                MeterReading::Value(ohm) => {
                    assert!(apart(ohm, walk) < 1e-13, "seed {seed}: {ohm} and {walk}");
                }
                MeterReading::Open => assert!(walk.is_infinite(), "seed {seed}"),
                other => panic!("{other:?}"),
            }
            assert_eq!(reader.row(pin, &row.state).as_ref(), Some(row), "seed {seed}");
            let positions: Vec<u8> =
                controls.iter().map(|id| row.state.0.get(id).copied().unwrap_or(0)).collect();
            if walk.is_finite() && walk > 0.0 {
                let general = nalgebra_ohm(&circuit, &positions);
                assert!(
                    apart(walk, general) < 1e-9,
                    "seed {seed}: {walk} and {general} by nalgebra"
                );
                compared += 1;
            }
        }
    }
    assert!(compared > 300, "{compared}");
}

#[test]
fn the_last_line_of_the_working_is_the_reading() {
    for seed in 2000..2080 {
        let circuit = Circuit::random(seed, Spread::Moderate);
        let (sketch, _, pin) = circuit.drawn();
        let reader = Reader::new(&sketch.project);
        for row in &reader.table(pin).unwrap().rows {
            let lines = reader.working(pin, &row.state);
            let want = ohmloom::units::format_ohm(row.ohm.nominal);
            assert!(
                lines.last().unwrap().ends_with(&format!(": {want}")),
                "seed {seed}: {lines:?}, not {want}"
            );
        }
    }
}

#[test]
fn a_resistor_in_parallel_never_raises_a_reading() {
    for seed in 3000..3100 {
        let circuit = Circuit::random(seed, Spread::NineDecades);
        let mut random = Random::new(seed);
        let mut more = circuit.clone();
        let (a, b) = (random.below(circuit.nodes), random.below(circuit.nodes));
        more.branches.push(Branch::resistor(a, b, random.decades(1e-3, 1e6)));
        let readings = |circuit: &Circuit| {
            let (sketch, controls, pin) = circuit.drawn();
            let reader = Reader::new(&sketch.project);
            (0..1u32 << controls.len())
                .map(|bits| {
                    let state = State(
                        controls
                            .iter()
                            .enumerate()
                            .map(|(n, id)| (*id, (bits >> n & 1) as u8))
                            .collect(),
                    );
                    reader.row(pin, &state).unwrap().ohm
                })
                .collect::<Vec<Range>>()
        };
        for (before, after) in readings(&circuit).into_iter().zip(readings(&more)) {
            for (before, after) in [
                (before.low, after.low),
                (before.nominal, after.nominal),
                (before.high, after.high),
            ] {
                assert!(after <= before * (1.0 + 1e-14), "seed {seed}: {after} over {before}");
            }
        }
    }
}

#[test]
fn renumbering_changes_nothing() {
    for seed in 4000..4080 {
        let circuit = Circuit::random(seed, Spread::NineDecades);
        let mut random = Random::new(seed);
        let mut other = circuit.clone();
        // Branches in another order, turned around, and inner nodes under other numbers.
        let mut number: Vec<usize> = (0..circuit.nodes).collect();
        for n in (3..number.len()).rev() {
            number.swap(n, 2 + random.below(n - 1));
        }
        for n in (1..other.branches.len()).rev() {
            other.branches.swap(n, random.below(n + 1));
        }
        for branch in &mut other.branches {
            let ends = (number[branch.a], number[branch.b]);
            (branch.a, branch.b) = if random.once_in(2) { ends } else { (ends.1, ends.0) };
        }
        let table = |circuit: &Circuit| {
            let (sketch, controls, pin) = circuit.drawn();
            let order: BTreeMap<_, _> =
                controls.iter().enumerate().map(|(n, id)| (*id, n)).collect();
            let table = Reader::new(&sketch.project).table(pin).unwrap();
            let names: Vec<usize> = table.controls.iter().map(|id| order[id]).collect();
            (names, table.rows.iter().map(|row| row.ohm).collect::<Vec<Range>>())
        };
        let ((names, before), (other_names, after)) = (table(&circuit), table(&other));
        assert_eq!(names, other_names, "seed {seed}");
        for (before, after) in before.iter().zip(&after) {
            assert!(apart(after.low, before.low) < 1e-13, "seed {seed}: {after:?} and {before:?}");
            assert!(
                apart(after.nominal, before.nominal) < 1e-13,
                "seed {seed}: {after:?} and {before:?}"
            );
            assert!(
                apart(after.high, before.high) < 1e-13,
                "seed {seed}: {after:?} and {before:?}"
            );
        }
    }
}

#[test]
fn random_draws_never_leave_the_bounds_and_the_bounds_are_reached() {
    let mut draws = 0;
    for seed in 5000..5040 {
        let circuit = Circuit::random(seed, Spread::Moderate);
        let (sketch, _, pin) = circuit.drawn();
        let rows = Reader::new(&sketch.project).table(pin).unwrap().rows;
        let mut random = Random::new(seed);
        for draw in 0..102 {
            // The first two draws are the corners themselves, which the bounds must equal.
            let mut share = || match draw {
                0 => 0.0,
                1 => 1.0,
                _ => random.unit(),
            };
            let mut drawn = sketch.project.clone();
            let ids: Vec<_> = drawn.parts.ids().collect();
            for id in ids {
                match drawn.parts.get_mut(id).map(|part| &mut part.kind) {
                    Some(PartKind::Resistor(resistor)) => {
                        resistor.ohm *= 1.0 + resistor.tolerance * (2.0 * share() - 1.0);
                        resistor.tolerance = 0.0;
                    }
                    Some(PartKind::Contact(contact)) => {
                        let range = contact.closed_ohm.unwrap();
                        contact.closed_ohm =
                            Some(Range::exact(range.low + share() * (range.high - range.low)));
                    }
                    _ => {}
                }
            }
            let reader = Reader::new(&drawn);
            for row in &rows {
                let got = reader.row(pin, &row.state).unwrap().ohm.nominal;
                let bounds = row.ohm;
                assert!(bounds.is_ordered(), "seed {seed}: {bounds:?}");
                let inside =
                    got >= bounds.low * (1.0 - 1e-13) && got <= bounds.high * (1.0 + 1e-13);
                assert!(inside, "seed {seed}: {got} outside {bounds:?}");
                match draw {
                    0 => {
                        assert!(
                            apart(got, bounds.low) < 1e-13,
                            "seed {seed}: {got} and {bounds:?}"
                        );
                    }
                    1 => assert!(
                        apart(got, bounds.high) < 1e-13,
                        "seed {seed}: {got} and {bounds:?}"
                    ),
                    _ => {}
                }
            }
            draws += usize::from(draw > 1);
        }
    }
    assert_eq!(draws, 4000);
}
