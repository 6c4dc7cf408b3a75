//! What a pointer and a few keys do on the sheet, as one pure function from hand and input to hand and actions.
//!
//! It knows nothing of the screen: places are in sheet millimetres, and what lies under them is
//! asked of the drawing. Commands that work on the selection are not here; they have keys of their own.

use crate::app::action::Action;
use crate::app::canvas::hand::{Hand, Input, Keys, SheetView, item_of};
use crate::app::canvas::wiring;
use crate::app::command::Command;
use crate::drawing::{self, FrameGrip, GRID_MM, Hit};
use crate::edit::{Edit, Gesture, Item, Selection};
use crate::geometry::{Point, Rect, point};
use crate::model::{Frame, PartId, PartKind, Project, TerminalRef, WireId};

/// One step: what the hand holds afterwards, and what it did.
pub fn step(hand: Hand, input: Input, sheet: &SheetView<'_>) -> (Hand, Vec<Action>) {
    match input {
        Input::Take(placement) => {
            (Hand::Placing { placement, at: None, is_carried: false }, Vec::new())
        }
        Input::Carry(placement) => {
            (Hand::Placing { placement, at: None, is_carried: true }, Vec::new())
        }
        Input::TakeLead(lead) => (Hand::Carrying { lead, at: None }, Vec::new()),
        Input::Cancel => cancel(&hand, sheet),
        Input::Erase if sheet.selection.is_empty() || hand != Hand::Idle => (hand, Vec::new()),
        Input::Erase => (hand, vec![Action::Run(Command::Delete)]),
        Input::PutDown => put_down(hand, sheet),
        Input::Nudge(by, gesture) => (hand, nudge(by, gesture, sheet)),
        Input::Hover(at) => (hover(hand, at), Vec::new()),
        Input::Click(at, keys) => click(hand, at, keys, sheet),
        Input::DoubleClick(at) => (hand, double_click(at, sheet)),
        Input::Grab(at, keys) => grab(hand, at, keys, sheet),
        Input::Drag(at) => drag(hand, at, sheet),
        Input::Drop(at) => drop_at(hand, at, sheet),
    }
}

fn hover(hand: Hand, to: Point) -> Hand {
    match hand {
        Hand::Placing { placement, is_carried, .. } => {
            Hand::Placing { placement, at: Some(to.snapped(GRID_MM)), is_carried }
        }
        other => other,
    }
}

fn click(hand: Hand, at: Point, keys: Keys, sheet: &SheetView<'_>) -> (Hand, Vec<Action>) {
    if let Hand::Placing { placement, is_carried, .. } = hand {
        let edit = Edit::Place((*placement).clone().at(at.snapped(GRID_MM)));
        let after = if keys.is_adding {
            Hand::Placing { placement, at: Some(at.snapped(GRID_MM)), is_carried }
        } else {
            Hand::Idle
        };
        return (after, vec![Action::Edit(edit, None)]);
    }
    let hit = sheet.hit(at);
    if keys.is_moving
        && let Some(Hit::Terminal(TerminalRef { part, .. }) | Hit::Part(part)) = hit
    {
        let moved = move_control_of(part, sheet);
        if !moved.is_empty() {
            return (Hand::Idle, moved);
        }
    }
    let selection = match (hit.map(item_of), keys.is_adding) {
        (Some(item), true) => {
            let mut selection = sheet.selection.clone();
            if !selection.remove(&item) {
                selection.insert(item);
            }
            selection
        }
        (Some(item), false) => [item].into(),
        (None, true) => sheet.selection.clone(),
        (None, false) => Selection::new(),
    };
    (Hand::Idle, vec![Action::Select(selection)])
}

/// A contact moves its control, a wire loses its corners, anything else shows its properties.
fn double_click(at: Point, sheet: &SheetView<'_>) -> Vec<Action> {
    match sheet.hit(at) {
        Some(Hit::Terminal(TerminalRef { part, .. }) | Hit::Part(part)) => {
            let moved = move_control_of(part, sheet);
            if moved.is_empty() { vec![Action::Run(Command::Rename)] } else { moved }
        }
        Some(Hit::Wire { wire, .. }) => {
            wiring::straightened(sheet.project, wire).into_iter().collect()
        }
        Some(Hit::Frame { .. }) => vec![Action::Run(Command::Rename)],
        None => Vec::new(),
    }
}

/// Moves the control of a contact as a hand would: what stays goes one position on, what springs
/// back is held where it moves this contact, and let go the second time.
pub fn move_control_of(part: PartId, sheet: &SheetView<'_>) -> Vec<Action> {
    let mut controls = sheet.project.controls.iter();
    let Some((id, control)) =
        controls.find(|(_, c)| c.positions.iter().any(|p| p.throws.contains_key(&part)))
    else {
        return Vec::new();
    };
    let stands = sheet.bench.position(id, control);
    let count = u8::try_from(control.positions.len()).unwrap_or(u8::MAX).max(1);
    if !control.kind.returns() {
        return vec![Action::MoveControl(id, (stands + 1) % count)];
    }
    let throw_at = |position: u8| {
        control
            .positions
            .get(usize::from(position))
            .and_then(|p| p.throws.get(&part))
            .copied()
            .unwrap_or(0)
    };
    let moved = (0..count).find(|position| {
        *position != control.rest && throw_at(*position) != throw_at(control.rest)
    });
    match moved {
        Some(position) if position == stands && sheet.latched.contains(&id) => {
            vec![Action::LatchControl(id, false)]
        }
        Some(position) if sheet.project.is_allowed(id, position, sheet.bench) => {
            vec![Action::MoveControl(id, position), Action::LatchControl(id, true)]
        }
        // The refusal says what the control needs.
        Some(position) => vec![Action::MoveControl(id, position)],
        None => Vec::new(),
    }
}

fn grab(hand: Hand, at: Point, keys: Keys, sheet: &SheetView<'_>) -> (Hand, Vec<Action>) {
    match hand {
        // A press that slipped while something is to be placed is still a press.
        Hand::Placing { .. } | Hand::Carrying { .. } => return (hand, Vec::new()),
        Hand::Idle
        | Hand::Moving { .. }
        | Hand::Wiring { .. }
        | Hand::Bending { .. }
        | Hand::Framing { .. }
        | Hand::Boxing { .. } => {}
    }
    match sheet.hit(at) {
        Some(Hit::Terminal(terminal)) => {
            if keys.is_moving || is_dot_to_move(terminal.part, sheet) {
                move_from(Item::Part(terminal.part), at, keys, sheet)
            } else {
                (Hand::Wiring { from: terminal, at }, Vec::new())
            }
        }
        Some(Hit::Part(id)) => move_from(Item::Part(id), at, keys, sheet),
        Some(Hit::Wire { wire, segment }) => {
            if sheet.selection.len() > 1 && sheet.selection.contains(&Item::Wire(wire)) {
                move_from(Item::Wire(wire), at, keys, sheet)
            } else {
                bend_from(wire, segment, at, sheet)
            }
        }
        Some(Hit::Frame { frame, grip: FrameGrip::Title }) => {
            move_from(Item::Frame(frame), at, keys, sheet)
        }
        Some(Hit::Frame { frame, grip }) => match sheet.project.frames.get(frame) {
            Some(row) => {
                let hand = Hand::Framing {
                    frame,
                    grip,
                    start: row.clone(),
                    grabbed: at,
                    gesture: sheet.gesture,
                };
                (hand, vec![Action::Select([Item::Frame(frame)].into())])
            }
            None => (Hand::Idle, Vec::new()),
        },
        None => {
            let kept = if keys.is_adding { sheet.selection.clone() } else { Selection::new() };
            (Hand::Boxing { from: at, to: at, kept }, Vec::new())
        }
    }
}

/// A splice or test point is all terminal: once it is selected, dragging moves it.
fn is_dot_to_move(part: PartId, sheet: &SheetView<'_>) -> bool {
    let is_dot = sheet
        .project
        .parts
        .get(part)
        .is_some_and(|row| matches!(row.kind, PartKind::Splice { .. } | PartKind::TestPoint));
    is_dot && sheet.selection.contains(&Item::Part(part))
}

fn move_from(item: Item, at: Point, keys: Keys, sheet: &SheetView<'_>) -> (Hand, Vec<Action>) {
    let mut actions = Vec::new();
    let mut items = if sheet.selection.contains(&item) {
        sheet.selection.clone()
    } else {
        let mut items = if keys.is_adding { sheet.selection.clone() } else { Selection::new() };
        items.insert(item);
        actions.push(Action::Select(items.clone()));
        items
    };
    let frames: Vec<Rect> = items
        .iter()
        .filter_map(|item| match item {
            Item::Frame(id) => sheet.project.frames.get(*id).map(|frame| frame.rect),
            Item::Part(_) | Item::Wire(_) => None,
        })
        .collect();
    for rect in frames {
        items.extend(contents(sheet.project, rect));
    }
    (Hand::Moving { items, grabbed: at, done: point(0.0, 0.0), gesture: sheet.gesture }, actions)
}

/// Parts whose middle lies in a rectangle, and frames that lie in it whole.
fn contents(project: &Project, rect: Rect) -> Selection {
    let parts =
        project.parts.iter().filter(|(_, part)| rect.contains(drawing::part_rect(part).centre()));
    let frames = project
        .frames
        .iter()
        .filter(|(_, frame)| rect.contains(frame.rect.min) && rect.contains(frame.rect.max));
    parts.map(|(id, _)| Item::Part(id)).chain(frames.map(|(id, _)| Item::Frame(id))).collect()
}

fn bend_from(
    wire: WireId,
    segment: usize,
    at: Point,
    sheet: &SheetView<'_>,
) -> (Hand, Vec<Action>) {
    let Some(run) = sheet.paths.get(&wire).filter(|run| segment + 1 < run.len()) else {
        return (Hand::Idle, Vec::new());
    };
    let stretch = Rect::spanning(run[segment], run[segment + 1]);
    let taps = sheet
        .project
        .parts
        .iter()
        .filter(|(_, part)| {
            matches!(part.kind, PartKind::Splice { on, .. } if on == Some(wire))
                && stretch.contains(drawing::terminal_pos(part, 0))
        })
        .map(|(id, _)| Item::Part(id))
        .collect();
    let hand = Hand::Bending {
        wire,
        run: run.clone(),
        segment,
        taps,
        grabbed: at,
        done: point(0.0, 0.0),
        gesture: sheet.gesture,
    };
    (hand, vec![Action::Select([Item::Wire(wire)].into())])
}

fn drag(hand: Hand, to: Point, sheet: &SheetView<'_>) -> (Hand, Vec<Action>) {
    match hand {
        Hand::Idle => (Hand::Idle, Vec::new()),
        Hand::Placing { .. } => (hover(hand, to), Vec::new()),
        Hand::Moving { items, grabbed, done, gesture } => {
            let want = (to - grabbed).snapped(GRID_MM);
            let by = want - done;
            let moved = by != point(0.0, 0.0);
            let edit = Edit::Move { items: items.clone(), by };
            let actions = if moved { vec![Action::Edit(edit, Some(gesture))] } else { Vec::new() };
            (Hand::Moving { items, grabbed, done: want, gesture }, actions)
        }
        Hand::Wiring { from, .. } => (Hand::Wiring { from, at: to }, Vec::new()),
        Hand::Bending { wire, run, segment, taps, grabbed, done, gesture } => {
            let want = wiring::across(&run, segment, (to - grabbed).snapped(GRID_MM));
            let mut actions = Vec::new();
            if want != done {
                if !taps.is_empty() {
                    let edit = Edit::Move { items: taps.clone(), by: want - done };
                    actions.push(Action::Edit(edit, Some(gesture)));
                }
                let bent = wiring::bent(sheet.project, wire, &run, segment, want);
                actions.extend(bent.map(|edit| Action::Edit(edit, Some(gesture))));
            }
            (Hand::Bending { wire, run, segment, taps, grabbed, done: want, gesture }, actions)
        }
        Hand::Framing { frame, grip, start, grabbed, gesture } => {
            let rect = pulled(start.rect, grip, (to - grabbed).snapped(GRID_MM));
            let is_new = sheet.project.frames.get(frame).is_some_and(|row| row.rect != rect);
            let edit = Edit::SetFrame(frame, Frame { rect, ..start.clone() });
            let actions = if is_new { vec![Action::Edit(edit, Some(gesture))] } else { Vec::new() };
            (Hand::Framing { frame, grip, start, grabbed, gesture }, actions)
        }
        Hand::Boxing { from, kept, .. } => (Hand::Boxing { from, to, kept }, Vec::new()),
        Hand::Carrying { lead, .. } => (Hand::Carrying { lead, at: Some(to) }, Vec::new()),
    }
}

/// A rectangle with one edge pulled, never narrower than 10 mm.
fn pulled(rect: Rect, grip: FrameGrip, by: Point) -> Rect {
    const LEAST_MM: f64 = 10.0;
    let mut rect = rect;
    match grip {
        FrameGrip::Title => return rect.moved(by),
        FrameGrip::Left => rect.min.x_mm = (rect.min.x_mm + by.x_mm).min(rect.max.x_mm - LEAST_MM),
        FrameGrip::Top => rect.min.y_mm = (rect.min.y_mm + by.y_mm).min(rect.max.y_mm - LEAST_MM),
        FrameGrip::Right => rect.max.x_mm = (rect.max.x_mm + by.x_mm).max(rect.min.x_mm + LEAST_MM),
        FrameGrip::Bottom => {
            rect.max.y_mm = (rect.max.y_mm + by.y_mm).max(rect.min.y_mm + LEAST_MM)
        }
        FrameGrip::Corner => {
            let right = pulled(rect, FrameGrip::Right, by);
            return pulled(right, FrameGrip::Bottom, by);
        }
    }
    rect
}

fn drop_at(hand: Hand, at: Point, sheet: &SheetView<'_>) -> (Hand, Vec<Action>) {
    match hand {
        Hand::Placing { ref placement, is_carried: true, .. } => {
            let inside = sheet.in_view.contains(at);
            let edit = Edit::Place((**placement).clone().at(at.snapped(GRID_MM)));
            let actions = if inside { vec![Action::Edit(edit, None)] } else { Vec::new() };
            (Hand::Idle, actions)
        }
        Hand::Placing { is_carried: false, .. } => click(hand, at, Keys::default(), sheet),
        Hand::Wiring { from, .. } => (Hand::Idle, wiring::dropped(sheet, from, at)),
        Hand::Boxing { from, kept, .. } => {
            (Hand::Idle, vec![Action::Select(boxed(sheet, Rect::spanning(from, at), kept))])
        }
        Hand::Carrying { lead, .. } => {
            let terminal = wiring::terminal_at(sheet, at, None);
            (Hand::Idle, vec![Action::PutLead(lead, terminal)])
        }
        Hand::Moving { .. } | Hand::Bending { .. } | Hand::Framing { .. } => {
            let (_, actions) = drag(hand, at, sheet);
            (Hand::Idle, actions)
        }
        Hand::Idle => (Hand::Idle, Vec::new()),
    }
}

/// What a box holds: parts by their middle, wires and frames whole; and what was kept.
pub fn boxed(sheet: &SheetView<'_>, rect: Rect, kept: Selection) -> Selection {
    let wires = sheet
        .paths
        .iter()
        .filter(|(_, run)| !run.is_empty() && run.iter().all(|p| rect.contains(*p)));
    let mut selection = kept;
    selection.extend(contents(sheet.project, rect));
    selection.extend(wires.map(|(id, _)| Item::Wire(*id)));
    selection
}

/// Takes back what the hand has done so far; an idle hand lets go of the selection.
fn cancel(hand: &Hand, sheet: &SheetView<'_>) -> (Hand, Vec<Action>) {
    let nothing = point(0.0, 0.0);
    let actions = match hand {
        Hand::Idle if sheet.selection.is_empty() => Vec::new(),
        Hand::Idle => vec![Action::Select(Selection::new())],
        Hand::Moving { done, .. } | Hand::Bending { done, .. } if *done != nothing => {
            vec![Action::Run(Command::Undo)]
        }
        Hand::Framing { frame, start, .. }
            if sheet.project.frames.get(*frame).is_some_and(|row| row != start) =>
        {
            vec![Action::Run(Command::Undo)]
        }
        Hand::Placing { .. }
        | Hand::Moving { .. }
        | Hand::Wiring { .. }
        | Hand::Bending { .. }
        | Hand::Framing { .. }
        | Hand::Boxing { .. }
        | Hand::Carrying { .. } => Vec::new(),
    };
    (Hand::Idle, actions)
}

fn put_down(hand: Hand, sheet: &SheetView<'_>) -> (Hand, Vec<Action>) {
    match hand {
        Hand::Placing { placement, .. } => {
            let at = wiring::free_spot(sheet.project, &placement, sheet.in_view);
            (Hand::Idle, vec![Action::Edit(Edit::Place((*placement).at(at)), None)])
        }
        other => (other, Vec::new()),
    }
}

fn nudge(by: Point, gesture: Gesture, sheet: &SheetView<'_>) -> Vec<Action> {
    if sheet.selection.is_empty() {
        return Vec::new();
    }
    let items = sheet.selection.clone();
    vec![Action::Edit(Edit::Move { items, by }, Some(gesture))]
}

#[cfg(test)]
mod tests;
