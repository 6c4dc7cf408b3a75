//! The drawing of the circuit at full size, cut into tiles where it does not fit, with cross
//! references where a wire goes on.

use crate::drawing::{
    Align, Fill, Mark, ResistorSign, SymbolLook, TextRole, Tone, Weight, frame_title, junctions,
    symbol, wire_label_pos, wire_paths,
};
use crate::geometry::{Point, Rect, point};
use crate::model::{Part, PartId, Project, State, Wire, WireUse};
use crate::sheets::clip::{clipped, inside};
use crate::sheets::flow::{Flow, Style, text_item};
use crate::sheets::measure::{Fonts, LEAST_PT};
use crate::sheets::packet::Job;
use crate::sheets::page::{Anchor, Ink, Item, MM_PER_POINT, Stroke};
use crate::sheets::taken::Taken;
use crate::sheets::tiles::{Tile, cuts, tiles};

/// Strip around a tile for what goes on elsewhere.
const STRIP_MM: f64 = 13.0;
/// No text of the drawing is wider.
const LONGEST_MM: f64 = 90.0;
/// Distance of cross references beside each other.
const REFERENCE_MM: f64 = 4.2;

/// The drawing as items in its own millimetres.
struct Sheet {
    items: Vec<Item>,
    /// Boxes no cut should go through.
    boxes: Vec<Rect>,
    /// Runs of the harness wires, by name.
    wires: Vec<(String, Vec<Point>)>,
}

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    let sheet = sheet(job.project, job.fonts);
    let extent = sheet.items.iter().map(Item::rect).reduce(Rect::union);
    let Some(extent) = extent.map(|rect| rect.grown(1.0)) else {
        flow.paragraph("Nothing is drawn yet.");
        return;
    };
    if n_tiles(flow, extent) > 1 {
        let own = n_tiles(flow, extent);
        flow.turn();
        if n_tiles(flow, extent) >= own {
            flow.turn();
        }
    }
    flow.note(NOTE);
    let room = Rect::spanning(point(flow.body().min.x_mm, flow.y_mm), flow.body().max);
    if n_tiles(flow, extent) == 1 {
        let spare = (room.width() - extent.width()) / 2.0;
        let shift = point(room.min.x_mm + spare, room.min.y_mm) - extent.min;
        for item in &sheet.items {
            for item in clipped(item, extent, shift) {
                flow.push(item);
            }
        }
        flow.y_mm = room.min.y_mm + extent.height();
        return;
    }
    let inner = Rect::spanning(
        point(room.min.x_mm + STRIP_MM, room.min.y_mm + STRIP_MM),
        room.max - point(STRIP_MM, STRIP_MM),
    );
    let columns =
        cuts(extent.min.x_mm, extent.max.x_mm, inner.width(), &spans(&sheet.boxes, |p| p.x_mm));
    let rows =
        cuts(extent.min.y_mm, extent.max.y_mm, inner.height(), &spans(&sheet.boxes, |p| p.y_mm));
    let tiles = tiles(&columns, &rows);
    for (n, tile) in tiles.iter().enumerate() {
        if !(job.keep_going)() {
            return;
        }
        if n > 0 {
            flow.new_page();
            flow.note(NOTE);
        }
        one_tile(flow, &sheet, (tile, &tiles), inner.min);
    }
}

/// Height of the note above the drawing, generously.
const NOTE_MM: f64 = 14.0;

/// How many tiles the drawing takes on the pages as they lie, about; 1 where it fits whole.
fn n_tiles(flow: &Flow<'_>, extent: Rect) -> usize {
    let (width_mm, height_mm) = (flow.body().width(), flow.body().height() - NOTE_MM);
    if extent.width() <= width_mm && extent.height() <= height_mm {
        return 1;
    }
    let across = extent.width() / (width_mm - 2.0 * STRIP_MM);
    let down = extent.height() / (height_mm - 2.0 * STRIP_MM);
    // Never one: a tile has strips around it.
    ((across.ceil() * down.ceil()) as usize).max(2)
}

const NOTE: &str = "Controls at rest. Every wire of the harness has its marker's name, with the letters of its \
     colour (IEC 60757) where there is room; thin lines are inside boxes and not cut.";

fn spans(boxes: &[Rect], of: fn(Point) -> f64) -> Vec<(f64, f64)> {
    boxes.iter().map(|rect| (of(rect.min), of(rect.max))).collect()
}

fn one_tile(flow: &mut Flow<'_>, sheet: &Sheet, (tile, all): (&Tile, &[Tile]), corner: Point) {
    let shift = corner - tile.window.min;
    for item in &sheet.items {
        for item in clipped(item, tile.window, shift) {
            flow.push(item);
        }
    }
    let frame = tile.window.moved(shift);
    let edge = Stroke::dashed(0.15, Ink::Rule, (3.0, 2.0));
    flow.push(Item::Rect { rect: frame, stroke: Some(edge), fill: None });
    let name = format!("Tile {} of {}", tile.name(), all.len());
    let at = point(flow.body().min.x_mm, frame.min.y_mm - 8.0);
    flow.text_at(at, Anchor::Start, Style::STRONG, &name);
    references(flow, sheet, (tile, all), shift);
    flow.y_mm = frame.max.y_mm + STRIP_MM;
}

/// One side of a tile.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Edge {
    Left,
    Right,
    Top,
    Bottom,
}

/// Names of the wires that go over each edge, with the tile they go on in.
fn references(flow: &mut Flow<'_>, sheet: &Sheet, (tile, all): (&Tile, &[Tile]), shift: Point) {
    for edge in [Edge::Left, Edge::Right, Edge::Top, Edge::Bottom] {
        let (dx, dy) = match edge {
            Edge::Left => (-1, 0),
            Edge::Right => (1, 0),
            Edge::Top => (0, -1),
            Edge::Bottom => (0, 1),
        };
        let Some(next) = all.iter().find(|other| {
            other.column as i64 == tile.column as i64 + dx
                && other.row as i64 == tile.row as i64 + dy
        }) else {
            continue;
        };
        let mut crossings: Vec<(f64, &str)> = Vec::new();
        for (name, path) in &sheet.wires {
            for part in inside(path, tile.window) {
                let ends = [part.first(), part.last()];
                for end in ends.into_iter().flatten().filter(|p| is_on(edge, **p, tile.window)) {
                    if inside(path, next.window).is_empty() {
                        continue;
                    }
                    let along = if dx == 0 { end.x_mm } else { end.y_mm };
                    crossings.push((along, name));
                }
            }
        }
        crossings.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(b.1)));
        write_references(flow, edge, &crossings, (tile.window.moved(shift), shift, &next.name()));
    }
}

fn is_on(edge: Edge, p: Point, window: Rect) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    match edge {
        Edge::Left => near(p.x_mm, window.min.x_mm),
        Edge::Right => near(p.x_mm, window.max.x_mm),
        Edge::Top => near(p.y_mm, window.min.y_mm),
        Edge::Bottom => near(p.y_mm, window.max.y_mm),
    }
}

/// Beside the edge, pushed along it where two would touch; what finds no room is counted.
fn write_references(
    flow: &mut Flow<'_>,
    edge: Edge,
    crossings: &[(f64, &str)],
    (frame, shift, next): (Rect, Point, &str),
) {
    let style = Style { size_pt: LEAST_PT, bold: false, ink: Ink::Black };
    let is_side = matches!(edge, Edge::Left | Edge::Right);
    let (mut free_from, end) = if is_side {
        (frame.min.y_mm + 2.0, frame.max.y_mm)
    } else {
        (frame.min.x_mm, frame.max.x_mm)
    };
    let mut n_left = 0;
    for (along, name) in crossings {
        let words = if is_side { (*name).to_owned() } else { format!("{name} → {next}") };
        let (words, _) = if is_side {
            flow.fonts.shrunk(&words, STRIP_MM - 1.5, LEAST_PT, false)
        } else {
            flow.fonts.shrunk(&words, 40.0, LEAST_PT, false)
        };
        let wide = flow.fonts.width_mm(&words, LEAST_PT, false);
        let needs = if is_side { REFERENCE_MM } else { wide + 2.0 };
        let own = along + if is_side { shift.y_mm + 1.1 } else { shift.x_mm - wide / 2.0 };
        let place = own.max(free_from);
        if place + needs > end + 0.1 {
            n_left += 1;
            continue;
        }
        free_from = place + needs;
        let (at, anchor) = match edge {
            Edge::Left => (point(frame.min.x_mm - 1.0, place), Anchor::End),
            Edge::Right => (point(frame.max.x_mm + 1.0, place), Anchor::Start),
            Edge::Top => (point(place, frame.min.y_mm - 1.4), Anchor::Start),
            Edge::Bottom => (point(place, frame.max.y_mm + 3.8), Anchor::Start),
        };
        flow.text_at(at, anchor, style, &words);
    }
    if crossings.is_empty() {
        return;
    }
    let more = if n_left > 0 { format!("+{n_left} ") } else { String::new() };
    let words = format!("{more}→ {next}");
    let quiet = Style { size_pt: LEAST_PT, bold: true, ink: Ink::Black };
    let (at, anchor) = match edge {
        Edge::Left => (point(frame.min.x_mm - 1.0, frame.max.y_mm + 3.6), Anchor::End),
        Edge::Right => (point(frame.max.x_mm + 1.0, frame.max.y_mm + 3.6), Anchor::Start),
        Edge::Top | Edge::Bottom if n_left > 0 => {
            let y = if edge == Edge::Top { frame.min.y_mm - 5.4 } else { frame.max.y_mm + 8.0 };
            (point(frame.max.x_mm, y), Anchor::End)
        }
        Edge::Top | Edge::Bottom => return,
    };
    flow.text_at(at, anchor, quiet, &words);
}

fn sheet(project: &Project, fonts: &Fonts) -> Sheet {
    let paths = wire_paths(project);
    let mut sheet = Sheet { items: Vec::new(), boxes: Vec::new(), wires: Vec::new() };
    for (_, frame) in project.frames.iter() {
        let edge = Stroke::dashed(0.25, Ink::Quiet, (2.0, 1.2));
        sheet.items.push(Item::Rect { rect: frame.rect, stroke: Some(edge), fill: None });
        sheet.items.extend(item_of(fonts, &frame_title(frame)));
    }
    let rest = State::rest();
    let parts: Vec<Vec<Item>> = project
        .parts
        .iter()
        .map(|(id, part)| part_items(project, fonts, (id, part), &rest))
        .collect();
    let boxes = |items: &Vec<Item>| items.iter().map(Item::rect).reduce(Rect::union);
    sheet.boxes.extend(parts.iter().filter_map(boxes));
    for (id, wire) in project.wires.iter() {
        let Some(path) = paths.get(&id).filter(|path| path.len() >= 2) else { continue };
        sheet.items.push(wire_item(wire, path));
        if wire.usage == WireUse::Harness {
            sheet.wires.push((wire.name.clone(), path.clone()));
        }
    }
    for dot in junctions(project, &paths) {
        let fill = Some(Ink::Black);
        sheet.items.push(Item::Circle { centre: dot, radius_mm: 0.9, stroke: None, fill });
    }
    sheet.items.extend(parts.into_iter().flatten());
    let mut taken = Taken::default();
    for rect in &sheet.boxes {
        taken.put(*rect);
    }
    for (id, wire) in project.wires.iter().filter(|(_, w)| w.usage == WireUse::Harness) {
        let Some(path) = paths.get(&id).filter(|path| path.len() >= 2) else { continue };
        if let Some((rect, items)) = wire_label(fonts, wire, path, &taken) {
            sheet.boxes.push(rect);
            taken.put(rect);
            sheet.items.extend(items);
        }
    }
    sheet
}

fn part_items(
    project: &Project,
    fonts: &Fonts,
    (id, part): (PartId, &Part),
    rest: &State,
) -> Vec<Item> {
    let look =
        SymbolLook { throw: project.throw(id, rest), ..SymbolLook::at_rest(ResistorSign::Iec) };
    symbol(part, &look).iter().filter_map(|mark| item_of(fonts, mark)).collect()
}

fn wire_item(wire: &Wire, path: &[Point]) -> Item {
    match wire.usage {
        WireUse::Harness => {
            Item::Wire { points: path.to_vec(), width_mm: 0.9, colour: wire.colour }
        }
        WireUse::Internal => {
            Item::Line { points: path.to_vec(), stroke: Stroke::solid(0.35, Ink::Black) }
        }
    }
}

/// The sleeve with the wire's name, and the letters of its colour where the stretch is long enough;
/// at the usual place, or where it touches neither a part nor another sleeve.
fn wire_label(
    fonts: &Fonts,
    wire: &Wire,
    path: &[Point],
    taken: &Taken,
) -> Option<(Rect, [Item; 2])> {
    let full = format!("{} {}", wire.name, wire.colour.code());
    let width = |words: &str| fonts.width_mm(&fonts.printable(words), LEAST_PT, false);
    let longest = path
        .windows(2)
        .filter(|pair| pair[0].y_mm == pair[1].y_mm)
        .fold(0.0, |most: f64, pair| most.max(pair[0].distance(pair[1])));
    let words = if width(&full) + 3.0 <= longest { &full } else { &wire.name };
    let words = &shortened(fonts, words, (LEAST_PT, false));
    let half = width(words) / 2.0 + 0.8;
    let rect_at = |at: Point| Rect::spanning(at - point(half, 1.9), at + point(half, 1.9));
    let usual = wire_label_pos(path);
    let along = path.windows(2).flat_map(|pair| {
        [0.5, 0.3, 0.7, 0.15, 0.85].map(|share| {
            let way = pair[1] - pair[0];
            pair[0] + point(way.x_mm * share, way.y_mm * share)
        })
    });
    let is_free = |at: &Point| taken.is_free(rect_at(*at));
    let at = std::iter::once(usual).chain(along).find(is_free).unwrap_or(usual);
    let style = Style { size_pt: LEAST_PT, bold: false, ink: Ink::Black };
    let text = text_item(fonts, at + point(0.0, 1.15), Anchor::Middle, style, words)?;
    let edge = Some(Stroke::solid(0.15, Ink::Quiet));
    let sleeve = Item::Rect { rect: rect_at(at), stroke: edge, fill: Some(Ink::White) };
    Some((rect_at(at), [sleeve, text]))
}

/// A mark of the drawing as an item of a page.
fn item_of(fonts: &Fonts, mark: &Mark) -> Option<Item> {
    let stroke = |weight: Weight, tone: Tone| Stroke::solid(weight.width_mm(), ink(tone));
    Some(match mark {
        Mark::Line { points, weight, tone } => {
            Item::Line { points: points.clone(), stroke: stroke(*weight, *tone) }
        }
        Mark::Rect { rect, fill, weight, tone, .. } => Item::Rect {
            rect: *rect,
            stroke: Some(stroke(*weight, *tone)),
            fill: fill_ink(*fill, *tone),
        },
        Mark::Circle { centre, radius_mm, fill, weight, tone } => Item::Circle {
            centre: *centre,
            radius_mm: *radius_mm,
            stroke: Some(stroke(*weight, *tone)),
            fill: fill_ink(*fill, *tone),
        },
        Mark::Text { at, align, size_mm, text, role, tone } => {
            let size_pt = (size_mm / MM_PER_POINT).max(LEAST_PT);
            let anchor = match align {
                Align::Left => Anchor::Start,
                Align::Middle => Anchor::Middle,
                Align::Right => Anchor::End,
            };
            let bold = match role {
                TextRole::Name => true,
                TextRole::Note | TextRole::Cavity => false,
            };
            // The mark's place is half way up the capitals.
            let base = *at + point(0.0, 0.36 * size_pt * MM_PER_POINT);
            let words = shortened(fonts, text, (size_pt, bold));
            return text_item(
                fonts,
                base,
                anchor,
                Style { size_pt, bold, ink: ink(*tone) },
                &words,
            );
        }
    })
}

/// A text no wider than a tile can hold; what is cut ends in `…`.
fn shortened(fonts: &Fonts, text: &str, (size_pt, bold): (f64, bool)) -> String {
    let mut kept = fonts.printable(text);
    if fonts.width_mm(&kept, size_pt, bold) <= LONGEST_MM {
        return kept;
    }
    while fonts.width_mm(&kept, size_pt, bold) > LONGEST_MM - 4.0 {
        kept.pop();
    }
    format!("{}…", kept.trim_end())
}

fn ink(tone: Tone) -> Ink {
    match tone {
        Tone::Ink | Tone::Lit => Ink::Black,
        Tone::Quiet => Ink::Quiet,
    }
}

fn fill_ink(fill: Fill, tone: Tone) -> Option<Ink> {
    match fill {
        Fill::Clear => None,
        Fill::Card => Some(Ink::White),
        Fill::Shade => Some(Ink::Pale),
        Fill::Solid => Some(ink(tone)),
    }
}
