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
    /// The network without switches. Port 0 is the pin, port 1 the reference unless they are joined.
    pub network: Reduced,
    /// Port, port and ohms of every switched edge.
    pub switched: Vec<(usize, usize, f64)>,
    /// By port, the last level that can join something to it; `usize::MAX` for pin and reference.
    pub due: Vec<usize>,
}

/// Marks a port that has been eliminated.
const GONE: u16 = u16::MAX;

/// The network on one level of the walk.
#[derive(Clone, Debug, Default)]
struct Bench {
    /// Ports left.
    count: usize,
    /// Length of a row of `siemens`.
    stride: usize,
    siemens: Vec<f64>,
    /// Where each original port is now.
    place: Vec<u16>,
    /// By port left, the level after which it can go.
    due: Vec<usize>,
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
        let count = ports.network.count;
        let mut first = Bench {
            count,
            stride: count,
            siemens: ports.network.siemens.clone(),
            place: (0..count).map(|port| port as u16).collect(),
            due: ports.due.clone(),
        };
        first.due.truncate(count);
        let mut benches = vec![Bench::default(); levels.len() + 1];
        benches[0] = first;
        let has_needs = levels.iter().any(|level| level.need.is_some());
        Self { levels, ports, positions: Vec::with_capacity(levels.len()), benches, has_needs }
    }

    fn descend(&mut self, level: usize, out: &mut Vec<f64>) {
        if level == self.levels.len() {
            out.push(self.leaf());
            return;
        }
        for position in 0..self.levels[level].positions {
            self.positions.push(position);
            if !self.has_needs || is_allowed(self.levels, &self.positions) {
                self.step(level);
                self.descend(level + 1, out);
            }
            self.positions.pop();
        }
    }

    /// Makes the bench below `level` from the one above it and the position just chosen.
    fn step(&mut self, level: usize) {
        let (above, below) = self.benches.split_at_mut(level + 1);
        let bench = &mut below[0];
        bench.copy(&above[level]);
        for contact in &self.levels[level].contacts {
            let throw = contact.throw(&self.positions);
            for (_, idx) in contact.edges.iter().filter(|(closes, _)| *closes == throw) {
                let (a, b, ohm) = self.ports.switched[*idx];
                bench.close(a, b, ohm);
            }
        }
        let mut port = 2;
        while port < bench.count {
            if bench.due[port] <= level {
                bench.eliminate(port);
            } else {
                port += 1;
            }
        }
    }

    /// What is left between pin and reference.
    fn leaf(&self) -> f64 {
        let bench = &self.benches[self.levels.len()];
        if bench.place[0] == bench.place[self.ports.network.port[1]] {
            0.0
        } else {
            1.0 / bench.siemens[1]
        }
    }
}

impl Bench {
    fn copy(&mut self, from: &Self) {
        let count = from.count;
        (self.count, self.stride) = (count, count);
        self.siemens.clear();
        if from.stride == count {
            self.siemens.extend_from_slice(&from.siemens[..count * count]);
        } else {
            for row in 0..count {
                self.siemens
                    .extend_from_slice(&from.siemens[row * from.stride..row * from.stride + count]);
            }
        }
        self.place.clear();
        self.place.extend_from_slice(&from.place);
        self.due.clear();
        self.due.extend_from_slice(&from.due[..count]);
    }

    /// Closes a switch between two original ports.
    fn close(&mut self, a: usize, b: usize, ohm: f64) {
        let (a, b) = (usize::from(self.place[a]), usize::from(self.place[b]));
        if a == b {
            return;
        }
        if ohm == 0.0 {
            return self.merge(a.min(b), a.max(b));
        }
        self.siemens[a * self.stride + b] += 1.0 / ohm;
        self.siemens[b * self.stride + a] += 1.0 / ohm;
    }

    /// Joins port `from` to port `into` without resistance; `into` is the lower number.
    fn merge(&mut self, into: usize, from: usize) {
        for other in (0..self.count).filter(|other| *other != into && *other != from) {
            let siemens = self.siemens[from * self.stride + other];
            self.siemens[into * self.stride + other] += siemens;
            self.siemens[other * self.stride + into] += siemens;
        }
        self.due[into] = self.due[into].max(self.due[from]);
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
            for other in 0..self.count {
                self.siemens[from * self.stride + other] = 0.0;
                self.siemens[other * self.stride + from] = 0.0;
            }
        }
    }

    /// Turns the star around a port into a mesh between its neighbours.
    fn eliminate(&mut self, port: usize) {
        let row = port * self.stride;
        let sum: f64 = (0..self.count).map(|other| self.siemens[row + other]).sum();
        if sum > 0.0 {
            for a in (0..self.count).filter(|a| *a != port) {
                let share = self.siemens[row + a] / sum;
                if share == 0.0 {
                    continue;
                }
                for b in (0..a).filter(|b| *b != port) {
                    let siemens = share * self.siemens[row + b];
                    self.siemens[a * self.stride + b] += siemens;
                    self.siemens[b * self.stride + a] += siemens;
                }
            }
        }
        for place in &mut self.place {
            if usize::from(*place) == port {
                *place = GONE;
            }
        }
        self.drop_port(port);
    }

    /// Takes a port out and puts the last one in its place.
    fn drop_port(&mut self, port: usize) {
        let last = self.count - 1;
        if port != last {
            for other in 0..self.count {
                self.siemens[port * self.stride + other] = self.siemens[last * self.stride + other];
            }
            for other in 0..self.count {
                self.siemens[other * self.stride + port] = self.siemens[other * self.stride + last];
            }
            self.siemens[port * self.stride + port] = 0.0;
            self.due[port] = self.due[last];
            for place in &mut self.place {
                if usize::from(*place) == last {
                    *place = port as u16;
                }
            }
        }
        self.due.truncate(last);
        self.count = last;
    }
}
