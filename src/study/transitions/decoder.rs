//! What the pin shows for any setting of the contacts, also one that no position of a control gives.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::EdgeIndex;

use crate::circuit::solve::Problem;
use crate::circuit::{Corner, Switch, ohm_between};
use crate::model::{BandRole, PartId};
use crate::sense::{Measure, decode};
use crate::study::faults::Base;
use crate::study::transitions::course::Span;
use crate::study::transitions::{Passing, Seen};

/// More contacts than this that bounce together are taken as all closed or all open.
const MAX_BOUNCING: usize = 6;

/// Reads settings of contacts, each once.
pub struct Decoder<'a> {
    base: &'a Base<'a>,
    measure: Measure,
    switched: Vec<(EdgeIndex, Switch)>,
    fixed: Vec<EdgeIndex>,
    known: BTreeMap<Vec<EdgeIndex>, (f64, Option<f64>)>,
}

/// What may be read in a move without being wrong.
pub struct Wanted {
    /// Actions either end asks for.
    pub ends: Vec<String>,
    /// Actions a state in between asks for.
    pub way: Vec<String>,
    /// Bands the two ends are read as.
    pub bands: [Option<usize>; 2],
    /// Whether both ends ask for one and the same thing.
    pub is_same: bool,
}

impl<'a> Decoder<'a> {
    /// Gathers the switched edges of the pin's network.
    pub fn new(base: &'a Base<'a>) -> Self {
        let switch = |edge: &EdgeIndex| base.netlist.graph[*edge].switch;
        let edges = &base.network.edges;
        Self {
            base,
            measure: Measure::new(base.project, base.sense),
            switched: edges.iter().filter_map(|edge| Some((*edge, switch(edge)?))).collect(),
            fixed: edges.iter().copied().filter(|edge| switch(edge).is_none()).collect(),
            known: BTreeMap::new(),
        }
    }

    /// Contacts of the pin's network.
    pub fn contacts(&self) -> Vec<PartId> {
        let all: BTreeSet<PartId> =
            self.switched.iter().map(|(_, switch)| switch.contact).collect();
        all.into_iter().collect()
    }

    /// Everything the pin may show in a stretch, each reading once.
    pub fn seen(&mut self, span: &Span, wanted: &Wanted) -> Vec<Seen> {
        let bouncing: Vec<Switch> = span.bouncing.iter().copied().collect();
        let settings: Vec<Vec<Switch>> = if bouncing.len() > MAX_BOUNCING {
            vec![bouncing, Vec::new()]
        } else {
            let chosen = |mask: usize| {
                let bounced = bouncing.iter().enumerate();
                bounced.filter(|(n, _)| mask >> n & 1 == 1).map(|(_, switch)| *switch).collect()
            };
            (0..1 << bouncing.len()).rev().map(chosen).collect()
        };
        let mut seen: Vec<Seen> = Vec::new();
        for mut closed in settings {
            closed.extend(&span.closed);
            let shown = self.read(&closed.into_iter().collect(), wanted);
            if !seen.contains(&shown) {
                seen.push(shown);
            }
        }
        seen
    }

    fn read(&mut self, closed: &BTreeSet<Switch>, wanted: &Wanted) -> Seen {
        let conducts = |(_, switch): &&(EdgeIndex, Switch)| closed.contains(switch);
        let edges: Vec<EdgeIndex> =
            self.switched.iter().filter(conducts).map(|(edge, _)| *edge).collect();
        let (ohm, volt) = match self.known.get(&edges) {
            Some(known) => *known,
            None => {
                let all: Vec<EdgeIndex> = self.fixed.iter().chain(&edges).copied().collect();
                let known = self.solve(&all);
                self.known.insert(edges, known);
                known
            }
        };
        let is_mixed = !self.base.network.mixed.is_empty();
        // On a network with several potentials ohms with supplies off are not what the pin sees.
        let scaled = match is_mixed && volt.is_none() {
            true => None,
            false => self.measure.scaled(ohm, volt),
        };
        let asked: Vec<String> = wanted.ends.iter().chain(&wanted.way).cloned().collect();
        let band = scaled.and_then(|value| decode(self.base.sense, value, &asked));
        Seen { ohm, volt, scaled, band, passing: wanted.passing(self.base, band) }
    }

    /// Ohms and volts over these edges.
    fn solve(&self, edges: &[EdgeIndex]) -> (f64, Option<f64>) {
        let (netlist, network) = (&self.base.netlist, &self.base.network);
        let ohm = ohm_between(netlist, edges, Corner::Nominal, network.pin, network.reference);
        if network.mixed.is_empty() {
            return (ohm, self.measure.volt_with_offset(ohm, 0.0));
        }
        let Some(pull) = self.measure.pull() else { return (ohm, None) };
        let mut problem = Problem::of_edges(netlist, edges, Corner::Nominal);
        let held = netlist.potentials.iter().map(|p| (p.node.index(), p.volt.nominal));
        problem.held.extend(held);
        let top = problem.add_held(pull.volt);
        problem.resistances.push((network.pin.index(), top, pull.ohm));
        let pin = network.pin.index();
        // Where two potentials are joined there are no volts to be read.
        let volt = problem.solve_around(&[pin]).ok().and_then(|solution| solution.volt(pin));
        (ohm, volt)
    }

    /// Throws that conduct in a state.
    #[cfg(test)]
    pub fn standing(&self, state: &crate::model::State) -> BTreeSet<Switch> {
        let throw = |contact| {
            crate::study::transitions::course::conducting(self.base.project, contact, state)
        };
        self.contacts().into_iter().filter_map(throw).collect()
    }

    /// What a state shows, by the decoder's own way.
    #[cfg(test)]
    pub fn of_state(&mut self, state: &crate::model::State, wanted: &Wanted) -> Seen {
        let closed = self.standing(state);
        self.read(&closed, wanted)
    }
}

impl Wanted {
    /// What the machine makes of a band in passing.
    fn passing(&self, base: &Base<'_>, band: Option<usize>) -> Passing {
        if self.bands.contains(&band) {
            return Passing::Silent;
        }
        let nothing = if self.is_same { Passing::DropsOut } else { Passing::Silent };
        let Some(band) = band.map(|idx| &base.sense.bands[idx]) else { return nothing };
        match band.role {
            _ if self.ends.contains(&band.name) => Passing::Silent,
            BandRole::Action if self.way.contains(&band.name) => Passing::OnTheWay,
            BandRole::Action => Passing::WrongAction,
            BandRole::Open | BandRole::Short => Passing::Detected,
            BandRole::Idle => nothing,
        }
    }
}
