//! One view of one half's cavities as a drawing in millimetres: places, outline, side of the latch.
//!
//! The face view looks at the mating face, the wire view at the side the wires go in. Each is the
//! mirror image of the other, and so are the faces of two halves that fit each other.

use crate::drawing::face::FACE_PITCH_MM;
use crate::drawing::face::order::{extent, place};
use crate::geometry::{Point, point};
use crate::model::{Arrangement, CavityFit, CavityLayout, HalfSide, Latch, Numbering, PartKind};

/// Which side of a half is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaceSide {
    /// The mating face.
    Face,
    /// The wires.
    Wires,
}

impl FaceSide {
    /// Both of them.
    pub const ALL: [Self; 2] = [Self::Face, Self::Wires];

    /// Name of the view.
    pub fn words(self) -> &'static str {
        match self {
            Self::Face => "face view",
            Self::Wires => "wire view",
        }
    }
}

/// What one drawing shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FaceView {
    /// Arrangement on the face view of the first half.
    pub layout: CavityLayout,
    /// Numbers as they run on the face view of the first half.
    pub numbering: Numbering,
    /// Side of the latch on the face view of the first half.
    pub latch: Latch,
    /// Pitches, where they are known.
    pub fit: CavityFit,
    /// The half looked at.
    pub half: HalfSide,
    /// Side looked at.
    pub side: FaceSide,
}

impl FaceView {
    /// A view of a connector's half or a controller's plug; `None` for other parts and for a half
    /// that is not there.
    pub fn of(kind: &PartKind, half: HalfSide, side: FaceSide) -> Option<Self> {
        kind.half(half)?;
        let Arrangement { layout, numbering, latch, fit } = kind.arrangement()?;
        Some(Self { layout, numbering, latch, fit, half, side })
    }

    /// Whether the drawing is the mirror image of the first half's face view.
    pub fn is_mirrored(self) -> bool {
        (self.half == HalfSide::Second) != (self.side == FaceSide::Wires)
    }

    /// The drawing.
    pub fn plan(self) -> FacePlan {
        let pitch_mm = self.fit.pitch_mm.unwrap_or(FACE_PITCH_MM);
        let row_mm = match self.layout {
            CavityLayout::Grid { .. } | CavityLayout::Offset(_) => {
                self.fit.row_pitch_mm.unwrap_or(pitch_mm)
            }
            CavityLayout::Ring { .. } => pitch_mm,
        };
        let radius = ring_radius(self.layout);
        let (across, down) = extent(self.layout, radius);
        let air_mm = pitch_mm.min(row_mm);
        let (width_mm, height_mm) = (across * pitch_mm + air_mm, down * row_mm + air_mm);
        let spots = (0..self.layout.count())
            .map(|idx| {
                let (x, y) = place(self.layout, self.numbering, radius, idx);
                let x = if self.is_mirrored() { -x } else { x };
                point(width_mm / 2.0 + x * pitch_mm, height_mm / 2.0 + y * row_mm)
            })
            .collect();
        FacePlan {
            spots,
            width_mm,
            height_mm,
            latch: if self.is_mirrored() { self.latch.mirrored() } else { self.latch },
            cavity_mm: air_mm * 0.88,
            is_round: matches!(self.layout, CavityLayout::Ring { .. }),
            is_to_scale: self.fit.pitch_mm.is_some(),
        }
    }
}

/// A face as drawn, in millimetres from the upper left corner of its outline.
#[derive(Clone, Debug, PartialEq)]
pub struct FacePlan {
    /// Middle of each cavity; cavity `n` is at `n - 1`.
    pub spots: Vec<Point>,
    /// Width of the outline.
    pub width_mm: f64,
    /// Height of the outline.
    pub height_mm: f64,
    /// Side of the outline the latch sits on, in this drawing.
    pub latch: Latch,
    /// Side of a cavity's square, or diameter of its circle.
    pub cavity_mm: f64,
    /// Whether cavities are drawn as circles.
    pub is_round: bool,
    /// Whether the millimetres are those of the real part: its pitch is known.
    pub is_to_scale: bool,
}

impl FacePlan {
    /// Turned a quarter clockwise.
    #[must_use]
    pub fn turned(self) -> Self {
        let spots = self.spots.iter().map(|p| point(self.height_mm - p.y_mm, p.x_mm)).collect();
        Self {
            spots,
            width_mm: self.height_mm,
            height_mm: self.width_mm,
            latch: self.latch.turned(),
            ..self
        }
    }
}

/// Radius at which neighbours stand a pitch apart, and the one in the centre a pitch from all of them.
fn ring_radius(layout: CavityLayout) -> f64 {
    match layout {
        CavityLayout::Grid { .. } | CavityLayout::Offset(_) => 0.0,
        CavityLayout::Ring { around, centre } => {
            let least = if centre { 1.0 } else { 0.0 };
            if around < 2 {
                least
            } else {
                (0.5 / (std::f64::consts::PI / f64::from(around)).sin()).max(least)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::face::sample_layouts;
    use crate::model::Span;

    fn view(layout: CavityLayout, numbering: Numbering, side: FaceSide) -> FaceView {
        let fit =
            CavityFit { pitch_mm: Some(4.0), row_pitch_mm: Some(3.0), ..CavityFit::default() };
        FaceView { layout, numbering, latch: Latch::Left, fit, half: HalfSide::First, side }
    }

    #[test]
    fn the_wire_view_is_the_mirror_image_of_the_face_view_for_every_layout() {
        for layout in sample_layouts() {
            for numbering in Numbering::all() {
                let face = view(layout, numbering, FaceSide::Face);
                let [plain, wires] = FaceSide::ALL.map(|side| FaceView { side, ..face }.plan());
                assert_eq!(plain.spots.len(), usize::from(layout.count()));
                assert_eq!((plain.width_mm, plain.height_mm), (wires.width_mm, wires.height_mm));
                assert_eq!((plain.latch, wires.latch), (Latch::Left, Latch::Right));
                for (a, b) in plain.spots.iter().zip(&wires.spots) {
                    assert!((a.x_mm - (plain.width_mm - b.x_mm)).abs() < 1e-9, "{layout:?}");
                    assert_eq!(a.y_mm, b.y_mm, "{layout:?}");
                }
                // Looking at the wires of one half is looking at the face of the other.
                let other = FaceView { half: HalfSide::Second, ..face }.plan();
                assert_eq!(other, wires);
            }
        }
    }

    #[test]
    fn cavities_keep_clear_of_each_other_and_of_the_edge() {
        for layout in sample_layouts() {
            for side in FaceSide::ALL {
                let plan = view(layout, Numbering::FORWARD, side).plan();
                for (n, a) in plan.spots.iter().enumerate() {
                    let half = plan.cavity_mm / 2.0;
                    assert!(a.x_mm >= half && a.x_mm <= plan.width_mm - half, "{layout:?}");
                    assert!(a.y_mm >= half && a.y_mm <= plan.height_mm - half, "{layout:?}");
                    for b in &plan.spots[n + 1..] {
                        let clear = if plan.is_round {
                            a.distance(*b)
                        } else {
                            (a.x_mm - b.x_mm).abs().max((a.y_mm - b.y_mm).abs())
                        };
                        assert!(clear >= plan.cavity_mm, "{layout:?} {clear}");
                    }
                }
            }
        }
    }

    #[test]
    fn two_rows_of_eight_read_like_text_on_the_face() {
        // The face of a 2 x 8 plug: 1 to 8 above, 9 to 16 below (our own sample machine).
        let layout = CavityLayout::Grid { rows: 2, columns: 8 };
        let plan = view(layout, Numbering::FORWARD, FaceSide::Face).plan();
        let row = |y: f64| {
            let mut row: Vec<(f64, usize)> = (1..)
                .zip(&plan.spots)
                .filter(|(_, p)| p.y_mm == y)
                .map(|(n, p)| (p.x_mm, n))
                .collect();
            row.sort_by(|a, b| a.0.total_cmp(&b.0));
            row.into_iter().map(|(_, n)| n).collect::<Vec<_>>()
        };
        assert_eq!(row(1.5), (1..=8).collect::<Vec<_>>());
        assert_eq!(row(4.5), (9..=16).collect::<Vec<_>>());
        // Centres of a row are a pitch apart, those of the rows a row pitch.
        assert_eq!((plan.width_mm, plan.height_mm), (7.0 * 4.0 + 3.0, 6.0));
        assert!(Span { low: 2.0, high: 3.0 }.contains(plan.cavity_mm));
    }

    #[test]
    fn four_quarter_turns_are_none() {
        let plan = view(sample_layouts()[9], Numbering::FORWARD, FaceSide::Face).plan();
        assert_ne!(plan.clone().turned(), plan);
        assert_eq!(plan.clone().turned().turned().turned().turned(), plan);
    }
}
