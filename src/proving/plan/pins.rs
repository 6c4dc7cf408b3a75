//! Ohms of every state at the unplugged plug, and volts of every state plugged in.

use std::collections::BTreeSet;

use crate::check::state_words;
use crate::circuit::{Corner, Netlist, PinNetwork, Source, settled};
use crate::drawing::FaceSide;
use crate::model::{PartKind, Project, SensePin, SensePinId, Side, State, TerminalRef};
use crate::proving::divider::Divider;
use crate::proving::plan::fingerprint::{Fingerprint, state_key};
use crate::proving::plan::place::place_words;
use crate::proving::plan::{Limits, Plan, STATES_MOST, Step, StepKind};
use crate::proving::typed::Quantity;
use crate::sense::{Live, Reader, shown_ohm, shown_volt, wire_data};
use crate::units::Range;

/// One pin with its circuit, ready to be asked.
pub struct PinBench<'a> {
    /// The project.
    pub project: &'a Project,
    /// The pin's row.
    pub pin: &'a SensePin,
    /// The circuit.
    pub netlist: &'a Netlist,
    /// What of it matters.
    pub network: PinNetwork,
    /// Whether a diode, a relay or a load decides what is read.
    pub is_live: bool,
}

impl<'a> PinBench<'a> {
    /// `None` where the pin or its reference is a terminal that does not exist.
    pub fn new(project: &'a Project, netlist: &'a Netlist, pin: &'a SensePin) -> Option<Self> {
        let network = PinNetwork::new(project, netlist, pin)?;
        let is_live = Live::of_pin(project, netlist, pin).is_some();
        Some(Self { project, pin, netlist, network, is_live })
    }

    /// States to test: all of them, or, where there are too many, rest, every position alone and
    /// every state something is expected in.
    pub fn states(&self) -> (Vec<State>, usize) {
        let n_all = self.network.state_bound();
        if n_all <= STATES_MOST {
            let all = self.network.all_positions();
            let states: Vec<State> = all.iter().map(|at| self.network.state(at)).collect();
            let n = states.len();
            return (states, n);
        }
        let controls: Vec<_> = self.network.controls().collect();
        let full = |moved: &[(crate::model::ControlId, u8)]| {
            let mut state = State::rest();
            state.0.extend(moved.iter().copied());
            let state = settled(self.project, &state);
            self.network.state(&self.network.positions(self.project, &state))
        };
        let mut states: BTreeSet<State> = BTreeSet::from([full(&[])]);
        for id in &controls {
            let n = self.project.controls.get(*id).map_or(0, |control| control.positions.len());
            states.extend((0..n).map(|at| full(&[(*id, u8::try_from(at).unwrap_or(u8::MAX))])));
        }
        for expectation in self.pin.expectations.iter().take(STATES_MOST) {
            let moved: Vec<_> = expectation.when.iter().map(|(id, at)| (*id, *at)).collect();
            states.insert(full(&moved));
        }
        (states.into_iter().collect(), n_all)
    }

    /// True ohms at room temperature.
    pub fn bench_ohm(&self, state: &State) -> Range {
        self.ohm(state, (Corner::BenchLow, Corner::BenchHigh))
    }

    /// True ohms between two corners.
    pub fn ohm(&self, state: &State, (low, high): (Corner, Corner)) -> Range {
        let positions = self.network.positions(self.project, state);
        let at = |corner| self.network.ohm(corner, &positions);
        Range { low: at(low), nominal: at(Corner::Nominal), high: at(high) }
    }

    /// Fingerprint of what a state's reading hangs on.
    pub fn print(&self, kind: &str, state: &State) -> Fingerprint {
        let mut print = Fingerprint::new(kind);
        print.terminal(self.pin.terminal);
        print.terminal(self.pin.reference);
        print.network(self.netlist, &self.network);
        print.state(self.project, state);
        print
    }

    /// What to pull and where to put the leads for ohms.
    pub fn connect_ohms(&self) -> Vec<String> {
        let mut lines =
            vec!["supplies off, controller unplugged, all other plugs mated".to_owned()];
        lines.push(format!(
            "red lead to {}",
            place_words(self.project, self.pin.terminal, FaceSide::Face)
        ));
        lines.push(match self.project.parts.get(self.pin.reference.part).map(|part| &part.kind) {
            Some(PartKind::Supply(_)) => format!(
                "black lead to the feed of {}, its cable taken off the supply",
                self.project.terminal_name(self.pin.reference)
            ),
            _ => format!(
                "black lead to {}",
                place_words(self.project, self.pin.reference, FaceSide::Face)
            ),
        });
        lines
    }

    /// The same for volts.
    pub fn connect_volts(&self) -> Vec<String> {
        vec![
            "everything plugged in, machine secured, then switched on".into(),
            format!(
                "red lead to {}, slid in beside the wire from behind",
                place_words(self.project, self.pin.terminal, FaceSide::Wires)
            ),
            match self.pin.side {
                Side::Ground => format!(
                    "black lead to the controller's own ground, not to {}",
                    self.project.terminal_name(self.pin.reference)
                ),
                Side::Supply => "black lead to the controller's own ground".into(),
            },
        ]
    }

    /// Ohms of a state with the meter in; why not where they mean nothing.
    pub fn ohm_limits(&self, state: &State) -> Result<Limits, String> {
        if self.has_curved() {
            return Err("a diode or a load of constant current lies on the way: what a meter's ohms show there depends on the meter; prove this pin in volts".into());
        }
        Ok(self.shown(self.bench_ohm(state)))
    }

    fn has_curved(&self) -> bool {
        self.network.edges.iter().any(|edge| match self.netlist.graph[*edge].source {
            Source::Part(part) => self.netlist.is_curved(part),
            Source::Coil(_)
            | Source::Wire(_)
            | Source::Joint { .. }
            | Source::Loop(_)
            | Source::Bridge => false,
        })
    }

    /// A span of true ohms as the meter may show it.
    pub fn shown(&self, ohm: Range) -> Limits {
        let meter = &self.project.settings.meter;
        let most = meter.ohm_ranges.last().map_or(f64::INFINITY, |range| range.most);
        let (low, high) = shown_ohm(meter, (ohm.low, ohm.high));
        if ohm.nominal.is_infinite() || ohm.low > most {
            let least_ohm = if low.is_finite() { low } else { super::isolation::DRY_OHM.min(most) };
            return Limits::Open { least_ohm };
        }
        Limits::Figure { low, usual: ohm.nominal + meter.lead_ohm, high }
    }

    /// Volts of a state with the meter in, and what else to know; why not where they are not known.
    pub fn volt_limits(
        &self,
        reader: &Reader,
        id: SensePinId,
        state: &State,
    ) -> Result<(Limits, Option<String>), String> {
        let meter = &self.project.settings.meter;
        let divider = Divider::new(self.project, self.pin).ok_or_else(|| match self.pin.pull_ohm {
            None => "the pull resistor is not known: find it with one known resistor at the plug (ohmloom infer pull) and enter it".to_owned(),
            Some(_) => "the reference voltage is not known: measure it at the open plug and enter it".to_owned(),
        })?;
        let (volts, note) = if self.is_live || !self.network.mixed.is_empty() {
            let volts = reader.row(id, state).and_then(|row| row.volt).ok_or_else(|| {
                "the voltage of this state is not known: nothing holds the pin, or two supplies are joined".to_owned()
            })?;
            let note = "these limits hold temperature and converter error as well, because more than one supply decides the reading";
            (volts, Some(note.to_owned()))
        } else {
            (divider.volts(self.bench_ohm(state)), None)
        };
        let (low, high) = shown_volt(meter, (volts.low, volts.high));
        Ok((Limits::Figure { low, usual: volts.nominal, high }, note))
    }
}

/// Ohms and volts of every state of every pin.
pub fn add(project: &Project, plan: &mut Plan) {
    let netlist = Netlist::new(project, &wire_data(project));
    let reader = Reader::new(project);
    for (id, pin) in project.sense_pins.iter() {
        let Some(bench) = PinBench::new(project, &netlist, pin) else {
            plan.left_out.push(format!("{}: its terminal or its reference is gone", pin.name));
            continue;
        };
        let (states, n_all) = bench.states();
        if states.len() < n_all {
            plan.left_out.push(format!(
                "{}: {} of at most {n_all} states are tested: rest, every position alone, and what something is expected in",
                project.terminal_name(pin.terminal),
                states.len()
            ));
        }
        for state in &states {
            plan.steps.push(ohm_step(&bench, id, state));
            plan.steps.push(volt_step(&bench, &reader, id, state));
        }
    }
    if project.sense_pins.is_empty() {
        plan.left_out.push("ohms and volts by state: no sense pin is set".into());
    }
}

fn ohm_step(bench: &PinBench<'_>, id: SensePinId, state: &State) -> Step {
    let (limits, blocked) = match bench.ohm_limits(state) {
        Ok(limits) => (Some(limits), None),
        Err(why) => (None, Some(why)),
    };
    Step {
        key: format!("ohm:{id}:{}", state_key(bench.project, state)),
        kind: StepKind::Ohms,
        title: title(bench, state),
        connect: bench.connect_ohms(),
        state: Some(state.clone()),
        red: Some(bench.pin.terminal),
        black: Some(bench.pin.reference),
        quantity: Quantity::Ohm,
        limits,
        blocked,
        notes: Vec::new(),
        drawing: bench.print("ohm", state).finish(),
    }
}

fn volt_step(bench: &PinBench<'_>, reader: &Reader, id: SensePinId, state: &State) -> Step {
    let mut notes = Vec::new();
    let (limits, blocked) = match bench.volt_limits(reader, id, state) {
        Ok((limits, note)) => {
            notes.extend(note);
            (Some(limits), None)
        }
        Err(why) => (None, Some(why)),
    };
    if limits.is_some() && bench.project.settings.meter.volt_ranges.is_empty() {
        notes.push("the meter's error in volts is not known and not in these limits: enter its ranges in volts under the project's settings".into());
    }
    let mut print = bench.print("volt", state);
    print.measure(bench.pin);
    Step {
        key: format!("volt:{id}:{}", state_key(bench.project, state)),
        kind: StepKind::Volts,
        title: title(bench, state),
        connect: bench.connect_volts(),
        state: Some(state.clone()),
        red: Some(bench.pin.terminal),
        black: ground_lead(bench),
        quantity: Quantity::Volt,
        limits,
        blocked,
        notes,
        drawing: print.finish(),
    }
}

/// The controller's ground is in no drawing, so only a drawn ground point can be named.
fn ground_lead(bench: &PinBench<'_>) -> Option<TerminalRef> {
    let grounds = bench.project.parts.iter().filter(|(_, p)| matches!(p.kind, PartKind::Ground));
    grounds.map(|(part, _)| TerminalRef { part, terminal: 0 }).next()
}

/// `X1-11: Gate HOLD, Lever fore (UP)`.
pub fn title(bench: &PinBench<'_>, state: &State) -> String {
    let name = bench.project.terminal_name(bench.pin.terminal);
    format!("{name}: {}", state_words(bench.project, state))
}
