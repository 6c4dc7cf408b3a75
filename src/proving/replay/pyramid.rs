//! Least and greatest of ever longer blocks, so that any stretch of a long log is drawn from a few
//! thousand points and no spike is ever lost.

/// Rows of a block of the lowest level.
const BASE: usize = 4;

/// Blocks of 4, 8, 16 … rows, each with its least and greatest reading.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pyramid {
    levels: Vec<Vec<(f64, f64)>>,
    n_rows: usize,
}

/// Points to draw.
#[derive(Clone, Debug, PartialEq)]
pub enum Points {
    /// Every row of the stretch.
    Rows(std::ops::Range<usize>),
    /// Blocks: first row, row behind the last, least and greatest.
    Blocks(Vec<Block>),
}

/// A few rows as one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Block {
    /// First row.
    pub first: usize,
    /// Row behind the last.
    pub end: usize,
    /// Least reading.
    pub low: f64,
    /// Greatest reading.
    pub high: f64,
}

impl Pyramid {
    /// Builds all levels: their memory is that of the readings once more.
    pub fn new(values: &[f64]) -> Self {
        let mut levels = Vec::new();
        if values.len() > BASE {
            let mut level: Vec<(f64, f64)> = values.chunks(BASE).map(ends).collect();
            while level.len() > 1 {
                let next = level.chunks(2).map(joined).collect();
                levels.push(std::mem::replace(&mut level, next));
            }
            levels.push(level);
        }
        Self { levels, n_rows: values.len() }
    }

    /// What to draw of these rows with at most `most` points, a block being two.
    pub fn points(&self, rows: std::ops::Range<usize>, most: usize) -> Points {
        let rows = rows.start.min(self.n_rows)..rows.end.min(self.n_rows);
        let most_blocks = (most / 2).max(1);
        if rows.len() <= most || self.levels.is_empty() {
            return Points::Rows(rows);
        }
        let (mut level, mut size) = (0, BASE);
        while rows.end.div_ceil(size) - rows.start / size > most_blocks
            && level + 1 < self.levels.len()
        {
            level += 1;
            size *= 2;
        }
        let blocks = rows.start / size..rows.end.div_ceil(size);
        let block = |idx: usize| {
            let (low, high) = self.levels[level][idx];
            Block { first: idx * size, end: ((idx + 1) * size).min(self.n_rows), low, high }
        };
        Points::Blocks(blocks.map(block).collect())
    }
}

fn ends(values: &[f64]) -> (f64, f64) {
    values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(*value), high.max(*value))
    })
}

fn joined(blocks: &[(f64, f64)]) -> (f64, f64) {
    blocks.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), block| {
        (low.min(block.0), high.max(block.1))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::Random;

    /// Against the rows themselves: every block holds exactly the ends of its rows, no row is left
    /// out, and there are never more points than asked for.
    #[test]
    fn every_stretch_shows_its_ends() {
        let mut random = Random::new(11);
        for n_rows in [0, 1, 3, 4, 5, 1000, 40_003] {
            let values: Vec<f64> = (0..n_rows)
                .map(|_| if random.once_in(50) { f64::INFINITY } else { random.between(-3.0, 7.0) })
                .collect();
            let pyramid = Pyramid::new(&values);
            for _ in 0..200 {
                let from = random.below(n_rows + 1);
                let to = from + random.below(n_rows - from + 1);
                let most = [2, 10, 500, 2000][random.below(4)];
                match pyramid.points(from..to, most) {
                    Points::Rows(rows) => {
                        assert_eq!(rows, from..to);
                        assert!(rows.len() <= most || n_rows <= BASE);
                    }
                    Points::Blocks(blocks) => {
                        assert!(2 * blocks.len() <= most.max(2) + 2, "{} of {most}", blocks.len());
                        assert!(blocks[0].first <= from && blocks[blocks.len() - 1].end >= to);
                        assert!(blocks.windows(2).all(|pair| pair[0].end == pair[1].first));
                        for block in blocks {
                            let want = ends(&values[block.first..block.end]);
                            assert_eq!((block.low, block.high), want);
                        }
                    }
                }
            }
        }
    }
}
