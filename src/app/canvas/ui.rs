//! The sheet of one frame: looks where it is looked at, takes inputs, paints, names what it painted.

use egui::{Id, Role, Sense, Ui, UiBuilder, WidgetInfo, vec2};

use crate::app::action::Actions;
use crate::app::canvas::bar::{BAR_HEIGHT, bar_ui};
use crate::app::canvas::draw::paint_drawing;
use crate::app::canvas::gesture::step;
use crate::app::canvas::hand::{Hand, Input, SheetView, item_of};
use crate::app::canvas::leads::leads_ui;
use crate::app::canvas::menu;
use crate::app::canvas::names;
use crate::app::canvas::paint::{
    Brush, Texts, paint_box, paint_frames, paint_ground, paint_invitation,
};
use crate::app::canvas::pointer::{cursor, key_inputs, pan_and_zoom, pointer_inputs};
use crate::app::canvas::scene::{Scene, resistor_sign};
use crate::app::canvas::state::CanvasState;
use crate::app::canvas::symbols::{SymbolTones, paint_marks};
use crate::app::canvas::transform::{Lens, Transform};
use crate::app::canvas::wires;
use crate::app::canvas::wiring;
use crate::app::theme;
use crate::app::view::View;
use crate::drawing::{self, Hit, SymbolLook};
use crate::edit::Gesture;
use crate::geometry::{Rect, point};
use crate::model::{Part, PartId};

/// Free room around a drawing that was fitted into view, in points.
const FIT_MARGIN: f32 = 18.0;
/// For looking only: nothing is begun under this number.
const NO_GESTURE: Gesture = Gesture(0);
/// Up to this many terminals in view get a name of their own.
const TERMINALS_NAMED: usize = 500;

/// The sheet with the line above it.
pub fn canvas_ui(ui: &mut Ui, view: View<'_>, own: &mut CanvasState, actions: &mut Actions) {
    let inside = ui.max_rect();
    // The sheet fills the card it stands in, up to the card's edge.
    let outer = inside + theme::card(view.palette).inner_margin;
    let outer = outer.shrink(1.0);
    ui.painter().rect_filled(outer, 8.0, view.palette.sheet);
    let bar = egui::Rect::from_min_size(inside.min, vec2(inside.width(), BAR_HEIGHT));
    let below = egui::Rect::from_min_max(egui::pos2(outer.left(), bar.bottom() + 4.0), outer.max);
    ui.allocate_rect(inside, Sense::hover());

    own.scene.refresh(view.project, view.bench, view.derived.pulled());
    menu::forget_gone(own, view);
    let mut sheet_ui = ui.new_child(UiBuilder::new().max_rect(below).id_salt("sheet"));
    sheet_ui.set_clip_rect(below.intersect(ui.clip_rect()));
    let lens = sheet_ui_in(&mut sheet_ui, view, own, below, actions);

    let mut bar_child = ui.new_child(UiBuilder::new().max_rect(bar).id_salt("bar"));
    let inputs = bar_ui(&mut bar_child, view, &lens, own, actions);
    take_inputs(view, own, &lens, inputs, actions);
}

/// The sheet itself; returns where it is looked at.
fn sheet_ui_in(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut CanvasState,
    rect: egui::Rect,
    actions: &mut Actions,
) -> Lens {
    let mut lens = looked_at(view, own, rect);
    let response = ui.interact(rect, Id::unique("sheet"), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Sheet"));
    pan_and_zoom(ui, &response, &mut lens);
    let mut inputs = pointer_inputs(ui, &response, &lens, &own.hand);
    own.transform = Some(lens.transform);
    inputs.extend(key_inputs(ui, own, !view.selection.is_empty()));
    if let Some(transform) = own.transform {
        lens.transform = transform;
    }
    let painter = ui.painter().clone();
    let brush = Brush { painter: &painter, lens, palette: view.palette };

    let hover = {
        let sheet = sheet_view(view, &own.scene, &lens, NO_GESTURE);
        let is_idle = own.hand == Hand::Idle;
        response
            .hover_pos()
            .filter(|_| is_idle)
            .and_then(|pos| sheet.hit(lens.sheet_from_screen(pos)))
    };
    let mut texts = Texts::of(brush.lens.view);
    paint_ground(&brush);
    paint_frames(&brush, &mut texts, view.project, view.selection, hover.map(item_of));
    paint_drawing(&brush, &mut texts, view, (&mut own.scene, &mut own.base), hover);
    texts.paint(&painter);
    if view.project.parts.is_empty() && own.hand == Hand::Idle {
        paint_invitation(&brush);
    }
    paint_hand(&brush, view, own);
    name_drawn(ui, view, &own.scene, &lens, response.id);
    inputs.extend(leads_ui(ui, view, &brush, &own.hand));

    let run = match hover {
        Some(Hit::Wire { wire, .. }) => own.scene.paths.get(&wire),
        _ => None,
    };
    if let Some(icon) = cursor(&own.hand, hover, run)
        && response.hovered()
    {
        ui.set_cursor_icon(icon);
    }
    if own.hand == Hand::Idle
        && let Some(tip) = hover.and_then(|hit| names::tip(view.project, hit))
    {
        response.clone().on_hover_text_at_pointer(tip);
    }
    let mut menu_at = own.menu_at;
    let sheet = sheet_view(view, &own.scene, &lens, NO_GESTURE);
    menu::menu_ui(&response, view, &sheet, &lens, &mut menu_at, actions);
    own.menu_at = menu_at;
    take_inputs(view, own, &lens, inputs, actions);
    lens
}

/// Carries out inputs one after another.
fn take_inputs(
    view: View<'_>,
    own: &mut CanvasState,
    lens: &Lens,
    inputs: Vec<Input>,
    actions: &mut Actions,
) {
    for input in inputs {
        let was_put_down = input == Input::PutDown;
        let gesture = own.fresh_gesture();
        let sheet = sheet_view(view, &own.scene, lens, gesture);
        let (hand, done) = step(std::mem::take(&mut own.hand), input, &sheet);
        own.hand = hand;
        for action in done {
            actions.push(action);
        }
        own.focus_placing |= was_put_down;
    }
}

fn sheet_view<'a>(
    view: View<'a>,
    scene: &'a Scene,
    lens: &Lens,
    gesture: Gesture,
) -> SheetView<'a> {
    SheetView {
        project: view.project,
        paths: &scene.paths,
        selection: view.selection,
        bench: view.bench,
        latched: view.latched,
        reach_mm: lens.mm(7.0).clamp(0.6, 3.5),
        in_view: lens.sheet_rect(),
        gesture,
    }
}

/// Where the sheet is looked at, wishes fulfilled.
fn looked_at(view: View<'_>, own: &mut CanvasState, rect: egui::Rect) -> Lens {
    let bounds = own.scene.bounds(&view.project.frames);
    // An empty sheet is looked at in its middle at full size.
    let whole = || match bounds {
        Some(bounds) => Transform::fitting(bounds, rect.size(), FIT_MARGIN),
        None => Transform { centre: point(0.0, 0.0), zoom: 1.0 },
    };
    let wants_fit = std::mem::take(&mut own.fit_wanted) || own.transform.is_none();
    let transform = if wants_fit { whole() } else { own.transform.unwrap_or_else(whole) };
    let mut lens = Lens { view: rect, transform };
    if let Some(factor) = own.zoom_wanted.take() {
        lens.zoom_about(rect.center(), f64::from(factor));
    }
    if let Some(item) = own.show_wanted.take()
        && let Some(shown) = own.scene.item_rect(view.project, item)
    {
        lens.show(shown);
    }
    lens
}

/// What the hand holds: a ghost, a rubber band, a box.
fn paint_hand(brush: &Brush<'_>, view: View<'_>, own: &CanvasState) {
    match &own.hand {
        Hand::Placing { placement, at, is_carried } => {
            // Before the pointer comes to the sheet it stands where Enter would put it.
            let at = match at {
                Some(at) => *at,
                None if *is_carried => return,
                None => wiring::free_spot(view.project, placement, brush.lens.sheet_rect()),
            };
            paint_hint(brush, "Click where it goes · Enter puts it here · Esc lets it go");
            let tones = SymbolTones::one(brush, brush.palette.chosen);
            let mut texts = Texts::of(brush.lens.view);
            for part in &placement.parts {
                let ghost = Part { pos: part.pos + at, ..part.clone() };
                let look = SymbolLook::at_rest(resistor_sign(view.preferences.sign));
                paint_marks(brush, &mut texts, &drawing::symbol(&ghost, &look), &tones);
            }
            texts.paint(brush.painter);
        }
        Hand::Wiring { from, at } => {
            let sheet = sheet_view(view, &own.scene, &brush.lens, NO_GESTURE);
            let target = wiring::target(&sheet, *from, *at);
            let run = wiring::preview(view.project, *from, target, *at);
            wires::paint_preview(brush, &run, target.is_some());
            if let (Some(_), Some(end)) = (target, run.last()) {
                let pen = egui::Stroke::new(2.0, brush.palette.chosen);
                brush.painter.circle(brush.pos(*end), 7.0, brush.palette.sheet, pen);
                brush.painter.circle_filled(brush.pos(*end), 3.0, brush.palette.chosen);
            }
        }
        Hand::Boxing { from, to, .. } => paint_box(brush, Rect::spanning(*from, *to)),
        Hand::Carrying { at: Some(at), .. } => {
            let sheet = sheet_view(view, &own.scene, &brush.lens, NO_GESTURE);
            let terminal = wiring::terminal_at(&sheet, *at, None);
            let part = terminal.and_then(|t| Some((view.project.parts.get(t.part)?, t.terminal)));
            if let Some((part, terminal)) = part {
                let pos = brush.pos(drawing::terminal_pos(part, terminal));
                brush.painter.circle_stroke(pos, 9.0, egui::Stroke::new(2.5, brush.palette.chosen));
            }
        }
        Hand::Idle
        | Hand::Carrying { at: None, .. }
        | Hand::Moving { .. }
        | Hand::Bending { .. }
        | Hand::Framing { .. } => {}
    }
}

/// What the hand can do next, at the lower edge of the sheet.
fn paint_hint(brush: &Brush<'_>, text: &str) {
    let pos = brush.lens.view.left_bottom() + vec2(14.0, -10.0);
    let (font, ink) = (theme::plain(theme::TEXT_SMALL), brush.palette.quiet);
    brush.painter.text(pos, egui::Align2::LEFT_BOTTOM, text, font, ink);
}

/// Gives everything in view a name that tests and screen readers find.
fn name_drawn(ui: &mut Ui, view: View<'_>, scene: &Scene, lens: &Lens, sheet: Id) {
    // Without a screen reader or a test nobody asks for names.
    if !ui.ctx().has_accesskit_node(sheet) {
        return;
    }
    let seen = lens.sheet_rect();
    let on_screen = lens.view;
    let name = |id: Id, rect: egui::Rect, label: String| {
        let response = ui.interact(rect, id, Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::GraphicsSymbol, true, &label));
    };
    for (id, frame) in view.project.frames.iter().filter(|(_, frame)| frame.rect.touches(seen)) {
        let rect = lens.screen_rect(drawing::frame_title_rect(frame));
        name(Id::unique(("frame", id.0)), rect, format!("frame {}", frame.name));
    }
    for (id, wire) in view.project.wires.iter() {
        let Some(run) = scene.paths.get(&id).filter(|run| run.len() > 1) else { continue };
        let at = lens.screen_from_sheet(drawing::wire_label_pos(run));
        if on_screen.contains(at) {
            let rect = egui::Rect::from_center_size(at, vec2(10.0, 10.0));
            name(Id::unique(("wire", id.0)), rect, names::wire_name(wire));
        }
    }
    let ids: Vec<PartId> =
        scene.rects.iter().filter(|(_, rect)| rect.touches(seen)).map(|(id, _)| *id).collect();
    let n_terminals: usize = ids
        .iter()
        .filter_map(|id| view.project.parts.get(*id))
        .map(|part| usize::from(part.kind.terminal_count()))
        .sum();
    for id in ids {
        let Some(part) = view.project.parts.get(id) else { continue };
        name(
            Id::unique(("part", id.0)),
            lens.screen_rect(drawing::part_rect(part)),
            names::part_name(part),
        );
        if n_terminals > TERMINALS_NAMED {
            continue;
        }
        for terminal in (0..part.kind.terminal_count()).filter(|t| part.kind.has_terminal(*t)) {
            let at = lens.screen_from_sheet(drawing::terminal_pos(part, terminal));
            let rect = egui::Rect::from_center_size(at, vec2(10.0, 10.0));
            name(
                Id::unique(("terminal", id.0, terminal)),
                rect,
                names::terminal_name(part, terminal),
            );
        }
    }
}

#[cfg(test)]
mod tests;
