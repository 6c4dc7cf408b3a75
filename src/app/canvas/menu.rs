//! The menu of the right button: what can be done with the thing under the pointer.

use egui::{Button, Response, RichText, Ui};

use crate::app::action::{Action, Actions, Lead};
use crate::app::canvas::hand::{SheetView, item_of};
use crate::app::canvas::state::CanvasState;
use crate::app::canvas::transform::Lens;
use crate::app::canvas::wiring::{splice_on, straightened, terminal_at};
use crate::app::command::Command;
use crate::app::view::View;
use crate::drawing::{GRID_MM, Hit};
use crate::edit::{Edit, Item};
use crate::geometry::{Point, Rect};
use crate::model::{PartId, TerminalRef, WireId};

/// Shows the menu and remembers what it is about while it is open.
pub fn menu_ui(
    response: &Response,
    view: View<'_>,
    sheet: &SheetView<'_>,
    lens: &Lens,
    menu_at: &mut Option<(Point, Option<Hit>)>,
    actions: &mut Actions,
) {
    if response.secondary_clicked()
        && let Some(pos) = response.interact_pointer_pos()
    {
        let at = lens.sheet_from_screen(pos);
        let hit = sheet.hit(at);
        *menu_at = Some((at, hit));
        if let Some(item) = hit.map(item_of).filter(|item| !view.selection.contains(item)) {
            actions.push(Action::Select([item].into()));
        }
    }
    let Some((at, hit)) = *menu_at else { return };
    response.context_menu(|ui| {
        ui.set_min_width(200.0);
        match hit {
            Some(Hit::Terminal(terminal)) => {
                part_menu(ui, view, terminal.part, Some(terminal), actions)
            }
            Some(Hit::Part(part)) => {
                part_menu(ui, view, part, terminal_at(sheet, at, None), actions)
            }
            Some(Hit::Wire { wire, segment }) => {
                wire_menu(ui, view, sheet, (wire, segment, at), actions)
            }
            Some(Hit::Frame { .. }) => {
                commands_ui(ui, &[Command::Rename, Command::Duplicate, Command::Delete], actions);
            }
            None => commands_ui(
                ui,
                &[Command::PlaceByTyping, Command::SelectAll, Command::Fit],
                actions,
            ),
        }
    });
}

fn part_menu(
    ui: &mut Ui,
    view: View<'_>,
    part: PartId,
    terminal: Option<TerminalRef>,
    actions: &mut Actions,
) {
    if let Some(terminal) = terminal {
        let name = view.project.terminal_name(terminal);
        for (lead, word) in [(Lead::Red, "red"), (Lead::Black, "black")] {
            if item_ui(ui, &format!("Put the {word} meter lead on {name}"), "") {
                actions.push(Action::PutLead(lead, Some(terminal)));
            }
        }
        ui.separator();
    }
    control_items(ui, view, part, actions);
    let of_one = [Command::Turn, Command::Flip, Command::Duplicate, Command::FrameSelection];
    commands_ui(ui, &of_one, actions);
    if view.selection.len() > 1 {
        commands_ui(ui, &[Command::AlignRow, Command::AlignColumn], actions);
    }
    commands_ui(ui, &[Command::Rename, Command::Delete], actions);
}

/// The positions of the control that moves a contact.
fn control_items(ui: &mut Ui, view: View<'_>, part: PartId, actions: &mut Actions) {
    let mut controls = view.project.controls.iter();
    let Some((id, control)) =
        controls.find(|(_, c)| c.positions.iter().any(|p| p.throws.contains_key(&part)))
    else {
        return;
    };
    let stands = view.bench.position(id, control);
    for (at, position) in (0u8..).zip(&control.positions) {
        let mark = if at == stands { "● " } else { "" };
        if item_ui(ui, &format!("{mark}{}: {}", control.name, position.name), "") {
            actions.push(Action::MoveControl(id, at));
            if control.kind.returns() {
                actions.push(Action::LatchControl(id, at != control.rest));
            }
        }
    }
    ui.separator();
}

fn wire_menu(
    ui: &mut Ui,
    view: View<'_>,
    sheet: &SheetView<'_>,
    (wire, segment, at): (WireId, usize, Point),
    actions: &mut Actions,
) {
    if let Some(run) = sheet.paths.get(&wire)
        && let Some([a, b]) = run.get(segment..segment + 2)
        && item_ui(ui, "Put a splice here", "")
    {
        let stretch = Rect::spanning(*a, *b);
        let snapped = at.snapped(GRID_MM);
        let on = Point {
            x_mm: snapped.x_mm.clamp(stretch.min.x_mm, stretch.max.x_mm),
            y_mm: snapped.y_mm.clamp(stretch.min.y_mm, stretch.max.y_mm),
        };
        actions.edit(Edit::Place(splice_on(wire).at(on)));
    }
    if let Some(action) = straightened(view.project, wire)
        && item_ui(ui, "Let it run by itself", "")
    {
        actions.push(action);
    }
    commands_ui(ui, &[Command::Rename, Command::Delete], actions);
}

fn commands_ui(ui: &mut Ui, commands: &[Command], actions: &mut Actions) {
    for command in commands {
        let keys =
            command.shortcut().map_or_else(String::new, |keys| ui.ctx().format_shortcut(&keys));
        let label = match command {
            Command::Rename => "Properties",
            _ => command.label(),
        };
        if item_ui(ui, label, &keys) {
            actions.push(Action::Run(*command));
        }
    }
}

fn item_ui(ui: &mut Ui, label: &str, keys: &str) -> bool {
    let button = Button::new(RichText::new(label)).min_size(egui::vec2(190.0, 0.0));
    let button = if keys.is_empty() { button } else { button.shortcut_text(keys) };
    let is_clicked = ui.add(button).clicked();
    if is_clicked {
        ui.close();
    }
    is_clicked
}

/// Forgets what the menu was about when that is gone.
pub fn forget_gone(own: &mut CanvasState, view: View<'_>) {
    let is_there = |hit: Hit| match item_of(hit) {
        Item::Part(id) => view.project.parts.contains(id),
        Item::Wire(id) => view.project.wires.contains(id),
        Item::Frame(id) => view.project.frames.contains(id),
    };
    if own.menu_at.is_some_and(|(_, hit)| hit.is_some_and(|hit| !is_there(hit))) {
        own.menu_at = None;
    }
}
