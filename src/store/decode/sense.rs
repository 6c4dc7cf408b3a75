//! Checks of controls and sense pins.

use std::collections::BTreeMap;

use crate::model::limits;
use crate::model::{self, ControlId, Need, PartId, PartKind, Scale, Table};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::project::{dangling, table};
use crate::store::decode::value;
use crate::store::decode::wire::terminal;
use crate::store::file;

/// All controls; needs are checked last, because they look at other controls.
pub fn controls(
    at: &At<'_>,
    rows: Vec<file::Control>,
    parts: &Table<PartId, model::Part>,
) -> Checked<Table<ControlId, model::Control>> {
    let needs: Vec<(usize, ControlId, file::Stand)> = rows
        .iter()
        .enumerate()
        .filter_map(|(idx, row)| {
            let need = row.needs.as_ref()?;
            let need = file::Stand { control: need.control, position: need.position };
            Some((idx, ControlId(row.id), need))
        })
        .collect();
    let mut out = table(at, rows, |at, row: file::Control| {
        Ok((ControlId(row.id), control(at, row, parts)?))
    })?;
    for (idx, id, need) in needs {
        let row = at.row(idx);
        let (control, position) = stand(&row.field("needs"), &need, &out)?;
        if let Some(row) = out.get_mut(id) {
            row.needs = Some(Need { control, position });
        }
    }
    Ok(out)
}

fn control(
    at: &At<'_>,
    row: file::Control,
    parts: &Table<PartId, model::Part>,
) -> Checked<model::Control> {
    let positions_at = at.field("positions");
    let n_positions = row.positions.len();
    if !(limits::POSITIONS_LEAST..=limits::POSITIONS_MOST).contains(&n_positions) {
        return Err(positions_at.refuse(format!(
            "expected {} to {} positions, found {n_positions}",
            limits::POSITIONS_LEAST,
            limits::POSITIONS_MOST
        )));
    }
    if usize::from(row.rest) >= n_positions {
        return Err(at.field("rest").refuse(format!(
            "expected a position from 0 to {}, found {}",
            n_positions - 1,
            row.rest
        )));
    }
    let mut positions = Vec::with_capacity(n_positions);
    for (idx, row) in row.positions.into_iter().enumerate() {
        let at = positions_at.row(idx);
        positions.push(model::Position {
            name: value::text(&at.field("name"), row.name)?,
            throws: throws(&at.field("throws"), &row.throws, parts)?,
        });
    }
    Ok(model::Control {
        name: value::text(&at.field("name"), row.name)?,
        kind: row.kind.into(),
        positions,
        rest: row.rest,
        needs: None,
    })
}

fn throws(
    at: &At<'_>,
    rows: &[file::Throw],
    parts: &Table<PartId, model::Part>,
) -> Checked<BTreeMap<PartId, u8>> {
    value::at_most(at, rows, limits::THROWS, "contacts")?;
    let mut out = BTreeMap::new();
    for (idx, row) in rows.iter().enumerate() {
        let at = at.row(idx);
        let here = at.field("contact");
        let id = PartId(row.contact);
        let part = parts.get(id).ok_or_else(|| dangling(&here, "contact", row.contact))?;
        let PartKind::Contact(contact) = &part.kind else {
            return Err(here.refuse(format!(
                "expected the id of a contact, found {id}, which is {} {}",
                part.kind.noun(),
                part.name
            )));
        };
        if row.throw >= contact.form.throws() {
            return Err(at.field("throw").refuse(format!(
                "expected a throw of {} from 0 to {}, found {}",
                part.name,
                contact.form.throws().saturating_sub(1),
                row.throw
            )));
        }
        if out.insert(id, row.throw).is_some() {
            return Err(here.refuse(format!("expected each contact once, found {id} again")));
        }
    }
    Ok(out)
}

/// A control that exists, in a position it has.
fn stand(
    at: &At<'_>,
    row: &file::Stand,
    controls: &Table<ControlId, model::Control>,
) -> Checked<(ControlId, u8)> {
    let id = ControlId(row.control);
    let control =
        controls.get(id).ok_or_else(|| dangling(&at.field("control"), "control", row.control))?;
    if usize::from(row.position) >= control.positions.len() {
        return Err(at.field("position").refuse(format!(
            "expected a position of control {id} from 0 to {}, found {}",
            control.positions.len() - 1,
            row.position
        )));
    }
    Ok((id, row.position))
}

/// One sense pin.
pub fn sense_pin(
    at: &At<'_>,
    row: file::SensePin,
    parts: &Table<PartId, model::Part>,
    controls: &Table<ControlId, model::Control>,
) -> Checked<model::SensePin> {
    let scale: Scale = row.scale.into();
    let tolerant = |name, t: &Option<file::Tolerant>, bound| {
        t.as_ref().map(|t| value::tolerant(&at.field(name), t, bound)).transpose()
    };
    let loop_at = at.field("wire_loop_ohm");
    Ok(model::SensePin {
        name: value::text(&at.field("name"), row.name)?,
        terminal: terminal(&at.field("terminal"), &row.terminal, parts)?,
        reference: terminal(&at.field("reference"), &row.reference, parts)?,
        side: row.side.into(),
        pull_ohm: tolerant("pull_ohm", &row.pull_ohm, &limits::RESISTOR_OHM)?,
        reference_volt: tolerant("reference_volt", &row.reference_volt, &limits::SCALE_VOLT)?,
        full_scale: full_scale(&at.field("full_scale_volt"), row.full_scale_volt.as_ref())?,
        converter: converter(&at.field("converter"), row.converter.as_ref())?,
        limit_volt: value::maybe(&at.field("limit_volt"), row.limit_volt, &limits::VOLT)?,
        scale,
        bands: bands(&at.field("bands"), row.bands, scale)?,
        expectations: expectations(&at.field("expectations"), row.expectations, controls)?,
        debounce_ms: value::maybe(&at.field("debounce_ms"), row.debounce_ms, &limits::DEBOUNCE_MS)?,
        arming: value::text(&at.field("arming"), row.arming)?,
        wire_loop_ohm: row
            .wire_loop_ohm
            .as_ref()
            .map(|r| value::range(&loop_at, r, &limits::OHM))
            .transpose()?,
        leak_low_ohm: value::maybe(
            &at.field("leak_low_ohm"),
            row.leak_low_ohm,
            &limits::RESISTOR_OHM,
        )?,
        ground_offset_volt: value::number(
            &at.field("ground_offset_volt"),
            row.ground_offset_volt,
            &limits::VOLT,
        )?,
    })
}

fn full_scale(at: &At<'_>, row: Option<&file::FullScale>) -> Checked<Option<model::FullScale>> {
    Ok(match row {
        None => None,
        Some(file::FullScale::Ratiometric(volt)) => Some(model::FullScale::Ratiometric {
            volt: value::number(&at.field("ratiometric"), *volt, &limits::SCALE_VOLT)?,
        }),
        Some(file::FullScale::Fixed(row)) => Some(model::FullScale::Fixed(value::tolerant(
            &at.field("fixed"),
            row,
            &limits::SCALE_VOLT,
        )?)),
    })
}

fn converter(at: &At<'_>, row: Option<&file::Converter>) -> Checked<Option<model::Converter>> {
    let Some(row) = row else { return Ok(None) };
    value::number(&at.field("max_count"), f64::from(row.max_count), &limits::MAX_COUNT)?;
    let error_count =
        value::number(&at.field("error_count"), row.error_count, &limits::ERROR_COUNT)?;
    Ok(Some(model::Converter { max_count: row.max_count, error_count }))
}

fn bands(at: &At<'_>, rows: Vec<file::Band>, scale: Scale) -> Checked<Vec<model::Band>> {
    value::at_most(at, &rows, limits::BANDS, "bands")?;
    let bound = match scale {
        Scale::Ohm | Scale::Count => &limits::BAND_EDGE_ABOVE_ZERO,
        Scale::Volt | Scale::Percent => &limits::BAND_EDGE,
    };
    let mut out = Vec::with_capacity(rows.len());
    for (idx, row) in rows.into_iter().enumerate() {
        let at = at.row(idx);
        let low = value::number(&at.field("low"), row.low, bound)?;
        let high = value::maybe(&at.field("high"), row.high, bound)?;
        if let Some(high) = high.filter(|high| *high < low) {
            return Err(at.field("high").refuse(format!(
                "expected an upper edge not below the lower edge {low}, found {high}"
            )));
        }
        out.push(model::Band {
            name: value::text(&at.field("name"), row.name)?,
            role: row.role.into(),
            low,
            high,
            harm: row.harm.into(),
        });
    }
    Ok(out)
}

fn expectations(
    at: &At<'_>,
    rows: Vec<file::Expectation>,
    controls: &Table<ControlId, model::Control>,
) -> Checked<Vec<model::Expectation>> {
    value::at_most(at, &rows, limits::EXPECTATIONS, "expectations")?;
    let mut out = Vec::with_capacity(rows.len());
    for (idx, row) in rows.into_iter().enumerate() {
        let at = at.row(idx);
        let when_at = at.field("when");
        value::at_most(&when_at, &row.when, limits::CONTROLS, "controls")?;
        let mut when = BTreeMap::new();
        for (idx, row) in row.when.iter().enumerate() {
            let here = when_at.row(idx);
            let (control, position) = stand(&here, row, controls)?;
            if when.insert(control, position).is_some() {
                return Err(here
                    .field("control")
                    .refuse(format!("expected each control once, found {control} again")));
            }
        }
        out.push(model::Expectation {
            when,
            action: value::text(&at.field("action"), row.action)?,
        });
    }
    Ok(out)
}
