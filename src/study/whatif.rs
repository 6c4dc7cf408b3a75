//! What if it were cold, wet or worn: every state of a pin with temperature, supply, leak, offset
//! and contact resistance set by hand, all else at its usual value.

use crate::circuit::{Change, Source};
use crate::harness::COPPER_PER_K;
use crate::model::{PartKind, Project, SensePinId, State};
use crate::study::faults::{Base, Symptom};

/// What is set by hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WhatIf {
    /// Kelvin above the room.
    pub warmer_k: f64,
    /// Supplies as a share of their usual volts; a reference of its own does not follow.
    pub supply_share: f64,
    /// Siemens of a leak from the pin to its reference.
    pub leak_siemens: f64,
    /// Volts by which the network's ground is lifted.
    pub offset_volt: f64,
    /// Ohms more in every closed contact.
    pub wear_ohm: f64,
    /// Ohms more in every joint of a rotating contact.
    pub rotating_ohm: f64,
}

impl Default for WhatIf {
    /// Nothing out of the ordinary.
    fn default() -> Self {
        Self {
            warmer_k: 0.0,
            supply_share: 1.0,
            leak_siemens: 0.0,
            offset_volt: 0.0,
            wear_ohm: 0.0,
            rotating_ohm: 0.0,
        }
    }
}

/// All states of a pin as they are, and as they would be.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The states.
    pub states: Vec<State>,
    /// What the pin shows at usual values.
    pub sound: Vec<Symptom>,
    /// What it would show.
    pub readings: Vec<Symptom>,
}

/// Reads every state with something set by hand.
///
/// `None` where the pin reads nothing or has too many states. Cost: two reductions and two walks.
pub fn read(project: &Project, pin: SensePinId, what: &WhatIf) -> Option<Outcome> {
    let base = Base::new(project, pin)?;
    let mut changes = Vec::new();
    for (id, part) in project.parts.iter() {
        match &part.kind {
            PartKind::Resistor(resistor) => {
                let factor = 1.0 + resistor.tempco_ppm_per_k * 1e-6 * what.warmer_k;
                changes.push(Change::Scaled(Source::Part(id), factor));
            }
            PartKind::Contact(_) => changes.push(Change::Added(Source::Part(id), what.wear_ohm)),
            PartKind::Connector(connector) if connector.rotating => {
                let joint = |cavity| Source::Joint { part: id, cavity };
                let all = 1..=connector.layout.count();
                changes.extend(all.map(|cavity| Change::Added(joint(cavity), what.rotating_ohm)));
            }
            PartKind::Connector(_)
            | PartKind::Supply(_)
            | PartKind::Ground
            | PartKind::Fuse(_)
            | PartKind::Splice { .. }
            | PartKind::Controller(_)
            | PartKind::TestPoint
            | PartKind::Element(_) => {}
        }
    }
    let copper = (1.0 + COPPER_PER_K * what.warmer_k).max(0.0);
    changes.extend(project.wires.ids().map(|id| Change::Scaled(Source::Wire(id), copper)));
    changes.extend(project.sense_pins.ids().map(|id| Change::Scaled(Source::Loop(id), copper)));
    let sense = project.sense_pins.get(pin)?;
    if what.leak_siemens > 0.0
        && let (Some(a), Some(b)) =
            (base.netlist.node(sense.terminal), base.netlist.node(sense.reference))
    {
        changes.push(Change::Bridge(a, b, 1.0 / what.leak_siemens));
    }
    let mut netlist = base.netlist.changed(&changes);
    let mut work = project.clone();
    let ids: Vec<_> = work.parts.ids().collect();
    for id in ids {
        if let Some(PartKind::Supply(supply)) = work.parts.get_mut(id).map(|part| &mut part.kind) {
            supply.volt.nominal *= what.supply_share;
        }
    }
    for potential in &mut netlist.potentials {
        let part = project.parts.get(potential.part).map(|part| &part.kind);
        if let Some(PartKind::Supply(_)) = part {
            potential.volt.nominal *= what.supply_share;
        }
    }
    let readings = base.read_as(&work, &netlist, what.offset_volt)?;
    Some(Outcome { states: base.states, sound: base.sound, readings })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    fn outcome(name: &str, what: WhatIf) -> Outcome {
        let project = samples::open(name).unwrap();
        let pin = project.sense_pins.ids().next().unwrap();
        read(&project, pin, &what).unwrap()
    }

    #[test]
    fn nothing_set_changes_nothing() {
        for sample in samples::LIST {
            let same = outcome(sample.name, WhatIf::default());
            for (sound, reading) in same.sound.iter().zip(&same.readings) {
                assert_eq!(
                    (sound.ohm, sound.volt, sound.band),
                    (reading.ohm, reading.volt, reading.band)
                );
            }
        }
    }

    /// By hand for the sprayer's LEFT: 1500 Ω beside 22 kΩ and 0.6 Ω of wire, 1 kΩ to 5 V.
    #[test]
    fn each_slider_does_what_a_sum_by_hand_does() {
        let left = |what: WhatIf| {
            let all = outcome("sprayer", what);
            // LEFT alone is the fifth of eight states, the first control slowest.
            all.readings[4].volt.unwrap()
        };
        let volt = |ohm: f64, offset: f64| offset + (5.0 - offset) * ohm / (ohm + 1000.0);
        let beside = |a: f64, b: f64| a * b / (a + b);
        let near = |got: f64, want: f64| assert!((got - want).abs() < 1e-9, "{got}, {want}");
        near(left(WhatIf::default()), volt(0.6 + beside(1500.0, 22e3), 0.0));
        let worn = WhatIf { wear_ohm: 100.0, ..WhatIf::default() };
        near(left(worn), volt(0.6 + beside(1600.0, 22e3), 0.0));
        let leaky = WhatIf { leak_siemens: 1e-4, ..WhatIf::default() };
        near(left(leaky), volt(beside(0.6 + beside(1500.0, 22e3), 10e3), 0.0));
        let lifted = WhatIf { offset_volt: 0.3, ..WhatIf::default() };
        near(left(lifted), volt(0.6 + beside(1500.0, 22e3), 0.3));
        // 100 ppm per kelvin in every resistor, 0.393 % per kelvin in the copper.
        let hot = WhatIf { warmer_k: 50.0, ..WhatIf::default() };
        let ohm = 0.6 * (1.0 + 0.00393 * 50.0) + beside(1500.0 * 1.005, 22e3 * 1.005);
        near(left(hot), volt(ohm, 0.0));
    }

    #[test]
    fn a_rotating_contact_and_a_low_supply_are_felt_where_they_are() {
        let worn = outcome("forwarder", WhatIf { rotating_ohm: 500.0, ..WhatIf::default() });
        let differs = |n: usize| worn.readings[n].ohm != worn.sound[n].ohm;
        assert!((0..worn.states.len()).any(differs), "the rim's buttons go through it");
        // The railcar's reference is its controller's own and does not follow the battery.
        let low = outcome("railcar", WhatIf { supply_share: 0.8, ..WhatIf::default() });
        assert_eq!(low.readings[0].volt, low.sound[0].volt);
    }
}
