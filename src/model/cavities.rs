//! How cavities lie on a mating face and which way their numbers run.

/// Most rows a face with offset rows may have.
pub const OFFSET_ROWS_MOST: usize = 12;

/// How cavities are arranged on the mating face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CavityLayout {
    /// `rows` times `columns`.
    Grid {
        /// Number of rows, at least 1.
        rows: u16,
        /// Number of columns, at least 1.
        columns: u16,
    },
    /// Rows of their own counts, some moved half a pitch.
    Offset(OffsetRows),
    /// On a circle, with or without one more in the centre, which has the last number.
    Ring {
        /// Cavities on the circle, at least 1.
        around: u16,
        /// Whether the last number sits in the centre.
        centre: bool,
    },
}

impl CavityLayout {
    /// How many cavities there are; they are numbered from 1.
    pub fn count(self) -> u16 {
        match self {
            Self::Grid { rows, columns } => rows.saturating_mul(columns),
            Self::Offset(rows) => {
                rows.counts().iter().fold(0, |sum: u16, n| sum.saturating_add(*n))
            }
            Self::Ring { around, centre } => around.saturating_add(u16::from(centre)),
        }
    }

    /// Whether a row, a column or the circle has nothing in it.
    pub fn is_empty(self) -> bool {
        match self {
            Self::Grid { rows, columns } => rows == 0 || columns == 0,
            Self::Offset(rows) => rows.counts().contains(&0),
            Self::Ring { around, .. } => around == 0,
        }
    }
}

/// How the second, fourth, … row stands to the first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RowShift {
    /// Every row stands in the middle: rows of 5 and 4 come out half a pitch apart.
    Middle,
    /// Half a pitch to the right.
    Right,
    /// Half a pitch to the left.
    Left,
}

/// Counts of rows from the top, and how they are moved. Always one to twelve rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OffsetRows {
    counts: [u16; OFFSET_ROWS_MOST],
    n_rows: u8,
    /// How they are moved.
    pub shift: RowShift,
}

impl OffsetRows {
    /// Rows from the top; `None` where there are none or more than twelve.
    pub fn new(rows: &[u16], shift: RowShift) -> Option<Self> {
        if rows.is_empty() || rows.len() > OFFSET_ROWS_MOST {
            return None;
        }
        let mut counts = [0; OFFSET_ROWS_MOST];
        counts[..rows.len()].copy_from_slice(rows);
        Some(Self { counts, n_rows: u8::try_from(rows.len()).ok()?, shift })
    }

    /// Cavities of each row, from the top.
    pub fn counts(&self) -> &[u16] {
        &self.counts[..usize::from(self.n_rows)]
    }
}

/// A corner of the face.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Corner {
    /// Upper left.
    UpperLeft,
    /// Upper right.
    UpperRight,
    /// Lower right.
    LowerRight,
    /// Lower left.
    LowerLeft,
}

impl Corner {
    /// All corners, clockwise.
    pub const ALL: [Self; 4] =
        [Self::UpperLeft, Self::UpperRight, Self::LowerRight, Self::LowerLeft];

    /// Where it comes to lie when the face is turned a quarter clockwise.
    pub fn turned(self) -> Self {
        match self {
            Self::UpperLeft => Self::UpperRight,
            Self::UpperRight => Self::LowerRight,
            Self::LowerRight => Self::LowerLeft,
            Self::LowerLeft => Self::UpperLeft,
        }
    }

    /// Where it comes to lie in the mirror, left for right.
    pub fn mirrored(self) -> Self {
        match self {
            Self::UpperLeft => Self::UpperRight,
            Self::UpperRight => Self::UpperLeft,
            Self::LowerRight => Self::LowerLeft,
            Self::LowerLeft => Self::LowerRight,
        }
    }
}

/// What is counted through before the next one is begun.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lines {
    /// Row by row.
    Rows,
    /// Column by column: all that stand exactly above each other.
    Columns,
}

/// Where the next row or column begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Course {
    /// On the same side as the one before, as text is read.
    Reading,
    /// Where the one before ended: there and back.
    Serpentine,
}

/// Which way the numbers run on the **face view of the first half**.
///
/// The other half is its mirror image: mated faces look at each other. A ring has no corners; there
/// the eight pairs of corner and lines stand for the four sides it may start at, each in two
/// directions (see [`Numbering::ring`]).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Numbering {
    /// Where number 1 is.
    pub start: Corner,
    /// What is counted through first.
    pub lines: Lines,
    /// Where the next line begins.
    pub course: Course,
}

impl Default for Numbering {
    fn default() -> Self {
        Self::FORWARD
    }
}

impl Numbering {
    /// Left to right, row by row; clockwise from the top.
    pub const FORWARD: Self =
        Self { start: Corner::UpperLeft, lines: Lines::Rows, course: Course::Reading };
    /// Right to left, row by row; anticlockwise from the top.
    pub const BACKWARD: Self = Self { start: Corner::UpperRight, ..Self::FORWARD };

    /// All sixteen of them.
    pub fn all() -> impl Iterator<Item = Self> {
        Corner::ALL.into_iter().flat_map(|start| {
            [Lines::Rows, Lines::Columns].into_iter().flat_map(move |lines| {
                [Course::Reading, Course::Serpentine].into_iter().map(move |course| Self {
                    start,
                    lines,
                    course,
                })
            })
        })
    }

    /// As it looks in the mirror, left for right.
    #[must_use]
    pub fn mirrored(self) -> Self {
        Self { start: self.start.mirrored(), ..self }
    }

    /// As it looks when the face is turned a quarter clockwise.
    #[must_use]
    pub fn turned(self) -> Self {
        let lines = match self.lines {
            Lines::Rows => Lines::Columns,
            Lines::Columns => Lines::Rows,
        };
        Self { start: self.start.turned(), lines, ..self }
    }

    /// On a ring: the side number 1 stands on, and whether the numbers run clockwise.
    pub fn ring(self) -> (Latch, bool) {
        match (self.start, self.lines) {
            (Corner::UpperLeft, Lines::Rows) => (Latch::Up, true),
            (Corner::UpperRight, Lines::Columns) => (Latch::Right, true),
            (Corner::LowerRight, Lines::Rows) => (Latch::Down, true),
            (Corner::LowerLeft, Lines::Columns) => (Latch::Left, true),
            (Corner::UpperRight, Lines::Rows) => (Latch::Up, false),
            (Corner::LowerRight, Lines::Columns) => (Latch::Right, false),
            (Corner::LowerLeft, Lines::Rows) => (Latch::Down, false),
            (Corner::UpperLeft, Lines::Columns) => (Latch::Left, false),
        }
    }

    /// The numbering of a ring that starts on a side and runs clockwise or the other way.
    pub fn around(start: Latch, clockwise: bool) -> Self {
        Self::all()
            .find(|n| n.course == Course::Reading && n.ring() == (start, clockwise))
            .unwrap_or(Self::FORWARD)
    }
}

/// The side of the face the latch sits on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Latch {
    /// Above the cavities.
    #[default]
    Up,
    /// Below.
    Down,
    /// Left.
    Left,
    /// Right.
    Right,
}

impl Latch {
    /// All sides, clockwise from the top.
    pub const ALL: [Self; 4] = [Self::Up, Self::Right, Self::Down, Self::Left];

    /// What a person calls it.
    pub fn noun(self) -> &'static str {
        match self {
            Self::Up => "up",
            Self::Down => "down",
            Self::Left => "left",
            Self::Right => "right",
        }
    }

    /// Where it comes to lie in the mirror, left for right.
    #[must_use]
    pub fn mirrored(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
            Self::Up | Self::Down => self,
        }
    }

    /// Where it comes to lie when the face is turned a quarter clockwise.
    #[must_use]
    pub fn turned(self) -> Self {
        match self {
            Self::Up => Self::Right,
            Self::Right => Self::Down,
            Self::Down => Self::Left,
            Self::Left => Self::Up,
        }
    }
}

/// From least to greatest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Least.
    pub low: f64,
    /// Greatest.
    pub high: f64,
}

impl Span {
    /// Whether a value lies in it, its ends included.
    pub fn contains(self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

/// What the maker says fits into a cavity. What is not known is `None`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CavityFit {
    /// Distance of neighbours in a row, or on the ring, in millimetres.
    pub pitch_mm: Option<f64>,
    /// Distance of neighbouring rows in millimetres, where it differs from the pitch.
    pub row_pitch_mm: Option<f64>,
    /// Conductor its terminals take, in mm².
    pub conductor_mm2: Option<Span>,
    /// Outside diameter of the insulation its seals hold, in millimetres.
    pub insulation_mm: Option<Span>,
}
