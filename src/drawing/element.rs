//! Symbols of elements after IEC 60617 (from memory): diode, relay, lamp, load, second input.

use crate::drawing::local::Pen;
use crate::drawing::mark::{Fill, TextRole, Tone, Weight};
use crate::drawing::terminal::{CONTACT_REACH_MM, LONG_REACH_MM};
use crate::geometry::{Point, Rect, point};
use crate::model::{Draw, Element, Load, LoadForm, Part, Relay};
use crate::units::{engineering, trim_zeros};

/// Height of the first contact set below the coil.
const FIRST_SET_MM: f64 = 10.0;
/// Distance of neighbouring contact sets.
const SET_PITCH_MM: f64 = 10.0;
/// Where a blade is hinged, and where it meets the fixed side.
const HINGE_MM: f64 = 3.75;

fn set_y_mm(set: u16) -> f64 {
    FIRST_SET_MM + SET_PITCH_MM * f64::from(set)
}

/// Outline in the symbol's own millimetres.
pub(super) fn body(element: &Element) -> Rect {
    let around = |x_mm: f64, y_mm: f64| Rect::spanning(point(-x_mm, -y_mm), point(x_mm, y_mm));
    match element {
        Element::Diode(_) => around(CONTACT_REACH_MM, 3.0),
        Element::Load(_) => around(CONTACT_REACH_MM, 4.0),
        Element::Input(_) => Rect::spanning(point(-LONG_REACH_MM, -4.5), point(5.0, 4.5)),
        Element::Relay(relay) => {
            let low = match relay.sets {
                0 => 3.5,
                sets => set_y_mm(u16::from(sets) - 1) + 4.0,
            };
            Rect::spanning(point(-LONG_REACH_MM, -3.5), point(LONG_REACH_MM, low))
        }
    }
}

/// A terminal in the symbol's own millimetres, and which way its wire leaves.
pub(super) fn offset_and_exit(element: &Element, terminal: u16) -> (Point, Option<Point>) {
    let (left, right) = (Some(point(-1.0, 0.0)), Some(point(1.0, 0.0)));
    let pair = |reach_mm: f64, y_mm: f64, is_left: bool| match is_left {
        true => (point(-reach_mm, y_mm), left),
        false => (point(reach_mm, y_mm), right),
    };
    match element {
        Element::Diode(_) | Element::Load(_) => pair(CONTACT_REACH_MM, 0.0, terminal == 0),
        Element::Input(_) => pair(LONG_REACH_MM, 0.0, true),
        Element::Relay(_) => match terminal.checked_sub(2) {
            None => pair(LONG_REACH_MM, 0.0, terminal == 0),
            Some(contact) => {
                let y = set_y_mm(contact / 3);
                match contact % 3 {
                    0 => pair(LONG_REACH_MM, y, true),
                    1 => pair(LONG_REACH_MM, y - 2.5, false),
                    _ => pair(LONG_REACH_MM, y + 2.5, false),
                }
            }
        },
    }
}

/// Draws an element; `throw` 1 shows a relay that has pulled.
pub(super) fn draw(pen: &mut Pen<'_>, part: &Part, element: &Element, throw: u8) {
    let ink = (Weight::Ink, Tone::Ink);
    let reach = CONTACT_REACH_MM;
    match element {
        Element::Diode(diode) => {
            pen.line(&[(-reach, 0.0), (reach, 0.0)], ink.0, ink.1);
            let triangle = [(-2.5, -2.5), (2.0, 0.0), (-2.5, 2.5), (-2.5, -2.5)];
            pen.line(&triangle, ink.0, ink.1);
            pen.line(&[(2.0, -2.5), (2.0, 2.5)], Weight::Heavy, ink.1);
            let drop = trim_zeros(&format!("{:.2}", diode.drop_volt.nominal));
            pen.label(-1.0, 5.25, &format!("{} {drop} V", part.name), TextRole::Name);
            pen.label(1.0, 5.25, &part.label, TextRole::Note);
        }
        Element::Load(load) => draw_load(pen, part, load),
        Element::Input(_) => {
            pen.line(&[(-LONG_REACH_MM, 0.0), (-5.0, 0.0)], ink.0, ink.1);
            let triangle = [(-5.0, -4.5), (5.0, 0.0), (-5.0, 4.5), (-5.0, -4.5)];
            pen.line(&triangle, ink.0, ink.1);
            pen.label(-1.0, 7.0, &format!("{} {}", part.name, part.label), TextRole::Name);
        }
        Element::Relay(relay) => draw_relay(pen, part, relay, throw),
    }
}

fn draw_load(pen: &mut Pen<'_>, part: &Part, load: &Load) {
    let reach = CONTACT_REACH_MM;
    let (value, unit) = match load.draw {
        Draw::Ohm(ohm) => (ohm.nominal, "Ω"),
        Draw::Amp(amp) => (amp.nominal, "A"),
    };
    let (digits, prefix) = engineering(value, 3);
    let name = format!("{} {} {prefix}{unit}", part.name, trim_zeros(&digits));
    match load.form {
        LoadForm::Lamp => {
            let cross = 2.5;
            pen.line(&[(-reach, 0.0), (-3.5, 0.0)], Weight::Ink, Tone::Ink);
            pen.line(&[(3.5, 0.0), (reach, 0.0)], Weight::Ink, Tone::Ink);
            pen.circle((0.0, 0.0), 3.5, Fill::Card);
            pen.line(&[(-cross, -cross), (cross, cross)], Weight::Ink, Tone::Ink);
            pen.line(&[(-cross, cross), (cross, -cross)], Weight::Ink, Tone::Ink);
        }
        LoadForm::Other => {
            pen.line(&[(-reach, 0.0), (-5.0, 0.0)], Weight::Ink, Tone::Ink);
            pen.line(&[(5.0, 0.0), (reach, 0.0)], Weight::Ink, Tone::Ink);
            let rect = Rect::spanning(point(-5.0, -3.5), point(5.0, 3.5));
            pen.rect(rect, 0.4, Fill::Shade, (Weight::Ink, Tone::Ink));
        }
    }
    pen.label(-1.0, 6.25, &name, TextRole::Name);
    pen.label(1.0, 6.25, &part.label, TextRole::Note);
}

fn draw_relay(pen: &mut Pen<'_>, part: &Part, relay: &Relay, throw: u8) {
    let reach = LONG_REACH_MM;
    pen.line(&[(-reach, 0.0), (-5.0, 0.0)], Weight::Ink, Tone::Ink);
    pen.line(&[(5.0, 0.0), (reach, 0.0)], Weight::Ink, Tone::Ink);
    let fill = if throw == 1 { Fill::Shade } else { Fill::Card };
    let coil = Rect::spanning(point(-5.0, -3.0), point(5.0, 3.0));
    pen.rect(coil, 0.4, fill, (Weight::Ink, Tone::Ink));
    pen.line(&[(-2.0, 3.0), (2.0, -3.0)], Weight::Thin, Tone::Ink);
    for set in 0..u16::from(relay.sets) {
        let y = set_y_mm(set);
        pen.line(&[(-reach, y), (-HINGE_MM, y)], Weight::Ink, Tone::Ink);
        for side in [-2.5, 2.5] {
            pen.line(&[(HINGE_MM, y + side), (reach, y + side)], Weight::Ink, Tone::Ink);
            pen.circle((HINGE_MM, y + side), 0.6, Fill::Solid);
        }
        let tip = if throw == 1 { y + 2.5 } else { y - 2.5 };
        pen.line(&[(-HINGE_MM, y), (HINGE_MM, tip)], Weight::Heavy, Tone::Ink);
        pen.circle((-HINGE_MM, y), 0.6, Fill::Solid);
        // What moves together is joined by a line of short strokes.
        let from = if set == 0 { 3.0 } else { set_y_mm(set - 1) };
        let strokes = ((y - from) / 2.0).floor();
        for stroke in 0..strokes as u32 {
            let at = from + 2.0 * f64::from(stroke) + 0.5;
            pen.line(&[(0.0, at), (0.0, at + 1.0)], Weight::Thin, Tone::Quiet);
        }
    }
    pen.label(-1.0, 6.0, &format!("{} {}", part.name, part.label), TextRole::Name);
}
