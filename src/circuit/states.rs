//! Every position of every control, walked as a tree over a reduced network.
//!
//! Choosing a position joins ports or adds conductances; a port whose contacts are all decided is
//! eliminated at once. The network shrinks on the way down, so the last levels, where nearly all
//! the work is, handle two or three ports: the cost per state does not grow with their number.

use crate::circuit::reduce::Reduced;
use crate::model::{ControlId, Need};

/// One control of the walk.
#[derive(Clone, Debug)]
pub struct Level {
    /// The control.
    pub control: ControlId,
    /// How many positions it has.
    pub positions: u8,
    /// The one it rests in.
    pub rest: u8,
    /// What it needs before it can leave rest, with the level of the needed control.
    pub need: Option<(usize, Need)>,
    /// Contacts whose last control this is.
    pub contacts: Vec<Decided>,
}

/// A contact whose throw is known once a level is decided.
#[derive(Clone, Debug)]
pub struct Decided {
    /// Levels that name this contact, in the order of the controls, with the throw by position.
    pub throws: Vec<(usize, Vec<Option<u8>>)>,
    /// The switched edges of the contact: throw that closes it, and index into the switched edges.
    pub edges: Vec<(u8, usize)>,
}

impl Decided {
    fn throw(&self, positions: &[u8]) -> u8 {
        self.throws
            .iter()
            .find_map(|(level, by_position)| {
                by_position.get(usize::from(positions[*level])).copied().flatten()
            })
            .unwrap_or(0)
    }
}

/// A reduced network with its switches, at one corner.
#[derive(Clone, Debug)]
pub struct Ports {
    network: Reduced,
    /// By level, the switched edges that each of its contacts may close.
    closing: Vec<Vec<Closing>>,
    /// By level, where the ports still needed below it stand among those needed from it on.
    carried: Vec<Vec<u16>>,
    /// Ports some contact needs, in the order in which the first level knows them.
    needed: Vec<usize>,
}

/// One contact at one level, its edges in terms of the ports that level knows.
#[derive(Clone, Debug)]
struct Closing {
    /// Throw, both ends, siemens when closed; infinite where it joins them.
    edges: Vec<(u8, u16, u16, f64)>,
}

/// The network on one level of the walk.
#[derive(Clone, Debug, Default)]
struct Bench {
    /// Ports left.
    count: usize,
    /// Length of a row of `siemens`.
    stride: usize,
    siemens: Vec<f64>,
    /// Where each port that is still needed stands now.
    place: Vec<u16>,
    /// Whether pin and reference have been joined.
    is_shorted: bool,
}

impl Ports {
    /// Prepares a walk. `switched` gives port, port and ohms of every switched edge that
    /// [`Decided::edges`] counts; port 0 of the network is the pin.
    pub fn new(network: Reduced, switched: &[(usize, usize, f64)], levels: &[Level]) -> Self {
        let mut known: Vec<Vec<usize>> = vec![Vec::new(); levels.len() + 1];
        for (level, here) in levels.iter().enumerate().rev() {
            let mut ports = known[level + 1].clone();
            for (_, idx) in here.contacts.iter().flat_map(|contact| &contact.edges) {
                let (a, b, _) = switched[*idx];
                ports.extend([a, b]);
            }
            ports.sort_unstable();
            ports.dedup();
            known[level] = ports;
        }
        let at = |level: usize, port: usize| {
            known[level].binary_search(&port).expect("a level knows every port from it on") as u16
        };
        let closing = levels
            .iter()
            .enumerate()
            .map(|(level, here)| {
                let edge = |(throw, idx): &(u8, usize)| {
                    let (a, b, ohm) = switched[*idx];
                    (*throw, at(level, a), at(level, b), 1.0 / ohm)
                };
                here.contacts
                    .iter()
                    .map(|contact| Closing { edges: contact.edges.iter().map(edge).collect() })
                    .collect()
            })
            .collect();
        let carried = (0..levels.len())
            .map(|level| known[level + 1].iter().map(|port| at(level, *port)).collect())
            .collect();
        let needed = known.swap_remove(0);
        Self { network, closing, carried, needed }
    }

    /// The network before any control is decided.
    fn first(&self) -> Bench {
        let count = self.network.count;
        let is_shorted = self.network.port[0] == self.network.port[1];
        let mut bench = Bench {
            count,
            stride: count,
            siemens: self.network.siemens.clone(),
            place: self.needed.iter().map(|port| *port as u16).collect(),
            is_shorted,
        };
        bench.eliminate_unneeded();
        bench
    }
}

/// Whether a state respects what controls need of each other, as far as it is decided.
pub fn is_allowed(levels: &[Level], positions: &[u8]) -> bool {
    levels.iter().zip(positions).all(|(level, position)| match level.need {
        Some((other, need)) if *position != level.rest => {
            positions.get(other).is_none_or(|there| *there == need.position)
        }
        Some(_) | None => true,
    })
}

/// Ohms between pin and reference for every allowed state, first control slowest.
pub fn walk(levels: &[Level], ports: &Ports) -> Vec<f64> {
    let mut walk = Walk::new(levels, ports);
    let mut out = Vec::new();
    walk.descend(0, &mut out);
    out
}

/// Ohms between pin and reference in one state, given by the position on every level.
pub fn one(levels: &[Level], ports: &Ports, positions: &[u8]) -> f64 {
    let mut walk = Walk::new(levels, ports);
    for (level, position) in positions.iter().enumerate() {
        walk.positions.push(*position);
        if walk.is_short_way(level) {
            return walk.leaf_of_three(level);
        }
        walk.step(level);
    }
    walk.leaf()
}

/// Positions of every allowed state, first control slowest: the order of [`walk`].
pub fn all_positions(levels: &[Level]) -> Vec<Vec<u8>> {
    fn descend(levels: &[Level], positions: &mut Vec<u8>, out: &mut Vec<Vec<u8>>) {
        let Some(level) = levels.get(positions.len()) else { return out.push(positions.clone()) };
        for position in 0..level.positions {
            positions.push(position);
            if is_allowed(levels, positions) {
                descend(levels, positions, out);
            }
            positions.pop();
        }
    }
    let mut out = Vec::new();
    descend(levels, &mut Vec::new(), &mut out);
    out
}

struct Walk<'a> {
    levels: &'a [Level],
    ports: &'a Ports,
    positions: Vec<u8>,
    benches: Vec<Bench>,
    has_needs: bool,
}

impl<'a> Walk<'a> {
    fn new(levels: &'a [Level], ports: &'a Ports) -> Self {
        let mut benches = vec![Bench::default(); levels.len() + 1];
        benches[0] = ports.first();
        let has_needs = levels.iter().any(|level| level.need.is_some());
        Self { levels, ports, positions: Vec::with_capacity(levels.len()), benches, has_needs }
    }

    fn descend(&mut self, level: usize, out: &mut Vec<f64>) {
        if level == self.levels.len() {
            out.push(self.leaf());
            return;
        }
        let is_short_way = self.is_short_way(level);
        for position in 0..self.levels[level].positions {
            self.positions.push(position);
            if !self.has_needs || is_allowed(self.levels, &self.positions) {
                if is_short_way {
                    out.push(self.leaf_of_three(level));
                } else {
                    self.step(level);
                    self.descend(level + 1, out);
                }
            }
            self.positions.pop();
        }
    }

    /// Whether this level can be read off in closed form.
    fn is_short_way(&self, level: usize) -> bool {
        level + 1 == self.levels.len() && self.benches[level].count <= 3
    }

    /// The last level in closed form where at most one port is left beside pin and reference:
    /// what joins the two directly, in parallel with the way through that port.
    fn leaf_of_three(&self, level: usize) -> f64 {
        let bench = &self.benches[level];
        if bench.is_shorted {
            return 0.0;
        }
        let (mut direct, mut to_pin, mut to_reference) = match bench.count {
            3 => (bench.siemens[1], bench.siemens[2], bench.siemens[bench.stride + 2]),
            _ => (bench.siemens[1], 0.0, 0.0),
        };
        for (contact, closing) in self.levels[level].contacts.iter().zip(&self.ports.closing[level])
        {
            let throw = contact.throw(&self.positions);
            for (closes, a, b, siemens) in &closing.edges {
                let (a, b) = (bench.place[usize::from(*a)], bench.place[usize::from(*b)]);
                if *closes == throw && a != b {
                    match a + b {
                        1 => direct += siemens,
                        2 => to_pin += siemens,
                        _ => to_reference += siemens,
                    }
                }
            }
        }
        let through = match (to_pin.is_infinite(), to_reference.is_infinite()) {
            (true, _) => to_reference,
            (false, true) => to_pin,
            (false, false) if to_pin == 0.0 => 0.0,
            (false, false) => to_pin * (to_reference / (to_pin + to_reference)),
        };
        1.0 / (direct + through)
    }

    /// Makes the bench below `level` from the one above it and the position just chosen.
    fn step(&mut self, level: usize) {
        let (above, below) = self.benches.split_at_mut(level + 1);
        let bench = &mut below[0];
        bench.copy(&above[level]);
        for (contact, closing) in self.levels[level].contacts.iter().zip(&self.ports.closing[level])
        {
            let throw = contact.throw(&self.positions);
            for (_, a, b, siemens) in closing.edges.iter().filter(|(closes, ..)| *closes == throw) {
                bench.close(usize::from(*a), usize::from(*b), *siemens);
            }
        }
        // Carried positions ascend, so what is still to be read is never overwritten.
        let carried = &self.ports.carried[level];
        for (to, from) in carried.iter().enumerate() {
            bench.place[to] = bench.place[usize::from(*from)];
        }
        bench.place.truncate(carried.len());
        bench.eliminate_unneeded();
    }

    /// What is left between pin and reference.
    fn leaf(&self) -> f64 {
        let bench = &self.benches[self.levels.len()];
        if bench.is_shorted { 0.0 } else { 1.0 / bench.siemens[1] }
    }
}

impl Bench {
    fn copy(&mut self, from: &Self) {
        let count = from.count;
        (self.count, self.stride, self.is_shorted) = (count, count, from.is_shorted);
        self.siemens.clear();
        if from.stride == count {
            self.siemens.extend_from_slice(&from.siemens[..count * count]);
        } else {
            for row in from.siemens.chunks_exact(from.stride).take(count) {
                self.siemens.extend_from_slice(&row[..count]);
            }
        }
        self.place.clear();
        self.place.extend_from_slice(&from.place);
    }

    /// Closes a switch between two ports this level knows.
    fn close(&mut self, a: usize, b: usize, siemens: f64) {
        let (a, b) = (usize::from(self.place[a]), usize::from(self.place[b]));
        if a == b {
            return;
        }
        if siemens.is_infinite() {
            return self.merge(a.min(b), a.max(b));
        }
        self.siemens[a * self.stride + b] += siemens;
        self.siemens[b * self.stride + a] += siemens;
    }

    /// Joins port `from` to port `into` without resistance; `into` is the lower number.
    fn merge(&mut self, into: usize, from: usize) {
        for other in (0..self.count).filter(|other| *other != into && *other != from) {
            let siemens = self.siemens[from * self.stride + other];
            self.siemens[into * self.stride + other] += siemens;
            self.siemens[other * self.stride + into] += siemens;
        }
        for place in &mut self.place {
            if usize::from(*place) == from {
                *place = into as u16;
            }
        }
        if from > 1 {
            self.drop_port(from);
        } else {
            // Pin and reference are one: the reading is 0 Ω whatever else happens. The reference's
            // row stays as an empty one so that ports keep their numbers.
            self.is_shorted = true;
            for other in 0..self.count {
                self.siemens[from * self.stride + other] = 0.0;
                self.siemens[other * self.stride + from] = 0.0;
            }
        }
    }

    /// Eliminates every port but pin and reference that no contact below needs.
    fn eliminate_unneeded(&mut self) {
        let mut port = 2;
        while port < self.count {
            if self.place.contains(&(port as u16)) {
                port += 1;
            } else {
                self.eliminate(port);
            }
        }
    }

    /// Turns the star around a port into a mesh between its neighbours.
    fn eliminate(&mut self, port: usize) {
        let row = port * self.stride;
        let sum: f64 = self.siemens[row..row + self.count].iter().sum();
        if sum > 0.0 {
            for a in (0..self.count).filter(|a| *a != port) {
                let to_a = self.siemens[row + a];
                if to_a == 0.0 {
                    continue;
                }
                let share = to_a / sum;
                for b in (0..a).filter(|b| *b != port) {
                    let siemens = share * self.siemens[row + b];
                    self.siemens[a * self.stride + b] += siemens;
                    self.siemens[b * self.stride + a] += siemens;
                }
            }
        }
        self.drop_port(port);
    }

    /// Takes a port out and puts the last one in its place.
    fn drop_port(&mut self, port: usize) {
        let last = self.count - 1;
        if port != last {
            for other in 0..last {
                let siemens = self.siemens[last * self.stride + other];
                self.siemens[port * self.stride + other] = siemens;
                self.siemens[other * self.stride + port] = siemens;
            }
            self.siemens[port * self.stride + port] = 0.0;
            for place in &mut self.place {
                if usize::from(*place) == last {
                    *place = port as u16;
                }
            }
        }
        self.count = last;
    }
}
