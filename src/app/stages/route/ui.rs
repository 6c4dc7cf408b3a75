//! Stage Route as a whole: the bar, the lists, the layout.

use egui::{Rect, Sense, Ui, UiBuilder, pos2, vec2};

use crate::app::action::Actions;
use crate::app::stages::route::bar::{BAR_HEIGHT, bar_ui};
use crate::app::stages::route::canvas::canvas_ui;
use crate::app::stages::route::state::RouteState;
use crate::app::stages::route::tray::tray_ui;
use crate::app::theme;
use crate::app::view::View;

/// Below this width lists and layout take turns.
const WIDE: f32 = 780.0;
/// Width of the lists beside the layout.
const TRAY_WIDTH: f32 = 292.0;

/// Stage Route: the layout, with the lists beside it.
pub fn route_ui(ui: &mut Ui, view: View<'_>, own: &mut RouteState, actions: &mut Actions) {
    own.scene.refresh(view.project, view.derived.routes());
    let inside = ui.max_rect();
    let outer = (inside + theme::card(view.palette).inner_margin).shrink(1.0);
    let is_wide = inside.width() >= WIDE;
    ui.allocate_rect(inside, Sense::hover());
    let top = inside.top() + BAR_HEIGHT + 4.0;
    let bar = Rect::from_min_size(inside.min, vec2(inside.width(), BAR_HEIGHT));
    let tray = if is_wide {
        Some(Rect::from_min_max(
            pos2(inside.left(), top),
            pos2(inside.left() + TRAY_WIDTH, inside.bottom()),
        ))
    } else {
        own.tray_shown.then(|| Rect::from_min_max(pos2(inside.left(), top), inside.max))
    };
    let mut lens = None;
    if is_wide || !own.tray_shown {
        // The layout fills the card it stands in, up to the card's edge.
        let left = if is_wide { inside.left() + TRAY_WIDTH + 10.0 } else { outer.left() };
        let canvas = Rect::from_min_max(pos2(left, top), outer.max);
        ui.painter().rect_filled(canvas, 8.0, view.palette.sheet);
        let mut child = ui.new_child(UiBuilder::new().max_rect(canvas).id_salt("layout"));
        child.set_clip_rect(canvas.intersect(ui.clip_rect()));
        lens = Some(canvas_ui(&mut child, view, own, canvas, actions));
    }
    if let Some(tray) = tray {
        let mut child = ui.new_child(UiBuilder::new().max_rect(tray).id_salt("lists"));
        child.set_clip_rect(tray.expand(4.0).intersect(ui.clip_rect()));
        tray_ui(&mut child, view, own, lens, actions);
    }
    let mut child = ui.new_child(UiBuilder::new().max_rect(bar).id_salt("bar"));
    bar_ui(&mut child, view, own, (lens, is_wide), actions);
}
