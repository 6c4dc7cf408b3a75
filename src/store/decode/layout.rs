//! Checks of frames, places, runs, wire on hand and settings.

use crate::geometry::Rect;
use crate::model;
use crate::model::limits;
use crate::store::decode::at::{At, Checked};
use crate::store::decode::bench;
use crate::store::decode::moving;
use crate::store::decode::project::Known;
use crate::store::decode::value;
use crate::store::decode::wiring;
use crate::store::file;

/// One frame.
pub fn frame(at: &At<'_>, row: file::Frame) -> Checked<model::Frame> {
    let min = value::point(&at.field("min_mm"), row.min_mm)?;
    let max = value::point(&at.field("max_mm"), row.max_mm)?;
    if max.x_mm < min.x_mm || max.y_mm < min.y_mm {
        return Err(at.field("max_mm").refuse(
            "expected the lower right corner, found one left of or above the corner min_mm".into(),
        ));
    }
    Ok(model::Frame { name: value::text(&at.field("name"), row.name)?, rect: Rect { min, max } })
}

/// One place.
pub fn place(at: &At<'_>, row: file::Place) -> Checked<model::Place> {
    Ok(model::Place {
        name: value::text(&at.field("name"), row.name)?,
        pos: value::point(&at.field("pos_mm"), row.pos_mm)?,
    })
}

/// One run.
pub fn run(at: &At<'_>, row: file::Run, known: &Known) -> Checked<model::Run> {
    Ok(model::Run {
        name: value::text(&at.field("name"), row.name)?,
        from: known.place(&at.field("from_place"), row.from_place)?,
        to: known.place(&at.field("to_place"), row.to_place)?,
        length_mm: value::number(&at.field("length_mm"), row.length_mm, &limits::LENGTH_MM)?,
        loop_mm: value::maybe(&at.field("loop_mm"), row.loop_mm, &limits::SPARE_MM)?,
        laid: wiring::laid(&at.field("laid"), row.laid)?,
    })
}

/// One piece of wire on hand.
pub fn piece(at: &At<'_>, row: file::Piece) -> Checked<model::Piece> {
    Ok(model::Piece {
        name: value::text(&at.field("name"), row.name)?,
        colour: value::colour(&row.colour),
        size: value::size(&at.field("size"), &row.size)?,
        length_mm: value::number(&at.field("length_mm"), row.length_mm, &limits::LENGTH_MM)?,
        outside_mm: value::maybe(&at.field("outside_mm"), row.outside_mm, &limits::LENGTH_MM)?,
        measured_ohm: value::maybe(&at.field("measured_ohm"), row.measured_ohm, &limits::OHM)?,
        condition: value::text(&at.field("condition"), row.condition)?,
        source: value::text(&at.field("source"), row.source)?,
    })
}

/// The settings.
pub fn settings(at: &At<'_>, row: &file::Settings) -> Checked<model::Settings> {
    let allowances_at = at.field("allowances");
    let allowance = |name, mm| value::number(&allowances_at.field(name), mm, &limits::SPARE_MM);
    Ok(model::Settings {
        contact_ohm: value::range(&at.field("contact_ohm"), &row.contact_ohm, &limits::OHM)?,
        joint_ohm: value::range(&at.field("joint_ohm"), &row.joint_ohm, &limits::OHM)?,
        temperature_span_k: value::number(
            &at.field("temperature_span_k"),
            row.temperature_span_k,
            &limits::TEMPERATURE_SPAN_K,
        )?,
        wire_model: row.wire_model.into(),
        length_factor: value::number(
            &at.field("length_factor"),
            row.length_factor,
            &limits::LENGTH_FACTOR,
        )?,
        allowances: model::Allowances {
            sealed_mm: allowance("sealed_mm", row.allowances.sealed_mm)?,
            inline_mm: allowance("inline_mm", row.allowances.inline_mm)?,
            tag_mm: allowance("tag_mm", row.allowances.tag_mm)?,
            splice_mm: allowance("splice_mm", row.allowances.splice_mm)?,
            ring_mm: allowance("ring_mm", row.allowances.ring_mm)?,
        },
        rounding_mm: value::number(
            &at.field("rounding_mm"),
            row.rounding_mm,
            &limits::ROUNDING_MM,
        )?,
        meter: bench::meter(&at.field("meter"), &row.meter)?,
        timing: moving::timing(&at.field("timing"), row.timing.as_ref())?,
        wiring: wiring::wiring(&at.field("wiring"), row.wiring.as_ref())?,
    })
}
