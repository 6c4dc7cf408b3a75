//! The sound circuit of one pin, and what the pin shows when something in it is changed.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::NodeIndex;
use petgraph::unionfind::UnionFind;

use crate::circuit::{Held, Netlist, NominalNetwork, PinNetwork, Source, WireData};
use crate::model::{BandRole, ControlId, PartKind, Project, SensePin, SensePinId, State};
use crate::sense::{Measure, asked, wire_data};
use crate::study::faults::{Cause, Fault, FaultKind};

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
    /// Ohms between pin and reference with supplies off; infinite where open.
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
    /// How many controls are moved in each.
    pub n_moved: Vec<usize>,
    /// What is asked for in each, by index.
    ask_of: Vec<usize>,
    asks: Vec<Ask>,
    wires: WireData,
    /// What the sound circuit shows.
    pub sound: Vec<Symptom>,
    /// Faulty circuits that have been read already: many faults leave the same one.
    seen: RefCell<Vec<(NominalNetwork, Vec<Symptom>)>>,
}

/// What is asked for in some states.
#[derive(Clone, Debug, PartialEq)]
struct Ask {
    names: Vec<String>,
    /// For each band whether it is asked for.
    bands: Vec<bool>,
}

impl<'a> Base<'a> {
    /// `None` where the pin reads nothing or has too many states.
    pub fn new(project: &'a Project, pin: SensePinId) -> Option<Self> {
        let sense = project.sense_pins.get(pin)?;
        let wires = wire_data(project);
        let netlist = Netlist::new(project, &wires);
        let network = PinNetwork::new(project, &netlist, sense)?;
        if network.state_bound() > MAX_STATES {
            return None;
        }
        let states: Vec<State> =
            network.all_positions().iter().map(|positions| network.state(positions)).collect();
        let n_moved = states.iter().map(|state| n_moved(project, state)).collect();
        let mut asks: Vec<Ask> = Vec::new();
        let ask_of = states
            .iter()
            .map(|state| {
                let names = asked(project, sense, state);
                asks.iter().position(|ask| ask.names == names).unwrap_or_else(|| {
                    let bands = sense.bands.iter().map(|band| names.contains(&band.name)).collect();
                    asks.push(Ask { names, bands });
                    asks.len() - 1
                })
            })
            .collect();
        let controls = network.controls().collect();
        let mut base = Self {
            project,
            sense,
            netlist,
            network,
            controls,
            states,
            n_moved,
            ask_of,
            asks,
            wires,
            sound: Vec::new(),
            seen: RefCell::default(),
        };
        base.sound = base.read_as(project, &base.netlist, 0.0)?;
        Some(base)
    }

    /// What the pin shows with a fault; `None` where pin or reference is gone.
    pub fn symptoms(&self, fault: &Fault) -> Option<Vec<Symptom>> {
        let sense = self.sense;
        match &fault.cause {
            Cause::Circuit(changes) => {
                self.of_circuit(self.project, &self.netlist.changed(changes))
            }
            Cause::Drawing(project) => {
                // A wire in another cavity of the same connector is no longer for it.
                let is_as_long = [FaultKind::Mirror, FaultKind::WiresSwapped].contains(&fault.kind);
                let netlist = if is_as_long {
                    Netlist::new(project, &self.wires)
                } else {
                    Netlist::new(project, &wire_data(project))
                };
                self.of_circuit(project, &netlist)
            }
            Cause::Pin(pin) => {
                let network =
                    NominalNetwork::new(self.project, &self.netlist, pin, &self.controls)?;
                Some(self.held_to_sound(self.read(self.project, &network, pin, 0.0)))
            }
            Cause::Offset(volt) => {
                let network =
                    NominalNetwork::new(self.project, &self.netlist, sense, &self.controls)?;
                Some(self.held_to_sound(self.read(self.project, &network, sense, *volt)))
            }
        }
    }

    /// What the pin shows in another circuit. Circuits that come to the same are read once.
    fn of_circuit(&self, project: &Project, netlist: &Netlist) -> Option<Vec<Symptom>> {
        let network = NominalNetwork::new(project, netlist, self.sense, &self.controls)?;
        let known = |(other, _): &&(NominalNetwork, Vec<Symptom>)| *other == network;
        if let Some((_, symptoms)) = self.seen.borrow().iter().find(known) {
            return Some(symptoms.clone());
        }
        let symptoms = self.held_to_sound(self.read(project, &network, self.sense, 0.0));
        self.seen.borrow_mut().push((network, symptoms.clone()));
        Some(symptoms)
    }

    fn held_to_sound(&self, mut symptoms: Vec<Symptom>) -> Vec<Symptom> {
        for ((symptom, sound), ask) in symptoms.iter_mut().zip(&self.sound).zip(&self.ask_of) {
            // What the sound circuit does as well is no effect of the fault.
            let is_same = symptom.band == sound.band;
            symptom.effect = symptom.scaled.map(|_| match is_same {
                true => Effect::Silent,
                false => effect(self.sense, symptom.band, &self.asks[*ask]),
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
        let network = NominalNetwork::new(project, netlist, self.sense, &self.controls)?;
        let mut symptoms = self.read(project, &network, self.sense, offset_volt);
        for (symptom, ask) in symptoms.iter_mut().zip(&self.ask_of) {
            symptom.effect =
                symptom.scaled.map(|_| effect(self.sense, symptom.band, &self.asks[*ask]));
        }
        Some(symptoms)
    }

    fn read(
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
            let band = scaled.and_then(|value| self.band(value, &self.asks[self.ask_of[idx]]));
            let is_over_limit = volt.zip(self.sense.limit_volt).is_some_and(|(v, most)| v > most);
            Symptom { ohm, volt, scaled, band, effect: None, is_over_limit }
        };
        network.ohms().into_iter().enumerate().map(read).collect()
    }

    /// The band a number lies in; where bands overlap, one that was asked for: `sense::decode` with
    /// the names looked up beforehand.
    fn band(&self, value: f64, ask: &Ask) -> Option<usize> {
        let bands = self.sense.bands.iter().enumerate();
        let mut inside = bands
            .filter(|(_, band)| band.low <= value && band.high.is_none_or(|high| value <= high))
            .map(|(idx, _)| idx);
        let first = inside.next()?;
        let is_asked = |idx: &usize| ask.bands[*idx];
        if is_asked(&first) { Some(first) } else { inside.find(is_asked).or(Some(first)) }
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
fn effect(sense: &SensePin, band: Option<usize>, ask: &Ask) -> Effect {
    match band.map(|idx| (sense.bands[idx].role, ask.bands[idx])) {
        Some((_, true)) => Effect::Silent,
        Some((BandRole::Action, false)) => Effect::WrongAction,
        Some((BandRole::Open | BandRole::Short, false)) => Effect::Detected,
        // Nothing comes; that is no loss where nothing, or nothing for certain, was asked for.
        Some((BandRole::Idle, false)) | None => {
            if ask.names.len() == 1 {
                Effect::Dead
            } else {
                Effect::Silent
            }
        }
    }
}

fn n_moved(project: &Project, state: &State) -> usize {
    let is_moved = |(id, position): &(&ControlId, &u8)| {
        project.controls.get(**id).is_some_and(|control| control.rest != **position)
    };
    state.0.iter().filter(is_moved).count()
}
