//! Where each cavity sits on a mating face.

use crate::drawing::GRID_MM;
use crate::geometry::{Point, point};
use crate::model::{CavityLayout, Numbering};

/// Distance of neighbouring cavities on a drawn face, in millimetres.
pub(super) const FACE_PITCH_MM: f64 = 5.0;

/// Width and height of a drawn face in millimetres, squares of the cavities included.
pub(super) fn face_size_mm(layout: CavityLayout) -> (f64, f64) {
    match layout {
        CavityLayout::Grid { rows, columns } => {
            (f64::from(columns) * FACE_PITCH_MM, f64::from(rows) * FACE_PITCH_MM)
        }
        CavityLayout::Ring { around, .. } => {
            let side = 2.0 * ring_radius_mm(around) + FACE_PITCH_MM;
            (side, side)
        }
    }
}

/// Place of a cavity (numbered from 1) on the face view of the first half, about the face's
/// upper left corner, in millimetres. On the grid for every layout.
///
/// Rows are read like text; a ring begins at the top. `Numbering::Backward` mirrors the face,
/// which is also what the other half of the connector looks like.
pub fn face_pos(layout: CavityLayout, numbering: Numbering, cavity: u16) -> Point {
    let idx = cavity.saturating_sub(1);
    let (width_mm, _) = face_size_mm(layout);
    let at = match layout {
        CavityLayout::Grid { columns, .. } => {
            let columns = columns.max(1);
            point(
                (f64::from(idx % columns) + 0.5) * FACE_PITCH_MM,
                (f64::from(idx / columns) + 0.5) * FACE_PITCH_MM,
            )
        }
        CavityLayout::Ring { around, .. } => {
            let radius_mm = ring_radius_mm(around);
            let middle = point(width_mm / 2.0, width_mm / 2.0);
            if idx >= around {
                middle
            } else {
                let angle = std::f64::consts::TAU * f64::from(idx) / f64::from(around.max(1));
                let out = point(radius_mm * angle.sin(), -radius_mm * angle.cos());
                middle + out.snapped(GRID_MM)
            }
        }
    };
    match numbering {
        Numbering::Forward => at,
        Numbering::Backward => point(width_mm - at.x_mm, at.y_mm),
    }
}

/// Radius at which the cavities of a ring keep clear of each other and of the centre, on the grid.
fn ring_radius_mm(around: u16) -> f64 {
    let around_mm = f64::from(around.max(1)) * FACE_PITCH_MM * 1.2 / std::f64::consts::TAU;
    ((around_mm / GRID_MM).ceil() * GRID_MM).max(3.0 * GRID_MM)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_cavities_share_a_place_and_all_are_on_the_grid() {
        let grids = (1..=3).flat_map(|rows| (1..=8).map(move |columns| (rows, columns)));
        let layouts = grids
            .map(|(rows, columns)| CavityLayout::Grid { rows, columns })
            .chain((1..=40).map(|around| CavityLayout::Ring { around, centre: true }));
        for layout in layouts {
            for numbering in [Numbering::Forward, Numbering::Backward] {
                let places: Vec<Point> =
                    (1..=layout.count()).map(|n| face_pos(layout, numbering, n)).collect();
                let (width, height) = face_size_mm(layout);
                for (n, p) in places.iter().enumerate() {
                    assert_eq!(*p, p.snapped(GRID_MM), "{layout:?} {n}");
                    assert!(p.x_mm > 0.0 && p.x_mm < width && p.y_mm > 0.0 && p.y_mm < height);
                    assert!(!places[..n].contains(p), "{layout:?} {n}");
                }
            }
        }
    }

    #[test]
    fn rows_read_like_text_and_backward_is_the_mirror_image() {
        let layout = CavityLayout::Grid { rows: 2, columns: 3 };
        let read = |numbering, n| face_pos(layout, numbering, n);
        assert_eq!(read(Numbering::Forward, 1), point(2.5, 2.5));
        assert_eq!(read(Numbering::Forward, 4), point(2.5, 7.5));
        assert_eq!(read(Numbering::Backward, 1), point(12.5, 2.5));
        assert_eq!(read(Numbering::Backward, 6), point(2.5, 7.5));
    }
}
