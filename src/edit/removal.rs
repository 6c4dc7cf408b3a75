//! Taking rows out, and with them everything that refers to them.

use std::collections::BTreeMap;

use crate::edit::apply::{Applied, EditError};
use crate::edit::cutting_edit::forget_gone;
use crate::edit::edit_kind::{Item, Selection};
use crate::edit::story_edit;
use crate::model::{
    ControlId, PartId, PartKind, PlaceId, Project, RunId, RunPoint, TerminalRef, WireId,
};

/// Needs and expectations on positions from `count` on are forgotten; with 0, all of the control.
pub fn forget_positions(project: &mut Project, control: ControlId, count: u8) {
    let needing: Vec<ControlId> = project
        .controls
        .iter()
        .filter(|(_, c)| c.needs.is_some_and(|n| n.control == control && n.position >= count))
        .map(|(id, _)| id)
        .collect();
    for id in needing {
        if let Some(other) = project.controls.get_mut(id) {
            other.needs = None;
        }
    }
    let stale = |when: &BTreeMap<ControlId, u8>| {
        when.get(&control).is_some_and(|position| *position >= count)
    };
    let pins: Vec<_> = project
        .sense_pins
        .iter()
        .filter(|(_, pin)| pin.expectations.iter().any(|e| stale(&e.when)))
        .map(|(id, _)| id)
        .collect();
    for id in pins {
        if let Some(pin) = project.sense_pins.get_mut(id) {
            pin.expectations.retain(|e| !stale(&e.when));
        }
    }
    story_edit::forget_gone(project);
}

/// Deletes items of the sheet, and with parts the wires, sense pins and throws that need them.
pub fn remove(project: &mut Project, items: &Selection) {
    for item in items {
        match item {
            Item::Part(id) => remove_part(project, *id),
            Item::Wire(id) => remove_wire(project, *id),
            Item::Frame(id) => {
                project.frames.remove(*id);
            }
        }
    }
    forget_gone(project);
    forget_permit(project);
    story_edit::forget_gone(project);
}

/// A permit loop has no ends once one of them is gone.
pub fn forget_permit(project: &mut Project) {
    let is_there = |(from, to): &(TerminalRef, TerminalRef)| {
        project.has_terminal(*from) && project.has_terminal(*to)
    };
    project.permit = project.permit.filter(is_there);
}

fn remove_wire(project: &mut Project, id: WireId) {
    project.wires.remove(id);
    let tapped: Vec<PartId> = project
        .parts
        .iter()
        .filter(|(_, part)| matches!(part.kind, PartKind::Splice { on: Some(on), .. } if on == id))
        .map(|(part, _)| part)
        .collect();
    for part in tapped {
        if let Some(part) = project.parts.get_mut(part) {
            forget(&mut part.kind, |on, _| *on = None);
        }
    }
}

fn remove_part(project: &mut Project, id: PartId) {
    project.parts.remove(id);
    let wires: Vec<WireId> = project
        .wires
        .iter()
        .filter(|(_, wire)| wire.from.terminal.part == id || wire.to.terminal.part == id)
        .map(|(wire, _)| wire)
        .collect();
    for wire in wires {
        remove_wire(project, wire);
    }
    let pins: Vec<_> = project
        .sense_pins
        .iter()
        .filter(|(_, pin)| pin.terminal.part == id || pin.reference.part == id)
        .map(|(pin, _)| pin)
        .collect();
    for pin in pins {
        project.sense_pins.remove(pin);
    }
    let controls: Vec<ControlId> = project
        .controls
        .iter()
        .filter(|(_, control)| control.positions.iter().any(|p| p.throws.contains_key(&id)))
        .map(|(control, _)| control)
        .collect();
    for control_id in controls {
        let Some(control) = project.controls.get_mut(control_id) else { continue };
        for position in &mut control.positions {
            position.throws.remove(&id);
        }
        // A control that moved only this contact has nothing left to do.
        if control.positions.iter().all(|p| p.throws.is_empty()) {
            project.controls.remove(control_id);
            forget_positions(project, control_id, 0);
        }
    }
}

/// Splices no longer sit on a run that is gone.
pub fn forget_run(project: &mut Project, id: RunId) {
    forget_points(project, |at| at.run == id);
}

fn forget_points(project: &mut Project, is_gone: impl Fn(RunPoint) -> bool) {
    let there: Vec<PartId> = project
        .parts
        .iter()
        .filter(
            |(_, part)| matches!(part.kind, PartKind::Splice { at: Some(at), .. } if is_gone(at)),
        )
        .map(|(part, _)| part)
        .collect();
    for part in there {
        if let Some(part) = project.parts.get_mut(part) {
            forget(&mut part.kind, |_, at| *at = None);
        }
    }
}

/// Changes what a splice refers to; other kinds stay.
fn forget(kind: &mut PartKind, change: impl Fn(&mut Option<WireId>, &mut Option<RunPoint>)) {
    if let PartKind::Splice { on, at } = kind {
        change(on, at);
    }
}

/// Deletes a place, the runs that end there, and what refers to it.
pub fn remove_place(project: &mut Project, id: PlaceId) -> Result<Applied, EditError> {
    project.places.remove(id).ok_or_else(|| EditError("the place is no longer there".into()))?;
    let runs: Vec<_> = project
        .runs
        .iter()
        .filter(|(_, r)| r.from == id || r.to == id)
        .map(|(run, _)| run)
        .collect();
    for run in runs {
        project.runs.remove(run);
        forget_run(project, run);
    }
    forget_points(project, |at| at.from == id);
    let parts: Vec<_> =
        project.parts.iter().filter(|(_, p)| p.place == Some(id)).map(|(part, _)| part).collect();
    for part in parts {
        if let Some(part) = project.parts.get_mut(part) {
            part.place = None;
        }
    }
    let wires: Vec<_> =
        project.wires.iter().filter(|(_, w)| w.via.contains(&id)).map(|(wire, _)| wire).collect();
    for wire in wires {
        if let Some(wire) = project.wires.get_mut(wire) {
            wire.via.retain(|via| *via != id);
        }
    }
    Ok(Applied::default())
}
