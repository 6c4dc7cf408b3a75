//! Checks of what fits into cavities.

use crate::edit::guard::{Checked, check_bound, check_maybe};
use crate::model::limits;
use crate::model::{CavityFit, Span};

/// Figures within their bounds, spans the right way up.
pub(super) fn check_fit(name: &str, fit: &CavityFit) -> Checked {
    check_maybe(&format!("{name}: pitch"), fit.pitch_mm, &limits::PITCH_MM)?;
    check_maybe(&format!("{name}: pitch of the rows"), fit.row_pitch_mm, &limits::PITCH_MM)?;
    check_span(&format!("{name}: conductor"), fit.conductor_mm2, &limits::AREA_MM2)?;
    check_span(&format!("{name}: insulation"), fit.insulation_mm, &limits::LENGTH_MM)
}

fn check_span(what: &str, span: Option<Span>, bound: &limits::Bound) -> Checked {
    let Some(span) = span else { return Ok(()) };
    check_bound(what, span.low, bound)?;
    check_bound(what, span.high, bound)?;
    if span.low <= span.high {
        Ok(())
    } else {
        Err(format!(
            "{what} must go from the least to the greatest, found {} to {}",
            span.low, span.high
        ))
    }
}
