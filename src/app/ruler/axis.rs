//! The ruler's axis: ohms by their logarithm, everything else straight, with a zone for open at the end.

use crate::model::Scale;
use crate::units;

/// Share of the axis left free at either end.
const PAD: f64 = 0.04;
/// Share of the axis kept for states without any path.
const OPEN_ZONE: f64 = 0.09;
/// No more decades than this are shown; what lies below stands at the left end.
const MOST_DECADES: f64 = 7.0;

/// Where readings stand along the ruler. Places along it are in axis units: decades, or plain numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// What is shown.
    pub scale: Scale,
    /// Left end in axis units.
    pub low: f64,
    /// Right end in axis units, the open zone included.
    pub high: f64,
    /// Where the zone of open states begins, in axis units; `None` where nothing is open.
    pub open_from: Option<f64>,
}

/// One mark of the axis.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisMark {
    /// Place in axis units.
    pub at: f64,
    /// Distance to the nearest other mark, in axis units.
    pub step: f64,
    /// Number beside it; the unit stands at the end of the axis.
    pub text: String,
}

impl Axis {
    /// An axis that shows all these readings; infinite ones ask for an open zone.
    pub fn around(scale: Scale, values: impl Iterator<Item = f64>) -> Self {
        let (mut low, mut high, mut is_open) = (f64::INFINITY, f64::NEG_INFINITY, false);
        for value in values {
            if value.is_finite() {
                // Zero ohms has no logarithm; it stands at the left end.
                let at = if scale == Scale::Ohm && value <= 0.0 {
                    continue;
                } else {
                    on_axis(scale, value)
                };
                (low, high) = (low.min(at), high.max(at));
            } else {
                is_open = true;
            }
        }
        if low > high {
            (low, high) = if scale == Scale::Ohm { (2.0, 4.0) } else { (0.0, 1.0) };
        }
        if scale == Scale::Ohm {
            low = low.max(high - MOST_DECADES);
        }
        let least = if scale == Scale::Ohm { 0.05 } else { 1e-3 * (1.0 + high.abs()) };
        let span = (high - low).max(least);
        let middle = f64::midpoint(low, high);
        let (low, high) = (middle - span * (0.5 + PAD), middle + span * (0.5 + PAD));
        let open_from = is_open.then_some(high);
        let high = if is_open { high + (high - low) * OPEN_ZONE } else { high };
        Self { scale, low, high, open_from }
    }

    /// Place of a reading; open stands in its zone, what is out of range at the nearest end.
    pub fn at(&self, value: f64) -> f64 {
        if value.is_infinite() && value > 0.0 {
            return self.open_from.map_or(self.high, |from| f64::midpoint(from, self.high));
        }
        if self.scale == Scale::Ohm && value <= 0.0 {
            return self.low;
        }
        on_axis(self.scale, value).clamp(self.low, self.open_from.unwrap_or(self.high))
    }

    /// Marks at least `gap` axis units apart, none outside the axis or in the open zone.
    pub fn marks(&self, gap: f64) -> Vec<AxisMark> {
        let end = self.open_from.unwrap_or(self.high);
        let values = if self.scale == Scale::Ohm && end - self.low > 0.9 {
            decade_marks(self.low, end, gap)
        } else {
            let back = |at: f64| if self.scale == Scale::Ohm { 10f64.powf(at) } else { at };
            let (low, high) = (back(self.low), back(end));
            even_marks(low, high, (high - low) * gap / (end - self.low))
        };
        let places: Vec<f64> = values.iter().map(|value| on_axis(self.scale, *value)).collect();
        let inside = |at: f64| (self.low..=end).contains(&at);
        let nearest = |idx: usize| {
            let before = (idx > 0).then(|| places[idx] - places[idx - 1]);
            let after = places.get(idx + 1).map(|next| next - places[idx]);
            before.into_iter().chain(after).fold(f64::INFINITY, f64::min)
        };
        (0..places.len())
            .filter(|idx| inside(places[*idx]))
            .map(|idx| AxisMark {
                at: places[idx],
                step: nearest(idx).min(end - self.low),
                text: mark_text(self.scale, values[idx]),
            })
            .collect()
    }
}

fn on_axis(scale: Scale, value: f64) -> f64 {
    if scale == Scale::Ohm { value.log10() } else { value }
}

/// Numbers of the axis carry their prefix only: `2k`; the unit stands at its end.
fn mark_text(scale: Scale, value: f64) -> String {
    match scale {
        Scale::Ohm => units::format_ohm_short(value),
        Scale::Volt | Scale::Count | Scale::Percent => {
            let digits = if value.abs() >= 100.0 { 0 } else { 3 };
            units::trim_zeros(&format!("{value:.digits$}"))
        }
    }
}

/// 1, 2, 5 in every decade where there is room, else 1 and 3, else whole decades, thinned out.
fn decade_marks(low: f64, high: f64, gap: f64) -> Vec<f64> {
    let (digits, every): (&[f64], i32) = match gap {
        gap if gap <= 0.30 => (&[1.0, 2.0, 5.0], 1),
        gap if gap <= 0.47 => (&[1.0, 3.0], 1),
        gap => (&[1.0], gap.ceil().clamp(1.0, 20.0) as i32),
    };
    let decades = (low.floor() as i32)..=(high.ceil() as i32);
    decades
        .filter(|decade| decade.rem_euclid(every) == 0)
        .flat_map(|decade| digits.iter().map(move |digit| digit * 10f64.powi(decade)))
        .collect()
}

/// Multiples of 1, 2 or 5 times a power of ten, at least `gap` apart.
fn even_marks(low: f64, high: f64, gap: f64) -> Vec<f64> {
    if !(gap.is_finite() && gap > 0.0 && high > low) {
        return Vec::new();
    }
    let power = 10f64.powf(gap.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|digit| digit * power)
        .find(|step| *step >= gap * 0.999);
    let step = step.unwrap_or(power * 10.0);
    let (first, last) = ((low / step).ceil() as i64, (high / step).floor() as i64);
    (first..=last.min(first + 100)).map(|n| n as f64 * step).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(axis: &Axis, gap: f64) -> Vec<String> {
        axis.marks(gap).into_iter().map(|mark| mark.text).collect()
    }

    #[test]
    fn ohms_stand_by_their_logarithm_with_open_at_the_end() {
        let axis = Axis::around(Scale::Ohm, [660.0, 10_000.0, f64::INFINITY].into_iter());
        assert_eq!(texts(&axis, 0.25), ["1k", "2k", "5k", "10k"]);
        let (a, b, c) = (axis.at(1000.0), axis.at(2000.0), axis.at(4000.0));
        assert!(((b - a) - (c - b)).abs() < 1e-12, "equal ratios are equally far apart");
        let open = axis.at(f64::INFINITY);
        assert!(open > axis.open_from.unwrap() && open < axis.high);
        assert!(axis.marks(0.25).iter().all(|mark| mark.at <= axis.open_from.unwrap()));
    }

    #[test]
    fn zero_ohms_and_nothing_at_all_are_no_trouble() {
        let axis = Axis::around(Scale::Ohm, [0.0, 470.0].into_iter());
        assert_eq!(axis.at(0.0), axis.low);
        assert!(axis.low < axis.high);
        let empty = Axis::around(Scale::Volt, std::iter::empty());
        assert_eq!(empty.open_from, None);
        assert!(empty.low < empty.high && !empty.marks(0.2).is_empty());
        let one = Axis::around(Scale::Volt, [2.5].into_iter());
        assert!(one.low < 2.5 && 2.5 < one.high);
    }

    #[test]
    fn wide_and_narrow_axes_keep_their_marks_apart() {
        for (low, high) in [(900.0, 1150.0), (100.0, 900.0), (1.0, 1e6), (0.01, 1e9)] {
            let axis = Axis::around(Scale::Ohm, [low, high].into_iter());
            for gap in [0.05, 0.2, 0.4, 0.9, 1.7] {
                let marks = axis.marks(gap);
                for pair in marks.windows(2) {
                    // Numbers of a short stretch are even in ohms, which is not quite even along it.
                    assert!(
                        pair[1].at - pair[0].at >= gap * 0.4,
                        "{low} to {high}, gap {gap}: {marks:?}"
                    );
                }
                assert!(marks.iter().all(|mark| mark.at >= axis.low && mark.at <= axis.high));
            }
        }
        let volts = Axis::around(Scale::Volt, [0.2, 2.75].into_iter());
        assert_eq!(texts(&volts, 0.4), ["0.5", "1", "1.5", "2", "2.5"]);
    }
}
