//! What lies beneath the layout: the photo or drawing, and how large the layout is drawn.

use crate::edit::apply::{Applied, EditError};
use crate::edit::guard::{check_bound, check_point, check_text};
use crate::model::{Project, Underlay, limits};

/// Puts a photo or drawing beneath the layout, or takes it away.
pub(super) fn set_underlay(
    project: &mut Project,
    underlay: Option<Underlay>,
) -> Result<Applied, EditError> {
    if let Some(row) = &underlay {
        check_text("the name of the picture", &row.name, limits::TEXT_CHARS)?;
        check_point("the picture", row.pos)?;
        check_bound("the width of the picture", row.width_mm, &limits::LENGTH_MM)?;
        check_bound("the opacity of the picture", row.opacity, &limits::OPACITY)?;
        if row.bytes.is_empty() || row.bytes.len() > limits::PICTURE_BYTES {
            let most_mib = limits::PICTURE_BYTES >> 20;
            return Err(EditError(format!(
                "a picture may have up to {most_mib} MiB, {} has {} bytes",
                row.name,
                row.bytes.len()
            )));
        }
    }
    project.underlay = underlay;
    Ok(Applied::default())
}

/// Says how many millimetres of the machine one of the layout stands for.
pub(super) fn set_layout_scale(
    project: &mut Project,
    scale: Option<f64>,
) -> Result<Applied, EditError> {
    if let Some(scale) = scale {
        check_bound("the scale of the layout", scale, &limits::LAYOUT_SCALE)?;
    }
    project.layout_scale = scale;
    Ok(Applied::default())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Edit, apply};
    use crate::geometry::point;

    fn picture(n_bytes: usize) -> Underlay {
        let bytes = vec![7; n_bytes].into();
        let pos = point(0.0, 0.0);
        Underlay { name: "floor.png".into(), bytes, pos, width_mm: 200.0, opacity: 0.6 }
    }

    #[test]
    fn what_could_not_be_saved_is_refused_and_the_old_picture_stays() {
        let mut project = Project::empty("test");
        let good = picture(3);
        apply(&mut project, Edit::SetUnderlay(Some(Box::new(good.clone())))).unwrap();
        let wrong = [
            picture(0),
            picture(limits::PICTURE_BYTES + 1),
            Underlay { opacity: 1.5, ..picture(3) },
            Underlay { width_mm: f64::NAN, ..picture(3) },
            Underlay { pos: point(f64::INFINITY, 0.0), ..picture(3) },
        ];
        for wrong in wrong {
            assert!(apply(&mut project, Edit::SetUnderlay(Some(Box::new(wrong)))).is_err());
            assert_eq!(project.underlay.as_ref(), Some(&good));
        }
        apply(&mut project, Edit::SetUnderlay(None)).unwrap();
        assert_eq!(project.underlay, None);
        assert!(apply(&mut project, Edit::SetLayoutScale(Some(0.0))).is_err());
        apply(&mut project, Edit::SetLayoutScale(Some(12.5))).unwrap();
        assert_eq!(project.layout_scale, Some(12.5));
    }
}
