//! The prepared circuit of one project revision, ready to be asked for readings.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::circuit::solve::{Problem, Trouble};
use crate::circuit::{self, Corner, MAX_LOOKED_AT, MAX_STATES, Netlist, PinNetwork, Source};
use crate::model::{
    Diagnostic, PartId, PartKind, Project, SensePin, SensePinId, Side, State, TerminalRef, WireId,
};
use crate::sense::convert::{Measure, NetworkOhm};
use crate::sense::meter::shown_ohm;
use crate::sense::powered::Live;
use crate::sense::row::{PinTable, StateRow};
use crate::sense::verdict;
use crate::sense::wires::wire_data;
use crate::units::Range;

/// What a meter shows between two terminals.
#[derive(Clone, Debug, PartialEq)]
pub enum MeterReading {
    /// Ohms, or volts.
    Value(f64),
    /// No path between the leads.
    Open,
    /// A lead hangs on something whose potential nothing fixes; the name of the net.
    Floating(String),
    /// Something makes the reading meaningless (two supplies joined, shorted supply): the sentence.
    Impossible(String),
}

/// Everything that can be asked of one revision of a project. Built once per edit.
pub struct Reader {
    pub(super) project: Project,
    pub(super) netlist: Netlist,
    pub(super) networks: BTreeMap<SensePinId, PinNetwork>,
    findings: Vec<Diagnostic>,
    /// Whether any setting of the contacts could short a supply or join two.
    pub(super) can_short: bool,
}

/// Judges a stretch of states.
pub type Judge<'a> = &'a (dyn Fn(std::ops::Range<usize>) -> Vec<StateRow> + Sync);

/// Shares the states of a table out; `None` where it gave up.
pub type Run<'a> = &'a dyn Fn(usize, Judge<'_>) -> Option<Vec<StateRow>>;

impl Reader {
    /// Prepares the circuit: netlist, wire resistances, reduction per sense pin.
    pub fn new(project: &Project) -> Self {
        Self::of_circuit(project, Netlist::new(project, &wire_data(project)))
    }

    /// The same with the circuit as given, such as one that a fault has changed.
    pub fn of_circuit(project: &Project, netlist: Netlist) -> Self {
        let networks = project
            .sense_pins
            .iter()
            .filter_map(|(id, pin)| Some((id, PinNetwork::new(project, &netlist, pin)?)))
            .collect();
        let everything: Vec<EdgeIndex> = netlist.graph.edge_indices().collect();
        let can_short = !circuit::supply_findings(project, &netlist, &everything).is_empty();
        let mut findings = netlist.findings.clone();
        findings.extend(circuit::bridged_findings(project, &netlist));
        findings.extend(circuit::loop_findings(&netlist));
        let mut reader = Self { project: project.clone(), netlist, networks, findings, can_short };
        reader.findings.extend(reader.supply_findings_of_all_states());
        reader
    }

    /// What is wrong with the circuit as a whole: supplies shorted or joined in some state,
    /// resistors with both ends on one net, loops without resistance.
    pub fn findings(&self) -> &[Diagnostic] {
        &self.findings
    }

    /// Degenerate circuits that stand in this very state.
    pub fn findings_in(&self, state: &State) -> Vec<Diagnostic> {
        if !self.can_short {
            return Vec::new();
        }
        let closed = self.closed(state);
        circuit::supply_findings(&self.project, &self.netlist, &closed)
    }

    /// One state of one pin, live.
    pub fn row(&self, pin: SensePinId, state: &State) -> Option<StateRow> {
        let network = self.networks.get(&pin)?;
        let sense = self.project.sense_pins.get(pin)?;
        let measure = Measure::new(&self.project, sense);
        let settled = circuit::settled(&self.project, state);
        let positions = network.positions(&self.project, &settled);
        let ohm = |corner| network.ohm(corner, &positions);
        let ohms = NetworkOhm {
            worst: Range {
                low: ohm(Corner::Low),
                nominal: ohm(Corner::Nominal),
                high: ohm(Corner::High),
            },
            bench: (ohm(Corner::BenchLow), ohm(Corner::BenchHigh)),
        };
        let live = self.live_circuit(sense);
        let case = Case { sense, network, measure: &measure, live: live.as_ref() };
        Some(self.judged(&case, &ohms, (&settled, &positions)))
    }

    /// Every state of one pin.
    pub fn table(&self, pin: SensePinId) -> Option<PinTable> {
        self.table_by(pin, &|count, judge| Some(judge(0..count)))
    }

    /// Every state of one pin; `run` is given the number of states and what judges a stretch of
    /// them, so that it can share the work out or give up with `None`.
    pub fn table_by(&self, pin: SensePinId, run: Run<'_>) -> Option<PinTable> {
        let network = self.networks.get(&pin)?;
        let sense = self.project.sense_pins.get(pin)?;
        let measure = Measure::new(&self.project, sense);
        let mut table = PinTable {
            pin,
            controls: network.controls().collect(),
            rows: Vec::new(),
            findings: self.pin_findings(pin, sense, network, &measure),
        };
        if network.state_bound() > MAX_STATES {
            return Some(table);
        }
        let all: Vec<Vec<f64>> =
            Corner::ALL.iter().map(|corner| network.all_ohms(*corner)).collect();
        let ohm = |corner: Corner, idx: usize| all[corner as usize][idx];
        let live = self.live_circuit(sense);
        let case = Case { sense, network, measure: &measure, live: live.as_ref() };
        let positions = network.all_positions();
        let judge = |idx: usize| {
            let positions = &positions[idx];
            let ohms = NetworkOhm {
                worst: Range {
                    low: ohm(Corner::Low, idx),
                    nominal: ohm(Corner::Nominal, idx),
                    high: ohm(Corner::High, idx),
                },
                bench: (ohm(Corner::BenchLow, idx), ohm(Corner::BenchHigh, idx)),
            };
            self.judged(&case, &ohms, (&network.state(positions), positions))
        };
        table.rows = run(positions.len(), &|stretch| stretch.map(judge).collect())?;
        if case.live.is_some() && measure.is_known() {
            table.findings.extend(self.unread_finding(pin, &table.rows));
        }
        Some(table)
    }

    /// Nominal ohms of every state of one pin, in the order of [`Reader::table`]; infinite where open.
    pub fn nominal_ohms(&self, pin: SensePinId) -> Option<Vec<f64>> {
        let network = self.networks.get(&pin)?;
        (network.state_bound() <= MAX_STATES).then(|| network.all_ohms(Corner::Nominal))
    }

    /// The same in blocks, none of which is kept: for pins with more states than a table can hold, up
    /// to [`MAX_LOOKED_AT`]. Stops when `visit` says not to go on; `None` where there is no such pin
    /// or it has still more states.
    pub fn nominal_ohms_in_blocks(
        &self,
        pin: SensePinId,
        visit: &mut dyn FnMut(&[f64]) -> bool,
    ) -> Option<()> {
        let network = self.networks.get(&pin)?;
        (network.state_bound() <= MAX_LOOKED_AT)
            .then(|| network.ohms_in_blocks(Corner::Nominal, visit))
    }

    /// Ohms between two terminals: supplies off, controller unplugged.
    pub fn meter_ohm(&self, state: &State, red: TerminalRef, black: TerminalRef) -> MeterReading {
        let (Some(from), Some(to)) = (self.netlist.node(red), self.netlist.node(black)) else {
            return MeterReading::Open;
        };
        let closed = self.closed(state);
        let ohm = circuit::ohm_between(&self.netlist, &closed, Corner::Nominal, from, to);
        if ohm.is_finite() { MeterReading::Value(ohm) } else { MeterReading::Open }
    }

    /// Volts of red against black: supplies on, controller plugged in.
    pub fn meter_volt(&self, state: &State, red: TerminalRef, black: TerminalRef) -> MeterReading {
        let (Some(from), Some(to)) = (self.netlist.node(red), self.netlist.node(black)) else {
            return MeterReading::Open;
        };
        if let Some(finding) = self.findings_in(state).into_iter().next() {
            return MeterReading::Impossible(finding.what);
        }
        if let Some(leads) = Live::around(&self.project, &self.netlist, &[from, to]) {
            return self.live_meter_volt(&leads, state, (red, from), (black, to));
        }
        let problem = self.powered(state, Corner::Nominal, |volt| volt.nominal);
        match problem.volt_between(from.index(), to.index()) {
            Ok(Ok(volt)) => MeterReading::Value(volt),
            Ok(Err(node)) => {
                let at = if node == from.index() { red } else { black };
                MeterReading::Floating(self.project.terminal_name(at))
            }
            Err(trouble) => MeterReading::Impossible(self.trouble_text(trouble)),
        }
    }

    fn live_meter_volt(
        &self,
        leads: &Live<'_>,
        state: &State,
        (red, from): (TerminalRef, NodeIndex),
        (black, to): (TerminalRef, NodeIndex),
    ) -> MeterReading {
        let settled = circuit::settled(&self.project, state);
        match leads.settle(&settled) {
            Err(why) => MeterReading::Impossible(leads.words(&why)),
            Ok(ways) => match (ways[0].volt(from), ways[0].volt(to)) {
                (Some(from), Some(to)) => MeterReading::Value(from - to),
                (None, _) => MeterReading::Floating(self.project.terminal_name(red)),
                (Some(_), None) => MeterReading::Floating(self.project.terminal_name(black)),
            },
        }
    }

    /// The series and parallel steps in words, last line the result. Where a diode, a relay or a
    /// load decides, what each does and the volts that come of it.
    pub fn working(&self, pin: SensePinId, state: &State) -> Vec<String> {
        let Some(network) = self.networks.get(&pin) else { return Vec::new() };
        if let Some((sense, live)) = self
            .project
            .sense_pins
            .get(pin)
            .and_then(|sense| Some((sense, self.live_circuit(sense)?)))
        {
            let settled = circuit::settled(&self.project, state);
            return live.working(sense, &Measure::new(&self.project, sense), &settled);
        }
        let closed = self.closed_of(network, state);
        circuit::working(&self.project, &self.netlist, &closed, network.pin, network.reference)
    }

    /// Parts and wires on the live path from the pin to its reference.
    pub fn live(&self, pin: SensePinId, state: &State) -> (BTreeSet<PartId>, BTreeSet<WireId>) {
        let (mut parts, mut wires) = (BTreeSet::new(), BTreeSet::new());
        let Some(network) = self.networks.get(&pin) else { return (parts, wires) };
        let closed = self.closed_live(pin, network, state);
        for edge in circuit::live_edges(&self.netlist, &closed, network.pin, network.reference) {
            match self.netlist.graph[edge].source {
                Source::Part(part) | Source::Coil(part) | Source::Joint { part, .. } => {
                    parts.insert(part);
                }
                Source::Wire(id) => {
                    wires.insert(id);
                    // All ground points are one node, so only the wire knows which of them it is.
                    let ends = self.project.wires.get(id).map(|wire| [wire.from, wire.to]);
                    let ground = ends.into_iter().flatten().map(|end| end.terminal.part);
                    parts.extend(ground.filter(|part| self.is_ground(*part)));
                }
                Source::Loop(_) | Source::Bridge => {}
            }
            // Parts that only hold wires together are lit by the wires that end on them.
            if let Some((a, b)) = self.netlist.graph.edge_endpoints(edge) {
                let touched = [a, b].map(|node| self.netlist.graph[node].at.part);
                parts.extend(touched.into_iter().filter(|part| self.is_holder(*part)));
            }
        }
        (parts, wires)
    }

    /// Whether current goes through this part without meeting a resistance of its own.
    fn is_holder(&self, part: PartId) -> bool {
        self.project.parts.get(part).is_some_and(|part| match part.kind {
            PartKind::Supply(_)
            | PartKind::Splice { .. }
            | PartKind::Connector(_)
            | PartKind::Controller(_)
            | PartKind::TestPoint
            | PartKind::Element(_) => true,
            PartKind::Ground | PartKind::Fuse(_) | PartKind::Resistor(_) | PartKind::Contact(_) => {
                false
            }
        })
    }

    fn is_ground(&self, part: PartId) -> bool {
        self.project.parts.get(part).is_some_and(|part| matches!(part.kind, PartKind::Ground))
    }

    /// The circuit with supplies on around a pin that active parts decide; `None` elsewhere.
    fn live_circuit(&self, sense: &SensePin) -> Option<Live<'_>> {
        Live::of_pin(&self.project, &self.netlist, sense)
    }

    fn closed(&self, state: &State) -> Vec<EdgeIndex> {
        self.netlist.closed_edges(&self.project, &circuit::settled(&self.project, state))
    }

    pub(super) fn closed_of(&self, network: &PinNetwork, state: &State) -> Vec<EdgeIndex> {
        let state = circuit::settled(&self.project, state);
        let is_closed = |edge: &EdgeIndex| self.netlist.is_closed(&self.project, &state, *edge);
        network.edges.iter().copied().filter(is_closed).collect()
    }

    /// Edges of a pin's network that conduct with supplies on.
    pub(super) fn closed_live(
        &self,
        pin: SensePinId,
        network: &PinNetwork,
        state: &State,
    ) -> Vec<EdgeIndex> {
        let sense = self.project.sense_pins.get(pin);
        let live = sense.and_then(|sense| self.live_circuit(sense));
        let settled = circuit::settled(&self.project, state);
        match live.and_then(|live| live.conducting(&network.edges, &settled)) {
            Some(edges) => edges,
            None => self.closed_of(network, state),
        }
    }

    /// Relays that have pulled in a state, with supplies on.
    pub fn pulled(&self, state: &State) -> BTreeSet<PartId> {
        let roots = self.netlist.relay_nodes();
        let settled = circuit::settled(&self.project, state);
        let Some(live) = Live::around(&self.project, &self.netlist, &roots) else {
            return BTreeSet::new();
        };
        match live.settle(&settled) {
            Ok(ways) => ways[0].pulled.iter().copied().collect(),
            Err(_) => BTreeSet::new(),
        }
    }

    fn judged(
        &self,
        case: &Case<'_>,
        ohms: &NetworkOhm,
        (state, positions): (&State, &[u8]),
    ) -> StateRow {
        let Case { sense, network, measure, live } = *case;
        let settled = live.map(|live| live.pin_volt(sense, measure, state));
        let reading = match &settled {
            Some(settled) => {
                measure.reading_of_volts(ohms.bench, settled.volt.filter(|_| measure.is_known()))
            }
            None if network.mixed.is_empty() => measure.reading(ohms),
            None => measure.reading_with_volts(ohms, self.solved_volt(sense, state)),
        };
        let asked = verdict::asked(&self.project, sense, state);
        let mut row = StateRow {
            state: network.state(positions),
            ohm: reading.ohm,
            bench_ohm: shown_ohm(&self.project.settings.meter, reading.bench_ohm),
            volt: reading.volt,
            count: reading.count,
            scaled: reading.scaled,
            band: None,
            asked,
            margin: None,
            verdict: None,
            why: String::new(),
        };
        match reading.scaled {
            Some(scaled) => {
                let outcome = verdict::judge(sense, measure.scale_ends(), &scaled, &row.asked);
                (row.band, row.margin, row.verdict, row.why) =
                    (outcome.band, outcome.margin, outcome.verdict, outcome.why);
            }
            None if live.is_some() && !measure.is_known() => {
                row.why = "the reading hangs on the voltage here, so the pull resistor and where it goes must be known".into();
            }
            None => row.why = missing_text(measure),
        }
        if let Some(trouble) = settled.and_then(|settled| settled.trouble) {
            row.why = if row.why.is_empty() || row.scaled.is_none() {
                trouble
            } else {
                format!("{trouble}; {}", row.why)
            };
        }
        row
    }

    /// Volts at a pin whose network touches more than one potential, by the node equations:
    /// nominal, and the extremes over all resistances low or high and all sources low or high.
    fn solved_volt(&self, sense: &SensePin, state: &State) -> Option<Range> {
        sense.pull_ohm?;
        let node = self.netlist.node(sense.terminal)?.index();
        let solve = |corner, pick: fn(&Range) -> f64| {
            let solution = self.powered(state, corner, pick).solve_around(&[node]).ok()?;
            solution.volt(node)
        };
        let nominal = solve(Corner::Nominal, |volt| volt.nominal)?;
        let corners = [
            solve(Corner::Low, |volt| volt.low),
            solve(Corner::Low, |volt| volt.high),
            solve(Corner::High, |volt| volt.low),
            solve(Corner::High, |volt| volt.high),
        ];
        let known = corners.into_iter().flatten();
        Some(known.fold(Range::exact(nominal), |range, volt| Range {
            low: range.low.min(volt),
            nominal,
            high: range.high.max(volt),
        }))
    }

    /// The circuit with supplies on and the controller plugged in.
    fn powered(&self, state: &State, corner: Corner, pick: fn(&Range) -> f64) -> Problem {
        let mut problem = Problem::of_edges(&self.netlist, &self.closed(state), corner);
        problem
            .held
            .extend(self.netlist.potentials.iter().map(|p| (p.node.index(), pick(&p.volt))));
        for (_, pin) in self.project.sense_pins.iter() {
            let (Some(pull), Some(node)) = (pin.pull_ohm, self.netlist.node(pin.terminal)) else {
                continue;
            };
            let source = match (pin.side, pin.reference_volt) {
                (Side::Supply, _) => 0.0,
                (Side::Ground, Some(volt)) => pick(&volt.range()),
                (Side::Ground, None) => continue,
            };
            let held = problem.add_held(source);
            problem.resistances.push((held, node.index(), pull.nominal));
        }
        problem
    }

    fn trouble_text(&self, trouble: Trouble) -> String {
        let Trouble::Conflict(a, b) = trouble;
        let name = |node: usize| {
            let node = petgraph::graph::NodeIndex::new(node);
            self.netlist.graph.node_weight(node).map_or_else(
                || "the controller's pull".to_owned(),
                |weight| self.project.terminal_name(weight.at),
            )
        };
        format!(
            "{} and {} stand at different potentials and are joined without resistance",
            name(a),
            name(b)
        )
    }
}

/// What does not change from state to state of one pin.
struct Case<'a> {
    sense: &'a SensePin,
    network: &'a PinNetwork,
    measure: &'a Measure,
    live: Option<&'a Live<'a>>,
}

fn missing_text(measure: &Measure) -> String {
    match measure.missing() {
        Some(missing) => {
            format!("{missing} is not known, so the reading cannot be compared with the bands")
        }
        None => "the pin's potential is fixed by nothing in this state".into(),
    }
}
