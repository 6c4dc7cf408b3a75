//! Readings where a diode, a relay or a load decides: the circuit with supplies on, settled.
//!
//! Rayleigh's law holds for resistances only, so the bounds here come from corners (everything of
//! one kind low or high at once) and seeded draws of extremes; a slightly worse case may exist.

use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::circuit::{
    self, Active, Closed, Corner, Figure, Law, Netlist, Powered, Settled, Tap, Unsettled, Values,
};
use crate::model::{PartId, Project, SensePin, Side, State};
use crate::random::Random;
use crate::sense::convert::Measure;
use crate::units::{Range, Tolerant, format_ohm, trim_zeros};

/// Seeded draws of extremes beside the sixteen corners.
pub const DRAWS: usize = 48;

/// Volts of one pin in one state, with what the active parts do.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PinVolt {
    /// Volts at the pin; `None` where nothing fixes them or the circuit comes to no rest.
    pub volt: Option<Range>,
    /// Relays that have pulled at usual values.
    pub pulled: Vec<PartId>,
    /// Diodes that conduct and loads that take all their current at usual values.
    pub conducting: Vec<PartId>,
    /// Why there are no volts, or why they are not the only ones.
    pub trouble: Option<String>,
}

/// A circuit with supplies on around some nodes, with the pulls of all pins.
pub struct Live<'a> {
    project: &'a Project,
    netlist: &'a Netlist,
    powered: Powered<'a>,
}

impl<'a> Live<'a> {
    /// The circuit the roots see; `None` where it is a network of resistances.
    pub fn around(project: &'a Project, netlist: &'a Netlist, roots: &[NodeIndex]) -> Option<Self> {
        if netlist.actives.is_empty() {
            return None;
        }
        let pins = project.sense_pins.iter().map(|(_, pin)| pin);
        let taps: Vec<Tap> = pins.filter_map(|pin| pull_of(netlist, pin)).collect();
        Self::with_taps(project, netlist, roots, &taps)
    }

    /// What one pin sees, measured as `sense` says, with the leak it may have; `None` where the pin
    /// does not exist or sees a network of resistances.
    pub fn of_pin(project: &'a Project, netlist: &'a Netlist, sense: &SensePin) -> Option<Self> {
        if netlist.actives.is_empty() {
            return None;
        }
        let node = netlist.node(sense.terminal)?;
        let others = project.sense_pins.iter().map(|(_, pin)| pin);
        let others = others.filter(|pin| pin.terminal != sense.terminal);
        let mut taps: Vec<Tap> =
            std::iter::once(sense).chain(others).filter_map(|pin| pull_of(netlist, pin)).collect();
        if let Some(ohm) = Measure::new(project, sense).leak_ohm() {
            let siemens = Range { low: 0.0, nominal: 0.0, high: 1.0 / ohm };
            taps.push(Tap { node, siemens, volt: Range::exact(0.0) });
        }
        Self::with_taps(project, netlist, &[node], &taps)
    }

    fn with_taps(
        project: &'a Project,
        netlist: &'a Netlist,
        roots: &[NodeIndex],
        taps: &[Tap],
    ) -> Option<Self> {
        let powered = Powered::new(netlist, roots, taps)?;
        Some(Self { project, netlist, powered })
    }

    /// The active parts.
    pub fn parts(&self) -> impl Iterator<Item = PartId> {
        self.powered.actives().map(|active| active.part)
    }

    /// Names of the active parts in a row: `D1`, `D1 and K1`, `D1, E1 and K1`.
    pub fn names(&self) -> String {
        self.listed(&self.parts().collect::<Vec<_>>())
    }

    /// Every way in which the circuit stands still at usual values; the state is settled already.
    ///
    /// # Errors
    /// Where there is none.
    pub fn settle(&self, state: &State) -> Result<Vec<Settled>, Unsettled> {
        self.powered.settle(&self.closed(state), &self.usual())
    }

    /// Usual volts at a pin, its reference lifted by so many; relays dropped where they may be.
    pub fn nominal_volt(&self, sense: &SensePin, state: &State, lifted_volt: f64) -> Option<f64> {
        let node = self.netlist.node(sense.terminal)?;
        let usual = self.usual();
        let values = match self.netlist.node(sense.reference) {
            Some(reference) if lifted_volt != 0.0 => {
                self.powered.lifted(&usual, reference, lifted_volt)
            }
            Some(_) | None => usual,
        };
        self.powered.settle(&self.closed(state), &values).ok()?.first()?.volt(node)
    }

    /// Volts at a pin with their bounds.
    pub fn pin_volt(&self, sense: &SensePin, measure: &Measure, state: &State) -> PinVolt {
        let Some(node) = self.netlist.node(sense.terminal) else { return PinVolt::default() };
        let closed = self.closed(state);
        let usual = self.usual();
        let settled = match self.powered.settle(&closed, &usual) {
            Ok(settled) => settled,
            Err(why) => {
                let trouble = Some(self.words(&why));
                return PinVolt { trouble, ..PinVolt::default() };
            }
        };
        let first = &settled[0];
        let mut trouble = (settled.len() > 1).then(|| self.ambiguous_words(&settled));
        let (pulled, conducting) = (first.pulled.clone(), first.conducting.clone());
        let Some(nominal) = first.volt(node) else {
            return PinVolt { volt: None, pulled, conducting, trouble };
        };
        let mut range = Range::exact(nominal);
        let mut widen = |all: &[Settled], values: &Values| {
            let tap = self.powered.tap_of(node);
            let reference_volt = match sense.side {
                Side::Ground => tap.map(|tap| values.tap_volt(tap)),
                Side::Supply => self.netlist.node(sense.reference).and_then(|at| all[0].volt(at)),
            };
            for volt in all.iter().filter_map(|settled| settled.volt(node)) {
                let (low, high) = measure.followed(volt, reference_volt.unwrap_or(0.0));
                range.low = range.low.min(low);
                range.high = range.high.max(high);
            }
        };
        widen(&settled, &usual);
        for values in self.extremes(sense, measure) {
            match self.powered.settle(&closed, &values) {
                Ok(all) => widen(&all, &values),
                Err(why) => {
                    trouble.get_or_insert_with(|| {
                        format!("at the edge of its tolerances {}", self.words(&why))
                    });
                }
            }
        }
        PinVolt { volt: Some(range), pulled, conducting, trouble }
    }

    /// What each active part does, then the volts at the pin, in lines to read.
    pub fn working(&self, sense: &SensePin, measure: &Measure, state: &State) -> Vec<String> {
        let ways = match self.settle(state) {
            Ok(ways) => ways,
            Err(why) => return vec![self.words(&why)],
        };
        let first = &ways[0];
        let mut lines: Vec<String> = self
            .powered
            .actives()
            .map(|active| {
                let name = self.name(active.part);
                let volt = first.volt(active.from).zip(first.volt(active.to));
                let across = volt.map_or(0.0, |(a, b)| a - b);
                let does = match active.law {
                    Law::Coil { .. } if first.pulled.contains(&active.part) => "has pulled",
                    Law::Coil { .. } => "has dropped",
                    Law::Diode { .. } if first.conducting.contains(&active.part) => "conducts",
                    Law::Diode { .. } => "blocks",
                    Law::Sink { .. } if first.conducting.contains(&active.part) => {
                        "takes all its current"
                    }
                    Law::Sink { .. } => "has too few volts to work",
                };
                format!("{name} {does} ({} V across it)", figures(across))
            })
            .collect();
        if ways.len() > 1 {
            lines.push(self.ambiguous_words(&ways));
        }
        let volt = self.netlist.node(sense.terminal).and_then(|node| first.volt(node));
        lines.push(match volt {
            None => "nothing holds the pin".to_owned(),
            Some(volt) => match measure.apparent_ohm(volt).filter(|ohm| ohm.is_finite()) {
                Some(ohm) => format!(
                    "node equations: {} V at the pin, which the controller takes for {}",
                    figures(volt),
                    format_ohm(ohm)
                ),
                None => format!("node equations: {} V at the pin", figures(volt)),
            },
        });
        lines
    }

    /// Ohms between a pin and its reference with every relay thrown as the supplies throw it;
    /// `None` where the circuit comes to no rest.
    pub fn ohm(&self, sense: &SensePin, state: &State) -> Option<f64> {
        let all: Vec<EdgeIndex> = self.netlist.graph.edge_indices().collect();
        let closed = self.conducting(&all, state)?;
        let (from, to) = (self.netlist.node(sense.terminal)?, self.netlist.node(sense.reference)?);
        Some(circuit::ohm_between(self.netlist, &closed, Corner::Nominal, from, to))
    }

    /// Those of the edges that conduct with supplies on; `None` where the circuit comes to no rest.
    pub(super) fn conducting(&self, edges: &[EdgeIndex], state: &State) -> Option<Vec<EdgeIndex>> {
        let ways = self.settle(state).ok()?;
        let first = ways.first()?;
        let conducts = |edge: &EdgeIndex| {
            let switch = self.netlist.graph[*edge].switch;
            let active = switch.and_then(|switch| {
                let all = &self.netlist.actives;
                Some((switch.throw, all.iter().find(|active| active.part == switch.contact)?))
            });
            match active {
                None => self.netlist.is_closed(self.project, state, *edge),
                Some((throw, Active { part, law: Law::Coil { .. }, .. })) => {
                    throw == u8::from(first.pulled.contains(part))
                }
                Some((_, Active { part, .. })) => first.conducting.contains(part),
            }
        };
        Some(edges.iter().copied().filter(conducts).collect())
    }

    /// Corners and draws.
    fn extremes(&self, sense: &SensePin, measure: &Measure) -> Vec<Values> {
        let reference = self.netlist.node(sense.reference);
        let offset = measure.offset_volt();
        let mut all: Vec<Values> = (0..16u8)
            .map(|corner| {
                self.powered.values(|figure, range| {
                    let bit = match figure {
                        Figure::Ohm => 0,
                        Figure::Source => 1,
                        Figure::Tap => 2,
                        Figure::Law => 3,
                    };
                    if corner >> bit & 1 == 1 { range.high } else { range.low }
                })
            })
            .collect();
        let mut random = Random::new(7);
        all.extend((0..DRAWS).map(|_| {
            self.powered.values(|_, range| if random.once_in(2) { range.low } else { range.high })
        }));
        if let Some(reference) = reference.filter(|_| offset > 0.0) {
            let lifted = |values: &Values, by: f64| self.powered.lifted(values, reference, by);
            all = all
                .iter()
                .flat_map(|values| [lifted(values, -offset), lifted(values, offset)])
                .collect();
        }
        all
    }

    /// The usual value of every figure.
    fn usual(&self) -> Values {
        self.powered.values(|_, range| range.nominal)
    }

    /// Which edges the controls close in a state.
    fn closed(&self, state: &State) -> Closed {
        self.powered.closed(|edge| self.netlist.is_closed(self.project, state, edge))
    }

    fn name(&self, part: PartId) -> String {
        self.project.parts.get(part).map_or_else(|| "?".to_owned(), |part| part.name.clone())
    }

    fn listed(&self, parts: &[PartId]) -> String {
        let names: Vec<String> = parts.iter().map(|part| self.name(*part)).collect();
        match names.as_slice() {
            [] => String::new(),
            [one] => one.clone(),
            [all @ .., last] => format!("{} and {last}", all.join(", ")),
        }
    }

    /// Why the circuit comes to no rest, in words.
    pub fn words(&self, why: &Unsettled) -> String {
        match why {
            Unsettled::Shorted => "two potentials are joined without resistance".to_owned(),
            Unsettled::Oscillates(relays) if relays.len() == 1 => format!(
                "{} oscillates: what it switches takes its own coil's voltage away and gives it back",
                self.listed(relays)
            ),
            Unsettled::Oscillates(relays) => format!(
                "{} oscillate: whatever they stand in, what they switch throws one of them back",
                self.listed(relays)
            ),
            Unsettled::TooMany => format!(
                "more than {} relays act on each other here, which is not reckoned",
                crate::circuit::RELAYS_MOST
            ),
            Unsettled::Restless(parts) => {
                format!("{} come to no rest, so there is no reading", self.listed(parts))
            }
        }
    }

    fn ambiguous_words(&self, settled: &[Settled]) -> String {
        let ways: Vec<String> = settled
            .iter()
            .map(|way| match way.pulled.as_slice() {
                [] => "all dropped".to_owned(),
                pulled => format!("{} pulled", self.listed(pulled)),
            })
            .collect();
        format!("ambiguous, what was before decides: {}", ways.join(", or "))
    }
}

/// Volts with three decimals at most.
fn figures(volt: f64) -> String {
    trim_zeros(&format!("{volt:.3}"))
}

/// The pull of a pin; `None` where it is not known.
fn pull_of(netlist: &Netlist, pin: &SensePin) -> Option<Tap> {
    let volt = match (pin.side, pin.reference_volt) {
        (Side::Supply, _) => Range::exact(0.0),
        (Side::Ground, Some(volt)) => volt.range(),
        (Side::Ground, None) => return None,
    };
    Some(Tap { node: netlist.node(pin.terminal)?, siemens: siemens(pin.pull_ohm?), volt })
}

fn siemens(pull: Tolerant) -> Range {
    let ohm = pull.range();
    Range { low: 1.0 / ohm.high, nominal: 1.0 / ohm.nominal, high: 1.0 / ohm.low }
}
