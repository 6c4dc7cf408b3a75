//! Every position of every control, walked as a tree over a reduced network.
//!
//! Choosing a position joins ports or adds conductances; a port whose contacts are all decided is
//! eliminated at once. The network shrinks on the way down, so the last levels, where nearly all
//! the work is, handle two or three ports: the cost per state does not grow with their number.

use crate::circuit::port_net::PortNet;
use crate::circuit::reduce::Reduced;
use crate::model::{ControlId, Need};

/// One control of the walk.
#[derive(Clone, Debug, PartialEq)]
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
#[derive(Clone, Debug, PartialEq)]
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
#[derive(Clone, Debug, PartialEq)]
pub struct Ports {
    network: Reduced,
    /// By level, the switched edges that each of its contacts may close.
    closing: Vec<Vec<Closing>>,
    /// By level, where the ports still needed below it stand among those needed from it on.
    carried: Vec<Vec<u16>>,
    /// Ports some contact needs, in the order in which the first level knows them.
    needed: Vec<usize>,
}

impl Level {
    /// The level as one of a walk that begins at the given level; what it needs of an earlier one
    /// is left out.
    pub fn counted_from(&self, first: usize) -> Self {
        let mut level = self.clone();
        level.need = self.need.and_then(|(other, need)| Some((other.checked_sub(first)?, need)));
        for contact in &mut level.contacts {
            for (of, _) in &mut contact.throws {
                *of -= first;
            }
        }
        level
    }
}

/// One contact at one level, its edges in terms of the ports that level knows.
#[derive(Clone, Debug, PartialEq)]
struct Closing {
    /// Throw, both ends, siemens when closed; infinite where it joins them.
    edges: Vec<(u8, u16, u16, f64)>,
}

impl Ports {
    /// Prepares a walk. `switched` gives port, port and ohms of every switched edge that
    /// [`Decided::edges`] counts; port 0 of the network is the pin.
    /// The `kept` ports outlive the last level.
    pub fn new(
        network: Reduced,
        switched: &[(usize, usize, f64)],
        kept: &[usize],
        levels: &[Level],
    ) -> Self {
        let mut known: Vec<Vec<usize>> = vec![kept.to_vec(); levels.len() + 1];
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
    // Who has more states than this looks at them in blocks.
    let n_states = levels.iter().fold(1usize, |n, l| n.saturating_mul(usize::from(l.positions)));
    let mut out = Vec::with_capacity(n_states.min(1 << 17));
    Walk::new(levels, ports).descend(0, &mut |ohm| {
        out.push(ohm);
        true
    });
    out
}

/// The same in blocks of a few thousand states, none of which is kept; stops when told not to go on.
pub fn walk_blocks(levels: &[Level], ports: &Ports, visit: &mut dyn FnMut(&[f64]) -> bool) {
    const BLOCK: usize = 4096;
    let mut block = Vec::with_capacity(BLOCK);
    let goes_on = Walk::new(levels, ports).descend(0, &mut |ohm| {
        block.push(ohm);
        block.len() < BLOCK || {
            let goes_on = visit(&block);
            block.clear();
            goes_on
        }
    });
    if goes_on && !block.is_empty() {
        visit(&block);
    }
}

/// What the network is between pin, reference and the kept ports in every allowed state.
pub fn walk_nets(levels: &[Level], ports: &Ports, visit: &mut impl FnMut(&[u8], &PortNet)) {
    Walk::new(levels, ports).descend_nets(0, visit);
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
    nets: Vec<PortNet>,
    has_needs: bool,
}

impl<'a> Walk<'a> {
    fn new(levels: &'a [Level], ports: &'a Ports) -> Self {
        let mut nets = vec![PortNet::default(); levels.len() + 1];
        nets[0] = PortNet::new(&ports.network, &ports.needed);
        let has_needs = levels.iter().any(|level| level.need.is_some());
        Self { levels, ports, positions: Vec::with_capacity(levels.len()), nets, has_needs }
    }

    /// Hands out every state below a level as long as it is told to go on.
    fn descend(&mut self, level: usize, emit: &mut impl FnMut(f64) -> bool) -> bool {
        if level == self.levels.len() {
            return emit(self.leaf());
        }
        let is_short_way = self.is_short_way(level);
        for position in 0..self.levels[level].positions {
            self.positions.push(position);
            let mut goes_on = true;
            if !self.has_needs || is_allowed(self.levels, &self.positions) {
                if is_short_way {
                    goes_on = emit(self.leaf_of_three(level));
                } else {
                    self.step(level);
                    goes_on = self.descend(level + 1, emit);
                }
            }
            self.positions.pop();
            if !goes_on {
                return false;
            }
        }
        true
    }

    fn descend_nets(&mut self, level: usize, visit: &mut impl FnMut(&[u8], &PortNet)) {
        if level == self.levels.len() {
            return visit(&self.positions, &self.nets[level]);
        }
        for position in 0..self.levels[level].positions {
            self.positions.push(position);
            if !self.has_needs || is_allowed(self.levels, &self.positions) {
                self.step(level);
                self.descend_nets(level + 1, visit);
            }
            self.positions.pop();
        }
    }

    /// Whether this level can be read off in closed form.
    fn is_short_way(&self, level: usize) -> bool {
        level + 1 == self.levels.len() && self.nets[level].count <= 3
    }

    /// The last level in closed form where at most one port is left beside pin and reference:
    /// what joins the two directly, in parallel with the way through that port.
    fn leaf_of_three(&self, level: usize) -> f64 {
        let net = &self.nets[level];
        if net.is_shorted {
            return 0.0;
        }
        let (mut direct, mut to_pin, mut to_reference) = match net.count {
            3 => (net.siemens[1], net.siemens[2], net.siemens[net.stride + 2]),
            _ => (net.siemens[1], 0.0, 0.0),
        };
        for (contact, closing) in self.levels[level].contacts.iter().zip(&self.ports.closing[level])
        {
            let throw = contact.throw(&self.positions);
            for (closes, a, b, siemens) in &closing.edges {
                let (a, b) = (net.place[usize::from(*a)], net.place[usize::from(*b)]);
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

    /// Makes the network below `level` from the one above it and the position just chosen.
    fn step(&mut self, level: usize) {
        let (above, below) = self.nets.split_at_mut(level + 1);
        let net = &mut below[0];
        net.copy(&above[level]);
        for (contact, closing) in self.levels[level].contacts.iter().zip(&self.ports.closing[level])
        {
            let throw = contact.throw(&self.positions);
            for (_, a, b, siemens) in closing.edges.iter().filter(|(closes, ..)| *closes == throw) {
                net.close(usize::from(*a), usize::from(*b), *siemens);
            }
        }
        // Carried positions ascend, so what is still to be read is never overwritten.
        let carried = &self.ports.carried[level];
        for (to, from) in carried.iter().enumerate() {
            net.place[to] = net.place[usize::from(*from)];
        }
        net.place.truncate(carried.len());
        net.eliminate_unneeded();
    }

    /// What is left between pin and reference.
    fn leaf(&self) -> f64 {
        let net = &self.nets[self.levels.len()];
        if net.is_shorted { 0.0 } else { 1.0 / net.siemens[1] }
    }
}
