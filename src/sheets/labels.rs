//! Markers for both ends of every wire and for splices, with lines to cut along.

use crate::geometry::{Point, point};
use crate::model::{PartKind, WireUse};
use crate::sheets::flow::{Flow, Style};
use crate::sheets::packet::Job;
use crate::sheets::page::{Anchor, Ink, Item, Stroke};

/// Width of a marker at least, in millimetres.
const WIDTH_MM: f64 = 58.0;
/// Height of a marker.
const HEIGHT_MM: f64 = 13.0;
/// Air inside a marker.
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
    flow.note(
        "Cut along the dashed lines; one marker for each end of every wire, the end it belongs to \
         stands first. Slide it on before the terminal goes on.",
    );
    let columns = (flow.body().width() / WIDTH_MM).floor().max(1.0) as usize;
    let width_mm = flow.body().width() / columns as f64;
    let mut n_short = 0;
    for row in markers.chunks(columns) {
        let room = flow.room(HEIGHT_MM);
        for (n, marker) in row.iter().enumerate() {
            let corner = point(room.min.x_mm + n as f64 * width_mm, room.min.y_mm);
            n_short += usize::from(draw(flow, marker, corner, width_mm));
        }
        cut_lines(flow, room.min, row.len(), width_mm);
    }
    if n_short > 0 {
        flow.note(&format!("{n_short} texts are too long for a marker and end in …"));
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
fn draw(flow: &mut Flow<'_>, marker: &Marker, corner: Point, width_mm: f64) -> bool {
    let inner = width_mm - 2.0 * PAD_MM;
    let side_mm = flow.fonts.width_mm(&marker.side, 9.0, false);
    let (name, size_pt) = flow.fonts.shrunk(&marker.name, inner - side_mm - 3.0, 13.0, true);
    let (line, line_pt) = flow.fonts.shrunk(&marker.line, inner, 9.5, false);
    let top = corner + point(PAD_MM, 5.6);
    let style = Style { size_pt, bold: true, ink: Ink::Black };
    flow.text_at(top, Anchor::Start, style, &name);
    let style = Style { size_pt: 9.0, bold: false, ink: Ink::Black };
    flow.text_at(top + point(inner, 0.0), Anchor::End, style, &marker.side);
    let style = Style { size_pt: line_pt, bold: false, ink: Ink::Black };
    flow.text_at(corner + point(PAD_MM, HEIGHT_MM - 2.6), Anchor::Start, style, &line);
    [&name, &line].into_iter().any(|words| words.ends_with('…'))
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
