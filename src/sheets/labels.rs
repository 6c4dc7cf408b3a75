//! Markers for both ends of every wire and for splices, with lines to cut along: on plain paper, or
//! on the user's sheet of sleeves or stickers.

use crate::geometry::{Point, Rect, point};
use crate::model::{PartKind, WireUse};
use crate::sheets::flow::{Flow, LEADING, Style};
use crate::sheets::label_sheet::LabelSheet;
use crate::sheets::measure::LEAST_PT;
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
    let mut n_short = 0;
    for row in markers.chunks(columns) {
        let room = flow.room(HEIGHT_MM);
        for (n, marker) in row.iter().enumerate() {
            let corner = point(room.min.x_mm + n as f64 * width_mm, room.min.y_mm);
            let place = Rect::spanning(corner, corner + point(width_mm, HEIGHT_MM));
            n_short += usize::from(draw(flow, marker, place));
        }
        cut_lines(flow, room.min, row.len(), width_mm);
    }
    if n_short > 0 {
        flow.note(&short_words(n_short));
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
    flow.paragraph(&format!(
        "{} of {} stand on the {} behind this page. One for each end of every wire: the end it \
         belongs to stands first.",
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
    let mut n_short = 0;
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
        n_short += usize::from(draw(flow, marker, place));
        flow.push(edge(place));
    }
    if n_short > 0 {
        let words = format!("{}.", short_words(n_short));
        let at = point(flow.body().min.x_mm, say_at + Style::QUIET.rise_mm());
        flow.text_on(first, at, Style::QUIET, &words);
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
            markers.push(Marker { name: row.name.clone(), side: side.clone(), line });
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
        markers.push(Marker { name: part.name.clone(), side: "splice".into(), line });
    }
    markers
}

/// Draws one marker; says whether something had to be shortened.
///
/// The name is as large as fits; below it stands where the wire goes, over as many lines as the
/// label has room for. A low label has the name only, with the colour beside it.
fn draw(flow: &mut Flow<'_>, marker: &Marker, place: Rect) -> bool {
    let pad_mm = PAD_MM.min(0.08 * place.width());
    let inner = place.width() - 2.0 * pad_mm;
    let fonts = flow.fonts;
    let line_mm = LEAST_PT * MM_PER_POINT * LEADING;
    let low_mm = 0.4;
    // What is left below a name of the smallest size.
    let n_lines = ((place.height() - 2.0 * low_mm - line_mm) / line_mm).floor().max(0.0) as usize;
    let side_mm = fonts.width_mm(&marker.side, LEAST_PT, false);
    let has_side = side_mm + 3.0 < 0.5 * inner;
    let for_name = if has_side { inner - side_mm - 3.0 } else { inner };
    let words = match (has_side, marker.side.as_str()) {
        (false, side) if !side.is_empty() => format!("{side} {}", marker.line),
        _ => marker.line.clone(),
    };
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
        flow.text_at(point(right, base), Anchor::End, small, &marker.side);
    }
    for (n, line) in lines.iter().enumerate() {
        let base = top + name_mm + n as f64 * line_mm + small.rise_mm();
        flow.text_at(point(left, base), Anchor::Start, small, line);
    }
    is_cut || name.ends_with('…')
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
