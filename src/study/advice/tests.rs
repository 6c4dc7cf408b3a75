//! Advice against numbers worked by hand.

use super::*;
use crate::model::{ContactForm, Scale, Side, TerminalRef, Timing};
use crate::samples;
use crate::study::faults::survey;
use crate::study::transitions::moves;
use crate::testing::{Sketch, at, parallel_ladder};
use crate::units::Tolerant;

fn of(project: &Project, pin: SensePinId, timing: Option<Timing>) -> Vec<Advice> {
    let survey = survey(project, pin, &|| true).unwrap();
    let moves = timing.map(|timing| moves(project, pin, &timing, &|| true).unwrap().unwrap());
    advice(project, &survey, moves.as_ref())
}

fn of_sample(name: &str) -> Vec<Advice> {
    let project = samples::open(name).unwrap();
    let pin = project.sense_pins.ids().next().unwrap();
    of(&project, pin, Some(Timing::USUAL))
}

fn topics(list: &[Advice]) -> Vec<Topic> {
    list.iter().map(|advice| advice.topic).collect()
}

#[track_caller]
fn figure(list: &[Advice], topic: Topic) -> &str {
    let found = list.iter().find(|advice| advice.topic == topic);
    &found.unwrap_or_else(|| panic!("no {topic:?} among {list:?}")).figure
}

/// The forwarder's open line is AUTO; its dangerous actions come by single faults. Its pull is not
/// known, so nothing is said of currents.
#[test]
fn the_forwarder_needs_an_end_resistor_and_a_stop() {
    let list = of_sample("forwarder");
    assert_eq!(topics(&list)[0], Topic::IndependentStop);
    assert!(figure(&list, Topic::IndependentStop).ends_with("make DOWN or UP come unasked"));
    let open = figure(&list, Topic::EndResistor);
    assert!(open.contains("read open, as AUTO (open) does"), "{open}");
    let words = &list.iter().find(|a| a.topic == Topic::EndResistor).unwrap().words;
    assert!(words.contains("6.81"), "HOLD is the highest other state: {words}");
    assert!(!topics(&list).contains(&Topic::Gold));
}

/// The sprayer has its end resistor, and a band that tells a broken wire.
#[test]
fn the_sprayer_needs_neither() {
    let list = of_sample("sprayer");
    assert!(!topics(&list).contains(&Topic::EndResistor));
    assert!(!topics(&list).contains(&Topic::OpenBand));
}

/// A ladder with one switch: 9 kΩ always there, 4 kΩ behind the switch, 1 kΩ up to 5 V.
fn one_switch(pull_ohm: f64) -> (Project, SensePinId) {
    let (mut sketch, id) = parallel_ladder(&[4000.0], 9000.0);
    let sense = sketch.project.sense_pins.get_mut(id).unwrap();
    let exact = |nominal| Some(Tolerant { nominal, tolerance: 0.0 });
    (sense.pull_ohm, sense.reference_volt) = (exact(pull_ohm), exact(5.0));
    (sense.scale, sense.side) = (Scale::Volt, Side::Ground);
    (sketch.project, id)
}

/// By hand: with 4 kΩ beside 9 kΩ, 36/13 kΩ, and 1 kΩ up to 5 V the pin is at
/// 5 x 36 / 49 = 3.6735 V, and 3.6735 V / 4 kΩ = 0.918 mA flow through the switch. With 500 Ω up to
/// 5 V it is 4.2353 V and 1.06 mA: enough.
#[test]
fn gold_is_advised_below_a_milliampere() {
    let (project, id) = one_switch(1000.0);
    assert_eq!(figure(&of(&project, id, None), Topic::Gold), "S1 switches at most 0.92 mA");
    let (project, id) = one_switch(500.0);
    assert!(!topics(&of(&project, id, None)).contains(&Topic::Gold));
}

fn band(name: &str, role: BandRole, low: f64, high: f64) -> Band {
    Band { name: name.into(), role, low, high: Some(high), harm: Harm::Nuisance }
}

/// By hand: open reads 5 V, in no band; at rest 9 kΩ read 4.5 V.
#[test]
fn a_broken_wire_that_reads_no_band_is_told() {
    let (mut project, id) = one_switch(1000.0);
    let sense = project.sense_pins.get_mut(id).unwrap();
    sense.bands =
        vec![band("ON", BandRole::Action, 3.5, 3.8), band("OFF", BandRole::Idle, 4.3, 4.7)];
    let list = of(&project, id, None);
    let want = "a broken wire reads no band at all, while the highest sound state reads 9.000 kΩ";
    assert_eq!(figure(&list, Topic::OpenBand), want);
    project.sense_pins.get_mut(id).unwrap().bands.push(band("BROKEN", BandRole::Open, 4.9, 5.1));
    assert!(!topics(&of(&project, id, None)).contains(&Topic::OpenBand));
}

/// By hand with a reference of 5 V within 2 %: OFF at 4.5 V moves down by 90 mV, ON at 3.6735 V up
/// by 73.5 mV and a little more for R1's 1 %; a guard of 80 mV is less than 90 mV.
#[test]
fn a_guard_narrower_than_the_readings_move_is_told() {
    let (mut project, id) = one_switch(1000.0);
    let sense = project.sense_pins.get_mut(id).unwrap();
    sense.reference_volt = Some(Tolerant { nominal: 5.0, tolerance: 0.02 });
    sense.bands =
        vec![band("ON", BandRole::Action, 3.5, 4.3), band("OFF", BandRole::Idle, 4.38, 4.7)];
    let list = of(&project, id, None);
    let want =
        "the guard between ON and OFF is 0.080 V, and readings beside it move by up to 0.090 V";
    assert_eq!(figure(&list, Topic::MoreGuard), want);
    project.sense_pins.get_mut(id).unwrap().bands[1].low = 4.395;
    assert!(!topics(&of(&project, id, None)).contains(&Topic::MoreGuard), "95 mV are enough");
}

/// By hand: 2 kΩ to 12 V beside 1 kΩ up to 5 V hold the pin at (5 + 12 / 2) / 1.5 = 7.333 V.
#[test]
fn a_second_supply_gets_a_diode_and_the_pin_protection() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    let battery = sketch.supply("G1", 12.0);
    let branch = |sketch: &mut Sketch, name: &str, ohm: f64, to: TerminalRef| {
        let contact = sketch.contact(name, ContactForm::NormallyOpen);
        sketch.wire(pin, at(contact, 0));
        sketch.resistor_between(&format!("R{name}"), ohm, at(contact, 1), to);
        sketch.control(name, contact, 2);
    };
    branch(&mut sketch, "S1", 1000.0, reference);
    branch(&mut sketch, "S2", 2000.0, at(battery, 0));
    let id = sketch.pin(pin, reference);
    let sense = sketch.project.sense_pins.get_mut(id).unwrap();
    let exact = |nominal| Some(Tolerant { nominal, tolerance: 0.0 });
    (sense.pull_ohm, sense.reference_volt) = (exact(1000.0), exact(5.0));
    (sense.scale, sense.side) = (Scale::Volt, Side::Ground);
    sense.limit_volt = Some(8.0);
    let list = of(&sketch.project, id, None);
    let want = "G1 brings 7.333 V to a pin whose reference is 5.000 V";
    assert_eq!(figure(&list, Topic::Diode), want);
    // Some short brings the whole 12 V.
    let over = figure(&list, Topic::ProtectPin);
    assert!(over.ends_with("brings 12.000 V to a pin that stands 8.000 V"), "{over}");
}

/// Two pins that share one contact: while it is open 1 kΩ and 2 kΩ join them.
#[test]
fn a_contact_two_pins_share_gets_a_diode_for_each() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(3);
    let reference = at(controller, 2);
    let contact = sketch.contact("S1", ContactForm::NormallyOpen);
    sketch.resistor_between("R1", 1000.0, at(controller, 0), at(contact, 0));
    sketch.resistor_between("R2", 2000.0, at(controller, 1), at(contact, 0));
    sketch.wire(at(contact, 1), reference);
    sketch.control("B1", contact, 2);
    let id = sketch.pin(at(controller, 0), reference);
    assert!(!topics(&of(&sketch.project, id, None)).contains(&Topic::Diode));
    sketch.pin(at(controller, 1), reference);
    let list = of(&sketch.project, id, None);
    assert_eq!(figure(&list, Topic::Diode), "with S1 open 3.000 kΩ join X1-1 and X1-2");
}

#[test]
fn a_slow_hand_asks_for_a_longer_debounce() {
    let project = samples::open("sprayer").unwrap();
    let pin = project.sense_pins.ids().next().unwrap();
    let slow = Timing { skew_ms: 90.0, change_ms: 0.0, bounce_ms: 5.0 };
    let list = of(&project, pin, Some(slow));
    let told = figure(&list, Topic::Debounce);
    assert!(
        told.ends_with(
            "may last 95 ms in passing while controls are moved, and the debounce is 80 ms"
        ),
        "{told}"
    );
    assert!(!topics(&of(&project, pin, Some(Timing::USUAL))).contains(&Topic::Debounce));
}
