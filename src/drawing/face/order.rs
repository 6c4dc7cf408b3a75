//! The place of each number, in pitches from the middle of the face; to the right and downwards.

use std::f64::consts::TAU;

use crate::model::{CavityLayout, Corner, Course, Latch, Lines, Numbering, OffsetRows, RowShift};

/// Place of the cavity with an index (from 0) on the face view of the first half.
///
/// `radius` is that of a ring, in pitches. Costs a handful of operations for grids and rings, and
/// a walk over the lines of offset rows.
pub(super) fn place(
    layout: CavityLayout,
    numbering: Numbering,
    radius: f64,
    idx: u16,
) -> (f64, f64) {
    match layout {
        CavityLayout::Grid { rows, columns } => {
            let (row, column) = grid_place((rows.max(1), columns.max(1)), numbering, idx);
            let middle = |n: u16| (f64::from(n.max(1)) - 1.0) / 2.0;
            (f64::from(column) - middle(columns), f64::from(row) - middle(rows))
        }
        CavityLayout::Offset(rows) => {
            let (across, down) = extent(layout, 0.0);
            let (row, halves) = offset_place(&rows, numbering, idx);
            (f64::from(halves) / 2.0 - across / 2.0, row as f64 - down / 2.0)
        }
        CavityLayout::Ring { around, .. } if idx >= around => (0.0, 0.0),
        CavityLayout::Ring { around, .. } => {
            let (start, clockwise) = numbering.ring();
            let first = match start {
                Latch::Up => 0.0,
                Latch::Right => 0.25,
                Latch::Down => 0.5,
                Latch::Left => 0.75,
            };
            let along = f64::from(idx) / f64::from(around.max(1));
            let angle = TAU * if clockwise { first + along } else { first - along };
            (radius * angle.sin(), -radius * angle.cos())
        }
    }
}

/// Distance of the outermost cavities, across and down, in pitches.
pub(super) fn extent(layout: CavityLayout, radius: f64) -> (f64, f64) {
    match layout {
        CavityLayout::Grid { rows, columns } => {
            (f64::from(columns.max(1)) - 1.0, f64::from(rows.max(1)) - 1.0)
        }
        CavityLayout::Offset(rows) => {
            let ends = rows.counts().iter().zip(starts(&rows));
            let last = ends.map(|(n, start)| start + 2 * (u32::from(*n).max(1) - 1)).max();
            (f64::from(last.unwrap_or(0)) / 2.0, rows.counts().len() as f64 - 1.0)
        }
        CavityLayout::Ring { .. } => (2.0 * radius, 2.0 * radius),
    }
}

/// Row and column.
fn grid_place((rows, columns): (u16, u16), numbering: Numbering, idx: u16) -> (u16, u16) {
    let in_line = match numbering.lines {
        Lines::Rows => columns,
        Lines::Columns => rows,
    };
    let (line, along) = (idx / in_line, idx % in_line);
    let along = if is_back(numbering, usize::from(line)) { in_line - 1 - along } else { along };
    let (row, column) = match numbering.lines {
        Lines::Rows => (line, along),
        Lines::Columns => (along, line),
    };
    let (from_below, from_right) = sides(numbering.start);
    (
        if from_below { (rows - 1).saturating_sub(row) } else { row },
        if from_right { (columns - 1).saturating_sub(column) } else { column },
    )
}

/// Row, and distance from the leftmost cavity in half pitches.
fn offset_place(rows: &OffsetRows, numbering: Numbering, idx: u16) -> (usize, u32) {
    let (from_below, from_right) = sides(numbering.start);
    let starts = starts(rows);
    let counts = rows.counts();
    let last = counts.len() - 1;
    let mut left = usize::from(idx);
    match numbering.lines {
        Lines::Rows => {
            for line in 0..counts.len() {
                let row = if from_below { last - line } else { line };
                let count = usize::from(counts[row]);
                if left < count {
                    let backward = from_right != is_back(numbering, line);
                    let along = if backward { count - 1 - left } else { left };
                    return (row, starts[row] + 2 * along as u32);
                }
                left -= count;
            }
        }
        Lines::Columns => {
            let widest = counts.iter().zip(&starts).map(|(n, start)| start + 2 * u32::from(*n));
            let widest = widest.max().unwrap_or(0);
            let mut line = 0;
            for step in 0..widest {
                let at = if from_right { widest - 1 - step } else { step };
                let stands = |row: &usize| {
                    at >= starts[*row]
                        && (at - starts[*row]).is_multiple_of(2)
                        && (at - starts[*row]) / 2 < u32::from(counts[*row])
                };
                let mut here: Vec<usize> = (0..counts.len()).filter(stands).collect();
                if from_below != is_back(numbering, line) {
                    here.reverse();
                }
                match here.get(left) {
                    Some(row) => return (*row, at),
                    None => left -= here.len(),
                }
                line += usize::from(!here.is_empty());
            }
        }
    }
    (last, 0)
}

/// Where each row begins, in half pitches from the leftmost cavity of all.
fn starts(rows: &OffsetRows) -> Vec<u32> {
    let counts = rows.counts();
    let most = counts.iter().copied().max().unwrap_or(0);
    let starts: Vec<u32> = (0..counts.len())
        .map(|row| match (rows.shift, row % 2 == 0) {
            (RowShift::Middle, _) => u32::from(most - counts[row]),
            (RowShift::Right, even) => u32::from(!even),
            (RowShift::Left, even) => u32::from(even),
        })
        .collect();
    let least = starts.iter().copied().min().unwrap_or(0);
    starts.into_iter().map(|start| start - least).collect()
}

/// Whether numbers start below, and whether they start at the right.
fn sides(start: Corner) -> (bool, bool) {
    match start {
        Corner::UpperLeft => (false, false),
        Corner::UpperRight => (false, true),
        Corner::LowerRight => (true, true),
        Corner::LowerLeft => (true, false),
    }
}

fn is_back(numbering: Numbering, line: usize) -> bool {
    numbering.course == Course::Serpentine && line % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::face::sample_layouts;

    /// The numbers as a person would write them down: spots sorted into lines, lines turned about.
    fn sorted(layout: CavityLayout, numbering: Numbering) -> Vec<(f64, f64)> {
        let mut spots: Vec<(f64, f64)> =
            (0..layout.count()).map(|n| place(layout, Numbering::FORWARD, 0.0, n)).collect();
        let (from_below, from_right) = sides(numbering.start);
        let x = |p: &(f64, f64)| if from_right { -p.0 } else { p.0 };
        let y = |p: &(f64, f64)| if from_below { -p.1 } else { p.1 };
        let line = |p: &(f64, f64)| if numbering.lines == Lines::Rows { y(p) } else { x(p) };
        let along = |p: &(f64, f64)| if numbering.lines == Lines::Rows { x(p) } else { y(p) };
        spots.sort_by(|a, b| line(a).total_cmp(&line(b)).then(along(a).total_cmp(&along(b))));
        if numbering.course == Course::Serpentine {
            for (n, stretch) in spots.chunk_by_mut(|a, b| line(a) == line(b)).enumerate() {
                if n % 2 == 1 {
                    stretch.reverse();
                }
            }
        }
        spots
    }

    #[test]
    fn numbers_are_those_of_sorting_the_places() {
        for layout in sample_layouts() {
            if matches!(layout, CavityLayout::Ring { .. }) {
                continue;
            }
            for numbering in Numbering::all() {
                let here: Vec<_> =
                    (0..layout.count()).map(|n| place(layout, numbering, 0.0, n)).collect();
                assert_eq!(here, sorted(layout, numbering), "{layout:?} {numbering:?}");
            }
        }
    }

    #[test]
    fn nine_pins_in_rows_of_five_and_four() {
        // The usual nine-way face with 5 above 4 (common practice, no source).
        let rows = OffsetRows::new(&[5, 4], RowShift::Middle).unwrap();
        let layout = CavityLayout::Offset(rows);
        let at = |n: u16| place(layout, Numbering::FORWARD, 0.0, n - 1);
        assert_eq!(
            [at(1), at(5), at(6), at(9)],
            [(-2.0, -0.5), (2.0, -0.5), (-1.5, 0.5), (1.5, 0.5)]
        );
        let columns = Numbering { lines: Lines::Columns, ..Numbering::FORWARD };
        let at = |n: u16| place(layout, columns, 0.0, n - 1);
        assert_eq!(
            [at(1), at(2), at(3), at(9)],
            [(-2.0, -0.5), (-1.5, 0.5), (-1.0, -0.5), (2.0, -0.5)]
        );
    }
}
