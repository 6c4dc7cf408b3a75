//! How many readings a pin can tell apart at all: the honest limit before any value is chosen.

use crate::model::{Project, SensePinId, Side};
use crate::sense::Measure;

/// More readings than this are not counted.
const MOST: usize = 1000;

/// How many resistors of one tolerance a pin can tell apart with a gap of `gap_volt` between the
/// worst cases of neighbours, and from a short and an open line.
///
/// `spread` is the tolerance with drift, as a fraction. Taking each reading as close to the one
/// before as the gap allows gives the most that fit. `None` where pull or reference are not known.
/// Cost: a bisection a reading.
pub fn capacity(project: &Project, pin: SensePinId, spread: f64, gap_volt: f64) -> Option<usize> {
    count_up_to(project, pin, (spread, gap_volt), MOST)
}

/// The same, given up once `most` are found.
pub(super) fn count_up_to(
    project: &Project,
    pin: SensePinId,
    (spread, gap_volt): (f64, f64),
    most: usize,
) -> Option<usize> {
    let sense = project.sense_pins.get(pin)?;
    let measure = Measure::new(project, sense);
    // Along the axis on which readings rise with ohms.
    let ends = |ohm: f64| -> Option<(f64, f64)> {
        let (low, high) = measure.volt_ends(ohm * (1.0 - spread), ohm * (1.0 + spread))?;
        Some(match sense.side {
            Side::Ground => (low, high),
            Side::Supply => (-high, -low),
        })
    };
    let (_, mut taken) = ends(0.0)?;
    let (open, _) = ends(f64::INFINITY)?;
    let mut least_ohm = 0.0;
    let mut count = 0;
    while count < most {
        let ohm = first_above(taken + gap_volt, least_ohm, &|ohm| ends(ohm).map(|ends| ends.0))?;
        let Some(ohm) = ohm else { break };
        let (_, high) = ends(ohm)?;
        if high + gap_volt > open {
            break;
        }
        (taken, least_ohm) = (high, ohm);
        count += 1;
    }
    Some(count)
}

/// The least resistance from `least` on whose low end reaches `wanted`; the inner `None` where none does.
fn first_above(wanted: f64, least: f64, low: &dyn Fn(f64) -> Option<f64>) -> Option<Option<f64>> {
    let mut above = least.max(1e-3);
    while low(above)? < wanted {
        above *= 2.0;
        if above > 1e12 {
            return Some(None);
        }
    }
    let mut below = least;
    for _ in 0..80 {
        let middle = below.midpoint(above);
        if low(middle)? < wanted {
            below = middle;
        } else {
            above = middle;
        }
    }
    Some(Some(above))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    fn of(name: &str) -> (Project, SensePinId) {
        let project = samples::open(name).unwrap();
        let pin = project.sense_pins.ids().next().unwrap();
        (project, pin)
    }

    #[test]
    fn wider_parts_and_wider_gaps_leave_fewer_readings() {
        for name in ["sprayer", "rescue-boat", "railcar"] {
            let (project, pin) = of(name);
            let count = |spread, gap| capacity(&project, pin, spread, gap).unwrap();
            let best = count(0.001, 0.0);
            assert!(best > 8, "{name}: {best}");
            assert!(count(0.01, 0.0) < best && count(0.05, 0.0) < count(0.01, 0.0), "{name}");
            assert!(count(0.01, 0.1) < count(0.01, 0.0), "{name}");
        }
        let (project, pin) = of("forwarder");
        assert_eq!(capacity(&project, pin, 0.01, 0.0), None, "its pull is not known");
    }

    /// By the divider's own formula, nothing off but the parts: 5 V over 1 kΩ, 10 % parts, 0.2 V
    /// between neighbours, each as close to the one before as that allows.
    #[test]
    fn the_count_is_that_of_a_sum_by_hand() {
        let (mut project, pin) = of("sprayer");
        let row = project.sense_pins.get_mut(pin).unwrap();
        row.leak_low_ohm = None;
        row.ground_offset_volt = 0.0;
        row.converter = None;
        row.full_scale = None;
        for exact in [&mut row.pull_ohm, &mut row.reference_volt].into_iter().flatten() {
            exact.tolerance = 0.0;
        }
        let mut taken = 0.0;
        let mut by_hand = 0;
        loop {
            let low: f64 = taken + 0.2;
            if low >= 5.0 {
                break;
            }
            let ohm = 1000.0 * low / (5.0 - low) / 0.9;
            let high = 5.0 * (1.1 * ohm) / (1.1 * ohm + 1000.0);
            if high + 0.2 > 5.0 {
                break;
            }
            (taken, by_hand) = (high, by_hand + 1);
        }
        assert_eq!(capacity(&project, pin, 0.1, 0.2), Some(by_hand));
        assert!(by_hand > 5);
    }
}
