//! The build board: the harness at full size on tiles of ordinary paper, with marks to join them.

use std::collections::{BTreeMap, BTreeSet};

use crate::geometry::{Point, Rect, point};
use crate::harness::end_kinds;
use crate::model::{PartKind, PlaceId, Project, WireUse};
use crate::sheets::board_map::page_map;
use crate::sheets::clip::clipped;
use crate::sheets::flow::{Flow, Style, text_item};
use crate::sheets::measure::Fonts;
use crate::sheets::packet::Job;
use crate::sheets::page::{Anchor, Ink, Item, Stroke};
use crate::sheets::straight::{Flat, LONGEST_MM, Laid, flat};
use crate::sheets::taken::{Drawn, Taken};
use crate::sheets::tiles::Tile;
use crate::sheets::words::millimetres;

/// Neighbouring tiles share so much.
pub const OVERLAP_MM: f64 = 10.0;
/// Strip below each tile for the check ruler.
const RULER_MM: f64 = 13.0;
/// Strip above each tile for its name.
const NAME_MM: f64 = 7.0;
/// From one tie to the next.
const TIE_MM: f64 = 100.0;
/// Text on the board.
const LABEL_PT: f64 = 9.5;
/// Lines of a label are no wider, and no label has more lines.
const LABEL_MM: f64 = 80.0;
const MOST_LINES: usize = 16;
/// Around the runs at least, for allowances and labels.
const AROUND_MM: f64 = 100.0;
/// Beyond the stroke to cut at.
const BEYOND_CUT_MM: f64 = 20.0;

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    let flat = flat(job.project, job.keep_going);
    if !(job.keep_going)() {
        return;
    }
    if flat.runs.is_empty() {
        flow.paragraph(
            "There is no board yet: it needs places and runs between them. Measure them with the \
             rope sheet and enter them.",
        );
        flow.blank("places and runs: the build board cannot be drawn without them");
        check_ruler(flow);
        return;
    }
    let laid = flat.runs.iter().map(|run| Rect::spanning(run.ends[0], run.ends[1]));
    let Some(extent) = laid.reduce(Rect::union) else { return };
    let beyond = ends(job.project);
    let extent = extent.grown(around_mm(&beyond));
    let body = flow.body();
    let window = point(body.width(), body.height() - RULER_MM - NAME_MM);
    let items = items(job, (&flat, &beyond), (extent, window));
    let shares = shares(&items, (extent, window));
    let none: Vec<&Item> = Vec::new();
    let share_of = |tile: &Tile| shares.get(&(tile.row, tile.column)).unwrap_or(&none);
    let tiles: Vec<Tile> = grid(extent, window)
        .into_iter()
        .filter(|tile| {
            let origin = point(0.0, 0.0);
            share_of(tile).iter().any(|item| !clipped(item, tile.window, origin).is_empty())
        })
        .collect();
    if !(job.keep_going)() {
        return;
    }
    first_page(job.project, flow, (&flat, &beyond), (extent, &tiles));
    for tile in &tiles {
        if !(job.keep_going)() {
            return;
        }
        flow.new_page();
        one_tile(flow, share_of(tile), (tile, &tiles));
    }
}

/// By row and column of the tiles: the items that may touch them, in their order.
fn shares(items: &[Item], (extent, window): (Rect, Point)) -> BTreeMap<(usize, usize), Vec<&Item>> {
    let step = window - point(OVERLAP_MM, OVERLAP_MM);
    let span = |low: f64, high: f64, step: f64, window: f64| {
        let first = ((low - window) / step).floor().max(0.0) as usize;
        let last = (high / step).floor().max(0.0) as usize;
        first..=last
    };
    let mut shares: BTreeMap<(usize, usize), Vec<&Item>> = BTreeMap::new();
    for item in items {
        let rect = item.rect();
        let (low, high) = (rect.min - extent.min, rect.max - extent.min);
        for row in span(low.y_mm, high.y_mm, step.y_mm, window.y_mm) {
            for column in span(low.x_mm, high.x_mm, step.x_mm, window.x_mm) {
                shares.entry((row, column)).or_default().push(item);
            }
        }
    }
    shares
}

/// Tiles of equal size that overlap, row by row.
fn grid(extent: Rect, window: Point) -> Vec<Tile> {
    let step = window - point(OVERLAP_MM, OVERLAP_MM);
    let count = |length: f64, step: f64| ((length - OVERLAP_MM) / step).ceil().max(1.0) as usize;
    let (n_columns, n_rows) = (count(extent.width(), step.x_mm), count(extent.height(), step.y_mm));
    let mut tiles = Vec::new();
    for row in 0..n_rows {
        for column in 0..n_columns {
            let corner = extent.min + point(column as f64 * step.x_mm, row as f64 * step.y_mm);
            let window = Rect::spanning(corner, corner + window);
            tiles.push(Tile { window, column, row });
        }
    }
    tiles
}

fn first_page(
    project: &Project,
    flow: &mut Flow<'_>,
    (flat, ends): (&Flat, &Ends),
    (extent, tiles): (Rect, &[Tile]),
) {
    flow.paragraph(
        "Print at 100 %, never fitted to the page. Measure the check ruler on every tile before you \
         glue: 100 mm must be 100 mm. Lay each tile over the dashed line of its neighbour.",
    );
    check_ruler(flow);
    let broken: Vec<&Laid> = flat.runs.iter().filter(|run| run.is_broken()).collect();
    for run in broken {
        let name = project.runs.get(run.run).map_or("?", |run| run.name.as_str());
        flow.bullet(&format!(
            "{name} is {} long and drawn with a break, {} of it: measure it out beside the board.",
            millimetres(run.length_mm),
            millimetres(run.ends[0].distance(run.ends[1]))
        ));
    }
    for run in &flat.left_out {
        let name = project.runs.get(*run).map_or("?", |run| run.name.as_str());
        flow.bullet(&format!("{name} would close a ring and is not drawn."));
    }
    for (place, beyond) in ends {
        let Some((mm, _)) = beyond.last().filter(|(mm, _)| *mm > LONGEST_MM) else { continue };
        let name = project.places.get(*place).map_or("?", |place| place.name.as_str());
        flow.bullet(&format!(
            "The longest wire is cut {} beyond {name}, too far to be drawn: measure it out.",
            millimetres(*mm)
        ));
    }
    legend(flow);
    let step = tiles.first().map_or(point(1.0, 1.0), |tile| {
        point(tile.window.width() - OVERLAP_MM, tile.window.height() - OVERLAP_MM)
    });
    page_map(project, flow, flat, (extent, tiles, step));
}

/// What the marks on the board mean.
fn legend(flow: &mut Flow<'_>) {
    let room = flow.room(9.0);
    let base = room.min.y_mm + 4.6;
    let mut x = room.min.x_mm;
    let middle = base - 1.2;
    let mut entry = |flow: &mut Flow<'_>, marks: &dyn Fn(Point) -> Vec<Item>, words: &str| {
        for item in marks(point(x, middle)) {
            flow.push(item);
        }
        flow.text_at(point(x + 12.0, base), Anchor::Start, Style::QUIET, words);
        x += 12.0 + flow.fonts.width_mm(words, Style::QUIET.size_pt, false) + 6.0;
    };
    entry(flow, &|p| vec![place_mark(p + point(5.0, 0.0))], "place");
    entry(flow, &|p| vec![connector_mark(p + point(5.0, 0.0), 2.4)], "connector");
    let run = |p: Point| {
        let mut items = bundle(p, p + point(10.0, 0.0));
        items.push(tie(p + point(5.0, -2.4), p + point(5.0, 2.4)));
        items
    };
    entry(flow, &run, "tie, every 100 mm");
    let cut = |p: Point| allowance(p, p + point(9.0, 0.0));
    entry(flow, &cut, "cut the longest wire here");
    flow.space(2.0);
}

fn one_tile(flow: &mut Flow<'_>, items: &[&Item], (tile, all): (&Tile, &[Tile])) {
    let body = flow.body();
    let corner = point(body.min.x_mm, body.min.y_mm + NAME_MM);
    let shift = corner - tile.window.min;
    for item in items {
        for item in clipped(item, tile.window, shift) {
            flow.push(item);
        }
    }
    let frame = tile.window.moved(shift);
    // They stand row by row, so those beside it are found by halving.
    let neighbour = |dx: isize, dy: isize| {
        let row = tile.row.checked_add_signed(dy)?;
        let column = tile.column.checked_add_signed(dx)?;
        let at = all.binary_search_by_key(&(row, column), |other| (other.row, other.column));
        at.ok().map(|at| &all[at])
    };
    let mut words = vec![format!("Tile {}", tile.name())];
    let edge = Stroke::dashed(0.2, Ink::Quiet, (3.0, 2.0));
    let inset = OVERLAP_MM;
    for (dx, dy, word) in [(-1, 0, "left"), (1, 0, "right"), (0, -1, "above"), (0, 1, "below")] {
        let Some(next) = neighbour(dx, dy) else { continue };
        words.push(format!("{word} {}", next.name()));
        let (a, b) = match (dx, dy) {
            (-1, _) => {
                (frame.min + point(inset, 0.0), point(frame.min.x_mm + inset, frame.max.y_mm))
            }
            (1, _) => {
                (point(frame.max.x_mm - inset, frame.min.y_mm), frame.max - point(inset, 0.0))
            }
            (_, -1) => {
                (frame.min + point(0.0, inset), point(frame.max.x_mm, frame.min.y_mm + inset))
            }
            _ => (point(frame.min.x_mm, frame.max.y_mm - inset), frame.max - point(0.0, inset)),
        };
        flow.line(a, b, edge);
    }
    corners(flow, frame);
    let at = point(body.min.x_mm, body.min.y_mm + 4.0);
    flow.text_at(at, Anchor::Start, Style::STRONG, &words.join(" · "));
    flow.y_mm = frame.max.y_mm;
    check_ruler(flow);
}

/// Angles at the corners of a tile, to lay a straight edge along.
fn corners(flow: &mut Flow<'_>, frame: Rect) {
    let ink = Stroke::solid(0.25, Ink::Black);
    let (a, b) = (frame.min, frame.max);
    for (corner, x, y) in [
        (a, 1.0, 1.0),
        (point(b.x_mm, a.y_mm), -1.0, 1.0),
        (b, -1.0, -1.0),
        (point(a.x_mm, b.y_mm), 1.0, -1.0),
    ] {
        let points = vec![corner + point(5.0 * x, 0.0), corner, corner + point(0.0, 5.0 * y)];
        flow.push(Item::Line { points, stroke: ink });
    }
}

/// A line of exactly 100 mm with a stroke every 10 mm.
fn check_ruler(flow: &mut Flow<'_>) {
    let room = flow.room(RULER_MM);
    let from = room.min + point(0.0, 8.0);
    let ink = Stroke::solid(0.25, Ink::Black);
    flow.line(from, from + point(100.0, 0.0), ink);
    for n in 0..=10 {
        let x = f64::from(n) * 10.0;
        let tall = if n % 5 == 0 { 3.2 } else { 1.8 };
        flow.line(from + point(x, 0.0), from + point(x, -tall), ink);
    }
    flow.text_at(
        from + point(103.0, 0.0),
        Anchor::Start,
        Style::QUIET,
        "check ruler: 100 mm, print at 100 %",
    );
}

/// The board as items in its own millimetres.
fn items(job: &Job<'_>, (flat, ends): (&Flat, &Ends), tiling: (Rect, Point)) -> Vec<Item> {
    let (project, fonts) = (job.project, job.fonts);
    let mut items = Vec::new();
    let plugs = plugged(project);
    let mut drawn = Drawn::default();
    flat.runs.iter().for_each(|run| drawn.put(run.ends));
    let mut room = Room { texts: Taken::default(), drawn, tiling };
    for run in &flat.runs {
        one_run(&mut items, run);
    }
    for (place, beyond) in ends {
        if !(job.keep_going)() {
            return items;
        }
        let most = beyond.last().map_or(0.0, |(mm, _)| *mm);
        if let Some(line) = cut_mark(flat, *place, most, &mut items) {
            room.drawn.put(line);
        }
    }
    let wrapped = |words: &str, bold: bool| -> Vec<(String, bool)> {
        fonts
            .wrapped(words, LABEL_MM, LABEL_PT, bold)
            .into_iter()
            .map(|line| (line, bold))
            .collect()
    };
    for run in &flat.runs {
        if !(job.keep_going)() {
            return items;
        }
        let Some(row) = project.runs.get(run.run) else { continue };
        let words = format!("{} · {}", row.name, millimetres(run.length_mm));
        let [a, b] = run.ends;
        let middle = point(a.x_mm.midpoint(b.x_mm), a.y_mm.midpoint(b.y_mm));
        label(&mut items, &mut room, fonts, (middle, 4.0), &wrapped(&words, false));
    }
    for (place, at) in &flat.places {
        if !(job.keep_going)() {
            return items;
        }
        let Some(row) = project.places.get(*place) else { continue };
        if plugs.contains(place) {
            items.push(connector_mark(*at, 4.5));
        }
        items.push(place_mark(*at));
        let mut lines = wrapped(&row.name, true);
        if let Some(parts) = job.parts_at.get(place) {
            lines.extend(wrapped(&parts.join(", "), false));
        }
        for (mm, wires) in ends.get(place).into_iter().flatten() {
            let words = format!("cut {} beyond: {}", millimetres(*mm), wires.join(" "));
            lines.extend(wrapped(&words, false));
        }
        if lines.len() > MOST_LINES {
            lines.truncate(MOST_LINES);
            lines.push(("… see the cut list".to_owned(), false));
        }
        label(&mut items, &mut room, fonts, (*at, 6.0), &lines);
    }
    items
}

/// The bundle, ties across it, and a break where it is drawn short.
fn one_run(items: &mut Vec<Item>, run: &Laid) {
    let [a, b] = run.ends;
    let length = a.distance(b);
    if length <= 0.0 {
        return;
    }
    let way = point((b.x_mm - a.x_mm) / length, (b.y_mm - a.y_mm) / length);
    let along = |mm: f64| a + point(way.x_mm * mm, way.y_mm * mm);
    let across = point(-way.y_mm, way.x_mm);
    let side = |p: Point, mm: f64| p + point(across.x_mm * mm, across.y_mm * mm);
    items.extend(bundle(a, b));
    let n_ties = ((length - 1.0) / TIE_MM).floor() as u32;
    for n in 1..=n_ties {
        let p = along(f64::from(n) * TIE_MM);
        items.push(tie(side(p, -2.4), side(p, 2.4)));
    }
    if run.is_broken() {
        let middle = along(length / 2.0 + 25.0);
        for shift in [-2.0, 2.0] {
            let p = middle + point(way.x_mm * shift, way.y_mm * shift);
            let zigzag = vec![
                side(p, -6.0),
                side(p, -1.5),
                side(p + point(way.x_mm * 2.0, way.y_mm * 2.0), 0.0),
                side(p, 1.5),
                side(p, 6.0),
            ];
            items.push(Item::Line { points: zigzag, stroke: Stroke::solid(0.4, Ink::Black) });
        }
    }
}

/// Allowances and the wires that are cut so far beyond, shortest first.
type Beyond = Vec<(f64, Vec<String>)>;

/// By place: how far beyond it wires are cut, and which.
type Ends = BTreeMap<PlaceId, Beyond>;

/// How much is left around the runs: no allowance that is drawn is cut off.
fn around_mm(ends: &Ends) -> f64 {
    let drawn =
        ends.values().filter_map(|beyond| beyond.last()).filter(|(mm, _)| *mm <= LONGEST_MM);
    drawn.fold(AROUND_MM, |most, (mm, _)| most.max(mm + BEYOND_CUT_MM))
}

/// By place: how far beyond it wires are cut, and which.
fn ends(project: &Project) -> Ends {
    let mut ends = Ends::new();
    for (_, wire) in project.wires.iter().filter(|(_, w)| w.usage == WireUse::Harness) {
        let kinds = end_kinds(project, wire);
        for (end, kind) in [wire.from, wire.to].into_iter().zip(kinds) {
            let place = project.parts.get(end.terminal.part).and_then(|part| part.place);
            let Some(place) = place else { continue };
            let mm = project.settings.allowances.of(kind);
            let beyond = ends.entry(place).or_default();
            match beyond.iter_mut().find(|(other, _)| *other == mm) {
                Some((_, names)) => names.push(wire.name.clone()),
                None => beyond.push((mm, vec![wire.name.clone()])),
            }
        }
    }
    for beyond in ends.values_mut() {
        beyond.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    ends
}

/// At the end of a branch: the longest allowance beyond the place, and a stroke to cut at; none where
/// it is too long for a board. Returns the line of the allowance.
fn cut_mark(flat: &Flat, place: PlaceId, most: f64, items: &mut Vec<Item>) -> Option<[Point; 2]> {
    let at = *flat.places.get(&place)?;
    let mut touching = flat.runs.iter().filter(|run| run.ends.contains(&at));
    let (Some(run), None) = (touching.next(), touching.next()) else { return None };
    let other = if run.ends[0] == at { run.ends[1] } else { run.ends[0] };
    let length = at.distance(other);
    if most <= 0.0 || most > LONGEST_MM || length <= 0.0 {
        return None;
    }
    let way = point((at.x_mm - other.x_mm) / length, (at.y_mm - other.y_mm) / length);
    let end = at + point(way.x_mm * most, way.y_mm * most);
    items.extend(allowance(at, end));
    Some([at, end])
}

/// Wires beyond the last place, and the stroke to cut at.
fn allowance(at: Point, end: Point) -> Vec<Item> {
    let length = at.distance(end);
    let half_mm = 6.0_f64.min(length / 3.0);
    let way = point((end.x_mm - at.x_mm) / length, (end.y_mm - at.y_mm) / length);
    let across = point(-way.y_mm * half_mm, way.x_mm * half_mm);
    let dashes = Stroke::dashed(0.5, Ink::Black, (3.0, 2.0));
    let cut = Stroke::solid(0.6, Ink::Black);
    vec![
        Item::Line { points: vec![at, end], stroke: dashes },
        Item::Line { points: vec![end - across, end + across], stroke: cut },
    ]
}

/// The bundle of a run.
fn bundle(a: Point, b: Point) -> Vec<Item> {
    let line = |stroke| Item::Line { points: vec![a, b], stroke };
    vec![line(Stroke::solid(1.6, Ink::Black)), line(Stroke::solid(1.0, Ink::Pale))]
}

fn tie(a: Point, b: Point) -> Item {
    Item::Line { points: vec![a, b], stroke: Stroke::solid(0.8, Ink::Black) }
}

fn place_mark(centre: Point) -> Item {
    let stroke = Some(Stroke::solid(0.5, Ink::Black));
    Item::Circle { centre, radius_mm: 2.2, stroke, fill: Some(Ink::White) }
}

/// Where a connector or a controller's plug sits.
fn connector_mark(centre: Point, half_mm: f64) -> Item {
    let rect = Rect::spanning(centre, centre).grown(half_mm);
    Item::Rect { rect, stroke: Some(Stroke::solid(0.7, Ink::Black)), fill: Some(Ink::Pale) }
}

/// Places where a connector or a controller sits.
fn plugged(project: &Project) -> BTreeSet<PlaceId> {
    let plugs = project.parts.iter().filter(|(_, part)| match part.kind {
        PartKind::Connector(_) | PartKind::Controller(_) => true,
        PartKind::Supply(_)
        | PartKind::Ground
        | PartKind::Fuse(_)
        | PartKind::Resistor(_)
        | PartKind::Contact(_)
        | PartKind::Splice { .. }
        | PartKind::TestPoint
        | PartKind::Element(_) => false,
    });
    plugs.filter_map(|(_, part)| part.place).collect()
}

/// What labels keep clear of.
struct Room {
    texts: Taken,
    drawn: Drawn,
    /// The whole board, and the size of a tile.
    tiling: (Rect, Point),
}

impl Room {
    /// Whether one tile shows all of it.
    fn is_in_one_tile(&self, rect: Rect) -> bool {
        let (extent, window) = self.tiling;
        let fits = |low: f64, high: f64, length: f64| {
            let start = (low / (length - OVERLAP_MM)).floor() * (length - OVERLAP_MM);
            low >= 0.0 && high <= start + length
        };
        fits(rect.min.x_mm - extent.min.x_mm, rect.max.x_mm - extent.min.x_mm, window.x_mm)
            && fits(rect.min.y_mm - extent.min.y_mm, rect.max.y_mm - extent.min.y_mm, window.y_mm)
            && rect.max.x_mm <= extent.max.x_mm
            && rect.max.y_mm <= extent.max.y_mm
    }
}

/// Lines of text beside a point, at the first of a few places where they touch no other text and no
/// line and lie on one tile: below, above, right, left, at a corner, then farther away.
fn label(
    items: &mut Vec<Item>,
    room: &mut Room,
    fonts: &Fonts,
    (at, away): (Point, f64),
    lines: &[(String, bool)],
) {
    let style = |bold| Style { size_pt: LABEL_PT, bold, ink: Ink::Black };
    let wide = lines
        .iter()
        .fold(0.0, |most: f64, (words, bold)| most.max(fonts.width_mm(words, LABEL_PT, *bold)));
    let tall = lines.len() as f64 * style(false).line_mm();
    let rect_for = |n: u32| {
        let gap = away + f64::from(n / 8) * 5.0;
        let corner = match n % 8 {
            0 => at + point(-wide / 2.0, gap),
            1 => at + point(-wide / 2.0, -gap - tall),
            2 => at + point(gap, -tall / 2.0),
            3 => at + point(-gap - wide, -tall / 2.0),
            // Beside the edge of a tile only a corner may be left.
            4 => at + point(gap, gap),
            5 => at + point(-gap - wide, gap),
            6 => at + point(gap, -gap - tall),
            _ => at + point(-gap - wide, -gap - tall),
        };
        Rect::spanning(corner, corner + point(wide, tall))
    };
    let is_free = |n: &u32| {
        let rect = rect_for(*n).grown(1.0);
        room.texts.is_free(rect)
            && room.is_in_one_tile(rect)
            && room.drawn.is_clear(rect.grown(2.0))
    };
    // Where there is no room at all the label is left out: the routing sheet has every name.
    let Some(rect) = (0..800).find(is_free).map(rect_for) else { return };
    room.texts.put(rect.grown(1.0));
    for (idx, (words, bold)) in lines.iter().enumerate() {
        let style = style(*bold);
        let y = rect.min.y_mm + style.rise_mm() + idx as f64 * style.line_mm();
        items.extend(text_item(fonts, point(rect.min.x_mm, y), Anchor::Start, style, words));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    #[test]
    fn every_stroke_to_cut_at_lies_on_the_board_and_none_is_drawn_too_short() {
        let mut project = samples::open("sprayer").unwrap();
        for (mm, is_drawn) in [(50.0, true), (900.0, true), (LONGEST_MM + 1.0, false)] {
            let all = &mut project.settings.allowances;
            for one in [
                &mut all.sealed_mm,
                &mut all.inline_mm,
                &mut all.tag_mm,
                &mut all.splice_mm,
                &mut all.ring_mm,
            ] {
                *one = mm;
            }
            let (flat, ends) = (flat(&project, &|| true), ends(&project));
            let runs = flat.runs.iter().map(|run| Rect::spanning(run.ends[0], run.ends[1]));
            let extent = runs.reduce(Rect::union).unwrap().grown(around_mm(&ends));
            let mut items = Vec::new();
            let lines: Vec<[Point; 2]> =
                ends.keys().filter_map(|at| cut_mark(&flat, *at, mm, &mut items)).collect();
            assert_eq!(!lines.is_empty(), is_drawn, "{mm}");
            for [a, b] in lines {
                assert!((a.distance(b) - mm).abs() < 1e-6);
            }
            for item in items {
                let rect = item.rect();
                assert!(rect.union(extent) == extent, "{mm}: {rect:?} beyond {extent:?}");
            }
        }
    }
}
