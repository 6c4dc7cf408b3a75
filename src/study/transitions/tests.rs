//! Moves against cases worked by hand.

use std::collections::BTreeMap;

use super::course::course;
use super::decoder::{Decoder, Wanted};
use super::*;
use crate::model::{Band, BandRole, ContactForm, Position, Scale, SensePin, Side, TerminalRef};
use crate::samples;
use crate::sense::Live;
use crate::study::faults::Base;
use crate::testing::{Sketch, at, expectation};
use crate::units::Tolerant;

fn of(project: &Project, timing: Timing) -> Moves {
    let pin = project.sense_pins.ids().next().unwrap();
    moves(project, pin, &timing, &|| true).unwrap().unwrap()
}

fn timing(skew_ms: f64, change_ms: f64, bounce_ms: f64) -> Timing {
    Timing { skew_ms, change_ms, bounce_ms }
}

fn band(name: &str, role: BandRole, low: f64, high: Option<f64>) -> Band {
    Band { name: name.into(), role, low, high, harm: Harm::Dangerous }
}

/// What each stretch may decode as: from, to, bands.
fn passed<'a>(pin: &'a SensePin, row: &Move) -> Vec<(f64, f64, Vec<&'a str>)> {
    let name = |seen: &Seen| seen.band.map_or("guard", |idx| pin.bands[idx].name.as_str());
    let names = |stretch: &Stretch| stretch.seen.iter().map(name).collect();
    row.stretches.iter().map(|s| (s.from_ms, s.to_ms, names(s))).collect()
}

/// What belongs to neither end: band, from, how long at most, what it does, whether it counts.
fn stays<'a>(pin: &'a SensePin, row: &Move) -> Vec<(&'a str, f64, f64, Passing, bool)> {
    let name = |stay: &Stay| stay.band.map_or("guard", |idx| pin.bands[idx].name.as_str());
    row.stays.iter().map(|s| (name(s), s.from_ms, s.most_ms, s.passing, s.counts)).collect()
}

/// The move of these words, starting where the controls stand so.
fn row<'a>(project: &Project, all: &'a Moves, start: &[u8], words: &str) -> Vec<&'a Move> {
    let stands = |row: &&Move| all.states[row.start].0.values().copied().eq(start.iter().copied());
    let named = |row: &&Move| row.words(project) == words;
    all.rows.iter().filter(stands).filter(named).collect()
}

/// By hand on the sprayer (debounce 80 ms): from CENTRE to LEFT with LEFT first both toggles are on
/// until the second follows; with CENTRE first none is.
#[test]
fn two_toggles_pass_what_the_first_one_makes() {
    let project = samples::open("sprayer").unwrap();
    let pin = project.sense_pins.iter().next().unwrap().1;
    let all = of(&project, timing(30.0, 0.0, 6.0));
    let [left_first] = row(&project, &all, &[0, 1, 0], "LEFT off to on, then CENTRE on to off")[..]
    else {
        panic!("not one move");
    };
    let both = "LEFT+CENTRE";
    assert_eq!(
        passed(pin, left_first),
        [(0.0, 6.0, vec![both, "CENTRE"]), (6.0, 30.0, vec![both])]
    );
    assert_eq!(stays(pin, left_first), [(both, 0.0, 30.0, Passing::OnTheWay, false)]);
    assert_eq!(left_first.making, None);
    let [off_first] = row(&project, &all, &[0, 1, 0], "CENTRE on to off, then LEFT off to on")[..]
    else {
        panic!("not one move");
    };
    assert_eq!(
        passed(pin, off_first),
        [(0.0, 30.0, vec!["ALL OFF"]), (30.0, 36.0, vec!["LEFT", "ALL OFF"])]
    );
    assert_eq!(off_first.worst(), Passing::Silent, "nothing is right between two actions");
    // A slow hand makes it count.
    let slow = of(&project, timing(80.0, 0.0, 6.0));
    let slow = row(&project, &slow, &[0, 1, 0], "LEFT off to on, then CENTRE on to off");
    assert_eq!(stays(pin, slow[0]), [(both, 0.0, 80.0, Passing::OnTheWay, true)]);
}

/// 8 states; from each 3 single moves and 3 pairs in 2 orders; no contact has two throws.
#[test]
fn every_move_is_there_once() {
    let project = samples::open("sprayer").unwrap();
    let all = of(&project, Timing::USUAL);
    assert_eq!((all.rows.len(), all.left_out), (8 * (3 + 3 * 2), 0));
    // Without skew there is no order, and nothing lies in between.
    let at_once = of(&project, timing(0.0, 0.0, 0.0));
    assert_eq!(at_once.rows.len(), 8 * (3 + 3));
    assert!(at_once.rows.iter().all(|row| row.stretches.is_empty() && row.stays.is_empty()));
    // The worst come first.
    let worth: Vec<_> = all.rows.iter().map(|row| (row.counted(), row.harm)).collect();
    assert!(worth.windows(2).all(|pair| pair[0] >= pair[1]));
}

/// A lever that its gate locks cannot go first.
#[test]
fn what_a_control_needs_rules_an_order_out() {
    let project = samples::open("forwarder").unwrap();
    let all = of(&project, Timing::USUAL);
    let words: Vec<String> = all.rows.iter().map(|row| row.words(&project)).collect();
    let gate_first = "Gate AUTO to HOLD, then Lever centre to fore (UP)";
    assert!(words.iter().any(|words| words == gate_first));
    assert!(
        !words.iter().any(|words| words.starts_with("Lever centre to fore (UP), then Gate AUTO"))
    );
    // HOLD is asked for while the gate is there and the lever is not yet: for the skew of 30 ms, and
    // as long after it as the lever's contact bounces.
    let pin = project.sense_pins.iter().next().unwrap().1;
    let row = all.rows.iter().find(|row| row.words(&project) == gate_first).unwrap();
    assert_eq!(stays(pin, row)[0], ("HOLD", 0.0, 36.2, Passing::OnTheWay, false));
}

/// One changeover between 1 kΩ and 2 kΩ, 667 Ω with both: an action of its own.
fn changeover(debounce_ms: Option<f64>) -> (Project, SensePinId) {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    let contact = sketch.contact("S1", ContactForm::Changeover);
    sketch.wire(pin, at(contact, 0));
    sketch.resistor_between("R1", 1000.0, at(contact, 1), reference);
    sketch.resistor_between("R2", 2000.0, at(contact, 2), reference);
    let control = sketch.control("Lever", contact, 2);
    let id = sketch.pin(pin, reference);
    let sense = sketch.project.sense_pins.get_mut(id).unwrap();
    sense.debounce_ms = debounce_ms;
    sense.bands = vec![
        band("BOTH", BandRole::Action, 600.0, Some(700.0)),
        band("ONE", BandRole::Action, 900.0, Some(1100.0)),
        band("TWO", BandRole::Action, 1900.0, Some(2100.0)),
        band("BROKEN", BandRole::Open, 50e3, None),
    ];
    sense.expectations =
        vec![expectation(&[(control, 0)], "ONE"), expectation(&[(control, 1)], "TWO")];
    (sketch.project, id)
}

/// By hand. Break before make: open for the 5 ms change, and as long as it may bounce after that.
/// Make before break: both for 5 ms; where it bounces longer than that, perhaps none after it.
#[test]
fn a_changeover_passes_open_or_both() {
    use Making::{BreakFirst, MakeFirst};
    let passed_by = |bounce_ms: f64, making: Making| {
        let (project, _) = changeover(Some(6.0));
        let pin = project.sense_pins.iter().next().unwrap().1.clone();
        let all = of(&project, timing(0.0, 5.0, bounce_ms));
        let rows = row(&project, &all, &[0], "Lever p0 to p1");
        let row = rows.into_iter().find(|row| row.making == Some(making)).unwrap();
        let own = |(name, from, most, passing, counts): (&str, f64, f64, Passing, bool)| {
            (name.to_owned(), from, most, passing, counts)
        };
        let passed: Vec<String> = passed(&pin, row)
            .into_iter()
            .map(|(from, to, names)| format!("{from} to {to}: {}", names.join(" or ")))
            .collect();
        (passed, stays(&pin, row).into_iter().map(own).collect::<Vec<_>>(), row.harm)
    };
    let (passed, stays, harm) = passed_by(2.0, BreakFirst);
    assert_eq!(passed, ["0 to 5: BROKEN", "5 to 7: TWO or BROKEN"]);
    assert_eq!(stays, [("BROKEN".into(), 0.0, 7.0, Passing::Detected, true)]);
    assert_eq!(harm, Harm::Nuisance);
    let (passed, stays, harm) = passed_by(2.0, MakeFirst);
    assert_eq!(passed, ["0 to 2: BOTH or ONE", "2 to 5: BOTH"]);
    assert_eq!(stays, [("BOTH".into(), 0.0, 5.0, Passing::WrongAction, false)]);
    assert_eq!(harm, Harm::Harmless, "5 ms do not count with a debounce of 6 ms");
    let (passed, stays, _) = passed_by(8.0, MakeFirst);
    assert_eq!(passed, ["0 to 5: BOTH or ONE", "5 to 8: TWO or BROKEN"]);
    assert_eq!(
        stays,
        [
            ("BOTH".into(), 0.0, 5.0, Passing::WrongAction, false),
            ("BROKEN".into(), 5.0, 3.0, Passing::Detected, false)
        ]
    );
}

#[test]
fn where_the_debounce_is_not_known_every_stay_counts() {
    let (project, _) = changeover(None);
    let all = of(&project, timing(0.0, 0.1, 0.0));
    assert_eq!(all.rows.len(), 4, "two ways, each either way round");
    assert!(all.rows.iter().all(|row| row.stays.iter().all(|stay| stay.counts)));
    assert_eq!(all.rows[0].counted(), Passing::WrongAction);
    assert_eq!(all.rows[0].harm, Harm::Dangerous);
    assert_eq!(all.longest_ms(Passing::WrongAction), Some(0.1));
    assert_eq!(all.rows[3].counted(), Passing::Detected);
}

/// One control that opens one contact and closes another, drawn with two plain contacts, passes
/// what one changeover does.
#[test]
fn two_contacts_of_one_control_are_a_changeover() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    let branch = |sketch: &mut Sketch, name: &str, ohm: f64| {
        let contact = sketch.contact(name, ContactForm::NormallyOpen);
        sketch.wire(pin, at(contact, 0));
        sketch.resistor_between(&format!("R{name}"), ohm, at(contact, 1), reference);
        contact
    };
    let (one, two) = (branch(&mut sketch, "S1", 1000.0), branch(&mut sketch, "S2", 2000.0));
    let position = |contact| Position { name: "p".into(), throws: BTreeMap::from([(contact, 1)]) };
    let control = sketch.control_of("Lever", vec![position(one), position(two)]);
    let id = sketch.pin(pin, reference);
    let (other, other_id) = changeover(Some(6.0));
    let mut sense = other.sense_pins.get(other_id).unwrap().clone();
    (sense.terminal, sense.reference) = (pin, reference);
    sense.expectations =
        vec![expectation(&[(control, 0)], "ONE"), expectation(&[(control, 1)], "TWO")];
    sketch.project.sense_pins.put(id, sense);
    let times = timing(0.0, 5.0, 8.0);
    let (here, there) = (of(&sketch.project, times), of(&other, times));
    assert_eq!(here.rows.len(), 4);
    for (a, b) in here.rows.iter().zip(&there.rows) {
        assert_eq!((a.making, &a.stretches, &a.stays), (b.making, &b.stretches, &b.stays));
    }
}

/// A control that is asked to keep on through a change and does not.
#[test]
fn what_stays_asked_for_may_drop_out() {
    let (mut project, id) = changeover(Some(1.0));
    let sense = project.sense_pins.get_mut(id).unwrap();
    sense.bands[2].name = "ONE".into();
    sense.bands.remove(3);
    sense.expectations[1].action = "ONE".into();
    let all = of(&project, timing(0.0, 5.0, 0.0));
    let pin = project.sense_pins.get(id).unwrap();
    let row = all.rows.iter().find(|row| row.making == Some(Making::BreakFirst)).unwrap();
    assert_eq!(stays(pin, row), [("guard", 0.0, 5.0, Passing::DropsOut, true)]);
}

fn anything() -> Wanted {
    Wanted { ends: Vec::new(), way: Vec::new(), bands: [None; 2], is_same: false }
}

/// Two ways to read a standing state: by the decoder, and by the walk over the reduced network.
#[test]
fn standing_states_read_as_the_walk_over_them_says() {
    for sample in samples::LIST {
        let project = samples::open(sample.name).unwrap();
        let Some(base) = project.sense_pins.ids().next().and_then(|id| Base::new(&project, id))
        else {
            continue;
        };
        // Where a relay decides, moves are refused: nobody knows how long it takes.
        if Live::of_pin(&project, &base.netlist, base.sense).is_some() {
            let pin = project.sense_pins.ids().next().unwrap();
            let refused = moves(&project, pin, &timing(0.0, 5.0, 0.0), &|| true).unwrap_err();
            assert!(refused.contains("is not known"), "{refused}");
            continue;
        }
        let mut decoder = Decoder::new(&base);
        for (state, sound) in base.states.iter().zip(&base.sound) {
            let seen = decoder.of_state(state, &anything());
            let near = |a: f64, b: f64| a == b || (a / b - 1.0).abs() < 1e-12;
            assert!(near(seen.ohm, sound.ohm), "{}: {} {}", sample.name, seen.ohm, sound.ohm);
            assert_eq!(seen.band, sound.band, "{}", sample.name);
        }
    }
}

/// By hand, 1 kΩ up to 5 V: 1 kΩ to ground gives 2.5 V; with 2 kΩ to 12 V as well
/// (5/1 + 12/2) / (1/1 + 1/1 + 1/2) = 4.4 V.
#[test]
fn a_second_supply_on_the_network_is_felt_in_passing() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let (pin, reference) = (at(controller, 0), at(controller, 1));
    let battery = sketch.supply("G1", 12.0);
    let branch = |sketch: &mut Sketch, name: &str, ohm: f64, to: TerminalRef| {
        let contact = sketch.contact(name, ContactForm::NormallyOpen);
        sketch.wire(pin, at(contact, 0));
        sketch.resistor_between(&format!("R{name}"), ohm, at(contact, 1), to);
        sketch.control(name, contact, 2)
    };
    branch(&mut sketch, "S1", 1000.0, reference);
    branch(&mut sketch, "S2", 2000.0, at(battery, 0));
    let id = sketch.pin(pin, reference);
    let sense = sketch.project.sense_pins.get_mut(id).unwrap();
    let exact = |nominal| Some(Tolerant { nominal, tolerance: 0.0 });
    (sense.pull_ohm, sense.reference_volt) = (exact(1000.0), exact(5.0));
    (sense.scale, sense.side) = (Scale::Volt, Side::Ground);
    let project = sketch.project;
    let base = Base::new(&project, id).unwrap();
    let mut decoder = Decoder::new(&base);
    let volts: Vec<f64> = base
        .states
        .iter()
        .map(|state| decoder.of_state(state, &anything()).volt.unwrap())
        .collect();
    // S1 slowest: none, S2, S1, both. With S2 alone (5/1 + 12/2) / (1/1 + 1/2) = 7.333 V.
    for (got, want) in volts.iter().zip([5.0, 22.0 / 3.0, 2.5, 4.4]) {
        assert!((got - want).abs() < 1e-12, "{got} {want}");
    }
    for (got, sound) in volts.iter().zip(&base.sound) {
        assert!((got - sound.volt.unwrap()).abs() < 1e-12);
    }
}

/// When all has come to rest, what was passed is the end: the last event leaves the end's throws.
#[test]
fn a_course_ends_where_the_end_stands() {
    let (project, id) = changeover(None);
    let base = Base::new(&project, id).unwrap();
    let contacts = Decoder::new(&base).contacts();
    let (start, end) = (&base.states[0], &base.states[1]);
    for making in [Making::BreakFirst, Making::MakeFirst] {
        let times = timing(30.0, 5.0, 2.0);
        // There and back again: the way back begins with the skew.
        let spans = course(&project, &contacts, &[start, end, start], (&times, making));
        let closed: Vec<usize> = spans.iter().map(|span| span.closed.len()).collect();
        let bouncing: Vec<usize> = spans.iter().map(|span| span.bouncing.len()).collect();
        match making {
            // Open, bouncing, there; open, bouncing.
            Making::BreakFirst => {
                assert_eq!((closed, bouncing), (vec![0, 0, 1, 0, 0], vec![0, 1, 0, 0, 1]))
            }
            // One and bouncing, both, there; the same back.
            Making::MakeFirst => {
                assert_eq!((closed, bouncing), (vec![1, 2, 1, 1, 2], vec![1, 0, 0, 1, 0]))
            }
        }
    }
}

#[test]
fn times_that_are_none_are_refused_and_a_stop_is_heard() {
    let project = samples::open("sprayer").unwrap();
    let pin = project.sense_pins.ids().next().unwrap();
    for wrong in
        [timing(f64::NAN, 0.0, 0.0), timing(0.0, -1.0, 0.0), timing(0.0, 0.0, f64::INFINITY)]
    {
        let refused = moves(&project, pin, &wrong, &|| true).unwrap_err();
        assert!(refused.contains("milliseconds from 0"), "{refused}");
    }
    assert_eq!(moves(&project, pin, &Timing::USUAL, &|| false), Ok(None));
}
