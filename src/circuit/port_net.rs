//! A network between a few ports: joining them, closing switches, eliminating what nobody asks for.

use crate::circuit::reduce::Reduced;

/// The network on one level of the walk. Ports 0 and 1 are the pin and its reference.
#[derive(Clone, Debug, Default)]
pub struct PortNet {
    /// Ports left.
    pub count: usize,
    /// Length of a row of `siemens`.
    pub stride: usize,
    /// Conductance between two ports, row by row, symmetric, diagonal zero.
    pub siemens: Vec<f64>,
    /// Where each port that is still needed stands now.
    pub place: Vec<u16>,
    /// Whether pin and reference have been joined.
    pub is_shorted: bool,
}

impl PortNet {
    /// A reduced network of which the given ports will still be needed.
    pub fn new(network: &Reduced, needed: &[usize]) -> Self {
        let mut net = Self {
            count: network.count,
            stride: network.count,
            siemens: network.siemens.clone(),
            place: needed.iter().map(|port| *port as u16).collect(),
            is_shorted: network.port[0] == network.port[1],
        };
        net.eliminate_unneeded();
        net
    }

    /// Takes the other's values over without giving its own memory back.
    pub fn copy(&mut self, from: &Self) {
        let count = from.count;
        (self.count, self.stride, self.is_shorted) = (count, count, from.is_shorted);
        self.siemens.resize(count * count, 0.0);
        // A row is a handful of numbers: too few for a block copy to pay.
        let rows = from.siemens.chunks_exact(from.stride.max(1));
        for (to, row) in self.siemens.chunks_exact_mut(count.max(1)).zip(rows) {
            for (to, siemens) in to.iter_mut().zip(row) {
                *to = *siemens;
            }
        }
        self.place.clear();
        self.place.extend_from_slice(&from.place);
    }

    /// Closes a switch between two ports this level knows.
    pub fn close(&mut self, a: usize, b: usize, siemens: f64) {
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
    pub fn eliminate_unneeded(&mut self) {
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
