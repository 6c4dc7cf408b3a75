//! Diodes, relays, loads and second inputs against sums by hand, shown in each test, and against
//! every possible guess of what the diodes do, solved with nalgebra.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use nalgebra::{DMatrix, DVector};
use ohmloom::model::{
    ContactForm, ControlId, Diode, Draw, Element, Input, Load, LoadForm, PartId, PartKind, Relay,
    SensePinId, State, TerminalRef,
};
use ohmloom::random::Random;
use ohmloom::sense::{MeterReading, PinTable, Reader};
use ohmloom::testing::{Sketch, at};
use ohmloom::units::{Range, Tolerant};

fn element(sketch: &mut Sketch, name: &str, element: Element) -> PartId {
    sketch.part(name, PartKind::Element(element))
}

fn exact_diode(drop_volt: f64, on_ohm: f64) -> Element {
    Element::Diode(Diode { drop_volt: Range::exact(drop_volt), on_ohm, leak_ohm: None })
}

/// A controller whose pin 1 is pulled to 5 V by 1 kΩ, its return at pin 2.
fn pulled() -> (Sketch, TerminalRef, TerminalRef, SensePinId) {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let ground = sketch.part("GND1", PartKind::Ground);
    let (pin, back) = (at(controller, 0), at(controller, 1));
    sketch.wire(back, at(ground, 0));
    let id = sketch.pin(pin, back);
    let sense = sketch.project.sense_pins.get_mut(id).unwrap();
    sense.pull_ohm = Some(Tolerant { nominal: 1000.0, tolerance: 0.0 });
    sense.reference_volt = Some(Tolerant { nominal: 5.0, tolerance: 0.0 });
    (sketch, pin, back, id)
}

fn table(sketch: &Sketch, pin: SensePinId) -> PinTable {
    Reader::new(&sketch.project).table(pin).unwrap()
}

fn near(got: f64, want: f64) {
    assert!((got - want).abs() < 1e-9 * (1.0 + want.abs()), "{got} instead of {want}");
}

fn volt_of(reader: &Reader, state: &State, red: TerminalRef, black: TerminalRef) -> f64 {
    match reader.meter_volt(state, red, black) {
        MeterReading::Value(volt) => volt,
        other => panic!("{other:?}"),
    }
}

/// Pin, diode, 1 kΩ, return.
fn diode_to_ground(diode: Element, is_reversed: bool) -> (Sketch, SensePinId) {
    let (mut sketch, pin, back, id) = pulled();
    let resistor = sketch.resistor("R1", 1000.0, 0.01);
    let diode = element(&mut sketch, "D1", diode);
    let (first, last) = if is_reversed { (1, 0) } else { (0, 1) };
    sketch.wire(pin, at(diode, first));
    sketch.wire(at(diode, last), at(resistor, 0));
    sketch.wire(at(resistor, 1), back);
    (sketch, id)
}

/// I = (5 - 0.7) / (1000 + 10 + 1000) = 2.1393 mA, so the pin stands at 5 - 2.1393 = 2.8607 V.
/// That is what 1000 * 2.8607 / 2.1393 = 1337.2 Ω would give.
#[test]
fn a_conducting_diode_drops_its_volts() {
    let (sketch, id) = diode_to_ground(exact_diode(0.7, 10.0), false);
    let row = &table(&sketch, id).rows[0];
    let amp = 4.3 / 2010.0;
    near(row.volt.unwrap().nominal, 5.0 - 1000.0 * amp);
    near(row.ohm.nominal, 1000.0 * (5.0 - 1000.0 * amp) / (1000.0 * amp));
    // A meter's ohms across the unplugged plug meet a diode that blocks.
    assert!(row.bench_ohm.1.is_infinite());
}

/// Reversed it blocks; with a leak of 100 kΩ, 5 * 101 / 102 = 4.95098 V.
#[test]
fn a_reversed_diode_blocks_but_for_its_leak() {
    let (sketch, id) = diode_to_ground(exact_diode(0.7, 10.0), true);
    near(table(&sketch, id).rows[0].volt.unwrap().nominal, 5.0);
    let leaky =
        Diode { drop_volt: Range::exact(0.7), on_ohm: 10.0, leak_ohm: Some(Range::exact(100e3)) };
    let (sketch, id) = diode_to_ground(Element::Diode(leaky), true);
    near(table(&sketch, id).rows[0].volt.unwrap().nominal, 5.0 * 101.0 / 102.0);
}

/// Least: 0.5 V and 990 Ω, I = 4.5 / 2000, 2.75 V. Greatest: 0.8 V and 1010 Ω, I = 4.2 / 2020.
#[test]
fn bounds_take_the_drop_along_and_say_how_they_were_found() {
    let drop_volt = Range { low: 0.5, nominal: 0.7, high: 0.8 };
    let diode = Element::Diode(Diode { drop_volt, on_ohm: 10.0, leak_ohm: None });
    let (sketch, id) = diode_to_ground(diode, false);
    let table = table(&sketch, id);
    let volt = table.rows[0].volt.unwrap();
    near(volt.low, 2.75);
    near(volt.high, 5.0 - 4200.0 / 2020.0);
    assert!(table.findings.iter().any(|f| f.what.contains("16 corners and 48 draws")));
    let plain = diode_free();
    assert!(plain.findings.iter().all(|f| !f.what.contains("corners")));
}

fn diode_free() -> PinTable {
    let (mut sketch, pin, back, id) = pulled();
    sketch.resistor_between("R1", 1000.0, pin, back);
    table(&sketch, id)
}

/// A bridge of four diodes: two in series with the load whichever way the supply is joined.
/// 12 V, 0.7 V and 1 Ω each, 100 Ω: (12 - 1.4) / 102 A, 10.392 V across the load.
#[test]
fn a_bridge_of_diodes_feeds_its_load_either_way() {
    for is_turned in [false, true] {
        let mut sketch = Sketch::new();
        let supply = sketch.supply("G1", 12.0);
        let ground = sketch.part("GND1", PartKind::Ground);
        let [one, two, plus, minus] =
            ["SP1", "SP2", "SP3", "SP4"].map(|name| at(sketch.splice(name), 0));
        for (name, from, to) in
            [("D1", one, plus), ("D2", two, plus), ("D3", minus, one), ("D4", minus, two)]
        {
            let diode = element(&mut sketch, name, exact_diode(0.7, 1.0));
            sketch.wire(from, at(diode, 0));
            sketch.wire(at(diode, 1), to);
        }
        sketch.resistor_between("R1", 100.0, plus, minus);
        let (fed, grounded) = if is_turned { (two, one) } else { (one, two) };
        sketch.wire(at(supply, 0), fed);
        sketch.wire(grounded, at(ground, 0));
        let reader = Reader::new(&sketch.project);
        near(volt_of(&reader, &State::rest(), plus, minus), 10.6 / 102.0 * 100.0);
    }
}

/// A 12 V relay of 100 Ω whose set joins the pin to 2 kΩ at rest and to 1 kΩ when pulled.
fn relay_on_a_button(in_series_ohm: f64) -> (Sketch, SensePinId, ControlId) {
    let (mut sketch, pin, back, id) = pulled();
    let supply = sketch.supply("G1", 12.0);
    let contact = sketch.contact("S1", ContactForm::NormallyOpen);
    let relay = element(&mut sketch, "K1", Element::Relay(relay()));
    let feed = at(sketch.splice("SP1"), 0);
    sketch.wire(at(supply, 0), at(contact, 0));
    sketch.wire(at(contact, 1), feed);
    sketch.resistor_between("R9", in_series_ohm, feed, at(relay, 0));
    sketch.wire(at(relay, 1), back);
    sketch.wire(pin, at(relay, 2));
    sketch.resistor_between("R1", 2000.0, at(relay, 3), back);
    sketch.resistor_between("R2", 1000.0, at(relay, 4), back);
    let button = sketch.control("B1", contact, 2);
    (sketch, id, button)
}

fn relay() -> Relay {
    Relay {
        coil_ohm: Range::exact(100.0),
        pull_in_volt: 7.2,
        drop_out_volt: 1.2,
        sets: 1,
        closed_ohm: None,
    }
}

/// 1 Ω before the coil leaves 11.88 V: it pulls. 2 kΩ read as 3.333 V, 1 kΩ as 2.5 V.
#[test]
fn a_relay_moves_the_reading_of_a_pin_it_is_not_joined_to() {
    let (sketch, id, button) = relay_on_a_button(1.0);
    let table = table(&sketch, id);
    assert_eq!(table.controls, [button]);
    near(table.rows[0].volt.unwrap().nominal, 5.0 * 2.0 / 3.0);
    near(table.rows[1].volt.unwrap().nominal, 2.5);
    let reader = Reader::new(&sketch.project);
    let pressed = State([(button, 1)].into());
    assert!(reader.pulled(&State::rest()).is_empty());
    assert_eq!(reader.pulled(&pressed).len(), 1);
    let working = reader.working(id, &pressed);
    assert!(working[0].starts_with("K1 has pulled (11.881 V"), "{working:?}");
    assert!(working.last().unwrap().contains("2.5 V"), "{working:?}");
    // The live path goes through the contact that is closed now.
    let r2 = sketch.project.parts.iter().find(|(_, part)| part.name == "R2").unwrap().0;
    assert!(reader.live(id, &pressed).0.contains(&r2));
    assert!(!reader.live(id, &State::rest()).0.contains(&r2));
}

/// 140 Ω before the coil leaves 12 * 100 / 240 = 5 V: too few to pull, enough to hold.
#[test]
fn a_relay_between_drop_out_and_pull_in_is_ambiguous() {
    let (sketch, id, _) = relay_on_a_button(140.0);
    let table = table(&sketch, id);
    let pressed = &table.rows[1];
    assert!(pressed.why.starts_with("ambiguous, what was before decides"), "{}", pressed.why);
    assert!(pressed.why.contains("all dropped, or K1 pulled"), "{}", pressed.why);
    let volt = pressed.volt.unwrap();
    near(volt.low, 2.5);
    near(volt.high, 5.0 * 2.0 / 3.0);
}

/// The coil is fed through the relay's own rest contact, so it takes its own voltage away.
#[test]
fn a_relay_that_switches_itself_off_is_named() {
    let (mut sketch, pin, back, id) = pulled();
    let supply = sketch.supply("G1", 12.0);
    let relay = element(&mut sketch, "K1", Element::Relay(Relay { sets: 2, ..relay() }));
    sketch.wire(at(supply, 0), at(relay, 2));
    sketch.wire(at(relay, 3), at(relay, 0));
    sketch.wire(at(relay, 1), back);
    sketch.wire(pin, at(relay, 5));
    sketch.resistor_between("R1", 1000.0, at(relay, 7), back);
    let table = table(&sketch, id);
    let row = &table.rows[0];
    assert!(row.why.starts_with("K1 oscillates"), "{}", row.why);
    assert_eq!((row.volt, row.verdict), (None, None));
    let named = table.findings.iter().find(|f| f.what.contains("no reading")).unwrap();
    assert!(named.what.contains("K1 oscillates"), "{}", named.what);
}

/// 0.5 A through 10 Ω leaves 12 - 5 = 7 V. Through 100 Ω the load starves: below 0.5 V it is
/// 0.5 V / 0.5 A = 1 Ω, so 12 / 101 V.
#[test]
fn a_load_takes_its_current_while_there_is_voltage() {
    for (ohm, want) in [(10.0, 7.0), (100.0, 12.0 / 101.0)] {
        let mut sketch = Sketch::new();
        let supply = sketch.supply("G1", 12.0);
        let ground = sketch.part("GND1", PartKind::Ground);
        let draw = Draw::Amp(Range::exact(0.5));
        let load = Element::Load(Load { form: LoadForm::Lamp, draw });
        let load = element(&mut sketch, "E1", load);
        sketch.resistor_between("R1", ohm, at(supply, 0), at(load, 0));
        sketch.wire(at(load, 1), at(ground, 0));
        let reader = Reader::new(&sketch.project);
        near(volt_of(&reader, &State::rest(), at(load, 0), at(load, 1)), want);
    }
}

/// A lamp of 72 Ω known by its resistance stays part of the exact network: 1000 beside 72 Ω.
#[test]
fn a_load_known_by_its_ohms_is_a_resistance() {
    let (mut sketch, pin, back, id) = pulled();
    sketch.resistor_between("R1", 1000.0, pin, back);
    let draw = Draw::Ohm(Range { low: 7.2, nominal: 72.0, high: 80.0 });
    let lamp = element(&mut sketch, "E1", Element::Load(Load { form: LoadForm::Lamp, draw }));
    sketch.wire(pin, at(lamp, 0));
    sketch.wire(at(lamp, 1), back);
    let row = &table(&sketch, id).rows[0];
    near(row.ohm.nominal, 72_000.0 / 1072.0);
    near(row.ohm.low, 7200.0 / 1007.2);
    near(row.ohm.high, 80_000.0 / 1080.0);
}

/// 1 kΩ beside 10 kΩ is 909.09 Ω. Pulled to 5 V instead, the second input lifts the pin to
/// (5 / 1000 + 5 / 10,000) / (1 / 1000 + 1 / 1000 + 1 / 10,000) = 2.619 V.
#[test]
fn a_second_input_pulls_along() {
    for (pull_volt, want) in
        [(None, 5.0 * (10e3 / 11.0) / (1e3 + 10e3 / 11.0)), (Some(5.0), 5.5 / 2.1)]
    {
        let (mut sketch, pin, back, id) = pulled();
        sketch.resistor_between("R1", 1000.0, pin, back);
        let exact = |nominal| Tolerant { nominal, tolerance: 0.0 };
        let input = Input { pull_ohm: Some(exact(10e3)), pull_volt: pull_volt.map(exact) };
        let input = element(&mut sketch, "U1", Element::Input(input));
        sketch.wire(pin, at(input, 0));
        near(table(&sketch, id).rows[0].volt.unwrap().nominal, want);
    }
    let (mut sketch, pin, back, id) = pulled();
    sketch.resistor_between("R1", 1000.0, pin, back);
    let unknown =
        element(&mut sketch, "U1", Element::Input(Input { pull_ohm: None, pull_volt: None }));
    sketch.wire(pin, at(unknown, 0));
    near(table(&sketch, id).rows[0].ohm.nominal, 1000.0);
    let reader = Reader::new(&sketch.project);
    assert!(reader.findings().iter().any(|f| f.what.contains("nobody knows what this input does")));
}

/// Random networks of resistors and up to five diodes: of all guesses which diodes conduct exactly
/// one agrees with its own voltages, and that is what the program finds.
#[test]
fn the_only_guess_that_holds_is_found() {
    let mut random = Random::new(11);
    for case in 0..60 {
        let nodes = 3 + random.below(4);
        let mut resistors = vec![];
        for node in 1..nodes {
            resistors.push((node, random.below(node), random.decades(10.0, 1e5)));
        }
        for _ in 0..random.below(4) {
            let a = random.below(nodes);
            resistors.push((
                a,
                (a + 1 + random.below(nodes - 1)) % nodes,
                random.decades(10.0, 1e5),
            ));
        }
        let diodes: Vec<(usize, usize, f64)> = (0..1 + random.below(5))
            .map(|_| {
                let a = random.below(nodes);
                (a, (a + 1 + random.below(nodes - 1)) % nodes, random.between(0.2, 0.9))
            })
            .collect();
        let want = only_guess(nodes, &resistors, &diodes);
        let mut sketch = Sketch::new();
        let supply = sketch.supply("G1", 12.0);
        let ground = sketch.part("GND1", PartKind::Ground);
        let spots: Vec<TerminalRef> =
            (0..nodes).map(|n| at(sketch.splice(&format!("SP{n}")), 0)).collect();
        sketch.wire(spots[0], at(ground, 0));
        sketch.resistor_between("R0", 500.0, at(supply, 0), spots[nodes - 1]);
        for (n, (a, b, ohm)) in resistors.iter().enumerate() {
            sketch.resistor_between(&format!("R{}", n + 1), *ohm, spots[*a], spots[*b]);
        }
        for (n, (a, b, drop)) in diodes.iter().enumerate() {
            let diode = element(&mut sketch, &format!("D{n}"), exact_diode(*drop, 2.0));
            sketch.wire(spots[*a], at(diode, 0));
            sketch.wire(at(diode, 1), spots[*b]);
        }
        let reader = Reader::new(&sketch.project);
        for node in 1..nodes {
            let got = volt_of(&reader, &State::rest(), spots[node], spots[0]);
            assert!(
                (got - want[node]).abs() < 1e-6,
                "case {case}, node {node}: {got}, {}",
                want[node]
            );
        }
    }
}

/// Node voltages by trying every guess. Node 0 is ground; 12 V feed the last node through 500 Ω;
/// a conducting diode is 2 Ω behind its drop.
fn only_guess(
    nodes: usize,
    resistors: &[(usize, usize, f64)],
    diodes: &[(usize, usize, f64)],
) -> Vec<f64> {
    let mut found: Vec<Vec<f64>> = Vec::new();
    for guess in 0..1usize << diodes.len() {
        let conducts = |n: usize| guess >> n & 1 == 1;
        let mut matrix = DMatrix::<f64>::zeros(nodes, nodes);
        let mut right = DVector::<f64>::zeros(nodes);
        let mut join = |a: usize, b: usize, siemens: f64, amp: f64| {
            matrix[(a, a)] += siemens;
            matrix[(b, b)] += siemens;
            matrix[(a, b)] -= siemens;
            matrix[(b, a)] -= siemens;
            right[a] += amp;
            right[b] -= amp;
        };
        for (a, b, ohm) in resistors {
            join(*a, *b, 1.0 / ohm, 0.0);
        }
        for (_, (a, b, drop)) in diodes.iter().enumerate().filter(|(n, _)| conducts(*n)) {
            join(*a, *b, 0.5, drop * 0.5);
        }
        matrix[(nodes - 1, nodes - 1)] += 1.0 / 500.0;
        right[nodes - 1] += 12.0 / 500.0;
        matrix.row_mut(0).fill(0.0);
        matrix[(0, 0)] = 1.0;
        right[0] = 0.0;
        let Some(volt) = matrix.lu().solve(&right) else { continue };
        let holds = diodes.iter().enumerate().all(|(n, (a, b, drop))| {
            let over = volt[*a] - volt[*b] - drop;
            if conducts(n) { over >= 0.0 } else { over <= 0.0 }
        });
        if holds {
            found.push(volt.iter().copied().collect());
        }
    }
    let first = found.first().unwrap().clone();
    for other in &found {
        assert!(first.iter().zip(other).all(|(a, b)| (a - b).abs() < 1e-9), "one answer only");
    }
    first
}

/// A start permit through a relay's work contact: closed only while the button feeds the coil.
#[test]
fn a_relay_in_a_permit_loop_is_thrown_by_the_supplies() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let ends = (at(controller, 0), at(controller, 1));
    let supply = sketch.supply("G1", 12.0);
    let ground = sketch.part("GND1", PartKind::Ground);
    let button = sketch.contact("S1", ContactForm::NormallyOpen);
    let seat = sketch.contact("S2", ContactForm::NormallyOpen);
    let relay = element(&mut sketch, "K1", Element::Relay(relay()));
    sketch.wire(at(supply, 0), at(button, 0));
    sketch.wire(at(button, 1), at(relay, 0));
    sketch.wire(at(relay, 1), at(ground, 0));
    sketch.wire(ends.0, at(relay, 2));
    sketch.wire(at(relay, 4), at(seat, 0));
    sketch.wire(at(seat, 1), ends.1);
    sketch.control("Button", button, 2);
    sketch.control("Seat", seat, 2);
    let found = ohmloom::study::permit::permit(&sketch.project, ends.0, ends.1).unwrap();
    let closed: Vec<bool> = (0..4).map(|idx| found.is_closed(idx)).collect();
    assert_eq!(closed, [false, false, false, true]);
}
