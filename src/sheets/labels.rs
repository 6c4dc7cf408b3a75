//! Markers for both ends of every wire and for splices, with lines to cut along: on plain paper, or
//! on the user's sheet of sleeves or stickers.

use crate::geometry::{Point, Rect, point};
use crate::model::{PartKind, WireUse};
use crate::sheets::flow::{Flow, LEADING, Style};
use crate::sheets::label_sheet::LabelSheet;
use crate::sheets::measure::{Fonts, LEAST_PT};
use crate::sheets::packet::Job;
use crate::sheets::page::{Anchor, Ink, Item, MM_PER_POINT, Stroke};
use crate::units::counted;

/// Width of a marker on plain paper at least, in millimetres.
const WIDTH_MM: f64 = 58.0;
/// Height of a marker on plain paper.
const HEIGHT_MM: f64 = 13.0;
/// Air inside a marker, beside the text.
const PAD_MM: f64 = 2.0;

/// What stands on one marker.
struct Marker {
    name: String,
    side: String,
    line: String,
    /// The end it belongs to; empty for a splice.
    near: String,
}

/// What could not be had on a marker, or on so many of them.
#[derive(Clone, Copy, Default)]
struct Lacks {
    /// Something had to be shortened.
    n_short: usize,
    /// There is no room for the end: both markers of the wire are the same.
    n_alike: usize,
}

impl Lacks {
    fn add(&mut self, other: Self) {
        self.n_short += other.n_short;
        self.n_alike += other.n_alike;
    }

    /// What is to be said, a sentence each.
    fn words(self) -> Vec<String> {
        let mut words = Vec::new();
        if self.n_short > 0 {
            words.push(format!("{}.", short_words(self.n_short)));
        }
        if self.n_alike > 0 {
            let markers = match self.n_alike {
                1 => "1 marker has".to_owned(),
                n => format!("{n} markers have"),
            };
            words.push(format!(
                "{markers} no room for the end: these labels do not tell the ends apart."
            ));
        }
        words
    }
}

/// Writes the sheet.
pub fn fill(job: &Job<'_>, flow: &mut Flow<'_>) {
    let markers = markers(job);
    if markers.is_empty() {
        flow.paragraph("No wire of the harness is drawn yet, so there is nothing to mark.");
        return;
    }
    let body = flow.body();
    let size_mm = flow.size_mm();
    match job.setup.labels.map(|sheet| (sheet, sheet.check(size_mm))) {
        Some((sheet, Ok(()))) => return on_sheets(job, flow, (&markers, sheet)),
        Some((_, Err(why))) => flow.paragraph(&format!(
            "The sheet of labels cannot be used: {why}. The markers stand on plain paper instead."
        )),
        None => {}
    }
    flow.note(
        "Cut along the dashed lines; one marker for each end of every wire, the end it belongs to \
         stands first. Slide it on before the terminal goes on.",
    );
    let columns = (body.width() / WIDTH_MM).floor().max(1.0) as usize;
    let width_mm = body.width() / columns as f64;
    let mut lacks = Lacks::default();
    for row in markers.chunks(columns) {
        let room = flow.room(HEIGHT_MM);
        for (n, marker) in row.iter().enumerate() {
            let corner = point(room.min.x_mm + n as f64 * width_mm, room.min.y_mm);
            let place = Rect::spanning(corner, corner + point(width_mm, HEIGHT_MM));
            lacks.add(draw(flow, marker, place));
        }
        cut_lines(flow, room.min, row.len(), width_mm);
    }
    for words in lacks.words() {
        flow.note(&words);
    }
}

fn short_words(n: usize) -> String {
    format!(
        "{} too long for a marker and end in …",
        match n {
            1 => "1 marker has a text that is".to_owned(),
            n => format!("{n} markers have texts that are"),
        }
    )
}

/// A page that says what to put into the printer, then the sheets, with nothing else on them.
fn on_sheets(job: &Job<'_>, flow: &mut Flow<'_>, (markers, sheet): (&[Marker], LabelSheet)) {
    let used = usize::from(sheet.used);
    let n_sheets = (used + markers.len()).div_ceil(sheet.count());
    let stands = if n_lines(sheet.height_mm) == 0 { "beside its name" } else { "first" };
    flow.paragraph(&format!(
        "{} of {} stand on the {} behind this page. One for each end of every wire: the end it \
         belongs to stands {stands}.",
        counted(markers.len(), "marker"),
        sheet.words(),
        counted(n_sheets, "sheet")
    ));
    if used > 0 {
        let words = counted(used, "label");
        flow.bullet(&format!("The first {words} of the first sheet are used up and stay empty."));
    }
    flow.bullet("Print at 100 %, never fitted to the page, and try it on plain paper first.");
    flow.bullet(
        "The thin lines are the edges of the labels: where they miss, correct the margins.",
    );
    flow.bullet("Sleeves go on before the terminal.");
    // It may only be said once it is known; the sheets come behind.
    let say_at = flow.y_mm;
    let first = flow.pages.len() - 1;
    let mut lacks = Lacks::default();
    for (n, marker) in markers.iter().enumerate() {
        let idx = used + n;
        let on_sheet = idx % sheet.count();
        if n == 0 || on_sheet == 0 {
            if !(job.keep_going)() {
                return;
            }
            flow.bare_page();
        }
        let place = sheet.place(on_sheet);
        lacks.add(draw(flow, marker, place));
        flow.push(edge(place));
    }
    for (n, words) in lacks.words().iter().enumerate() {
        let y_mm = say_at + Style::QUIET.rise_mm() + n as f64 * Style::QUIET.line_mm();
        flow.text_on(first, point(flow.body().min.x_mm, y_mm), Style::QUIET, words);
    }
}

/// The edge of a label: a line to cut along, or to see that the sheet lies right.
fn edge(place: Rect) -> Item {
    Item::Rect {
        rect: place,
        stroke: Some(Stroke::dashed(0.15, Ink::Quiet, (2.0, 1.5))),
        fill: None,
    }
}

fn markers(job: &Job<'_>) -> Vec<Marker> {
    let project = job.project;
    let mut markers = Vec::new();
    for row in &job.cut.rows {
        let side = row.colour.code();
        for (here, there) in [(&row.from, &row.to), (&row.to, &row.from)] {
            let line = format!("{here} → {there}");
            let (name, side, near) = (row.name.clone(), side.clone(), here.clone());
            markers.push(Marker { name, side, line, near });
        }
    }
    for (id, part) in project.parts.iter() {
        let PartKind::Splice { on, .. } = part.kind else { continue };
        let joined: Vec<&str> = project
            .wires
            .iter()
            .filter(|(_, wire)| wire.usage == WireUse::Harness)
            .filter(|(wire_id, w)| {
                Some(*wire_id) == on || w.from.terminal.part == id || w.to.terminal.part == id
            })
            .map(|(_, wire)| wire.name.as_str())
            .collect();
        let line = format!("joins {}", joined.join(" "));
        let (name, side) = (part.name.clone(), "splice".into());
        markers.push(Marker { name, side, line, near: String::new() });
    }
    markers
}

/// Air above and below the text of a marker, in millimetres.
const LOW_MM: f64 = 0.4;
/// Height of a line of the smallest size, in millimetres.
const LINE_MM: f64 = LEAST_PT * MM_PER_POINT * LEADING;

/// How many lines a label has room for below a name of the smallest size.
fn n_lines(height_mm: f64) -> usize {
    ((height_mm - 2.0 * LOW_MM - LINE_MM) / LINE_MM).floor().max(0.0) as usize
}

/// What stands beside the name where there is no line below it: the end, and the colour where that
/// fits too. `None` where not even the end does.
fn beside(fonts: &Fonts, marker: &Marker, inner_mm: f64) -> Option<String> {
    let name_mm = fonts.width_mm(&marker.name, LEAST_PT, true);
    let fits = |words: &String| name_mm + 3.1 + fonts.width_mm(words, LEAST_PT, false) <= inner_mm;
    let both = format!("{} {}", marker.near, marker.side);
    [both, marker.near.clone()].into_iter().find(fits)
}

/// Draws one marker; says what it lacks.
///
/// The name is as large as fits; below it stands where the wire goes, over as many lines as the
/// label has room for. A low label has the name only, with its end and the colour beside it.
fn draw(flow: &mut Flow<'_>, marker: &Marker, place: Rect) -> Lacks {
    let pad_mm = PAD_MM.min(0.08 * place.width());
    let inner = place.width() - 2.0 * pad_mm;
    let fonts = flow.fonts;
    let (line_mm, low_mm, n_lines) = (LINE_MM, LOW_MM, n_lines(place.height()));
    let is_end_wanted = n_lines == 0 && !marker.near.is_empty();
    let end = if is_end_wanted { beside(fonts, marker, inner) } else { None };
    let (has_end, side) = (end.is_some(), end.unwrap_or_else(|| marker.side.clone()));
    let side_mm = fonts.width_mm(&side, LEAST_PT, false);
    let has_side = has_end || side_mm + 3.0 < 0.5 * inner;
    let for_name = if has_side { inner - side_mm - 3.0 } else { inner };
    let is_side_below = !has_side && !side.is_empty();
    let words = if is_side_below { format!("{side} {}", marker.line) } else { marker.line.clone() };
    let mut lines = fonts.wrapped(&words, inner, LEAST_PT, false);
    lines.retain(|line| !line.is_empty());
    let is_cut = n_lines > 0 && lines.len() > n_lines;
    if is_cut {
        let rest = lines.split_off(n_lines - 1).join(" ");
        lines.push(fonts.shrunk(&rest, inner, LEAST_PT, false).0);
    }
    lines.truncate(n_lines);
    let free_mm = place.height() - 2.0 * low_mm - lines.len() as f64 * line_mm;
    let most_pt = (free_mm / (MM_PER_POINT * LEADING)).clamp(LEAST_PT, 14.0);
    let (name, size_pt) = fonts.shrunk(&marker.name, for_name, most_pt, true);
    let name_mm = size_pt * MM_PER_POINT * LEADING;
    // The block of name and lines stands in the middle of the label.
    let block_mm = name_mm + lines.len() as f64 * line_mm;
    let top = place.min.y_mm + (place.height() - block_mm) / 2.0;
    let (left, right) = (place.min.x_mm + pad_mm, place.max.x_mm - pad_mm);
    let base = top + size_pt * MM_PER_POINT;
    let style = Style { size_pt, bold: true, ink: Ink::Black };
    flow.text_at(point(left, base), Anchor::Start, style, &name);
    let small = Style { size_pt: LEAST_PT, bold: false, ink: Ink::Black };
    if has_side {
        flow.text_at(point(right, base), Anchor::End, small, &side);
    }
    for (n, line) in lines.iter().enumerate() {
        let base = top + name_mm + n as f64 * line_mm + small.rise_mm();
        flow.text_at(point(left, base), Anchor::Start, small, line);
    }
    Lacks {
        n_short: usize::from(is_cut || name.ends_with('…')),
        n_alike: usize::from(is_end_wanted && !has_end),
    }
}

fn cut_lines(flow: &mut Flow<'_>, corner: Point, n: usize, width_mm: f64) {
    let cut = Stroke::dashed(0.15, Ink::Quiet, (2.0, 1.5));
    let right = n as f64 * width_mm;
    for y in [0.0, HEIGHT_MM] {
        flow.push(Item::Line {
            points: vec![corner + point(0.0, y), corner + point(right, y)],
            stroke: cut,
        });
    }
    for column in 0..=n {
        let x = column as f64 * width_mm;
        flow.push(Item::Line {
            points: vec![corner + point(x, 0.0), corner + point(x, HEIGHT_MM)],
            stroke: cut,
        });
    }
}
