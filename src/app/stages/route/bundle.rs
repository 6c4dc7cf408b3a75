//! The wires of one run as they are drawn: each in its colours beside the others, or a bundle where there are many.

use egui::{Color32, Mesh, Pos2};

use crate::app::stages::route::strokes::{add_dashes, add_stroke};
use crate::app::theme::{self, Palette};
use crate::model::{Colour, WireId};

/// Up to this many wires are drawn one beside the other; more become a bundle of as many strands.
pub const MOST_STRANDS: usize = 10;
/// A bundle is never drawn wider than this, in points.
const WIDEST: f32 = 34.0;
/// A run shorter than this on the screen shows no single wires, in points.
const LEAST_LENGTH: f32 = 22.0;

/// One wire in a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strand {
    /// The wire.
    pub wire: WireId,
    /// Its colours.
    pub colour: Colour,
    /// Whether it is one of those that are lit.
    pub is_lit: bool,
}

/// How wide one strand and the whole bundle are, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Width {
    /// One strand.
    pub strand: f32,
    /// All of them.
    pub whole: f32,
    /// How many strands are drawn.
    pub n_strands: usize,
}

/// Width of a bundle of `n` wires at a scale in points a millimetre.
///
/// Beyond the strands that are drawn one by one the width grows with the root of the count, as the
/// diameter of a round bundle does.
pub fn width(n: usize, scale: f32) -> Width {
    let strand = (0.55 * scale).clamp(1.5, 4.2);
    if n <= MOST_STRANDS {
        return Width { strand, whole: strand * n as f32, n_strands: n };
    }
    let round = (n as f32 / MOST_STRANDS as f32).sqrt();
    let whole = (strand * MOST_STRANDS as f32 * round).min(WIDEST.max(strand * 10.0));
    Width { strand: whole / MOST_STRANDS as f32, whole, n_strands: MOST_STRANDS }
}

/// Draws the wires of a run. Lit ones keep their colours, the others fade where some are lit.
pub fn add_bundle(
    mesh: &mut Mesh,
    line: &[Pos2],
    strands: &[Strand],
    scale: f32,
    palette: &Palette,
) {
    let long: f32 = line.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
    if strands.is_empty() {
        add_dashes(mesh, line, (0.0, 1.6), (7.0, 5.0), palette.quiet);
        return;
    }
    let width = width(strands.len(), scale);
    let is_any_lit = strands.iter().any(|strand| strand.is_lit);
    if long < LEAST_LENGTH {
        let colour = if is_any_lit { palette.chosen } else { palette.ink };
        add_stroke(mesh, line, (0.0, width.whole.clamp(1.5, 8.0)), colour);
        return;
    }
    add_stroke(mesh, line, (0.0, width.whole + 2.2), palette.ink);
    for (at, strand) in shown(strands, width.n_strands).into_iter().enumerate() {
        let aside = (at as f32 - (width.n_strands - 1) as f32 / 2.0) * width.strand;
        // Beside a lit wire the others step back.
        let fade = |colour: Color32| {
            if is_any_lit && !strand.is_lit {
                colour.lerp_to_gamma(palette.sheet, 0.7)
            } else {
                colour
            }
        };
        let base = fade(theme::insulation(strand.colour.base));
        add_stroke(mesh, line, (aside, width.strand), base);
        if let Some(tracer) = strand.colour.tracer.filter(|_| width.strand >= 1.9) {
            let thin = (width.strand * 0.45).max(1.0);
            add_dashes(mesh, line, (aside, thin), (6.0, 5.0), fade(theme::insulation(tracer)));
        }
    }
}

/// The strands drawn: all of them, or as many as fit spread over the list, lit ones first of all.
fn shown(strands: &[Strand], n: usize) -> Vec<Strand> {
    if strands.len() <= n {
        return strands.to_vec();
    }
    let mut picked: Vec<Strand> = (0..n).map(|at| strands[at * strands.len() / n]).collect();
    for lit in strands.iter().filter(|strand| strand.is_lit).take(n) {
        if !picked.contains(lit)
            && let Some(place) = picked.iter().position(|strand| !strand.is_lit)
        {
            picked[place] = *lit;
        }
    }
    picked
}

/// The halo below a run that stands out.
pub fn add_halo(mesh: &mut Mesh, line: &[Pos2], n_wires: usize, scale: f32, colour: Color32) {
    let whole = width(n_wires, scale).whole;
    for (more, share) in [(13.0, 0.16), (7.0, 0.30)] {
        add_stroke(mesh, line, (0.0, whole + more), colour.gamma_multiply(share));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::BaseColour;
    use egui::pos2;

    #[test]
    fn a_bundle_never_gets_narrower_with_more_wires_and_never_covers_the_view() {
        for scale in [0.3, 4.0, 20.0] {
            let mut last = 0.0;
            for n in 1..500 {
                let now = width(n, scale);
                assert!(now.whole >= last - 1e-3, "{n} wires at {scale}");
                assert!(now.whole <= 42.1 && now.strand > 0.0);
                last = now.whole;
            }
        }
    }

    #[test]
    fn a_lit_wire_is_seen_in_the_thickest_bundle() {
        let strands: Vec<Strand> = (0..80)
            .map(|at| Strand {
                wire: WireId(at),
                colour: Colour { base: BaseColour::Grey, tracer: None },
                is_lit: at == 41,
            })
            .collect();
        let seen = shown(&strands, MOST_STRANDS);
        assert_eq!(seen.len(), MOST_STRANDS);
        assert!(seen.iter().any(|strand| strand.is_lit));
    }

    #[test]
    fn every_kind_of_run_leaves_a_mark() {
        let line = [pos2(0.0, 0.0), pos2(100.0, 40.0)];
        let palette = Palette::of(crate::app::prefs::ThemeChoice::Paper);
        for n in [0, 1, 10, 11, 200] {
            let colour = Colour { base: BaseColour::Red, tracer: Some(BaseColour::White) };
            let strand = Strand { wire: WireId(1), colour, is_lit: false };
            let mut mesh = Mesh::default();
            add_bundle(&mut mesh, &line, &vec![strand; n], 4.0, palette);
            assert!(!mesh.is_empty(), "{n} wires");
            assert!(mesh.vertices.len() < 9_000, "{n} wires");
        }
    }
}
