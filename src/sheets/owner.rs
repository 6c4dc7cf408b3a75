//! The owner page: for somebody who never saw the program.

use std::collections::BTreeSet;

use crate::model::{Control, ControlId, PartId, Project, State};
use crate::sheets::connectors;
use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;
use crate::sheets::record;
use crate::sheets::table::{Cell, Table};
use crate::sheets::words::{kind_words, ohms};

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    let project = job.project;
    flow.paragraph(
        "This packet belongs to the machine: keep it with it. It shows what was built in, what each \
         control does, what to measure and what to look for when something fails.",
    );
    if !project.notes.trim().is_empty() {
        flow.heading("Notes");
        flow.paragraph(project.notes.trim());
    }
    controls(project, flow);
    pins(job, flow);
    first_checks(job, flow);
    record::changes(project, flow);
}

fn controls(project: &Project, flow: &mut Flow<'_>) {
    flow.heading("What each control does");
    if project.controls.is_empty() {
        flow.paragraph("No control is drawn yet.");
        return;
    }
    let mut table = Table::new(&["control", "under the hand", "positions", "at rest", "asks for"]);
    for (id, control) in project.controls.iter() {
        let names: Vec<&str> = control.positions.iter().map(|p| p.name.as_str()).collect();
        let rest = control.positions.get(usize::from(control.rest));
        table.row(vec![
            Cell::Strong(control.name.clone()),
            kind_words(control.kind).into(),
            names.join(", ").into(),
            rest.map_or("", |rest| rest.name.as_str()).into(),
            asks_for(project, id, control).into(),
        ]);
    }
    flow.table("owner-controls", table);
}

/// What the expectations of all pins say of a control, position by position.
fn asks_for(project: &Project, id: ControlId, control: &Control) -> String {
    let mut words = Vec::new();
    for (idx, position) in control.positions.iter().enumerate() {
        let mut actions: Vec<&str> = Vec::new();
        for (_, pin) in project.sense_pins.iter() {
            for expectation in &pin.expectations {
                let names = expectation.when.get(&id).is_some_and(|p| usize::from(*p) == idx);
                if names && !actions.contains(&expectation.action.as_str()) {
                    actions.push(&expectation.action);
                }
            }
        }
        if !actions.is_empty() {
            words.push(format!("{}: {}", position.name, actions.join(" or ")));
        }
    }
    let mut words = words.join("; ");
    if let Some((need, other)) =
        control.needs.and_then(|need| Some((need, project.controls.get(need.control)?)))
    {
        let position = other.positions.get(usize::from(need.position));
        let position = position.map_or("?", |position| position.name.as_str());
        if !words.is_empty() {
            words += "; ";
        }
        words += &format!("moves only while {} stands at {position}", other.name);
    }
    words
}

fn pins(job: &Job<'_>, flow: &mut Flow<'_>) {
    let project = job.project;
    if project.sense_pins.is_empty() {
        return;
    }
    flow.heading("The pins that read them");
    let parts: BTreeSet<PartId> =
        project.sense_pins.iter().map(|(_, pin)| pin.terminal.part).collect();
    for part in parts {
        connectors::draw_plug(job, flow, part);
    }
    let mut table = Table::new(&["pin", "for", "measured against", ">sound, all at rest"]);
    for (id, pin) in project.sense_pins.iter() {
        let rest = job.reader.row(id, &State::rest());
        table.row(vec![
            Cell::Strong(project.terminal_name(pin.terminal)),
            pin.name.as_str().into(),
            project.terminal_name(pin.reference).into(),
            Cell::or_blank(rest.map(|row| {
                let (low, high) = (ohms(row.bench_ohm.0), ohms(row.bench_ohm.1));
                if low == high { low } else { format!("{low} to {high}") }
            })),
        ]);
    }
    flow.table("owner-pins", table);
    flow.note(
        "Ohms with the supply off and the controller unplugged, the meter's error counted in.",
    );
}

fn first_checks(job: &Job<'_>, flow: &mut Flow<'_>) {
    flow.heading("When something does not work, check this first");
    let mut steps = vec![
        "Does the machine ask for something else first (seat, brake, neutral, a key)? See the arming \
         line on the controller sheet."
            .to_owned(),
        "Supply off. Look along the harness for rubbed, pinched, green or loose wires, above all at \
         what moves."
            .to_owned(),
        "Pull the controller's plug: is any terminal pushed back, bent, wet or green?".to_owned(),
    ];
    for (_, pin) in job.project.sense_pins.iter() {
        steps.push(format!(
            "Measure ohms between {} and {} for every line of the test sheet; find the reading on \
             the fault card.",
            job.project.terminal_name(pin.terminal),
            job.project.terminal_name(pin.reference)
        ));
    }
    for step in steps {
        flow.tick(&step);
    }
}
