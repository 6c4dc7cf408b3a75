//! Where each cavity sits on a mating face: one source for the sheet, the inspector and paper.

mod convention;
mod order;
mod plan;
mod words;

pub use convention::{Convention, seen_as};
pub use plan::{FacePlan, FaceSide, FaceView};
pub use words::{convention_words, numbering_words, parse_convention, parse_numbering};

use crate::drawing::GRID_MM;
use crate::drawing::face::order::place;
use crate::geometry::{Point, point};
use crate::model::{CavityLayout, Numbering};

/// Distance of neighbouring cavities on a face drawn on the sheet, in millimetres.
pub(super) const FACE_PITCH_MM: f64 = 5.0;

/// Width and height of a face on the sheet in millimetres, squares of the cavities included.
///
/// Both are whole pitches, so that everything about the middle stays on the grid.
pub(super) fn face_size_mm(layout: CavityLayout) -> (f64, f64) {
    match layout {
        CavityLayout::Grid { .. } | CavityLayout::Offset(_) => {
            let (across, down) = order::extent(layout, 0.0);
            ((across + 1.0).ceil() * FACE_PITCH_MM, (down + 1.0).ceil() * FACE_PITCH_MM)
        }
        CavityLayout::Ring { around, .. } => {
            let side = 2.0 * ring_radius_mm(around) + FACE_PITCH_MM;
            (side, side)
        }
    }
}

/// Place of a cavity (numbered from 1) on the face view of the first half as it stands on the sheet,
/// about the face's upper left corner, in millimetres. On the grid for every layout.
pub fn face_pos(layout: CavityLayout, numbering: Numbering, cavity: u16) -> Point {
    let (width_mm, height_mm) = face_size_mm(layout);
    let radius = match layout {
        CavityLayout::Grid { .. } | CavityLayout::Offset(_) => 0.0,
        CavityLayout::Ring { around, .. } => ring_radius_mm(around) / FACE_PITCH_MM,
    };
    let (x, y) = place(layout, numbering, radius, cavity.saturating_sub(1));
    let middle = point(width_mm / 2.0, height_mm / 2.0);
    match layout {
        CavityLayout::Grid { .. } | CavityLayout::Offset(_) => {
            (middle + point(x * FACE_PITCH_MM, y * FACE_PITCH_MM)).snapped(GRID_MM)
        }
        CavityLayout::Ring { .. } => {
            middle + point(x * FACE_PITCH_MM, y * FACE_PITCH_MM).snapped(GRID_MM)
        }
    }
}

/// Radius at which the cavities of a ring keep clear of each other and of the centre, on the grid.
fn ring_radius_mm(around: u16) -> f64 {
    let around_mm = f64::from(around.max(1)) * FACE_PITCH_MM * 1.2 / std::f64::consts::TAU;
    ((around_mm / GRID_MM).ceil() * GRID_MM).max(3.0 * GRID_MM)
}

/// Layouts of every kind, for the tests of this module.
#[cfg(test)]
fn sample_layouts() -> Vec<CavityLayout> {
    use crate::model::{OffsetRows, RowShift};
    let grids = (1..=4).flat_map(|rows| (1..=8).map(move |columns| (rows, columns)));
    let rings = (1..=40).flat_map(|around| [(around, true), (around, false)]);
    let offsets =
        [RowShift::Middle, RowShift::Right, RowShift::Left].into_iter().flat_map(|shift| {
            [&[5, 4][..], &[4, 5], &[4, 4], &[5, 4, 5], &[3, 8, 3, 1], &[6], &[1, 1, 1, 1, 1]]
                .into_iter()
                .filter_map(move |rows| OffsetRows::new(rows, shift))
        });
    grids
        .map(|(rows, columns)| CavityLayout::Grid { rows, columns })
        .chain(rings.map(|(around, centre)| CavityLayout::Ring { around, centre }))
        .chain(offsets.map(CavityLayout::Offset))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_cavities_share_a_place_and_all_are_on_the_grid() {
        for layout in sample_layouts() {
            for numbering in Numbering::all() {
                let places: Vec<Point> =
                    (1..=layout.count()).map(|n| face_pos(layout, numbering, n)).collect();
                let (width, height) = face_size_mm(layout);
                for (n, p) in places.iter().enumerate() {
                    assert_eq!(*p, p.snapped(GRID_MM), "{layout:?} {n}");
                    assert!(
                        p.x_mm > 0.0 && p.x_mm < width && p.y_mm > 0.0 && p.y_mm < height,
                        "{layout:?} {n} {p:?}"
                    );
                    assert!(!places[..n].contains(p), "{layout:?} {n}");
                }
            }
        }
    }

    #[test]
    fn rows_read_like_text_and_backward_is_the_mirror_image() {
        let layout = CavityLayout::Grid { rows: 2, columns: 3 };
        let read = |numbering, n| face_pos(layout, numbering, n);
        assert_eq!(read(Numbering::FORWARD, 1), point(2.5, 2.5));
        assert_eq!(read(Numbering::FORWARD, 4), point(2.5, 7.5));
        assert_eq!(read(Numbering::BACKWARD, 1), point(12.5, 2.5));
        assert_eq!(read(Numbering::BACKWARD, 6), point(2.5, 7.5));
    }
}
