//! Words and numbers the sheets share.

use crate::marking::Ring;
use crate::model::{ControlKind, EndKind, Latch};
use crate::units::{format_ohm, trim_zeros};

/// Names of rings in their order.
pub fn ring_words(rings: &[Ring]) -> String {
    rings.iter().map(|ring| ring.name()).collect::<Vec<_>>().join(" ")
}

/// Ohms, `open` where infinite.
pub fn ohms(ohm: f64) -> String {
    if ohm < 0.0 { format!("-{}", format_ohm(-ohm)) } else { format_ohm(ohm) }
}

/// From here on no meter on a bench tells a path from none (common practice, no source).
const OPEN_OHM: f64 = 1e9;

/// Ohms as a meter shows them: `open` where it shows no path.
pub fn reads(ohm: f64) -> String {
    if ohm >= OPEN_OHM { "open".to_owned() } else { ohms(ohm) }
}

/// Millimetres: whole where they are.
pub fn millimetres(length_mm: f64) -> String {
    format!("{} mm", trim_zeros(&format!("{length_mm:.1}")))
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
