//! Points, vectors, rectangles and quarter turns of the sheet, in millimetres; y grows downwards.

use std::ops::{Add, Sub};

/// A place on the sheet, or the difference of two; in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the right.
    pub x_mm: f64,
    /// Downwards.
    pub y_mm: f64,
}

/// Shorthand for [`Point`].
pub const fn point(x_mm: f64, y_mm: f64) -> Point {
    Point { x_mm, y_mm }
}

impl Add for Point {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        point(self.x_mm + other.x_mm, self.y_mm + other.y_mm)
    }
}

impl Sub for Point {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        point(self.x_mm - other.x_mm, self.y_mm - other.y_mm)
    }
}

impl Point {
    /// The nearest point of a square grid.
    pub fn snapped(self, grid_mm: f64) -> Self {
        let snap = |v: f64| (v / grid_mm).round() * grid_mm;
        point(snap(self.x_mm), snap(self.y_mm))
    }

    /// Straight distance to another point.
    pub fn distance(self, other: Self) -> f64 {
        (self.x_mm - other.x_mm).hypot(self.y_mm - other.y_mm)
    }
}

/// An upright rectangle; `min` is never right of or below `max`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Upper left corner.
    pub min: Point,
    /// Lower right corner.
    pub max: Point,
}

impl Rect {
    /// The rectangle spanned by two opposite corners, in any order.
    pub fn spanning(a: Point, b: Point) -> Self {
        Self {
            min: point(a.x_mm.min(b.x_mm), a.y_mm.min(b.y_mm)),
            max: point(a.x_mm.max(b.x_mm), a.y_mm.max(b.y_mm)),
        }
    }

    /// The least rectangle holding both.
    pub fn union(self, other: Self) -> Self {
        Self {
            min: point(self.min.x_mm.min(other.min.x_mm), self.min.y_mm.min(other.min.y_mm)),
            max: point(self.max.x_mm.max(other.max.x_mm), self.max.y_mm.max(other.max.y_mm)),
        }
    }

    /// Grown by `margin_mm` on all sides.
    pub fn grown(self, margin_mm: f64) -> Self {
        let by = point(margin_mm, margin_mm);
        Self { min: self.min - by, max: self.max + by }
    }

    /// Moved by a vector.
    pub fn moved(self, by: Point) -> Self {
        Self { min: self.min + by, max: self.max + by }
    }

    /// Whether the point lies inside or on the edge.
    pub fn contains(self, p: Point) -> bool {
        (self.min.x_mm..=self.max.x_mm).contains(&p.x_mm)
            && (self.min.y_mm..=self.max.y_mm).contains(&p.y_mm)
    }

    /// Whether the two share at least one point.
    pub fn touches(self, other: Self) -> bool {
        self.min.x_mm <= other.max.x_mm
            && other.min.x_mm <= self.max.x_mm
            && self.min.y_mm <= other.max.y_mm
            && other.min.y_mm <= self.max.y_mm
    }

    /// Middle of the rectangle.
    pub fn centre(self) -> Point {
        point((self.min.x_mm + self.max.x_mm) / 2.0, (self.min.y_mm + self.max.y_mm) / 2.0)
    }

    /// Width in millimetres.
    pub fn width(self) -> f64 {
        self.max.x_mm - self.min.x_mm
    }

    /// Height in millimetres.
    pub fn height(self) -> f64 {
        self.max.y_mm - self.min.y_mm
    }
}

/// Quarter turns clockwise, as seen on the sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turn {
    /// As drawn in the symbol.
    #[default]
    None,
    /// 90 degrees clockwise.
    Quarter,
    /// 180 degrees.
    Half,
    /// 270 degrees clockwise.
    ThreeQuarters,
}

impl Turn {
    /// One quarter turn further clockwise.
    pub fn next(self) -> Self {
        match self {
            Self::None => Self::Quarter,
            Self::Quarter => Self::Half,
            Self::Half => Self::ThreeQuarters,
            Self::ThreeQuarters => Self::None,
        }
    }

    /// Turns an offset about the origin.
    pub fn apply(self, p: Point) -> Point {
        match self {
            Self::None => p,
            Self::Quarter => point(-p.y_mm, p.x_mm),
            Self::Half => point(-p.x_mm, -p.y_mm),
            Self::ThreeQuarters => point(p.y_mm, -p.x_mm),
        }
    }
}

/// Whether a symbol is mirrored left to right before it is turned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Flip {
    /// As drawn in the symbol.
    #[default]
    Straight,
    /// Left and right exchanged.
    Mirrored,
}

impl Flip {
    /// Mirrors an offset about the vertical axis, if at all.
    pub fn apply(self, p: Point) -> Point {
        match self {
            Self::Straight => p,
            Self::Mirrored => point(-p.x_mm, p.y_mm),
        }
    }

    /// The other of the two.
    pub fn other(self) -> Self {
        match self {
            Self::Straight => Self::Mirrored,
            Self::Mirrored => Self::Straight,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_quarter_turns_are_none() {
        let start = point(3.0, -2.0);
        let mut turn = Turn::None;
        let mut seen = Vec::new();
        for _ in 0..4 {
            seen.push(turn.apply(start));
            turn = turn.next();
        }
        assert_eq!(turn, Turn::None);
        assert_eq!(seen, [point(3.0, -2.0), point(2.0, 3.0), point(-3.0, 2.0), point(-2.0, -3.0)]);
    }

    #[test]
    fn snapping_goes_to_the_nearest_grid_point() {
        assert_eq!(point(6.2, -3.8).snapped(2.5), point(5.0, -5.0));
    }
}
