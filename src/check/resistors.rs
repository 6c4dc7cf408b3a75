//! Resistors that lie in the harness itself: where they sit badly, and where they would sit well.

use std::collections::BTreeSet;

use crate::check::findings::Found;
use crate::model::{Part, PartId, PartKind, Project, Resistor, Run, Subject, WireUse, Zone};
use crate::units::trim_zeros;

/// Looks at every resistor that a wire of the harness ends at; one inside a box is left alone.
pub fn check(project: &Project, found: &mut Found) {
    let ends: BTreeSet<PartId> = project
        .wires
        .iter()
        .filter(|(_, wire)| wire.usage == WireUse::Harness)
        .flat_map(|(_, wire)| [wire.from.terminal.part, wire.to.terminal.part])
        .collect();
    for (id, part) in project.parts.iter().filter(|(id, _)| ends.contains(id)) {
        if let PartKind::Resistor(resistor) = &part.kind {
            placed(project, (id, part, resistor), found);
        }
    }
}

fn placed(project: &Project, (id, part, resistor): (PartId, &Part, &Resistor), found: &mut Found) {
    let Some(place) = part.place else { return };
    let here: Vec<&Run> = project
        .runs
        .iter()
        .map(|(_, run)| run)
        .filter(|run| run.from == place || run.to == place)
        .collect();
    let subject = Subject::Part(id);
    let moving = here.iter().find(|run| moves(run));
    let wet = here.iter().find(|run| run.laid.zones.contains(&Zone::Wet));
    for (run, word, why) in [
        (moving, "moves", "its leads break beside the body"),
        (wet, "gets wet", "damp bridges it and lowers what is read"),
    ] {
        let Some(run) = run else { continue };
        found.warning(
            subject,
            format!(
                "resistor {} lies in the harness beside run {}, which {word}: {why}",
                part.name, run.name
            ),
            format!(
                "put it into a box, or {}, under a sleeve and held on both sides; at the far end of \
                 the line it also shows a broken wire (common practice, no source)",
                good_run(project)
            ),
        );
    }
    if let Some(run) = here.iter().find(|run| run.laid.zones.contains(&Zone::Hot)) {
        let drift = drift_words(project, resistor);
        found.note(
            subject,
            format!("resistor {} lies beside run {}, which gets hot{drift}", part.name, run.name),
            "put it where it stays cool, or take one of a lower temperature coefficient",
        );
    }
}

/// How far its value drifts in the heat, where that is known.
fn drift_words(project: &Project, resistor: &Resistor) -> String {
    let Some(hot_c) = project.settings.wiring.hot_c else { return String::new() };
    let percent = resistor.tempco_ppm_per_k * (hot_c - 20.0).abs() / 1e4;
    format!(
        ": at {hot_c} °C its value drifts by up to {} % beside its tolerance of {} %",
        trim_zeros(&format!("{percent:.2}")),
        trim_zeros(&format!("{:.2}", resistor.tolerance * 100.0))
    )
}

fn moves(run: &Run) -> bool {
    run.laid.zones.contains(&Zone::Moves) || run.loop_mm.is_some_and(|mm| mm > 0.0)
}

/// Where a joint or a resistor may sit: on a run that neither moves nor gets wet or hot, with the name
/// of one where there is one.
pub(super) fn good_run(project: &Project) -> String {
    let is_good = |run: &Run| {
        !moves(run) && !run.laid.zones.contains(&Zone::Wet) && !run.laid.zones.contains(&Zone::Hot)
    };
    let longest = project
        .runs
        .iter()
        .map(|(_, run)| run)
        .filter(|run| is_good(run))
        .max_by(|a, b| a.length_mm.total_cmp(&b.length_mm));
    match longest {
        Some(run) => format!("onto a run that is dry and fixed, such as {}", run.name),
        None => "onto a run that is dry and fixed".to_owned(),
    }
}
