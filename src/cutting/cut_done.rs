//! The edit that says the wires are cut: ticks them, shortens the pieces, throws the scrap away.

use crate::cutting::allot::{Allotment, PiecePlan};
use crate::edit::{CuttingEdit, Edit};
use crate::model::{PieceId, Project};

/// What changes when the wires of these pieces are cut as allotted; `None` where nothing is.
///
/// An offcut keeps the name of its piece. Its resistance is not known until it is measured, because
/// nobody knows where along the piece a fault sat.
pub fn cut_done(
    project: &Project,
    allotment: &Allotment,
    is_cut: &dyn Fn(PieceId) -> bool,
) -> Option<Edit> {
    let is_done = |plan: &&PiecePlan| !plan.cuts.is_empty() && is_cut(plan.verdict.piece);
    let plans: Vec<&PiecePlan> = allotment.pieces.iter().filter(is_done).collect();
    let mut edits = Vec::new();
    let mut names: Vec<&str> = Vec::new();
    for plan in &plans {
        for cut in &plan.cuts {
            let mut ticks = project.cutting.ticks_of(cut.wire);
            ticks.is_cut = true;
            ticks.cut_to_mm = Some(cut.cut_mm);
            // What was drawn, also where a substitute took its place.
            let wire = project.wires.get(cut.wire)?;
            (ticks.cut_size, ticks.cut_colour) = (Some(wire.size), Some(wire.colour));
            edits.push(Edit::SetCutting(CuttingEdit::Ticks(cut.wire, ticks)));
            names.push(&cut.name);
        }
        let id = plan.verdict.piece;
        let mut piece = project.pieces.get(id)?.clone();
        if plan.is_scrap || plan.left_mm <= 0.0 {
            edits.push(Edit::RemovePiece(id));
        } else {
            piece.length_mm = plan.left_mm;
            piece.measured_ohm = None;
            edits.push(Edit::SetPiece(id, piece));
        }
    }
    let title = match names.as_slice() {
        [] => return None,
        [name] => format!("cut wire {name}"),
        names => format!("cut {} wires", names.len()),
    };
    Some(Edit::Together { title, edits })
}
