//! The page map of the build board: which tile goes where, large enough to be read.
//!
//! A long board is folded: its tiles stand in bands below each other, left to right as on the board.

use std::collections::BTreeMap;

use crate::geometry::{Point, Rect, point};
use crate::model::Project;
use crate::sheets::clip::clipped;
use crate::sheets::flow::{Flow, Style, text_item};
use crate::sheets::page::{Anchor, Ink, Item, Stroke};
use crate::sheets::straight::Flat;
use crate::sheets::taken::Taken;
use crate::sheets::tiles::Tile;

/// A tile on the map is at least so wide, so that its name can be read.
const LEAST_TILE_MM: f64 = 15.0;
/// The map of a small board is no higher.
const MOST_HEIGHT_MM: f64 = 120.0;
/// Between two bands.
const BAND_GAP_MM: f64 = 7.0;

/// Draws the map; `step` is from one tile to the next, in millimetres of the board.
pub fn page_map(
    project: &Project,
    flow: &mut Flow<'_>,
    flat: &Flat,
    (extent, tiles, step): (Rect, &[Tile], Point),
) {
    if tiles.is_empty() {
        return;
    }
    flow.heading("Page map");
    let body = flow.body();
    let n_columns = tiles.iter().map(|tile| tile.column).max().unwrap_or_default() + 1;
    let n_rows = tiles.iter().map(|tile| tile.row).max().unwrap_or_default() + 1;
    let whole = (body.width() / extent.width()).min(MOST_HEIGHT_MM / extent.height());
    let scale = whole.max(LEAST_TILE_MM / step.x_mm);
    // The last tile of a band is wider by its overlap.
    let fit = |room: f64, step: f64, tile: f64| {
        (1.0 + ((room - tile * scale) / (step * scale)).floor()).max(1.0) as usize
    };
    let tile = tiles[0].window;
    let columns = fit(body.width(), step.x_mm, tile.width()).min(n_columns);
    let rows = fit(body.height() - 30.0, step.y_mm, tile.height()).min(n_rows);
    if columns < n_columns || rows < n_rows {
        flow.note(
            "The map is folded: the board goes on from the right edge of one band at the left edge \
             of the one below.",
        );
    }
    let drawn = runs_and_places(flat, scale);
    for first_row in (0..n_rows).step_by(rows) {
        for first_column in (0..n_columns).step_by(columns) {
            let band: Vec<&Tile> = tiles
                .iter()
                .filter(|tile| (first_row..first_row + rows).contains(&tile.row))
                .filter(|tile| (first_column..first_column + columns).contains(&tile.column))
                .collect();
            one_band(project, flow, flat, (&band, &drawn, scale));
        }
    }
}

/// Runs as lines and places as dots, in millimetres of the map.
fn runs_and_places(flat: &Flat, scale: f64) -> Vec<Item> {
    let at = |p: Point| point(p.x_mm * scale, p.y_mm * scale);
    let mut items = Vec::new();
    for run in &flat.runs {
        let points = run.ends.map(at).to_vec();
        items.push(Item::Line { points, stroke: Stroke::solid(0.6, Ink::Black) });
    }
    for place in flat.places.values() {
        let (stroke, fill) = (Some(Stroke::solid(0.3, Ink::Black)), Some(Ink::White));
        items.push(Item::Circle { centre: at(*place), radius_mm: 0.8, stroke, fill });
    }
    items
}

fn one_band(
    project: &Project,
    flow: &mut Flow<'_>,
    flat: &Flat,
    (band, drawn, scale): (&[&Tile], &[Item], f64),
) {
    let scaled = |rect: Rect| {
        let at = |p: Point| point(p.x_mm * scale, p.y_mm * scale);
        Rect::spanning(at(rect.min), at(rect.max))
    };
    let windows = band.iter().map(|tile| scaled(tile.window));
    let Some(window) = windows.reduce(Rect::union) else { return };
    let room = flow.room(window.height() + BAND_GAP_MM);
    let shift = room.min - window.min;
    let mut taken = Taken::default();
    for tile in band {
        let rect = scaled(tile.window).moved(shift);
        let stroke = Some(Stroke::solid(0.2, Ink::Rule));
        flow.push(Item::Rect { rect, stroke, fill: None });
    }
    let lines: Vec<Item> = drawn.iter().flat_map(|item| clipped(item, window, shift)).collect();
    for item in &lines {
        taken.put(item.rect().grown(0.3));
    }
    // Names of tiles go before all else: without them the map is of no use.
    for tile in band {
        let corner = scaled(tile.window).moved(shift).min;
        let at = corner + point(1.2, 4.2);
        let name = text_item(flow.fonts, at, Anchor::Start, Style::STRONG, &tile.name());
        if let Some(item) = name {
            taken.put(item.rect());
            flow.push(item);
        }
    }
    for item in lines {
        flow.push(item);
    }
    let inside = window.moved(shift).grown(-0.5);
    place_names(
        project,
        flow,
        flat,
        (&mut taken, inside, &|p: Point| point(p.x_mm * scale, p.y_mm * scale) + shift),
    );
}

/// Names of the places where there is room for them.
fn place_names(
    project: &Project,
    flow: &mut Flow<'_>,
    flat: &Flat,
    (taken, inside, at): (&mut Taken, Rect, &dyn Fn(Point) -> Point),
) {
    // By place on the map, so that each is named once.
    let places: BTreeMap<_, _> = flat.places.iter().map(|(id, p)| (*id, at(*p))).collect();
    for (id, centre) in places {
        let Some(place) = project.places.get(id) else { continue };
        if !inside.contains(centre) {
            continue;
        }
        for away in [point(0.0, 4.6), point(0.0, -2.2), point(0.0, 8.6), point(0.0, -6.2)] {
            let item =
                text_item(flow.fonts, centre + away, Anchor::Middle, Style::QUIET, &place.name);
            let Some(item) = item else { break };
            let rect = item.rect();
            let is_inside = inside.contains(rect.min) && inside.contains(rect.max);
            if is_inside && taken.is_free(rect.grown(0.3)) {
                taken.put(rect.grown(0.3));
                // No edge of a tile runs through a name.
                flow.push(Item::Rect { rect, stroke: None, fill: Some(Ink::White) });
                flow.push(item);
                break;
            }
        }
    }
}
