//! The voltage a harness is judged by.

use crate::model::{PartKind, Project};

/// The greater of what is typed and the most that any drawn supply may have, in volts; `None` where
/// there is neither.
pub fn judged_volt(project: &Project) -> Option<f64> {
    let drawn = project.parts.iter().filter_map(|(_, part)| match &part.kind {
        PartKind::Supply(supply) => Some(supply.volt.high),
        PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::Connector(_)
        | PartKind::Controller(_)
        | PartKind::TestPoint
        | PartKind::Element(_) => None,
    });
    drawn.chain(project.settings.wiring.supply_volt).max_by(f64::total_cmp)
}
