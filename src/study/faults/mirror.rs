//! Mirror: a connector half filled from the wrong side, so that left and right are exchanged.

use std::collections::BTreeMap;

use crate::drawing::face_pos;
use crate::geometry::Point;
use crate::model::{CavityLayout, Numbering, PartId, Project, Subject};
use crate::study::faults::base::Base;
use crate::study::faults::swaps::touches;
use crate::study::faults::{Cause, Fault, FaultKind};

/// One fault for each half that wires of the project end in.
pub fn list(base: &Base<'_>) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (part, row) in base.project.parts.iter() {
        // Terminals of one half: how far apart they are numbered, and the first of them.
        let Some(face) = row.kind.arrangement() else { continue };
        let halves: &[(u16, u16)] =
            if row.kind.controller().is_some() { &[(1, 0)] } else { &[(2, 0), (2, 1)] };
        let mirror = mirrored(face.layout, face.numbering);
        for (step, first) in halves {
            let to: BTreeMap<u16, u16> = mirror
                .iter()
                .map(|(from, to)| ((from - 1) * step + first, (to - 1) * step + first))
                .collect();
            faults.extend(filled(base, part, &to));
        }
    }
    faults
}

/// Wires of one half moved; `None` where nothing of the pin's ends there or nothing moves.
fn filled(base: &Base<'_>, part: PartId, to: &BTreeMap<u16, u16>) -> Option<Fault> {
    let moved = moved(base.project, part, to)?;
    if !to.keys().any(|terminal| touches(base, part, *terminal)) {
        return None;
    }
    let terminal = *to.keys().next()?;
    let row = base.project.parts.get(part)?;
    let half = row.half_words(row.kind.seat(terminal)?.1);
    Some(Fault {
        kind: FaultKind::Mirror,
        title: format!("{half} filled from the wrong side"),
        subjects: vec![Subject::Part(part)],
        cause: Cause::Drawing(Box::new(moved)),
    })
}

/// The project with wire ends of one part moved to other terminals; `None` where none moves.
pub(super) fn moved(project: &Project, part: PartId, to: &BTreeMap<u16, u16>) -> Option<Project> {
    let mut work = project.clone();
    let mut is_moved = false;
    let ids: Vec<_> = project.wires.ids().collect();
    for id in ids {
        let Some(wire) = project.wires.get(id) else { continue };
        let mut wire = wire.clone();
        for end in [&mut wire.from, &mut wire.to] {
            if end.terminal.part == part
                && let Some(terminal) = to.get(&end.terminal.terminal)
                && *terminal != end.terminal.terminal
            {
                end.terminal.terminal = *terminal;
                is_moved = true;
            }
        }
        work.wires.put(id, wire);
    }
    is_moved.then_some(work)
}

/// Each cavity and the one that lies where it would seem to be from behind.
fn mirrored(layout: CavityLayout, numbering: Numbering) -> Vec<(u16, u16)> {
    let cavities = 1..=layout.count();
    let places: Vec<Point> = cavities.clone().map(|n| face_pos(layout, numbering, n)).collect();
    let place = |cavity: u16| places[usize::from(cavity) - 1];
    let xs = cavities.clone().map(|cavity| place(cavity).x_mm);
    let (low, high) =
        xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
    cavities
        .clone()
        .filter_map(|cavity| {
            let here = place(cavity);
            let other = cavities.clone().find(|other| {
                let there = place(*other);
                (there.x_mm - (low + high - here.x_mm)).abs() < 0.1
                    && (there.y_mm - here.y_mm).abs() < 0.1
            })?;
            Some((cavity, other))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_run_backward_from_behind() {
        let layout = CavityLayout::Grid { rows: 2, columns: 3 };
        assert_eq!(
            mirrored(layout, Numbering::FORWARD),
            [(1, 3), (2, 2), (3, 1), (4, 6), (5, 5), (6, 4)]
        );
    }
}
