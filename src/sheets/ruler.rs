//! The band ruler on paper: bands as spans over an axis, every state as a bar from worst low to
//! worst high with its number.

use crate::geometry::{Rect, point};
use crate::model::{BandRole, Scale, SensePin};
use crate::sense::StateRow;
use crate::sheets::flow::{Flow, Style};
use crate::sheets::page::{Anchor, Ink, Item, Stroke};
use crate::units::Range;

/// From one lane of bars to the next.
const LANE_MM: f64 = 4.2;
/// Height of the bands.
const BANDS_MM: f64 = 6.0;
/// Room at the right end for what is open.
const OPEN_MM: f64 = 14.0;
/// More lanes than this are not drawn.
const MAX_LANES: usize = 30;

/// From a reading to a place between left and right.
struct Axis {
    scale: Scale,
    low: f64,
    high: f64,
    left_mm: f64,
    right_mm: f64,
}

impl Axis {
    fn new(pin: &SensePin, rows: &[&StateRow], left_mm: f64, right_mm: f64) -> Self {
        let readings = rows.iter().filter_map(|row| reading(pin, row));
        let mut values: Vec<f64> = readings.flat_map(|r| [r.low, r.nominal, r.high]).collect();
        values.extend(pin.bands.iter().flat_map(|band| [Some(band.low), band.high]).flatten());
        let is_log = pin.scale == Scale::Ohm;
        values.retain(|value| value.is_finite() && (!is_log || *value > 0.0));
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let (low, high) = match (is_log, least.is_finite()) {
            (true, true) => ((least * 0.8).max(1.0), (most * 1.25).max(10.0)),
            (true, false) => (10.0, 100_000.0),
            (false, true) => (least.min(0.0), if most > least { most } else { least + 1.0 }),
            (false, false) => (0.0, 5.0),
        };
        Self { scale: pin.scale, low, high: high.max(low * 1.01), left_mm, right_mm }
    }

    fn x_mm(&self, value: f64) -> f64 {
        if value.is_infinite() {
            return self.right_mm + OPEN_MM / 2.0;
        }
        let share = match self.scale {
            Scale::Ohm => (value.max(self.low) / self.low).ln() / (self.high / self.low).ln(),
            Scale::Volt | Scale::Count | Scale::Percent => {
                (value - self.low) / (self.high - self.low)
            }
        };
        self.left_mm + share.clamp(0.0, 1.0) * (self.right_mm - self.left_mm)
    }

    /// Values to write below the axis.
    fn marks(&self) -> Vec<f64> {
        match self.scale {
            Scale::Ohm => {
                let (first, last) =
                    (self.low.log10().floor() as i32, self.high.log10().ceil() as i32);
                let values =
                    (first..=last).flat_map(|d| [1.0, 2.0, 5.0].map(|m| m * 10f64.powi(d)));
                values.filter(|v| *v >= self.low && *v <= self.high).collect()
            }
            Scale::Volt | Scale::Count | Scale::Percent => {
                let raw = (self.high - self.low) / 8.0;
                let decade = 10f64.powf(raw.log10().floor());
                let step = [1.0, 2.0, 5.0, 10.0]
                    .into_iter()
                    .map(|m| m * decade)
                    .find(|step| *step >= raw)
                    .unwrap_or(raw);
                let first = (self.low / step).ceil() as i32;
                let count = ((self.high - self.low) / step).floor() as i32;
                (first..=first + count)
                    .map(|n| f64::from(n) * step)
                    .filter(|v| *v <= self.high * 1.000_001)
                    .collect()
            }
        }
    }
}

/// What a state reads in the pin's scale; ohms where that is not known.
fn reading(pin: &SensePin, row: &StateRow) -> Option<Range> {
    match (row.scaled, pin.scale) {
        (Some(range), _) => Some(range),
        (None, Scale::Ohm) => Some(row.ohm),
        (None, Scale::Volt | Scale::Count | Scale::Percent) => None,
    }
}

/// Draws the ruler; states are named by their number in the table, from 1.
pub fn draw(flow: &mut Flow<'_>, pin: &SensePin, rows: &[&StateRow]) {
    let body = flow.body();
    let axis = Axis::new(pin, rows, body.min.x_mm + 1.0, body.max.x_mm - OPEN_MM);
    let names = band_rows(flow, pin, &axis);
    let n_name_rows = names.iter().map(|(_, row, _)| row + 1).max().unwrap_or(0);
    let (bars, n_lanes, n_left) = lanes(flow, pin, &axis, rows);
    let name_mm = n_name_rows as f64 * LANE_MM;
    let height_mm = name_mm + BANDS_MM + 5.5 + n_lanes as f64 * LANE_MM + 3.0;
    let room = flow.room(height_mm);
    let top = room.min.y_mm + name_mm;
    draw_bands(flow, pin, &axis, top);
    for (x, row, name) in names {
        let y = room.min.y_mm + row as f64 * LANE_MM + 3.2;
        flow.text_at(point(x, y), Anchor::Middle, Style::QUIET, &name);
    }
    draw_axis(flow, &axis, top + BANDS_MM);
    let bars_top = top + BANDS_MM + 6.0;
    for bar in bars {
        let y = bars_top + bar.lane as f64 * LANE_MM + LANE_MM / 2.0;
        let half = 0.7;
        let rect = Rect::spanning(point(bar.low, y - half), point(bar.high, y + half));
        let edge = Some(Stroke::solid(0.15, Ink::Black));
        flow.push(Item::Rect { rect, stroke: edge, fill: Some(Ink::Pale) });
        let needle = Stroke::solid(0.4, Ink::Black);
        flow.line(point(bar.nominal, y - 1.3), point(bar.nominal, y + 1.3), needle);
        let at = point(bar.high.max(bar.nominal) + 0.8, y + 1.15);
        flow.text_at(at, Anchor::Start, Style::QUIET, &bar.number);
    }
    flow.note(&format!(
        "Grey spans are bands, white between them a guard. Each bar reaches from the worst low to \
         the worst high of a state, the stroke in it is the usual value; numbers as in the table{}.",
        if n_left == 0 { String::new() } else { format!("; {n_left} more states are in the table only") }
    ));
}

/// Bands: a filled span for what acts, an empty frame for what does not.
fn draw_bands(flow: &mut Flow<'_>, pin: &SensePin, axis: &Axis, top: f64) {
    for band in &pin.bands {
        let (left, right) = band_ends(band.low, band.high, axis);
        let rect = Rect::spanning(point(left, top), point(right, top + BANDS_MM));
        let (fill, edge) = match band.role {
            BandRole::Action => (Ink::Rule, Stroke::solid(0.3, Ink::Black)),
            BandRole::Idle => (Ink::Pale, Stroke::solid(0.2, Ink::Black)),
            BandRole::Open | BandRole::Short => {
                (Ink::White, Stroke::dashed(0.3, Ink::Black, (1.0, 0.7)))
            }
        };
        flow.push(Item::Rect { rect, stroke: Some(edge), fill: Some(fill) });
    }
}

fn band_ends(low: f64, high: Option<f64>, axis: &Axis) -> (f64, f64) {
    let right = high.map_or(axis.right_mm + OPEN_MM, |high| axis.x_mm(high));
    let left = axis.x_mm(low);
    (left, right.max(left + 0.4))
}

/// Place, row and words of each band's name; rows so that no two touch.
fn band_rows(flow: &Flow<'_>, pin: &SensePin, axis: &Axis) -> Vec<(f64, usize, String)> {
    let mut rows: Vec<f64> = Vec::new();
    let mut bands: Vec<(f64, &str)> = pin
        .bands
        .iter()
        .map(|band| {
            let (left, right) = band_ends(band.low, band.high, axis);
            (left.midpoint(right), band.name.as_str())
        })
        .collect();
    bands.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(b.1)));
    let mut out = Vec::new();
    for (middle, name) in bands {
        let (name, _) = flow.fonts.shrunk(name, 60.0, 9.0, false);
        let half = flow.fonts.width_mm(&name, 9.0, false) / 2.0;
        let least = axis.left_mm + half;
        let most = (axis.right_mm + OPEN_MM - half).max(least);
        let x = middle.clamp(least, most);
        let free = rows.iter().position(|end| *end + 2.0 <= x - half);
        let row = free.unwrap_or(rows.len());
        if row == rows.len() {
            rows.push(0.0);
        }
        rows[row] = x + half;
        out.push((x, row, name));
    }
    out
}

fn draw_axis(flow: &mut Flow<'_>, axis: &Axis, y: f64) {
    let ink = Stroke::solid(0.3, Ink::Black);
    flow.line(point(axis.left_mm, y), point(axis.right_mm + OPEN_MM, y), ink);
    let mut free_from = f64::NEG_INFINITY;
    for value in axis.marks() {
        let x = axis.x_mm(value);
        let words = mark_words(axis.scale, value);
        let half = flow.fonts.width_mm(&words, 9.0, false) / 2.0;
        flow.line(point(x, y), point(x, y + 1.0), ink);
        if x - half > free_from + 2.0 && x + half < axis.right_mm {
            flow.text_at(point(x, y + 4.4), Anchor::Middle, Style::QUIET, &words);
            free_from = x + half;
        }
    }
    if axis.scale == Scale::Ohm {
        let at = point(axis.right_mm + OPEN_MM / 2.0, y + 4.4);
        flow.text_at(at, Anchor::Middle, Style::QUIET, "open");
    }
}

fn mark_words(scale: Scale, value: f64) -> String {
    match scale {
        Scale::Ohm => crate::units::format_ohm_short(value),
        Scale::Volt | Scale::Count | Scale::Percent => {
            let words = scale.text(value);
            match words.split_once(' ') {
                Some((number, unit)) => format!("{} {unit}", short_number(number)),
                None => words,
            }
        }
    }
}

fn short_number(number: &str) -> String {
    if number.contains('.') { crate::units::trim_zeros(number) } else { number.to_owned() }
}

struct Bar {
    low: f64,
    nominal: f64,
    high: f64,
    lane: usize,
    number: String,
}

/// Bars in lanes so that neither bars nor numbers touch; also the number of lanes, and how many
/// states found none.
fn lanes(
    flow: &Flow<'_>,
    pin: &SensePin,
    axis: &Axis,
    rows: &[&StateRow],
) -> (Vec<Bar>, usize, usize) {
    let mut found: Vec<(f64, Range, usize)> = rows
        .iter()
        .enumerate()
        .filter_map(|(idx, row)| reading(pin, row).map(|range| (axis.x_mm(range.low), range, idx)))
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.2.cmp(&b.2)));
    let mut ends: Vec<f64> = Vec::new();
    let (mut bars, mut n_left) = (Vec::new(), 0);
    for (low, range, idx) in found {
        let (nominal, high) = (axis.x_mm(range.nominal), axis.x_mm(range.high));
        let number = (idx + 1).to_string();
        let end = high.max(nominal) + 0.8 + flow.fonts.width_mm(&number, 9.0, false);
        let free = ends.iter().position(|taken| *taken + 1.2 <= low.min(nominal));
        let lane = match free {
            Some(lane) => lane,
            None if ends.len() < MAX_LANES => {
                ends.push(0.0);
                ends.len() - 1
            }
            None => {
                n_left += 1;
                continue;
            }
        };
        ends[lane] = end;
        bars.push(Bar { low, nominal, high: high.max(low + 0.3), lane, number });
    }
    let n_lanes = ends.len();
    (bars, n_lanes, n_left)
}
