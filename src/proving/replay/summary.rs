//! A log in a few figures: how long it stood in each band, and where the centres of the bands lay.

use crate::model::SensePin;
use crate::proving::replay::claims::{BandIdx, Claims, GUARD};
use crate::proving::replay::log::Log;
use crate::proving::replay::runs::Run;
use crate::units::Range;

/// What a log did in one band.
#[derive(Clone, Debug, PartialEq)]
pub struct BandUse {
    /// The band, or [`GUARD`].
    pub band: BandIdx,
    /// Seconds it stood there.
    pub time_s: f64,
    /// Times it came there.
    pub stays: usize,
    /// Least, mean and greatest reading; the mean is infinite where any reading is open.
    pub read: Range,
    /// What the drawing gives, for the state nearest to the mean; `None` where nothing is known.
    pub expected: Option<Range>,
}

/// The whole log in figures.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Summary {
    /// Rows.
    pub n_rows: usize,
    /// Seconds from the first row to the end of the last.
    pub span_s: f64,
    /// Seconds in which nothing was recorded.
    pub silent_s: f64,
    /// Times nothing was recorded for long.
    pub gaps: usize,
    /// Bands the log was in, in the order of the pin's bands, guards last.
    pub bands: Vec<BandUse>,
    /// Changes that passed other bands on the way, short enough to mean nothing.
    pub passings: usize,
    /// Dips of the supply, whether or not they moved the reading.
    pub dips: usize,
}

/// Adds everything up.
pub fn summary(
    pin: &SensePin,
    claims: &Claims,
    log: &Log,
    (scaled, runs): (&[f64], &[Run]),
) -> Summary {
    let mut out = Summary { n_rows: log.n_rows(), span_s: log.span_s(), ..Summary::default() };
    let mut sums = vec![
        (0.0_f64, 0_usize, 0_usize, f64::INFINITY, f64::NEG_INFINITY, 0.0);
        pin.bands.len() + 1
    ];
    let slot = |band: BandIdx| if band == GUARD { pin.bands.len() } else { usize::from(band) };
    let mut last: Option<BandIdx> = None;
    for run in runs {
        let (time_s, stays, n, low, high, sum) = &mut sums[slot(run.band)];
        *time_s += run.length_s();
        *stays += usize::from(last != Some(run.band) || run.is_after_gap);
        *n += run.rows().len();
        for value in &scaled[run.rows()] {
            (*low, *high, *sum) = (low.min(*value), high.max(*value), *sum + value);
        }
        last = Some(run.band);
    }
    for pair in runs.windows(2).filter(|pair| pair[1].is_after_gap) {
        out.gaps += 1;
        out.silent_s += pair[1].from_s - pair[0].to_s;
    }
    for (idx, (time_s, stays, n, low, high, sum)) in sums.into_iter().enumerate() {
        if n == 0 {
            continue;
        }
        let band =
            if idx == pin.bands.len() { GUARD } else { BandIdx::try_from(idx).unwrap_or(GUARD) };
        let read = Range { low, nominal: sum / n as f64, high };
        let expected = match band {
            GUARD => None,
            band => {
                let all = &claims.all[0];
                all.gives(band).then(|| all.nearest(band, read.nominal)).flatten()
            }
        };
        out.bands.push(BandUse { band, time_s, stays, read, expected });
    }
    out
}
