//! Cautions that fit a project: what can hurt someone, said before the work.
//!
//! Common practice, no source; none of this replaces a rule that binds the work.

use crate::harness::judged_volt;
use crate::model::{Element, PartKind, Project, Wiring};

/// Words that tell of a circuit that keeps an engine or machine from starting.
const START_WORDS: [&str; 5] = ["start inhibit", "start-inhibit", "neutral", "crank", "interlock"];

/// Words that tell of a steering wheel.
const STEERING_WORDS: [&str; 4] = ["steering", "wheel", "rim", "column"];

/// From here a direct voltage is no longer commonly taken as safe to touch in the dry (from memory).
const TOUCH_VOLT: f64 = 60.0;

/// Cautions in the order they matter, the last one always the deferral to rules and licences.
pub fn cautions(project: &Project) -> Vec<String> {
    let kinds = || project.parts.iter().map(|(_, part)| &part.kind);
    let mut list = Vec::new();
    let volt = judged_volt(project);
    if volt.is_some_and(|volt| volt > TOUCH_VOLT) {
        list.push(
            "The supply can be dangerous to touch: leave live work to licensed persons.".to_owned(),
        );
    }
    if volt.is_some() {
        list.push(
            "Disconnect and secure the supply before you cut, crimp or measure ohms; a battery \
             can weld a spanner. Measure that it is off."
                .to_owned(),
        );
        list.push(
            "Every wire that leaves a supply needs a fuse close to it, chosen for the thinnest wire \
             behind it; never fit a larger one to stop it blowing."
                .to_owned(),
        );
    }
    let is_reckoned =
        |kind: &PartKind| matches!(kind, PartKind::Fuse(_) | PartKind::Element(Element::Load(_)));
    if project.settings.wiring != Wiring::default()
        || project.wires.iter().any(|(_, wire)| wire.make.current_amp.is_some())
        || kinds().any(is_reckoned)
    {
        list.push(
            "Wire sizes, drops, currents and fuses here are reckoned from tables for other machines \
             than yours, and some of them are recalled: have them checked by someone who answers \
             for the machine, and feel for heat at full load before you rely on them."
                .to_owned(),
        );
    }
    if says(project, &START_WORDS) {
        list.push(
            "A circuit here takes part in deciding whether the machine may start or move: never \
             bridge it, keep it apart from convenience functions, and test that it still blocks."
                .to_owned(),
        );
    }
    let rotates =
        kinds().any(|kind| matches!(kind, PartKind::Connector(connector) if connector.rotating));
    if rotates || says(project, &STEERING_WORDS) {
        list.push(
            "Work at a steering wheel can set off an airbag or loosen the wheel: follow the \
             maker's procedure and keep every moving wire clear of the full turn."
                .to_owned(),
        );
    }
    list.push(
        "This plan replaces neither the machine's own documents nor local rules: those and \
         licensed practice go first."
            .to_owned(),
    );
    list
}

/// Whether any name or note of the project holds one of the words, as a whole word, in any case.
fn says(project: &Project, words: &[&str]) -> bool {
    let parts = project.parts.iter().flat_map(|(_, part)| {
        let cavities = part.kind.cavities();
        let circuits =
            cavities.into_iter().flat_map(|notes| notes.values().map(|c| c.circuit.as_str()));
        circuits.chain([part.label.as_str()])
    });
    let mut texts = parts
        .chain(project.wires.iter().map(|(_, wire)| wire.circuit.as_str()))
        .chain(project.controls.iter().map(|(_, control)| control.name.as_str()))
        .chain(project.frames.iter().map(|(_, frame)| frame.name.as_str()))
        .chain(project.places.iter().map(|(_, place)| place.name.as_str()))
        .chain([project.title.as_str(), project.notes.as_str()]);
    let words: Vec<String> = words.iter().map(|word| spaced(word)).collect();
    texts.any(|text| {
        let text = if text.is_empty() { String::new() } else { spaced(text) };
        words.iter().any(|word| text.contains(word.as_str()))
    })
}

/// Lower case with single spaces around every word.
fn spaced(text: &str) -> String {
    let mut out = String::from(" ");
    for word in text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()) {
        out.push_str(&word.to_lowercase());
        out.push(' ');
    }
    out
}
