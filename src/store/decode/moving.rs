//! Checks of the times of a move and of the ends of the permit loop.

use crate::model::{Part, PartId, Table, TerminalRef, Timing, limits};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::{value, wire};
use crate::store::file;

/// The times; the usual ones where the file has none.
pub fn timing(at: &At<'_>, row: Option<&file::Timing>) -> Checked<Timing> {
    let Some(row) = row else { return Ok(Timing::USUAL) };
    let ms = |name, ms| value::number(&at.field(name), ms, &limits::DEBOUNCE_MS);
    Ok(Timing {
        skew_ms: ms("skew_ms", row.skew_ms)?,
        change_ms: ms("change_ms", row.change_ms)?,
        bounce_ms: ms("bounce_ms", row.bounce_ms)?,
    })
}

/// Two ends that exist and are not the same.
pub fn permit(
    at: &At<'_>,
    row: &file::Permit,
    parts: &Table<PartId, Part>,
) -> Checked<(TerminalRef, TerminalRef)> {
    let from = wire::terminal(&at.field("from"), &row.from, parts)?;
    let to = wire::terminal(&at.field("to"), &row.to, parts)?;
    if from == to {
        let same = "expected another terminal than at from, found the same";
        return Err(at.field("to").refuse(same.into()));
    }
    Ok((from, to))
}
