//! Signs of how a run is laid, drawn beside its wires; the same stands in words at its length.
//!
//! A covering is a thin line on both sides, a hot zone long dashes, a wet zone dots, a hole a bar
//! across the run, with a ring around it where a grommet sits. No sign is told by its colour alone.

use egui::{Mesh, Pos2};

use crate::app::stages::route::strokes::{add_dashes, add_stroke, cut_out};
use crate::app::theme::Palette;
use crate::model::{Grommet, Run, Zone};

/// Where along a run its hole is drawn, as a share of its length.
const HOLE_SHARE: f32 = 0.25;
/// A run shorter than this on the screen shows no signs, in points.
const LEAST_LENGTH: f32 = 40.0;

/// Adds the signs of one run; `whole` is how wide its wires are drawn.
pub fn add_laying(mesh: &mut Mesh, line: &[Pos2], run: &Run, whole: f32, palette: &Palette) {
    let long: f32 = line.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
    if long < LEAST_LENGTH {
        return;
    }
    let mut aside = whole / 2.0 + 3.0;
    let mut both = |mesh: &mut Mesh, add: &dyn Fn(&mut Mesh, f32)| {
        add(mesh, aside);
        add(mesh, -aside);
        aside += 3.5;
    };
    if run.laid.covering.is_some() {
        both(mesh, &|mesh, aside| add_stroke(mesh, line, (aside, 1.4), palette.ink));
    }
    if run.laid.zones.contains(&Zone::Hot) {
        both(mesh, &|mesh, aside| {
            add_dashes(mesh, line, (aside, 2.0), (11.0, 6.0), palette.warning);
        });
    }
    if run.laid.zones.contains(&Zone::Wet) {
        both(mesh, &|mesh, aside| add_dashes(mesh, line, (aside, 2.6), (2.6, 5.0), palette.chosen));
    }
    if let Some(hole) = run.laid.hole {
        add_hole(mesh, line, (long, aside + 3.0), hole.grommet, palette);
    }
}

/// A bar across the run; two where a grommet covers the edge.
fn add_hole(
    mesh: &mut Mesh,
    line: &[Pos2],
    (long, reach): (f32, f32),
    grommet: Grommet,
    palette: &Palette,
) {
    let way = cut_out(line, 0.0, long * HOLE_SHARE);
    let (Some(at), Some(before)) =
        (way.last(), way.len().checked_sub(2).and_then(|at| way.get(at)))
    else {
        return;
    };
    let along = (*at - *before).normalized();
    let across = egui::vec2(along.y, -along.x) * reach;
    let bar = |mesh: &mut Mesh, off: f32| {
        let middle = *at + along * off;
        add_stroke(mesh, &[middle - across, middle + across], (0.0, 2.4), palette.ink);
    };
    match grommet {
        Grommet::Missing => bar(mesh, 0.0),
        Grommet::Fitted => {
            bar(mesh, -3.0);
            bar(mesh, 3.0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::prefs::ThemeChoice;
    use crate::model::{Covering, CoveringKind, Hole, PlaceId};
    use egui::pos2;

    #[test]
    fn every_way_of_laying_leaves_a_sign_of_its_own() {
        let line = [pos2(0.0, 0.0), pos2(200.0, 40.0)];
        let plain = Run {
            name: "r".into(),
            from: PlaceId(1),
            to: PlaceId(2),
            length_mm: 100.0,
            loop_mm: None,
            laid: Default::default(),
        };
        let size = |run: &Run| {
            let mut mesh = Mesh::default();
            add_laying(&mut mesh, &line, run, 6.0, Palette::of(ThemeChoice::Paper));
            mesh.vertices.len()
        };
        let with = |change: &dyn Fn(&mut Run)| {
            let mut run = plain.clone();
            change(&mut run);
            size(&run)
        };
        assert_eq!(size(&plain), 0);
        let covering = Covering { kind: CoveringKind::Tape, thickness_mm: None, words: "".into() };
        let hole = |grommet| Some(Hole { bore_mm: 20.0, grommet });
        let sizes = [
            with(&|run| run.laid.covering = Some(covering.clone())),
            with(&|run| {
                run.laid.zones.insert(Zone::Hot);
            }),
            with(&|run| {
                run.laid.zones.insert(Zone::Wet);
            }),
            with(&|run| run.laid.hole = hole(Grommet::Missing)),
            with(&|run| run.laid.hole = hole(Grommet::Fitted)),
        ];
        for (at, size) in sizes.iter().enumerate() {
            assert!(*size > 0 && !sizes[at + 1..].contains(size), "{sizes:?}");
        }
    }
}
