//! Checks of wires and of references to terminals.

use crate::model::limits;
use crate::model::{self, End, HalfSide, PartId, PartKind, Table, TerminalRef};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::part::cavity_number;
use crate::store::decode::project::{Known, dangling};
use crate::store::decode::value;
use crate::store::decode::wiring;
use crate::store::file;

/// One wire.
pub fn wire(
    at: &At<'_>,
    row: file::Wire,
    parts: &Table<PartId, model::Part>,
    known: &Known,
) -> Checked<model::Wire> {
    let bends_at = at.field("bends_mm");
    let via_at = at.field("via_places");
    value::at_most(&bends_at, &row.bends_mm, limits::BENDS, "bends")?;
    value::at_most(&via_at, &row.via_places, limits::VIA, "places")?;
    Ok(model::Wire {
        name: value::text(&at.field("name"), row.name)?,
        circuit: value::text(&at.field("circuit"), row.circuit)?,
        from: End {
            terminal: terminal(&at.field("from"), &row.from, parts)?,
            kind: row.from_end.map(Into::into),
        },
        to: End {
            terminal: terminal(&at.field("to"), &row.to, parts)?,
            kind: row.to_end.map(Into::into),
        },
        bends: row
            .bends_mm
            .iter()
            .enumerate()
            .map(|(idx, bend)| value::point(&bends_at.row(idx), *bend))
            .collect::<Checked<_>>()?,
        size: value::size(&at.field("size"), &row.size)?,
        colour: value::colour(&row.colour),
        usage: row.usage.into(),
        via: row
            .via_places
            .iter()
            .enumerate()
            .map(|(idx, id)| known.place(&via_at.row(idx), *id))
            .collect::<Checked<_>>()?,
        typed_length_mm: value::maybe(
            &at.field("typed_length_mm"),
            row.typed_length_mm,
            &limits::LENGTH_MM,
        )?,
        make: wiring::make(&at.field("make"), row.make)?,
    })
}

/// A terminal that exists.
pub fn terminal(
    at: &At<'_>,
    row: &file::Terminal,
    parts: &Table<PartId, model::Part>,
) -> Checked<TerminalRef> {
    let id = PartId(row.part);
    let part = parts.get(id).ok_or_else(|| dangling(&at.field("part"), "part", row.part))?;
    let who = format!("{} {}", part.kind.noun(), part.name);
    let (layout, wants_half) = match &part.kind {
        PartKind::Connector(connector) => (connector.layout, true),
        PartKind::Controller(controller) => (controller.layout, false),
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => return numbered(at, row, part, &who),
    };
    if row.terminal.is_some() {
        return Err(at
            .field("terminal")
            .refuse(format!("expected a cavity, because part {id} is {who}, found a terminal")));
    }
    let Some(cavity) = row.cavity else {
        return Err(at.refuse(format!("expected a cavity, because part {id} is {who}, found none")));
    };
    let cavity = cavity_number(&at.field("cavity"), cavity, layout)?;
    let terminal = match (wants_half, row.half) {
        (false, None) => cavity - 1,
        (false, Some(_)) => {
            return Err(at
                .field("half")
                .refuse(format!("expected no half, because part {id} is {who}, found one")));
        }
        (true, None) => {
            return Err(at.refuse(format!(
                "expected the half \"first\" or \"second\", because part {id} is {who}, found none"
            )));
        }
        (true, Some(half)) => match half.into() {
            HalfSide::First => 2 * (cavity - 1),
            HalfSide::Second => 2 * (cavity - 1) + 1,
        },
    };
    if !part.kind.has_terminal(terminal) {
        return Err(at.field("half").refuse(format!(
            "expected the half \"first\", because {who} has no second half, found \"second\""
        )));
    }
    Ok(TerminalRef { part: id, terminal })
}

/// A terminal of a part whose terminals have numbers from 0.
fn numbered(
    at: &At<'_>,
    row: &file::Terminal,
    part: &model::Part,
    who: &str,
) -> Checked<TerminalRef> {
    let id = PartId(row.part);
    if row.cavity.is_some() || row.half.is_some() {
        let name = if row.cavity.is_some() { "cavity" } else { "half" };
        return Err(at
            .field(name)
            .refuse(format!("expected a terminal, because part {id} is {who}, found a {name}")));
    }
    let count = part.kind.terminal_count();
    match row.terminal {
        Some(terminal) if part.kind.has_terminal(terminal) => {
            Ok(TerminalRef { part: id, terminal })
        }
        None if count == 1 => Ok(TerminalRef { part: id, terminal: 0 }),
        Some(terminal) => Err(at.field("terminal").refuse(format!(
            "expected a terminal of {who} from 0 to {}, found {terminal}",
            count.saturating_sub(1)
        ))),
        None => Err(at.refuse(format!(
            "expected a terminal of {who} from 0 to {}, found none",
            count.saturating_sub(1)
        ))),
    }
}
