//! Checks of what is written down about cutting.

use crate::model;
use crate::model::{PartId, Project, WireId, limits};
use crate::store::decode::at::{At, Checked};
use crate::store::decode::project::dangling;
use crate::store::decode::value;
use crate::store::file;

/// The field `cutting`; parts and wires of `project` are read already.
pub fn cutting(at: &At<'_>, row: file::Cutting, project: &Project) -> Checked<model::Cutting> {
    let number = |name, mm, bound| value::number(&at.field(name), mm, bound);
    let mut out = model::Cutting {
        settings: model::CutSettings {
            kerf_mm: number("kerf_mm", row.kerf_mm, &limits::SPARE_MM)?,
            trim_mm: number("trim_mm", row.trim_mm, &limits::SPARE_MM)?,
            scrap_mm: number("scrap_mm", row.scrap_mm, &limits::SPARE_MM)?,
            measured_at_c: number("measured_at_c", row.measured_at_c, &limits::CELSIUS)?,
            spool_mm: value::maybe(&at.field("spool_mm"), row.spool_mm, &limits::LENGTH_MM)?,
            currency: value::text(&at.field("currency"), row.currency)?,
            substitutes: substitutes(&at.field("substitutes"), row.substitutes)?,
            prices: prices(&at.field("prices"), row.prices)?,
        },
        ..model::Cutting::default()
    };
    half_ends(&at.field("half_ends"), row.half_ends, project, &mut out)?;
    wire_ends(&at.field("wire_ends"), row.wire_ends, project, &mut out)?;
    ticks(&at.field("ticks"), row.ticks, project, &mut out)?;
    Ok(out)
}

fn substitutes(at: &At<'_>, rows: Vec<file::Substitute>) -> Checked<Vec<model::Substitute>> {
    value::at_most(at, &rows, limits::SUBSTITUTES, "substitutes")?;
    let decode = |(idx, row): (usize, file::Substitute)| {
        let at = at.row(idx);
        Ok(model::Substitute {
            size: value::size(&at.field("size"), &row.size)?,
            colour: value::colour(&row.colour),
            by_size: value::size(&at.field("by_size"), &row.by_size)?,
            by_colour: value::colour(&row.by_colour),
            marker: value::text(&at.field("marker"), row.marker)?,
        })
    };
    rows.into_iter().enumerate().map(decode).collect()
}

fn prices(at: &At<'_>, rows: Vec<file::Price>) -> Checked<Vec<model::Price>> {
    value::at_most(at, &rows, limits::PRICES, "prices")?;
    let decode = |(idx, row): (usize, file::Price)| {
        let at = at.row(idx);
        Ok(model::Price {
            item: value::text(&at.field("item"), row.item)?,
            price: value::number(&at.field("price"), row.price, &limits::PRICE)?,
        })
    };
    rows.into_iter().enumerate().map(decode).collect()
}

fn half_ends(
    at: &At<'_>,
    rows: Vec<file::HalfEnds>,
    project: &Project,
    out: &mut model::Cutting,
) -> Checked<()> {
    for (idx, row) in rows.into_iter().enumerate() {
        let at = at.row(idx);
        let here = at.field("part");
        let part = PartId(row.part);
        if !project.parts.contains(part) {
            return Err(dangling(&here, "part", row.part));
        }
        let fit = end(&at.field("end"), row.end)?;
        if out.half_fits.put((part, row.half.into()), fit).is_some() {
            return Err(here.refuse(format!("expected each half once, found {part} again")));
        }
    }
    Ok(())
}

fn wire_ends(
    at: &At<'_>,
    rows: Vec<file::WireEnds>,
    project: &Project,
    out: &mut model::Cutting,
) -> Checked<()> {
    for (idx, row) in rows.into_iter().enumerate() {
        let at = at.row(idx);
        let here = at.field("wire");
        let wire = known_wire(&here, project, row.wire)?;
        let fit = model::WireFit {
            from: end(&at.field("from"), row.from)?,
            to: end(&at.field("to"), row.to)?,
            marker: value::text(&at.field("marker"), row.marker)?,
        };
        if out.wire_fits.put(wire, fit).is_some() {
            return Err(here.refuse(format!("expected each wire once, found {wire} again")));
        }
    }
    Ok(())
}

fn ticks(
    at: &At<'_>,
    rows: Vec<file::Ticks>,
    project: &Project,
    out: &mut model::Cutting,
) -> Checked<()> {
    for (idx, row) in rows.into_iter().enumerate() {
        let at = at.row(idx);
        let here = at.field("wire");
        let wire = known_wire(&here, project, row.wire)?;
        let ticks = model::Ticks {
            is_cut: row.cut,
            cut_to_mm: value::maybe(&at.field("cut_mm"), row.cut_mm, &limits::LENGTH_MM)?,
            cut_size: match &row.size {
                Some(size) => Some(value::size(&at.field("size"), size)?),
                None => None,
            },
            cut_colour: row.colour.as_ref().map(value::colour),
            is_crimped: row.crimped,
            is_tested: row.tested,
        };
        if out.ticks.put(wire, ticks).is_some() {
            return Err(here.refuse(format!("expected each wire once, found {wire} again")));
        }
    }
    Ok(())
}

fn known_wire(at: &At<'_>, project: &Project, id: u32) -> Checked<WireId> {
    if project.wires.contains(WireId(id)) { Ok(WireId(id)) } else { Err(dangling(at, "wire", id)) }
}

fn end(at: &At<'_>, row: file::EndFit) -> Checked<model::EndFit> {
    let here = at.field("seal_mm");
    let seal_mm = match row.seal_mm {
        None => None,
        Some([low, high]) => {
            let low = value::number(&here.row(0), low, &limits::LENGTH_MM)?;
            let high = value::number(&here.row(1), high, &limits::LENGTH_MM)?;
            if low > high {
                return Err(here.refuse(format!(
                    "expected two diameters in rising order, found {low} and {high}"
                )));
            }
            Some((low, high))
        }
    };
    Ok(model::EndFit {
        terminal: value::text(&at.field("terminal"), row.terminal)?,
        seal: value::text(&at.field("seal"), row.seal)?,
        seal_mm,
        boot: value::text(&at.field("boot"), row.boot)?,
        strip_mm: value::maybe(&at.field("strip_mm"), row.strip_mm, &limits::LENGTH_MM)?,
    })
}
