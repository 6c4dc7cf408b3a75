//! The layout of one frame: looks where it is looked at, takes inputs, paints, names what it painted.

use egui::{
    CursorIcon, Id, Key, Modifiers, PointerButton, Rect, Response, Role, Sense, Ui, WidgetInfo,
};

use crate::app::action::{Action, Actions, LayoutItem};
use crate::app::canvas::{Brush, Lens, Transform, paint_ground, pan_and_zoom};
use crate::app::pictures::Shown;
use crate::app::stages::route::gesture::{
    Deed, GRID_MM, Ground, Hand, Input, fresh_place_name, seated, step,
};
use crate::app::stages::route::hit::{Hit, drop_target, hit};
use crate::app::stages::route::inline::inline_ui;
use crate::app::stages::route::kept::paint_layout;
use crate::app::stages::route::menu::menu_ui;
use crate::app::stages::route::names::name_drawn;
use crate::app::stages::route::overlay::{
    CORNER, paint_hand, paint_hover, paint_invitation, paint_picture, paint_scale_bar,
};
use crate::app::stages::route::paint::Look;
use crate::app::stages::route::scene::bounds;
use crate::app::stages::route::state::{Asking, RouteState};
use crate::app::view::View;
use crate::edit::{Edit, Item};
use crate::geometry::{self, point};
use crate::model::{Place, PlaceId, WireId};

/// Free room around a layout that was fitted into view, in points.
const FIT_MARGIN: f32 = 34.0;
/// Arrow keys within this many seconds are one step to undo.
const NUDGE_PAUSE_S: f64 = 1.0;

/// The one wire that is selected.
pub fn selected_wire(view: View<'_>) -> Option<WireId> {
    let mut items = view.selection.iter();
    match (items.next(), items.next()) {
        (Some(Item::Wire(id)), None) => Some(*id),
        _ => None,
    }
}

/// The layout itself.
pub fn canvas_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    rect: Rect,
    actions: &mut Actions,
) -> Lens {
    let mut lens = looked_at(view, own, rect);
    let response = ui.interact(rect, Id::unique("layout"), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Layout"));
    pan_and_zoom(ui, &response, &mut lens);
    if own.hand == Hand::Panning && response.dragged_by(PointerButton::Primary) {
        lens.pan(response.drag_delta());
    }
    own.transform = Some(lens.transform);
    let inputs = inputs(ui, view, own, &response, &lens);

    let painter = ui.painter().with_clip_rect(rect);
    let brush = Brush { painter: &painter, lens, palette: view.palette };
    paint_picture(&brush, view);
    paint_ground(&brush);
    let routes = view.derived.routes();
    let look = Look { view, scene: &own.scene, routes, missing: own.missing };
    paint_layout(&brush, &look, &mut own.painted);
    let hover = response
        .hover_pos()
        .filter(|_| own.hand == Hand::Idle)
        .and_then(|pos| hit((view.project, &own.scene), own.painted.as_ref(), &lens, pos));
    paint_hover(&brush, view, own, hover);
    paint_hand(&brush, view, own);
    paint_scale_bar(&brush, view);
    if view.project.places.is_empty() && own.hand == Hand::Idle {
        paint_invitation(&brush);
    }
    name_drawn(ui, view, own, &lens, response.id);
    pointer_words(ui, view, own, &response, hover);

    for input in inputs {
        take_input(view, own, &lens, input, actions);
    }
    menu_ui(&response, view, own, &lens, actions);
    inline_ui(ui, view, own, &lens, actions);
    key_inputs(ui, view, own, &lens, actions);
    lens
}

/// Where the layout is looked at, wishes fulfilled.
fn looked_at(view: View<'_>, own: &mut RouteState, rect: Rect) -> Lens {
    let whole = || match bounds(view.project, picture_rect(view)) {
        Some(bounds) => Transform::fitting(bounds, rect.size(), FIT_MARGIN),
        None => Transform { centre: point(0.0, 0.0), zoom: 1.0 },
    };
    let wants_fit = std::mem::take(&mut own.fit_wanted) || own.transform.is_none();
    let transform = if wants_fit { whole() } else { own.transform.unwrap_or_else(whole) };
    let mut lens = Lens { view: rect, transform };
    if let Some(factor) = own.zoom_wanted.take() {
        lens.zoom_about(rect.center(), f64::from(factor));
    }
    let shown = match own.show_wanted.take() {
        Some(LayoutItem::Place(id)) => view
            .project
            .places
            .get(id)
            .map(|place| geometry::Rect::spanning(place.pos, place.pos).grown(15.0)),
        Some(LayoutItem::Run(id)) => own.scene.lines.get(&id).and_then(|line| {
            let spots = line.iter().map(|p| geometry::Rect::spanning(*p, *p));
            spots.reduce(geometry::Rect::union).map(|rect| rect.grown(10.0))
        }),
        Some(LayoutItem::Underlay) => picture_rect(view),
        None => None,
    };
    if let Some(shown) = shown {
        lens.show(shown);
    }
    lens
}

/// Where the picture lies, once its shape is known.
pub fn picture_rect(view: View<'_>) -> Option<geometry::Rect> {
    let underlay = view.project.underlay.as_ref()?;
    let Some(Shown::Ready(texture)) = view.pictures.shown() else { return None };
    let [width, height] = texture.size();
    let height_mm = underlay.width_mm * height as f64 / width.max(1) as f64;
    Some(geometry::Rect::spanning(underlay.pos, underlay.pos + point(underlay.width_mm, height_mm)))
}

fn ground<'a>(view: View<'a>, own: &mut RouteState, lens: &Lens) -> Ground<'a> {
    let wire =
        selected_wire(view).and_then(|wire| Some((wire, view.derived.routes()?.runs_of(wire))));
    Ground {
        project: view.project,
        layout: view.layout,
        wire,
        reach_mm: lens.mm(CORNER),
        picture_corner: picture_rect(view).map(|rect| rect.max),
        gesture: own.fresh_gesture(),
    }
}

/// What the pointer did, in order.
fn inputs(
    ui: &Ui,
    view: View<'_>,
    own: &RouteState,
    response: &Response,
    lens: &Lens,
) -> Vec<Input> {
    let project = view.project;
    let painted = own.painted.as_ref();
    let at = |pos| lens.sheet_from_screen(pos);
    let under = |pos| hit((project, &own.scene), painted, lens, pos);
    let mut inputs = Vec::new();
    // Parts come from the list beside the layout as well, so the pointer is asked, not the layout.
    if let Hand::Carrying(..) = own.hand {
        let (pos, is_released) =
            ui.input(|input| (input.pointer.latest_pos(), input.pointer.any_released()));
        match pos {
            Some(pos) if is_released && lens.view.contains(pos) => {
                inputs.push(Input::Drop(
                    at(pos),
                    drop_target((project, &own.scene), painted, lens, pos),
                ));
            }
            Some(pos) if !is_released => inputs.push(Input::Go(at(pos))),
            Some(_) | None => inputs.push(Input::Cancel),
        }
        return inputs;
    }
    let is_space = !ui.ctx().egui_wants_keyboard_input() && ui.input(|i| i.key_down(Key::Space));
    let pointer = response.interact_pointer_pos();
    if response.drag_started_by(PointerButton::Primary) && !is_space {
        let (origin, alt) =
            ui.input(|input| (input.pointer.press_origin().or(pointer), input.modifiers.alt));
        inputs.extend(origin.map(|pos| Input::Grab(at(pos), under(pos), alt)));
    }
    if let (true, Some(pos)) = (response.dragged_by(PointerButton::Primary), pointer) {
        inputs.push(Input::Go(at(pos)));
    }
    if let (true, Some(pos)) = (response.drag_stopped_by(PointerButton::Primary), pointer) {
        inputs.push(Input::Drop(at(pos), drop_target((project, &own.scene), painted, lens, pos)));
    }
    if let Some(pos) = pointer {
        if response.double_clicked_by(PointerButton::Primary) {
            inputs.push(Input::DoubleClick(at(pos), under(pos)));
        } else if response.clicked_by(PointerButton::Primary) {
            inputs.push(Input::Click(at(pos), under(pos)));
        }
    }
    if let (true, Some(pos)) = (inputs.is_empty(), response.hover_pos()) {
        inputs.push(Input::Go(at(pos)));
    }
    inputs
}

/// Carries out one input.
pub fn take_input(
    view: View<'_>,
    own: &mut RouteState,
    lens: &Lens,
    input: Input,
    actions: &mut Actions,
) {
    let ground = ground(view, own, lens);
    let (hand, deeds) = step(std::mem::take(&mut own.hand), input, &ground);
    own.hand = hand;
    for deed in deeds {
        take_deed(view, own, deed, actions);
    }
}

/// Carries out what came of an input.
pub fn take_deed(view: View<'_>, own: &mut RouteState, deed: Deed, actions: &mut Actions) {
    match deed {
        Deed::Act(action) => {
            if let Action::SelectLayout(_) | Action::Select(_) = action {
                own.missing = None;
                own.renaming = None;
            }
            actions.push(action);
        }
        Deed::NewPlace(pos) => {
            actions.edit(Edit::AddPlace(Place { name: fresh_place_name(view.project), pos }));
            own.rename_wanted = true;
        }
        Deed::Rename(place) => {
            actions.push(Action::SelectLayout(Some(LayoutItem::Place(place))));
            own.rename_wanted = true;
        }
        Deed::TypeLength(run) => own.focus_length = Some(run),
        Deed::AskRun(ends) => ask_run(view, own, ends),
        Deed::AskScale(ends) => {
            own.ask(Asking::Scale { ends, text: String::new(), error: None });
        }
        Deed::PlaceFor(parts, pos) => place_for(view, &parts, pos, actions),
    }
}

/// Asks for the length of a new run; where the scale of the layout is known, what is drawn is offered.
pub fn ask_run(view: View<'_>, own: &mut RouteState, ends: [PlaceId; 2]) {
    let text = drawn_mm(view, ends).map_or_else(String::new, |mm| view.preferences.length_text(mm));
    own.ask(Asking::NewRun { ends, text, error: None });
}

/// How far two places are apart on the machine in a straight line, where the scale is known.
pub fn drawn_mm(view: View<'_>, ends: [PlaceId; 2]) -> Option<f64> {
    let scale = view.project.layout_scale?;
    let [a, b] = ends.map(|id| view.project.places.get(id).map(|place| place.pos));
    Some(a?.distance(b?) * scale)
}

/// A new place for parts that were let go on free ground, named after the first.
fn place_for(
    view: View<'_>,
    parts: &[crate::model::PartId],
    pos: geometry::Point,
    actions: &mut Actions,
) {
    let named = |id: &crate::model::PartId| view.project.parts.get(*id);
    let Some(first) = parts.first().and_then(named) else { return };
    // The number the row gets is known, so that one step makes the place and fills it.
    let place = PlaceId(view.project.next_id);
    let name = format!("{} place", first.name);
    let mut edits = vec![Edit::AddPlace(Place { name: name.clone(), pos })];
    edits.extend(seated(view.project, parts, place));
    actions.edit(Edit::Together { title: format!("add {name}"), edits });
    actions.push(Action::SelectLayout(Some(LayoutItem::Place(place))));
}

/// What keys do on the layout while no field takes the text.
fn key_inputs(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut RouteState,
    lens: &Lens,
    actions: &mut Actions,
) {
    if ui.ctx().egui_wants_keyboard_input() || egui::Popup::is_any_open(ui.ctx()) {
        return;
    }
    if ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Backspace)) {
        actions.push(Action::Run(crate::app::command::Command::Delete));
    }
    if ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape)) {
        if own.asking.take().is_none() {
            take_input(view, own, lens, Input::Cancel, actions);
        }
        own.missing = None;
    }
    for (key, x, y) in [
        (Key::ArrowLeft, -1.0, 0.0),
        (Key::ArrowRight, 1.0, 0.0),
        (Key::ArrowUp, 0.0, -1.0),
        (Key::ArrowDown, 0.0, 1.0),
    ] {
        for (modifiers, steps) in [(Modifiers::SHIFT, 4.0), (Modifiers::NONE, 1.0)] {
            let count = ui.input_mut(|input| input.count_and_consume_key(modifiers, key)) as f64;
            let way = point(x * steps * count * GRID_MM, y * steps * count * GRID_MM);
            if count > 0.0 {
                nudge(ui, view, own, way, actions);
            }
        }
    }
}

/// Arrow keys move the selected place, or look elsewhere.
fn nudge(
    ui: &Ui,
    view: View<'_>,
    own: &mut RouteState,
    by: geometry::Point,
    actions: &mut Actions,
) {
    let Some(LayoutItem::Place(id)) = view.layout else {
        if let Some(transform) = &mut own.transform {
            transform.centre = transform.centre + point(by.x_mm * 4.0, by.y_mm * 4.0);
        }
        return;
    };
    let Some(place) = view.project.places.get(id) else { return };
    let now = ui.input(|input| input.time);
    let gesture = match own.nudge {
        Some((gesture, last)) if now - last < NUDGE_PAUSE_S => gesture,
        _ => own.fresh_gesture(),
    };
    own.nudge = Some((gesture, now));
    let edit = Edit::SetPlace(id, Place { pos: place.pos + by, ..place.clone() });
    actions.push(Action::Edit(edit, Some(gesture)));
}

/// The cursor and the tip say what a press would do here.
fn pointer_words(
    ui: &Ui,
    view: View<'_>,
    own: &RouteState,
    response: &Response,
    hover: Option<Hit>,
) {
    if !response.hovered() {
        return;
    }
    let project = view.project;
    let (icon, tip) = match (&own.hand, hover) {
        (Hand::Idle, Some(Hit::Dot(id))) => {
            let name = project.places.get(id).map_or("?", |place| place.name.as_str());
            let tip = if view.layout == Some(LayoutItem::Place(id)) {
                format!("{name}: drag to move it; double-click to rename it")
            } else {
                format!(
                    "{name}: drag to another place for a run; click first, then drag, to move it"
                )
            };
            (CursorIcon::Crosshair, Some(tip))
        }
        (Hand::Idle, Some(Hit::Tag(_))) => (CursorIcon::Grab, None),
        (Hand::Idle, Some(Hit::Chip(id))) => {
            let name = project.parts.get(id).map_or("?", |part| part.name.as_str());
            (CursorIcon::Grab, Some(format!("{name}: drag it to another place")))
        }
        (Hand::Idle, Some(Hit::Run(id))) => {
            let name = project.runs.get(id).map_or("?", |run| run.name.as_str());
            (CursorIcon::PointingHand, Some(format!("{name}: click to type its length")))
        }
        (Hand::Measuring(..) | Hand::Drawing(..), _) => (CursorIcon::Crosshair, None),
        (Hand::Idle, None) => return,
        (
            Hand::Moving(..)
            | Hand::Carrying(..)
            | Hand::Pinning(..)
            | Hand::Picture(_)
            | Hand::Panning,
            _,
        ) => (CursorIcon::Grabbing, None),
    };
    ui.set_cursor_icon(icon);
    // While something is typed a tip would cover it.
    if let Some(tip) = tip.filter(|_| !ui.ctx().egui_wants_keyboard_input()) {
        response.clone().on_hover_text_at_pointer(tip);
    }
}
