//! Least and greatest volts of a state, put together once, so that each costs a division and a few lines.
//!
//! The volts of a divider are a straight line in its share `R / (R + Rpull)` (on the supply side
//! `Rpull / (Rpull + R)`), one line for each corner of reference, offset and full scale. The least
//! volts are the lowest of those lines, the greatest the highest.

/// Reference, offset and full scale have at most this many corners.
const MAX_LINES: usize = 8;

/// What both ends of a state's volts are reckoned from.
#[derive(Clone, Copy, Debug)]
pub struct Ends {
    /// Whether volts rise with ohms.
    pub(super) is_rising: bool,
    pub(super) least: End,
    pub(super) most: End,
    /// What the converter may be off, and its full scale.
    pub(super) converter: Option<(f64, f64)>,
}

/// One end.
#[derive(Clone, Copy, Debug)]
pub struct End {
    /// The divider's share of a resistance `a / b` is `(x a + y b) / (v a + w b)`: x and y, v and w.
    pub(super) above: (f64, f64),
    pub(super) below: (f64, f64),
    /// Volts at a share of 0, and how much more at a share of 1.
    lines: [(f64, f64); MAX_LINES],
    n_lines: usize,
}

/// A resistance as a fraction; one over nothing where open.
type Fraction = [f64; 2];

impl End {
    /// No lines yet.
    pub(super) fn new(above: (f64, f64), below: (f64, f64)) -> Self {
        Self { above, below, lines: [(0.0, 0.0); MAX_LINES], n_lines: 0 }
    }

    /// Adds a line unless one that is there is beyond it for every share; `sign` is 1 at the least
    /// end and -1 at the greatest.
    pub(super) fn add(&mut self, (start, rise): (f64, f64), sign: f64) {
        let is_beyond = |(other, more): &(f64, f64)| {
            sign * other <= sign * start && sign * (other + more) <= sign * (start + rise)
        };
        if !self.lines[..self.n_lines].iter().any(is_beyond) && self.n_lines < MAX_LINES {
            self.lines[self.n_lines] = (start, rise);
            self.n_lines += 1;
        }
    }

    fn volts(&self, [a, b]: Fraction) -> impl Iterator<Item = f64> {
        let above = self.above.0 * a + self.above.1 * b;
        let share = above / (self.below.0 * a + self.below.1 * b);
        self.lines[..self.n_lines].iter().map(move |(start, rise)| start + rise * share)
    }
}

impl Ends {
    /// Least and greatest volts as the converter sees them, for the least and greatest ohms of a
    /// state, each a fraction that is one over nothing where open.
    pub fn volts(&self, low: Fraction, high: Fraction) -> (f64, f64) {
        let (low, high) = self.true_volts(low, high);
        let middle = low.midpoint(high);
        match self.converter {
            Some((error, full)) => {
                ((low - error).max(0.0).min(middle), (high + error).min(full).max(middle))
            }
            None => (low, high),
        }
    }

    /// The same, each end for itself, so that it is monotone in its own ohms even where the
    /// greatest ohms given are less than the least: no less than the least volts and no more than
    /// the greatest.
    pub fn volts_apart(&self, low: Fraction, high: Fraction) -> (f64, f64) {
        let (low, high) = self.true_volts(low, high);
        match self.converter {
            Some((error, full)) => ((low - error).max(0.0), (high + error).min(full)),
            None => (low, high),
        }
    }

    /// Least volts of one resistance, the converter left out: what tells how far states move.
    pub fn least_volts(&self, ohm: Fraction) -> f64 {
        self.least.volts(ohm).fold(f64::INFINITY, f64::min)
    }

    fn true_volts(&self, low: Fraction, high: Fraction) -> (f64, f64) {
        let (least, most) = if self.is_rising { (low, high) } else { (high, low) };
        (
            self.least.volts(least).fold(f64::INFINITY, f64::min),
            self.most.volts(most).fold(f64::NEG_INFINITY, f64::max),
        )
    }
}
