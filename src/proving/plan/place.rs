//! Where a cavity is found on its plug, from which side: words for somebody with a probe in hand.

use crate::drawing::{FacePlan, FaceSide, FaceView};
use crate::model::{Project, TerminalRef};

/// `X1-5 (face view, latch up: row 1, 5th from the left)`; the bare name for what has no cavities.
pub fn place_words(project: &Project, at: TerminalRef, side: FaceSide) -> String {
    let name = project.terminal_name(at);
    match where_words(project, at, side) {
        Some(words) => format!("{name} ({words})"),
        None => name,
    }
}

/// Where a cavity is found; `None` for what has no cavities.
fn where_words(project: &Project, at: TerminalRef, side: FaceSide) -> Option<String> {
    let kind = &project.parts.get(at.part)?.kind;
    let (cavity, half) = kind.seat(at.terminal)?;
    let plan = FaceView::of(kind, half, side)?.plan();
    let latch = plan.latch.noun();
    let idx = usize::from(cavity).checked_sub(1)?;
    let place = if plan.is_round { ring_words(&plan, idx)? } else { row_words(&plan, idx)? };
    Some(format!("{}, latch {latch}: {place}", side.words()))
}

/// Counted as the eye finds them: rows from the top, cavities of a row from the left.
fn row_words(plan: &FacePlan, idx: usize) -> Option<String> {
    let near = 0.2 * plan.cavity_mm;
    let here = plan.spots.get(idx)?;
    let in_row = plan.spots.iter().filter(|p| (p.y_mm - here.y_mm).abs() < near);
    let column = in_row.filter(|p| p.x_mm < here.x_mm - near).count() + 1;
    let mut heights: Vec<f64> = plan.spots.iter().map(|p| p.y_mm).collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|a, b| (*a - *b).abs() < near);
    let row = heights.iter().filter(|y| **y < here.y_mm - near).count() + 1;
    let across = format!("{} from the left", ordinal(column));
    Some(if heights.len() > 1 { format!("row {row}, {across}") } else { across })
}

/// Counted along the circle from its topmost cavity, the shorter way round.
fn ring_words(plan: &FacePlan, idx: usize) -> Option<String> {
    let (x, y) = (plan.width_mm / 2.0, plan.height_mm / 2.0);
    let near = 0.5 * plan.cavity_mm;
    let is_centre = |n: usize| (plan.spots[n].x_mm - x).hypot(plan.spots[n].y_mm - y) < near;
    let here = plan.spots.get(idx)?;
    let around: Vec<usize> = (0..plan.spots.len()).filter(|n| !is_centre(*n)).collect();
    if is_centre(idx) && around.len() > 1 {
        return Some("in the centre".into());
    }
    // Angles clockwise from straight up, as seen on paper; a hair's breadth left of the top is the top.
    let angle = |n: usize| {
        let p = &plan.spots[n];
        let angle = (p.x_mm - x).atan2(y - p.y_mm);
        (angle + 1e-6).rem_euclid(std::f64::consts::TAU)
    };
    let top = around.iter().copied().min_by(|a, b| {
        let (p, q) = (&plan.spots[*a], &plan.spots[*b]);
        p.y_mm.total_cmp(&q.y_mm).then(p.x_mm.total_cmp(&q.x_mm))
    })?;
    let from_top = |n: usize| (angle(n) - angle(top) + 1e-6).rem_euclid(std::f64::consts::TAU);
    let own = from_top(around.iter().copied().find(|n| plan.spots[*n] == *here)?);
    let before = around.iter().filter(|n| from_top(**n) < own - 1e-3).count();
    let after = around.len() - before;
    Some(match before {
        0 => "at the top".into(),
        n if n <= after => format!("{} from the top, clockwise", ordinal(n + 1)),
        _ => format!("{} from the top, anticlockwise", ordinal(after + 1)),
    })
}

/// `1st`, `2nd`, `11th`.
fn ordinal(n: usize) -> String {
    let ending = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        (_, _) => "th",
    };
    format!("{n}{ending}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{CavityLayout, Part, PartId, PartKind};
    use crate::samples;

    fn part(project: &Project, wanted: impl Fn(&Part) -> bool) -> PartId {
        project.parts.iter().find(|(_, part)| wanted(part)).unwrap().0
    }

    /// Faces of the sprayer's own papers: X1 reads 1 to 6 over 7 to 12 on its face and 6 to 1 over
    /// 12 to 7 from the wires; X2P runs clockwise, its counterpart X2S the other way round.
    #[test]
    fn faces_and_wire_sides_are_those_of_the_machines_papers() {
        let project = samples::open("sprayer").unwrap();
        let controller = part(&project, |part| part.kind.controller().is_some());
        let words =
            |part, terminal, side| place_words(&project, TerminalRef { part, terminal }, side);
        assert_eq!(
            words(controller, 4, FaceSide::Face),
            "X1-5 (face view, latch up: row 1, 5th from the left)"
        );
        assert_eq!(
            words(controller, 4, FaceSide::Wires),
            "X1-5 (wire view, latch up: row 1, 2nd from the left)"
        );
        assert!(words(controller, 10, FaceSide::Wires).contains("row 2, 2nd from the left"));
        let hitch = part(
            &project,
            |part| matches!(&part.kind, PartKind::Connector(c) if matches!(c.layout, CavityLayout::Ring { .. })),
        );
        // Of X2 one half runs clockwise on its face and the other anticlockwise; wires the other way.
        let of_half = |half: u16, side| words(hitch, 4 + half, side);
        let clockwise = |text: &str| text.contains("3rd from the top, clockwise");
        let anticlockwise = |text: &str| text.contains("3rd from the top, anticlockwise");
        let faces = [of_half(0, FaceSide::Face), of_half(1, FaceSide::Face)];
        let wires = [of_half(0, FaceSide::Wires), of_half(1, FaceSide::Wires)];
        let first = usize::from(!faces[0].starts_with("X2P"));
        assert!(clockwise(&faces[first]) && anticlockwise(&faces[1 - first]), "{faces:?}");
        assert!(anticlockwise(&wires[first]) && clockwise(&wires[1 - first]), "{wires:?}");
        assert!(words(hitch, 12, FaceSide::Face).contains("in the centre"));
    }

    #[test]
    fn ordinals_end_as_they_are_spoken() {
        let all: Vec<String> = [1, 2, 3, 4, 11, 12, 13, 21, 22, 111].map(ordinal).into();
        assert_eq!(all.join(" "), "1st 2nd 3rd 4th 11th 12th 13th 21st 22nd 111th");
    }
}
