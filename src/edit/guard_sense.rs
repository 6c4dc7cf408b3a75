//! What an edit may not do to controls, bands and sense pins.

use crate::edit::guard::{
    Checked, check_bound, check_count, check_maybe, check_maybe_range, check_texts, check_tolerant,
};
use crate::model::limits;
use crate::model::{Band, Control, FullScale, Need, PartKind, Project, SensePin};

/// A control with at least two positions, a rest among them, and contacts that exist.
pub(super) fn check_control(project: &Project, control: &Control) -> Checked {
    let name = &control.name;
    if name.trim().is_empty() {
        return Err("a control needs a name".into());
    }
    check_texts("the name of a control", &[name])?;
    let n_positions = control.positions.len();
    if !(limits::POSITIONS_LEAST..=limits::POSITIONS_MOST).contains(&n_positions) {
        return Err(format!(
            "{name} must have {} to {} positions, found {n_positions}",
            limits::POSITIONS_LEAST,
            limits::POSITIONS_MOST
        ));
    }
    if usize::from(control.rest) >= n_positions {
        return Err(format!("{name} must rest in one of its positions"));
    }
    for position in &control.positions {
        check_texts("the name of a position", &[&position.name])?;
        check_count("contacts moved at once", position.throws.len(), limits::THROWS)?;
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
    control.needs.map_or(Ok(()), |need| check_need(project, name, need))
}

fn check_need(project: &Project, name: &str, need: Need) -> Checked {
    match project.controls.get(need.control) {
        None => Err(format!("{name} must need a control that exists")),
        Some(other) if usize::from(need.position) >= other.positions.len() => {
            Err(format!("{name} must need a position that {} has", other.name))
        }
        Some(_) => Ok(()),
    }
}

/// A band the right way up.
///
/// # Errors
/// A sentence naming the band and both edges.
pub fn check_band(band: &Band) -> Checked {
    let name = &band.name;
    if name.trim().is_empty() {
        return Err("a band needs a name".into());
    }
    check_texts("the name of a band", &[name])?;
    check_bound(&format!("band {name}: lower edge"), band.low, &limits::BAND_EDGE_ABOVE_ZERO)?;
    match band.high {
        None => Ok(()),
        Some(high) if !high.is_finite() => {
            Err(format!("band {name}: upper edge must be a number, found {high}"))
        }
        Some(high) if high <= band.low => Err(format!(
            "band {name} is upside down: its upper edge {high} must lie above its lower edge {}",
            band.low
        )),
        Some(high) => {
            check_bound(&format!("band {name}: upper edge"), high, &limits::BAND_EDGE_ABOVE_ZERO)
        }
    }
}

/// A sense pin whose numbers mean something and whose references lead somewhere.
pub(super) fn check_sense_pin(project: &Project, pin: &SensePin) -> Checked {
    let name = &pin.name;
    check_texts("the texts of a sense pin", &[name, &pin.arming])?;
    for terminal in [pin.terminal, pin.reference] {
        if !project.has_terminal(terminal) {
            return Err(format!("sense pin {name} must use terminals that exist"));
        }
    }
    if let Some(pull) = pin.pull_ohm {
        check_tolerant(&format!("{name}: pull"), pull, &limits::RESISTOR_OHM)?;
    }
    if let Some(reference) = pin.reference_volt {
        check_tolerant(&format!("{name}: reference"), reference, &limits::SCALE_VOLT)?;
    }
    match pin.full_scale {
        None => {}
        Some(FullScale::Ratiometric { volt }) => {
            check_bound(&format!("{name}: full scale"), volt, &limits::SCALE_VOLT)?;
        }
        Some(FullScale::Fixed(value)) => {
            check_tolerant(&format!("{name}: full scale"), value, &limits::SCALE_VOLT)?;
        }
    }
    if let Some(converter) = pin.converter {
        check_bound(
            &format!("{name}: greatest count"),
            f64::from(converter.max_count),
            &limits::MAX_COUNT,
        )?;
        check_bound(
            &format!("{name}: converter error"),
            converter.error_count,
            &limits::ERROR_COUNT,
        )?;
    }
    check_maybe(&format!("{name}: greatest voltage"), pin.limit_volt, &limits::VOLT)?;
    check_maybe(&format!("{name}: debounce"), pin.debounce_ms, &limits::DEBOUNCE_MS)?;
    check_maybe_range(&format!("{name}: wire loop"), pin.wire_loop_ohm, &limits::OHM)?;
    check_maybe(&format!("{name}: leak"), pin.leak_low_ohm, &limits::RESISTOR_OHM)?;
    check_bound(&format!("{name}: ground offset"), pin.ground_offset_volt, &limits::VOLT)?;
    check_count("bands of a sense pin", pin.bands.len(), limits::BANDS)?;
    pin.bands.iter().try_for_each(check_band)?;
    check_expectations(project, pin)
}

fn check_expectations(project: &Project, pin: &SensePin) -> Checked {
    check_count("expectations of a sense pin", pin.expectations.len(), limits::EXPECTATIONS)?;
    for expectation in &pin.expectations {
        check_texts("the action of an expectation", &[&expectation.action])?;
        for (control, position) in &expectation.when {
            let has_it = project
                .controls
                .get(*control)
                .is_some_and(|c| usize::from(*position) < c.positions.len());
            if !has_it {
                return Err(format!(
                    "{}: an expectation names a position that does not exist",
                    pin.name
                ));
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{BandRole, Harm};

    #[test]
    fn a_band_upside_down_is_named_with_both_edges() {
        let band = Band {
            name: "UP".into(),
            role: BandRole::Action,
            low: 1120.0,
            high: Some(930.0),
            harm: Harm::Nuisance,
        };
        let message = check_band(&band).unwrap_err();
        assert!(
            message.contains("UP") && message.contains("930") && message.contains("1120"),
            "{message}"
        );
    }
}
