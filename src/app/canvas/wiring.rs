//! Wires as the hand makes them: new ones, corners, splices tapped onto a wire; and free spots for new parts.

use crate::app::action::Action;
use crate::app::canvas::hand::SheetView;
use crate::drawing::{self, GRID_MM, Hit};
use crate::edit::{Edit, Placement};
use crate::geometry::{Flip, Point, Rect, Turn, point};
use crate::model::{
    BaseColour, Colour, End, Part, PartId, PartKind, Project, TerminalRef, Wire, WireId, WireSize,
    WireUse,
};

/// Reach within which a drop on the body of a large part finds a terminal.
const BODY_REACH_MM: f64 = 6.0;

/// A wire between two terminals as it is drawn new: size and colour of the last one of its kind.
pub fn new_wire(project: &Project, from: TerminalRef, to: TerminalRef) -> Wire {
    let usage = usage_between(project, from, to);
    let last = project.wires.iter().rev().map(|(_, wire)| wire).find(|wire| wire.usage == usage);
    let (size, colour) = last
        .map_or((WireSize::Mm2(0.5), Colour::plain(BaseColour::Black)), |wire| {
            (wire.size, wire.colour)
        });
    let end = |terminal| End { terminal, kind: None };
    Wire {
        name: String::new(),
        circuit: circuit_at(project, from).or_else(|| circuit_at(project, to)).unwrap_or_default(),
        from: end(from),
        to: end(to),
        bends: Vec::new(),
        size,
        colour,
        usage,
        via: Vec::new(),
        typed_length_mm: None,
        make: Default::default(),
    }
}

/// Inside one box a wire joins but is not cut from the list.
fn usage_between(project: &Project, from: TerminalRef, to: TerminalRef) -> WireUse {
    let pos = |terminal: TerminalRef| {
        project.parts.get(terminal.part).map(|part| drawing::terminal_pos(part, terminal.terminal))
    };
    let (Some(a), Some(b)) = (pos(from), pos(to)) else { return WireUse::Harness };
    let shared =
        project.frames.iter().any(|(_, frame)| frame.rect.contains(a) && frame.rect.contains(b));
    if shared { WireUse::Internal } else { WireUse::Harness }
}

/// The circuit a terminal belongs to, as its cavity or a wire there says.
fn circuit_at(project: &Project, terminal: TerminalRef) -> Option<String> {
    let part = project.parts.get(terminal.part)?;
    let noted = part.kind.cavity_at(terminal.terminal).map(|cavity| cavity.circuit.clone());
    let by_cavity = noted.filter(|name| !name.is_empty());
    by_cavity.or_else(|| {
        let mut wires = project.wires.iter().map(|(_, wire)| wire);
        wires
            .find(|w| {
                (w.from.terminal == terminal || w.to.terminal == terminal) && !w.circuit.is_empty()
            })
            .map(|w| w.circuit.clone())
    })
}

/// The terminal meant by a place: the one there, or the nearest of the part there.
pub fn terminal_at(
    sheet: &SheetView<'_>,
    at: Point,
    not: Option<TerminalRef>,
) -> Option<TerminalRef> {
    match sheet.hit(at)? {
        Hit::Terminal(terminal) => Some(terminal).filter(|terminal| Some(*terminal) != not),
        Hit::Part(id) if not.is_none_or(|not| not.part != id) => {
            let part = sheet.project.parts.get(id)?;
            let count = part.kind.terminal_count();
            let distance = |terminal: u16| drawing::terminal_pos(part, terminal).distance(at);
            let nearest = (0..count)
                .filter(|terminal| part.kind.has_terminal(*terminal))
                .min_by(|a, b| distance(*a).total_cmp(&distance(*b)))?;
            (count <= 3 || distance(nearest) <= BODY_REACH_MM)
                .then_some(TerminalRef { part: id, terminal: nearest })
        }
        Hit::Part(_) | Hit::Wire { .. } | Hit::Frame { .. } => None,
    }
}

/// Where a wire that is being drawn would end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WireTarget {
    /// At a terminal.
    Terminal(TerminalRef),
    /// On another wire, by a new splice at this place.
    Wire(WireId, Point),
}

/// What a wire from `from` would end on at a place.
pub fn target(sheet: &SheetView<'_>, from: TerminalRef, at: Point) -> Option<WireTarget> {
    if let Some(terminal) = terminal_at(sheet, at, Some(from)) {
        return Some(WireTarget::Terminal(terminal));
    }
    let Some(Hit::Wire { wire, segment }) = sheet.hit(at) else { return None };
    let row = sheet.project.wires.get(wire)?;
    if row.from.terminal == from || row.to.terminal == from {
        return None;
    }
    let run = sheet.paths.get(&wire)?;
    let (a, b) = (*run.get(segment)?, *run.get(segment + 1)?);
    let snapped = at.snapped(GRID_MM);
    let stretch = Rect::spanning(a, b);
    let on = point(
        snapped.x_mm.clamp(stretch.min.x_mm, stretch.max.x_mm),
        snapped.y_mm.clamp(stretch.min.y_mm, stretch.max.y_mm),
    );
    // Beside the very end of the wire its terminal is meant.
    let is_beside = |end: Option<&Point>| end.is_some_and(|end| end.distance(on) <= GRID_MM);
    if is_beside(run.first()) {
        Some(WireTarget::Terminal(row.from.terminal))
    } else if is_beside(run.last()) {
        Some(WireTarget::Terminal(row.to.terminal))
    } else {
        Some(WireTarget::Wire(wire, on))
    }
}

/// Ends a wire that was being drawn: at a terminal, or on another wire with a splice between.
pub fn dropped(sheet: &SheetView<'_>, from: TerminalRef, at: Point) -> Vec<Action> {
    match target(sheet, from, at) {
        None => Vec::new(),
        Some(WireTarget::Terminal(to)) => {
            let joins = |w: &Wire| {
                let ends = [w.from.terminal, w.to.terminal];
                ends == [from, to] || ends == [to, from]
            };
            match sheet.project.wires.iter().find(|(_, wire)| joins(wire)) {
                Some((_, wire)) => {
                    let name = |terminal| sheet.project.terminal_name(terminal);
                    let text = format!(
                        "Wire {} already joins {} and {}.",
                        wire.name,
                        name(from),
                        name(to)
                    );
                    vec![Action::Say(text)]
                }
                None => vec![Action::Edit(Edit::AddWire(new_wire(sheet.project, from, to)), None)],
            }
        }
        Some(WireTarget::Wire(wire, on)) => {
            // The splice gets the next number the project hands out, in the same undo step.
            let part = PartId(sheet.project.next_id);
            let to = TerminalRef { part, terminal: 0 };
            let placement = splice_on(wire).at(on);
            let mut with_splice = sheet.project.clone();
            if let Some(splice) = placement.parts.first() {
                with_splice.parts.put(part, splice.clone());
            }
            let row = new_wire(&with_splice, from, to);
            vec![
                Action::Edit(Edit::Place(placement), Some(sheet.gesture)),
                Action::Edit(Edit::AddWire(row), Some(sheet.gesture)),
            ]
        }
    }
}

/// A splice tapped onto a wire, about the origin.
pub fn splice_on(wire: WireId) -> Placement {
    let part = Part {
        name: String::new(),
        label: String::new(),
        kind: PartKind::Splice { on: Some(wire), at: None },
        pos: point(0.0, 0.0),
        turn: Turn::None,
        flip: Flip::Straight,
        place: None,
    };
    Placement { noun: "splice".into(), parts: vec![part], control: None }
}

/// The tidy run a wire from a terminal would have to a target, or to the bare pointer.
pub fn preview(
    project: &Project,
    from: TerminalRef,
    to: Option<WireTarget>,
    at: Point,
) -> Vec<Point> {
    let Some(first) = project.parts.get(from.part) else { return Vec::new() };
    let mut small = Project::empty("");
    small.parts.put(from.part, first.clone());
    let end = match to {
        Some(WireTarget::Terminal(terminal)) => {
            if let Some(part) = project.parts.get(terminal.part) {
                small.parts.put(terminal.part, part.clone());
            }
            terminal
        }
        Some(WireTarget::Wire(_, pos)) => put_dot(&mut small, project.next_id, pos),
        None => put_dot(&mut small, project.next_id, at.snapped(GRID_MM)),
    };
    let id = WireId(u32::MAX);
    small.wires.put(id, new_wire(&small, from, end));
    drawing::wire_path(&small, id)
}

fn put_dot(project: &mut Project, id: u32, pos: Point) -> TerminalRef {
    let mut part = splice_on(WireId(u32::MAX)).parts.remove(0);
    part.kind = PartKind::TestPoint;
    part.pos = pos;
    project.parts.put(PartId(id), part);
    TerminalRef { part: PartId(id), terminal: 0 }
}

/// The part of a way that goes across a stretch of a run.
pub fn across(run: &[Point], segment: usize, by: Point) -> Point {
    if run[segment].y_mm == run[segment + 1].y_mm {
        point(0.0, by.y_mm)
    } else {
        point(by.x_mm, 0.0)
    }
}

/// The wire with one stretch of its run moved across; its own corners where it is back at the start.
pub fn bent(
    project: &Project,
    wire: WireId,
    run: &[Point],
    segment: usize,
    by: Point,
) -> Option<Edit> {
    let row = project.wires.get(wire)?;
    let bends = corners(run, segment, by);
    (bends != row.bends).then(|| Edit::SetWire(wire, Box::new(Wire { bends, ..row.clone() })))
}

/// Corners of a run after one stretch has been moved across by `by`.
fn corners(run: &[Point], segment: usize, by: Point) -> Vec<Point> {
    let last = run.len() - 1;
    let (a, b) = (run[segment], run[segment + 1]);
    let long = a.distance(b);
    // At a terminal the wire keeps a short stub before it turns off.
    let stub = if long > 2.0 * GRID_MM { GRID_MM } else { 0.0 };
    let towards = |from: Point, to: Point| {
        let share = if long > 0.0 { stub / long } else { 0.0 };
        from + point((to.x_mm - from.x_mm) * share, (to.y_mm - from.y_mm) * share)
    };
    let start = if segment == 0 { towards(a, b) } else { a };
    let end = if segment + 1 == last { towards(b, a) } else { b };
    let mut stops = vec![run[0]];
    stops.extend(run.get(1..segment).unwrap_or(&[]));
    stops.extend([start + by, end + by]);
    stops.extend(run.get(segment + 2..last).unwrap_or(&[]));
    stops.push(run[last]);
    let mut kept: Vec<Point> = Vec::new();
    for stop in stops {
        while let [.., before, middle] = kept.as_slice() {
            if is_straight(*before, *middle, stop) {
                kept.pop();
            } else {
                break;
            }
        }
        if kept.last() != Some(&stop) {
            kept.push(stop);
        }
    }
    kept.remove(0);
    kept.pop();
    kept
}

fn is_straight(a: Point, b: Point, c: Point) -> bool {
    (a.x_mm == b.x_mm && b.x_mm == c.x_mm) || (a.y_mm == b.y_mm && b.y_mm == c.y_mm)
}

/// The wire without corners set by hand; `None` where it has none.
pub fn straightened(project: &Project, wire: WireId) -> Option<Action> {
    let row = project.wires.get(wire).filter(|row| !row.bends.is_empty())?;
    Some(Action::Edit(
        Edit::SetWire(wire, Box::new(Wire { bends: Vec::new(), ..row.clone() })),
        None,
    ))
}

/// The outline of all parts of a placement that stands at `at`.
pub fn placement_rect(placement: &Placement, at: Point) -> Rect {
    let rects = placement.parts.iter().map(drawing::part_rect);
    rects.reduce(Rect::union).unwrap_or(Rect::spanning(point(0.0, 0.0), point(0.0, 0.0))).moved(at)
}

/// A spot near the middle of the view where a placement stands clear of all parts.
pub fn free_spot(project: &Project, placement: &Placement, in_view: Rect) -> Point {
    const STEP_MM: f64 = 10.0;
    let taken: Vec<Rect> =
        project.parts.iter().map(|(_, part)| drawing::part_rect(part).grown(5.0)).collect();
    let own = placement_rect(placement, point(0.0, 0.0)).centre();
    let middle = (in_view.centre() - own).snapped(GRID_MM);
    let is_free = |at: Point| {
        let rect = placement_rect(placement, at);
        taken.iter().all(|other| !other.touches(rect))
    };
    // Rings of a square, nearest first.
    for ring in 0i32..40 {
        for across in -ring..=ring {
            for (x, y) in [(across, -ring), (across, ring), (-ring, across), (ring, across)] {
                let at = middle + point(f64::from(x) * STEP_MM, f64::from(y) * STEP_MM);
                if is_free(at) {
                    return at;
                }
            }
        }
    }
    middle
}

/// Reads `wire R1-2 S1-1` (or `wire R1-2 to S1-1`); `None` where the text does not begin with that word.
pub fn parse_wire(project: &Project, text: &str) -> Option<Result<Wire, String>> {
    let rest = text.trim().strip_prefix("wire").or_else(|| text.trim().strip_prefix("Wire"))?;
    if !rest.starts_with(char::is_whitespace) {
        return None;
    }
    let rest = rest.trim().to_lowercase();
    let terminals: Vec<(String, TerminalRef)> = project
        .parts
        .iter()
        .flat_map(|(part, row)| {
            let count = row.kind.terminal_count();
            (0..count).filter(|terminal| row.kind.has_terminal(*terminal)).map(move |terminal| {
                (row.terminal_name(terminal).to_lowercase(), TerminalRef { part, terminal })
            })
        })
        .collect();
    let named =
        |text: &str| terminals.iter().find(|(name, _)| name == text).map(|(_, terminal)| *terminal);
    let pair = terminals.iter().find_map(|(name, from)| {
        let after = rest.strip_prefix(name.as_str())?;
        let after = after.strip_prefix(char::is_whitespace)?.trim_start();
        let after = after.strip_prefix("to ").unwrap_or(after).trim();
        Some((*from, named(after)?))
    });
    Some(match pair {
        Some((from, to)) if from != to => Ok(new_wire(project, from, to)),
        Some(_) => Err("a wire must join two different terminals".into()),
        None => Err(format!("expected two terminals such as wire R1-1 S1-2, found \"{rest}\"")),
    })
}
