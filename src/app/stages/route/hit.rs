//! What lies under the pointer on the layout.

use egui::Pos2;

use crate::app::canvas::Lens;
use crate::app::stages::route::gesture::Over;
use crate::app::stages::route::kept::Painted;
use crate::app::stages::route::scene::{Scene, distance_mm, share_at};
use crate::model::{PartId, PlaceId, Project, RunId};

/// How near a dot counts as on it, in points.
const DOT_REACH: f32 = 11.0;
/// How near a run counts as on it, in points.
const RUN_REACH: f32 = 8.0;
/// How near a place counts as meant while something is carried to it, in points.
const DROP_REACH: f32 = 26.0;

/// Something under the pointer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hit {
    /// The dot of a place.
    Dot(PlaceId),
    /// The name of a place.
    Tag(PlaceId),
    /// A part that sits at a place.
    Chip(PartId),
    /// A run, or its length.
    Run(RunId),
}

/// What lies under a place on the screen; small things win over large ones.
pub fn hit(
    (project, scene): (&Project, &Scene),
    painted: Option<&Painted>,
    lens: &Lens,
    pos: Pos2,
) -> Option<Hit> {
    if let Some(place) = nearest_place(project, lens, pos, DOT_REACH) {
        return Some(Hit::Dot(place));
    }
    let splices = painted.map_or(&[][..], |painted| &painted.picture.splices);
    if let Some((part, _)) = splices.iter().find(|(_, rect)| rect.contains(pos)) {
        return Some(Hit::Chip(*part));
    }
    let tags = painted.map_or(&[][..], |painted| &painted.picture.tags);
    let chips = tags.iter().flat_map(|tag| &tag.chips);
    if let Some((part, _)) = chips.into_iter().find(|(_, rect)| rect.contains(pos)) {
        return Some(Hit::Chip(*part));
    }
    if let Some(tag) = tags.iter().find(|tag| tag.rect.contains(pos)) {
        return Some(Hit::Tag(tag.place));
    }
    let labels = painted.map_or(&[][..], |painted| &painted.picture.labels);
    if let Some((run, _)) = labels.iter().find(|(_, rect)| rect.contains(pos)) {
        return Some(Hit::Run(*run));
    }
    let at = lens.sheet_from_screen(pos);
    let reach_mm = lens.mm(RUN_REACH);
    scene
        .lines
        .iter()
        .map(|(run, line)| (distance_mm(line, at), *run))
        .filter(|(away, _)| *away <= reach_mm)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, run)| Hit::Run(run))
}

/// What something carried is let go on.
pub fn drop_target(
    (project, scene): (&Project, &Scene),
    painted: Option<&Painted>,
    lens: &Lens,
    pos: Pos2,
) -> Over {
    if let Some(place) = drop_place(project, painted, lens, pos) {
        return Over::Place(place);
    }
    match hit((project, scene), painted, lens, pos) {
        Some(Hit::Run(id)) => {
            let (Some(run), Some(line)) = (project.runs.get(id), scene.lines.get(&id)) else {
                return Over::Ground;
            };
            let share = share_at(line, lens.sheet_from_screen(pos));
            // Lines begin at the place with the lower identity.
            let share = if run.from <= run.to { share } else { 1.0 - share };
            Over::Run(id, share * run.length_mm)
        }
        Some(Hit::Dot(_) | Hit::Tag(_) | Hit::Chip(_)) | None => Over::Ground,
    }
}

/// The place something is carried to: its dot within easy reach, or its name.
pub fn drop_place(
    project: &Project,
    painted: Option<&Painted>,
    lens: &Lens,
    pos: Pos2,
) -> Option<PlaceId> {
    nearest_place(project, lens, pos, DROP_REACH).or_else(|| {
        let tags = painted.map_or(&[][..], |painted| &painted.picture.tags);
        tags.iter().find(|tag| tag.rect.contains(pos)).map(|tag| tag.place)
    })
}

fn nearest_place(project: &Project, lens: &Lens, pos: Pos2, reach: f32) -> Option<PlaceId> {
    let at = lens.sheet_from_screen(pos);
    let reach_mm = lens.mm(reach);
    project
        .places
        .iter()
        .map(|(id, place)| (place.pos.distance(at), id))
        .filter(|(away, _)| *away <= reach_mm)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, id)| id)
}
