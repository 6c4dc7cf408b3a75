//! Twins: faults that show the same in every state, as far as a meter can tell.

use crate::model::MeterProfile;
use crate::sense::ohm_error;
use crate::study::faults::survey::FaultRow;

/// Groups of two or more rows, by index, in their order.
pub fn groups(rows: &[FaultRow], meter: &MeterProfile) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut taken = vec![false; rows.len()];
    for one in 0..rows.len() {
        if std::mem::replace(&mut taken[one], true) {
            continue;
        }
        let mut group = vec![one];
        for other in one + 1..rows.len() {
            if !taken[other] && are_alike(&rows[one], &rows[other], meter) {
                taken[other] = true;
                group.push(other);
            }
        }
        if group.len() > 1 {
            groups.push(group);
        }
    }
    groups
}

fn are_alike(one: &FaultRow, other: &FaultRow, meter: &MeterProfile) -> bool {
    one.symptoms
        .iter()
        .zip(&other.symptoms)
        .all(|(a, b)| a.band == b.band && a.effect == b.effect && is_same_ohm(a.ohm, b.ohm, meter))
}

/// Whether a meter could show the same for both.
pub fn is_same_ohm(a: f64, b: f64, meter: &MeterProfile) -> bool {
    a == b || (a - b).abs() <= ohm_error(meter, a.min(b))
}
