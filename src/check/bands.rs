//! Sense pins: their terminals, bands that overlap or lie out of reach, and what is asked of them.

use crate::check::findings::Found;
use crate::model::{Band, CavityFill, Project, Scale, SensePin, SensePinId, Subject};
use crate::sense::PinTable;
use crate::units::{format_ohm, trim_zeros};

/// Looks at every sense pin.
pub fn check(project: &Project, tables: &[&PinTable], found: &mut Found) {
    for (id, pin) in project.sense_pins.iter() {
        terminal(project, id, pin, found);
        overlaps(project, id, pin, found);
        out_of_reach(project, id, pin, found);
        let table = tables.iter().find(|table| table.pin == id);
        expectations(project, id, pin, table.copied(), found);
    }
    for (n, (id, pin)) in project.sense_pins.iter().enumerate() {
        if project.sense_pins.iter().take(n).any(|(_, other)| other.terminal == pin.terminal) {
            found.warning(
                Subject::SensePin(id),
                format!("two sense pins read {}", project.terminal_name(pin.terminal)),
                "delete one of them, or give it another cavity",
            );
        }
    }
}

fn terminal(project: &Project, id: SensePinId, pin: &SensePin, found: &mut Found) {
    let subject = Subject::SensePin(id);
    let name = project.terminal_name(pin.terminal);
    let part = project.parts.get(pin.terminal.part);
    let controller = part.and_then(|part| part.kind.controller());
    let Some(controller) = controller else {
        found.warning(
            subject,
            format!("sense pin {name} is no cavity of a controller"),
            "choose the cavity of the controller that reads the switches",
        );
        return;
    };
    let fill = controller.cavities.get(&(pin.terminal.terminal + 1)).map(|cavity| cavity.fill);
    if fill == Some(CavityFill::Plug) {
        found.warning(
            subject,
            format!("sense pin {name} is noted as plugged"),
            "take the note off, or choose another cavity",
        );
    }
    if pin.bands.is_empty() {
        found.note(
            subject,
            format!("sense pin {name} has no bands, so nothing is decoded"),
            "enter the bands from the controller's manual or its set-up",
        );
    } else if pin.expectations.is_empty() {
        found.note(
            subject,
            format!("nothing says which action {name} should read when"),
            "say for each position of a control which band is right",
        );
    }
}

/// Bands of different names that share readings; touching edges do not count.
fn overlaps(project: &Project, id: SensePinId, pin: &SensePin, found: &mut Found) {
    let end = |band: &Band| band.high.unwrap_or(f64::INFINITY);
    for (n, one) in pin.bands.iter().enumerate() {
        for other in &pin.bands[n + 1..] {
            let (low, high) = (one.low.max(other.low), end(one).min(end(other)));
            if one.name != other.name && low < high {
                let high = if high.is_finite() { number(pin.scale, high) } else { "open".into() };
                found.error(
                    Subject::SensePin(id),
                    format!(
                        "bands {} and {} of {} overlap from {} to {high}",
                        one.name,
                        other.name,
                        project.terminal_name(pin.terminal),
                        number(pin.scale, low),
                    ),
                    "move an edge, so that a reading means one thing",
                );
            }
        }
    }
}

/// Bands no reading can ever lie in.
fn out_of_reach(project: &Project, id: SensePinId, pin: &SensePin, found: &mut Found) {
    let most = match pin.scale {
        Scale::Ohm => None,
        Scale::Volt => pin.full_scale.map(|full| full.volt()),
        Scale::Count => pin.converter.map(|converter| f64::from(converter.max_count)),
        Scale::Percent => Some(100.0),
    };
    for band in &pin.bands {
        let at = project.terminal_name(pin.terminal);
        if let Some(most) = most.filter(|most| band.low > *most) {
            found.warning(
                Subject::SensePin(id),
                format!(
                    "band {} of {at} starts at {}, above full scale, {}",
                    band.name,
                    number(pin.scale, band.low),
                    number(pin.scale, most)
                ),
                "correct the band or the full scale",
            );
        }
        if band.high.is_some_and(|high| high < 0.0) {
            found.warning(
                Subject::SensePin(id),
                format!("band {} of {at} ends below zero", band.name),
                "correct the band",
            );
        }
    }
}

fn expectations(
    project: &Project,
    id: SensePinId,
    pin: &SensePin,
    table: Option<&PinTable>,
    found: &mut Found,
) {
    let subject = Subject::SensePin(id);
    let at = project.terminal_name(pin.terminal);
    let mut idle_controls = Vec::new();
    for expectation in &pin.expectations {
        if !pin.bands.iter().any(|band| band.name == expectation.action) {
            found.error(
                subject,
                format!("{at} is asked for {}, but has no band of that name", expectation.action),
                "add the band, or correct the name",
            );
        }
        for (control, position) in &expectation.when {
            match project.controls.get(*control) {
                None => found.error(
                    subject,
                    format!("{} of {at} asks for a control that is gone", expectation.action),
                    "take it out, or choose another control",
                ),
                Some(row) if usize::from(*position) >= row.positions.len() => found.error(
                    subject,
                    format!(
                        "{} of {at} asks for a position {} does not have",
                        expectation.action, row.name
                    ),
                    "choose a position it has",
                ),
                Some(row) => {
                    let matters = table.is_none_or(|table| table.controls.contains(control));
                    if !matters && !idle_controls.contains(&row.name) {
                        idle_controls.push(row.name.clone());
                    }
                }
            }
        }
    }
    for name in idle_controls {
        found.note(
            subject,
            format!("what is asked of {at} names {name}, which cannot change its reading"),
            "leave it out, or wire its contact into the network",
        );
    }
}

fn number(scale: Scale, value: f64) -> String {
    match scale {
        Scale::Ohm => format_ohm(value),
        Scale::Volt | Scale::Count | Scale::Percent => {
            format!("{} {}", trim_zeros(&format!("{value:.3}")), scale.unit())
        }
    }
}
