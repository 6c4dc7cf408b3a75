//! Circuits that are not what was meant get a name and a place; meter and live path on small circuits.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use ohmloom::model::{
    ContactForm, Diagnostic, Mating, Need, PartKind, Severity, Side, State, Subject, WireId,
};
use ohmloom::sense::{MeterReading, Reader};
use ohmloom::testing::{Sketch, at};
use ohmloom::units::Tolerant;

fn found<'a>(findings: &'a [Diagnostic], word: &str) -> Option<&'a Diagnostic> {
    findings.iter().find(|finding| finding.what.contains(word))
}

fn close(reading: MeterReading, want: f64) {
    match reading {
        MeterReading::Value(got) => {
            assert!((got - want).abs() < 1e-9 * want.abs().max(1.0), "{got} and {want}");
        }
        other => panic!("{other:?} instead of {want}"),
    }
}

#[test]
fn a_pin_that_nothing_leads_to_is_open() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let resistor = sketch.resistor("R1", 1000.0, 0.01);
    sketch.wire(at(controller, 0), at(resistor, 0));
    let pin = sketch.pin(at(controller, 0), at(controller, 1));
    let reader = Reader::new(&sketch.project);
    let table = reader.table(pin).unwrap();
    let open = found(&table.findings, "open").unwrap();
    assert_eq!((open.severity, open.subject), (Severity::Error, Subject::SensePin(pin)));
    assert!(open.what.contains("X1-1") && open.what.contains("X1-2"), "{}", open.what);
    let hangs = found(&table.findings, "hangs").unwrap();
    assert_eq!(hangs.subject, Subject::Part(resistor));
    assert!(table.rows[0].ohm.nominal.is_infinite());
    assert_eq!(reader.working(pin, &State::rest()).pop().unwrap(), "X1-1 to X1-2: open");
    assert_eq!(reader.live(pin, &State::rest()), Default::default());
}

#[test]
fn a_shorted_supply_is_named_only_where_a_control_shorts_it() {
    let mut sketch = Sketch::new();
    let supply = sketch.supply("G1", 12.0);
    let fuse = sketch.fuse("F1", 0.02);
    let contact = sketch.contact("S1", ContactForm::NormallyOpen);
    let ground = sketch.part("GND1", PartKind::Ground);
    sketch.wire(at(supply, 0), at(fuse, 0));
    sketch.wire(at(fuse, 1), at(contact, 0));
    sketch.wire(at(contact, 1), at(ground, 0));
    let control = sketch.control("B1", contact, 2);
    let reader = Reader::new(&sketch.project);
    assert!(reader.findings_in(&State::rest()).is_empty());
    let pressed = State([(control, 1)].into());
    let findings = reader.findings_in(&pressed);
    let short = found(&findings, "shorted supply").unwrap();
    assert_eq!((short.severity, short.subject), (Severity::Error, Subject::Part(supply)));
    assert!(short.what.contains("G1") && short.what.contains("GND1"));
    assert!(found(reader.findings(), "shorted supply").is_some(), "known without pressing it");
    close(reader.meter_volt(&State::rest(), at(fuse, 1), at(ground, 0)), 12.0);
    assert!(matches!(
        reader.meter_volt(&pressed, at(fuse, 1), at(ground, 0)),
        MeterReading::Impossible(_)
    ));
    // A resistor in the way makes a load of it.
    let mut sketch = Sketch::new();
    let (supply, ground) = (sketch.supply("G1", 12.0), sketch.part("GND1", PartKind::Ground));
    sketch.resistor_between("R1", 100.0, at(supply, 0), at(ground, 0));
    assert!(Reader::new(&sketch.project).findings().is_empty());
}

#[test]
fn two_supplies_that_meet_are_named() {
    let mut sketch = Sketch::new();
    let (one, two) = (sketch.supply("G1", 12.0), sketch.supply("G2", 24.0));
    sketch.wire(at(one, 0), at(two, 0));
    let reader = Reader::new(&sketch.project);
    let joined = found(reader.findings(), "two supplies joined").unwrap();
    assert!(joined.what.contains("G1") && joined.what.contains("G2"), "{}", joined.what);
    let reading = reader.meter_volt(&State::rest(), at(one, 0), at(two, 0));
    assert!(matches!(reading, MeterReading::Impossible(_)), "{reading:?}");
}

#[test]
fn loops_without_resistance_and_bridged_resistors_are_found() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(3);
    sketch.wire(at(controller, 0), at(controller, 1));
    let again: WireId = sketch.wire(at(controller, 0), at(controller, 1));
    let bridged = sketch.resistor_between("R7", 100.0, at(controller, 0), at(controller, 1));
    sketch.resistor_between("R8", 100.0, at(controller, 1), at(controller, 2));
    let reader = Reader::new(&sketch.project);
    let zero = found(reader.findings(), "zero-ohm loop").unwrap();
    assert_eq!((zero.severity, zero.subject), (Severity::Note, Subject::Wire(again)));
    let does_nothing = found(reader.findings(), "R7").unwrap();
    assert_eq!(does_nothing.subject, Subject::Part(bridged));
    assert!(found(reader.findings(), "R8").is_none());
}

#[test]
fn a_floating_net_has_no_volts_but_no_difference_within_itself() {
    let mut sketch = Sketch::new();
    let (supply, ground) = (sketch.supply("G1", 12.0), sketch.part("GND1", PartKind::Ground));
    let (one, two) = (sketch.splice("SP1"), sketch.splice("SP2"));
    sketch.resistor_between("R1", 100.0, at(one, 0), at(two, 0));
    let reader = Reader::new(&sketch.project);
    let rest = State::rest();
    assert_eq!(
        reader.meter_volt(&rest, at(one, 0), at(ground, 0)),
        MeterReading::Floating("SP1".into())
    );
    assert_eq!(
        reader.meter_volt(&rest, at(supply, 0), at(two, 0)),
        MeterReading::Floating("SP2".into())
    );
    close(reader.meter_volt(&rest, at(one, 0), at(two, 0)), 0.0);
    assert_eq!(reader.meter_ohm(&rest, at(one, 0), at(supply, 0)), MeterReading::Open);
    close(reader.meter_ohm(&rest, at(one, 0), at(two, 0)), 100.0);
    close(reader.meter_ohm(&rest, at(one, 0), at(one, 0)), 0.0);
}

#[test]
fn volts_with_the_controller_plugged_in() {
    // Pull-up 1 k to 5 V against 1.5 k to the return: 5 x 1.5 / 2.5 = 3 V by hand.
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    sketch.resistor_between("R1", 1500.0, pin, reference);
    let id = sketch.pin(pin, reference);
    let sense = sketch.project.sense_pins.get_mut(id).unwrap();
    sense.pull_ohm = Some(Tolerant { nominal: 1000.0, tolerance: 0.01 });
    sense.reference_volt = Some(Tolerant { nominal: 5.0, tolerance: 0.01 });
    let reader = Reader::new(&sketch.project);
    close(reader.meter_volt(&State::rest(), pin, reference), 3.0);
    close(reader.meter_volt(&State::rest(), reference, pin), -3.0);
    close(MeterReading::Value(reader.row(id, &State::rest()).unwrap().volt.unwrap().nominal), 3.0);
    // The same on the supply side: reference output 10 V, pull-down 1 k: 10 x 1 / 2.5 = 4 V.
    let sense = sketch.project.sense_pins.get_mut(id).unwrap();
    sense.side = Side::Supply;
    sense.reference_volt = Some(Tolerant { nominal: 10.0, tolerance: 0.01 });
    let reader = Reader::new(&sketch.project);
    close(MeterReading::Value(reader.row(id, &State::rest()).unwrap().volt.unwrap().nominal), 4.0);
    close(reader.meter_volt(&State::rest(), pin, reference), 4.0 - 10.0);
}

#[test]
fn a_network_between_two_potentials_says_so_and_is_solved_whole() {
    // Pin to the return through 1 k, and to a 12 V supply through 2 k, pull-up 1 k to 5 V:
    // (0/1 + 12/2 + 5/1) / (1/1 + 1/2 + 1/1) = 4.4 V by Millman's theorem.
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    sketch.part("GND1", PartKind::Ground);
    let supply = sketch.supply("G1", 12.0);
    sketch.resistor_between("R1", 1000.0, pin, reference);
    sketch.resistor_between("R2", 2000.0, pin, at(supply, 0));
    let id = sketch.pin(pin, reference);
    let sense = sketch.project.sense_pins.get_mut(id).unwrap();
    sense.pull_ohm = Some(Tolerant { nominal: 1000.0, tolerance: 0.0 });
    sense.reference_volt = Some(Tolerant { nominal: 5.0, tolerance: 0.0 });
    let reader = Reader::new(&sketch.project);
    let table = reader.table(id).unwrap();
    assert!(found(&table.findings, "also touches G1").is_some(), "{:?}", table.findings);
    close(MeterReading::Value(table.rows[0].volt.unwrap().nominal), 4.4);
    close(MeterReading::Value(table.rows[0].ohm.nominal), 1000.0);
    close(reader.meter_volt(&State::rest(), pin, reference), 4.4);
}

#[test]
fn a_connector_pulled_apart_joins_nothing_and_needs_are_kept() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    let gate = sketch.contact("S1", ContactForm::NormallyOpen);
    let lever = sketch.contact("S2", ContactForm::Ways(3));
    let (r1, r2) = (sketch.resistor("R1", 1000.0, 0.0), sketch.resistor("R2", 3000.0, 0.0));
    sketch.wire(pin, at(r1, 0));
    sketch.wire(at(r1, 1), at(gate, 0));
    sketch.wire(at(gate, 1), reference);
    sketch.wire(pin, at(r2, 0));
    sketch.wire(at(r2, 1), at(lever, 2));
    sketch.wire(at(lever, 0), reference);
    let lever = sketch.control("Lever", lever, 3);
    let gate = sketch.control("Gate", gate, 2);
    sketch.project.controls.get_mut(lever).unwrap().needs =
        Some(Need { control: gate, position: 1 });
    let id = sketch.pin(pin, reference);
    let reader = Reader::new(&sketch.project);
    let table = reader.table(id).unwrap();
    let rows: Vec<(Vec<u8>, f64)> = table
        .rows
        .iter()
        .map(|row| (row.state.0.values().copied().collect(), row.ohm.nominal))
        .collect();
    let open = f64::INFINITY;
    let want =
        [(vec![0, 0], open), (vec![0, 1], 1000.0), (vec![1, 1], 750.0), (vec![2, 1], 1000.0)];
    assert_eq!(rows, want);
    // A lever pushed without its gate stays at rest.
    let pushed = State([(lever, 1), (gate, 0)].into());
    assert_eq!(reader.row(id, &pushed).unwrap().state.0[&lever], 0);
    assert!(reader.row(id, &pushed).unwrap().ohm.nominal.is_infinite());
}

#[test]
fn the_live_path_leaves_out_what_carries_nothing() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    let nodes = [at(sketch.splice("SP1"), 0), at(sketch.splice("SP2"), 0)];
    // A bridge that balances but for rounding, 1.1, 3.3 over 0.7, 2.1 with 5 across: 1.8 ∥ 5.4 = 1.35;
    // and a branch that ends nowhere.
    let mut parts = Vec::new();
    for (name, ohm, a, b) in [
        ("R1", 1.1, pin, nodes[0]),
        ("R2", 3.3, pin, nodes[1]),
        ("R3", 0.7, nodes[0], reference),
        ("R4", 2.1, nodes[1], reference),
        ("R5", 5.0, nodes[0], nodes[1]),
    ] {
        parts.push(sketch.resistor_between(name, ohm, a, b));
    }
    let loose = sketch.resistor("R6", 1.0, 0.0);
    let loose_wire = sketch.wire(pin, at(loose, 0));
    let id = sketch.pin(pin, reference);
    let reader = Reader::new(&sketch.project);
    let (live, wires) = reader.live(id, &State::rest());
    for (part, is_live) in parts.iter().zip([true, true, true, true, false]) {
        assert_eq!(
            live.contains(part),
            is_live,
            "{}",
            sketch.project.parts.get(*part).unwrap().name
        );
    }
    assert!(!live.contains(&loose) && !wires.contains(&loose_wire));
    assert!(live.contains(&controller) && live.contains(&nodes[0].part));
    assert_eq!(wires.len(), 8);
    let lines = reader.working(id, &State::rest());
    assert!(lines.iter().any(|line| line.contains("node equations")), "{lines:?}");
    assert_eq!(lines.last().unwrap(), "X1-1 to X1-2: 1.350 Ω");
}

#[test]
fn the_working_reads_as_on_paper() {
    // By hand: 6810 x 3480 / 10290 = 2303.09.
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    let middle = at(sketch.splice("SP1"), 0);
    sketch.resistor_between("R1", 6810.0, pin, middle);
    sketch.resistor_between("R2", 3480.0, pin, middle);
    sketch.resistor_between("R3", 0.6, middle, reference);
    let id = sketch.pin(pin, reference);
    let reader = Reader::new(&sketch.project);
    let lines = reader.working(id, &State::rest());
    expect_test::expect![[r#"
        R1 ∥ R2 = 6.81k ∥ 3.48k = 2.303k
        (R1 ∥ R2) + R3 = 2.303k + 0.6 = 2.304k
        X1-1 to X1-2: 2.304 kΩ"#]]
    .assert_eq(&lines.join("\n"));
}

#[test]
fn mating_joins_cavities_one_to_one() {
    let mut project = ohmloom::samples::open("sprayer").unwrap();
    let (id, sense) = project.sense_pins.iter().next().map(|(id, pin)| (id, pin.clone())).unwrap();
    close(
        Reader::new(&project).meter_ohm(&State::rest(), sense.terminal, sense.reference),
        22_000.6,
    );
    let hitch = project.parts.iter().find(|(_, part)| part.name == "X2").unwrap().0;
    let Some(PartKind::Connector(connector)) =
        project.parts.get_mut(hitch).map(|part| &mut part.kind)
    else {
        panic!("X2 is the hitch plug")
    };
    connector.mating = Mating::Apart;
    let reader = Reader::new(&project);
    assert!(reader.row(id, &State::rest()).unwrap().ohm.nominal.is_infinite());
    assert!(found(&reader.table(id).unwrap().findings, "open").is_some());
}
