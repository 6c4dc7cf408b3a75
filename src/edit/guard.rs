//! What an edit must not put into a project: numbers that mean nothing, rows that point nowhere.

use crate::model::{
    Band, Connector, Control, EndKind, Part, PartKind, Project, Run, SensePin, Settings, Wire,
};
use crate::units::Range;

/// Greatest number of cavities of one connector.
const CAVITIES_MOST: u16 = 400;

/// A finite number above zero.
///
/// # Errors
/// A sentence naming the quantity.
pub fn check_positive(what: &str, value: f64) -> Result<(), String> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(format!("{what} must be above zero, found {value}"))
    }
}

/// A finite number, zero or more.
fn check_not_negative(what: &str, value: f64) -> Result<(), String> {
    if value.is_finite() && value >= 0.0 {
        Ok(())
    } else {
        Err(format!("{what} must be zero or more, found {value}"))
    }
}

/// A fraction from zero to below one.
fn check_fraction(what: &str, value: f64) -> Result<(), String> {
    if value.is_finite() && (0.0..1.0).contains(&value) {
        Ok(())
    } else {
        Err(format!("{what} must be from 0 % to below 100 %, found {} %", value * 100.0))
    }
}

/// A range of finite numbers, zero or more, in order.
fn check_range(what: &str, range: Range) -> Result<(), String> {
    for value in [range.low, range.nominal, range.high] {
        check_not_negative(what, value)?;
    }
    if range.is_ordered() {
        Ok(())
    } else {
        Err(format!(
            "{what} must go from low to high, found {} … {} … {}",
            range.low, range.nominal, range.high
        ))
    }
}

/// A part whose numbers mean something.
///
/// # Errors
/// A sentence naming the part and the quantity.
pub fn check_part(part: &Part) -> Result<(), String> {
    let name = &part.name;
    if name.trim().is_empty() {
        return Err(format!("a {} needs a name", part.kind.noun()));
    }
    if !(part.pos.x_mm.is_finite() && part.pos.y_mm.is_finite()) {
        return Err(format!("{name} must stand somewhere on the sheet"));
    }
    match &part.kind {
        PartKind::Supply(supply) => {
            check_range(&format!("{name}: volts"), supply.volt)?;
            check_positive(&format!("{name}: volts"), supply.volt.nominal)
        }
        PartKind::Fuse(fuse) => {
            check_positive(&format!("{name}: rating"), fuse.rating_amp)?;
            check_not_negative(&format!("{name}: cold resistance"), fuse.cold_ohm)
        }
        PartKind::Resistor(resistor) => {
            check_positive(&format!("{name}: resistance"), resistor.ohm)?;
            check_fraction(&format!("{name}: tolerance"), resistor.tolerance)?;
            check_not_negative(
                &format!("{name}: temperature coefficient"),
                resistor.tempco_ppm_per_k,
            )?;
            check_positive(&format!("{name}: power"), resistor.power_watt)
        }
        PartKind::Contact(contact) => contact
            .closed_ohm
            .map_or(Ok(()), |range| check_range(&format!("{name}: contact resistance"), range)),
        PartKind::Connector(connector) => check_connector(name, connector),
        PartKind::Controller(controller) => check_cavities(name, controller.layout.count()),
        PartKind::Ground | PartKind::Splice { .. } | PartKind::TestPoint => Ok(()),
    }
}

fn check_connector(name: &str, connector: &Connector) -> Result<(), String> {
    check_cavities(name, connector.layout.count())?;
    connector
        .joint_ohm
        .map_or(Ok(()), |range| check_range(&format!("{name}: joint resistance"), range))
}

fn check_cavities(name: &str, count: u16) -> Result<(), String> {
    if (1..=CAVITIES_MOST).contains(&count) {
        Ok(())
    } else {
        Err(format!("{name} must have 1 to {CAVITIES_MOST} cavities, found {count}"))
    }
}

/// A wire between two terminals that exist.
pub(super) fn check_wire(project: &Project, wire: &Wire) -> Result<(), String> {
    for end in [wire.from, wire.to] {
        if !project.has_terminal(end.terminal) {
            return Err(format!("wire {} must end at a terminal that exists", wire.name));
        }
    }
    if wire.from.terminal == wire.to.terminal {
        return Err("a wire must join two different terminals".into());
    }
    check_positive(&format!("wire {}: size", wire.name), wire.size.area_mm2())?;
    if let Some(length_mm) = wire.typed_length_mm {
        check_positive(&format!("wire {}: length", wire.name), length_mm)?;
    }
    match wire.via.iter().find(|place| !project.places.contains(**place)) {
        Some(_) => Err(format!("wire {} must pass through places that exist", wire.name)),
        None => Ok(()),
    }
}

/// A control with at least two positions, a rest among them, and contacts that exist.
pub(super) fn check_control(project: &Project, control: &Control) -> Result<(), String> {
    let name = &control.name;
    if name.trim().is_empty() {
        return Err("a control needs a name".into());
    }
    if control.positions.len() < 2 || control.positions.len() > 24 {
        return Err(format!(
            "{name} must have 2 to 24 positions, found {}",
            control.positions.len()
        ));
    }
    if usize::from(control.rest) >= control.positions.len() {
        return Err(format!("{name} must rest in one of its positions"));
    }
    for position in &control.positions {
        for (part, throw) in &position.throws {
            let throws = match project.parts.get(*part).map(|part| &part.kind) {
                Some(PartKind::Contact(contact)) => contact.form.throws(),
                _ => {
                    return Err(format!(
                        "{name}, position {}: moves a contact that does not exist",
                        position.name
                    ));
                }
            };
            if *throw >= throws {
                return Err(format!(
                    "{name}, position {}: the contact has no throw {throw}",
                    position.name
                ));
            }
        }
    }
    match control.needs {
        Some(need) if !project.controls.contains(need.control) => {
            Err(format!("{name} must need a control that exists"))
        }
        _ => Ok(()),
    }
}

/// A band the right way up.
///
/// # Errors
/// A sentence naming the band and both edges.
pub fn check_band(band: &Band) -> Result<(), String> {
    let name = &band.name;
    if name.trim().is_empty() {
        return Err("a band needs a name".into());
    }
    check_not_negative(&format!("band {name}: lower edge"), band.low)?;
    match band.high {
        None => Ok(()),
        Some(high) if !high.is_finite() => {
            Err(format!("band {name}: upper edge must be a number, found {high}"))
        }
        Some(high) if high <= band.low => Err(format!(
            "band {name} is upside down: its upper edge {high} must lie above its lower edge {}",
            band.low
        )),
        Some(_) => Ok(()),
    }
}

/// A sense pin whose numbers mean something and whose terminals exist.
pub(super) fn check_sense_pin(project: &Project, pin: &SensePin) -> Result<(), String> {
    let name = &pin.name;
    for terminal in [pin.terminal, pin.reference] {
        if !project.has_terminal(terminal) {
            return Err(format!("sense pin {name} must use terminals that exist"));
        }
    }
    for (what, value) in [("pull", pin.pull_ohm), ("reference", pin.reference_volt)] {
        if let Some(value) = value {
            check_positive(&format!("{name}: {what}"), value.nominal)?;
            check_fraction(&format!("{name}: {what} tolerance"), value.tolerance)?;
        }
    }
    if let Some(full_scale) = pin.full_scale {
        check_positive(&format!("{name}: full scale"), full_scale.volt())?;
    }
    if let Some(converter) = pin.converter {
        check_positive(&format!("{name}: greatest count"), f64::from(converter.max_count))?;
        check_not_negative(&format!("{name}: converter error"), converter.error_count)?;
    }
    if let Some(limit) = pin.limit_volt {
        check_positive(&format!("{name}: greatest voltage"), limit)?;
    }
    if let Some(range) = pin.wire_loop_ohm {
        check_range(&format!("{name}: wire loop"), range)?;
    }
    if let Some(leak) = pin.leak_low_ohm {
        check_positive(&format!("{name}: leak"), leak)?;
    }
    check_not_negative(&format!("{name}: ground offset"), pin.ground_offset_volt)?;
    pin.bands.iter().try_for_each(check_band)
}

/// A run between two places that exist, with a length.
pub(super) fn check_run(project: &Project, run: &Run) -> Result<(), String> {
    if !project.places.contains(run.from) || !project.places.contains(run.to) {
        return Err(format!("run {} must end at places that exist", run.name));
    }
    if run.from == run.to {
        return Err(format!("run {} must join two different places", run.name));
    }
    check_positive(&format!("run {}: length", run.name), run.length_mm)?;
    run.loop_mm
        .map_or(Ok(()), |loop_mm| check_not_negative(&format!("run {}: loop", run.name), loop_mm))
}

/// Settings whose numbers mean something.
pub(super) fn check_settings(settings: &Settings) -> Result<(), String> {
    check_range("contact resistance", settings.contact_ohm)?;
    check_range("joint resistance", settings.joint_ohm)?;
    check_not_negative("temperature span", settings.temperature_span_k)?;
    check_positive("length factor", settings.length_factor)?;
    if settings.length_factor < 1.0 {
        return Err(format!("length factor must be 1 or more, found {}", settings.length_factor));
    }
    for kind in EndKind::ALL {
        check_not_negative(
            &format!("allowance for a {} end", kind.noun()),
            settings.allowances.of(kind),
        )?;
    }
    check_positive("rounding of cut lengths", settings.rounding_mm)?;
    check_fraction("share of the meter's reading", settings.meter.fraction)?;
    check_not_negative("meter offset", settings.meter.offset_ohm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::BandRole;

    #[test]
    fn a_band_upside_down_is_named_with_both_edges() {
        let band =
            Band { name: "UP".into(), role: BandRole::Action, low: 1120.0, high: Some(930.0) };
        let message = check_band(&band).unwrap_err();
        assert!(
            message.contains("UP") && message.contains("930") && message.contains("1120"),
            "{message}"
        );
    }

    #[test]
    fn numbers_that_mean_nothing_are_refused() {
        for value in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(check_positive("resistance", value).is_err(), "{value}");
        }
        assert!(check_range("dirt", Range { low: 2.0, nominal: 1.0, high: 3.0 }).is_err());
    }
}
