//! The sound circuit of one pin, and what the pin shows when something in it is changed.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::NodeIndex;
use petgraph::unionfind::UnionFind;

use crate::circuit::{Held, Netlist, NominalNetwork, PinNetwork, Source};
use crate::model::{BandRole, ControlId, PartKind, Project, SensePin, SensePinId, State};
use crate::sense::{Live, Measure, asked, decode, wire_data};
use crate::study::faults::{Cause, Fault};

/// More states than this are not put through every fault.
pub const MAX_STATES: usize = 4096;

/// What the machine makes of a reading that a fault has changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effect {
    /// Nobody notices: the same action, or none where none was asked for.
    Silent,
    /// The controller knows: a band for a broken wire or a short.
    Detected,
    /// What is asked for does not come.
    Dead,
    /// An action comes that nobody asked for.
    WrongAction,
}

impl Effect {
    /// The words for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Silent => "silent",
            Self::Detected => "detected",
            Self::Dead => "dead",
            Self::WrongAction => "wrong action",
        }
    }
}

/// What a pin shows in one state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Symptom {
    /// Ohms between pin and reference with supplies off; where elements decide, what the controller
    /// takes its volts for. Infinite where open.
    pub ohm: f64,
    /// Volts at the pin, as far as they are known.
    pub volt: Option<f64>,
    /// The reading in the pin's scale, as far as it is known.
    pub scaled: Option<f64>,
    /// Index of the band it lies in.
    pub band: Option<usize>,
    /// What the machine makes of it; `None` where the reading is not known.
    pub effect: Option<Effect>,
    /// More volts than the pin stands.
    pub is_over_limit: bool,
}

/// The sound circuit of one pin.
pub struct Base<'a> {
    /// The project.
    pub project: &'a Project,
    /// The pin's row.
    pub sense: &'a SensePin,
    /// The circuit.
    pub netlist: Netlist,
    /// What of it matters to the pin.
    pub network: PinNetwork,
    /// Controls of the states.
    pub controls: BTreeSet<ControlId>,
    /// All states of the pin.
    pub states: Vec<State>,
    /// What is asked for in each.
    pub asked: Vec<Vec<String>>,
    /// How many controls are off rest in each.
    pub n_off_rest: Vec<usize>,
    /// What the sound circuit shows.
    pub sound: Vec<Symptom>,
    /// Faulty circuits that have been read already: many faults leave the same one.
    seen: RefCell<Vec<(NominalNetwork, Vec<Symptom>)>>,
}

impl<'a> Base<'a> {
    /// `None` where the pin reads nothing or has too many states.
    pub fn new(project: &'a Project, pin: SensePinId) -> Option<Self> {
        let sense = project.sense_pins.get(pin)?;
        let netlist = Netlist::new(project, &wire_data(project));
        let network = PinNetwork::new(project, &netlist, sense)?;
        if network.state_bound() > MAX_STATES {
            return None;
        }
        let states: Vec<State> =
            network.all_positions().iter().map(|positions| network.state(positions)).collect();
        let asked = states.iter().map(|state| asked(project, sense, state)).collect();
        let n_off_rest = states.iter().map(|state| project.n_off_rest(state)).collect();
        let controls = network.controls().collect();
        let mut base = Self {
            project,
            sense,
            netlist,
            network,
            controls,
            states,
            asked,
            n_off_rest,
            sound: Vec::new(),
            seen: RefCell::default(),
        };
        base.sound = base.read_as(project, &base.netlist, 0.0)?;
        Some(base)
    }

    /// What the pin shows with a fault; `None` where pin or reference is gone.
    pub fn symptoms(&self, fault: &Fault) -> Option<Vec<Symptom>> {
        match &fault.cause {
            Cause::Circuit(changes) => {
                self.of_circuit(self.project, &self.netlist.changed(changes))
            }
            Cause::Drawing(project) => {
                self.of_circuit(project, &Netlist::new(project, &wire_data(project)))
            }
            Cause::Pin(pin) => {
                Some(self.held_to_sound(self.read(self.project, &self.netlist, pin, 0.0)?))
            }
            Cause::Offset(volt) => {
                let symptoms = self.read(self.project, &self.netlist, self.sense, *volt)?;
                Some(self.held_to_sound(symptoms))
            }
        }
    }

    /// What the pin shows in another circuit. Circuits that come to the same are read once.
    fn of_circuit(&self, project: &Project, netlist: &Netlist) -> Option<Vec<Symptom>> {
        if Live::of_pin(project, netlist, self.sense).is_some() {
            return Some(self.held_to_sound(self.read(project, netlist, self.sense, 0.0)?));
        }
        let network = NominalNetwork::new(project, netlist, self.sense, &self.controls)?;
        let known = |(other, _): &&(NominalNetwork, Vec<Symptom>)| *other == network;
        if let Some((_, symptoms)) = self.seen.borrow().iter().find(known) {
            return Some(symptoms.clone());
        }
        let symptoms = self.read_network(project, &network, self.sense, 0.0);
        let symptoms = self.held_to_sound(symptoms);
        self.seen.borrow_mut().push((network, symptoms.clone()));
        Some(symptoms)
    }

    /// The same with what the machine makes of it, held against the sound circuit.
    fn held_to_sound(&self, mut symptoms: Vec<Symptom>) -> Vec<Symptom> {
        for ((symptom, sound), asked) in symptoms.iter_mut().zip(&self.sound).zip(&self.asked) {
            // What the sound circuit does as well is no effect of the fault.
            let is_same = symptom.band == sound.band;
            symptom.effect = symptom.scaled.map(|_| match is_same {
                true => Effect::Silent,
                false => effect(self.sense, symptom.band, asked),
            });
            if symptom.scaled.is_none() && sound.scaled.is_some() {
                // The supply is shorted or nothing holds the pin: whatever was asked for stays away.
                symptom.effect = Some(Effect::Dead);
            }
        }
        symptoms
    }

    /// What the pin shows in another circuit over the same states, with what the machine makes of it.
    pub fn read_as(
        &self,
        project: &Project,
        netlist: &Netlist,
        offset_volt: f64,
    ) -> Option<Vec<Symptom>> {
        let mut symptoms = self.read(project, netlist, self.sense, offset_volt)?;
        for (symptom, asked) in symptoms.iter_mut().zip(&self.asked) {
            symptom.effect = symptom.scaled.map(|_| effect(self.sense, symptom.band, asked));
        }
        Some(symptoms)
    }

    /// Ohms in every state of another circuit, relays thrown as the supplies throw them; `None`
    /// where pin or reference is gone. Infinite where open, and where relays come to no rest.
    pub fn ohms(&self, project: &Project, netlist: &Netlist) -> Option<Vec<f64>> {
        if let Some(live) = Live::of_pin(project, netlist, self.sense) {
            let ohm = |state| live.ohm(self.sense, state).unwrap_or(f64::INFINITY);
            return Some(self.states.iter().map(ohm).collect());
        }
        Some(NominalNetwork::new(project, netlist, self.sense, &self.controls)?.ohms())
    }

    fn read(
        &self,
        project: &Project,
        netlist: &Netlist,
        sense: &SensePin,
        offset_volt: f64,
    ) -> Option<Vec<Symptom>> {
        if let Some(live) = Live::of_pin(project, netlist, sense) {
            let measure = Measure::new(project, sense);
            return Some(self.read_live(&live, &measure, sense, offset_volt));
        }
        let network = NominalNetwork::new(project, netlist, sense, &self.controls)?;
        Some(self.read_network(project, &network, sense, offset_volt))
    }

    fn read_network(
        &self,
        project: &Project,
        network: &NominalNetwork,
        sense: &SensePin,
        offset_volt: f64,
    ) -> Vec<Symptom> {
        let measure = Measure::new(project, sense);
        let mixed = network.volts(measure.pull());
        let is_ohm = measure.is_ohm();
        let read = |(idx, ohm): (usize, f64)| {
            let held = mixed.as_ref().map(|volts| volts[idx]);
            let volt = match held {
                None => measure.volt_with_offset(ohm, offset_volt),
                Some(Held::Volt(volt)) => measure.pull().map(|_| volt),
                Some(Held::Shorted | Held::Floating) => None,
            };
            let is_known = match held {
                None | Some(Held::Volt(_)) => true,
                Some(Held::Shorted | Held::Floating) => false,
            };
            let scaled = if is_ohm && !is_known { None } else { measure.scaled(ohm, volt) };
            let band = scaled.and_then(|value| decode(self.sense, value, &self.asked[idx]));
            let is_over_limit = volt.zip(self.sense.limit_volt).is_some_and(|(v, most)| v > most);
            Symptom { ohm, volt, scaled, band, effect: None, is_over_limit }
        };
        network.ohms().into_iter().enumerate().map(read).collect()
    }

    /// The same where diodes, relays or loads decide: every state settled by itself.
    fn read_live(
        &self,
        live: &Live<'_>,
        measure: &Measure,
        sense: &SensePin,
        offset_volt: f64,
    ) -> Vec<Symptom> {
        let read = |idx: usize| {
            let volt = live
                .nominal_volt(sense, &self.states[idx], offset_volt)
                .filter(|_| measure.pull().is_some());
            let ohm = volt.and_then(|volt| measure.apparent_ohm(volt)).unwrap_or(f64::INFINITY);
            let scaled = measure.scaled_of_volts(volt);
            let band = scaled.and_then(|value| decode(self.sense, value, &self.asked[idx]));
            let is_over_limit = volt.zip(self.sense.limit_volt).is_some_and(|(v, most)| v > most);
            Symptom { ohm, volt, scaled, band, effect: None, is_over_limit }
        };
        (0..self.states.len()).map(read).collect()
    }

    /// Parts, wires and joints that carry current of this pin in some state, each once.
    pub fn sources(&self) -> BTreeSet<Source> {
        self.network.edges.iter().map(|edge| self.netlist.graph[*edge].source).collect()
    }

    /// Nets of the pin's network, each by one node and its name, and the net of every node.
    ///
    /// Wires, joints and fuses belong to their net whatever their few milliohms.
    pub fn nets(&self) -> (BTreeMap<usize, NodeIndex>, Vec<usize>) {
        let graph = &self.netlist.graph;
        let mut joined = UnionFind::<usize>::new(graph.node_count());
        for edge in graph.edge_indices() {
            let weight = &graph[edge];
            if let (None, false, Some((a, b))) =
                (weight.switch, weight.is_resistor, graph.edge_endpoints(edge))
            {
                joined.union(a.index(), b.index());
            }
        }
        let net_of: Vec<usize> =
            graph.node_indices().map(|node| joined.find(node.index())).collect();
        let mut nets: BTreeMap<usize, NodeIndex> = BTreeMap::new();
        let ends = self.network.edges.iter().filter_map(|edge| graph.edge_endpoints(*edge));
        for node in ends.flat_map(<[NodeIndex; 2]>::from) {
            let best = nets.entry(net_of[node.index()]).or_insert(node);
            // A cavity is where somebody can put a probe.
            if self.is_cavity(node) && !self.is_cavity(*best) {
                *best = node;
            }
        }
        (nets, net_of)
    }

    fn is_cavity(&self, node: NodeIndex) -> bool {
        let part = self.project.parts.get(self.netlist.graph[node].at.part);
        part.is_some_and(|part| {
            matches!(part.kind, PartKind::Connector(_) | PartKind::Controller(_))
        })
    }

    /// Name of a part.
    pub fn part_name(&self, part: crate::model::PartId) -> &str {
        self.project.parts.get(part).map_or("?", |part| part.name.as_str())
    }
}

/// What a band does to the machine, by what was asked for.
fn effect(sense: &SensePin, band: Option<usize>, asked: &[String]) -> Effect {
    let band = band.map(|idx| &sense.bands[idx]);
    match band.map(|band| (band.role, asked.contains(&band.name))) {
        Some((_, true)) => Effect::Silent,
        Some((BandRole::Action, false)) => Effect::WrongAction,
        Some((BandRole::Open | BandRole::Short, false)) => Effect::Detected,
        // Nothing comes; that is no loss where nothing, or nothing for certain, was asked for.
        Some((BandRole::Idle, false)) | None => {
            if asked.len() == 1 {
                Effect::Dead
            } else {
                Effect::Silent
            }
        }
    }
}
