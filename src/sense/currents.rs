//! Which current the circuit sends through each wire of the sense networks.

use std::collections::BTreeMap;

use crate::circuit::{self, Corner, Source};
use crate::model::WireId;
use crate::sense::reader::Reader;

/// Pins with more states than this are not walked: their wires are bounded by the pull alone.
const WALKED_STATES: usize = 256;

impl Reader {
    /// Greatest current in amperes of every wire in the network of a sense pin whose pull and
    /// reference are known, over all states at usual values.
    ///
    /// A wire carries its share of what the pull lets through; where a pin has very many states the
    /// bound for all its wires is what the pull passes into a short. Loads are not looked at.
    pub fn wire_currents(&self) -> BTreeMap<WireId, f64> {
        let mut out: BTreeMap<WireId, f64> = BTreeMap::new();
        for (id, network) in &self.networks {
            let Some(pin) = self.project.sense_pins.get(*id) else { continue };
            let (Some(pull), Some(volt)) = (pin.pull_ohm, pin.reference_volt) else { continue };
            let mut put = |wire: WireId, amp: f64| {
                let most = out.entry(wire).or_insert(0.0);
                *most = most.max(amp);
            };
            if network.state_bound() > WALKED_STATES {
                for edge in &network.edges {
                    if let Source::Wire(wire) = self.netlist.graph[*edge].source {
                        put(wire, volt.nominal / pull.nominal);
                    }
                }
                continue;
            }
            for positions in network.all_positions() {
                let state = network.state(&positions);
                let ohm = network.ohm(Corner::Nominal, &positions);
                let amp = volt.nominal / (ohm + pull.nominal);
                let closed = self.closed_live(*id, network, &state);
                let shares =
                    circuit::edge_currents(&self.netlist, &closed, network.pin, network.reference);
                for (edge, share) in shares {
                    if let Source::Wire(wire) = self.netlist.graph[edge].source {
                        put(wire, share.abs() * amp);
                    }
                }
            }
        }
        out
    }
}
