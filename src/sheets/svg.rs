//! A page as SVG 1.1, text as text; this file only walks the items.

use std::fmt::Write;

use crate::geometry::{Point, Rect};
use crate::sheets::page::{
    Anchor, Ink, Item, MM_PER_POINT, Page, Stroke, Text, Tint, tick_corners, wire_strokes,
};
use crate::units::trim_zeros;

/// Writes one page. Widths and places are in millimetres; the same page gives the same text.
pub fn svg(page: &Page, title: &str) -> String {
    let (width, height) = (number(page.width_mm), number(page.height_mm));
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\" font-family=\"DejaVu Sans, Verdana, sans-serif\">\n\
         <title>{}</title>\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>\n",
        escaped(title)
    );
    for item in &page.items {
        put(&mut out, item, page.tint);
    }
    out += "</svg>\n";
    out
}

fn put(out: &mut String, item: &Item, tint: Tint) {
    match item {
        Item::Line { points, stroke } => line(out, points, stroke, tint, "line"),
        Item::Shape { points, fill } => {
            let _ = writeln!(
                out,
                "<polygon points=\"{}\" fill=\"{}\"/>",
                places(points),
                colour(*fill, tint)
            );
        }
        Item::Rect { rect, stroke, fill } => {
            boxed(out, *rect, &style(*stroke, *fill, tint));
        }
        Item::Circle { centre, radius_mm, stroke, fill } => {
            let _ = writeln!(
                out,
                "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}/>",
                number(centre.x_mm),
                number(centre.y_mm),
                number(*radius_mm),
                style(*stroke, *fill, tint)
            );
        }
        Item::Text(text) => words(out, text, tint),
        Item::Tick { at, side_mm } => {
            let edge = Some(Stroke::solid(0.3, Ink::Black));
            let style = format!(" class=\"tick\"{}", style(edge, Some(Ink::White), tint));
            boxed(out, tick_corners(*at, *side_mm), &style);
        }
        Item::Wire { points, width_mm, colour } => {
            for stroke in wire_strokes(*width_mm, *colour, tint) {
                line(out, points, &stroke, tint, "wire");
            }
        }
    }
}

fn line(out: &mut String, points: &[Point], stroke: &Stroke, tint: Tint, class: &str) {
    let _ = writeln!(
        out,
        "<polyline class=\"{class}\" points=\"{}\"{}/>",
        places(points),
        style(Some(*stroke), None, tint)
    );
}

fn boxed(out: &mut String, rect: Rect, style: &str) {
    let _ = writeln!(
        out,
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{style}/>",
        number(rect.min.x_mm),
        number(rect.min.y_mm),
        number(rect.width()),
        number(rect.height())
    );
}

fn words(out: &mut String, text: &Text, tint: Tint) {
    let anchor = match text.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let weight = if text.bold { " font-weight=\"bold\"" } else { "" };
    let ink = match text.ink {
        Ink::Black => String::new(),
        other => format!(" fill=\"{}\"", colour(other, tint)),
    };
    // The measured width keeps the text in its place where the reader has another face.
    let _ = writeln!(
        out,
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{anchor}{weight}{ink} textLength=\"{}\" \
         lengthAdjust=\"spacingAndGlyphs\" xml:space=\"preserve\">{}</text>",
        number(text.at.x_mm),
        number(text.at.y_mm),
        number(text.size_pt * MM_PER_POINT),
        number(text.width_mm),
        escaped(&text.text)
    );
}

fn style(stroke: Option<Stroke>, fill: Option<Ink>, tint: Tint) -> String {
    let fill = fill.map_or_else(|| "none".to_owned(), |ink| colour(ink, tint));
    let mut style = format!(" fill=\"{fill}\"");
    if let Some(stroke) = stroke {
        let _ = write!(
            style,
            " stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
            colour(stroke.ink, tint),
            number(stroke.width_mm)
        );
        if let Some((dash, gap)) = stroke.dash_mm {
            let _ = write!(style, " stroke-dasharray=\"{} {}\"", number(dash), number(gap));
        }
    }
    style
}

fn places(points: &[Point]) -> String {
    let place = |p: &Point| format!("{},{}", number(p.x_mm), number(p.y_mm));
    points.iter().map(place).collect::<Vec<_>>().join(" ")
}

fn colour(ink: Ink, tint: Tint) -> String {
    let [r, g, b] = ink.rgb(tint);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// Thousandths of a millimetre are finer than any printer.
fn number(value: f64) -> String {
    trim_zeros(&format!("{value:.3}"))
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
