//! Checks of faces: arrangement, numbering, what fits.

use crate::model::limits;
use crate::model::{CavityFit, CavityLayout, Numbering, OFFSET_ROWS_MOST, OffsetRows, Span};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::value;
use crate::store::file;

/// An arrangement with 1 to 400 cavities.
pub fn layout(at: &At<'_>, row: file::CavityLayout) -> Checked<CavityLayout> {
    let out = match row {
        file::CavityLayout::Grid(file::Grid { rows, columns }) => {
            CavityLayout::Grid { rows, columns }
        }
        file::CavityLayout::Offset(file::Offset { counts, shift }) => {
            let offset = at.field("offset");
            let here = offset.field("counts");
            let rows = OffsetRows::new(&counts, shift.into()).ok_or_else(|| {
                here.refuse(format!(
                    "expected the counts of 1 to {OFFSET_ROWS_MOST} rows, found {}",
                    counts.len()
                ))
            })?;
            CavityLayout::Offset(rows)
        }
        file::CavityLayout::Ring(file::Ring { around, centre }) => {
            CavityLayout::Ring { around, centre }
        }
    };
    if out.is_empty() || out.count() > limits::CAVITIES {
        return Err(at.refuse(format!(
            "expected 1 to {} cavities, found {}",
            limits::CAVITIES,
            out.count()
        )));
    }
    Ok(out)
}

/// Any numbering is fine.
pub fn numbering(row: file::Numbering) -> Numbering {
    match row {
        file::Numbering::Forward => Numbering::FORWARD,
        file::Numbering::Backward => Numbering::BACKWARD,
        file::Numbering::Path(path) => Numbering {
            start: path.start.into(),
            lines: path.by.into(),
            course: path.course.into(),
        },
    }
}

/// What fits, every figure within its bound.
pub fn fit(at: &At<'_>, row: Option<file::Fit>) -> Checked<CavityFit> {
    let Some(row) = row else { return Ok(CavityFit::default()) };
    let span = |name, row: Option<file::Span>, bound: &limits::Bound| {
        row.map(|row| span(&at.field(name), &row, bound)).transpose()
    };
    Ok(CavityFit {
        pitch_mm: value::maybe(&at.field("pitch_mm"), row.pitch_mm, &limits::PITCH_MM)?,
        row_pitch_mm: value::maybe(&at.field("row_pitch_mm"), row.row_pitch_mm, &limits::PITCH_MM)?,
        conductor_mm2: span("conductor_mm2", row.conductor_mm2, &limits::AREA_MM2)?,
        insulation_mm: span("insulation_mm", row.insulation_mm, &limits::LENGTH_MM)?,
    })
}

fn span(at: &At<'_>, row: &file::Span, bound: &limits::Bound) -> Checked<Span> {
    let out = Span {
        low: value::number(&at.field("low"), row.low, bound)?,
        high: value::number(&at.field("high"), row.high, bound)?,
    };
    if out.low <= out.high {
        return Ok(out);
    }
    Err(at.refuse(format!(
        "expected low and high in rising order, found {} and {}",
        out.low, out.high
    )))
}
