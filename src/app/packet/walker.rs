//! A page as shapes of the window, in the face it is printed with; this file only walks the items.
//!
//! The preview and the small pictures of pages are made by it. Letters too small to be read become
//! bars of their width, dashes too short to be seen a whole line.

use egui::epaint::{PathShape, PathStroke};
use egui::{Color32, FontId, Painter, Pos2, Rect, Shape, Stroke as Pen, StrokeKind, pos2, vec2};

use crate::app::theme;
use crate::geometry::{Point, Rect as PageRect};
use crate::sheets::{
    Anchor, Fonts, Ink, Item, MM_PER_POINT, Page, Stroke, Text, Tint, Way, stretches, tick_corners,
    wire_strokes,
};

/// Letters smaller than this become bars, in pixels of the screen.
const LEAST_LETTER: f32 = 4.5;
/// Dashes shorter than this become a whole line.
const LEAST_DASH: f32 = 1.5;
/// No line is thinner, in points of the screen.
const LEAST_LINE: f32 = 0.5;

/// Where a page lies on the screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lies {
    /// Its upper left corner.
    pub corner: Pos2,
    /// Points of the screen for a millimetre.
    pub scale: f32,
}

impl Lies {
    /// A point of the page on the screen.
    pub fn at(self, p: Point) -> Pos2 {
        self.corner + vec2(p.x_mm as f32, p.y_mm as f32) * self.scale
    }

    /// A rectangle of the page on the screen.
    pub fn rect(self, rect: PageRect) -> Rect {
        Rect::from_min_max(self.at(rect.min), self.at(rect.max))
    }

    /// The whole page.
    pub fn page(self, page: &Page) -> Rect {
        let size = vec2(page.width_mm as f32, page.height_mm as f32) * self.scale;
        Rect::from_min_size(self.corner, size)
    }
}

/// Paints what of a page lies within the painter's room: white paper, then every item.
pub fn paint_page(painter: &Painter, fonts: &Fonts, page: &Page, lies: Lies) {
    let paper = lies.page(page);
    painter.rect_filled(paper.expand(1.0), 1.0, Color32::from_gray(120));
    painter.rect_filled(paper, 0.0, Color32::WHITE);
    let inside = painter.with_clip_rect(painter.clip_rect().intersect(paper));
    let mut shapes = Vec::new();
    for item in &page.items {
        if inside.clip_rect().intersects(lies.rect(item.rect()).expand(1.0)) {
            put(&inside, fonts, (item, page.tint), lies, &mut shapes);
        }
    }
    inside.extend(shapes);
}

fn put(
    painter: &Painter,
    fonts: &Fonts,
    (item, tint): (&Item, Tint),
    lies: Lies,
    out: &mut Vec<Shape>,
) {
    match item {
        Item::Line { points, stroke } => line(points, *stroke, tint, lies, out),
        Item::Shape { points, fill } => {
            let points = points.iter().map(|p| lies.at(*p)).collect();
            let fill = colour(*fill, tint);
            out.push(Shape::Path(PathShape::convex_polygon(points, fill, PathStroke::NONE)));
        }
        Item::Rect { rect, stroke, fill } => boxed(*rect, (*stroke, *fill), tint, lies, out),
        Item::Circle { centre, radius_mm, stroke, fill } => {
            let (centre, radius) = (lies.at(*centre), *radius_mm as f32 * lies.scale);
            if let Some(fill) = fill {
                out.push(Shape::circle_filled(centre, radius, colour(*fill, tint)));
            }
            if let Some(stroke) = stroke {
                out.push(Shape::circle_stroke(centre, radius, pen(*stroke, tint, lies)));
            }
        }
        Item::Text(text) => words(painter, fonts, (text, tint), lies, out),
        Item::Tick { at, side_mm } => {
            let edge = Some(Stroke::solid(0.3, Ink::Black));
            boxed(tick_corners(*at, *side_mm), (edge, Some(Ink::White)), tint, lies, out);
        }
        Item::Wire { points, width_mm, colour } => {
            for stroke in wire_strokes(*width_mm, *colour, tint) {
                line(points, stroke, tint, lies, out);
            }
        }
    }
}

fn colour(ink: Ink, tint: Tint) -> Color32 {
    let [r, g, b] = ink.rgb(tint);
    Color32::from_rgb(r, g, b)
}

fn pen(stroke: Stroke, tint: Tint, lies: Lies) -> Pen {
    let width = (stroke.width_mm as f32 * lies.scale).max(LEAST_LINE);
    Pen::new(width, colour(stroke.ink, tint))
}

fn line(points: &[Point], stroke: Stroke, tint: Tint, lies: Lies, out: &mut Vec<Shape>) {
    let points: Vec<Pos2> = points.iter().map(|p| lies.at(*p)).collect();
    let pen = pen(stroke, tint, lies);
    let dash = stroke.dash_mm.map(|(dash, gap)| (dash as f32, gap as f32));
    match dash.map(|(dash, gap)| (dash * lies.scale, gap * lies.scale)) {
        Some((dash, gap)) if dash >= LEAST_DASH => {
            Shape::dashed_line_many(&points, pen, dash, gap, out);
        }
        Some(_) | None => out.push(Shape::line(points, pen)),
    }
}

fn boxed(
    rect: PageRect,
    (stroke, fill): (Option<Stroke>, Option<Ink>),
    tint: Tint,
    lies: Lies,
    out: &mut Vec<Shape>,
) {
    let on_screen = lies.rect(rect);
    if let Some(fill) = fill {
        out.push(Shape::rect_filled(on_screen, 0.0, colour(fill, tint)));
    }
    match stroke {
        Some(stroke) if stroke.dash_mm.is_some() => {
            let (a, b) = (rect.min, rect.max);
            let corner = |x_mm, y_mm| Point { x_mm, y_mm };
            let around = [a, corner(b.x_mm, a.y_mm), b, corner(a.x_mm, b.y_mm), a];
            line(&around, stroke, tint, lies, out);
        }
        Some(stroke) => {
            let pen = pen(stroke, tint, lies);
            out.push(Shape::rect_stroke(on_screen, 0.0, pen, StrokeKind::Middle));
        }
        None => {}
    }
}

fn words(
    painter: &Painter,
    fonts: &Fonts,
    (text, tint): (&Text, Tint),
    lies: Lies,
    out: &mut Vec<Shape>,
) {
    let size = (text.size_pt * MM_PER_POINT) as f32 * lies.scale;
    let ink = colour(text.ink, tint);
    let left = lies.at(Point { x_mm: text.left_mm(), y_mm: text.at.y_mm });
    let width = text.width_mm as f32 * lies.scale;
    if size * painter.ctx().pixels_per_point() < LEAST_LETTER {
        // About the height of small letters, and as dark as a line of text is from afar.
        let bar = Rect::from_min_max(left - vec2(0.0, 0.5 * size), left + vec2(width, 0.05 * size));
        let share = if text.bold { 0.6 } else { 0.4 };
        out.push(Shape::rect_filled(bar, 0.0, ink.gamma_multiply(share)));
        return;
    }
    let font = if text.bold { theme::bold(size) } else { theme::plain(size) };
    let parts = stretches(&text.text);
    if let [(_, Way::Rightwards)] = parts[..] {
        let x = match text.anchor {
            Anchor::Start => Side::Left(left.x),
            Anchor::Middle => Side::Middle(left.x + width / 2.0),
            Anchor::End => Side::Right(left.x + width),
        };
        letters(painter, &text.text, font, ink, (x, left.y), out);
        return;
    }
    let mut x = left.x;
    for (at, way) in parts {
        let stretch = &text.text[at];
        let turned: String = match way {
            Way::Rightwards => stretch.to_owned(),
            Way::Leftwards => stretch.chars().rev().collect(),
        };
        letters(painter, &turned, font.clone(), ink, (Side::Left(x), left.y), out);
        x += fonts.width_mm(stretch, text.size_pt, text.bold) as f32 * lies.scale;
    }
}

/// What of a text stands where it is put.
enum Side {
    Left(f32),
    Middle(f32),
    Right(f32),
}

fn letters(
    painter: &Painter,
    words: &str,
    font: FontId,
    ink: Color32,
    (side, base): (Side, f32),
    out: &mut Vec<Shape>,
) {
    let galley = painter.layout_no_wrap(words.to_owned(), font, ink);
    let rise = galley.rows.first().and_then(|row| {
        let glyph = row.glyphs.first()?;
        Some(row.pos.y + glyph.pos.y)
    });
    let width = galley.size().x;
    let x = match side {
        Side::Left(x) => x,
        Side::Middle(x) => x - width / 2.0,
        Side::Right(x) => x - width,
    };
    let at = pos2(x, base - rise.unwrap_or_default());
    out.push(Shape::galley(at, galley, ink));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;
    use crate::sheets::{Packet, Setup, packet};

    /// Shapes of a page at a scale, one list for each item.
    fn walked(page: &Page, scale: f32) -> Vec<Vec<Shape>> {
        let mut walked = Vec::new();
        let fonts = Fonts::new();
        let mut harness = egui_kittest::Harness::builder()
            .with_context_setup(theme::install_fonts)
            .build_ui(|ui| {
                let lies = Lies { corner: pos2(10.0, 20.0), scale };
                walked = page
                    .items
                    .iter()
                    .map(|item| {
                        let mut shapes = Vec::new();
                        put(ui.painter(), &fonts, (item, page.tint), lies, &mut shapes);
                        shapes
                    })
                    .collect();
            });
        harness.run();
        drop(harness);
        walked
    }

    fn made(sample: &str) -> Packet {
        packet(&samples::open(sample).unwrap(), &Setup::all_on_a4(), &|| true).unwrap()
    }

    #[test]
    fn every_item_is_painted_and_every_text_stands_on_its_base_line() {
        let packet = made("sprayer");
        let scale = 3.0;
        for page in packet.pages.iter().take(14) {
            let walked = walked(page, scale);
            assert_eq!(walked.len(), page.items.len());
            for (item, shapes) in page.items.iter().zip(walked) {
                assert!(!shapes.is_empty(), "{item:?} is not painted");
                let (Some(text), [Shape::Text(shape)]) = (item.text(), &shapes[..]) else {
                    assert!(item.text().is_none());
                    continue;
                };
                assert_eq!(shape.galley.text(), text.text);
                let row = &shape.galley.rows[0];
                let base = shape.pos.y + row.pos.y + row.glyphs[0].pos.y;
                let want = 20.0 + text.at.y_mm as f32 * scale;
                assert!((base - want).abs() < 0.6, "{text:?}: {base} {want}");
                let (left, width) = (text.left_mm() as f32, text.width_mm as f32);
                let middle = 10.0 + (left + width / 2.0) * scale;
                let seen = shape.pos.x + shape.galley.size().x / 2.0;
                // A pixel for every ten letters, because letters stand on whole pixels.
                let room = 1.5 + text.text.chars().count() as f32 * 0.15;
                assert!((seen - middle).abs() < room, "{text:?}: {seen} {middle}");
            }
        }
    }

    #[test]
    fn small_pages_are_bars_and_whole_lines() {
        let packet = made("sprayer");
        for shape in walked(&packet.pages[0], 0.5).iter().flatten() {
            assert!(!matches!(shape, Shape::Text(_)));
        }
        for page in &packet.pages {
            let walked = walked(page, 0.5);
            let most = walked.iter().map(Vec::len).max().unwrap_or_default();
            assert!(most < 400, "one item became {most} shapes");
        }
    }

    #[test]
    fn names_from_right_to_left_stand_in_the_order_they_are_read_in() {
        let mut packet = made("sprayer");
        let page = &mut packet.pages[0];
        let mut text = page.items.iter().find_map(Item::text).unwrap().clone();
        text.text = "Box אב 12".into();
        text.width_mm = Fonts::new().width_mm(&text.text, text.size_pt, text.bold);
        page.items = vec![Item::Text(text)];
        let shapes = walked(page, 3.0).remove(0);
        let words: Vec<&str> = shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Text(shape) => Some(shape.galley.text()),
                _ => None,
            })
            .collect();
        assert_eq!(words, ["Box ", "12", " בא"]);
    }
}
