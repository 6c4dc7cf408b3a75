//! Permit loops: closed and open by state, as a table to go through with a meter.

use crate::check::state_words;
use crate::circuit::Netlist;
use crate::drawing::FaceSide;
use crate::model::{Project, SensePin};
use crate::proving::plan::fingerprint::state_key;
use crate::proving::plan::pins::PinBench;
use crate::proving::plan::place::place_words;
use crate::proving::plan::{Plan, STATES_MOST, Step, StepKind};
use crate::proving::typed::Quantity;
use crate::sense::wire_data;
use crate::study::permit::likely_ends;

/// The loop whose ends the drawing names, if it names any.
pub fn add(project: &Project, plan: &mut Plan) {
    let Some((from, to)) = likely_ends(project) else {
        plan.left_out.push("permit loops: no cavity's circuit speaks of a permit, an inhibit or an interlock; name it so where there is one".into());
        return;
    };
    let mut work = project.clone();
    let pin = SensePin::bare("permit", from, to);
    work.sense_pins = crate::model::Table::default();
    let netlist = Netlist::new(&work, &wire_data(project));
    let Some(bench) = PinBench::new(&work, &netlist, &pin) else { return };
    let (states, n_all) = bench.states();
    if n_all > STATES_MOST {
        plan.left_out.push(format!("permit loop: {} of {n_all} states are tested", states.len()));
    }
    for state in &states {
        let (limits, blocked) = match bench.ohm_limits(state) {
            Ok(limits) => (Some(limits), None),
            Err(why) => (None, Some(why)),
        };
        plan.steps.push(Step {
            key: format!(
                "loop:{}.{}-{}.{}:{}",
                from.part,
                from.terminal,
                to.part,
                to.terminal,
                state_key(project, state)
            ),
            kind: StepKind::Loop,
            title: format!(
                "{} to {}: {}",
                project.terminal_name(from),
                project.terminal_name(to),
                state_words(project, state)
            ),
            connect: vec![
                "supplies off, controller unplugged, all other plugs mated".into(),
                format!("red lead to {}", place_words(project, from, FaceSide::Face)),
                format!("black lead to {}", place_words(project, to, FaceSide::Face)),
            ],
            state: Some(state.clone()),
            red: Some(from),
            black: Some(to),
            quantity: Quantity::Ohm,
            limits,
            blocked,
            notes: vec![
                "never bridge the loop to get on; local rules and licensed practice go first"
                    .into(),
            ],
            drawing: bench.print("loop", state).finish(),
        });
    }
}
