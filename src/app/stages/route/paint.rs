//! Paints runs, wires and places of the layout from nothing.

use std::collections::BTreeSet;
use std::sync::Arc;

use egui::epaint::RectShape;
use egui::{Align2, Color32, Mesh, Pos2, Rect, Shape, Stroke, StrokeKind, Vec2, pos2, vec2};

use crate::app::action::LayoutItem;
use crate::app::canvas::Brush;
use crate::app::prefs::Preferences;
use crate::app::routes::Routes;
use crate::app::stages::route::bundle::{Strand, add_bundle, add_halo, width};
use crate::app::stages::route::laid::laid_words;
use crate::app::stages::route::scene::Scene;
use crate::app::stages::route::strokes::cut_out;
use crate::app::stages::route::tags::{MOST_SOUGHT, Tag, Taken};
use crate::app::stages::route::zones::{add_laying, signs_width};
use crate::app::theme;
use crate::app::view::View;
use crate::edit::Item;
use crate::geometry::Point;
use crate::model::{Colour, PartId, Place, PlaceId, Run, RunId, WireId};

/// Not more parts than this are named at one place; the rest is counted.
const MOST_CHIPS: usize = 6;
/// Below this many points a millimetre, only names and lines are painted.
const CHIP_SCALE: f32 = 1.1;
/// Below this many points a millimetre, runs carry no text.
const LABEL_SCALE: f32 = 0.7;
/// A length may cross one line, but covers no text.
const MOST_COVERED: usize = 2;
/// No name is smaller than this on the screen, in points.
const LEAST_NAME: Vec2 = vec2(12.0, 12.0);
/// A run shorter than this on the screen carries no text, in points.
const LEAST_LABELLED: f32 = 30.0;

/// How far beyond the view is painted, so that a pan has something to show, in points.
pub const PAINTED_BEYOND: f32 = 160.0;

/// The layout, painted.
pub struct Picture {
    /// Runs with their wires, under all else.
    pub meshes: [Arc<Mesh>; 4],
    /// All else.
    pub shapes: Vec<Shape>,
    /// Names and parts of places.
    pub tags: Vec<Tag>,
    /// Lengths of runs.
    pub labels: Vec<(RunId, Rect)>,
    /// Splices along runs.
    pub splices: Vec<(PartId, Rect)>,
}

impl Picture {
    /// Moves all of it on the screen.
    pub fn translate(&mut self, by: Vec2) {
        self.meshes.iter_mut().for_each(|mesh| Arc::make_mut(mesh).translate(by));
        self.shapes.iter_mut().for_each(|shape| shape.translate(by));
        for tag in &mut self.tags {
            tag.rect = tag.rect.translate(by);
            tag.chips.iter_mut().for_each(|(_, chip)| *chip = chip.translate(by));
        }
        self.labels.iter_mut().for_each(|(_, rect)| *rect = rect.translate(by));
        self.splices.iter_mut().for_each(|(_, rect)| *rect = rect.translate(by));
    }
}

/// What painting looks at.
pub struct Look<'a> {
    /// The frame's view.
    pub view: View<'a>,
    /// Lines and parts.
    pub scene: &'a Scene,
    /// Runs of the wires, as far as they are known.
    pub routes: Option<&'a Arc<Routes>>,
    /// Two places that a missing run would join.
    pub missing: Option<[PlaceId; 2]>,
}

impl Look<'_> {
    /// Wires that are lit.
    fn lit(&self) -> BTreeSet<WireId> {
        let wire = |item: &Item| match item {
            Item::Wire(id) => Some(*id),
            Item::Part(_) | Item::Frame(_) => None,
        };
        self.view.selection.iter().filter_map(wire).collect()
    }
}

/// Paints all of it; `n_vertices` is about how much room the meshes take.
pub fn painted_anew(brush: &Brush<'_>, look: &Look<'_>, n_vertices: [usize; 4]) -> Picture {
    let mut work = Work {
        brush,
        look,
        lit: look.lit(),
        shapes: Vec::new(),
        taken: Taken::of(brush.lens.view.expand(PAINTED_BEYOND)),
        tags: Vec::new(),
        labels: Vec::new(),
        splices: Vec::new(),
    };
    let lines = work.lines_in_view();
    let meshes = work.bundles(&lines, n_vertices);
    work.missing_run();
    let places = work.places_in_view();
    for (_, place) in &places {
        let at = brush.pos(place.pos);
        work.taken.add(Rect::from_center_size(at, Vec2::splat(14.0)));
    }
    let is_sought = places.len() <= MOST_SOUGHT;
    let is_labelled = brush.lens.scale() >= LABEL_SCALE;
    if is_sought || is_labelled {
        for (_, line) in &lines {
            work.taken.add_line(line);
        }
    }
    for (id, place) in &places {
        work.tag((*id, place), is_sought);
    }
    if is_labelled {
        work.splices();
        work.lengths(&lines);
    }
    for (id, place) in &places {
        work.dot((*id, place));
    }
    let Work { shapes, tags, labels, splices, .. } = work;
    Picture { meshes, shapes, tags, labels, splices }
}

/// The way from a dot to the middle of a name of this size that stands under it.
fn under(size: Vec2) -> Vec2 {
    vec2(0.0, size.y / 2.0 + 10.0)
}

/// A part at a place, or how many more there are; whether it is selected; its name.
type Chip = (Option<PartId>, bool, Arc<egui::Galley>);

fn row_width(chips: &[Chip]) -> f32 {
    chips.iter().fold(0.0, |sum, chip| sum + chip.2.size().x + 14.0) - 4.0
}

/// A painting in the making.
struct Work<'a> {
    brush: &'a Brush<'a>,
    look: &'a Look<'a>,
    lit: BTreeSet<WireId>,
    shapes: Vec<Shape>,
    taken: Taken,
    tags: Vec<Tag>,
    labels: Vec<(RunId, Rect)>,
    splices: Vec<(PartId, Rect)>,
}

impl<'a> Work<'a> {
    fn lines_in_view(&self) -> Vec<(RunId, Vec<Pos2>)> {
        let clip = self.brush.painter.clip_rect().expand(PAINTED_BEYOND + 30.0);
        let on_screen =
            |line: &Vec<Point>| -> Vec<Pos2> { line.iter().map(|p| self.brush.pos(*p)).collect() };
        let lines = self.look.scene.lines.iter().map(|(run, line)| (*run, on_screen(line)));
        lines.filter(|(_, line)| Rect::from_points(line).intersects(clip)).collect()
    }

    fn places_in_view(&self) -> Vec<(PlaceId, &'a Place)> {
        let clip = self.brush.painter.clip_rect().expand(PAINTED_BEYOND + 60.0);
        let places = self.look.view.project.places.iter();
        places.filter(|(_, place)| clip.contains(self.brush.pos(place.pos))).collect()
    }

    /// The wires of a run as they were last routed.
    fn strands(&self, run: RunId) -> Vec<Strand> {
        let wires = self.look.scene.strands.get(&run).map_or(&[][..], Vec::as_slice);
        let is_lit = |wire| !self.lit.is_empty() && self.lit.contains(&wire);
        let strand = |(wire, colour): &(WireId, Colour)| Strand {
            wire: *wire,
            colour: *colour,
            is_lit: is_lit(*wire),
        };
        wires.iter().map(strand).collect()
    }

    /// Halos, runs that step back, runs, and lit ones, in the order they are painted.
    fn bundles(&self, lines: &[(RunId, Vec<Pos2>)], n_vertices: [usize; 4]) -> [Arc<Mesh>; 4] {
        let (scale, palette) = (self.brush.lens.scale(), self.brush.palette);
        let [mut below, mut faded, mut mesh, mut lit] = n_vertices.map(|n| {
            let mut mesh = Mesh::default();
            mesh.reserve_vertices(n);
            mesh.reserve_triangles(n);
            mesh
        });
        for (run, line) in lines {
            let strands = self.strands(*run);
            let is_lit = strands.iter().any(|strand| strand.is_lit);
            if is_lit || self.look.view.layout == Some(LayoutItem::Run(*run)) {
                add_halo(&mut below, line, strands.len(), scale, palette.chosen);
            }
            let into = match (self.lit.is_empty(), is_lit) {
                (true, _) => &mut mesh,
                (false, true) => &mut lit,
                (false, false) => &mut faded,
            };
            add_bundle(into, line, &strands, scale, palette);
            if let Some(run) = self.look.view.project.runs.get(*run) {
                add_laying(into, line, run, width(strands.len(), scale).whole, palette);
            }
        }
        // While a wire is lit, runs without it step back.
        for vertex in &mut faded.vertices {
            vertex.color = vertex.color.gamma_multiply(0.35);
        }
        [below, faded, mesh, lit].map(Arc::new)
    }

    /// A dashed line where a run is missing.
    fn missing_run(&mut self) {
        let Some(ends) = self.look.missing else { return };
        let places = &self.look.view.project.places;
        let [Some(a), Some(b)] = ends.map(|id| places.get(id)) else { return };
        let points = [self.brush.pos(a.pos), self.brush.pos(b.pos)];
        let stroke = Stroke::new(2.4, self.brush.palette.wrong);
        self.shapes.extend(Shape::dashed_line(&points, stroke, 9.0, 6.0));
        let middle = points[0] + (points[1] - points[0]) / 2.0;
        self.pill(middle, "run missing", self.brush.palette.wrong);
    }

    fn lengths(&mut self, lines: &[(RunId, Vec<Pos2>)]) {
        for (id, line) in lines {
            let Some(run) = self.look.view.project.runs.get(*id) else { continue };
            let is_selected = self.look.view.layout == Some(LayoutItem::Run(*id));
            let long: f32 = line.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
            let colour = match (is_selected, self.lit.is_empty()) {
                (true, _) => self.brush.palette.chosen,
                (false, _) => self.brush.palette.ink,
            };
            let n_wires = self.look.routes.map_or(0, |routes| routes.wires_in(*id).len());
            let texts = run_texts(run, n_wires, self.look.view.preferences);
            if long < LEAST_LABELLED && !is_selected {
                continue;
            }
            let inside = self.brush.lens.view;
            let clear =
                width(n_wires, self.brush.lens.scale()).whole / 2.0 + 3.0 + signs_width(run);
            if run.loop_mm.is_some() {
                self.loop_sign(line, clear);
            }
            // The longest text that covers nothing, else the one that covers least, unless that is a text.
            let mut best: Option<(&String, Rect, usize)> = None;
            for text in &texts {
                let limit = best.map_or(usize::MAX, |(_, _, cost)| cost);
                if limit == 0 {
                    break;
                }
                let size = self.text_size(text) + vec2(10.0, 2.0);
                if let Some((rect, cost)) =
                    self.taken.beside_line(line, (size, clear), inside, limit)
                {
                    best = Some((text, rect, cost));
                }
            }
            let Some((text, rect, cost)) = best else { continue };
            if cost > MOST_COVERED && !is_selected {
                continue;
            }
            self.pill(rect.center(), text, colour);
            self.taken.add(rect);
            self.labels.push((*id, rect));
        }
    }

    /// Splices along runs: a small square on the wires, its name beside it.
    fn splices(&mut self) {
        let clip = self.brush.painter.clip_rect().expand(PAINTED_BEYOND);
        for (id, at) in &self.look.scene.splices {
            let at = self.brush.pos(*at);
            let Some(part) = self.look.view.project.parts.get(*id) else { continue };
            if !clip.contains(at) {
                continue;
            }
            let is_chosen = self.look.view.selection.contains(&Item::Part(*id));
            let palette = self.brush.palette;
            let ink = if is_chosen { palette.chosen } else { palette.ink };
            let square = Rect::from_center_size(at, vec2(11.0, 11.0));
            self.shapes.push(Shape::rect_filled(square, 2.0, palette.card));
            let pen = Stroke::new(2.0, ink);
            self.shapes.push(Shape::rect_stroke(square, 2.0, pen, StrokeKind::Inside));
            self.taken.add(square);
            let size = self.text_size(&part.name) + vec2(10.0, 2.0);
            let (spot, _) = self.taken.spot(at, size, self.brush.lens.view.shrink(4.0));
            self.pill(spot.center(), &part.name, ink);
            self.taken.add(spot);
            self.splices.push((*id, square.expand(3.0)));
        }
    }

    /// A ring in the middle of a run that moves; its length of slack stands beside it in words.
    fn loop_sign(&mut self, line: &[Pos2], clear: f32) {
        let long: f32 = line.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
        let way = cut_out(line, 0.0, long / 2.0);
        let Some(middle) = way.last() else { return };
        let pen = Stroke::new(1.8, self.brush.palette.ink);
        self.shapes.push(Shape::circle_stroke(*middle, clear + 3.0, pen));
    }

    fn text_size(&self, text: &str) -> Vec2 {
        let font = theme::plain(theme::TEXT_SMALL);
        self.brush.painter.layout_no_wrap(text.to_owned(), font, Color32::WHITE).size()
    }

    /// A text on a patch of the sheet, so that it is read over lines and pictures.
    fn pill(&mut self, middle: Pos2, text: &str, colour: Color32) {
        let font = theme::plain(theme::TEXT_SMALL);
        let galley = self.brush.painter.layout_no_wrap(text.to_owned(), font, colour);
        let rect = Rect::from_center_size(middle, galley.size() + vec2(10.0, 2.0));
        let (sheet, edge) = (self.brush.palette.sheet, Stroke::new(1.0, self.brush.palette.edge));
        self.shapes.push(RectShape::new(rect, 6.0, sheet, edge, StrokeKind::Inside).into());
        let at = Align2::CENTER_CENTER.anchor_size(middle, galley.size()).min;
        self.shapes.push(Shape::galley(at, galley, colour));
    }

    /// Name and parts of a place.
    fn tag(&mut self, (id, place): (PlaceId, &Place), is_sought: bool) {
        let at = self.brush.pos(place.pos);
        let palette = self.brush.palette;
        let is_selected = self.look.view.layout == Some(LayoutItem::Place(id));
        // Most names that find no room are too long by far: they need not be laid out to tell.
        let least = Rect::from_center_size(at + under(LEAST_NAME), LEAST_NAME);
        if !is_sought && self.taken.spot_is_taken(least) {
            return;
        }
        let font = theme::bold(theme::TEXT_SMALL);
        let ink = if is_selected { palette.chosen } else { palette.ink };
        let name = self.brush.painter.layout_no_wrap(place.name.clone(), font, ink);
        let mut chips = if is_sought { self.chips(id) } else { Vec::new() };
        let size = |chips: &[Chip]| {
            let high = if chips.is_empty() { 2.0 } else { 24.0 };
            vec2(name.size().x.max(row_width(chips)) + 10.0, name.size().y + high)
        };
        let inside = self.brush.lens.view.shrink(4.0);
        let rect = if is_sought {
            let (mut rect, cost) = self.taken.spot(at, size(&chips), inside);
            if cost > MOST_COVERED && !chips.is_empty() && !is_selected {
                // The parts give way before a name covers another.
                chips.clear();
                (rect, _) = self.taken.spot(at, size(&chips), inside);
            }
            rect
        } else {
            let size = size(&chips);
            let spot = Rect::from_center_size(at + under(size), size);
            if self.taken.spot_is_taken(spot) {
                return;
            }
            spot
        };
        self.taken.add(rect);
        let ground = palette.sheet.gamma_multiply(0.85);
        self.shapes.push(Shape::rect_filled(rect, 5.0, ground));
        let text_at = pos2(rect.center().x - name.size().x / 2.0, rect.top() + 1.0);
        let below = text_at.y + name.size().y + 3.0;
        self.shapes.push(Shape::galley(text_at, name, ink));
        let mut x = rect.center().x - row_width(&chips) / 2.0;
        let mut spots = Vec::new();
        for (part, is_chosen, galley) in chips {
            let chip = Rect::from_min_size(pos2(x, below), galley.size() + vec2(10.0, 2.0));
            let edge = if is_chosen { palette.chosen } else { palette.quiet };
            if part.is_some() {
                let stroke = Stroke::new(if is_chosen { 2.0 } else { 1.0 }, edge);
                let kind = StrokeKind::Inside;
                self.shapes.push(RectShape::new(chip, 4.0, palette.card, stroke, kind).into());
            }
            x = chip.right() + 4.0;
            self.shapes.push(Shape::galley(chip.min + vec2(5.0, 1.0), galley, palette.ink));
            spots.extend(part.map(|part| (part, chip)));
        }
        self.tags.push(Tag { place: id, rect, chips: spots });
    }

    /// Parts named at a place, and how many more there are.
    fn chips(&self, place: PlaceId) -> Vec<Chip> {
        if self.brush.lens.scale() < CHIP_SCALE {
            return Vec::new();
        }
        let view = self.look.view;
        let parts = self.look.scene.parts_at.get(&place).map_or(&[][..], Vec::as_slice);
        let font = theme::plain(theme::TEXT_SMALL);
        let laid =
            |text: String, colour| self.brush.painter.layout_no_wrap(text, font.clone(), colour);
        let mut chips = Vec::new();
        // One more fits where it would only be counted.
        let most = if parts.len() == MOST_CHIPS + 1 { MOST_CHIPS + 1 } else { MOST_CHIPS };
        for id in parts.iter().take(most) {
            let Some(part) = view.project.parts.get(*id) else { continue };
            let is_chosen = view.selection.contains(&Item::Part(*id));
            chips.push((Some(*id), is_chosen, laid(part.name.clone(), self.brush.palette.ink)));
        }
        if parts.len() > most {
            let text = format!("+{}", parts.len() - most);
            chips.push((None, false, laid(text, self.brush.palette.quiet)));
        }
        chips
    }

    fn dot(&mut self, (id, place): (PlaceId, &Place)) {
        let at = self.brush.pos(place.pos);
        let palette = self.brush.palette;
        let is_selected = self.look.view.layout == Some(LayoutItem::Place(id));
        let radius = (1.5 * self.brush.lens.scale()).clamp(3.0, 6.5);
        let colour = if is_selected { palette.chosen } else { palette.ink };
        if is_selected {
            let halo = palette.chosen.gamma_multiply(0.25);
            self.shapes.push(Shape::circle_filled(at, radius + 6.0, halo));
        }
        let is_pinned = self.lit.iter().any(|wire| {
            self.look.view.project.wires.get(*wire).is_some_and(|wire| wire.via.contains(&id))
        });
        let fill = if is_pinned { palette.chosen } else { palette.card };
        // Two discs are a ring for a fraction of what a stroke costs.
        self.shapes.push(Shape::circle_filled(at, radius + 1.0, colour));
        self.shapes.push(Shape::circle_filled(at, radius - 1.0, fill));
        if is_pinned {
            self.pill(at + vec2(0.0, -radius - 13.0), "pinned", palette.chosen);
        }
    }
}

/// What is written on a run, longest first.
pub fn run_texts(run: &Run, n_wires: usize, preferences: &Preferences) -> [String; 4] {
    let length = preferences.length_text(run.length_mm);
    let slack = match run.loop_mm {
        Some(loop_mm) => format!("{length} + loop {}", preferences.length_text(loop_mm)),
        None => length.clone(),
    };
    let wires = match n_wires {
        0 => "no wire".to_owned(),
        1 => "1 wire".to_owned(),
        n => format!("{n} wires"),
    };
    let words = laid_words(run);
    let all = if words.is_empty() {
        format!("{slack} · {wires}")
    } else {
        format!("{slack} · {wires} · {words}")
    };
    [all, format!("{slack} · {wires}"), slack, length]
}
