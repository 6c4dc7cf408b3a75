//! The rope sheet: runs without their lengths, to take to the machine with a rope and a rule.

use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;
use crate::sheets::table::{Cell, Table};

/// Empty lines for runs nobody has thought of yet.
const SPARE: usize = 10;

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    let project = job.project;
    flow.paragraph(
        "Lay a rope where the harness will lie, mark it with tape at every place, and write down \
         what lies between the marks. Move everything that moves to both ends: the loop is what the \
         longest way needs more than the shortest.",
    );
    flow.tick("The machine is switched off and secured before anybody reaches into it.");
    let name = |id| project.places.get(id).map_or("?", |place| place.name.as_str());
    let mut table =
        Table::new(&["run", "from", "to", "length in mm", "loop in mm", "hole, clip, edge, heat"]);
    for (_, run) in project.runs.iter() {
        table.row(vec![
            Cell::Strong(run.name.clone()),
            name(run.from).into(),
            name(run.to).into(),
            Cell::Blank,
            Cell::Blank,
            Cell::Blank,
        ]);
    }
    for _ in 0..SPARE {
        table.row(vec![Cell::Blank; 6]);
    }
    flow.heading("Runs");
    flow.table("rope-runs", table);
    flow.heading("Measured by");
    let mut table = Table::new(&["name", "date", "machine, its number"]);
    table.row(vec![Cell::Blank; 3]);
    flow.table("rope-measured-by", table);
}
