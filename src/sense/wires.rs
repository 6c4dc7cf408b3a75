//! What the circuit needs to know of the harness: ohms of wires, places of splices.

use crate::circuit::WireData;
use crate::harness;
use crate::model::{Project, WireModel};

/// Resistance of the wires and where along them splices sit, as the project's settings say.
pub fn wire_data(project: &Project) -> WireData {
    match project.settings.wire_model {
        WireModel::Ideal => WireData::default(),
        WireModel::ByLength => WireData {
            ohm: harness::wire_ohms(project),
            tap_fraction: harness::tap_fractions(project),
        },
    }
}
