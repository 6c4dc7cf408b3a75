//! The strip itself: every control with its name, its key and its keep switch.

use std::collections::BTreeMap;

use egui::{
    Align, CornerRadius, Label, Layout, RichText, Role, Sense, Stroke, StrokeKind, Ui, UiBuilder,
    WidgetInfo, vec2,
};

use crate::app::action::{Action, Actions};
use crate::app::command::Command;
use crate::app::panels::controls::dial::dial_ui;
use crate::app::panels::controls::face::{FaceLook, Touch, button_ui, rocker_ui};
use crate::app::panels::controls::hand::{Grip, Hand, Way, need_text, pressed_position};
use crate::app::panels::controls::keys::digit_keys;
use crate::app::panels::controls::lever::lever_ui;
use crate::app::theme;
use crate::app::view::View;
use crate::model::{Control, ControlId, ControlKind};

/// Number keys there are.
const KEYS: usize = 9;

/// What the strip remembers between frames: what is being held, and by what.
pub struct ControlsState {
    /// Whether there is room for the line above the controls; what it offers has keys as well.
    pub has_head: bool,
    /// Controls held by number keys.
    keys: BTreeMap<u8, ControlId>,
    /// The control and position the pointer holds.
    pointer: Option<(ControlId, u8)>,
}

impl Default for ControlsState {
    fn default() -> Self {
        Self { has_head: true, keys: BTreeMap::new(), pointer: None }
    }
}

/// Levers and buttons as the hand finds them.
pub fn controls_ui(ui: &mut Ui, view: View<'_>, own: &mut ControlsState, actions: &mut Actions) {
    let hand = Hand { project: view.project, bench: view.bench, latched: view.latched };
    let mut done = Vec::new();
    take_keys(ui, hand, own, &mut done);
    // The ruler follows at once to the right, so keep some air before it.
    let mut room = ui.available_rect_before_wrap();
    room.max.x = (room.max.x - 20.0).max(room.min.x + 40.0);
    let down = ui
        .scope_builder(UiBuilder::new().max_rect(room), |ui| {
            if own.has_head {
                header_ui(ui, view, &mut done);
            }
            strip_ui(ui, view, hand, &mut done)
        })
        .inner;
    take_pointer(ui, hand, own, down, &mut done);
    if !done.is_empty() {
        ui.ctx().request_repaint();
    }
    for action in done {
        actions.push(action);
    }
}

/// The controls; returns what the pointer holds down.
fn strip_ui(
    ui: &mut Ui,
    view: View<'_>,
    hand: Hand<'_>,
    done: &mut Vec<Action>,
) -> Option<(ControlId, u8)> {
    if view.project.controls.is_empty() {
        let text = "No controls yet. Place a button, a toggle or a lever on the sheet, and it appears here.";
        ui.label(RichText::new(text).color(view.palette.quiet));
        return None;
    }
    let mut down = None;
    ui.spacing_mut().scroll = egui::style::ScrollStyle::thin();
    egui::ScrollArea::horizontal().id_salt("controls").auto_shrink(false).show(ui, |ui| {
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = 26.0;
            for (number, (id, control)) in (1..).zip(view.project.controls.iter()) {
                let touch = ui
                    .push_id(("control", id.0), |ui| {
                        control_ui(ui, view, number, id, control, done)
                    })
                    .inner;
                down = down.or(touch.down_on.map(|position| (id, position)));
                take_click(hand, id, control, touch, done);
            }
        });
    });
    down
}

/// Number keys; all are let go when the window loses the keyboard, for their release never comes.
fn take_keys(ui: &Ui, hand: Hand<'_>, own: &mut ControlsState, done: &mut Vec<Action>) {
    for key in digit_keys(ui) {
        done.extend(hand.key(key, &mut own.keys));
    }
    if !ui.input(|input| input.focused) {
        done.extend(std::mem::take(&mut own.keys).into_values().map(Action::ReleaseControl));
    }
}

/// A click moves what stays; without a pointer it also keeps what returns, for it cannot be held so.
fn take_click(
    hand: Hand<'_>,
    id: ControlId,
    control: &Control,
    touch: Touch,
    done: &mut Vec<Action>,
) {
    let Some(position) = touch.clicked else { return };
    if control.kind.returns() {
        if touch.is_without_pointer {
            done.extend(hand.press(id, position, Grip::Keep));
        }
    } else if control.positions.len() == 2 && hand.bench.position(id, control) == position {
        done.extend(hand.step(id, Way::Next));
    } else {
        done.push(Action::MoveControl(id, position));
    }
}

/// What the pointer holds: pressed when it comes, moved when it slides to another side, let go when it leaves.
fn take_pointer(
    ui: &Ui,
    hand: Hand<'_>,
    own: &mut ControlsState,
    down: Option<(ControlId, u8)>,
    done: &mut Vec<Action>,
) {
    let returns =
        |id: ControlId| hand.project.controls.get(id).is_some_and(|control| control.kind.returns());
    let down = down.filter(|(id, _)| returns(*id));
    if own.pointer == down {
        return;
    }
    if let Some((id, _)) = own.pointer.filter(|(id, _)| down.is_none_or(|(other, _)| other != *id))
    {
        done.push(Action::ReleaseControl(id));
    }
    if let Some((id, position)) = down {
        let grip = if ui.input(|input| input.modifiers.shift) { Grip::Keep } else { Grip::Hold };
        done.extend(hand.press(id, position, grip));
    }
    own.pointer = down;
}

fn header_ui(ui: &mut Ui, view: View<'_>, done: &mut Vec<Action>) {
    let n = view.project.controls.len().min(KEYS);
    ui.horizontal(|ui| {
        ui.label(RichText::new("Controls").font(theme::bold(theme::TEXT_HEADING)));
        let is_moved = view.project.controls.iter().any(|(id, control)| view.bench.position(id, control) != control.rest);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if is_moved || !view.latched.is_empty() {
                let button = egui::Button::new(RichText::new("all to rest").small()).frame(false);
                let tip = format!("{} (key 0)", Command::RestControls.tip());
                if ui.add(button).on_hover_text(tip).clicked() {
                    done.push(Action::Run(Command::RestControls));
                }
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let keys = match n {
                    0 => return,
                    1 => "key 1".to_owned(),
                    n => format!("keys 1 – {n}"),
                };
                let text = format!("press and hold, or {keys}; shift keeps it pressed");
                let label = Label::new(RichText::new(text).small().color(view.palette.quiet)).truncate();
                ui.add(label).on_hover_text(
                    "Hold a number key to hold a button or to lean a lever; with Ctrl a lever leans and a selector \
                     turns the other way. A key moves what stays to its next position. With shift, or by the keep \
                     switch below it, a control that returns stays where it is until it is pressed again. \
                     Key 0 puts everything at rest.",
                );
            });
        });
    });
}

/// One control: its face, its name with its key, and what holds it back or keeps it.
fn control_ui(
    ui: &mut Ui,
    view: View<'_>,
    number: usize,
    id: ControlId,
    control: &Control,
    done: &mut Vec<Action>,
) -> Touch {
    let stands = view.bench.position(id, control);
    let need = need_text(view.project, id, view.bench);
    let look = FaceLook { palette: view.palette, is_free: need.is_none(), stands, is_still: false };
    ui.vertical(|ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        let touch = control_face_ui(ui, look, control);
        let width = ui.min_rect().width();
        name_ui(ui, view, number, control, stands, width);
        match need {
            Some(need) => {
                let text = RichText::new(need).small().color(view.palette.warning);
                centred(ui, width, |ui| ui.add(Label::new(text).truncate()));
            }
            None if control.kind.returns() => {
                let kept = view.latched.contains(&id);
                if centred(ui, width, |ui| keep_ui(ui, view, &control.name, kept)) {
                    let hand =
                        Hand { project: view.project, bench: view.bench, latched: view.latched };
                    done.extend(hand.toggle_keep(id));
                }
            }
            None => {}
        }
        touch
    })
    .inner
}

/// The control as the hand finds it.
pub(super) fn control_face_ui(ui: &mut Ui, look: FaceLook<'_>, control: &Control) -> Touch {
    match control.kind {
        ControlKind::Momentary if control.positions.len() == 2 => {
            button_ui(ui, look, control, pressed_position(control), &control.name)
        }
        ControlKind::Momentary | ControlKind::SpringReturn => lever_ui(ui, look, control),
        ControlKind::Maintained if control.positions.len() <= 3 => rocker_ui(ui, look, control),
        ControlKind::Maintained | ControlKind::Selector => dial_ui(ui, look, control),
    }
}

/// `2 Lever: fore`; the number is its key.
fn name_ui(ui: &mut Ui, view: View<'_>, number: usize, control: &Control, stands: u8, width: f32) {
    let shows_position = matches!(control.kind, ControlKind::SpringReturn | ControlKind::Selector);
    let position =
        control.positions.get(usize::from(stands)).map(|position| position.name.as_str());
    let text = match position.filter(|_| shows_position) {
        Some(position) => format!("{}: {position}", control.name),
        None => control.name.clone(),
    };
    let mut job = egui::text::LayoutJob::default();
    let format = |colour| egui::TextFormat {
        font_id: theme::plain(theme::TEXT_BODY),
        color: colour,
        ..Default::default()
    };
    if number <= KEYS {
        job.append(&format!("{number} "), 0.0, format(view.palette.quiet));
    }
    job.append(&text, 0.0, format(view.palette.ink));
    job.wrap = egui::text::TextWrapping::truncate_at_width(width.max(110.0) + 10.0);
    let galley = ui.painter().layout_job(job);
    let (rect, response) =
        ui.allocate_exact_size(vec2(width.max(galley.size().x), 18.0), Sense::hover());
    let at = egui::pos2(rect.left() + (width - galley.size().x).max(0.0) / 2.0, rect.top());
    ui.painter().galley(at, galley, view.palette.ink);
    response.on_hover_text(text);
}

/// A small switch that keeps a control that returns where it is.
fn keep_ui(ui: &mut Ui, view: View<'_>, name: &str, is_kept: bool) -> bool {
    let palette = view.palette;
    let text = if is_kept { "✔ kept" } else { "keep" };
    let font = theme::plain(theme::TEXT_SMALL);
    let colour = if is_kept { palette.live } else { palette.quiet };
    let galley = ui.painter().layout_no_wrap(text.into(), font, colour);
    let (rect, response) = ui.allocate_exact_size(galley.size() + vec2(18.0, 3.0), Sense::click());
    let round = CornerRadius::same(9);
    let fill = match (is_kept, response.hovered()) {
        (true, _) => palette.wash(palette.live, 0.12),
        (false, true) => palette.wash(palette.ink, 0.09),
        (false, false) => palette.card,
    };
    let edge = if response.has_focus() {
        Stroke::new(2.0, palette.chosen)
    } else {
        Stroke::new(1.0, if is_kept { palette.live } else { palette.edge })
    };
    ui.painter().rect(rect, round, fill, edge, StrokeKind::Inside);
    ui.painter().galley(rect.center() - galley.size() / 2.0, galley, colour);
    let label = if is_kept { format!("Let go of {name}") } else { format!("Keep {name}") };
    response.widget_info(|| WidgetInfo::selected(Role::Switch, true, is_kept, &label));
    response
        .on_hover_text("Keeps the control where the hand puts it, until it is pressed again")
        .clicked()
}

/// Puts something in the middle of a width.
fn centred<R>(ui: &mut Ui, width: f32, add: impl FnOnce(&mut Ui) -> R) -> R {
    let size = vec2(width, 20.0);
    let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
    let layout = Layout::top_down(Align::Center);
    ui.scope_builder(UiBuilder::new().max_rect(rect).layout(layout), add).inner
}
