//! The harness layout as a picture: places as dots, runs as lines with their lengths. Dots can be dragged.

use egui::{Id, Pos2, Rect, Sense, Stroke, Ui, Vec2, vec2};

use crate::app::action::{Action, Actions};
use crate::app::theme;
use crate::app::view::View;
use crate::edit::{Edit, Gesture, Item};
use crate::geometry::{Point, point};
use crate::model::{Place, PlaceId, RunId};

/// Height of the picture.
const HEIGHT: f32 = 190.0;

/// How layout millimetres go to the screen: one factor for both directions, the whole in the middle.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Scale {
    factor: f32,
    middle: Point,
    centre: Pos2,
}

impl Scale {
    fn fitting(points: impl Iterator<Item = Point>, area: Rect) -> Self {
        let (mut low, mut high) = (point(f64::MAX, f64::MAX), point(f64::MIN, f64::MIN));
        for p in points {
            low = point(low.x_mm.min(p.x_mm), low.y_mm.min(p.y_mm));
            high = point(high.x_mm.max(p.x_mm), high.y_mm.max(p.y_mm));
        }
        let size = vec2((high.x_mm - low.x_mm) as f32, (high.y_mm - low.y_mm) as f32);
        let factor = (area.width() / size.x.max(1.0)).min(area.height() / size.y.max(1.0)).min(8.0);
        let middle = point((low.x_mm + high.x_mm) / 2.0, (low.y_mm + high.y_mm) / 2.0);
        Self { factor, middle, centre: area.center() }
    }

    fn screen(self, p: Point) -> Pos2 {
        let away = p - self.middle;
        self.centre + vec2(away.x_mm as f32, away.y_mm as f32) * self.factor
    }

    fn layout(self, by: Vec2) -> Point {
        point(f64::from(by.x / self.factor), f64::from(by.y / self.factor))
    }
}

/// The picture; the route of the selected wire is lit.
pub fn map_ui(
    ui: &mut Ui,
    view: View<'_>,
    (dragged, drags): (&mut Option<(PlaceId, u64)>, &mut u64),
    actions: &mut Actions,
) {
    let project = view.project;
    if project.places.len() < 2 {
        return;
    }
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::hover());
    let painter = ui.painter().with_clip_rect(rect);
    painter.rect_filled(rect, 8.0, view.palette.sheet);
    painter.rect_stroke(rect, 8.0, Stroke::new(1.0, view.palette.edge), egui::StrokeKind::Inside);
    let area = rect.shrink2(vec2(54.0, 30.0));
    let scale = Scale::fitting(project.places.iter().map(|(_, place)| place.pos), area);
    let lit = selected_route(view);
    let mut taken: Vec<Rect> = project
        .places
        .iter()
        .map(|(_, place)| Rect::from_center_size(scale.screen(place.pos), Vec2::splat(12.0)))
        .collect();
    let mut lines: Vec<[Pos2; 2]> = Vec::new();
    for (id, run) in project.runs.iter() {
        let (Some(from), Some(to)) = (project.places.get(run.from), project.places.get(run.to))
        else {
            continue;
        };
        let (a, b) = (scale.screen(from.pos), scale.screen(to.pos));
        let on_route = lit.iter().any(|name| *name == run.name);
        let stroke = if on_route {
            Stroke::new(3.5, view.palette.live)
        } else {
            Stroke::new(2.0, view.palette.quiet)
        };
        painter.line_segment([a, b], stroke);
        lines.push([a, b]);
        let text = view.preferences.length_text(run.length_mm);
        let colour = if on_route { view.palette.live } else { view.palette.quiet };
        let galley = painter.layout_no_wrap(text, theme::plain(theme::TEXT_SMALL), colour);
        let label = Rect::from_center_size(a + (b - a) / 2.0, galley.size() + vec2(6.0, 0.0));
        painter.rect_filled(label, 3.0, view.palette.sheet);
        painter.galley(label.min + vec2(3.0, 0.0), galley, colour);
        taken.push(label);
        run_words(ui, label, (id, &run.name));
    }
    for (_, place) in project.places.iter() {
        let galley = painter.layout_no_wrap(
            place.name.clone(),
            theme::plain(theme::TEXT_SMALL),
            view.palette.ink,
        );
        let spot =
            name_spot((scale.screen(place.pos), galley.size()), rect.shrink(3.0), &taken, &lines);
        painter.galley(spot.min, galley, view.palette.ink);
        taken.push(spot);
    }
    for (id, place) in project.places.iter() {
        place_ui(ui, view, (id, place), (scale, rect), (dragged, drags), actions);
    }
}

/// Lets pointers and screen readers find a run by its name.
fn run_words(ui: &Ui, label: Rect, (id, name): (RunId, &str)) {
    let response = ui.interact(label, Id::unique(("map run", id)), Sense::hover());
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::accesskit::Role::Label, true, format!("run {name}"))
    });
    response.on_hover_text(name);
}

fn place_ui(
    ui: &Ui,
    view: View<'_>,
    (id, place): (PlaceId, &Place),
    (scale, rect): (Scale, Rect),
    (dragged, drags): (&mut Option<(PlaceId, u64)>, &mut u64),
    actions: &mut Actions,
) {
    let at = scale.screen(place.pos);
    let response = ui.interact(
        Rect::from_center_size(at, Vec2::splat(20.0)),
        Id::unique(("map place", id)),
        Sense::drag(),
    );
    let name = format!("place {}", place.name);
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, name.clone())
    });
    if response.drag_started() {
        *drags += 1;
        *dragged = Some((id, *drags));
    }
    if response.dragged()
        && let Some((_, number)) = dragged.filter(|(of, _)| *of == id)
        && response.drag_delta() != Vec2::ZERO
    {
        let pos = place.pos + scale.layout(response.drag_delta());
        let edit = Edit::SetPlace(id, Place { name: place.name.clone(), pos });
        actions.push(Action::Edit(edit, Some(Gesture((5 << 60) | number))));
    }
    if response.drag_stopped() {
        *dragged = None;
    }
    let painter = ui.painter().with_clip_rect(rect);
    let hovered = response.hovered() || response.dragged();
    let colour = if hovered { view.palette.chosen } else { view.palette.ink };
    painter.circle(at, 5.0, view.palette.card, Stroke::new(2.0, colour));
}

/// Where the name of a place goes: the spot around its dot that covers least of what is drawn already.
fn name_spot((at, size): (Pos2, Vec2), inside: Rect, taken: &[Rect], lines: &[[Pos2; 2]]) -> Rect {
    let aside = size.x / 2.0 + 10.0;
    let spots = [
        vec2(0.0, -16.0),
        vec2(0.0, 16.0),
        vec2(aside, 0.0),
        vec2(-aside, 0.0),
        vec2(aside * 0.7, -16.0),
        vec2(-aside * 0.7, -16.0),
        vec2(aside * 0.7, 16.0),
        vec2(-aside * 0.7, 16.0),
    ];
    let placed = spots.map(|by| {
        let spot = Rect::from_center_size(at + by, size);
        // Names at the edge are moved inside.
        let right =
            (inside.left() - spot.left()).max(0.0) - (spot.right() - inside.right()).max(0.0);
        let down =
            (inside.top() - spot.top()).max(0.0) - (spot.bottom() - inside.bottom()).max(0.0);
        spot.translate(vec2(right, down))
    });
    let covers = |spot: &Rect| {
        let over = taken.iter().filter(|other| other.intersects(*spot)).count();
        let crossed = lines.iter().filter(|line| crosses(line, *spot)).count();
        3 * over + 2 * crossed
    };
    placed.into_iter().min_by_key(covers).unwrap_or(Rect::from_center_size(at, size))
}

/// Whether a line passes through a rectangle, looked at in twenty steps.
fn crosses(line: &[Pos2; 2], rect: Rect) -> bool {
    (0..=20).any(|step| rect.contains(line[0] + (line[1] - line[0]) * (step as f32 / 20.0)))
}

/// Names of the runs the selected wire takes.
fn selected_route<'a>(view: View<'a>) -> Vec<&'a str> {
    let Some(list) = view.derived.cut_list() else { return Vec::new() };
    list.rows
        .iter()
        .filter(|row| view.selection.contains(&Item::Wire(row.wire)))
        .flat_map(|row| row.route.iter().map(String::as_str))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn the_whole_layout_fits_and_dragging_goes_the_same_way_back() {
        let area = Rect::from_min_size(pos2(100.0, 50.0), vec2(300.0, 120.0));
        let points = [point(0.0, 0.0), point(120.0, 30.0), point(60.0, 90.0)];
        let scale = Scale::fitting(points.into_iter(), area);
        for p in points {
            assert!(area.expand(0.5).contains(scale.screen(p)), "{p:?}");
        }
        let by = scale.layout(scale.screen(points[1]) - scale.screen(points[0]));
        assert!((by - (points[1] - points[0])).distance(point(0.0, 0.0)) < 1e-3);
    }

    #[test]
    fn a_name_keeps_clear_of_lengths_and_lines() {
        let inside = Rect::from_min_size(pos2(0.0, 0.0), vec2(300.0, 200.0));
        let at = pos2(150.0, 100.0);
        let size = vec2(60.0, 14.0);
        let lines = [[at, pos2(150.0, 20.0)], [at, pos2(150.0, 180.0)]];
        let length = Rect::from_center_size(pos2(190.0, 100.0), vec2(40.0, 14.0));
        let spot = name_spot((at, size), inside, &[length], &lines);
        assert!(
            !spot.intersects(length) && lines.iter().all(|line| !crosses(line, spot)),
            "{spot:?}"
        );
        assert!(spot.right() < at.x);
    }

    #[test]
    fn places_on_one_spot_do_not_blow_the_scale_up() {
        let area = Rect::from_min_size(pos2(0.0, 0.0), vec2(300.0, 120.0));
        let scale = Scale::fitting([point(5.0, 5.0), point(5.0, 5.0)].into_iter(), area);
        assert!(scale.factor.is_finite() && scale.factor <= 8.0);
    }
}
