//! What was painted of the layout, kept until it or the view changes; a pan takes it along.

use std::sync::{Arc, Weak};

use egui::{Color32, Galley, Mesh, Rect, Shape, Vec2};

use crate::app::action::LayoutItem;
use crate::app::canvas::{Brush, Lens};
use crate::app::prefs::Preferences;
use crate::app::routes::Routes;
use crate::app::stages::route::paint::{Look, PAINTED_BEYOND, Picture, painted_anew};
use crate::app::stages::route::tags::Tag;
use crate::app::theme;
use crate::edit::Selection;
use crate::model::{PlaceId, RunId};

/// What the layout was painted from.
#[derive(Clone, PartialEq)]
struct Key {
    lens: Lens,
    age: u64,
    routes: SameRoutes,
    selection: Selection,
    layout: Option<LayoutItem>,
    missing: Option<[PlaceId; 2]>,
    preferences: Preferences,
    pixels: u32,
    /// A text laid out in this frame: laid out anew when the letters of all texts were, so that none
    /// of those kept is painted with letters that have moved.
    letters: SameLetters,
}

/// Which routes they are, without keeping them: as long as this is there, no others can stand at
/// their place in memory.
#[derive(Clone)]
struct SameRoutes(Option<Weak<Routes>>);

impl PartialEq for SameRoutes {
    fn eq(&self, other: &Self) -> bool {
        match (&self.0, &other.0) {
            (Some(a), Some(b)) => a.ptr_eq(b),
            (None, None) => true,
            (Some(_), None) | (None, Some(_)) => false,
        }
    }
}

/// One galley, compared by where it is kept.
#[derive(Clone)]
struct SameLetters(Arc<Galley>);

impl PartialEq for SameLetters {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl Key {
    /// The way on the screen from this view to another one of the same things at the same zoom.
    fn way_to(&self, other: &Self) -> Option<Vec2> {
        let here = self.lens.screen_from_sheet(self.lens.transform.centre);
        let there = other.lens.screen_from_sheet(self.lens.transform.centre);
        let lens = Lens { transform: self.lens.transform, ..other.lens };
        let zoom = other.lens.transform.zoom;
        let is_same = zoom == self.lens.transform.zoom && Self { lens, ..other.clone() } == *self;
        is_same.then_some(there - here)
    }
}

/// What was painted.
pub struct Painted {
    /// What it was painted from, at the view it was moved to.
    key: Key,
    /// How far it was moved since on the screen, in points: while the view is panned, what was
    /// painted moves with it, and spots for names are sought again when the hand rests.
    pub(super) moved: Vec2,
    /// All of it, where it is now.
    pub picture: Picture,
}

impl Painted {
    /// The same in another view, if nothing that comes into sight there is missing.
    fn panned(mut self, key: &Key) -> Option<Self> {
        let by = self.key.way_to(key)?;
        let moved = self.moved + by;
        if moved.abs().max_elem() > PAINTED_BEYOND {
            return None;
        }
        self.picture.translate(by);
        Some(Self { moved, key: key.clone(), ..self })
    }

    /// Where the length of a run stands.
    pub fn label(&self, run: RunId) -> Option<Rect> {
        self.picture.labels.iter().find(|(of, _)| *of == run).map(|(_, rect)| *rect)
    }

    /// The name and parts of a place.
    pub fn tag(&self, place: PlaceId) -> Option<&Tag> {
        self.picture.tags.iter().find(|tag| tag.place == place)
    }
}

/// Paints the layout, from what was kept where nothing changed.
pub fn paint_layout(brush: &Brush<'_>, look: &Look<'_>, kept: &mut Option<Painted>) {
    let key = Key {
        lens: brush.lens,
        age: look.scene.age,
        routes: SameRoutes(look.routes.map(Arc::downgrade)),
        selection: look.view.selection.clone(),
        layout: look.view.layout,
        missing: look.missing,
        preferences: *look.view.preferences,
        pixels: brush.painter.pixels_per_point().to_bits(),
        letters: SameLetters(brush.painter.layout_no_wrap(
            "letters".to_owned(),
            theme::plain(theme::TEXT_SMALL),
            Color32::WHITE,
        )),
    };
    let before = kept.take();
    let n_vertices = before.as_ref().map_or([0; 4], |painted| {
        let count = |mesh: &Arc<Mesh>| mesh.vertices.len();
        painted.picture.meshes.each_ref().map(count)
    });
    let painted = match before {
        Some(painted) if painted.key == key && painted.moved == Vec2::ZERO => Some(painted),
        // The hand rests after a pan.
        Some(painted) if painted.key == key => None,
        Some(painted) => painted.panned(&key),
        None => None,
    };
    let painted = painted.unwrap_or_else(|| Painted {
        key,
        moved: Vec2::ZERO,
        picture: painted_anew(brush, look, n_vertices),
    });
    if painted.moved != Vec2::ZERO {
        brush.painter.ctx().request_repaint();
    }
    // Under a clip of their own the meshes stay apart from the many shapes painted after them, for
    // which their copy would grow over and over.
    let below = brush.painter.with_clip_rect(brush.painter.clip_rect().shrink(0.25));
    below.extend(painted.picture.meshes.iter().map(|mesh| Shape::Mesh(Arc::clone(mesh))));
    brush.painter.extend(painted.picture.shapes.iter().cloned());
    *kept = Some(painted);
}
