//! What no allotment can beat: bounds on new wire, on opened pieces and on what is left.

use crate::cutting::allotment::packing::{Demand, Packing};
use crate::cutting::allotment::values::common_measure;

/// Greatest number of entries of a table of reachable sums.
const MOST_ENTRIES: u64 = 4_000_000;

/// For the last wires of an order: the greatest sum of some of them that still fits into a room.
pub struct Reach {
    unit: u64,
    cells: usize,
    /// By the number of wires left out at the start, then by room in units.
    best: Vec<u32>,
}

impl Reach {
    /// Reachable sums of every tail of `wires`; `None` where the table would be too large.
    pub fn new(packing: &Packing, wires: &[Demand]) -> Option<Self> {
        let unit = common_measure(packing)?;
        let most = packing.pieces.iter().map(|piece| piece.room).max()?;
        let cells = most / unit + 1;
        if cells * (wires.len() as u64 + 1) > MOST_ENTRIES {
            return None;
        }
        let cells = cells as usize;
        let mut best = vec![0_u32; cells * (wires.len() + 1)];
        let mut is_reached = vec![false; cells];
        is_reached[0] = true;
        for (from, wire) in wires.iter().enumerate().rev() {
            let step = (wire.weight / unit) as usize;
            for cell in (step..cells).rev() {
                is_reached[cell] |= is_reached[cell - step];
            }
            let mut last = 0;
            for (cell, is_reached) in is_reached.iter().enumerate() {
                if *is_reached {
                    last = cell as u32;
                }
                best[from * cells + cell] = last;
            }
        }
        Some(Self { unit, cells, best })
    }

    /// The greatest sum of wires `from..` that fits into `room`, in micrometres.
    pub fn fill(&self, from: usize, room: u64) -> u64 {
        let cell = ((room / self.unit) as usize).min(self.cells - 1);
        u64::from(self.best[from * self.cells + cell]) * self.unit
    }
}

/// Free rooms at one node of the search, and how many wires each piece already gives.
pub struct Rooms<'a> {
    /// The question.
    pub packing: &'a Packing,
    /// Free room and number of wires by piece.
    pub load: &'a [(u64, usize)],
    /// Reachable sums, where there is a table.
    pub reach: Option<&'a Reach>,
}

impl Rooms<'_> {
    /// Greatest weight of the wires from `from` on that this piece can still take.
    fn takes(&self, from: usize, piece: usize) -> u64 {
        let free = self.load[piece].0;
        self.reach.map_or(free, |reach| reach.fill(from, free))
    }

    /// Least weight that must be bought new out of `ahead`, the weight of the wires from `from` on.
    pub fn least_new(&self, from: usize, ahead: u64) -> u64 {
        let mut left = ahead;
        for piece in 0..self.load.len() {
            left = left.saturating_sub(self.takes(from, piece));
            if left == 0 {
                break;
            }
        }
        left
    }

    /// Least number of pieces that must still be opened to place `weight`.
    pub fn least_opened(&self, from: usize, weight: u64) -> usize {
        let mut left = weight;
        let mut whole: Vec<u64> = Vec::new();
        for (piece, (_, n_wires)) in self.load.iter().enumerate() {
            let takes = self.takes(from, piece);
            if *n_wires > 0 {
                left = left.saturating_sub(takes);
            } else {
                whole.push(takes);
            }
        }
        whole.sort_unstable_by(|a, b| b.cmp(a));
        let mut n_opened = 0;
        for takes in whole {
            if left == 0 {
                break;
            }
            left = left.saturating_sub(takes);
            n_opened += 1;
        }
        // Where not even all pieces are enough the caller's bound on new wire has said so.
        n_opened
    }

    /// Greatest sum of squares that can be left once `weight` more is cut.
    ///
    /// Cutting `s` from a piece that leaves `a` loses `a² - (a - s)²`, which is concave in `s`, so it
    /// never lies under its chord to the whole free room. The least sum of chords takes the pieces
    /// with the flattest chord first.
    pub fn most_useful(&self, weight: u64) -> u128 {
        let mut useful: u128 = 0;
        let mut chords: Vec<(u128, u128)> = Vec::with_capacity(self.load.len());
        for (piece, (free, n_wires)) in self.load.iter().enumerate() {
            let left = self.packing.left(piece, *free, *n_wires > 0);
            let square = u128::from(left).pow(2);
            useful += square;
            if *free > 0 {
                chords.push((square, u128::from(*free)));
            }
        }
        // square / free ascending, without a division: numbers stay below 2^36 cubed.
        chords.sort_unstable_by(|a, b| (a.0 * b.1).cmp(&(b.0 * a.1)));
        let mut left = u128::from(weight);
        for (square, free) in chords {
            if left == 0 {
                break;
            }
            let cut = left.min(free);
            useful -= square * cut / free;
            left -= cut;
        }
        useful
    }
}
