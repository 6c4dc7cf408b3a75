//! Symbols of parts after IEC 60617, resistors also after IEEE 315.

use crate::drawing::TEXT_MM;
use crate::drawing::connector;
use crate::drawing::controller;
use crate::drawing::element;
use crate::drawing::local::Pen;
use crate::drawing::mark::{Align, Fill, Mark, TextRole, Tone, Weight};
use crate::drawing::terminal::{CONTACT_REACH_MM, LONG_REACH_MM, way_y_mm};
use crate::geometry::{Rect, point};
use crate::model::{Contact, ContactForm, Part, PartKind, Resistor};
use crate::units::{engineering, trim_zeros};

/// How resistors are drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ResistorSign {
    /// A rectangle (IEC 60617).
    #[default]
    Iec,
    /// A zigzag (IEEE 315).
    Ieee,
}

/// What the look of a symbol depends on besides the part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SymbolLook {
    /// Throw the contact stands in.
    pub throw: u8,
    /// How resistors are drawn.
    pub resistor_sign: ResistorSign,
    /// Cavities that are lit, by number.
    pub lit_cavities: Vec<u16>,
}

impl SymbolLook {
    /// Contact in throw 0, nothing lit.
    pub fn at_rest(resistor_sign: ResistorSign) -> Self {
        Self { throw: 0, resistor_sign, lit_cavities: Vec::new() }
    }
}

/// Where the blade of a contact is hinged, and where it meets the fixed side.
const HINGE_MM: f64 = 3.75;

/// Everything a part is drawn with, labels included, in the order to paint it.
pub fn symbol(part: &Part, look: &SymbolLook) -> Vec<Mark> {
    match &part.kind {
        PartKind::Connector(connector) => return connector::symbol(part, connector, look),
        PartKind::Controller(controller) => return controller::symbol(part, controller, look),
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => {}
    }
    let mut pen = Pen::new(part);
    match &part.kind {
        PartKind::Supply(supply) => {
            let volt = format!("+{} V", trim_zeros(&format!("{:.2}", supply.volt.nominal)));
            supply_box(&mut pen, part, &volt);
        }
        PartKind::Ground => ground(&mut pen, part),
        PartKind::Fuse(fuse) => {
            let body = Rect::spanning(point(-5.0, -2.0), point(5.0, 2.0));
            pen.rect(body, 0.6, Fill::Card, (Weight::Ink, Tone::Ink));
            let reach = CONTACT_REACH_MM;
            pen.line(&[(-reach, 0.0), (reach, 0.0)], Weight::Ink, Tone::Ink);
            pen.label(-1.0, 4.75, &format!("{} {} A", part.name, fuse.rating_amp), TextRole::Name);
            pen.label(1.0, 4.75, &part.label, TextRole::Note);
        }
        PartKind::Resistor(value) => resistor(&mut pen, part, value, look.resistor_sign),
        PartKind::Contact(value) => contact(&mut pen, part, value, look.throw),
        PartKind::Splice { .. } => {
            pen.circle((0.0, 0.0), 1.0, Fill::Solid);
            pen.push(name_beside(part));
        }
        PartKind::TestPoint => {
            pen.circle((0.0, 0.0), 1.2, Fill::Card);
            pen.push(name_beside(part));
        }
        PartKind::Element(value) => element::draw(&mut pen, part, value, look.throw),
        PartKind::Connector(_) | PartKind::Controller(_) => {}
    }
    pen.into_marks()
}

/// The name of a dot, right above it however it is turned: there is no other place for it.
fn name_beside(part: &Part) -> Mark {
    Mark::Text {
        at: part.pos + point(2.0, -3.0),
        align: Align::Left,
        size_mm: TEXT_MM,
        text: part.name.clone(),
        role: TextRole::Note,
        tone: Tone::Quiet,
    }
}

fn supply_box(pen: &mut Pen<'_>, part: &Part, volt: &str) {
    let reach = LONG_REACH_MM;
    let body = Rect::spanning(point(-reach, -5.0), point(reach, 5.0));
    pen.rect(body, 1.2, Fill::Card, (Weight::Ink, Tone::Ink));
    let middle = part.pos;
    let line = |dy_mm: f64, text: &str, role, tone| Mark::Text {
        at: middle + point(0.0, dy_mm),
        align: Align::Middle,
        size_mm: TEXT_MM,
        text: text.to_owned(),
        role,
        tone,
    };
    pen.push(line(-2.1, &part.name, TextRole::Name, Tone::Ink));
    pen.push(line(2.1, volt, TextRole::Note, Tone::Ink));
    pen.label(1.0, 8.0, &part.label, TextRole::Note);
}

fn ground(pen: &mut Pen<'_>, part: &Part) {
    pen.line(&[(0.0, 0.0), (0.0, 5.0)], Weight::Ink, Tone::Ink);
    for (half, y) in [(4.0, 5.0), (2.5, 6.5), (1.0, 8.0)] {
        pen.line(&[(-half, y), (half, y)], Weight::Heavy, Tone::Ink);
    }
    pen.label(1.0, 11.0, &part.name, TextRole::Name);
}

fn resistor(pen: &mut Pen<'_>, part: &Part, value: &Resistor, sign: ResistorSign) {
    let (reach, body) = (LONG_REACH_MM, 7.0);
    match sign {
        ResistorSign::Iec => {
            let rect = Rect::spanning(point(-body, -2.25), point(body, 2.25));
            pen.line(&[(-reach, 0.0), (-body, 0.0)], Weight::Ink, Tone::Ink);
            pen.line(&[(body, 0.0), (reach, 0.0)], Weight::Ink, Tone::Ink);
            pen.rect(rect, 0.4, Fill::Card, (Weight::Ink, Tone::Ink));
        }
        ResistorSign::Ieee => {
            let step = body / 6.0;
            let mut points = vec![(-reach, 0.0), (-body, 0.0)];
            for idx in 0..6 {
                let y = if idx % 2 == 0 { -2.25 } else { 2.25 };
                points.push((-body + step * (2.0 * f64::from(idx) + 1.0), y));
            }
            points.extend([(body, 0.0), (reach, 0.0)]);
            pen.line(&points, Weight::Ink, Tone::Ink);
        }
    }
    let (digits, prefix) = engineering(value.ohm, 4);
    let name = format!("{} {} {prefix}Ω", part.name, trim_zeros(&digits));
    pen.label(-1.0, 5.0, &name, TextRole::Name);
    pen.label(1.0, 5.0, &part.label, TextRole::Note);
}

fn contact(pen: &mut Pen<'_>, part: &Part, value: &Contact, throw: u8) {
    let reach = CONTACT_REACH_MM;
    pen.line(&[(-reach, 0.0), (-HINGE_MM, 0.0)], Weight::Ink, Tone::Ink);
    let joined = value.form.joined(throw);
    let (tip, above_mm) = match value.form {
        ContactForm::NormallyOpen => {
            fixed(pen, 0.0);
            (if joined.is_some() { (HINGE_MM, 0.0) } else { (HINGE_MM - 0.5, -3.7) }, 6.0)
        }
        ContactForm::NormallyClosed => {
            fixed(pen, 0.0);
            pen.line(&[(HINGE_MM, 0.0), (HINGE_MM, -2.0)], Weight::Ink, Tone::Ink);
            (if joined.is_some() { (HINGE_MM + 0.9, -2.2) } else { (2.4, -4.2) }, 6.5)
        }
        ContactForm::Changeover => {
            fixed(pen, -2.5);
            fixed(pen, 2.5);
            let tip = match joined {
                Some((_, 1)) => (HINGE_MM, -2.5),
                Some(_) => (HINGE_MM, 2.5),
                None => (HINGE_MM, 0.0),
            };
            (tip, 6.0)
        }
        ContactForm::Ways(ways) => {
            for way in 1..=u16::from(ways) {
                fixed(pen, way_y_mm(ways, way));
            }
            let tip = joined.map_or((HINGE_MM, 0.0), |(_, way)| (HINGE_MM, way_y_mm(ways, way)));
            (tip, way_y_mm(ways, u16::from(ways)) + 4.5)
        }
    };
    pen.line(&[(-HINGE_MM, 0.0), tip], Weight::Heavy, Tone::Ink);
    pen.circle((-HINGE_MM, 0.0), 0.6, Fill::Solid);
    let name = format!("{} {}", part.name, part.label);
    pen.label(-1.0, above_mm, name.trim(), TextRole::Name);
}

/// The fixed side of a contact at a height.
fn fixed(pen: &mut Pen<'_>, y: f64) {
    pen.line(&[(HINGE_MM, y), (CONTACT_REACH_MM, y)], Weight::Ink, Tone::Ink);
    pen.circle((HINGE_MM, y), 0.6, Fill::Solid);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::fixtures::{contact_part, part_of, resistor_part};
    use crate::drawing::{marks_rect, part_rect};
    use crate::geometry::Turn;

    fn blade(form: ContactForm, throw: u8) -> (f64, f64) {
        let part = contact_part(form);
        let look = SymbolLook { throw, ..SymbolLook::at_rest(ResistorSign::Iec) };
        let tips: Vec<(f64, f64)> = symbol(&part, &look)
            .iter()
            .filter_map(|mark| match mark {
                Mark::Line { points, weight: Weight::Heavy, .. } => {
                    points.last().map(|p| (p.x_mm, p.y_mm))
                }
                _ => None,
            })
            .collect();
        assert_eq!(tips.len(), 1);
        tips[0]
    }

    #[test]
    fn the_blade_shows_the_throw() {
        assert_eq!(blade(ContactForm::NormallyOpen, 1), (HINGE_MM, 0.0));
        assert!(blade(ContactForm::NormallyOpen, 0).1 < -3.0);
        assert!(blade(ContactForm::NormallyClosed, 0).0 > HINGE_MM);
        assert!(blade(ContactForm::NormallyClosed, 1).0 < HINGE_MM);
        assert_eq!(blade(ContactForm::Changeover, 0), (HINGE_MM, -2.5));
        assert_eq!(blade(ContactForm::Changeover, 1), (HINGE_MM, 2.5));
        assert_eq!(blade(ContactForm::Ways(3), 2), (HINGE_MM, 5.0));
    }

    #[test]
    fn a_resistor_says_its_name_and_value_with_unit() {
        let texts = |ohm: f64| -> Vec<String> {
            let part = resistor_part("R1", ohm);
            symbol(&part, &SymbolLook::at_rest(ResistorSign::Ieee))
                .into_iter()
                .filter_map(|mark| match mark {
                    Mark::Text { text, .. } => Some(text),
                    _ => None,
                })
                .collect()
        };
        assert_eq!(texts(6810.0), ["R1 6.81 kΩ"]);
        assert_eq!(texts(470.0), ["R1 470 Ω"]);
    }

    #[test]
    fn labels_of_a_part_on_end_stand_beside_it() {
        let mut part = resistor_part("R1", 6810.0);
        part.turn = Turn::Quarter;
        let text = symbol(&part, &SymbolLook::at_rest(ResistorSign::Iec))
            .into_iter()
            .find(|mark| matches!(mark, Mark::Text { .. }))
            .unwrap();
        assert!(text.rect().min.x_mm > part_rect(&part).max.x_mm);
    }

    #[test]
    fn the_name_of_a_splice_stands_clear_of_its_dot_in_every_pose() {
        let mut part = crate::drawing::fixtures::splice_part(None);
        for _ in 0..4 {
            let marks = symbol(&part, &SymbolLook::at_rest(ResistorSign::Iec));
            let rects: Vec<Rect> = marks.iter().map(Mark::rect).collect();
            assert_eq!(rects.len(), 2);
            assert!(!rects[0].touches(rects[1]), "{:?}", part.turn);
            part.turn = part.turn.next();
        }
    }

    #[test]
    fn every_kind_draws_something_within_reach_of_its_outline() {
        for part in crate::drawing::fixtures::one_of_each() {
            let marks = symbol(&part, &SymbolLook::at_rest(ResistorSign::Iec));
            let reach = marks_rect(&marks).unwrap();
            assert!(reach.touches(part_rect(&part)), "{}", part.kind.noun());
            let lines_only: Vec<Mark> = marks
                .into_iter()
                .filter(|mark| match mark {
                    Mark::Text { .. } => false,
                    Mark::Line { .. } | Mark::Rect { .. } | Mark::Circle { .. } => true,
                })
                .collect();
            let drawn = marks_rect(&lines_only).unwrap();
            assert!(part_rect(&part).grown(7.0).union(drawn) == part_rect(&part).grown(7.0));
        }
        assert!(matches!(part_of(PartKind::Ground).kind, PartKind::Ground));
    }
}
