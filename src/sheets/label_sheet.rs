//! A sheet of sleeves or stickers: labels of one size in rows and columns, in millimetres.
//!
//! The user measures the sheet and types its sizes; the ones to start from are our own.

use crate::geometry::{Rect, point};
use crate::units::trim_zeros;

/// No label is lower: one line of the smallest text, and air.
const LEAST_HEIGHT_MM: f64 = 5.0;
/// No label is narrower: a few letters of the smallest text.
const LEAST_WIDTH_MM: f64 = 10.0;
/// More rows or columns are a slip of the finger.
const MOST_IN_LINE: u16 = 200;

/// How the labels lie on a sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LabelSheet {
    /// Width of a label.
    pub width_mm: f64,
    /// Height of a label.
    pub height_mm: f64,
    /// Labels side by side.
    pub columns: u16,
    /// Labels under each other.
    pub rows: u16,
    /// From the left edge of the paper to the first label.
    pub left_mm: f64,
    /// From the upper edge of the paper to the first label.
    pub top_mm: f64,
    /// Between two labels side by side.
    pub gap_x_mm: f64,
    /// Between two labels under each other.
    pub gap_y_mm: f64,
    /// Labels of the first sheet that are used up already.
    pub used: u16,
}

impl LabelSheet {
    /// Sheets to start from, all upright and smaller than A4 and Letter. The sizes are our own:
    /// measure the sheet at hand and type what it has.
    pub const STARTS: [(&'static str, Self); 4] = [
        ("Low sleeves", Self::start((50.0, 8.0), (3, 28), (20.0, 15.0), (8.0, 1.0))),
        ("Wide sleeves", Self::start((60.0, 12.0), (3, 20), (8.0, 15.0), (4.0, 1.0))),
        ("Small stickers", Self::start((38.0, 20.0), (4, 12), (16.0, 14.0), (8.0, 0.5))),
        ("Large stickers", Self::start((60.0, 32.0), (3, 8), (10.0, 10.0), (5.0, 0.0))),
    ];

    const fn start(
        (width_mm, height_mm): (f64, f64),
        (columns, rows): (u16, u16),
        (left_mm, top_mm): (f64, f64),
        (gap_x_mm, gap_y_mm): (f64, f64),
    ) -> Self {
        Self { width_mm, height_mm, columns, rows, left_mm, top_mm, gap_x_mm, gap_y_mm, used: 0 }
    }

    /// As many labels of a size as fit on paper of a size, from a corner on, with gaps between.
    pub fn fitting(
        (width_mm, height_mm): (f64, f64),
        paper_mm: (f64, f64),
        (left_mm, top_mm): (f64, f64),
        (gap_x_mm, gap_y_mm): (f64, f64),
    ) -> Self {
        let count = |paper: f64, from: f64, label: f64, gap: f64| {
            // As far from the other edge as from the first.
            let n = ((paper - 2.0 * from + gap) / (label + gap)).floor();
            if n.is_finite() { n.clamp(1.0, f64::from(MOST_IN_LINE)) as u16 } else { 1 }
        };
        let columns = count(paper_mm.0, left_mm, width_mm, gap_x_mm);
        let rows = count(paper_mm.1, top_mm, height_mm, gap_y_mm);
        Self::start((width_mm, height_mm), (columns, rows), (left_mm, top_mm), (gap_x_mm, gap_y_mm))
    }

    /// Labels on one sheet.
    pub fn count(&self) -> usize {
        usize::from(self.columns) * usize::from(self.rows)
    }

    /// Whether the sheet can be printed on paper of this size.
    ///
    /// # Errors
    /// A sentence that says what does not fit.
    pub fn check(&self, (paper_x_mm, paper_y_mm): (f64, f64)) -> Result<(), String> {
        let sizes = [
            ("width", self.width_mm, LEAST_WIDTH_MM),
            ("height", self.height_mm, LEAST_HEIGHT_MM),
            ("left margin", self.left_mm, 0.0),
            ("top margin", self.top_mm, 0.0),
            ("gap side by side", self.gap_x_mm, 0.0),
            ("gap below each other", self.gap_y_mm, 0.0),
        ];
        for (name, value, least) in sizes {
            if !value.is_finite() || value < least {
                return Err(format!(
                    "expected a {name} of at least {} mm, found {}",
                    number(least),
                    number(value)
                ));
            }
        }
        for (name, count) in [("columns", self.columns), ("rows", self.rows)] {
            if count == 0 || count > MOST_IN_LINE {
                return Err(format!("expected 1 to {MOST_IN_LINE} {name}, found {count}"));
            }
        }
        if usize::from(self.used) >= self.count() {
            return Err(format!(
                "expected fewer used labels than the {} of a sheet, found {}",
                self.count(),
                self.used
            ));
        }
        let last = self.place(self.count() - 1).max;
        if last.x_mm > paper_x_mm + 1e-6 || last.y_mm > paper_y_mm + 1e-6 {
            return Err(format!(
                "expected labels within the paper of {} × {} mm, found the last one ending at {} × {} mm",
                number(paper_x_mm),
                number(paper_y_mm),
                number(last.x_mm),
                number(last.y_mm)
            ));
        }
        Ok(())
    }

    /// Where a label lies on its sheet, counted from 0 row by row.
    pub fn place(&self, idx: usize) -> Rect {
        let columns = usize::from(self.columns).max(1);
        let (row, column) = (idx / columns, idx % columns);
        let corner = point(
            self.left_mm + column as f64 * (self.width_mm + self.gap_x_mm),
            self.top_mm + row as f64 * (self.height_mm + self.gap_y_mm),
        );
        Rect::spanning(corner, corner + point(self.width_mm, self.height_mm))
    }

    /// `50 × 8 mm, 3 × 28 on a sheet`.
    pub fn words(&self) -> String {
        format!(
            "{} × {} mm, {} × {} on a sheet",
            number(self.width_mm),
            number(self.height_mm),
            self.columns,
            self.rows
        )
    }
}

fn number(value: f64) -> String {
    trim_zeros(&format!("{value:.2}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    const A4: (f64, f64) = (210.0, 297.0);

    #[test]
    fn sheets_to_start_from_fit_on_both_common_papers() {
        for (name, sheet) in LabelSheet::STARTS {
            for paper in [A4, (215.9, 279.4)] {
                assert_eq!(sheet.check(paper), Ok(()), "{name}");
            }
        }
    }

    #[test]
    fn labels_lie_in_rows_and_columns_and_never_over_each_other() {
        let sheet = LabelSheet::STARTS[1].1;
        let places: Vec<Rect> = (0..sheet.count()).map(|idx| sheet.place(idx)).collect();
        assert_eq!((places[0].min.x_mm, places[0].min.y_mm), (8.0, 15.0));
        assert_eq!((places[4].min.x_mm, places[4].min.y_mm), (72.0, 28.0));
        for (n, a) in places.iter().enumerate() {
            assert!(places[n + 1..].iter().all(|b| !a.grown(-0.01).touches(*b)));
        }
    }

    #[test]
    fn what_does_not_fit_is_said_in_words() {
        let good = LabelSheet::fitting((50.0, 10.0), A4, (10.0, 12.0), (2.0, 0.0));
        assert_eq!((good.columns, good.rows), (3, 27));
        assert_eq!(good.check(A4), Ok(()));
        let said = |sheet: LabelSheet| sheet.check(A4).unwrap_err();
        assert!(said(LabelSheet { columns: 5, ..good }).contains("ending at 268 × 282 mm"));
        assert!(said(LabelSheet { height_mm: 3.0, ..good }).contains("height of at least 5 mm"));
        assert!(said(LabelSheet { left_mm: f64::NAN, ..good }).contains("left margin"));
        assert!(said(LabelSheet { rows: 0, ..good }).contains("1 to 200 rows"));
        assert!(said(LabelSheet { used: 81, ..good }).contains("fewer used labels"));
        let odd = LabelSheet::fitting((0.0, 0.0), A4, (0.0, 0.0), (0.0, 0.0));
        assert!(odd.check(A4).is_err());
    }
}
