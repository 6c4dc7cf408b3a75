//! What eats the margin: how much of a reading's spread each cause makes, one state at a time.
//!
//! A part's share of the spread in ohms is its own spread times the slope of the whole resistance
//! over it, which by Cohn's theorem is the square of its share of the current. Volts follow along the
//! divider. Straight lines are laid at the usual values, so the shares are good where spreads are
//! small and only rank causes where they are large; the bounds themselves stay exact elsewhere.

use std::collections::BTreeMap;

use petgraph::graph::EdgeIndex;

use crate::circuit::{self, Source};
use crate::model::{PartId, Scale, SensePinId, State, Subject, WireId};
use crate::sense::convert::Measure;
use crate::sense::reader::Reader;

/// One cause of spread.
#[derive(Clone, Debug, PartialEq)]
pub struct Eater {
    /// What it is, in words.
    pub name: String,
    /// Where it is.
    pub subject: Subject,
    /// How much of the range from worst low to worst high it makes, in the pin's scale.
    pub spread: f64,
}

/// One part of the network: its resistance, its spread and the slope of the whole over it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// What it stands for.
    pub source: Source,
    /// Usual resistance in ohms.
    pub ohm: f64,
    /// From its least to its greatest, in ohms.
    pub spread_ohm: f64,
    /// dR/dRk.
    pub slope: f64,
}

/// What causes are put together under.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Group {
    Part(PartId),
    Wire(WireId),
    Loop,
}

impl Reader {
    /// Slopes of the resistance between pin and reference over every part that carries its current.
    ///
    /// The sum of `ohm` times `slope` is the resistance itself. Empty where the state is open.
    pub fn slopes(&self, pin: SensePinId, state: &State) -> Vec<Slope> {
        let Some(network) = self.networks.get(&pin) else { return Vec::new() };
        let closed = self.closed_live(pin, network, state);
        // A diode or a load has no one resistance whose slope could be taken.
        let is_curved = |edge: &EdgeIndex| {
            let switch = self.netlist.graph[*edge].switch;
            switch.is_some_and(|switch| self.netlist.is_curved(switch.contact))
        };
        if closed.iter().any(is_curved) {
            return Vec::new();
        }
        let currents =
            circuit::edge_currents(&self.netlist, &closed, network.pin, network.reference);
        currents
            .into_iter()
            .map(|(edge, amp)| {
                let weight = &self.netlist.graph[edge];
                Slope {
                    source: weight.source,
                    ohm: weight.ohm.worst.nominal,
                    spread_ohm: weight.ohm.worst.high - weight.ohm.worst.low,
                    slope: amp * amp,
                }
            })
            .filter(|slope| slope.slope > 1e-18)
            .collect()
    }

    /// What eats the margin of a pin in one state, the greatest eater first. Empty where the reading
    /// is open or not known in the pin's scale.
    pub fn eaters(&self, pin: SensePinId, state: &State) -> Vec<Eater> {
        let Some(sense) = self.project.sense_pins.get(pin) else { return Vec::new() };
        let measure = Measure::new(&self.project, sense);
        let slopes = self.slopes(pin, state);
        let ohm: f64 = slopes.iter().map(|slope| slope.ohm * slope.slope).sum();
        let Some(per_ohm) = measure.slope(ohm).filter(|_| !slopes.is_empty()) else {
            return Vec::new();
        };
        let mut groups: BTreeMap<Group, f64> = BTreeMap::new();
        for slope in &slopes {
            let group = match slope.source {
                Source::Part(part) | Source::Coil(part) | Source::Joint { part, .. } => {
                    Group::Part(part)
                }
                Source::Wire(wire) => Group::Wire(wire),
                Source::Loop(_) | Source::Bridge => Group::Loop,
            };
            *groups.entry(group).or_default() += slope.spread_ohm * slope.slope * per_ohm;
        }
        let mut eaters: Vec<Eater> = groups
            .into_iter()
            .map(|(group, spread)| {
                let (name, subject) = self.group_words(group, pin);
                Eater { name, subject, spread }
            })
            .collect();
        eaters.extend(measure.causes(ohm).into_iter().map(|(name, spread)| Eater {
            name: name.into(),
            subject: Subject::SensePin(pin),
            spread,
        }));
        eaters.retain(|eater| eater.spread > 0.0 && eater.spread.is_finite());
        eaters.sort_by(|a, b| b.spread.total_cmp(&a.spread).then(a.name.cmp(&b.name)));
        eaters
    }

    fn group_words(&self, group: Group, pin: SensePinId) -> (String, Subject) {
        match group {
            Group::Part(id) => {
                let name = self.project.parts.get(id).map_or("?", |part| part.name.as_str());
                (name.to_owned(), Subject::Part(id))
            }
            Group::Wire(id) => {
                let name = self.project.wires.get(id).map_or("?", |wire| wire.name.as_str());
                (format!("wire {name}"), Subject::Wire(id))
            }
            Group::Loop => ("the wire loop".into(), Subject::SensePin(pin)),
        }
    }
}

impl Measure {
    /// How much the number in the pin's scale changes with one ohm more, at so many ohms.
    fn slope(&self, ohm: f64) -> Option<f64> {
        let step = (ohm * 1e-6).max(1e-6);
        let at = |ohm: f64| self.unrounded(ohm, self.volt_with_offset(ohm, 0.0));
        Some(
            ((at(ohm + step)? - at((ohm - step).max(0.0))?) / (ohm + step - (ohm - step).max(0.0)))
                .abs(),
        )
    }

    /// What the controller itself adds, each cause alone, in the pin's scale.
    fn causes(&self, ohm: f64) -> Vec<(&'static str, f64)> {
        let range = |measure: &Self| {
            let bench = (ohm, ohm);
            let worst = crate::units::Range::exact(ohm);
            let network = crate::sense::NetworkOhm { worst, bench };
            match self.scale() {
                Scale::Ohm => Some(measure.reading(&network).ohm),
                Scale::Volt => measure.reading(&network).volt,
                Scale::Count | Scale::Percent => measure.reading(&network).volt.map(|volt| {
                    let scaled = |volt| self.unrounded(ohm, Some(volt)).unwrap_or(0.0);
                    crate::units::Range {
                        low: scaled(volt.low),
                        nominal: scaled(volt.nominal),
                        high: scaled(volt.high),
                    }
                }),
            }
        };
        let bare = self.without_causes();
        let with = |name: &'static str, measure: &Self| {
            range(measure).map(|range| (name, range.high - range.low))
        };
        [
            with("pull", &bare.with_pull_of(self)),
            with("reference", &bare.with_reference_of(self)),
            with("converter", &bare.with_converter_of(self)),
            with("leak", &bare.with_leak_of(self)),
            with("ground offset", &bare.with_offset_of(self)),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}
