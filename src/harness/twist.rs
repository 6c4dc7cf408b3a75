//! Twisted pairs: how much longer a wire must be than the way it is led.

use std::f64::consts::PI;

use crate::harness::outside::outside_of;
use crate::model::{Project, Wire};

/// Length of a wire over the length of its pair: `sqrt(1 + (π d / p)²)` for two touching wires of
/// outside diameter `d` with one turn in `p` (helix; worked example of Doctor Peterson, 1998).
///
/// ```
/// use ohmloom::harness::twist_take_up;
/// assert!((twist_take_up(0.040, 1.0) - 1.0079).abs() < 5e-5);
/// ```
pub fn twist_take_up(outside_mm: f64, lay_mm: f64) -> f64 {
    if outside_mm > 0.0 && lay_mm > 0.0 { (PI * outside_mm / lay_mm).hypot(1.0) } else { 1.0 }
}

/// Take-up of a wire: 1 where it is not twisted, `None` where its outside diameter is not known.
pub fn take_up_of(project: &Project, wire: &Wire) -> Option<f64> {
    match &wire.make.twist {
        None => Some(1.0),
        Some(twist) => Some(twist_take_up(outside_of(project, wire).ok()?.mm, twist.lay_mm)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed example: wires of 0.040 in, one turn an inch, a pair of 100 ft takes 100.79 ft.
    #[test]
    fn the_printed_example_comes_out() {
        let factor = twist_take_up(0.040, 1.0);
        assert!((factor - 1.007_865).abs() < 1e-6, "{factor}");
        assert_eq!(format!("{:.2}", 100.0 * factor), "100.79");
        assert_eq!(twist_take_up(1.9, f64::INFINITY), 1.0);
        assert!(twist_take_up(1.9, 25.0) > twist_take_up(1.9, 50.0));
    }
}
