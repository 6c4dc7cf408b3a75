//! A packet as PDF: one embedded face, real text, title, a bookmark for each sheet; this file only
//! walks the items.

use krilla::color::rgb;
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke as Pen, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph, TextDirection};
use krilla::{Document, SerializeSettings};

use crate::geometry::{Point, Rect};
use crate::sheets::bidi::{Way, has_leftwards, stretches};
use crate::sheets::measure::{BOLD, Fonts, REGULAR};
use crate::sheets::packet::Packet;
use crate::sheets::page::{
    Ink, Item, MM_PER_POINT, Page, Stroke, Text, Tint, tick_corners, wire_strokes,
};

/// Distance of a circle's control points from its ends, as a share of the radius (4/3 (√2 - 1)).
const ARC: f64 = 0.552_284_75;

/// Writes a packet. The same packet gives the same bytes.
///
/// # Errors
/// A sentence where there is no page, or where `keep_going` said no.
pub fn pdf(packet: &Packet, keep_going: &dyn Fn() -> bool) -> Result<Vec<u8>, String> {
    let mut document = Document::new_with(SerializeSettings::default());
    let faces = Faces::new()?;
    for page in &packet.pages {
        if !keep_going() {
            return Err("writing the packet was stopped".into());
        }
        let settings = PageSettings::from_wh(points(page.width_mm), points(page.height_mm))
            .ok_or("a page has no size")?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        for item in &page.items {
            put(&mut surface, &faces, item, page);
        }
        surface.finish();
        sheet.finish();
    }
    let mut outline = Outline::new();
    for mark in &packet.bookmarks {
        let top = krilla::geom::Point::from_xy(0.0, 0.0);
        let to = XyzDestination::new(mark.page, top);
        outline.push_child(OutlineNode::new(mark.title.clone(), to));
    }
    document.set_outline(outline);
    document.set_metadata(
        Metadata::new().title(packet.title.clone()).creator("Ohmloom".into()).language("en".into()),
    );
    document.finish().map_err(|error| format!("could not put the PDF together: {error:?}"))
}

/// Both faces and their measures.
struct Faces {
    fonts: Fonts,
    regular: Font,
    bold: Font,
}

impl Faces {
    fn new() -> Result<Self, String> {
        let read = |bytes: &'static [u8]| {
            Font::new(bytes.into(), 0).ok_or_else(|| "the font could not be read".to_owned())
        };
        Ok(Self { fonts: Fonts::new(), regular: read(REGULAR)?, bold: read(BOLD)? })
    }

    fn face(&self, bold: bool) -> Font {
        if bold { self.bold.clone() } else { self.regular.clone() }
    }
}

/// Millimetres in points.
fn points(length_mm: f64) -> f32 {
    (length_mm / MM_PER_POINT) as f32
}

fn put(surface: &mut Surface<'_>, faces: &Faces, item: &Item, page: &Page) {
    let tint = page.tint;
    match item {
        Item::Line { points, stroke } => stroked(surface, line(points), stroke, tint),
        Item::Shape { points, fill } => {
            let mut builder = traced(points);
            builder.close();
            painted(surface, builder.finish(), None, Some(*fill), tint);
        }
        Item::Rect { rect, stroke, fill } => {
            painted(surface, rectangle(*rect), *stroke, *fill, tint);
        }
        Item::Circle { centre, radius_mm, stroke, fill } => {
            painted(surface, circle(*centre, *radius_mm), *stroke, *fill, tint);
        }
        Item::Text(text) => words(surface, faces, text, tint),
        Item::Tick { at, side_mm } => {
            let edge = Some(Stroke::solid(0.3, Ink::Black));
            let path = rectangle(tick_corners(*at, *side_mm));
            painted(surface, path, edge, Some(Ink::White), tint);
        }
        Item::Wire { points, width_mm, colour } => {
            for stroke in wire_strokes(*width_mm, *colour, tint) {
                stroked(surface, line(points), &stroke, tint);
            }
        }
    }
}

fn fill(ink: Ink, tint: Tint) -> Fill {
    let [r, g, b] = ink.rgb(tint);
    Fill {
        paint: rgb::Color::new(r, g, b).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}

fn pen(stroke: &Stroke, tint: Tint) -> Pen {
    let [r, g, b] = stroke.ink.rgb(tint);
    Pen {
        paint: rgb::Color::new(r, g, b).into(),
        width: points(stroke.width_mm),
        miter_limit: 4.0,
        line_cap: LineCap::Butt,
        line_join: LineJoin::Round,
        opacity: NormalizedF32::ONE,
        dash: stroke
            .dash_mm
            .map(|(dash, gap)| StrokeDash { array: vec![points(dash), points(gap)], offset: 0.0 }),
    }
}

fn stroked(surface: &mut Surface<'_>, path: Option<Path>, stroke: &Stroke, tint: Tint) {
    painted(surface, path, Some(*stroke), None, tint);
}

fn painted(
    surface: &mut Surface<'_>,
    path: Option<Path>,
    stroke: Option<Stroke>,
    inside: Option<Ink>,
    tint: Tint,
) {
    let Some(path) = path else { return };
    if stroke.is_none() && inside.is_none() {
        return;
    }
    surface.set_fill(inside.map(|ink| fill(ink, tint)));
    surface.set_stroke(stroke.map(|stroke| pen(&stroke, tint)));
    surface.draw_path(&path);
}

fn traced(list: &[Point]) -> PathBuilder {
    let mut builder = PathBuilder::new();
    for (n, p) in list.iter().enumerate() {
        if n == 0 {
            builder.move_to(points(p.x_mm), points(p.y_mm));
        } else {
            builder.line_to(points(p.x_mm), points(p.y_mm));
        }
    }
    builder
}

fn line(list: &[Point]) -> Option<Path> {
    traced(list).finish()
}

fn rectangle(rect: Rect) -> Option<Path> {
    let mut builder = PathBuilder::new();
    let (left, top) = (points(rect.min.x_mm), points(rect.min.y_mm));
    let (right, bottom) = (points(rect.max.x_mm), points(rect.max.y_mm));
    builder.push_rect(krilla::geom::Rect::from_ltrb(left, top, right, bottom)?);
    builder.finish()
}

fn circle(centre: Point, radius_mm: f64) -> Option<Path> {
    let at =
        |x: f64, y: f64| (points(centre.x_mm + x * radius_mm), points(centre.y_mm + y * radius_mm));
    let mut builder = PathBuilder::new();
    let (x, y) = at(1.0, 0.0);
    builder.move_to(x, y);
    for [a, b, c] in [
        [(1.0, ARC), (ARC, 1.0), (0.0, 1.0)],
        [(-ARC, 1.0), (-1.0, ARC), (-1.0, 0.0)],
        [(-1.0, -ARC), (-ARC, -1.0), (0.0, -1.0)],
        [(ARC, -1.0), (1.0, -ARC), (1.0, 0.0)],
    ] {
        let ((ax, ay), (bx, by), (cx, cy)) = (at(a.0, a.1), at(b.0, b.1), at(c.0, c.1));
        builder.cubic_to(ax, ay, bx, by, cx, cy);
    }
    builder.close();
    builder.finish()
}

fn words(surface: &mut Surface<'_>, faces: &Faces, text: &Text, tint: Tint) {
    surface.set_stroke(None);
    surface.set_fill(Some(fill(text.ink, tint)));
    let mut x_mm = text.left_mm();
    if !has_leftwards(&text.text) {
        rightwards(surface, faces, text, x_mm, &text.text);
        return;
    }
    for (at, way) in stretches(&text.text) {
        let stretch = &text.text[at];
        match way {
            Way::Rightwards => rightwards(surface, faces, text, x_mm, stretch),
            Way::Leftwards => {
                let start = krilla::geom::Point::from_xy(points(x_mm), points(text.at.y_mm));
                let (face, size) = (faces.face(text.bold), text.size_pt as f32);
                surface.draw_text(start, face, size, stretch, false, TextDirection::RightToLeft);
            }
        }
        x_mm += faces.fonts.width_mm(stretch, text.size_pt, text.bold);
    }
}

/// Letters at the advances they were measured with.
fn rightwards(surface: &mut Surface<'_>, faces: &Faces, text: &Text, x_mm: f64, stretch: &str) {
    let glyph = |(at, letter): (usize, char)| {
        let (id, advance) = faces.fonts.glyph(letter, text.bold);
        KrillaGlyph {
            glyph_id: GlyphId::new(u32::from(id)),
            text_range: at..at + letter.len_utf8(),
            x_advance: advance as f32,
            x_offset: 0.0,
            y_offset: 0.0,
            y_advance: 0.0,
            location: None,
        }
    };
    let glyphs: Vec<KrillaGlyph> = stretch.char_indices().map(glyph).collect();
    let start = krilla::geom::Point::from_xy(points(x_mm), points(text.at.y_mm));
    let (face, size) = (faces.face(text.bold), text.size_pt as f32);
    surface.draw_glyphs(start, &glyphs, face, stretch, size, false);
}
