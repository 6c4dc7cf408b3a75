//! A built machine on a bench: every value drawn within its tolerance, one fault in it, a meter that
//! is off within its leaflet. Read by the plain node equations, which share no code with what the
//! suspects are reckoned by.

use ohmloom::circuit::solve::{self, Problem};
use ohmloom::circuit::{Change, Corner, Netlist};
use ohmloom::model::{PartKind, Project, SensePin, SensePinId, Shown, Side, State};
use ohmloom::proving::Quantity;
use ohmloom::random::Random;
use ohmloom::sense::{Live, wire_data};
use ohmloom::study::faults::Cause;
use ohmloom::units::{Range, Tolerant, round_figures};

/// One built machine.
pub struct Machine {
    project: Project,
    netlist: Netlist,
    pin: SensePin,
    lifted_volt: f64,
}

impl Machine {
    /// Builds the drawing with a fault in it; without one where there is none.
    pub fn build(project: &Project, id: SensePinId, cause: Option<&Cause>, r: &mut Random) -> Self {
        let drawing = match cause {
            Some(Cause::Drawing(wrong)) => wrong,
            _ => project,
        };
        let mut built = drawn(drawing, r);
        let mut pin = match cause {
            Some(Cause::Pin(pin)) => (**pin).clone(),
            _ => built.sense_pins.get(id).unwrap().clone(),
        };
        draw_pin(&mut pin, r);
        *built.sense_pins.get_mut(id).unwrap() = pin.clone();
        let netlist = Netlist::new(&built, &wire_data(&built));
        let netlist = match cause {
            Some(Cause::Circuit(changes)) => {
                let changes: Vec<Change> =
                    changes.iter().map(|change| with_tolerance(project, *change, r)).collect();
                netlist.changed(&changes)
            }
            _ => netlist,
        };
        let offset = pin.ground_offset_volt;
        let faulty = if let Some(Cause::Offset(volt)) = cause { *volt } else { 0.0 };
        let lifted_volt = match pin.side {
            Side::Ground => faulty + r.between(-offset, offset),
            Side::Supply => 0.0,
        };
        Self { project: built, netlist, pin, lifted_volt }
    }

    /// What the meter shows; `None` where nothing can be measured (a supply is shorted).
    pub fn measure(&self, state: &State, quantity: Quantity, r: &mut Random) -> Option<Shown> {
        let meter = &self.project.settings.meter;
        match quantity {
            Quantity::Volt => {
                let volt = self.volt(state)?;
                Some(Shown::Volt((volt * 1000.0).round() / 1000.0))
            }
            _ => {
                let ohm = self.ohm(state);
                if ohm.is_infinite() || ohm > 60e6 {
                    return Some(Shown::OverRange);
                }
                let error = meter.fraction * ohm + meter.offset_ohm;
                let shown = (ohm + r.between(-error, error)).max(0.0);
                Some(Shown::Ohm(round_figures(shown, 4)))
            }
        }
    }

    fn ohm(&self, state: &State) -> f64 {
        let edges = self.netlist.closed_edges(&self.project, state);
        let node = |at| self.netlist.node(at).unwrap();
        let (a, b) = (node(self.pin.terminal), node(self.pin.reference));
        solve::ohm(&self.netlist, &edges, Corner::Nominal, a, b)
    }

    fn volt(&self, state: &State) -> Option<f64> {
        if let Some(live) = Live::of_pin(&self.project, &self.netlist, &self.pin) {
            return live.nominal_volt(&self.pin, state, self.lifted_volt);
        }
        let edges = self.netlist.closed_edges(&self.project, state);
        let mut problem = Problem::of_edges(&self.netlist, &edges, Corner::Nominal);
        let held = self.netlist.potentials.iter().map(|p| {
            let reference = self.netlist.node(self.pin.reference);
            let lift = if reference == Some(p.node) { self.lifted_volt } else { 0.0 };
            (p.node.index(), p.volt.nominal + lift)
        });
        problem.held.extend(held);
        let at = |terminal| self.netlist.node(terminal).unwrap().index();
        let (pin, reference) = (at(self.pin.terminal), at(self.pin.reference));
        if !problem.held.iter().any(|(node, _)| *node == reference) {
            let volt = match self.pin.side {
                Side::Ground => self.lifted_volt,
                Side::Supply => self.pin.reference_volt?.nominal,
            };
            problem.held.push((reference, volt));
        }
        let far = match self.pin.side {
            Side::Ground => self.pin.reference_volt?.nominal,
            Side::Supply => 0.0,
        };
        let node = problem.add_held(far);
        problem.resistances.push((node, pin, self.pin.pull_ohm?.nominal));
        problem.solve().ok()?.volt(pin)
    }
}

/// Every value somewhere within what the drawing allows on the bench.
fn drawn(project: &Project, r: &mut Random) -> Project {
    let mut built = project.clone();
    let within = |range: Range, r: &mut Random| Range::exact(r.between(range.low, range.high));
    let ids: Vec<_> = built.parts.ids().collect();
    let (contact, joint) = (project.settings.contact_ohm, project.settings.joint_ohm);
    for id in ids {
        match &mut built.parts.get_mut(id).unwrap().kind {
            PartKind::Resistor(resistor) => {
                let tolerance = resistor.tolerance;
                resistor.ohm *= 1.0 + r.between(-tolerance, tolerance);
            }
            PartKind::Contact(row) => {
                row.closed_ohm = Some(within(row.closed_ohm.unwrap_or(contact), r));
            }
            PartKind::Connector(row) => {
                row.joint_ohm = Some(within(row.joint_ohm.unwrap_or(joint), r));
            }
            _ => {}
        }
    }
    built
}

fn draw_pin(pin: &mut SensePin, r: &mut Random) {
    let draw = |value: &mut Option<Tolerant>, r: &mut Random| {
        if let Some(value) = value {
            value.nominal *= 1.0 + r.between(-value.tolerance, value.tolerance);
        }
    };
    draw(&mut pin.pull_ohm, r);
    draw(&mut pin.reference_volt, r);
    pin.wire_loop_ohm =
        pin.wire_loop_ohm.map(|range| Range::exact(r.between(range.low, range.high)));
}

fn with_tolerance(project: &Project, change: Change, r: &mut Random) -> Change {
    match change {
        Change::Value(ohmloom::circuit::Source::Part(part), ohm) => {
            let resistor = project.parts.get(part).and_then(|part| part.kind.resistor().copied());
            let tolerance = resistor.map_or(0.0, |resistor| resistor.tolerance);
            let source = ohmloom::circuit::Source::Part(part);
            Change::Value(source, ohm * (1.0 + r.between(-tolerance, tolerance)))
        }
        other => other,
    }
}
