//! What an edit must not put into a project: numbers that mean nothing, rows that point nowhere.
//!
//! The bounds are those of [`crate::model::limits`], which files keep to as well: what an edit lets
//! in can be saved and opened again.

use crate::edit::bench;
use crate::edit::guard_element;
use crate::edit::{guard_fit, guard_wiring};
use crate::geometry::{Point, Rect};
use crate::model::limits::{self, Bound};
use crate::model::{
    Cavity, CavityLayout, Connector, Contact, ContactForm, Controller, EndKind, Frame, Part,
    PartKind, Piece, Place, Project, Run, Settings, Wire, WireSize,
};
use crate::units::{Range, Tolerant};

/// Outcome of a check: a sentence where it fails.
pub(super) type Checked = Result<(), String>;

/// A finite number above zero.
///
/// # Errors
/// A sentence naming the quantity.
pub fn check_positive(what: &str, value: f64) -> Checked {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(format!("{what} must be above zero, found {value}"))
    }
}

/// A number within the bound all projects keep to.
pub(super) fn check_bound(what: &str, value: f64, bound: &Bound) -> Checked {
    if bound.holds(value) {
        return Ok(());
    }
    if value.is_finite() && value <= 0.0 && bound.least > 0.0 {
        return Err(format!("{what} must be above zero, found {value}"));
    }
    if value.is_finite() && value < 0.0 && bound.least == 0.0 {
        return Err(format!("{what} must be zero or more, found {value}"));
    }
    Err(format!("{what} must be {}, found {value}", bound.words()))
}

pub(super) fn check_maybe(what: &str, value: Option<f64>, bound: &Bound) -> Checked {
    value.map_or(Ok(()), |value| check_bound(what, value, bound))
}

/// A fraction from zero to below one.
fn check_fraction(what: &str, value: f64) -> Checked {
    if limits::TOLERANCE.holds(value) {
        Ok(())
    } else {
        Err(format!("{what} must be from 0 % to below 100 %, found {} %", value * 100.0))
    }
}

pub(super) fn check_tolerant(what: &str, value: Tolerant, bound: &Bound) -> Checked {
    check_bound(what, value.nominal, bound)?;
    check_fraction(&format!("{what} tolerance"), value.tolerance)
}

/// A range of numbers within the bound, in order.
pub(super) fn check_range(what: &str, range: Range, bound: &Bound) -> Checked {
    for value in [range.low, range.nominal, range.high] {
        check_bound(what, value, bound)?;
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

pub(super) fn check_maybe_range(what: &str, range: Option<Range>, bound: &Bound) -> Checked {
    range.map_or(Ok(()), |range| check_range(what, range, bound))
}

/// A text that is not too long to keep.
pub(super) fn check_text(what: &str, text: &str, most: usize) -> Checked {
    let n_chars = text.chars().count();
    if n_chars <= most {
        Ok(())
    } else {
        Err(format!("{what} must be at most {most} characters long, found {n_chars}"))
    }
}

pub(super) fn check_texts(what: &str, texts: &[&str]) -> Checked {
    texts.iter().try_for_each(|text| check_text(what, text, limits::TEXT_CHARS))
}

/// Not too many of something.
pub(super) fn check_count(what: &str, count: usize, most: usize) -> Checked {
    if count <= most {
        Ok(())
    } else {
        Err(format!("there must be at most {most} {what}, found {count}"))
    }
}

/// Tables that are not too long, and names that copying has not made too long.
pub(super) fn check_sizes(project: &Project) -> Checked {
    check_count("parts", project.parts.len(), limits::PARTS)?;
    check_count("wires", project.wires.len(), limits::WIRES)?;
    check_count("frames", project.frames.len(), limits::FRAMES)?;
    check_count("controls", project.controls.len(), limits::CONTROLS)?;
    let parts = project.parts.iter().map(|(_, row)| row.name.as_str());
    let wires = project.wires.iter().map(|(_, row)| row.name.as_str());
    let controls = project.controls.iter().map(|(_, row)| row.name.as_str());
    parts.chain(wires).chain(controls).try_for_each(|name| check_texts("a name", &[name]))
}

pub(super) fn check_point(what: &str, p: Point) -> Checked {
    check_bound(&format!("{what}: place on the sheet"), p.x_mm, &limits::SHEET_MM)?;
    check_bound(&format!("{what}: place on the sheet"), p.y_mm, &limits::SHEET_MM)
}

/// A distance things are moved by.
pub(super) fn check_distance(by: Point) -> Checked {
    if by.x_mm.is_finite() && by.y_mm.is_finite() {
        Ok(())
    } else {
        Err(format!("a move must go somewhere, found {} and {} mm", by.x_mm, by.y_mm))
    }
}

/// A part whose numbers mean something.
///
/// # Errors
/// A sentence naming the part and the quantity.
pub fn check_part(part: &Part) -> Checked {
    if part.name.trim().is_empty() {
        return Err(format!("a {} needs a name", part.kind.noun()));
    }
    check_texts("a name or label", &[&part.name, &part.label])?;
    let name = &part.name;
    check_point(name, part.pos)?;
    match &part.kind {
        PartKind::Supply(supply) => {
            check_range(&format!("{name}: volts"), supply.volt, &limits::VOLT)?;
            check_positive(&format!("{name}: volts"), supply.volt.nominal)
        }
        PartKind::Fuse(fuse) => {
            check_bound(&format!("{name}: rating"), fuse.rating_amp, &limits::RATING_AMP)?;
            check_bound(&format!("{name}: cold resistance"), fuse.cold_ohm, &limits::OHM)
        }
        PartKind::Resistor(resistor) => {
            check_bound(&format!("{name}: resistance"), resistor.ohm, &limits::RESISTOR_OHM)?;
            check_fraction(&format!("{name}: tolerance"), resistor.tolerance)?;
            let tempco = resistor.tempco_ppm_per_k;
            check_bound(
                &format!("{name}: temperature coefficient"),
                tempco,
                &limits::TEMPCO_PPM_PER_K,
            )?;
            check_bound(&format!("{name}: power"), resistor.power_watt, &limits::POWER_WATT)
        }
        PartKind::Contact(contact) => check_contact(name, contact),
        PartKind::Connector(connector) => check_connector(name, connector),
        PartKind::Controller(controller) => check_controller(name, controller),
        PartKind::Element(element) => guard_element::check_element(name, element),
        PartKind::Splice { at: Some(at), .. } => {
            check_bound(&format!("{name}: distance"), at.distance_mm, &limits::SPARE_MM)
        }
        PartKind::Ground | PartKind::Splice { at: None, .. } | PartKind::TestPoint => Ok(()),
    }
}

fn check_contact(name: &str, contact: &Contact) -> Checked {
    if let ContactForm::Ways(ways) = contact.form
        && !(limits::WAYS_LEAST..=limits::WAYS_MOST).contains(&ways)
    {
        let (least, most) = (limits::WAYS_LEAST, limits::WAYS_MOST);
        return Err(format!("{name} must have {least} to {most} ways, found {ways}"));
    }
    check_maybe_range(&format!("{name}: contact resistance"), contact.closed_ohm, &limits::OHM)
}

fn check_connector(name: &str, connector: &Connector) -> Checked {
    check_cavities(name, connector.layout)?;
    guard_fit::check_fit(name, &connector.fit)?;
    let halves = [Some(&connector.first), connector.second.as_ref()];
    for half in halves.into_iter().flatten() {
        check_texts("the name of a half", &[&half.name])?;
    }
    check_notes(connector.cavities.values())?;
    check_maybe_range(&format!("{name}: joint resistance"), connector.joint_ohm, &limits::OHM)
}

fn check_controller(name: &str, controller: &Controller) -> Checked {
    check_cavities(name, controller.layout)?;
    guard_fit::check_fit(name, &controller.fit)?;
    check_texts("the name of a plug", &[&controller.plug.name])?;
    check_notes(controller.cavities.values())
}

fn check_notes<'a>(mut cavities: impl Iterator<Item = &'a Cavity>) -> Checked {
    cavities.try_for_each(|cavity| check_texts("the circuit of a cavity", &[&cavity.circuit]))
}

fn check_cavities(name: &str, layout: CavityLayout) -> Checked {
    if !layout.is_empty() && layout.count() <= limits::CAVITIES {
        Ok(())
    } else {
        Err(format!(
            "{name} must have 1 to {} cavities, found {}",
            limits::CAVITIES,
            layout.count()
        ))
    }
}

/// A part that refers only to what is there.
pub(super) fn check_part_references(project: &Project, part: &Part) -> Checked {
    if part.place.is_some_and(|place| !project.places.contains(place)) {
        return Err(format!("{} must sit at a place that exists", part.name));
    }
    match part.kind {
        PartKind::Splice { on: Some(wire), .. } if !project.wires.contains(wire) => {
            Err(format!("{} must be tapped onto a wire that exists", part.name))
        }
        PartKind::Splice { at: Some(at), .. }
            if !project.runs.contains(at.run) || !project.places.contains(at.from) =>
        {
            Err(format!("{} must sit on a run and count from a place that exist", part.name))
        }
        _ => Ok(()),
    }
}

pub(super) fn check_size(what: &str, size: WireSize) -> Checked {
    match size {
        WireSize::Mm2(area) => check_bound(what, area, &limits::AREA_MM2),
        WireSize::Awg(gauge) => check_bound(what, f64::from(gauge), &limits::AWG),
    }
}

/// A wire between two terminals that exist.
pub(super) fn check_wire(project: &Project, wire: &Wire) -> Checked {
    for end in [wire.from, wire.to] {
        if !project.has_terminal(end.terminal) {
            return Err(format!("wire {} must end at a terminal that exists", wire.name));
        }
    }
    if wire.from.terminal == wire.to.terminal {
        return Err("a wire must join two different terminals".into());
    }
    check_texts("a wire's name or circuit", &[&wire.name, &wire.circuit])?;
    check_size(&format!("wire {}: size", wire.name), wire.size)?;
    check_maybe(&format!("wire {}: length", wire.name), wire.typed_length_mm, &limits::LENGTH_MM)?;
    guard_wiring::check_make(&wire.name, &wire.make)?;
    check_count("corners on a wire", wire.bends.len(), limits::BENDS)?;
    check_count("places on the way of a wire", wire.via.len(), limits::VIA)?;
    wire.bends.iter().try_for_each(|bend| check_point(&format!("wire {}", wire.name), *bend))?;
    match wire.via.iter().find(|place| !project.places.contains(**place)) {
        Some(_) => Err(format!("wire {} must pass through places that exist", wire.name)),
        None => Ok(()),
    }
}

/// A frame on the sheet, its corners the right way round.
pub(super) fn check_frame(frame: &Frame) -> Checked {
    check_texts("the name of a frame", &[&frame.name])?;
    let Rect { min, max } = frame.rect;
    check_point("a frame", min)?;
    check_point("a frame", max)?;
    if min.x_mm <= max.x_mm && min.y_mm <= max.y_mm {
        Ok(())
    } else {
        Err("a frame must go from its upper left corner to its lower right one".into())
    }
}

/// A place on the layout.
pub(super) fn check_place(place: &Place) -> Checked {
    check_texts("the name of a place", &[&place.name])?;
    check_point(&place.name, place.pos)
}

/// A run between two places that exist, with a length.
pub(super) fn check_run(project: &Project, run: &Run) -> Checked {
    check_texts("the name of a run", &[&run.name])?;
    if !project.places.contains(run.from) || !project.places.contains(run.to) {
        return Err(format!("run {} must end at places that exist", run.name));
    }
    if run.from == run.to {
        return Err(format!("run {} must join two different places", run.name));
    }
    check_bound(&format!("run {}: length", run.name), run.length_mm, &limits::LENGTH_MM)?;
    check_maybe(&format!("run {}: loop", run.name), run.loop_mm, &limits::SPARE_MM)?;
    guard_wiring::check_laid(&run.name, &run.laid)
}

/// A piece of wire whose numbers mean something.
pub(super) fn check_piece(piece: &Piece) -> Checked {
    check_texts("the texts of a piece", &[&piece.name, &piece.condition, &piece.source])?;
    let name = &piece.name;
    check_bound(&format!("piece {name}: length"), piece.length_mm, &limits::LENGTH_MM)?;
    check_size(&format!("piece {name}: size"), piece.size)?;
    check_maybe(&format!("piece {name}: outside diameter"), piece.outside_mm, &limits::LENGTH_MM)?;
    check_maybe(&format!("piece {name}: measured resistance"), piece.measured_ohm, &limits::OHM)
}

/// Settings whose numbers mean something.
pub(super) fn check_settings(settings: &Settings) -> Checked {
    check_range("contact resistance", settings.contact_ohm, &limits::OHM)?;
    check_range("joint resistance", settings.joint_ohm, &limits::OHM)?;
    check_bound("temperature span", settings.temperature_span_k, &limits::TEMPERATURE_SPAN_K)?;
    check_bound("length factor", settings.length_factor, &limits::LENGTH_FACTOR)?;
    if settings.length_factor < 1.0 {
        return Err(format!("length factor must be 1 or more, found {}", settings.length_factor));
    }
    for kind in EndKind::ALL {
        let what = format!("allowance for a {} end", kind.noun());
        check_bound(&what, settings.allowances.of(kind), &limits::SPARE_MM)?;
    }
    check_bound("rounding of cut lengths", settings.rounding_mm, &limits::ROUNDING_MM)?;
    check_fraction("share of the meter's reading", settings.meter.fraction)?;
    check_bound("meter offset", settings.meter.offset_ohm, &limits::OHM)?;
    bench::check_meter(&settings.meter)?;
    settings.timing.check()?;
    guard_wiring::check_wiring(&settings.wiring)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_that_mean_nothing_are_refused() {
        for value in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(check_positive("resistance", value).is_err(), "{value}");
        }
        assert!(
            check_range("dirt", Range { low: 2.0, nominal: 1.0, high: 3.0 }, &limits::OHM).is_err()
        );
    }
}
