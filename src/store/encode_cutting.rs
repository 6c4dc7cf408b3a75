//! What is written down about cutting, from model to file.

use crate::model;
use crate::store::encode::{colour, size};
use crate::store::file;

/// The field `cutting`; `None` where nothing was written down.
pub(super) fn cutting(row: &model::Cutting) -> Option<file::Cutting> {
    if *row == model::Cutting::default() {
        return None;
    }
    let settings = &row.settings;
    Some(file::Cutting {
        kerf_mm: settings.kerf_mm,
        trim_mm: settings.trim_mm,
        scrap_mm: settings.scrap_mm,
        measured_at_c: settings.measured_at_c,
        spool_mm: settings.spool_mm,
        currency: settings.currency.clone(),
        substitutes: settings.substitutes.iter().map(substitute).collect(),
        prices: settings
            .prices
            .iter()
            .map(|price| file::Price { item: price.item.clone(), price: price.price })
            .collect(),
        half_ends: row
            .half_fits
            .iter()
            .map(|((part, half), fit)| file::HalfEnds {
                part: part.0,
                half: half.into(),
                end: end(fit),
            })
            .collect(),
        wire_ends: row
            .wire_fits
            .iter()
            .map(|(wire, fit)| file::WireEnds {
                wire: wire.0,
                from: end(&fit.from),
                to: end(&fit.to),
                marker: fit.marker.clone(),
            })
            .collect(),
        ticks: row
            .ticks
            .iter()
            .map(|(wire, ticks)| file::Ticks {
                wire: wire.0,
                cut: ticks.is_cut,
                cut_mm: ticks.cut_to_mm,
                size: ticks.cut_size.map(size),
                colour: ticks.cut_colour.map(colour),
                crimped: ticks.is_crimped,
                tested: ticks.is_tested,
            })
            .collect(),
    })
}

fn substitute(row: &model::Substitute) -> file::Substitute {
    file::Substitute {
        size: size(row.size),
        colour: colour(row.colour),
        by_size: size(row.by_size),
        by_colour: colour(row.by_colour),
        marker: row.marker.clone(),
    }
}

fn end(fit: &model::EndFit) -> file::EndFit {
    file::EndFit {
        terminal: fit.terminal.clone(),
        seal: fit.seal.clone(),
        seal_mm: fit.seal_mm.map(|(low, high)| [low, high]),
        boot: fit.boot.clone(),
        strip_mm: fit.strip_mm,
    }
}
