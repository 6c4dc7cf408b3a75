//! Where a cavity is found on its plug, from which side: words for somebody with a probe in hand.

use crate::drawing::face_pos;
use crate::geometry::Point;
use crate::model::{
    CavityLayout, HalfSide, Latch, Numbering, PartKind, Project, TerminalRef, cavity_of_terminal,
};

/// From which side one looks at a plug.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// At the mating face, plug pulled.
    Face,
    /// At the wires.
    Wires,
}

impl View {
    /// The words for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Face => "face view",
            Self::Wires => "wire view",
        }
    }
}

/// `X1-5 (face view, latch up: row 1, 5th from the left)`; the bare name for what has no cavities.
pub fn place_words(project: &Project, at: TerminalRef, view: View) -> String {
    let name = project.terminal_name(at);
    match where_words(project, at, view) {
        Some(words) => format!("{name} ({words})"),
        None => name,
    }
}

/// Where a cavity is found; `None` for what has no cavities.
fn where_words(project: &Project, at: TerminalRef, view: View) -> Option<String> {
    let (layout, numbering, latch, cavity, side) = match &project.parts.get(at.part)?.kind {
        PartKind::Connector(row) => {
            let (cavity, side) = cavity_of_terminal(at.terminal);
            (row.layout, row.numbering, row.latch, cavity, side)
        }
        PartKind::Controller(row) => {
            (row.layout, row.numbering, row.latch, at.terminal + 1, HalfSide::First)
        }
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => return None,
    };
    // The other half's face, and the wires of this one, are the mirror image.
    let is_mirrored = (side == HalfSide::Second) != (view == View::Wires);
    let seen = if is_mirrored { other(numbering) } else { numbering };
    let latch = match (latch, is_mirrored) {
        (Latch::Up, _) => "up",
        (Latch::Down, _) => "down",
        (Latch::Left, false) | (Latch::Right, true) => "left",
        (Latch::Right, false) | (Latch::Left, true) => "right",
    };
    let place = match layout {
        CavityLayout::Grid { rows, .. } => grid_words(layout, seen, cavity, rows),
        CavityLayout::Ring { around, centre } => ring_words(seen, cavity, around, centre),
    };
    Some(format!("{}, latch {latch}: {place}", view.word()))
}

fn other(numbering: Numbering) -> Numbering {
    match numbering {
        Numbering::Forward => Numbering::Backward,
        Numbering::Backward => Numbering::Forward,
    }
}

fn grid_words(layout: CavityLayout, numbering: Numbering, cavity: u16, rows: u16) -> String {
    let place = |cavity| face_pos(layout, numbering, cavity);
    let here: Point = place(cavity);
    let all: Vec<Point> = (1..=layout.count()).map(place).collect();
    let in_row = |p: &&Point| (p.y_mm - here.y_mm).abs() < 0.1;
    let column = all.iter().filter(in_row).filter(|p| p.x_mm < here.x_mm - 0.1).count() + 1;
    let mut heights: Vec<f64> = all.iter().map(|p| p.y_mm).collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|a, b| (*a - *b).abs() < 0.1);
    let row = heights.iter().filter(|y| **y < here.y_mm - 0.1).count() + 1;
    if rows > 1 {
        format!("row {row}, {} from the left", ordinal(column))
    } else {
        format!("{} from the left", ordinal(column))
    }
}

fn ring_words(numbering: Numbering, cavity: u16, around: u16, centre: bool) -> String {
    if centre && cavity > around {
        return "in the centre".into();
    }
    let n = usize::from(cavity);
    match (n, numbering) {
        (1, _) => "at the top".into(),
        (_, Numbering::Forward) => format!("{} from the top, clockwise", ordinal(n)),
        (_, Numbering::Backward) => format!("{} from the top, anticlockwise", ordinal(n)),
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
            |part, terminal, view| place_words(&project, TerminalRef { part, terminal }, view);
        assert_eq!(
            words(controller, 4, View::Face),
            "X1-5 (face view, latch up: row 1, 5th from the left)"
        );
        assert_eq!(
            words(controller, 4, View::Wires),
            "X1-5 (wire view, latch up: row 1, 2nd from the left)"
        );
        assert!(words(controller, 10, View::Wires).contains("row 2, 2nd from the left"));
        let hitch = part(
            &project,
            |part| matches!(&part.kind, PartKind::Connector(c) if matches!(c.layout, CavityLayout::Ring { .. })),
        );
        let PartKind::Connector(row) = &project.parts.get(hitch).unwrap().kind else { panic!() };
        let clockwise = match row.numbering {
            Numbering::Forward => (0, 1),
            Numbering::Backward => (1, 0),
        };
        assert!(words(hitch, 4 + clockwise.0, View::Face).contains("3rd from the top, clockwise"));
        assert!(words(hitch, 4 + clockwise.1, View::Face).contains("anticlockwise"));
        assert!(words(hitch, 4 + clockwise.1, View::Wires).contains("top, clockwise"));
        assert!(words(hitch, 12, View::Face).contains("in the centre"));
    }

    #[test]
    fn ordinals_end_as_they_are_spoken() {
        let all: Vec<String> = [1, 2, 3, 4, 11, 12, 13, 21, 22, 111].map(ordinal).into();
        assert_eq!(all.join(" "), "1st 2nd 3rd 4th 11th 12th 13th 21st 22nd 111th");
    }
}
