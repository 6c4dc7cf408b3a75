//! The edits that put, replace or take one whole row of a table.

use std::collections::BTreeMap;

use crate::edit::apply::{Applied, EditError, list_cavity};
use crate::edit::bench;
use crate::edit::cutting_edit::{apply_cutting, forget_ends_done};
use crate::edit::edit_kind::Edit;
use crate::edit::guard;
use crate::edit::guard_sense;
use crate::edit::record::apply_record;
use crate::edit::removal::{forget_permit, forget_positions, forget_run, remove_place};
use crate::edit::story_edit::{apply_story, forget_gone};
use crate::edit::underlay::{set_layout_scale, set_underlay};
use crate::model::{
    ControlId, Part, PartId, PartKind, PieceId, PlaceId, Project, RunId, SensePinId, TerminalRef,
    limits,
};

/// The edits that put, replace or take a whole row.
pub(super) fn apply_to_rows(project: &mut Project, edit: Edit) -> Result<Applied, EditError> {
    match edit {
        Edit::SetPart(id, part) => set_part(project, id, *part),
        Edit::SetWire(id, wire) => {
            guard::check_wire(project, &wire)?;
            forget_ends_done(project, id, &wire);
            replace(project.wires.get_mut(id), *wire, "wire")
        }
        Edit::SetFrame(id, frame) => {
            guard::check_frame(&frame)?;
            replace(project.frames.get_mut(id), frame, "frame")
        }
        Edit::SetOhms(ohms) => set_ohms(project, &ohms),
        Edit::AddControl(control) => {
            guard_sense::check_control(project, &control)?;
            guard::check_count("controls", project.controls.len() + 1, limits::CONTROLS)?;
            let id: ControlId = project.fresh_id();
            project.controls.put(id, control);
            Ok(Applied { control: Some(id), row: Some(id.0), ..Applied::default() })
        }
        Edit::SetControl(id, control) => {
            guard_sense::check_control(project, &control)?;
            let fewer = u8::try_from(control.positions.len()).unwrap_or(u8::MAX);
            replace(project.controls.get_mut(id), control, "control")?;
            forget_positions(project, id, fewer);
            Ok(Applied::default())
        }
        Edit::RemoveControl(id) => {
            project.controls.remove(id).ok_or_else(|| gone("control"))?;
            forget_positions(project, id, 0);
            Ok(Applied::default())
        }
        Edit::AddSensePin(pin) => {
            guard_sense::check_sense_pin(project, &pin)?;
            guard::check_count("sense pins", project.sense_pins.len() + 1, limits::SENSE_PINS)?;
            let id: SensePinId = project.fresh_id();
            list_cavity(project, pin.terminal);
            project.sense_pins.put(id, *pin);
            Ok(row(id.0))
        }
        Edit::SetSensePin(id, pin) => {
            guard_sense::check_sense_pin(project, &pin)?;
            replace(project.sense_pins.get_mut(id), *pin, "sense pin")
        }
        Edit::RemoveSensePin(id) => {
            let removed = taken(project.sense_pins.remove(id), "sense pin")?;
            forget_gone(project);
            Ok(removed)
        }
        Edit::SetCutting(edit) => apply_cutting(project, edit),
        Edit::SetPermit(ends) => set_permit(project, ends),
        Edit::SetSettings(settings) => {
            guard::check_settings(&settings)?;
            project.settings = *settings;
            Ok(Applied::default())
        }
        Edit::SetTitle(title) => {
            guard::check_text("the title", &title, limits::TEXT_CHARS)?;
            project.title = title;
            Ok(Applied::default())
        }
        Edit::SetNotes(notes) => {
            guard::check_text("the notes", &notes, limits::NOTES_CHARS)?;
            project.notes = notes;
            Ok(Applied::default())
        }
        other => apply_to_layout(project, other),
    }
}

/// The edits of places, runs and pieces of wire.
fn apply_to_layout(project: &mut Project, edit: Edit) -> Result<Applied, EditError> {
    match edit {
        Edit::AddPlace(place) => {
            guard::check_place(&place)?;
            guard::check_count("places", project.places.len() + 1, limits::PLACES)?;
            let id: PlaceId = project.fresh_id();
            project.places.put(id, place);
            Ok(row(id.0))
        }
        Edit::SetPlace(id, place) => {
            guard::check_place(&place)?;
            replace(project.places.get_mut(id), place, "place")
        }
        Edit::RemovePlace(id) => remove_place(project, id),
        Edit::AddRun(run) => {
            guard::check_run(project, &run)?;
            guard::check_count("runs", project.runs.len() + 1, limits::RUNS)?;
            let id: RunId = project.fresh_id();
            project.runs.put(id, run);
            Ok(row(id.0))
        }
        Edit::SetRun(id, run) => {
            guard::check_run(project, &run)?;
            replace(project.runs.get_mut(id), run, "run")
        }
        Edit::RemoveRun(id) => {
            let removed = taken(project.runs.remove(id), "run")?;
            forget_run(project, id);
            Ok(removed)
        }
        Edit::AddPiece(piece) => {
            guard::check_piece(&piece)?;
            guard::check_count("pieces", project.pieces.len() + 1, limits::PIECES)?;
            let id: PieceId = project.fresh_id();
            project.pieces.put(id, piece);
            Ok(row(id.0))
        }
        Edit::SetPiece(id, piece) => {
            guard::check_piece(&piece)?;
            replace(project.pieces.get_mut(id), piece, "piece")
        }
        Edit::SetUnderlay(row) => set_underlay(project, row.map(|row| *row)),
        Edit::SetLayoutScale(scale) => set_layout_scale(project, scale),
        Edit::RemovePiece(id) => taken(project.pieces.remove(id), "piece"),
        Edit::AddBenchRun(run) => bench::add(project, *run),
        Edit::SetBenchRun(id, run) => bench::set(project, id, *run),
        Edit::RemoveBenchRun(id) => taken(project.bench_runs.remove(id), "bench run"),
        Edit::SetReading { run, step, reading } => bench::read(project, run, step, reading),
        Edit::SetRecord(edit) => apply_record(project, edit),
        Edit::SetStory(edit) => apply_story(project, edit),
        other => unreachable!("apply() handles {other:?} before it comes here"),
    }
}

pub(super) fn row(number: u32) -> Applied {
    Applied { row: Some(number), ..Applied::default() }
}

pub(super) fn gone(what: &str) -> EditError {
    EditError(format!("the {what} is no longer there"))
}

pub(super) fn replace<T>(old: Option<&mut T>, new: T, what: &str) -> Result<Applied, EditError> {
    *old.ok_or_else(|| gone(what))? = new;
    Ok(Applied::default())
}

pub(super) fn taken<T>(old: Option<T>, what: &str) -> Result<Applied, EditError> {
    old.map(|_| Applied::default()).ok_or_else(|| gone(what))
}

/// Picks the ends of the permit loop, or forgets them.
fn set_permit(
    project: &mut Project,
    ends: Option<(TerminalRef, TerminalRef)>,
) -> Result<Applied, EditError> {
    if let Some((from, to)) = ends {
        if !project.has_terminal(from) || !project.has_terminal(to) {
            return Err(gone("end of the permit loop"));
        }
        if from == to {
            return Err(EditError("a permit loop needs two ends, found one twice".into()));
        }
    }
    project.permit = ends;
    Ok(Applied::default())
}

/// All values or none.
fn set_ohms(project: &mut Project, ohms: &BTreeMap<PartId, f64>) -> Result<Applied, EditError> {
    let mut work = project.clone();
    for (id, ohm) in ohms {
        let mut part = work.parts.get(*id).ok_or_else(|| gone("resistor"))?.clone();
        let PartKind::Resistor(resistor) = &mut part.kind else {
            return Err(EditError(format!("{} is no resistor", part.name)));
        };
        resistor.ohm = *ohm;
        guard::check_part(&part)?;
        replace(work.parts.get_mut(*id), part, "resistor")?;
    }
    *project = work;
    Ok(Applied::default())
}

fn set_part(project: &mut Project, id: PartId, mut part: Part) -> Result<Applied, EditError> {
    guard::check_part(&part)?;
    guard::check_part_references(project, &part)?;
    drop_impossible_cavities(&mut part);
    let ends = |w: &crate::model::Wire| [w.from.terminal, w.to.terminal];
    let lost = project
        .wires
        .iter()
        .find(|(_, w)| ends(w).iter().any(|t| t.part == id && !part.kind.has_terminal(t.terminal)));
    if let Some((_, wire)) = lost {
        return Err(EditError(format!(
            "wire {} ends at a terminal that {} would lose",
            wire.name, part.name
        )));
    }
    let pin = project.sense_pins.iter().find(|(_, p)| {
        [p.terminal, p.reference]
            .iter()
            .any(|t| t.part == id && !part.kind.has_terminal(t.terminal))
    });
    if let Some((_, pin)) = pin {
        return Err(EditError(format!(
            "sense pin {} sits at a terminal that {} would lose",
            pin.name, part.name
        )));
    }
    replace(project.parts.get_mut(id), part, "part")?;
    forget_permit(project);
    drop_impossible_throws(project, id);
    Ok(Applied::default())
}

/// Notes on cavities that are no longer there go.
fn drop_impossible_cavities(part: &mut Part) {
    let (layout, cavities) = match &mut part.kind {
        PartKind::Connector(connector) => (connector.layout, &mut connector.cavities),
        PartKind::Controller(controller) => (controller.layout, &mut controller.cavities),
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => return,
    };
    cavities.retain(|number, _| (1..=layout.count()).contains(number));
}

/// After a contact changed its form, controls keep only throws it still has.
fn drop_impossible_throws(project: &mut Project, id: PartId) {
    let throws = match project.parts.get(id).map(|part| &part.kind) {
        Some(PartKind::Contact(contact)) => contact.form.throws(),
        _ => 0,
    };
    let affected: Vec<ControlId> = project
        .controls
        .iter()
        .filter(|(_, c)| {
            c.positions.iter().any(|p| p.throws.get(&id).is_some_and(|t| *t >= throws))
        })
        .map(|(control, _)| control)
        .collect();
    for control in affected {
        if let Some(control) = project.controls.get_mut(control) {
            for position in &mut control.positions {
                if position.throws.get(&id).is_some_and(|t| *t >= throws) {
                    position.throws.remove(&id);
                }
            }
        }
    }
}
