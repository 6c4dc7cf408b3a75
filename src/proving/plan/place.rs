//! Where a cavity is found on its plug, from which side: words for somebody with a probe in hand.

use crate::drawing::{FaceSide, FaceView};
use crate::model::{
    CavityLayout, HalfSide, Latch, Numbering, PartKind, Project, TerminalRef, cavity_of_terminal,
};

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
    let (cavity, half) = match kind {
        PartKind::Connector(_) => cavity_of_terminal(at.terminal),
        PartKind::Controller(_) => (at.terminal + 1, HalfSide::First),
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => return None,
    };
    let view = FaceView::of(kind, half, side)?;
    let place = match view.layout {
        CavityLayout::Grid { .. } | CavityLayout::Offset(_) => row_words(view, cavity)?,
        CavityLayout::Ring { around, centre } => {
            let seen = if view.is_mirrored() { view.numbering.mirrored() } else { view.numbering };
            ring_words(seen, cavity, around, centre)
        }
    };
    Some(format!("{}, latch {}: {place}", side.words(), view.plan().latch.noun()))
}

/// `row 2, 5th from the left`, from where the cavities are drawn.
fn row_words(view: FaceView, cavity: u16) -> Option<String> {
    let all = view.plan().spots;
    let here = *all.get(usize::from(cavity).checked_sub(1)?)?;
    let is_left =
        |p: &&crate::geometry::Point| (p.y_mm - here.y_mm).abs() < 0.1 && p.x_mm < here.x_mm - 0.1;
    let column = all.iter().filter(is_left).count() + 1;
    let mut heights: Vec<f64> = all.iter().map(|p| p.y_mm).collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|a, b| (*a - *b).abs() < 0.1);
    let row = heights.iter().filter(|y| **y < here.y_mm - 0.1).count() + 1;
    let from_left = format!("{} from the left", ordinal(column));
    Some(if heights.len() > 1 { format!("row {row}, {from_left}") } else { from_left })
}

fn ring_words(numbering: Numbering, cavity: u16, around: u16, centre: bool) -> String {
    if centre && cavity > around {
        return "in the centre".into();
    }
    let n = usize::from(cavity);
    let (start, clockwise) = numbering.ring();
    let start = match start {
        Latch::Up => "top",
        Latch::Right => "right",
        Latch::Down => "bottom",
        Latch::Left => "left",
    };
    let way = if clockwise { "clockwise" } else { "anticlockwise" };
    if n == 1 {
        format!("at the {start}")
    } else {
        format!("{} from the {start}, {way}", ordinal(n))
    }
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
    use crate::model::{Part, PartId};
    use crate::samples;

    fn part<'a>(project: &'a Project, wanted: impl Fn(&Part) -> bool) -> PartId {
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
        let PartKind::Connector(row) = &project.parts.get(hitch).unwrap().kind else { panic!() };
        let clockwise = if row.numbering.ring().1 { (0, 1) } else { (1, 0) };
        assert!(
            words(hitch, 4 + clockwise.0, FaceSide::Face).contains("3rd from the top, clockwise")
        );
        assert!(words(hitch, 4 + clockwise.1, FaceSide::Face).contains("anticlockwise"));
        assert!(words(hitch, 4 + clockwise.1, FaceSide::Wires).contains("top, clockwise"));
        assert!(words(hitch, 12, FaceSide::Face).contains("in the centre"));
    }

    #[test]
    fn ordinals_end_as_they_are_spoken() {
        let all: Vec<String> = [1, 2, 3, 4, 11, 12, 13, 21, 22, 111].map(ordinal).into();
        assert_eq!(all.join(" "), "1st 2nd 3rd 4th 11th 12th 13th 21st 22nd 111th");
    }
}
