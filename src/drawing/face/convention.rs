//! Numbers as another maker writes them down, turned into ours and back.
//!
//! A pin table says how it was drawn: from which side, of which half, with the latch where, and where
//! number 1 is. Ours are on the face view of the first half, with the latch where the drawing has it.
//! The way between them is a mirror image or none, and quarter turns; nothing is lost on it.

use crate::drawing::face::{FacePlan, FaceSide, FaceView};
use crate::model::{HalfSide, Latch, Numbering};

/// How somebody else numbers the cavities.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Convention {
    /// Side looked at.
    pub side: FaceSide,
    /// Half looked at.
    pub half: HalfSide,
    /// Side of their picture the latch is on.
    pub latch: Latch,
    /// Numbers as they run in their picture.
    pub numbering: Numbering,
}

impl Convention {
    /// The same numbers on the face view of the first half with our latch on `latch`.
    pub fn ours(self, latch: Latch) -> Numbering {
        let (is_mirrored, turns) = self.way_from(latch);
        // Back the way their picture came: first the turns, then the mirror.
        let level = turned(self.numbering, (4 - turns) % 4);
        if is_mirrored { level.mirrored() } else { level }
    }

    /// The convention with our numbers in their picture: what [`Convention::ours`] came from.
    #[must_use]
    pub fn theirs(self, ours: Numbering, latch: Latch) -> Self {
        let (is_mirrored, turns) = self.way_from(latch);
        let level = if is_mirrored { ours.mirrored() } else { ours };
        Self { numbering: turned(level, turns), ..self }
    }

    /// Whether our face view must be mirrored, and how many quarter turns clockwise then bring its
    /// latch to where theirs is.
    fn way_from(self, latch: Latch) -> (bool, usize) {
        let is_mirrored = (self.half == HalfSide::Second) != (self.side == FaceSide::Wires);
        let mut here = if is_mirrored { latch.mirrored() } else { latch };
        let mut turns = 0;
        while here != self.latch {
            here = here.turned();
            turns += 1;
        }
        (is_mirrored, turns)
    }
}

/// A face view of the first half as their picture shows it, to be laid beside their pin table.
pub fn seen_as(view: FaceView, convention: Convention) -> FacePlan {
    let view = FaceView { half: convention.half, side: convention.side, ..view };
    let mut plan = view.plan();
    for _ in 0..convention.way_from(view.latch).1 {
        plan = plan.turned();
    }
    plan
}

fn turned(numbering: Numbering, turns: usize) -> Numbering {
    (0..turns).fold(numbering, |numbering, _| numbering.turned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::face::sample_layouts;
    use crate::model::{CavityFit, CavityLayout, Corner, Course, Lines};

    fn conventions() -> impl Iterator<Item = Convention> {
        let halves = [HalfSide::First, HalfSide::Second];
        FaceSide::ALL.into_iter().flat_map(move |side| {
            halves.into_iter().flat_map(move |half| {
                Latch::ALL.into_iter().flat_map(move |latch| {
                    Numbering::all().map(move |numbering| Convention {
                        side,
                        half,
                        latch,
                        numbering,
                    })
                })
            })
        })
    }

    #[test]
    fn converted_and_converted_back_is_itself() {
        let mut n = 0;
        for convention in conventions() {
            for latch in Latch::ALL {
                let ours = convention.ours(latch);
                assert_eq!(convention.theirs(ours, latch), convention, "{latch:?}");
                assert_eq!(
                    convention.theirs(convention.numbering, latch).ours(latch),
                    convention.numbering
                );
                n += 1;
            }
        }
        assert_eq!(n, 2 * 2 * 4 * 16 * 4);
    }

    /// Their picture, numbered by walking over it as their words say, has the same number on every
    /// cavity as ours laid over it.
    #[test]
    fn their_picture_shows_their_numbers() {
        for layout in sample_layouts().into_iter().step_by(3) {
            for convention in conventions() {
                for latch in Latch::ALL {
                    let ours = FaceView {
                        layout,
                        numbering: convention.ours(latch),
                        latch,
                        fit: CavityFit::default(),
                        half: HalfSide::First,
                        side: FaceSide::Face,
                    };
                    let plan = seen_as(ours, convention);
                    assert_eq!(plan.latch, convention.latch);
                    let numbers = match layout {
                        CavityLayout::Grid { .. } | CavityLayout::Offset(_) => {
                            walked(&plan, convention.numbering)
                        }
                        CavityLayout::Ring { around, .. } => {
                            around_it(&plan, convention.numbering, around)
                        }
                    };
                    assert!(
                        numbers.iter().copied().eq(0..numbers.len()),
                        "{layout:?} {convention:?} {latch:?}: {numbers:?}"
                    );
                }
            }
        }
    }

    /// Indices of the cavities in the order their words walk over the picture.
    fn walked(plan: &FacePlan, numbering: Numbering) -> Vec<usize> {
        let key = |v: f64| (v * 100.0).round() as i64;
        let right = matches!(numbering.start, Corner::UpperRight | Corner::LowerRight);
        let below = matches!(numbering.start, Corner::LowerLeft | Corner::LowerRight);
        let mut all: Vec<(i64, i64, usize)> = plan
            .spots
            .iter()
            .enumerate()
            .map(|(n, p)| {
                let x = if right { -key(p.x_mm) } else { key(p.x_mm) };
                let y = if below { -key(p.y_mm) } else { key(p.y_mm) };
                if numbering.lines == Lines::Rows { (y, x, n) } else { (x, y, n) }
            })
            .collect();
        all.sort_unstable();
        if numbering.course == Course::Serpentine {
            for (n, line) in all.chunk_by_mut(|a, b| a.0 == b.0).enumerate() {
                if n % 2 == 1 {
                    line.reverse();
                }
            }
        }
        all.into_iter().map(|(_, _, n)| n).collect()
    }

    fn around_it(plan: &FacePlan, numbering: Numbering, around: u16) -> Vec<usize> {
        let (start, clockwise) = numbering.ring();
        let first = Latch::ALL.iter().position(|side| *side == start).unwrap() as f64 / 4.0;
        let mut all: Vec<(i64, usize)> = plan.spots[..usize::from(around)]
            .iter()
            .enumerate()
            .map(|(n, p)| {
                let (x, y) = (p.x_mm - plan.width_mm / 2.0, p.y_mm - plan.height_mm / 2.0);
                let share = x.atan2(-y) / std::f64::consts::TAU - first;
                let share = if clockwise { share } else { -share };
                ((share.rem_euclid(1.0) * 1e6).round() as i64 % 1_000_000, n)
            })
            .collect();
        all.sort_unstable();
        if around == 1 {
            return vec![0];
        }
        all.into_iter().map(|(_, n)| n).collect()
    }

    #[test]
    fn a_pin_table_drawn_from_the_wires_with_the_latch_down() {
        // By hand: two rows of three, seen from the wires, latch down, 1 lower left, then upwards:
        //     2 4 6
        //     1 3 5      latch below
        // Turned half about: 5 3 1 over 6 4 2, latch above. From the face, mirrored: 1 3 5 over 2 4 6.
        let convention = Convention {
            side: FaceSide::Wires,
            half: HalfSide::First,
            latch: Latch::Down,
            numbering: Numbering {
                start: Corner::LowerLeft,
                lines: Lines::Columns,
                course: Course::Reading,
            },
        };
        let by_columns = Numbering { lines: Lines::Columns, ..Numbering::FORWARD };
        assert_eq!(convention.ours(Latch::Up), by_columns);
        // The same table drawn of the half with the pins: not mirrored, 5 3 1 over 6 4 2.
        let pins = Convention { half: HalfSide::Second, ..convention };
        assert_eq!(pins.ours(Latch::Up), by_columns.mirrored());
    }
}
