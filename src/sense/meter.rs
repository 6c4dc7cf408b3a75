//! What a meter may show for a true value, and how far off it may be.
//!
//! A leaflet gives the error as a share of the reading and a number of counts of the last digit:
//! on a range whose last digit is 0.1 V, 1 % + 3 counts of 120 V is 1.2 V + 0.3 V.

use crate::model::{MeterProfile, MeterRange};

/// How far off the meter may be at so many ohms, either way, in ohms; the leads' own ohms are no
/// error and are not in it. Infinite beyond its greatest range.
pub fn ohm_error(meter: &MeterProfile, ohm: f64) -> f64 {
    if meter.ohm_ranges.is_empty() {
        return meter.fraction * ohm + meter.offset_ohm;
    }
    range_error(&meter.ohm_ranges, ohm)
}

/// How far off the meter may be at so many volts, either way; `None` where nobody knows.
pub fn volt_error(meter: &MeterProfile, volt: f64) -> Option<f64> {
    (!meter.volt_ranges.is_empty()).then(|| range_error(&meter.volt_ranges, volt))
}

/// Error on the least range that takes the value.
fn range_error(ranges: &[MeterRange], value: f64) -> f64 {
    let value = value.abs();
    ranges
        .iter()
        .find(|range| value <= range.most)
        .map_or(f64::INFINITY, |range| range.fraction * value + range.counts * range.step)
}

/// Least and greatest ohms the meter may show where the circuit has from `low` to `high`; what its
/// leads have is in both. Infinite where it shows its sign for over range.
pub fn shown_ohm(meter: &MeterProfile, (low, high): (f64, f64)) -> (f64, f64) {
    let (low, high) = (low + meter.lead_ohm, high + meter.lead_ohm);
    let least = match ohm_error(meter, low) {
        error if error.is_finite() => (low - error).max(0.0),
        // Beyond the greatest range the least it may show is that range's end, less its error.
        _ => meter.ohm_ranges.last().map_or(f64::INFINITY, |range| {
            if low.is_finite() {
                range.most - range_error(&meter.ohm_ranges, range.most)
            } else {
                f64::INFINITY
            }
        }),
    };
    (least, high + ohm_error(meter, high))
}

/// The same in volts; the circuit's own limits where the meter's error is not known.
pub fn shown_volt(meter: &MeterProfile, (low, high): (f64, f64)) -> (f64, f64) {
    let error = |volt| volt_error(meter, volt).unwrap_or(0.0);
    (low - error(low), high + error(high))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(got: f64, want: f64) {
        assert!((got - want).abs() < 1e-9, "{got}, {want}");
    }

    fn range(most: f64, fraction: f64, counts: f64, step: f64) -> MeterRange {
        MeterRange { most, fraction, counts, step }
    }

    /// Vectors DMM-1, DMM-2 (an instrument maker's support note, read) and DMM-R (same form,
    /// figures worked out for this project).
    #[test]
    fn share_and_counts_are_added_as_a_leaflet_means_them() {
        let mut meter = MeterProfile::plain(0.01, 0.5);
        meter.volt_ranges = vec![range(0.55, 0.03, 5.0, 1e-5), range(600.0, 0.01, 3.0, 0.1)];
        near(volt_error(&meter, 120.0).unwrap(), 1.5);
        near(volt_error(&meter, 0.5).unwrap(), 0.01505);
        let (low, high) = shown_volt(&meter, (0.5, 0.5));
        near(low, 0.48495);
        near(high, 0.51505);
        meter.ohm_ranges = vec![range(600.0, 0.009, 2.0, 0.1), range(6000.0, 0.009, 2.0, 1.0)];
        meter.lead_ohm = 0.2;
        near(ohm_error(&meter, 1500.0), 15.5);
        let (low, high) = shown_ohm(&meter, (1500.0, 1500.0));
        near(low, 1500.2 - 0.009 * 1500.2 - 2.0);
        near(high, 1500.2 + 0.009 * 1500.2 + 2.0);
    }

    #[test]
    fn without_ranges_the_share_and_the_offset_hold_everywhere() {
        let meter = MeterProfile::plain(0.01, 0.5);
        let (low, high) = shown_ohm(&meter, (653.4, 669.627));
        near(low, 653.4 * 0.99 - 0.5);
        near(high, 669.627 * 1.01 + 0.5);
        assert_eq!(shown_ohm(&meter, (f64::INFINITY, f64::INFINITY)).0, f64::INFINITY);
        assert_eq!(shown_ohm(&meter, (0.0, 0.0)).0, 0.0);
        assert_eq!(volt_error(&meter, 5.0), None);
    }

    #[test]
    fn beyond_the_greatest_range_nothing_is_sure() {
        let mut meter = MeterProfile::plain(0.01, 0.5);
        meter.ohm_ranges = vec![range(1000.0, 0.01, 2.0, 1.0)];
        assert!(ohm_error(&meter, 1001.0).is_infinite());
        let (low, high) = shown_ohm(&meter, (2000.0, 3000.0));
        near(low, 1000.0 - 12.0);
        assert!(high.is_infinite());
    }
}
