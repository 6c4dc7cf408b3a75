//! From egui's pointer and keys to inputs of the sheet, and to pan and zoom.

use egui::{CursorIcon, Key, Modifiers, MouseWheelSource, PointerButton, Response, Ui, vec2};

use crate::app::canvas::hand::{Hand, Input, Keys};
use crate::app::canvas::state::CanvasState;
use crate::app::canvas::transform::Lens;
use crate::drawing::{FrameGrip, GRID_MM, Hit};
use crate::geometry::{Point, point};

/// Arrow keys within this many seconds are one step to undo.
const NUDGE_PAUSE_S: f64 = 1.0;

/// What the pointer did on the sheet, in order.
pub fn pointer_inputs(ui: &Ui, response: &Response, lens: &Lens, hand: &Hand) -> Vec<Input> {
    let mut inputs = Vec::new();
    let place = |pos| lens.sheet_from_screen(pos);
    let keys = ui.input(|input| Keys {
        is_adding: input.modifiers.shift || input.modifiers.command,
        is_moving: input.modifiers.alt,
    });
    let is_panning = is_space_down(ui);
    let pointer = response.interact_pointer_pos();
    if !is_panning && response.drag_started_by(PointerButton::Primary) {
        let origin = ui.input(|input| input.pointer.press_origin()).or(pointer);
        inputs.extend(origin.map(|pos| Input::Grab(place(pos), keys)));
    }
    if let (true, Some(pos)) = (response.dragged_by(PointerButton::Primary), pointer)
        && !is_panning
    {
        inputs.push(Input::Drag(place(pos)));
    }
    if let (true, Some(pos)) = (response.drag_stopped_by(PointerButton::Primary), pointer) {
        inputs.push(Input::Drop(place(pos)));
    }
    if let Some(pos) = pointer
        && !is_panning
    {
        let is_placing = matches!(hand, Hand::Placing { .. });
        if response.double_clicked_by(PointerButton::Primary) && !is_placing {
            inputs.push(Input::DoubleClick(place(pos)));
        } else if response.clicked_by(PointerButton::Primary) {
            inputs.push(Input::Click(place(pos), keys));
        }
    }
    if let (true, Some(pos)) = (inputs.is_empty(), response.hover_pos()) {
        inputs.push(Input::Hover(place(pos)));
    }
    inputs
}

/// What keys do on the sheet while no field takes the text.
pub fn key_inputs(ui: &mut Ui, own: &mut CanvasState, has_selection: bool) -> Vec<Input> {
    if ui.ctx().egui_wants_keyboard_input() || egui::Popup::is_any_open(ui.ctx()) {
        return Vec::new();
    }
    let mut inputs = Vec::new();
    if ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Backspace)) {
        inputs.push(Input::Erase);
    }
    if ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape)) {
        inputs.push(Input::Cancel);
    }
    let is_placing = matches!(own.hand, Hand::Placing { .. });
    if is_placing && ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Enter)) {
        inputs.push(Input::PutDown);
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
            if count > 0.0 && has_selection {
                inputs.push(nudge(ui, own, way));
            } else if count > 0.0 {
                pan_by_keys(own, way);
            }
        }
    }
    inputs
}

fn nudge(ui: &Ui, own: &mut CanvasState, by: Point) -> Input {
    let now = ui.input(|input| input.time);
    let gesture = match own.nudge {
        Some((gesture, last)) if now - last < NUDGE_PAUSE_S => gesture,
        _ => own.fresh_gesture(),
    };
    own.nudge = Some((gesture, now));
    Input::Nudge(by, gesture)
}

/// Nothing selected: the arrow keys look elsewhere.
fn pan_by_keys(own: &mut CanvasState, way: Point) {
    const STEPS: f64 = 4.0;
    if let Some(transform) = &mut own.transform {
        transform.centre = transform.centre + point(way.x_mm * STEPS, way.y_mm * STEPS);
    }
}

fn is_space_down(ui: &Ui) -> bool {
    !ui.ctx().egui_wants_keyboard_input() && ui.input(|input| input.key_down(Key::Space))
}

/// Wheel, pinch, and drags that move the sheet under the view.
pub fn pan_and_zoom(ui: &Ui, response: &Response, lens: &mut Lens) {
    let space = is_space_down(ui);
    let pans = response.dragged_by(PointerButton::Middle)
        || response.dragged_by(PointerButton::Secondary)
        || (space && response.dragged_by(PointerButton::Primary));
    if pans {
        lens.pan(response.drag_delta());
        ui.set_cursor_icon(CursorIcon::Grabbing);
    } else if space && response.hovered() {
        ui.set_cursor_icon(CursorIcon::Grab);
    }
    let Some(pos) = response.hover_pos() else { return };
    let (scroll, pinch, source) =
        ui.input(|input| (input.smooth_scroll_delta(), input.zoom_delta(), input.scroll_source()));
    if pinch != 1.0 {
        lens.zoom_about(pos, f64::from(pinch));
    }
    match source {
        // Two fingers on a trackpad push the sheet about.
        Some(MouseWheelSource::Trackpad | MouseWheelSource::Momentum) => lens.pan(scroll),
        Some(MouseWheelSource::Unknown | MouseWheelSource::Wheel) | None => {
            if scroll.y != 0.0 {
                lens.zoom_about(pos, f64::from(scroll.y / 240.0).exp());
            }
            if scroll.x != 0.0 {
                lens.pan(vec2(scroll.x, 0.0));
            }
        }
    }
}

/// The cursor says what a press would do here.
pub fn cursor(hand: &Hand, hover: Option<Hit>, run: Option<&Vec<Point>>) -> Option<CursorIcon> {
    match hand {
        Hand::Placing { .. } | Hand::Carrying { .. } | Hand::Moving { .. } => {
            return Some(CursorIcon::Grabbing);
        }
        Hand::Wiring { .. } | Hand::Boxing { .. } => return Some(CursorIcon::Crosshair),
        Hand::Bending { .. } | Hand::Framing { .. } => return None,
        Hand::Idle => {}
    }
    match hover? {
        Hit::Terminal(_) => Some(CursorIcon::Crosshair),
        Hit::Part(_) => Some(CursorIcon::Grab),
        Hit::Wire { segment, .. } => {
            let pair = run?.get(segment..segment + 2)?;
            let is_level = pair[0].y_mm == pair[1].y_mm;
            Some(if is_level { CursorIcon::ResizeVertical } else { CursorIcon::ResizeHorizontal })
        }
        Hit::Frame { grip, .. } => Some(match grip {
            FrameGrip::Title => CursorIcon::Grab,
            FrameGrip::Left | FrameGrip::Right => CursorIcon::ResizeHorizontal,
            FrameGrip::Top | FrameGrip::Bottom => CursorIcon::ResizeVertical,
            FrameGrip::Corner => CursorIcon::ResizeNwSe,
        }),
    }
}
