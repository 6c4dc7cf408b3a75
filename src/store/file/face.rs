//! Faces of connectors in the file: arrangement, numbering, what fits.

use serde::{Deserialize, Serialize};

use crate::store::file::words::{Corner, Course, Lines, RowShift};

/// Arrangement of cavities.
#[derive(Serialize, Deserialize)]
pub enum CavityLayout {
    #[serde(rename = "grid")]
    Grid(Grid),
    #[serde(rename = "offset")]
    Offset(Offset),
    #[serde(rename = "ring")]
    Ring(Ring),
}

/// Rows and columns.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grid {
    pub rows: u16,
    pub columns: u16,
}

/// Rows of their own counts.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Offset {
    pub counts: Vec<u16>,
    #[serde(default, skip_serializing_if = "RowShift::is_default")]
    pub shift: RowShift,
}

/// A circle.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ring {
    pub around: u16,
    #[serde(default, skip_serializing_if = "super::is_false")]
    pub centre: bool,
}

/// Which way the numbers run: the two usual ones have a word.
#[derive(Default, Serialize, Deserialize)]
pub enum Numbering {
    #[default]
    #[serde(rename = "forward")]
    Forward,
    #[serde(rename = "backward")]
    Backward,
    #[serde(rename = "path")]
    Path(Path),
}

impl Numbering {
    /// Whether it is what the file leaves out.
    pub fn is_default(&self) -> bool {
        matches!(self, Self::Forward)
    }
}

/// Any other way the numbers run.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Path {
    pub start: Corner,
    #[serde(default, skip_serializing_if = "Lines::is_default")]
    pub by: Lines,
    #[serde(default, skip_serializing_if = "Course::is_default")]
    pub course: Course,
}

/// From least to greatest.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Span {
    pub low: f64,
    pub high: f64,
}

/// What fits into the cavities.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fit {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pitch_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub row_pitch_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conductor_mm2: Option<Span>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insulation_mm: Option<Span>,
}
