//! What stands on the ruler: bands, a bar for every state, each on a lane of its own where bars would
//! hide each other, and the reading of now.

use crate::app::reading::{BandSpan, band_spans, in_scale, missing};
use crate::app::ruler::axis::Axis;
use crate::app::ruler::histogram::{Column, SUMMARY_FROM, columns};
use crate::model::{ControlId, Project, Scale, SensePin, State};
use crate::sense::{PinTable, Verdict};

/// One state on the ruler. Places are in axis units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bar {
    /// Index of its row in the state table.
    pub row: usize,
    /// Worst low.
    pub low: f64,
    /// Nominal.
    pub nominal: f64,
    /// Worst high.
    pub high: f64,
    /// Whether there is no path at nominal values.
    pub is_open: bool,
    /// Lane from the bottom.
    pub lane: usize,
    /// How it fares.
    pub verdict: Option<Verdict>,
}

/// Everything the ruler shows.
#[derive(Clone, Debug, PartialEq)]
pub struct RulerFacts {
    /// The axis.
    pub axis: Axis,
    /// Bands in the unit shown; empty where they cannot be told in it.
    pub bands: Vec<BandSpan>,
    /// States.
    pub bars: Vec<Bar>,
    /// How many states read where, in place of the bars of a very large table.
    pub columns: Vec<Column>,
    /// Number of lanes in use.
    pub lanes: usize,
    /// Place of the needle.
    pub now: Option<f64>,
    /// Bar of the state the controls are in.
    pub current: Option<usize>,
}

impl RulerFacts {
    /// Gathers what to show in a unit.
    ///
    /// # Errors
    /// One sentence where this unit cannot be shown for this pin.
    pub fn gather(
        project: &Project,
        pin: &SensePin,
        table: &PinTable,
        now: Option<f64>,
        bench: &State,
        scale: Scale,
    ) -> Result<Self, String> {
        if let Some(missing) = missing(project, pin, scale) {
            return Err(format!("{} cannot be told: {missing} is not known", scale_noun(scale)));
        }
        let bands = band_spans(project, pin, scale).unwrap_or_default();
        let ranges: Vec<_> = table.rows.iter().map(|row| in_scale(row, pin, scale)).collect();
        let readings =
            ranges.iter().flatten().flat_map(|range| [range.low, range.nominal, range.high]);
        // A band without end needs no open zone of its own; a state that is open does.
        let edges =
            bands.iter().flat_map(|band| [band.low, band.high]).filter(|edge| edge.is_finite());
        let axis = Axis::around(scale, readings.chain(edges).chain(now));
        let mut bars: Vec<Bar> = ranges
            .iter()
            .enumerate()
            .filter_map(|(row, range)| {
                let range = (*range)?;
                Some(Bar {
                    row,
                    low: axis.at(range.low),
                    nominal: axis.at(range.nominal),
                    high: axis.at(range.high),
                    is_open: range.nominal.is_infinite(),
                    lane: 0,
                    verdict: table.rows[row].verdict,
                })
            })
            .collect();
        let now_at = current_row(project, table, bench);
        let is_large = table.rows.len() > SUMMARY_FROM;
        let columns = if is_large { columns(&axis, &ranges, &table.rows) } else { Vec::new() };
        if is_large {
            bars.retain(|bar| Some(bar.row) == now_at);
        }
        let lanes = spread(&mut bars, (axis.high - axis.low) * 0.006);
        let current = now_at.and_then(|row| bars.iter().position(|bar| bar.row == row));
        Ok(Self {
            axis,
            bands,
            bars,
            columns,
            lanes,
            now: now.map(|value| axis.at(value)),
            current,
        })
    }
}

/// Row of the state table the controls are in.
pub fn current_row(project: &Project, table: &PinTable, bench: &State) -> Option<usize> {
    let stands = |state: &State| {
        table.controls.iter().all(|id| {
            project
                .controls
                .get(*id)
                .is_some_and(|control| state.position(*id, control) == bench.position(*id, control))
        })
    };
    // Rows come in the order of their positions, first control slowest.
    let positions = |state: &State| {
        let at = |id: &ControlId| {
            project.controls.get(*id).map_or(0, |control| state.position(*id, control))
        };
        table.controls.iter().map(at).collect::<Vec<u8>>()
    };
    let wanted = positions(bench);
    let found = table.rows.binary_search_by(|row| positions(&row.state).cmp(&wanted)).ok();
    found.filter(|row| stands(&table.rows[*row].state))
}

/// Gives every bar the lowest lane in which it is at least `gap` from the one before. Returns the lanes used.
fn spread(bars: &mut [Bar], gap: f64) -> usize {
    let mut order: Vec<usize> = (0..bars.len()).collect();
    order.sort_by(|a, b| bars[*a].low.total_cmp(&bars[*b].low).then(a.cmp(b)));
    let mut ends: Vec<f64> = Vec::new();
    for idx in order {
        let lane = ends.iter().position(|end| *end + gap <= bars[idx].low).unwrap_or(ends.len());
        if lane == ends.len() {
            ends.push(bars[idx].high);
        } else {
            ends[lane] = bars[idx].high;
        }
        bars[idx].lane = lane;
    }
    ends.len()
}

fn scale_noun(scale: Scale) -> &'static str {
    match scale {
        Scale::Ohm => "Ohms",
        Scale::Volt => "Volts",
        Scale::Count => "Counts",
        Scale::Percent => "Percent of full scale",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::fixture::{ladder, row_at};

    fn bar(low: f64, high: f64) -> Bar {
        Bar { row: 0, low, nominal: low, high, is_open: false, lane: 0, verdict: None }
    }

    #[test]
    fn bars_that_would_hide_each_other_get_lanes_of_their_own() {
        let mut bars = [bar(0.0, 2.0), bar(1.0, 3.0), bar(2.5, 4.0), bar(2.6, 2.7)];
        assert_eq!(spread(&mut bars, 0.1), 3);
        assert_eq!(bars.map(|bar| bar.lane), [0, 1, 0, 2]);
        for (idx, a) in bars.iter().enumerate() {
            for b in &bars[idx + 1..] {
                let apart = a.high + 0.1 <= b.low || b.high + 0.1 <= a.low;
                assert!(a.lane != b.lane || apart, "{a:?} hides {b:?}");
            }
        }
        assert_eq!(spread(&mut [], 0.1), 0);
    }

    #[test]
    fn bands_bars_and_needle_stand_on_one_axis() {
        let (project, id) = ladder();
        let pin = project.sense_pins.get(id).unwrap();
        let controls: Vec<_> = project.controls.ids().collect();
        let mut rows = vec![
            row_at(pin, f64::INFINITY, f64::INFINITY, f64::INFINITY),
            row_at(pin, 1027.0, 1011.0, 1050.0),
        ];
        rows[1].state.0.extend([(controls[0], 1), (controls[1], 2)]);
        let bench = rows[1].state.clone();
        let table = PinTable { pin: id, controls, rows, findings: Vec::new() };
        let facts =
            RulerFacts::gather(&project, pin, &table, Some(1027.0), &bench, Scale::Ohm).unwrap();
        assert_eq!(facts.bars.len(), 2);
        assert!(facts.bars[0].is_open && facts.bars[0].nominal > facts.axis.open_from.unwrap());
        assert_eq!(facts.current, Some(1));
        assert!((facts.now.unwrap() - 1027f64.log10()).abs() < 1e-12);
        let refused =
            RulerFacts::gather(&project, pin, &table, None, &bench, Scale::Volt).unwrap_err();
        assert_eq!(refused, "Volts cannot be told: the pull resistor is not known");
    }
}
