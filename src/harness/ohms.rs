//! What each harness wire weighs in the circuit: its length times the resistance per metre.

use std::collections::BTreeMap;

use crate::harness::lengths::wire_lengths;
use crate::harness::wire_data::{COPPER_PER_K, ohm_per_metre_of};
use crate::model::{Project, WireId, WireModel};
use crate::units::Range;

/// Resistance in ohms of every harness wire whose length is known; wires not named are ideal.
///
/// Nominal at 20 °C over the cut length (allowances are slack in the loom, so current runs through
/// them); low and high by the temperature span of the settings. Empty where the settings ask for
/// ideal wires.
pub fn wire_ohms(project: &Project) -> BTreeMap<WireId, Range> {
    match project.settings.wire_model {
        WireModel::Ideal => BTreeMap::new(),
        WireModel::ByLength => {
            let swing = COPPER_PER_K * project.settings.temperature_span_k.abs();
            wire_lengths(project)
                .into_iter()
                .filter_map(|(id, length)| {
                    let metres = length.ok()?.cut_mm / 1e3;
                    let nominal =
                        metres * ohm_per_metre_of(project, project.wires.get(id)?).ohm_per_m;
                    let low = nominal * (1.0 - swing).max(0.0);
                    Some((id, Range { low, nominal, high: nominal * (1.0 + swing) }))
                })
                .collect()
        }
    }
}
