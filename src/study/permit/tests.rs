//! Permit loops against truth tables written by hand.

use super::*;
use crate::model::{ContactForm, Position};
use crate::samples;
use crate::testing::{Sketch, at};

/// A gear lever that must be in neutral (normally open, closed there), a seat switch (normally open)
/// and a door that opens the loop when it is open (normally closed), one behind the other.
struct Loop {
    sketch: Sketch,
    ends: (TerminalRef, TerminalRef),
    contacts: [PartId; 3],
}

fn series() -> Loop {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let ends = (at(controller, 0), at(controller, 1));
    let lever = sketch.contact("S1", ContactForm::NormallyOpen);
    let seat = sketch.contact("S2", ContactForm::NormallyOpen);
    let door = sketch.contact("S3", ContactForm::NormallyClosed);
    sketch.wire(ends.0, at(lever, 0));
    sketch.wire(at(lever, 1), at(seat, 0));
    sketch.wire(at(seat, 1), at(door, 0));
    sketch.wire(at(door, 1), ends.1);
    let at_throw = |name: &str, throw: u8| Position {
        name: name.into(),
        throws: BTreeMap::from([(lever, throw)]),
    };
    // Neutral between reverse and forward.
    let positions = vec![at_throw("reverse", 0), at_throw("neutral", 1), at_throw("forward", 0)];
    sketch.control_of("Lever", positions);
    sketch.control("Seat", seat, 2);
    sketch.control("Door", door, 2);
    Loop { sketch, ends, contacts: [lever, seat, door] }
}

fn found(of: &Loop) -> Permit {
    permit(&of.sketch.project, of.ends.0, of.ends.1).unwrap()
}

/// Positions of lever, seat and door in the states of these indices.
fn stands(permit: &Permit, states: &[usize]) -> Vec<[u8; 3]> {
    let positions = |idx: &usize| {
        let all: Vec<u8> = permit.states[*idx].0.values().copied().collect();
        [all[0], all[1], all[2]]
    };
    states.iter().map(positions).collect()
}

#[track_caller]
fn mistake<'a>(permit: &'a Permit, title: &str) -> &'a Mistake {
    permit
        .mistakes
        .iter()
        .find(|mistake| mistake.title == title)
        .unwrap_or_else(|| panic!("no {title} among {:?}", titles(permit)))
}

fn titles(permit: &Permit) -> Vec<&str> {
    permit.mistakes.iter().map(|mistake| mistake.title.as_str()).collect()
}

/// By hand: 3 x 2 x 2 states, closed only in neutral, sat down, door shut.
#[test]
fn a_series_loop_is_closed_in_one_state() {
    let of = series();
    let permit = found(&of);
    let closed: Vec<usize> =
        (0..permit.states.len()).filter(|idx| permit.is_closed(*idx)).collect();
    assert_eq!(permit.states.len(), 12);
    assert_eq!(stands(&permit, &closed), [[1, 1, 0]]);
    let rule = "closed only while Lever is neutral and Seat is p1 and Door is p0";
    assert_eq!(permit.rule_words(&of.sketch.project), rule);
    assert_eq!(permit.findings, []);
}

/// By hand, each contact in turn.
#[test]
fn each_mistake_permits_and_blocks_where_it_should() {
    let of = series();
    let permit = found(&of);
    let bridged = mistake(&permit, "S1 bridged or welded");
    assert_eq!(stands(&permit, &bridged.permits), [[0, 1, 0], [2, 1, 0]], "in gear");
    assert!(bridged.blocks.is_empty());
    let door = mistake(&permit, "S3 bridged or welded");
    assert_eq!(stands(&permit, &door.permits), [[1, 1, 1]], "with the door open");
    let swapped = mistake(&permit, "S2 normally closed instead of open");
    assert_eq!(stands(&permit, &swapped.permits), [[1, 0, 0]], "with nobody in the seat");
    assert_eq!(stands(&permit, &swapped.blocks), [[1, 1, 0]]);
    assert_eq!(swapped.effect(), MistakeEffect::Permits);
    let swapped = mistake(&permit, "S3 normally open instead of closed");
    assert_eq!(stands(&permit, &swapped.permits), [[1, 1, 1]]);
    let whole = mistake(&permit, "X1-1 bridged to X1-2");
    assert_eq!(whole.permits.len(), 11, "everything that should block");
    let broken: Vec<&Mistake> =
        permit.mistakes.iter().filter(|m| m.kind == MistakeKind::Broken).collect();
    assert_eq!(broken.len(), 4, "four wires");
    for mistake in broken {
        assert_eq!(stands(&permit, &mistake.blocks), [[1, 1, 0]]);
        assert_eq!(mistake.effect(), MistakeEffect::Blocks);
    }
    // What lies between seat and door, shorted to the far end, leaves the door out.
    let touching = mistake(&permit, "S2-2 touches X1-2");
    assert_eq!(touching.permits, door.permits);
    // The worst come first.
    assert!(permit.mistakes.windows(2).all(|pair| pair[0].effect() >= pair[1].effect()));
}

#[test]
fn a_way_around_a_contact_is_found_out() {
    let mut of = series();
    let seat = of.contacts[1];
    of.sketch.wire(at(seat, 0), at(seat, 1));
    let permit = found(&of);
    assert_eq!(permit.findings, [LoopFinding::DecidesNothing(seat)]);
    assert!(permit.findings[0].words(&of.sketch.project).starts_with("S2 decides nothing"));
    let rule = "closed only while Lever is neutral and Door is p0";
    assert_eq!(permit.rule_words(&of.sketch.project), rule);
}

#[test]
fn loops_that_never_close_or_never_open_are_named() {
    let of = series();
    let mut sketch = of.sketch.clone();
    let lone = sketch.part("TP1", PartKind::TestPoint);
    let never = permit(&sketch.project, of.ends.0, at(lone, 0)).unwrap();
    assert_eq!(never.findings, [LoopFinding::NeverClosed]);
    assert_eq!(never.rule_words(&sketch.project), "never closed");
    sketch.wire(of.ends.0, of.ends.1);
    let always = permit(&sketch.project, of.ends.0, of.ends.1).unwrap();
    assert!(always.findings.contains(&LoopFinding::NeverOpen));
    assert_eq!(always.rule_words(&sketch.project), "always closed");
}

/// Two keys, either of which closes the loop: no single line of positions says it.
#[test]
fn a_rule_of_or_is_counted_instead() {
    let mut sketch = Sketch::new();
    let controller = sketch.controller(2);
    let ends = (at(controller, 0), at(controller, 1));
    for name in ["S1", "S2"] {
        let contact = sketch.contact(name, ContactForm::Changeover);
        sketch.wire(ends.0, at(contact, 0));
        sketch.wire(at(contact, 2), ends.1);
        sketch.control(name, contact, 2);
    }
    let permit = permit(&sketch.project, ends.0, ends.1).unwrap();
    assert_eq!(permit.rule_words(&sketch.project), "closed in 3 of 4 states");
    // Rest for work in one of them: closed unless it is on and the other is off.
    let swapped = mistake(&permit, "S1 wired rest for work");
    assert_eq!((swapped.permits.as_slice(), swapped.blocks.as_slice()), (&[0][..], &[2][..]));
    assert_eq!(mistake(&permit, "S2-common bridged to S2-work").permits, [0]);
}

#[test]
fn samples_offer_their_own_loop() {
    for (name, ends, rule) in [
        ("forwarder", ("X1-3", "X1-4"), "closed only while Neutral is neutral"),
        ("railcar", ("X1-9", "G3"), "closed only while Key front is in"),
    ] {
        let project = samples::open(name).unwrap();
        let (from, to) = likely_ends(&project).unwrap();
        assert_eq!(
            (project.terminal_name(from), project.terminal_name(to)),
            (ends.0.into(), ends.1.into())
        );
        let permit = permit(&project, from, to).unwrap();
        assert_eq!(permit.rule_words(&project), rule);
        assert_eq!(permit.findings, []);
    }
    assert_eq!(likely_ends(&samples::open("sprayer").unwrap()), None);
}

#[test]
fn ends_that_are_none_are_refused() {
    let of = series();
    let project = &of.sketch.project;
    let twice = permit(project, of.ends.0, of.ends.0).unwrap_err();
    assert_eq!(twice, "expected two different terminals, found X1-1 twice");
    assert!(permit(project, of.ends.0, at(PartId(999), 0)).is_err());
}
