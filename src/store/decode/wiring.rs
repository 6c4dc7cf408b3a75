//! Checks of the laying of runs, the make of wires and the rules for wire.

use std::collections::BTreeSet;

use crate::model::limits;
use crate::model::{self, Duty, Grommet};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::project::Known;
use crate::store::decode::value::{at_most, maybe, number, size, text};
use crate::store::file;

/// How a run is laid.
pub fn laid(at: &At<'_>, row: Option<file::Laid>) -> Checked<model::Laid> {
    let Some(row) = row else { return Ok(model::Laid::default()) };
    let zones_at = at.field("zones");
    let mut zones = BTreeSet::new();
    for (idx, zone) in row.zones.into_iter().enumerate() {
        let zone: model::Zone = zone.into();
        if !zones.insert(zone) {
            let what = format!("expected each zone once, found \"{}\" again", zone.noun());
            return Err(zones_at.row(idx).refuse(what));
        }
    }
    let hole_at = at.field("hole");
    let covering_at = at.field("covering");
    Ok(model::Laid {
        zones,
        hole: row
            .hole
            .map(|hole| {
                Ok(model::Hole {
                    bore_mm: number(&hole_at.field("bore_mm"), hole.bore_mm, &limits::LENGTH_MM)?,
                    grommet: if hole.grommet { Grommet::Fitted } else { Grommet::Missing },
                })
            })
            .transpose()?,
        covering: row
            .covering
            .map(|covering| {
                let thickness_at = covering_at.field("thickness_mm");
                Ok(model::Covering {
                    kind: covering.kind.into(),
                    thickness_mm: maybe(&thickness_at, covering.thickness_mm, &limits::LENGTH_MM)?,
                    words: text(&covering_at.field("words"), covering.words)?,
                })
            })
            .transpose()?,
        support_mm: maybe(&at.field("support_mm"), row.support_mm, &limits::LENGTH_MM)?,
    })
}

/// A point along a run.
pub fn run_point(at: &At<'_>, row: &file::RunPoint, known: &Known) -> Checked<model::RunPoint> {
    Ok(model::RunPoint {
        run: known.run(&at.field("run"), row.run)?,
        from: known.place(&at.field("from_place"), row.from_place)?,
        distance_mm: number(&at.field("distance_mm"), row.distance_mm, &limits::SPARE_MM)?,
    })
}

/// What a wire is made of.
pub fn make(at: &At<'_>, row: Option<file::Make>) -> Checked<model::Make> {
    let Some(row) = row else { return Ok(model::Make::default()) };
    let twist_at = at.field("twist");
    let shield_at = at.field("shield");
    let drain_at = shield_at.field("drain");
    Ok(model::Make {
        conductor: row.conductor.into(),
        insulation: row.insulation.map(Into::into),
        rating_c: maybe(&at.field("rating_c"), row.rating_c, &limits::CELSIUS)?,
        outside_mm: maybe(&at.field("outside_mm"), row.outside_mm, &limits::LENGTH_MM)?,
        twist: row
            .twist
            .map(|twist| {
                Ok(model::Twist {
                    pair: text(&twist_at.field("pair"), twist.pair)?,
                    lay_mm: number(&twist_at.field("lay_mm"), twist.lay_mm, &limits::LENGTH_MM)?,
                })
            })
            .transpose()?,
        shield: row
            .shield
            .map(|shield| {
                let outside_at = shield_at.field("outside_mm");
                Ok(model::Shield {
                    name: text(&shield_at.field("name"), shield.name)?,
                    outside_mm: maybe(&outside_at, shield.outside_mm, &limits::LENGTH_MM)?,
                    drain: shield.drain.map(|drain| size(&drain_at, &drain)).transpose()?,
                })
            })
            .transpose()?,
        duty: if row.spare { Duty::Spare } else { Duty::Working },
        current_amp: maybe(&at.field("current_amp"), row.current_amp, &limits::CURRENT_AMP)?,
        drop_limit: maybe(&at.field("drop_limit"), row.drop_limit, &limits::DROP_LIMIT)?,
    })
}

/// The rules for wire.
pub fn wiring(at: &At<'_>, row: Option<&file::Wiring>) -> Checked<model::Wiring> {
    let Some(row) = row else { return Ok(model::Wiring::default()) };
    let own_at = at.field("own_wires");
    at_most(&own_at, &row.own_wires, limits::OWN_WIRES, "rows")?;
    Ok(model::Wiring {
        ambient_c: maybe(&at.field("ambient_c"), row.ambient_c, &limits::CELSIUS)?,
        hot_c: maybe(&at.field("hot_c"), row.hot_c, &limits::CELSIUS)?,
        ampacity: row.ampacity.map(Into::into),
        drop_limit: maybe(&at.field("drop_limit"), row.drop_limit, &limits::DROP_LIMIT)?,
        supply_volt: maybe(&at.field("supply_volt"), row.supply_volt, &limits::SCALE_VOLT)?,
        insulation: row.insulation.map(Into::into),
        rating_c: maybe(&at.field("rating_c"), row.rating_c, &limits::CELSIUS)?,
        own_wires: row
            .own_wires
            .iter()
            .enumerate()
            .map(|(idx, row)| own_wire(&own_at.row(idx), row))
            .collect::<Checked<_>>()?,
    })
}

fn own_wire(at: &At<'_>, row: &file::OwnWire) -> Checked<model::OwnWire> {
    Ok(model::OwnWire {
        size: size(&at.field("size"), &row.size)?,
        insulation: row.insulation.map(Into::into),
        ohm_per_m: maybe(&at.field("ohm_per_m"), row.ohm_per_m, &limits::OHM_PER_M)?,
        outside_mm: maybe(&at.field("outside_mm"), row.outside_mm, &limits::LENGTH_MM)?,
        single_amp: maybe(&at.field("single_amp"), row.single_amp, &limits::RATING_AMP)?,
        source: text(&at.field("source"), row.source.clone())?,
    })
}
