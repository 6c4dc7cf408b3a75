//! The test sheet: a list of steps, what to accept, room for the reading and initials.

use crate::check::state_words;
use crate::model::{Project, SensePin};
use crate::sense::PinTable;
use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;
use crate::sheets::states::MAX_PRINTED;
use crate::sheets::table::{Cell, Table};
use crate::sheets::words::ohms;
use crate::units::format_percent;

/// One measurement.
#[derive(Clone, Debug, PartialEq)]
pub struct TestStep {
    /// Red lead.
    pub from: String,
    /// Black lead.
    pub to: String,
    /// How to set the controls.
    pub controls: String,
    /// Least reading to accept, with its unit.
    pub low: String,
    /// Greatest reading to accept.
    pub high: String,
}

/// Ohms of every state at the unplugged controller plug, the meter's error counted in.
pub fn steps(project: &Project, pin: &SensePin, table: &PinTable) -> Vec<TestStep> {
    let from = project.terminal_name(pin.terminal);
    let to = project.terminal_name(pin.reference);
    let step = |row: &crate::sense::StateRow| TestStep {
        from: from.clone(),
        to: to.clone(),
        controls: state_words(project, &row.state),
        low: ohms(row.bench_ohm.0),
        high: ohms(row.bench_ohm.1),
    };
    table.rows.iter().take(MAX_PRINTED).map(step).collect()
}

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    let project = job.project;
    let meter = &project.settings.meter;
    flow.heading("Before the first step");
    flow.tick("The supply is off and secured; measured that it is.");
    flow.tick("The controller is unplugged; everything else is plugged together as drawn.");
    flow.tick(
        "The leads touched together read close to 0 Ω; what they read is written down here: ________",
    );
    flow.note(&format!(
        "Accept low and high count in part tolerances, contacts, wires and a meter that is off by \
         {} of the reading and {} either way. Another meter: change it in the settings and print again.",
        format_percent(meter.fraction),
        ohms(meter.offset_ohm)
    ));
    if project.sense_pins.is_empty() {
        flow.paragraph("No sense pin is drawn yet, so there is nothing to test.");
        flow.blank("the sense pin: mark a cavity of the controller as one");
    }
    let mut n = 0;
    for (id, pin) in project.sense_pins.iter() {
        let at = project.terminal_name(pin.terminal);
        flow.heading(&format!("{at} {}", pin.name));
        let Some(states) = job.table(id).filter(|table| !table.rows.is_empty()) else {
            flow.paragraph("The states of this pin cannot be listed.");
            continue;
        };
        if job.reader.is_live(id) {
            flow.paragraph(
                "Diodes, relays or loads take part in this pin's reading. With the supply off relays \
                 stand at rest and a meter's ohms through a diode depend on the meter: prove such \
                 states with volts as well, the supply on, by somebody who may.",
            );
        }
        if states.rows.len() > MAX_PRINTED {
            flow.paragraph(&format!(
                "{} states; only the first {MAX_PRINTED} are printed.",
                states.rows.len()
            ));
        }
        let list = steps(project, pin, states);
        let table = step_table(&list, n);
        n += list.len();
        flow.table(&format!("test-{at}"), table);
    }
    signature(flow);
}

fn step_table(steps: &[TestStep], first: usize) -> Table {
    let mut table = Table::new(&[
        ">step",
        "from",
        "to",
        "set the controls",
        ">accept low",
        ">accept high",
        "reading",
        "initials",
    ]);
    for (n, step) in steps.iter().enumerate() {
        table.row(vec![
            (first + n + 1).to_string().into(),
            step.from.as_str().into(),
            step.to.as_str().into(),
            step.controls.as_str().into(),
            Cell::Strong(step.low.clone()),
            Cell::Strong(step.high.clone()),
            Cell::Blank,
            Cell::Blank,
        ]);
    }
    table
}

fn signature(flow: &mut Flow<'_>) {
    flow.heading("Done by");
    let mut table = Table::new(&["name", "date", "meter, its number", "signature"]);
    for _ in 0..2 {
        table.row(vec![Cell::Blank; 4]);
    }
    flow.table("test-done-by", table);
}
