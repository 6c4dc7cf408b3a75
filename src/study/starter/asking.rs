//! The controls of a ladder, and what its pin is asked for when they are moved.

use std::collections::BTreeMap;

use crate::edit::Edit;
use crate::model::{
    BandRole, Control, ControlId, ControlKind, Expectation, PartId, Position, SensePin, SensePinId,
    TerminalRef,
};
use crate::study::starter::combinations::{PlannedControl, controls};
use crate::study::starter::layout::{Hand, Parts};
use crate::study::starter::{Device, Plan, Wanted};

/// A control, and the action each of its positions off rest asks for.
pub type Asking = (ControlId, Vec<(u8, usize)>);

/// Controls by station; returns each with the actions of its positions.
pub fn add_controls(
    hand: &mut Hand,
    wanted: &Wanted,
    parts: &Parts,
) -> Result<Vec<Asking>, String> {
    let mut asked = Vec::new();
    for planned in controls(wanted) {
        let contact = |action: usize| -> Result<PartId, String> {
            let rung = parts.actions.iter().position(|known| *known == action);
            let part = rung.and_then(|rung| parts.contacts.get(&(planned.station, rung)));
            part.copied().ok_or_else(|| "a contact was not placed".into())
        };
        let (control, positions) = control(wanted, &planned, &contact)?;
        let applied = hand.make(Edit::AddControl(control))?;
        let id = applied.control.ok_or("a control was not made")?;
        asked.push((id, positions));
    }
    Ok(asked)
}

/// A control, and the action each of its positions asks for.
fn control(
    wanted: &Wanted,
    planned: &PlannedControl,
    contact: &dyn Fn(usize) -> Result<PartId, String>,
) -> Result<(Control, Vec<(u8, usize)>), String> {
    let name_of = |action: usize| wanted.actions[action].name.clone();
    let station = &wanted.stations[planned.station];
    let position = |name: &str, action: Option<usize>| -> Result<Position, String> {
        let throws = match action {
            Some(action) => [(contact(action)?, 1)].into(),
            None => BTreeMap::new(),
        };
        Ok(Position { name: name.to_owned(), throws })
    };
    let first = planned.actions[0];
    let (kind, positions, asks, rest) = match (planned.device, planned.actions.get(1)) {
        (Device::Button | Device::Toggle, _) => {
            let kind = match planned.device {
                Device::Toggle => ControlKind::Maintained,
                Device::Button | Device::Lever => ControlKind::Momentary,
            };
            let positions = vec![position("off", None)?, position("on", Some(first))?];
            (kind, positions, vec![(1, first)], 0)
        }
        (Device::Lever, Some(second)) => {
            let positions = vec![
                position(&name_of(first), Some(first))?,
                position("centre", None)?,
                position(&name_of(*second), Some(*second))?,
            ];
            (ControlKind::SpringReturn, positions, vec![(0, first), (2, *second)], 1)
        }
        (Device::Lever, None) => {
            let positions =
                vec![position("centre", None)?, position(&name_of(first), Some(first))?];
            (ControlKind::SpringReturn, positions, vec![(1, first)], 0)
        }
    };
    let what = match (planned.device, planned.actions.get(1)) {
        (Device::Lever, Some(second)) => format!("{} / {}", name_of(first), name_of(*second)),
        (Device::Button | Device::Lever | Device::Toggle, _) => name_of(first),
    };
    let name = if station.is_empty() { what } else { format!("{what} {station}") };
    Ok((Control { name, kind, positions, rest, needs: None }, asks))
}

/// The sense pin with its bands and what is asked of it.
pub fn add_pin(
    hand: &mut Hand,
    wanted: &Wanted,
    plan: &Plan,
    (parts, asked): (&Parts, &[Asking]),
) -> Result<SensePinId, String> {
    let mut expectations = Vec::new();
    let names_idle = plan.pin.bands.iter().any(|band| band.role == BandRole::Idle);
    if names_idle {
        let rest = |id: &ControlId| hand.work.controls.get(*id).map_or(0, |control| control.rest);
        let when = asked.iter().map(|(id, _)| (*id, rest(id))).collect();
        expectations.push(Expectation { when, action: wanted.idle.clone() });
    }
    for (id, positions) in asked {
        for (position, action) in positions {
            let action = wanted.actions[*action].name.clone();
            expectations.push(Expectation { when: [(*id, *position)].into(), action });
        }
    }
    let at = |terminal| TerminalRef { part: parts.controller, terminal };
    let pin = SensePin { terminal: at(0), reference: at(1), expectations, ..plan.pin.clone() };
    let applied = hand.make(Edit::AddSensePin(Box::new(pin)))?;
    applied.row.map(SensePinId).ok_or_else(|| "the sense pin was not made".into())
}
