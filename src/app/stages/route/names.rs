//! Names under which drawn things of the layout are found by tests and read by screen readers.

use egui::{Id, Rect, Role, Sense, Ui, WidgetInfo, vec2};

use crate::app::canvas::Lens;
use crate::app::stages::route::canvas::picture_rect;
use crate::app::stages::route::paint::run_texts;
use crate::app::stages::route::scene::along;
use crate::app::stages::route::state::RouteState;
use crate::app::view::View;

/// Gives everything in view a name that tests and screen readers find.
pub fn name_drawn(ui: &mut Ui, view: View<'_>, own: &RouteState, lens: &Lens, layout: Id) {
    // Without a screen reader or a test nobody asks for names.
    if !ui.ctx().has_accesskit_node(layout) {
        return;
    }
    let on_screen = lens.view;
    let name = |id: Id, rect: Rect, label: String| {
        if on_screen.intersects(rect) {
            let response = ui.interact(rect.intersect(on_screen), id, Sense::hover());
            response.widget_info(|| WidgetInfo::labeled(Role::GraphicsSymbol, true, &label));
        }
    };
    if let (Some(underlay), Some(rect)) = (&view.project.underlay, picture_rect(view)) {
        let rect = lens.screen_rect(rect);
        name(Id::unique("underlay"), rect, format!("picture {}", underlay.name));
    }
    for (id, run) in view.project.runs.iter() {
        let Some(line) = own.scene.lines.get(&id) else { continue };
        let label = own.painted.as_ref().and_then(|painted| painted.label(id));
        let middle = lens.screen_from_sheet(along(line, 0.5));
        let rect = label.unwrap_or(Rect::from_center_size(middle, vec2(10.0, 10.0)));
        let n_wires = view.derived.routes().map_or(0, |routes| routes.wires_in(id).len());
        let [text, ..] = run_texts(run, n_wires, view.preferences);
        name(Id::unique(("layout run", id.0)), rect, format!("run {}, {text}", run.name));
    }
    for (id, place) in view.project.places.iter() {
        let at = lens.screen_from_sheet(place.pos);
        let rect = Rect::from_center_size(at, vec2(14.0, 14.0));
        name(Id::unique(("layout place", id.0)), rect, format!("place {}", place.name));
    }
    for (id, rect) in own.painted.iter().flat_map(|painted| &painted.picture.splices) {
        if let Some(part) = view.project.parts.get(*id) {
            name(Id::unique(("layout splice", id.0)), *rect, format!("{} along a run", part.name));
        }
    }
    for tag in own.painted.iter().flat_map(|painted| &painted.picture.tags) {
        let Some(place) = view.project.places.get(tag.place) else { continue };
        let id = Id::unique(("layout tag", tag.place.0));
        name(id, Rect::from_min_size(tag.rect.min, vec2(tag.rect.width(), 16.0)), {
            format!("name of place {}", place.name)
        });
        for (part, rect) in &tag.chips {
            if let Some(part_row) = view.project.parts.get(*part) {
                let label = format!("{} at {}", part_row.name, place.name);
                name(Id::unique(("layout part", part.0)), *rect, label);
            }
        }
    }
}
