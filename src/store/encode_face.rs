//! Faces of connectors to file structs.

use crate::model::{self, CavityFit};
use crate::store::file;

/// The arrangement.
pub(super) fn layout(layout: model::CavityLayout) -> file::CavityLayout {
    match layout {
        model::CavityLayout::Grid { rows, columns } => {
            file::CavityLayout::Grid(file::Grid { rows, columns })
        }
        model::CavityLayout::Offset(rows) => file::CavityLayout::Offset(file::Offset {
            counts: rows.counts().to_vec(),
            shift: rows.shift.into(),
        }),
        model::CavityLayout::Ring { around, centre } => {
            file::CavityLayout::Ring(file::Ring { around, centre })
        }
    }
}

/// The numbering, by its word where it has one.
pub(super) fn numbering(numbering: model::Numbering) -> file::Numbering {
    if numbering == model::Numbering::FORWARD {
        file::Numbering::Forward
    } else if numbering == model::Numbering::BACKWARD {
        file::Numbering::Backward
    } else {
        file::Numbering::Path(file::Path {
            start: numbering.start.into(),
            by: numbering.lines.into(),
            course: numbering.course.into(),
        })
    }
}

/// What fits; left out where nothing is known.
pub(super) fn fit(fit: CavityFit) -> Option<file::Fit> {
    let span = |span: model::Span| file::Span { low: span.low, high: span.high };
    (fit != CavityFit::default()).then(|| file::Fit {
        pitch_mm: fit.pitch_mm,
        row_pitch_mm: fit.row_pitch_mm,
        conductor_mm2: fit.conductor_mm2.map(span),
        insulation_mm: fit.insulation_mm.map(span),
    })
}
