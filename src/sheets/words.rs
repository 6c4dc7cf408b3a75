//! Words and numbers the sheets share.

use crate::marking::Ring;
use crate::model::{Colour, ControlKind, EndKind, Gender, Latch, Scale};
use crate::units::{format_ohm, trim_zeros};

/// `VT` or `VT/BK` (IEC 60757).
pub fn colour_code(colour: Colour) -> String {
    match colour.tracer {
        None => colour.base.code().to_owned(),
        Some(tracer) => format!("{}/{}", colour.base.code(), tracer.code()),
    }
}

/// Names of rings in their order.
pub fn ring_words(rings: &[Ring]) -> String {
    rings.iter().map(|ring| ring.name()).collect::<Vec<_>>().join(" ")
}

/// A number of a scale with its unit: `1.027 kΩ`, `0.053 V`, `12 counts`, `3.2 %`.
pub fn scaled(scale: Scale, value: f64) -> String {
    match scale {
        Scale::Ohm => ohms(value),
        Scale::Volt => format!("{value:.3} V"),
        Scale::Count | Scale::Percent => {
            format!("{} {}", trim_zeros(&format!("{value:.1}")), scale.unit())
        }
    }
}

/// Ohms, `open` where infinite.
pub fn ohms(ohm: f64) -> String {
    if ohm < 0.0 { format!("-{}", format_ohm(-ohm)) } else { format_ohm(ohm) }
}

/// Millimetres: whole where they are.
pub fn millimetres(length_mm: f64) -> String {
    format!("{} mm", trim_zeros(&format!("{length_mm:.1}")))
}

/// `3 wires`, `1 wire`.
pub fn counted(n: usize, noun: &str) -> String {
    format!("{n} {noun}{}", if n == 1 { "" } else { "s" })
}

/// How a control behaves, in words for its user.
pub fn kind_words(kind: ControlKind) -> &'static str {
    match kind {
        ControlKind::Momentary => "button, on while held",
        ControlKind::SpringReturn => "springs back when let go",
        ControlKind::Maintained => "stays where it is put",
        ControlKind::Selector => "selector, stays where it is put",
    }
}

/// `pins` or `sockets`.
pub fn gender_word(gender: Gender) -> &'static str {
    match gender {
        Gender::Pins => "pins",
        Gender::Sockets => "sockets",
    }
}

/// The side of the latch on the face view.
pub fn latch_words(latch: Latch) -> &'static str {
    match latch {
        Latch::Up => "latch up",
        Latch::Down => "latch down",
        Latch::Left => "latch at the left of the face view",
        Latch::Right => "latch at the right of the face view",
    }
}

/// Kind of end as an adjective of a connector.
pub fn end_words(kind: EndKind) -> &'static str {
    match kind {
        EndKind::Sealed => "sealed",
        EndKind::Inline => "inline",
        EndKind::Tag => "tags",
        EndKind::Splice => "splice",
        EndKind::Ring => "rings",
    }
}
