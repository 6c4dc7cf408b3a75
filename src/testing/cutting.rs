//! Random notes about cutting for random projects.

use crate::model::{
    CutSettings, EndFit, HalfSide, PartId, Price, Project, Substitute, Ticks, WireFit, WireId,
};
use crate::random::Random;
use crate::testing::project::{colour, size, word};

/// Writes something down about cutting, half the time.
pub(super) fn add_cutting(p: &mut Project, r: &mut Random) {
    if r.once_in(2) {
        return;
    }
    p.cutting.settings = CutSettings {
        kerf_mm: r.between(0.0, 3.0),
        trim_mm: r.between(0.0, 20.0),
        scrap_mm: r.between(0.0, 200.0),
        measured_at_c: r.between(-20.0, 40.0),
        spool_mm: r.maybe(|r| r.decades(1e3, 1e6)),
        currency: word(r),
        substitutes: (0..r.below(3))
            .map(|_| Substitute {
                size: size(r),
                colour: colour(r),
                by_size: size(r),
                by_colour: colour(r),
                marker: word(r),
            })
            .collect(),
        prices: (0..r.below(3))
            .map(|_| Price { item: word(r), price: r.between(0.0, 90.0) })
            .collect(),
    };
    let parts: Vec<PartId> = p.parts.ids().collect();
    for part in parts.into_iter().take(3) {
        let half = r.pick(&[HalfSide::First, HalfSide::Second]);
        p.cutting.half_fits.put((part, half), end(r));
    }
    let wires: Vec<WireId> = p.wires.ids().collect();
    for wire in wires.into_iter().take(4) {
        let fit = WireFit { from: end(r), to: end(r), marker: word(r) };
        p.cutting.wire_fits.put(wire, fit);
        let drawn = p.wires.get(wire).map(|wire| (wire.size, wire.colour));
        let ticks = Ticks {
            cut_size: drawn.map(|(size, _)| size),
            cut_colour: drawn.map(|(_, colour)| colour),
            is_cut: r.once_in(2),
            cut_to_mm: r.maybe(|r| r.decades(10.0, 1e5)),
            is_crimped: r.once_in(2),
            is_tested: r.once_in(2),
        };
        p.cutting.ticks.put(wire, ticks);
    }
}

fn end(r: &mut Random) -> EndFit {
    EndFit {
        terminal: word(r),
        seal: word(r),
        seal_mm: r.maybe(|r| (r.between(0.5, 2.0), r.between(2.0, 4.0))),
        boot: word(r),
        strip_mm: r.maybe(|r| r.between(1.0, 9.0)),
    }
}
