//! Branches with a tape: each run of the layout, laid out straight.

use crate::model::Project;
use crate::proving::plan::fingerprint::Fingerprint;
use crate::proving::plan::{Limits, Plan, Step, StepKind};
use crate::proving::typed::Quantity;

/// One step a run. Accept from the run's length with its loop to the length wires are cut for
/// (length factor, loop, rounding): a branch that is shorter does not reach, a longer one was cut
/// for another run.
pub fn add(project: &Project, plan: &mut Plan) {
    let settings = &project.settings;
    for (id, run) in project.runs.iter() {
        let place = |id| project.places.get(id).map_or("?", |place| place.name.as_str());
        let slack = run.loop_mm.unwrap_or(0.0);
        let low = run.length_mm + slack;
        let high = run.length_mm * settings.length_factor + slack + settings.rounding_mm;
        let mut print = Fingerprint::new("tape");
        print.numbers(&[run.from.0, run.to.0]);
        print.values(&[run.length_mm, slack, settings.length_factor, settings.rounding_mm]);
        let mut notes = Vec::new();
        if slack > 0.0 {
            notes.push(format!("{slack} mm of it are the loop that lets it move"));
        }
        plan.steps.push(Step {
            key: format!("tape:{id}"),
            kind: StepKind::Tape,
            title: if run.name.is_empty() {
                format!("branch {} to {}", place(run.from), place(run.to))
            } else {
                format!("branch {}", run.name)
            },
            connect: vec![format!(
                "lay the branch straight and measure from {} to {}",
                place(run.from),
                place(run.to)
            )],
            state: None,
            red: None,
            black: None,
            quantity: Quantity::Length,
            limits: Some(Limits::Figure {
                low,
                usual: run.length_mm * settings.length_factor + slack,
                high: high.max(low),
            }),
            blocked: None,
            notes,
            drawing: print.finish(),
        });
    }
    if project.runs.is_empty() {
        plan.left_out.push("branches with a tape: no runs are drawn in the layout".into());
    }
}
