//! Whether the centre of a band moves slowly away from what the drawing gives.
//!
//! Only rows that stand in their band and are right are looked at, each as its distance from the
//! nearest state's usual reading. A band's rows are put into blocks; a straight line through the
//! blocks (least squares) tells how far the centre moved.

use crate::model::SensePin;
use crate::proving::replay::claims::Claims;
use crate::proving::replay::event::{Event, EventKind, Rules};
use crate::proving::replay::log::Log;
use crate::proving::replay::runs::Run;
use crate::units::Range;

/// Blocks a band's rows are put into, about.
const BLOCKS: usize = 48;
/// Fewer blocks tell nothing.
const BLOCKS_LEAST: usize = 8;
/// Fewer rows make no block.
const ROWS_LEAST: usize = 16;
/// The move must be so many times what the blocks scatter around the line.
const CLEAR: f64 = 6.0;
/// Past the worst case by this share of the way to the edge is past it.
const PAST_SHARE: f64 = 0.1;

#[derive(Clone, Copy, Debug, Default)]
struct Block {
    n: usize,
    from_s: f64,
    to_s: f64,
    first: usize,
    end: usize,
    off: f64,
    nominal: f64,
    low: f64,
    high: f64,
}

/// Looks for drift in every band.
pub fn drifts(
    pin: &SensePin,
    claims: &Claims,
    (log, scaled): (&Log, &[f64]),
    standing: &[Run],
    rules: &Rules,
) -> Vec<Event> {
    let mut rows_of = vec![0_usize; pin.bands.len()];
    for run in standing {
        if let Some(rows) = rows_of.get_mut(usize::from(run.band)) {
            *rows += run.rows().len();
        }
    }
    let mut open: Vec<Block> = vec![Block::default(); pin.bands.len()];
    let mut blocks: Vec<Vec<Block>> = vec![Vec::new(); pin.bands.len()];
    for run in standing {
        let band = usize::from(run.band);
        let Some(rows) = rows_of.get(band) else { continue };
        let size = (rows / BLOCKS).max(ROWS_LEAST);
        for rows in claims.stretches(run.rows()) {
            // The first and the last row of a stay may have been caught while it changed.
            let inner = match rows.len() {
                0..=4 => continue,
                _ => rows.start + 1..rows.end - 1,
            };
            let claim = claims.at(inner.start);
            for row in inner {
                let expected = claim.nearest(run.band, scaled[row]);
                let usable = |range: &Range| range.nominal.is_finite() && scaled[row].is_finite();
                let Some(expected) = expected.filter(usable) else { continue };
                let block = &mut open[band];
                block.add(row, log, scaled[row], &expected);
                if block.n >= size {
                    blocks[band].push(block.closed());
                    *block = Block::default();
                }
            }
        }
    }
    let judged = blocks.iter().enumerate().filter_map(|(band, blocks)| {
        let row = &pin.bands[band];
        let edges = (row.low, row.high.unwrap_or(f64::INFINITY));
        let found = judged(blocks, edges, rules)?;
        let at = |block: &Block| block.nominal + block.off;
        let (first, last) = (blocks[0], blocks[blocks.len() - 1]);
        Some(Event {
            kind: EventKind::Drift,
            from_s: first.from_s,
            to_s: last.to_s,
            first: first.first,
            end: last.end,
            read: (at(&first).min(at(&last)), at(&first).max(at(&last))),
            band: u16::try_from(band).unwrap_or(u16::MAX),
            expected: Some(Range { low: last.low, nominal: last.nominal, high: last.high }),
            times: 1,
            course: Some((first.nominal + found.from, first.nominal + found.to)),
            may_count: true,
        })
    });
    judged.collect()
}

impl Block {
    fn add(&mut self, row: usize, log: &Log, value: f64, expected: &Range) {
        if self.n == 0 {
            (self.from_s, self.first) = (log.time_s[row], row);
        }
        self.n += 1;
        (self.to_s, self.end) = (log.end_s(row), row + 1);
        self.off += value - expected.nominal;
        self.nominal += expected.nominal;
        self.low += expected.low.max(-f64::MAX);
        self.high += expected.high.min(f64::MAX);
    }

    fn closed(self) -> Self {
        let n = self.n as f64;
        Self {
            off: self.off / n,
            nominal: self.nominal / n,
            low: self.low / n,
            high: self.high / n,
            ..self
        }
    }
}

/// How far off the centre is at the beginning and at the end; the same where it stands.
struct Judged {
    from: f64,
    to: f64,
}

fn judged(blocks: &[Block], (low, high): (f64, f64), rules: &Rules) -> Option<Judged> {
    if blocks.len() < BLOCKS_LEAST {
        return None;
    }
    let nominal = blocks[blocks.len() - 1].nominal;
    let room = |change: f64| if change > 0.0 { high - nominal } else { nominal - low };
    let (from, to, scatter) = line(blocks);
    let change = to - from;
    let is_clear = change.abs() >= CLEAR * scatter && room(change).is_finite();
    if is_clear && change.abs() >= rules.drift_share * room(change) {
        return Some(Judged { from, to });
    }
    // It need not move while it is recorded: it may have moved long before.
    let late = &blocks[blocks.len() * 3 / 4..];
    let off = late.iter().map(|block| block.off).sum::<f64>() / late.len() as f64;
    let last = &blocks[blocks.len() - 1];
    let past = (nominal + off - last.high).max(last.low - nominal - off);
    let is_past = room(off).is_finite() && past > PAST_SHARE * room(off);
    is_past.then_some(Judged { from: off, to: off })
}

/// A straight line through the blocks: its ends, and how the blocks scatter around it.
fn line(blocks: &[Block]) -> (f64, f64, f64) {
    let n = blocks.len() as f64;
    let time = |block: &Block| (block.from_s + block.to_s) / 2.0;
    let mean_time = blocks.iter().map(time).sum::<f64>() / n;
    let mean_off = blocks.iter().map(|block| block.off).sum::<f64>() / n;
    let (mut along, mut across) = (0.0, 0.0);
    for block in blocks {
        let by = time(block) - mean_time;
        along += by * by;
        across += by * (block.off - mean_off);
    }
    let slope = if along > 0.0 { across / along } else { 0.0 };
    let at = |block: &Block| mean_off + slope * (time(block) - mean_time);
    let squares: f64 = blocks.iter().map(|block| (block.off - at(block)).powi(2)).sum();
    let scatter = (squares / (n - 2.0).max(1.0)).sqrt();
    (at(&blocks[0]), at(&blocks[blocks.len() - 1]), scatter)
}
