//! What to connect: the faces with the cavities lit in which the leads go.

use std::collections::BTreeMap;

use egui::{Id, RichText, Ui};

use crate::app::action::Lead;
use crate::app::theme;
use crate::app::view::View;
use crate::app::widgets::{CavityLook, CavityMark, plan_ui};
use crate::drawing::{FaceSide, FaceView};
use crate::model::{CavityFill, Colour, HalfSide, PartId, PartKind, Project, TerminalRef};
use crate::proving::plan::{Step, StepKind};

/// One face and the leads that go to it.
struct Face {
    part: PartId,
    half: HalfSide,
    side: FaceSide,
    leads: Vec<(Lead, u16)>,
}

/// The faces a step needs; a lead on something without cavities has none.
pub fn faces_ui(ui: &mut Ui, view: View<'_>, step: &Step) {
    for face in faces(view.project, step) {
        face_ui(ui, view, &face);
        ui.add_space(4.0);
    }
}

/// Red plugs in from behind while everything is plugged in; else both look at the mating face.
fn faces(project: &Project, step: &Step) -> Vec<Face> {
    let side = if step.kind == StepKind::Volts { FaceSide::Wires } else { FaceSide::Face };
    let mut faces: Vec<Face> = Vec::new();
    for (lead, at) in [(Lead::Red, step.red), (Lead::Black, step.black)] {
        let Some((part, (cavity, half))) = at.and_then(|at| seat(project, at)) else { continue };
        match faces.iter_mut().find(|face| (face.part, face.half) == (part, half)) {
            Some(face) => face.leads.push((lead, cavity)),
            None => faces.push(Face { part, half, side, leads: vec![(lead, cavity)] }),
        }
    }
    faces
}

fn seat(project: &Project, at: TerminalRef) -> Option<(PartId, (u16, HalfSide))> {
    Some((at.part, project.parts.get(at.part)?.kind.seat(at.terminal)?))
}

fn face_ui(ui: &mut Ui, view: View<'_>, face: &Face) {
    let project = view.project;
    let Some(part) = project.parts.get(face.part) else { return };
    let Some(picture) = FaceView::of(&part.kind, face.half, face.side) else { return };
    let name = part.kind.half(face.half).or_else(|| part.kind.half(HalfSide::First));
    let name = name.map_or_else(|| part.name.clone(), |half| half.name.clone());
    let title = format!("{name}, {}", face.side.words());
    let wires = wires_of(project, face.part);
    let look = |cavity: u16| {
        let note = part.kind.cavities().and_then(|notes| notes.get(&cavity));
        let lead = face.leads.iter().find(|(_, at)| *at == cavity).map(|(lead, _)| *lead);
        let wire = terminal(&part.kind, cavity, face.half).and_then(|t| wires.get(&t));
        CavityLook {
            wire: wire.copied(),
            is_sense: false,
            lead,
            mark: match note.map_or(CavityFill::Free, |note| note.fill) {
                CavityFill::Free => CavityMark::None,
                CavityFill::Existing => CavityMark::Existing,
                CavityFill::Plug => CavityMark::Plug,
            },
            words: note.map_or_else(String::new, |note| note.circuit.clone()),
        }
    };
    let id = Id::unique(("bench face", face.part, face.half == HalfSide::First));
    let tip = "The cavities with thick edges take the leads; the latch is drawn where it sits";
    plan_ui(ui, id, (&title, tip), &picture.plan(), (None, view), look);
    ui.horizontal_wrapped(|ui| {
        for (lead, cavity) in &face.leads {
            let (word, colour) = match lead {
                Lead::Red => ("red lead", view.palette.lead_red),
                Lead::Black => ("black lead", view.palette.ink),
            };
            let (dot, _) = ui.allocate_exact_size(egui::vec2(12.0, 12.0), egui::Sense::hover());
            ui.painter().circle_filled(dot.center(), 6.0, colour);
            let text = format!("{word} in {cavity}");
            ui.label(RichText::new(text).font(theme::bold(theme::TEXT_BODY)));
        }
    });
}

/// The terminal of a cavity of one half.
fn terminal(kind: &PartKind, cavity: u16, half: HalfSide) -> Option<u16> {
    (0..kind.terminal_count()).find(|t| kind.seat(*t) == Some((cavity, half)))
}

/// Insulation of the wire at each terminal of a part.
fn wires_of(project: &Project, part: PartId) -> BTreeMap<u16, Colour> {
    let ends = project
        .wires
        .iter()
        .flat_map(|(_, wire)| [(wire.from.terminal, wire.colour), (wire.to.terminal, wire.colour)]);
    ends.filter(|(at, _)| at.part == part).map(|(at, colour)| (at.terminal, colour)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::proving::plan::plan;
    use crate::samples;

    #[test]
    fn both_leads_of_one_face_share_it_and_volts_are_taken_from_behind() {
        let project = samples::open("sprayer").unwrap();
        let plan = plan(&project, &|| true).unwrap();
        let of = |kind| plan.steps.iter().find(|step| step.kind == kind).unwrap();
        let apart = faces(&project, of(StepKind::Isolation));
        assert_eq!((apart.len(), apart[0].leads.len()), (1, 2));
        assert!(faces(&project, of(StepKind::Volts)).iter().all(|f| f.side == FaceSide::Wires));
        assert_eq!(faces(&project, of(StepKind::Mirror)).len(), 2);
        assert!(faces(&project, of(StepKind::Tape)).is_empty());
    }
}
