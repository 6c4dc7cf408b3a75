//! Times of a move and ends of the permit loop to file structs.

use crate::model::Timing;
use crate::store::file;

/// The times; left out where they are the usual ones.
pub fn timing(t: &Timing) -> Option<file::Timing> {
    (*t != Timing::USUAL).then_some(file::Timing {
        skew_ms: t.skew_ms,
        change_ms: t.change_ms,
        bounce_ms: t.bounce_ms,
    })
}
