//! Rounds at the end: wires moved, box warmed, plugs wetted, every load switched on. Each watches the
//! state of a pin that has least room.

use crate::check::state_words;
use crate::circuit::{Corner, Netlist};
use crate::model::{Project, SensePinId, Side, State};
use crate::proving::plan::pins::{PinBench, title};
use crate::proving::plan::{Limits, Plan, Step, StepKind};
use crate::proving::typed::Quantity;
use crate::sense::{Reader, shown_volt, wire_data};
use crate::units::Range;

/// Rounds of every pin.
pub fn add(project: &Project, plan: &mut Plan) {
    let netlist = Netlist::new(project, &wire_data(project));
    let reader = Reader::new(project);
    for (id, pin) in project.sense_pins.iter() {
        let Some(bench) = PinBench::new(project, &netlist, pin) else { continue };
        let state = tightest(&bench, &reader, id);
        plan.steps.push(wiggle(&bench, id, &state));
        plan.steps.push(heat(&bench, id, &state));
        plan.steps.push(wet(&bench, id, &state));
        if pin.side == Side::Ground {
            plan.steps.push(loads(&bench, id));
        }
    }
}

/// The state with least margin among those that are tested, and have a reading; of equals the first.
fn tightest(bench: &PinBench<'_>, reader: &Reader, id: SensePinId) -> State {
    let (states, _) = bench.states();
    let margin = |state: &State| {
        let row = reader.row(id, state)?;
        let is_finite = bench.is_live || row.ohm.nominal.is_finite();
        row.margin?.value().filter(|_| is_finite)
    };
    let rated = states.iter().filter_map(|state| Some((margin(state)?, state)));
    let least = rated.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, state)| state.clone());
    let finite = || states.iter().find(|state| bench.bench_ohm(state).nominal.is_finite()).cloned();
    least.or_else(finite).or_else(|| states.first().cloned()).unwrap_or_default()
}

fn step(
    bench: &PinBench<'_>,
    (kind, id): (StepKind, SensePinId),
    state: &State,
    limits: Result<Limits, String>,
) -> Step {
    let word = match kind {
        StepKind::Wiggle => "wiggle",
        StepKind::Heat => "heat",
        StepKind::Wet => "wet",
        StepKind::Loads
        | StepKind::Tape
        | StepKind::Mirror
        | StepKind::Continuity
        | StepKind::Isolation
        | StepKind::Ohms
        | StepKind::Loop
        | StepKind::Volts => "loads",
    };
    let (limits, blocked) = match limits {
        Ok(limits) => (Some(limits), None),
        Err(why) => (None, Some(why)),
    };
    Step {
        key: format!("{word}:{id}"),
        kind,
        title: title(bench, state),
        connect: bench.connect_ohms(),
        state: Some(state.clone()),
        red: Some(bench.pin.terminal),
        black: Some(bench.pin.reference),
        quantity: Quantity::Ohm,
        limits,
        blocked,
        notes: Vec::new(),
        drawing: bench.print(word, state).finish(),
    }
}

fn wiggle(bench: &PinBench<'_>, id: SensePinId, state: &State) -> Step {
    let mut step = step(bench, (StepKind::Wiggle, id), state, bench.ohm_limits(state));
    step.connect.push("pull and bend every plug and every wire near it, one after the other; type the reading that strayed farthest".into());
    step
}

fn heat(bench: &PinBench<'_>, id: SensePinId, state: &State) -> Step {
    let limits =
        bench.ohm_limits(state).map(|_| bench.shown(bench.ohm(state, (Corner::Low, Corner::High))));
    let mut step = step(bench, (StepKind::Heat, id), state, limits);
    let span = bench.project.settings.temperature_span_k;
    step.connect.push(format!(
        "warm the box with the resistors, by hand or with a hair dryer, by no more than {span} K; type the reading that strayed farthest"
    ));
    step
}

fn wet(bench: &PinBench<'_>, id: SensePinId, state: &State) -> Step {
    let limits = match bench.pin.leak_low_ohm {
        None => Err("the least leak the pin must stand is not entered: without it nobody can say what a wet reading may be".into()),
        Some(leak) => bench.ohm_limits(state).map(|_| {
            let dry = bench.bench_ohm(state);
            let beside = |ohm: f64| if ohm.is_infinite() { leak } else { ohm * leak / (ohm + leak) };
            bench.shown(Range { low: beside(dry.low), ..dry })
        }),
    };
    let mut step = step(bench, (StepKind::Wet, id), state, limits);
    step.connect.push("spray mated plugs and the box with salt water as they hang on the machine, supplies off; wait five minutes; dry everything after".into());
    step
}

fn loads(bench: &PinBench<'_>, id: SensePinId) -> Step {
    let offset = bench.pin.ground_offset_volt.abs();
    let limits = if offset > 0.0 {
        let (low, high) = shown_volt(&bench.project.settings.meter, (-offset, offset));
        Ok(Limits::Figure { low, usual: 0.0, high })
    } else {
        Err("the greatest offset of the return is not entered: without it nobody can say what the loads may do".into())
    };
    let state = State::rest();
    let mut step = step(bench, (StepKind::Loads, id), &state, limits);
    let reference = bench.project.terminal_name(bench.pin.reference);
    step.title = format!("{reference} against the controller's ground, every load on");
    step.connect = vec![
        "everything plugged in, machine secured, then switched on, with every load that shares the ground".into(),
        format!("red lead to {reference}"),
        "black lead to the controller's own ground".into(),
    ];
    step.red = Some(bench.pin.reference);
    step.black = None;
    step.state = None;
    step.quantity = Quantity::Volt;
    step.notes = vec![format!(
        "a wrong figure here shifts every reading of {}; {}",
        bench.pin.name,
        state_words(bench.project, &state)
    )];
    step
}
