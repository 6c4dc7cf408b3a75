//! What can hurt, before anything else is done.

use crate::check;
use crate::sheets::flow::Flow;
use crate::sheets::packet::Job;

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    flow.heading("Read this before you touch the machine");
    for caution in check::cautions(job.project) {
        flow.tick(&caution);
    }
    flow.heading("Before you start");
    for line in [
        "The supply is off, and nobody can put it on while you work.",
        "The machine cannot roll, drop or turn.",
        "Somebody knows where you are and what you do.",
        "You have the machine's own documents at hand.",
    ] {
        flow.tick(line);
    }
    flow.note("Common practice, no source. A tick is a reminder, not a proof of safety.");
}
