//! The circuit with supplies on, where diodes, relays and loads decide for themselves what they do.
//!
//! What an active part does is guessed, the node equations are solved, and the guess is checked
//! against the voltages that come out. Diodes and loads are turned over one at a time, the first
//! that is wrong before the others: with positive resistances that ends at the only answer (least
//! index pivoting of a linear complementarity problem, Murty 1974, from memory). Relays keep their
//! state between drop-out and pull-in, so every setting of them is tried: one that holds is the
//! answer, none means that a relay throws itself back, several that the past decides.

use std::collections::BTreeMap;
use std::sync::Arc;

use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::circuit::active::{Active, CONDUCTS, Law};
use crate::circuit::netlist::Netlist;
use crate::circuit::solve::{Problem, Solution};
use crate::model::{KNEE_VOLT, PartId};
use crate::units::Range;

/// More relays than this on one network are not tried in every setting.
pub const RELAYS_MOST: usize = 6;

/// Leak that decides which way a floating net behind blocking diodes drifts; it never enters a reading.
const TRACE_OHM: f64 = 1e12;

/// A conductance from a node to a potential of its own: a pull, a leak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tap {
    /// The node.
    pub node: NodeIndex,
    /// Siemens; zero where nothing conducts.
    pub siemens: Range,
    /// Where it goes, in volts against ground.
    pub volt: Range,
}

/// What a figure of the circuit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// Resistance of an edge.
    Ohm,
    /// Volts of a potential or of the far end of a tap.
    Source,
    /// Conductance of a tap.
    Tap,
    /// Drop of a diode, current of a load.
    Law,
}

/// One value for every figure of the circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Values {
    ohms: Vec<f64>,
    held: Vec<f64>,
    taps: Vec<(f64, f64)>,
    laws: Vec<f64>,
}

impl Values {
    /// Volts at the far end of a tap.
    pub fn tap_volt(&self, tap: usize) -> f64 {
        self.taps[tap].1
    }
}

/// Which edges of a [`Powered`] circuit the controls close, those of active parts left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Closed(Vec<bool>);

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Unsettled {
    /// Two potentials are joined without resistance.
    Shorted,
    /// No setting of these relays holds: what they switch throws them back.
    Oscillates(Vec<PartId>),
    /// More than [`RELAYS_MOST`] relays act on each other here.
    TooMany,
    /// Diodes and loads come to no rest.
    Restless(Vec<PartId>),
}

/// One way in which the circuit stands still.
#[derive(Clone, Debug)]
pub struct Settled {
    /// Relays that have pulled.
    pub pulled: Vec<PartId>,
    /// Diodes that conduct and loads that take all their current.
    pub conducting: Vec<PartId>,
    solution: Solution,
    local: Arc<BTreeMap<NodeIndex, usize>>,
}

impl Settled {
    /// Volts of a node against ground; `None` where nothing fixes it.
    pub fn volt(&self, node: NodeIndex) -> Option<f64> {
        self.solution.volt(*self.local.get(&node)?)
    }
}

/// The part of a circuit that some nodes see.
#[derive(Clone, Debug)]
pub struct Powered<'a> {
    netlist: &'a Netlist,
    taps: Vec<Tap>,
    /// Active parts, by index into the netlist's.
    actives: Vec<usize>,
    local: Arc<BTreeMap<NodeIndex, usize>>,
    /// Edges inside, with their local nodes.
    edges: Vec<(EdgeIndex, usize, usize)>,
    /// Potentials inside: index into the netlist's, local node.
    held: Vec<(usize, usize)>,
    /// By active part, its switched edges that the netlist still has: throw, place in `edges`.
    switched: Vec<Vec<(u8, usize)>>,
    is_active_edge: Vec<bool>,
}

impl<'a> Powered<'a> {
    /// Cuts out what the roots see; `None` where nothing there is more than a resistance.
    pub fn new(netlist: &'a Netlist, roots: &[NodeIndex], taps: &[Tap]) -> Option<Self> {
        let (actives, seen) = netlist.actives_around(roots);
        if actives.is_empty() {
            return None;
        }
        let nodes = seen.iter().enumerate().map(|(n, node)| (*node, n));
        let local: Arc<BTreeMap<NodeIndex, usize>> = Arc::new(nodes.collect());
        let edges: Vec<(EdgeIndex, usize, usize)> = netlist
            .graph
            .edge_indices()
            .filter_map(|edge| {
                let (a, b) = netlist.graph.edge_endpoints(edge)?;
                Some((edge, *local.get(&a)?, *local.get(&b)?))
            })
            .collect();
        let held = netlist
            .potentials
            .iter()
            .enumerate()
            .filter_map(|(idx, p)| Some((idx, *local.get(&p.node)?)))
            .collect();
        let switched: Vec<Vec<(u8, usize)>> = actives
            .iter()
            .map(|active| {
                let part = netlist.actives[*active].part;
                let own = edges.iter().enumerate().filter_map(|(at, (edge, ..))| {
                    let switch = netlist.graph[*edge].switch?;
                    (switch.contact == part).then_some((switch.throw, at))
                });
                own.collect()
            })
            .collect();
        let mut is_active_edge = vec![false; edges.len()];
        for (_, at) in switched.iter().flatten() {
            is_active_edge[*at] = true;
        }
        let taps = taps.iter().filter(|tap| local.contains_key(&tap.node)).copied().collect();
        Some(Self { netlist, taps, actives, local, edges, held, switched, is_active_edge })
    }

    /// The active parts.
    pub fn actives(&self) -> impl Iterator<Item = &Active> {
        self.actives.iter().map(|idx| &self.netlist.actives[*idx])
    }

    /// Where the tap of a node stands among the taps; the first of several.
    pub fn tap_of(&self, node: NodeIndex) -> Option<usize> {
        self.taps.iter().position(|tap| tap.node == node)
    }

    /// Chooses a value for every figure.
    pub fn values(&self, mut choose: impl FnMut(Figure, &Range) -> f64) -> Values {
        let graph = &self.netlist.graph;
        Values {
            ohms: self
                .edges
                .iter()
                .map(|(edge, ..)| choose(Figure::Ohm, &graph[*edge].ohm.worst))
                .collect(),
            held: self
                .held
                .iter()
                .map(|(idx, _)| choose(Figure::Source, &self.netlist.potentials[*idx].volt))
                .collect(),
            taps: self
                .taps
                .iter()
                .map(|tap| (choose(Figure::Tap, &tap.siemens), choose(Figure::Source, &tap.volt)))
                .collect(),
            laws: self
                .actives
                .iter()
                .map(|idx| match &self.netlist.actives[*idx].law {
                    Law::Diode { drop_volt } => choose(Figure::Law, drop_volt),
                    Law::Sink { amp } => choose(Figure::Law, amp),
                    Law::Coil { .. } => 0.0,
                })
                .collect(),
        }
    }

    /// The same values with the potential of one node lifted by so many volts.
    pub fn lifted(&self, values: &Values, node: NodeIndex, by_volt: f64) -> Values {
        let mut values = values.clone();
        for ((idx, _), volt) in self.held.iter().zip(&mut values.held) {
            if self.netlist.potentials[*idx].node == node {
                *volt += by_volt;
            }
        }
        values
    }

    /// Asks of every edge whether the controls close it.
    pub fn closed(&self, is_closed: impl Fn(EdgeIndex) -> bool) -> Closed {
        let edges = self.edges.iter().zip(&self.is_active_edge);
        Closed(edges.map(|((edge, ..), is_active)| !is_active && is_closed(*edge)).collect())
    }

    /// Every way in which the circuit stands still, relays dropped as far as possible first.
    ///
    /// # Errors
    /// Where there is none.
    pub fn settle(&self, closed: &Closed, values: &Values) -> Result<Vec<Settled>, Unsettled> {
        let coils: Vec<usize> =
            (0..self.actives.len()).filter(|n| matches!(self.law(*n), Law::Coil { .. })).collect();
        if coils.len() > RELAYS_MOST {
            return Err(Unsettled::TooMany);
        }
        let base = self.base(closed, values);
        let mut found = Vec::new();
        let mut trouble = None;
        let mut thrown: Vec<PartId> = Vec::new();
        for setting in 0..1usize << coils.len() {
            let mut regions = vec![0i8; self.actives.len()];
            for (bit, coil) in coils.iter().enumerate() {
                regions[*coil] = i8::from(setting >> bit & 1 == 1);
            }
            match self.rest(&base, values, regions) {
                Err(error) => trouble = Some(error),
                Ok((regions, solution)) => {
                    let wrong: Vec<usize> = coils
                        .iter()
                        .copied()
                        .filter(|n| self.wanted(*n, &regions, values, &solution).is_some())
                        .collect();
                    if wrong.is_empty() {
                        found.push(self.settled(&regions, solution));
                    }
                    thrown.extend(wrong.into_iter().map(|n| self.part(n)));
                }
            }
        }
        if found.is_empty() {
            thrown.sort_unstable();
            thrown.dedup();
            return Err(trouble.unwrap_or(Unsettled::Oscillates(thrown)));
        }
        Ok(found)
    }

    fn law(&self, n: usize) -> &Law {
        &self.netlist.actives[self.actives[n]].law
    }

    fn part(&self, n: usize) -> PartId {
        self.netlist.actives[self.actives[n]].part
    }

    /// What does not depend on the active parts.
    fn base(&self, closed: &Closed, values: &Values) -> Problem {
        let mut problem = Problem { node_count: self.local.len(), ..Problem::default() };
        let edges = self.edges.iter().zip(&values.ohms).zip(&closed.0);
        let conducting = edges.filter(|(_, is_closed)| **is_closed);
        problem.resistances = conducting.map(|(((_, a, b), ohm), _)| (*a, *b, *ohm)).collect();
        problem.held = self.held.iter().zip(&values.held).map(|((_, n), v)| (*n, *v)).collect();
        for (tap, (siemens, volt)) in self.taps.iter().zip(&values.taps) {
            if *siemens > 0.0 {
                let far = problem.add_held(*volt);
                problem.resistances.push((far, self.local[&tap.node], 1.0 / siemens));
            }
        }
        problem
    }

    /// Turns diodes and loads over until all agree with their voltages, relays held as they are.
    fn rest(
        &self,
        base: &Problem,
        values: &Values,
        mut regions: Vec<i8>,
    ) -> Result<(Vec<i8>, Solution), Unsettled> {
        let turns: Vec<usize> =
            (0..self.actives.len()).filter(|n| !matches!(self.law(*n), Law::Coil { .. })).collect();
        let most = 8 << turns.len().min(12);
        for _ in 0..most {
            let problem = self.problem(base, values, &regions);
            let solution = problem.solve().map_err(|_| Unsettled::Shorted)?;
            // What floats behind blocking diodes is held by their last trace of leak.
            let traced = match turns.iter().any(|n| self.is_adrift(*n, &solution)) {
                true => {
                    Some(self.traced(problem, &regions).solve().map_err(|_| Unsettled::Shorted)?)
                }
                false => None,
            };
            let seen = traced.as_ref().unwrap_or(&solution);
            let first =
                turns.iter().find_map(|n| Some((*n, self.wanted(*n, &regions, values, seen)?)));
            match first {
                None => return Ok((regions, solution)),
                Some((n, region)) => regions[n] = region,
            }
        }
        Err(Unsettled::Restless(turns.into_iter().map(|n| self.part(n)).collect()))
    }

    /// Whether nothing fixes one end of an active part.
    fn is_adrift(&self, n: usize, solution: &Solution) -> bool {
        let active = &self.netlist.actives[self.actives[n]];
        [active.from, active.to]
            .iter()
            .any(|node| self.local.get(node).is_some_and(|n| solution.volt(*n).is_none()))
    }

    /// The same with a trace of leak over every blocking diode.
    fn traced(&self, mut problem: Problem, regions: &[i8]) -> Problem {
        for (n, region) in regions.iter().enumerate() {
            let active = &self.netlist.actives[self.actives[n]];
            let ends = self.local.get(&active.from).zip(self.local.get(&active.to));
            if let (Law::Diode { .. }, 0, Some((from, to))) = (active.law, *region, ends) {
                problem.resistances.push((*from, *to, TRACE_OHM));
            }
        }
        problem
    }

    /// The linear circuit that stands for a guess.
    fn problem(&self, base: &Problem, values: &Values, regions: &[i8]) -> Problem {
        let mut problem = base.clone();
        for (n, region) in regions.iter().enumerate() {
            let active = &self.netlist.actives[self.actives[n]];
            let (from, to) = (self.local.get(&active.from), self.local.get(&active.to));
            for (throw, at) in &self.switched[n] {
                let (_, a, b) = self.edges[*at];
                let ohm = values.ohms[*at];
                let conducts = match active.law {
                    Law::Coil { .. } => *throw == u8::from(*region == 1),
                    Law::Diode { .. } => *region == 1 && *throw == CONDUCTS,
                    Law::Sink { .. } => *region == 0 && *throw == CONDUCTS,
                };
                if conducts {
                    problem.resistances.push((a, b, ohm));
                }
                let (Some(from), Some(to)) = (from, to) else { continue };
                // A source in series with the resistance is a current beside it.
                let amp = match active.law {
                    Law::Diode { .. } if conducts => -values.laws[n] / ohm,
                    Law::Sink { .. } if *throw == CONDUCTS => f64::from(*region) * values.laws[n],
                    Law::Diode { .. } | Law::Sink { .. } | Law::Coil { .. } => 0.0,
                };
                if amp != 0.0 {
                    problem.fed.extend([(*from, -amp), (*to, amp)]);
                }
            }
        }
        problem
    }

    /// The region an active part should be in by its voltage; `None` where it is in it.
    fn wanted(&self, n: usize, regions: &[i8], values: &Values, solution: &Solution) -> Option<i8> {
        let active = &self.netlist.actives[self.actives[n]];
        let at = |node: NodeIndex| self.local.get(&node).and_then(|n| solution.volt(*n));
        let across = at(active.from).zip(at(active.to)).map_or(0.0, |(a, b)| a - b);
        // Rounding must not turn a part over that stands on its very edge.
        let slack = 1e-9 * (1.0 + across.abs());
        let region = match active.law {
            Law::Diode { .. } if self.switched[n].is_empty() => 0,
            Law::Diode { .. } => {
                let over = across - values.laws[n];
                match regions[n] {
                    1 => i8::from(over > -slack),
                    _ => i8::from(over > slack),
                }
            }
            Law::Sink { .. } if self.switched[n].is_empty() => 0,
            Law::Sink { .. } => {
                let knee = if regions[n] == 0 { KNEE_VOLT + slack } else { KNEE_VOLT - slack };
                i8::from(across > knee) - i8::from(across < -knee)
            }
            Law::Coil { pull_in_volt, drop_out_volt } => match regions[n] {
                1 => i8::from(across.abs() > drop_out_volt),
                _ => i8::from(across.abs() >= pull_in_volt),
            },
        };
        (region != regions[n]).then_some(region)
    }

    fn settled(&self, regions: &[i8], solution: Solution) -> Settled {
        let of = |is_coil: bool| {
            (0..regions.len())
                .filter(|n| matches!(self.law(*n), Law::Coil { .. }) == is_coil && regions[*n] != 0)
                .map(|n| self.part(n))
                .collect()
        };
        Settled {
            pulled: of(true),
            conducting: of(false),
            solution,
            local: Arc::clone(&self.local),
        }
    }
}
