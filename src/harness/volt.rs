//! The voltage a harness is judged by.

use crate::model::Project;

/// The greater of what is typed and the most that any drawn supply may have, in volts; `None` where
/// there is neither.
pub fn judged_volt(project: &Project) -> Option<f64> {
    let supplies = project.parts.iter().filter_map(|(_, part)| part.kind.supply());
    let drawn = supplies.map(|supply| supply.volt.high);
    drawn.chain(project.settings.wiring.supply_volt).max_by(f64::total_cmp)
}
