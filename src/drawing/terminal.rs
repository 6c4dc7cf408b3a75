//! Where a part's terminals are on the sheet, which way wires leave them, and its outline.

use crate::drawing::connector;
use crate::drawing::controller;
use crate::drawing::element;
use crate::drawing::local::{direction, rect_on_sheet, to_sheet};
use crate::geometry::{Point, Rect, point};
use crate::model::{ContactForm, Part, PartKind};

/// Half the length of a contact or fuse from terminal to terminal.
pub(super) const CONTACT_REACH_MM: f64 = 7.5;
/// Half the length of a resistor or supply.
pub(super) const LONG_REACH_MM: f64 = 10.0;
/// Distance of neighbouring ways of a selector contact.
pub(super) const WAY_PITCH_MM: f64 = 5.0;

const LEFT: Point = point(-1.0, 0.0);
const RIGHT: Point = point(1.0, 0.0);
const UP: Point = point(0.0, -1.0);

/// Where a terminal is on the sheet. Always on the grid when the part's origin is.
pub fn terminal_pos(part: &Part, terminal: u16) -> Point {
    to_sheet(part, offset_and_exit(part, terminal).0)
}

/// Unit direction in which a wire leaves the terminal, after mirroring and turning.
/// `None` where it may leave any way (splice, test point, a cavity on a face view).
pub fn terminal_exit(part: &Part, terminal: u16) -> Option<Point> {
    offset_and_exit(part, terminal).1.map(|exit| direction(part, exit))
}

/// Outline of the symbol on the sheet, leads included and labels not: what a click hits.
pub fn part_rect(part: &Part) -> Rect {
    let around = |x_mm: f64, up_mm: f64, down_mm: f64| {
        Rect::spanning(point(-x_mm, -up_mm), point(x_mm, down_mm))
    };
    let rect = match &part.kind {
        PartKind::Supply(_) => around(LONG_REACH_MM, 5.0, 5.0),
        PartKind::Ground => Rect::spanning(point(-4.0, 0.0), point(4.0, 8.5)),
        PartKind::Fuse(_) => around(CONTACT_REACH_MM, 2.5, 2.5),
        PartKind::Resistor(_) => around(LONG_REACH_MM, 2.5, 2.5),
        PartKind::Contact(contact) => match contact.form {
            ContactForm::NormallyOpen | ContactForm::NormallyClosed => {
                around(CONTACT_REACH_MM, 4.5, 1.5)
            }
            ContactForm::Changeover => around(CONTACT_REACH_MM, 3.5, 3.5),
            ContactForm::Ways(ways) => {
                let half = way_y_mm(ways, u16::from(ways)).max(0.0) + 1.5;
                around(CONTACT_REACH_MM, half, half)
            }
        },
        PartKind::Splice { .. } | PartKind::TestPoint => around(1.5, 1.5, 1.5),
        PartKind::Connector(connector) => connector::body(connector),
        PartKind::Controller(controller) => controller::body(controller),
        PartKind::Element(element) => element::body(element),
    };
    rect_on_sheet(part, rect)
}

/// Height of a way (numbered from 1) about the common terminal's height.
pub(super) fn way_y_mm(ways: u8, way: u16) -> f64 {
    (f64::from(way) - (f64::from(ways) + 1.0) / 2.0) * WAY_PITCH_MM
}

/// A terminal in the symbol's own millimetres, and which way its wire leaves.
fn offset_and_exit(part: &Part, terminal: u16) -> (Point, Option<Point>) {
    let pair = |reach_mm: f64| {
        if terminal == 0 {
            (point(-reach_mm, 0.0), Some(LEFT))
        } else {
            (point(reach_mm, 0.0), Some(RIGHT))
        }
    };
    match &part.kind {
        PartKind::Supply(_) => (point(LONG_REACH_MM, 0.0), Some(RIGHT)),
        PartKind::Ground => (point(0.0, 0.0), Some(UP)),
        PartKind::Splice { .. } | PartKind::TestPoint => (point(0.0, 0.0), None),
        PartKind::Resistor(_) => pair(LONG_REACH_MM),
        PartKind::Fuse(_) => pair(CONTACT_REACH_MM),
        PartKind::Contact(contact) => match (contact.form, terminal) {
            (ContactForm::NormallyOpen | ContactForm::NormallyClosed, _) => pair(CONTACT_REACH_MM),
            (ContactForm::Changeover | ContactForm::Ways(_), 0) => pair(CONTACT_REACH_MM),
            (ContactForm::Changeover, 1) => (point(CONTACT_REACH_MM, -2.5), Some(RIGHT)),
            (ContactForm::Changeover, _) => (point(CONTACT_REACH_MM, 2.5), Some(RIGHT)),
            (ContactForm::Ways(ways), way) => {
                (point(CONTACT_REACH_MM, way_y_mm(ways, way)), Some(RIGHT))
            }
        },
        PartKind::Connector(connector) => connector::offset_and_exit(connector, terminal),
        PartKind::Controller(controller) => {
            controller::offset_and_exit(controller, part.flip, terminal)
        }
        PartKind::Element(element) => element::offset_and_exit(element, terminal),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::GRID_MM;
    use crate::drawing::fixtures::{one_of_each, resistor_part};
    use crate::geometry::{Flip, Turn};

    fn every_pose(mut check: impl FnMut(Part)) {
        for part in one_of_each() {
            for flip in [Flip::Straight, Flip::Mirrored] {
                let mut turn = Turn::None;
                for _ in 0..4 {
                    check(Part { turn, flip, pos: point(40.0, -12.5), ..part.clone() });
                    turn = turn.next();
                }
            }
        }
    }

    #[test]
    fn terminals_stand_on_the_grid_at_the_outline_in_every_pose() {
        every_pose(|part| {
            let rect = part_rect(&part);
            let mut seen = Vec::new();
            for terminal in (0..part.kind.terminal_count()).filter(|t| part.kind.has_terminal(*t)) {
                let at = terminal_pos(&part, terminal);
                assert_eq!(at, at.snapped(GRID_MM), "{} {terminal}", part.kind.noun());
                assert!(rect.contains(at), "{} {terminal}", part.kind.noun());
                assert!(!seen.contains(&at), "{} {terminal}", part.kind.noun());
                seen.push(at);
                if let Some(exit) = terminal_exit(&part, terminal) {
                    let out = at + point(exit.x_mm * GRID_MM, exit.y_mm * GRID_MM);
                    assert!(!rect.contains(out), "{} {terminal} leaves inwards", part.kind.noun());
                    assert_eq!(exit.x_mm.abs() + exit.y_mm.abs(), 1.0);
                }
            }
        });
    }

    #[test]
    fn mirrored_twice_and_turned_four_times_is_itself() {
        every_pose(|part| {
            let back = Part {
                flip: part.flip.other().other(),
                turn: part.turn.next().next().next().next(),
                ..part.clone()
            };
            for terminal in 0..part.kind.terminal_count() {
                assert_eq!(terminal_pos(&part, terminal), terminal_pos(&back, terminal));
            }
        });
    }

    #[test]
    fn mirroring_swaps_left_and_right_of_a_resistor() {
        let mut part = resistor_part("R1", 6810.0);
        assert_eq!(terminal_pos(&part, 0), point(-10.0, 0.0));
        part.flip = Flip::Mirrored;
        assert_eq!(terminal_pos(&part, 0), point(10.0, 0.0));
        assert_eq!(terminal_exit(&part, 0), Some(point(1.0, 0.0)));
        part.turn = Turn::Quarter;
        assert_eq!(terminal_pos(&part, 0), point(0.0, 10.0));
    }
}
