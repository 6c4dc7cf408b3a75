//! Reads back what was printed: PDF through a general library (lopdf), SVG through its attributes.
//!
//! Only what the packet needs is understood: matrices, lines, rectangles, glyphs with their Unicode
//! tables. Nothing here shares code with the writers.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]
#![allow(dead_code, reason = "each test binary uses a part of it")]

use std::collections::BTreeMap;

use lopdf::content::Content;
use lopdf::{Document, Object};

const MM: f64 = 25.4 / 72.0;

/// What one page of a PDF shows, in millimetres from its upper left corner.
#[derive(Debug, Default)]
pub struct Shown {
    pub width_mm: f64,
    pub height_mm: f64,
    /// Place of the first letter, size in points, words.
    pub texts: Vec<(f64, f64, f64, String)>,
    /// Lines and outlines as their corners.
    pub paths: Vec<Vec<(f64, f64)>>,
    /// How many times something was stroked or filled.
    pub n_painted: usize,
    /// Every colour that was set.
    pub colours: Vec<[f64; 3]>,
}

type Matrix = [f64; 6];

fn times(a: Matrix, b: Matrix) -> Matrix {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    ]
}

fn number(object: &Object) -> f64 {
    match object {
        Object::Integer(value) => *value as f64,
        Object::Real(value) => f64::from(*value),
        other => panic!("no number: {other:?}"),
    }
}

/// Reads every page.
pub fn read_pdf(bytes: &[u8]) -> Vec<Shown> {
    let document = Document::load_mem(bytes).unwrap();
    document.get_pages().into_values().map(|id| read_page(&document, id)).collect()
}

/// Titles of the bookmarks, in their order.
pub fn bookmarks(bytes: &[u8]) -> Vec<String> {
    let document = Document::load_mem(bytes).unwrap();
    let outlines = document.catalog().unwrap().get(b"Outlines").unwrap();
    let root = document.dereference(outlines).unwrap().1.as_dict().unwrap();
    let mut titles = Vec::new();
    let mut next = root.get(b"First").ok().cloned();
    while let Some(at) = next {
        let node = document.dereference(&at).unwrap().1.as_dict().unwrap();
        titles.push(pdf_text(node.get(b"Title").unwrap()));
        next = node.get(b"Next").ok().cloned();
    }
    titles
}

/// The document's title.
pub fn title(bytes: &[u8]) -> String {
    let document = Document::load_mem(bytes).unwrap();
    let info = document.trailer.get(b"Info").unwrap();
    let info = document.dereference(info).unwrap().1.as_dict().unwrap();
    pdf_text(info.get(b"Title").unwrap())
}

fn pdf_text(object: &Object) -> String {
    let bytes = object.as_str().unwrap();
    match bytes.strip_prefix(&[0xfe, 0xff]) {
        Some(rest) => {
            let units: Vec<u16> =
                rest.chunks(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
            String::from_utf16(&units).unwrap()
        }
        None => String::from_utf8(bytes.to_vec()).unwrap(),
    }
}

fn read_page(document: &Document, id: lopdf::ObjectId) -> Shown {
    let page = document.get_object(id).unwrap().as_dict().unwrap();
    let sides: Vec<f64> =
        page.get(b"MediaBox").unwrap().as_array().unwrap().iter().map(number).collect();
    let mut shown = Shown {
        width_mm: (sides[2] - sides[0]) * MM,
        height_mm: (sides[3] - sides[1]) * MM,
        ..Shown::default()
    };
    let height_pt = sides[3];
    let fonts: BTreeMap<Vec<u8>, BTreeMap<u16, String>> = document
        .get_page_fonts(id)
        .unwrap()
        .into_iter()
        .map(|(name, font)| {
            let map = document.dereference(font.get(b"ToUnicode").unwrap()).unwrap().1;
            let text = map.as_stream().unwrap().decompressed_content().unwrap();
            (name, unicode_of(&String::from_utf8_lossy(&text)))
        })
        .collect();
    let bytes = document.get_page_content(id);
    walk(&Content::decode(&bytes).unwrap(), &fonts, height_pt, &mut shown);
    shown
}

fn walk(
    content: &Content,
    fonts: &BTreeMap<Vec<u8>, BTreeMap<u16, String>>,
    height_pt: f64,
    shown: &mut Shown,
) {
    let mut now: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let mut kept: Vec<Matrix> = Vec::new();
    let mut text = now;
    let mut font: (Vec<u8>, f64) = (Vec::new(), 0.0);
    let mut path: Vec<(f64, f64)> = Vec::new();
    let place = |m: Matrix, x: f64, y: f64| {
        let (px, py) = (m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]);
        (px * MM, (height_pt - py) * MM)
    };
    for operation in &content.operations {
        let of = |n: usize| number(&operation.operands[n]);
        match operation.operator.as_str() {
            "q" => kept.push(now),
            "Q" => now = kept.pop().unwrap(),
            "cm" => now = times([of(0), of(1), of(2), of(3), of(4), of(5)], now),
            "m" | "l" => {
                if operation.operator == "m" && !path.is_empty() {
                    shown.paths.push(std::mem::take(&mut path));
                }
                path.push(place(now, of(0), of(1)));
            }
            "h" => path.extend(path.first().copied()),
            "c" => path.push(place(now, of(4), of(5))),
            "re" => {
                let (x, y, w, h) = (of(0), of(1), of(2), of(3));
                let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)];
                path.extend(corners.map(|(x, y)| place(now, x, y)));
            }
            "S" | "f" | "B" | "f*" | "B*" | "s" | "b" => {
                shown.n_painted += 1;
                shown.paths.push(std::mem::take(&mut path));
            }
            "rg" | "RG" => shown.colours.push([of(0), of(1), of(2)]),
            "Tf" => {
                let name = operation.operands[0].as_name().unwrap().to_vec();
                font = (name, of(1));
            }
            "Tm" => text = [of(0), of(1), of(2), of(3), of(4), of(5)],
            "TJ" | "Tj" => {
                let words = letters(&operation.operands[0], &fonts[&font.0]);
                let (x, y) = place(times(text, now), 0.0, 0.0);
                shown.texts.push((x, y, font.1, words));
            }
            _ => {}
        }
    }
}

/// Letters of the glyphs that are shown.
fn letters(shown: &Object, unicode: &BTreeMap<u16, String>) -> String {
    match shown {
        Object::Array(parts) => parts
            .iter()
            .filter(|part| matches!(part, Object::String(..)))
            .map(|part| letters(part, unicode))
            .collect(),
        Object::String(bytes, _) => bytes
            .chunks(2)
            .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
            .map(|glyph| unicode.get(&glyph).map_or("\u{0}", String::as_str))
            .collect(),
        other => panic!("no text: {other:?}"),
    }
}

/// Reads the `bfchar` and `bfrange` lines of a Unicode table.
fn unicode_of(text: &str) -> BTreeMap<u16, String> {
    let mut table = BTreeMap::new();
    let mut inside = "";
    for line in text.lines() {
        match line.trim() {
            line if line.ends_with("beginbfchar") => inside = "char",
            line if line.ends_with("beginbfrange") => inside = "range",
            line if line.starts_with("endbf") => inside = "",
            line if !inside.is_empty() => {
                let codes: Vec<&str> = line
                    .split(['<', '>'])
                    .map(str::trim)
                    .filter(|word| !word.is_empty() && *word != "[" && *word != "]")
                    .collect();
                let code = |text: &str| u16::from_str_radix(text, 16).unwrap();
                match (inside, codes.as_slice()) {
                    ("char", [glyph, words]) => {
                        table.insert(code(glyph), utf16(words));
                    }
                    ("range", [first, last, words]) => {
                        let start = u32::from_str_radix(words, 16).unwrap();
                        for (n, glyph) in (code(first)..=code(last)).enumerate() {
                            let letter = char::from_u32(start + n as u32).unwrap();
                            table.insert(glyph, letter.to_string());
                        }
                    }
                    other => panic!("no line of a Unicode table: {other:?}"),
                }
            }
            _ => {}
        }
    }
    table
}

fn utf16(hex: &str) -> String {
    let units: Vec<u16> = hex
        .as_bytes()
        .chunks(4)
        .map(|four| u16::from_str_radix(std::str::from_utf8(four).unwrap(), 16).unwrap())
        .collect();
    String::from_utf16(&units).unwrap()
}

/// One element of an SVG page: its name, attributes, words.
pub struct Element {
    pub name: String,
    pub attributes: BTreeMap<String, String>,
    pub words: String,
}

impl Element {
    pub fn number(&self, attribute: &str) -> f64 {
        self.attributes[attribute].parse().unwrap()
    }

    pub fn points(&self) -> Vec<(f64, f64)> {
        let point = |pair: &str| {
            let (x, y) = pair.split_once(',').unwrap();
            (x.parse().unwrap(), y.parse().unwrap())
        };
        self.attributes["points"].split(' ').map(point).collect()
    }
}

/// Elements of an SVG page that stand on a line of their own, as ours do.
pub fn read_svg(text: &str) -> Vec<Element> {
    let mut elements = Vec::new();
    for line in text.lines().skip(1) {
        let Some(rest) = line.strip_prefix('<') else { continue };
        if rest.starts_with('/') {
            continue;
        }
        let (head, words) = rest.split_once('>').unwrap();
        let (name, mut list) = head.split_once(' ').unwrap_or((head, ""));
        let mut attributes = BTreeMap::new();
        while let Some((key, after)) = list.split_once("=\"") {
            let (value, more) = after.split_once('"').unwrap();
            attributes.insert(key.trim().to_owned(), value.to_owned());
            list = more;
        }
        let words = words.split_once("</").map_or("", |(words, _)| words);
        let words = words
            .replace("&lt;", "<")
            .replace("&gt;", ">")
            .replace("&quot;", "\"")
            .replace("&amp;", "&");
        elements.push(Element { name: name.to_owned(), attributes, words });
    }
    elements
}
