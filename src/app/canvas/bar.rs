//! The line above the sheet: the field for what to place, the strip of small parts, finding, and the zoom.

use egui::{
    Align, Button, Id, Key, Layout, Margin, Modifiers, RichText, Stroke, TextEdit, Ui, vec2,
};

use crate::app::action::{Action, Actions};
use crate::app::canvas::chips::{CHIPS, chips_menu, chips_ui};
use crate::app::canvas::find::{FIND_ID, find_ui};
use crate::app::canvas::hand::Input;
use crate::app::canvas::state::CanvasState;
use crate::app::canvas::transform::Lens;
use crate::app::canvas::wiring;
use crate::app::command::Command;
use crate::app::theme;
use crate::app::view::View;
use crate::edit::{Edit, PLACING_HINTS, parse_placing};

/// Height of the bar.
pub const BAR_HEIGHT: f32 = 34.0;

/// How much of the bar finds room at a width.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Room {
    /// Everything.
    Wide,
    /// Small parts closer together, finding behind a word.
    Narrow,
    /// Small parts in a menu.
    Least,
}

impl Room {
    fn at(width: f32) -> Self {
        if width >= 900.0 {
            Self::Wide
        } else if width >= 560.0 {
            Self::Narrow
        } else {
            Self::Least
        }
    }
}

/// Draws the bar and returns what was picked to be placed.
pub fn bar_ui(
    ui: &mut Ui,
    view: View<'_>,
    lens: &Lens,
    own: &mut CanvasState,
    actions: &mut Actions,
) -> Vec<Input> {
    let mut inputs = Vec::new();
    let width = ui.available_width();
    let room = Room::at(width);
    let is_finding = own.focus_find
        || !own.find.text.is_empty()
        || ui.memory(|m| m.has_focus(Id::unique(FIND_ID)));
    let chip = if room == Room::Wide { 35.0 } else { 27.0 };
    let strip = (chip + 1.0) * CHIPS as f32;
    let field_width = match room {
        Room::Wide => (width - strip - 235.0).clamp(170.0, 320.0),
        Room::Narrow => (width - strip - 165.0).clamp(110.0, 320.0),
        Room::Least => (width - 190.0).clamp(90.0, 320.0),
    };
    ui.horizontal(|ui| {
        ui.set_height(BAR_HEIGHT);
        inputs.extend(placing_ui(ui, view, own, field_width, actions));
        match room {
            Room::Wide | Room::Narrow if !is_finding || room == Room::Wide => {
                inputs.extend(chips_ui(ui, view, lens, &mut own.hand, chip));
            }
            Room::Wide | Room::Narrow => {}
            Room::Least => inputs.extend(chips_menu(ui)),
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            zoom_ui(ui, view, own, actions);
            if room == Room::Wide || is_finding {
                find_ui(ui, view, own, actions);
            } else {
                let find =
                    Button::new(RichText::new("Find").color(view.palette.quiet)).frame(false);
                if ui.add(find).on_hover_text(tip_with_key(ui, Command::Find)).clicked() {
                    actions.push(Action::Run(Command::Find));
                }
            }
        });
    });
    inputs
}

fn zoom_ui(ui: &mut Ui, view: View<'_>, own: &mut CanvasState, actions: &mut Actions) {
    let fit = Button::new(RichText::new("Fit").color(view.palette.quiet)).frame(false);
    if ui.add(fit).on_hover_text(tip_with_key(ui, Command::Fit)).clicked() {
        actions.push(Action::Run(Command::Fit));
    }
    let Some(transform) = &own.transform else { return };
    let text = RichText::new(transform.text()).color(view.palette.quiet);
    let whole = Button::new(text).frame(false);
    if ui.add(whole).on_hover_text("Show it at 100 %: 4 points for a millimetre").clicked() {
        own.zoom_wanted = Some((1.0 / transform.zoom) as f32);
    }
}

fn tip_with_key(ui: &Ui, command: Command) -> String {
    match command.shortcut() {
        Some(keys) => format!("{} ({})", command.tip(), ui.ctx().format_shortcut(&keys)),
        None => command.tip().to_owned(),
    }
}

/// A field with round ends.
pub(super) fn pill<'t>(text: &'t mut String, hint: &str, view: View<'_>) -> TextEdit<'t> {
    let frame = egui::Frame::new()
        .fill(view.palette.card)
        .stroke(Stroke::new(1.0, view.palette.edge))
        .corner_radius(13)
        .inner_margin(Margin::symmetric(12, 4));
    TextEdit::singleline(text)
        .hint_text(RichText::new(hint.to_owned()).color(view.palette.quiet))
        .frame(frame)
}

/// The field for what to place, with the list of what can be typed.
fn placing_ui(
    ui: &mut Ui,
    view: View<'_>,
    own: &mut CanvasState,
    width: f32,
    actions: &mut Actions,
) -> Vec<Input> {
    let id = Id::unique("placing field");
    let keys = list_keys(ui, id);
    let hint = match width {
        295.0.. => "Place: 6k81 · button · lever · X 2x8 …",
        235.0.. => "Place: 6k81 · button · X 2x8 …",
        140.0.. => "Place: 6k81 …",
        _ => "Place …",
    };
    let response = ui
        .add(pill(&mut own.placing.text, hint, view).id(id).desired_width(width))
        .accessible_name("Place");
    if std::mem::take(&mut own.focus_placing) {
        response.request_focus();
    }
    if response.changed() {
        own.placing.error = None;
        own.placing.chosen = None;
    }
    let rows: Vec<(&str, &str)> = hints(&own.placing.text);
    own.placing.chosen = moved_choice(own.placing.chosen, &keys, rows.len());
    let mut typed = None;
    if response.lost_focus() && keys.is_entered {
        typed = Some(match own.placing.chosen.and_then(|at| rows.get(at)) {
            Some((text, _)) => (*text).to_owned(),
            None => own.placing.text.clone(),
        });
    }
    let list = DropList {
        id,
        anchor: response.rect,
        has_focus: response.has_focus(),
        chosen: own.placing.chosen,
    };
    let note = own.placing.error.as_deref();
    if let Some(at) = list.show(ui, view, &rows, note) {
        typed = rows.get(at).map(|(text, _)| (*text).to_owned());
    }
    typed.map_or_else(Vec::new, |typed| place_typed(view, own, &typed, actions))
}

/// Takes what was typed in hand; draws a wire at once where two terminals were named.
fn place_typed(
    view: View<'_>,
    own: &mut CanvasState,
    typed: &str,
    actions: &mut Actions,
) -> Vec<Input> {
    let mut refuse = |error: String| {
        own.placing.error = Some(error);
        own.placing.text = typed.to_owned();
        own.focus_placing = true;
    };
    if typed.trim().is_empty() {
        return Vec::new();
    }
    match wiring::parse_wire(view.project, typed) {
        Some(Ok(wire)) => {
            actions.edit(Edit::AddWire(wire));
            own.placing.text.clear();
            own.focus_placing = true;
            return Vec::new();
        }
        Some(Err(error)) => {
            refuse(error);
            return Vec::new();
        }
        None => {}
    }
    match parse_placing(typed) {
        Ok(placement) => {
            own.placing.text.clear();
            vec![Input::Take(Box::new(placement))]
        }
        Err(error) => {
            refuse(error);
            Vec::new()
        }
    }
}

/// What can be typed, narrowed to what has been typed so far.
fn hints(text: &str) -> Vec<(&'static str, &'static str)> {
    const WIRE: (&str, &str) = ("wire R1-1 S1-2", "wire between two terminals");
    let typed = text.trim().to_lowercase();
    PLACING_HINTS
        .into_iter()
        .chain([WIRE])
        .filter(|(short, long)| {
            typed.is_empty()
                || short.to_lowercase().starts_with(&typed)
                || long.to_lowercase().contains(&typed)
        })
        .collect()
}

/// What the keys did to a list below a field.
pub(super) struct ListKeys {
    steps: i64,
    pub(super) is_entered: bool,
}

/// Arrow and enter keys while the field has the focus; the arrows do not reach the field.
pub(super) fn list_keys(ui: &mut Ui, field: Id) -> ListKeys {
    if !ui.memory(|memory| memory.has_focus(field)) {
        return ListKeys { steps: 0, is_entered: false };
    }
    ui.input_mut(|input| {
        let down = input.count_and_consume_key(Modifiers::NONE, Key::ArrowDown) as i64;
        let up = input.count_and_consume_key(Modifiers::NONE, Key::ArrowUp) as i64;
        ListKeys { steps: down - up, is_entered: input.key_pressed(Key::Enter) }
    })
}

/// The choice after the arrow keys; going up from the first leaves the list.
pub(super) fn moved_choice(chosen: Option<usize>, keys: &ListKeys, n_rows: usize) -> Option<usize> {
    let now = chosen.map_or(-1, |at| i64::try_from(at).unwrap_or(0));
    let most = i64::try_from(n_rows).unwrap_or(0) - 1;
    usize::try_from((now + keys.steps).min(most)).ok()
}

/// A list below a field: what can be typed, or what was found.
pub(super) struct DropList {
    /// Identity of the field.
    pub id: Id,
    /// Place of the field.
    pub anchor: egui::Rect,
    /// Whether the field takes the keys.
    pub has_focus: bool,
    /// The row the arrow keys have reached.
    pub chosen: Option<usize>,
}

impl DropList {
    /// Shows the list while the field has the focus or the pointer is pressed on the list; returns the row clicked.
    pub fn show(
        &self,
        ui: &Ui,
        view: View<'_>,
        rows: &[(&str, &str)],
        note: Option<&str>,
    ) -> Option<usize> {
        let area_id = self.id.with("list");
        let was_pressed =
            ui.memory(|memory| memory.data.get_temp::<bool>(area_id).unwrap_or(false));
        if !(self.has_focus || was_pressed) || (rows.is_empty() && note.is_none()) {
            return None;
        }
        let shown = egui::Area::new(area_id)
            .order(egui::Order::Foreground)
            .fixed_pos(self.anchor.left_bottom() + vec2(0.0, 4.0))
            .constrain(true)
            .show(ui.ctx(), |ui| {
                theme::card(view.palette)
                    .inner_margin(Margin::same(6))
                    .shadow(egui::Shadow {
                        offset: [0, 3],
                        blur: 10,
                        spread: 0,
                        color: egui::Color32::from_black_alpha(40),
                    })
                    .show(ui, |ui| self.rows_ui(ui, view, rows, note))
                    .inner
            });
        let rect = shown.response.rect;
        let is_pressed = ui.input(|input| {
            input.pointer.any_down()
                && input.pointer.interact_pos().is_some_and(|pos| rect.contains(pos))
        });
        let clicked = shown.inner;
        ui.memory_mut(|memory| memory.data.insert_temp(area_id, is_pressed && clicked.is_none()));
        clicked
    }

    fn rows_ui(
        &self,
        ui: &mut Ui,
        view: View<'_>,
        rows: &[(&str, &str)],
        note: Option<&str>,
    ) -> Option<usize> {
        ui.set_width(self.anchor.width().max(410.0));
        ui.spacing_mut().item_spacing.y = 1.0;
        if let Some(note) = note {
            let text = format!("Not understood: {note}.");
            ui.label(RichText::new(text).color(view.palette.wrong).small());
            ui.add_space(4.0);
        }
        let mut clicked = None;
        egui::ScrollArea::vertical().max_height(330.0).show(ui, |ui| {
            for (at, (short, long)) in rows.iter().enumerate() {
                let is_chosen = self.chosen == Some(at);
                let (rect, response) =
                    ui.allocate_exact_size(vec2(ui.available_width(), 24.0), egui::Sense::click());
                let label = format!("{short}: {long}");
                response.widget_info(|| {
                    egui::WidgetInfo::selected(egui::Role::Button, true, is_chosen, &label)
                });
                if is_chosen || response.hovered() {
                    let fill =
                        view.palette.wash(view.palette.chosen, if is_chosen { 0.20 } else { 0.10 });
                    ui.painter().rect_filled(rect, 4.0, fill);
                }
                let painter = ui.painter().with_clip_rect(rect);
                let at_short = rect.left_center() + vec2(8.0, 0.0);
                let short_rect = painter.text(
                    at_short,
                    egui::Align2::LEFT_CENTER,
                    short,
                    theme::bold(theme::TEXT_BODY),
                    view.palette.ink,
                );
                let at_long = egui::pos2(
                    (rect.left() + 118.0).max(short_rect.right() + 12.0),
                    rect.center().y,
                );
                let font = theme::plain(theme::TEXT_BODY);
                painter.text(at_long, egui::Align2::LEFT_CENTER, long, font, view.palette.quiet);
                if response.clicked() {
                    clicked = Some(at);
                }
            }
        });
        clicked
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typing_narrows_the_list() {
        assert_eq!(hints("").len(), PLACING_HINTS.len() + 1);
        let short: Vec<&str> = hints("butt").into_iter().map(|(short, _)| short).collect();
        assert_eq!(short, ["button", "button nc"]);
        assert!(hints("splice").iter().any(|(short, _)| *short == "splice"));
        assert!(hints("banana").is_empty());
    }

    #[test]
    fn arrow_keys_walk_the_list_and_leave_it_at_the_top() {
        let walk =
            |chosen, steps, n| moved_choice(chosen, &ListKeys { steps, is_entered: false }, n);
        assert_eq!(walk(None, 1, 3), Some(0));
        assert_eq!(walk(Some(2), 1, 3), Some(2));
        assert_eq!(walk(Some(0), -1, 3), None);
        assert_eq!(walk(Some(2), 0, 1), Some(0), "a shorter list keeps its last row chosen");
        assert_eq!(walk(None, 1, 0), None);
    }
}
