//! The ground layer of the drawing: all wires in their usual look, and parts too far away to show
//! their symbols; kept while neither they nor the view change.

use std::sync::Arc;

use egui::{Color32, Mesh, Rect, Shape, vec2};

use crate::app::canvas::paint::Brush;
use crate::app::canvas::scene::Scene;
use crate::app::canvas::transform::Lens;
use crate::app::canvas::wires::{WireLook, WireMesh};
use crate::app::theme::Palette;

/// Below this many points a millimetre, parts are painted as outlines.
pub const SPECK_SCALE: f32 = 0.9;
/// Dots smaller than this on the screen are painted as squares, in points.
const LEAST_ROUND: f32 = 2.0;

/// What the ground layer was painted from.
#[derive(Clone, Debug, PartialEq)]
struct Key {
    age: u64,
    lens: Lens,
    clip: Rect,
    palette: Palette,
    pixels_per_point: f32,
}

/// The ground layer as it was last painted.
#[derive(Clone, Debug, Default)]
pub struct Base(Option<(Key, Arc<Mesh>)>);

impl Base {
    /// Paints the ground layer, from what was kept where nothing changed.
    pub fn paint(&mut self, brush: &Brush<'_>, scene: &Scene) {
        let key = Key {
            age: scene.age,
            lens: brush.lens,
            clip: brush.painter.clip_rect(),
            palette: *brush.palette,
            pixels_per_point: brush.painter.pixels_per_point(),
        };
        let mesh = match self.0.take() {
            Some((of, mesh)) if of == key => mesh,
            // The room of the mesh before is used again, once the frame before has let it go.
            old => {
                let room = old.and_then(|(_, mesh)| Arc::try_unwrap(mesh).ok()).unwrap_or_default();
                Arc::new(painted_anew(brush, scene, room))
            }
        };
        // Under a clip of its own it stays apart from what is painted after it, which would
        // otherwise make its copy grow, and be copied again, for every few shapes.
        let clip = key.clip.shrink(0.25);
        brush.painter.with_clip_rect(clip).add(Shape::Mesh(Arc::clone(&mesh)));
        self.0 = Some((key, mesh));
    }
}

fn painted_anew(brush: &Brush<'_>, scene: &Scene, room: Mesh) -> Mesh {
    let seen = brush.lens.sheet_rect();
    let mut wires = WireMesh::new(brush, room);
    for row in scene.rows.in_view(seen) {
        wires.add(row, WireLook::default());
    }
    let mut mesh = wires.done();
    let radius = dot_radius(brush);
    if radius < LEAST_ROUND {
        let side = 2.0 * radius;
        for meet in scene.meets.values() {
            for at in meet.dots.iter().filter(|at| seen.contains(**at)) {
                let square = Rect::from_center_size(brush.pos(*at), vec2(side, side));
                mesh.add_colored_rect(square, brush.palette.ink);
            }
        }
    }
    if brush.lens.scale() < SPECK_SCALE {
        for id in scene.parts_in(seen) {
            if let Some(rect) = scene.rects.get(&id) {
                add_speck(&mut mesh, brush.lens.screen_rect(*rect), brush.palette.ink);
            }
        }
    }
    mesh
}

/// A part too small to show its symbol: its outline, a point wide.
pub fn add_speck(mesh: &mut Mesh, rect: Rect, colour: Color32) {
    let first = mesh.vertices.len() as u32;
    for rect in [rect, rect.shrink(1.0)] {
        let corners = [rect.left_top(), rect.right_top(), rect.right_bottom(), rect.left_bottom()];
        corners.into_iter().for_each(|corner| mesh.colored_vertex(corner, colour));
    }
    for side in 0..4 {
        let next = (side + 1) % 4;
        mesh.add_triangle(first + side, first + next, first + 4 + side);
        mesh.add_triangle(first + next, first + 4 + next, first + 4 + side);
    }
}

/// Paints the dots where wires part that the ground layer leaves out.
pub fn paint_round_dots(brush: &Brush<'_>, scene: &Scene) {
    let radius = dot_radius(brush);
    if radius < LEAST_ROUND {
        return;
    }
    let seen = brush.lens.sheet_rect();
    let dots = scene.meets.values().flat_map(|meet| &meet.dots);
    let dots = dots.filter(|at| seen.contains(**at));
    let ink = brush.palette.ink;
    brush.painter.extend(dots.map(|at| Shape::circle_filled(brush.pos(*at), radius, ink)));
}

/// Radius of a dot where wires part, in points.
pub fn dot_radius(brush: &Brush<'_>) -> f32 {
    (0.8 * brush.lens.scale()).clamp(1.5, 7.0)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use egui::{Context, LayerId, Painter, pos2};

    use super::*;
    use crate::app::canvas::transform::Transform;
    use crate::app::prefs::ThemeChoice;
    use crate::edit::{Edit, History, Item, parse_placing};
    use crate::geometry::point;
    use crate::model::State;
    use crate::samples;

    fn mesh(base: &Base) -> Arc<Mesh> {
        Arc::clone(&base.0.as_ref().unwrap().1)
    }

    /// Whatever is done, what was kept equals what is painted from nothing.
    #[test]
    fn the_kept_layer_never_differs_from_a_new_one() {
        let mut history = History::new(samples::open("sprayer").unwrap());
        let ctx = Context::default();
        let view = Rect::from_min_size(pos2(40.0, 30.0), vec2(900.0, 600.0));
        let painter = Painter::new(ctx, LayerId::background(), view);
        let (mut scene, mut base) = (Scene::default(), Base::default());
        let mut lens = Lens { view, transform: Transform { centre: point(60.0, 40.0), zoom: 1.0 } };
        let mut last: Option<Arc<Mesh>> = None;
        let mut check = |history: &History, lens: Lens, theme: ThemeChoice, is_new: bool| {
            scene.refresh(history.project(), &State::rest(), &BTreeSet::new());
            let brush = Brush { painter: &painter, lens, palette: Palette::of(theme) };
            base.paint(&brush, &scene);
            let mut fresh = Base::default();
            fresh.paint(&brush, &scene);
            let kept = mesh(&base);
            assert!(!kept.is_empty() && kept == mesh(&fresh));
            if let Some(last) = last.replace(Arc::clone(&kept)) {
                assert_eq!(!Arc::ptr_eq(&last, &kept), is_new);
            }
        };
        check(&history, lens, ThemeChoice::Paper, true);
        check(&history, lens, ThemeChoice::Paper, false);
        lens.pan(vec2(13.0, 7.0));
        check(&history, lens, ThemeChoice::Paper, true);
        // So far out that parts are outlines.
        lens.transform.zoom = 0.15;
        check(&history, lens, ThemeChoice::Paper, true);
        check(&history, lens, ThemeChoice::Bench, true);
        let part = history.project().parts.ids().next().unwrap();
        let wire = history.project().wires.ids().next().unwrap();
        let edits = [
            Edit::Move { items: [Item::Part(part)].into(), by: point(5.0, -2.5) },
            Edit::Remove([Item::Wire(wire)].into()),
            Edit::Place(parse_placing("4k7").unwrap().at(point(0.0, 90.0))),
        ];
        for edit in edits {
            history.commit(edit, None).unwrap();
            check(&history, lens, ThemeChoice::Bench, true);
        }
        history.undo();
        check(&history, lens, ThemeChoice::Bench, true);
        check(&history, lens, ThemeChoice::Bench, false);
    }
}
