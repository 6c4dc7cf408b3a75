//! Two halves of the controls walked apart, and every pair of their states put together in closed form.
//!
//! Where the halves of a network meet at one node at most, beside pin and reference, each is seen
//! from the other as three conductances, whatever its size. Two walks of about the square root of
//! the number of states then leave two divisions a state.

use crate::circuit::port_net::PortNet;
use crate::circuit::states::{Level, Ports, is_allowed, walk_nets};

/// Stands for a join without resistance. Its sums stay finite, so no quotient of them is `NaN`.
const JOINED_SIEMENS: f64 = 1e300;

/// Ohms below this come from a join without resistance.
const JOINED_OHM: f64 = 1e-250;

/// Both halves of a network at one corner, in every state of their own controls.
#[derive(Clone, Debug)]
pub struct Halves {
    first: Half,
    last: Half,
    has_needs_across: bool,
}

/// What one half is between pin, reference and the shared node, by the states of its controls.
#[derive(Clone, Debug, Default)]
struct Half {
    positions: Vec<Vec<u8>>,
    direct: Vec<f64>,
    to_pin: Vec<f64>,
    to_reference: Vec<f64>,
}

impl Halves {
    /// Walks both halves, each with its levels and with the shared node, if any, as its kept port.
    pub fn new(
        (first, above): (&[Level], &Ports),
        (last, below): (&[Level], &Ports),
        has_needs_across: bool,
    ) -> Self {
        Self { first: Half::new(first, above), last: Half::new(last, below), has_needs_across }
    }

    /// Ohms between pin and reference for every allowed state, first control slowest; infinite
    /// where open. `levels` are those of both halves.
    ///
    /// The numbers of the walk over the whole network but for rounding: only sums, products and
    /// quotients of positive numbers.
    pub fn ohms(&self, levels: &[Level]) -> Vec<f64> {
        let mut out = Vec::with_capacity(self.first.direct.len() * self.last.direct.len());
        self.blocks(levels, &mut |block| {
            out.extend_from_slice(block);
            true
        });
        out
    }

    /// The same, all states that share one of the first half at a time, none of which is kept; stops
    /// when told not to go on.
    pub fn blocks(&self, levels: &[Level], visit: &mut dyn FnMut(&[f64]) -> bool) {
        let width = self.last.direct.len();
        let mut block = vec![0.0; width];
        for n in 0..self.first.direct.len() {
            block.resize(width, 0.0);
            self.fill(n, &mut block);
            if self.has_needs_across {
                let first = self.first.positions[n].as_slice();
                let mut last = self.last.positions.iter();
                block.retain(|_| {
                    let last = last.next().expect("one state of the last half a number");
                    is_allowed(levels, &[first, last].concat())
                });
            }
            if !visit(&block) {
                return;
            }
        }
    }

    /// Ohms of one state of the first half with every state of the last.
    fn fill(&self, n: usize, row: &mut [f64]) {
        let (direct, pin, reference) =
            (self.first.direct[n], self.first.to_pin[n], self.first.to_reference[n]);
        let last = self.last.direct.iter().zip(&self.last.to_pin).zip(&self.last.to_reference);
        for (ohm, ((more_direct, more_pin), more_reference)) in row.iter_mut().zip(last) {
            let (to_pin, to_reference) = (pin + more_pin, reference + more_reference);
            // The smallest number keeps 0 / 0 from becoming NaN and is lost in any other sum.
            let through = to_pin * (to_reference / (to_pin + to_reference + f64::MIN_POSITIVE));
            let whole = 1.0 / (direct + more_direct + through);
            *ohm = if whole < JOINED_OHM { 0.0 } else { whole };
        }
    }
}

impl Half {
    fn new(levels: &[Level], ports: &Ports) -> Self {
        let mut half = Self::default();
        walk_nets(levels, ports, &mut |positions, net| half.add(positions, net));
        half
    }

    fn add(&mut self, positions: &[u8], net: &PortNet) {
        let direct = if net.is_shorted { JOINED_SIEMENS } else { net.siemens[1] };
        let (to_pin, to_reference) = match net.place.first() {
            None => (0.0, 0.0),
            Some(0) => (JOINED_SIEMENS, 0.0),
            Some(1) => (0.0, JOINED_SIEMENS),
            Some(_) => (net.siemens[2], net.siemens[net.stride + 2]),
        };
        self.positions.push(positions.to_vec());
        self.direct.push(direct);
        self.to_pin.push(to_pin);
        self.to_reference.push(to_reference);
    }
}
