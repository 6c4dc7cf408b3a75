//! Pin to pin: through the wires of the harness alone, every plug pulled.

use crate::drawing::FaceSide;
use crate::model::{Project, TerminalRef, WireModel};
use crate::proving::mirror::{half_name, mirror_check};
use crate::proving::plan::fingerprint::Fingerprint;
use crate::proving::plan::place::place_words;
use crate::proving::plan::{Limits, Plan, Step, StepKind};
use crate::proving::typed::Quantity;
use crate::proving::wiring::{Net, nets};
use crate::sense::shown_ohm;

/// Wires are delivered with up to so much more than their nominal resistance: the share at which a
/// used piece is turned down (common practice, no source).
const WIRE_HIGH: f64 = 1.15;

/// First the touches that prove the view of every plug, then from the first end of each net to every
/// other: as many touches as prove all its wires. What the first prove already is not asked again.
pub fn add(project: &Project, plan: &mut Plan) {
    let nets = nets(project);
    let mut done: Vec<String> = Vec::new();
    let check = mirror_check(project);
    for touch in &check.touches {
        let Some(net) = nets.iter().find(|net| net.ends.contains(&touch.red)) else { continue };
        let mut step = step(project, net, touch.red, touch.black);
        step.kind = StepKind::Mirror;
        let names: Vec<String> =
            touch.proves.iter().map(|half| half_name(project, *half)).collect();
        step.notes
            .insert(0, format!("joined: {} filled from the correct side", names.join(" and ")));
        done.push(step.key.clone());
        plan.steps.push(step);
    }
    for half in &check.unprovable {
        plan.left_out.push(format!(
            "no single touch proves from which side {} was filled; the pin to pin steps do",
            half_name(project, *half)
        ));
    }
    for net in &nets {
        let Some((first, others)) = net.ends.split_first() else { continue };
        for other in others {
            let step = step(project, net, *first, *other);
            if !done.contains(&step.key) {
                plan.steps.push(step);
            }
        }
    }
    if nets.is_empty() {
        plan.left_out.push("pin to pin: no wires of a harness are drawn".into());
    }
}

fn step(project: &Project, net: &Net, red: TerminalRef, black: TerminalRef) -> Step {
    let meter = &project.settings.meter;
    let ohm = net.ohm(red, black);
    let mut notes = Vec::new();
    let limits = ohm.map(|ohm| {
        let (low, high) = shown_ohm(meter, (0.0, ohm * WIRE_HIGH));
        Limits::Figure { low, usual: ohm + meter.lead_ohm, high }
    });
    if let (Some(tone), Some(Limits::Figure { high, .. })) = (meter.tone_ohm, &limits)
        && *high < tone
    {
        notes.push(format!("the meter must sound, as it does below {tone} Ω"));
    }
    let blocked = ohm.is_none().then(|| {
        let is_ideal = project.settings.wire_model == WireModel::Ideal;
        match is_ideal {
            true => "the project's wires are ideal, so their ohms are not known: set the wire model to by length".to_owned(),
            false => "the length of a wire on the way is not known: draw its route or type its length".to_owned(),
        }
    });
    let mut print = Fingerprint::new("wire");
    for (from, to, ohm, wire) in &net.edges {
        print.terminal(*from);
        print.terminal(*to);
        print.numbers(&[wire.0]);
        print.values(&[ohm.unwrap_or(-1.0)]);
    }
    Step {
        key: format!("wire:{}.{}-{}.{}", red.part, red.terminal, black.part, black.terminal),
        kind: StepKind::Continuity,
        title: format!("{} to {}", project.terminal_name(red), project.terminal_name(black)),
        connect: vec![
            "all plugs of the harness pulled, supplies off".into(),
            format!("red lead to {}", place_words(project, red, FaceSide::Face)),
            format!("black lead to {}", place_words(project, black, FaceSide::Face)),
        ],
        state: None,
        red: Some(red),
        black: Some(black),
        quantity: Quantity::Ohm,
        limits,
        blocked,
        notes,
        drawing: print.finish(),
    }
}
