//! Laying, make and wire rules from model to file; what is all at its default is left out.

use crate::model::{self, Duty, Grommet};
use crate::store::encode::size;
use crate::store::file;

/// How a run is laid.
pub(super) fn laid(laid: &model::Laid) -> Option<file::Laid> {
    (*laid != model::Laid::default()).then(|| file::Laid {
        zones: laid.zones.iter().map(|zone| (*zone).into()).collect(),
        hole: laid.hole.map(|hole| file::Hole {
            bore_mm: hole.bore_mm,
            grommet: hole.grommet == Grommet::Fitted,
        }),
        covering: laid.covering.as_ref().map(|covering| file::Covering {
            kind: covering.kind.into(),
            thickness_mm: covering.thickness_mm,
            words: covering.words.clone(),
        }),
        support_mm: laid.support_mm,
    })
}

/// A point along a run.
pub(super) fn run_point(at: model::RunPoint) -> file::RunPoint {
    file::RunPoint { run: at.run.0, from_place: at.from.0, distance_mm: at.distance_mm }
}

/// What a wire is made of.
pub(super) fn make(make: &model::Make) -> Option<file::Make> {
    (*make != model::Make::default()).then(|| file::Make {
        conductor: make.conductor.into(),
        insulation: make.insulation.map(Into::into),
        rating_c: make.rating_c,
        outside_mm: make.outside_mm,
        twist: make
            .twist
            .as_ref()
            .map(|twist| file::Twist { pair: twist.pair.clone(), lay_mm: twist.lay_mm }),
        shield: make.shield.as_ref().map(|shield| file::Shield {
            name: shield.name.clone(),
            outside_mm: shield.outside_mm,
            drain: shield.drain.map(size),
        }),
        spare: make.duty == Duty::Spare,
        current_amp: make.current_amp,
        drop_limit: make.drop_limit,
    })
}

/// The rules for wire.
pub(super) fn wiring(wiring: &model::Wiring) -> Option<file::Wiring> {
    (*wiring != model::Wiring::default()).then(|| file::Wiring {
        ambient_c: wiring.ambient_c,
        hot_c: wiring.hot_c,
        ampacity: wiring.ampacity.map(Into::into),
        drop_limit: wiring.drop_limit,
        supply_volt: wiring.supply_volt,
        insulation: wiring.insulation.map(Into::into),
        rating_c: wiring.rating_c,
        own_wires: wiring
            .own_wires
            .iter()
            .map(|row| file::OwnWire {
                size: size(row.size),
                insulation: row.insulation.map(Into::into),
                ohm_per_m: row.ohm_per_m,
                outside_mm: row.outside_mm,
                single_amp: row.single_amp,
                source: row.source.clone(),
            })
            .collect(),
    })
}
