//! Paints the sheet: ground, frames, parts, wires' names, selection, and what the hand holds.

use std::sync::Arc;

use egui::{Align2, Color32, FontId, Galley, Mesh, Painter, Pos2, Shape, Stroke, pos2, vec2};

use crate::app::canvas::squares::Squares;
use crate::app::canvas::transform::Lens;
use crate::app::theme::{self, Palette};
use crate::drawing::{self, Align, Mark, TEXT_MM};
use crate::edit::{Item, Selection};
use crate::geometry::{Point, Rect};
use crate::model::Project;

/// What every painter of the sheet needs.
#[derive(Clone, Copy)]
pub struct Brush<'a> {
    /// Paints, clipped to the sheet.
    pub painter: &'a Painter,
    /// Where the sheet is looked at.
    pub lens: Lens,
    /// Colours.
    pub palette: &'a Palette,
}

impl Brush<'_> {
    /// Place on the screen.
    pub fn pos(&self, p: Point) -> Pos2 {
        self.lens.screen_from_sheet(p)
    }

    /// The nearest edge between two pixels.
    pub fn snap(&self, v: f32) -> f32 {
        let ppp = self.painter.pixels_per_point();
        (v * ppp).round() / ppp
    }

    /// A line through points of the sheet.
    pub fn line(&self, points: &[Point], width: f32, colour: Color32) {
        let points: Vec<Pos2> = points.iter().map(|p| self.pos(*p)).collect();
        self.painter.add(Shape::line(points, Stroke::new(width, colour)));
    }

    /// Size of ordinary text: grows with the zoom, never below what can be read.
    pub fn text_size(&self) -> f32 {
        let size = TEXT_MM as f32 * self.lens.scale();
        ((size.clamp(theme::TEXT_SMALL, 46.0) * 2.0).round() / 2.0).max(theme::TEXT_SMALL)
    }

    /// A colour seen through: a soft glow, or the wash of a selection.
    pub fn glaze(colour: Color32, share: f32) -> Color32 {
        colour.gamma_multiply(share)
    }
}

/// Texts of one frame. They are painted last, the important ones first; a text that may be left
/// out is left out where it would cover another.
pub struct Texts {
    view: egui::Rect,
    jobs: Vec<TextJob>,
    taken: Squares<egui::Rect>,
}

struct TextJob {
    rank: TextRank,
    rect: egui::Rect,
    galley: Arc<Galley>,
    colour: Color32,
}

/// How important a text is; lower ones give way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TextRank {
    /// Always painted.
    Always,
    /// Names of parts.
    Name,
    /// What explains.
    Note,
    /// What is written along wires.
    Wire,
}

impl Texts {
    /// None yet, in this view.
    pub fn of(view: egui::Rect) -> Self {
        Self { view, jobs: Vec::new(), taken: Squares::of(view) }
    }

    /// Adds a text; `at` is the place its alignment names.
    pub fn add(
        &mut self,
        brush: &Brush<'_>,
        rank: TextRank,
        at: (Pos2, Align2),
        text: (&str, FontId),
        colour: Color32,
    ) {
        let galley = brush.painter.layout_no_wrap(text.0.to_owned(), text.1, colour);
        let rect = at.1.anchor_size(at.0, galley.size());
        if rect.intersects(brush.painter.clip_rect()) {
            self.keep_off(room_of(rect));
            self.jobs.push(TextJob { rank, rect, galley, colour });
        }
    }

    /// Keeps what is written along wires off a place.
    pub fn keep_off(&mut self, rect: egui::Rect) {
        self.taken.add(rect, rect);
    }

    /// Whether a text here would cover nothing that was kept free.
    pub fn is_free(&self, rect: egui::Rect) -> bool {
        !self.taken.near(rect).any(|other| other.intersects(rect))
    }

    /// Paints all texts that find room.
    pub fn paint(self, painter: &Painter) {
        let mut jobs = self.jobs;
        jobs.sort_by_key(|job| job.rank);
        let mut texts = Self::of(self.view);
        for job in jobs {
            let rect = room_of(job.rect);
            let has_room = match job.rank {
                TextRank::Always => true,
                TextRank::Name | TextRank::Note | TextRank::Wire => texts.is_free(rect),
            };
            if has_room {
                texts.keep_off(rect);
                painter.galley(job.rect.min, job.galley, job.colour);
            }
        }
    }
}

/// What a text covers for the eye: lines may stand closer than their boxes are high.
fn room_of(rect: egui::Rect) -> egui::Rect {
    rect.shrink2(vec2(1.0, rect.height() * 0.2))
}

/// The ground with its dots; their distance keeps easy on the eye at every zoom.
pub fn paint_ground(brush: &Brush<'_>) {
    let mut step_mm = 10.0;
    while brush.lens.scale() * (step_mm as f32) < 22.0 {
        step_mm *= 2.0;
    }
    let seen = brush.lens.sheet_rect();
    let first = |v: f64| (v / step_mm).ceil();
    let columns = (seen.width() / step_mm) as usize + 1;
    let rows = (seen.height() / step_mm) as usize + 1;
    let side = if brush.lens.scale() > 9.0 { 2.0 } else { 1.6 };
    let mut mesh = Mesh::default();
    for row in 0..rows {
        for column in 0..columns {
            let at = brush.pos(Point {
                x_mm: (first(seen.min.x_mm) + column as f64) * step_mm,
                y_mm: (first(seen.min.y_mm) + row as f64) * step_mm,
            });
            mesh.add_colored_rect(
                egui::Rect::from_center_size(at, vec2(side, side)),
                brush.palette.edge,
            );
        }
    }
    brush.painter.add(mesh);
}

/// Frames: dashed, with their name, and marked when selected or under the pointer.
pub fn paint_frames(
    brush: &Brush<'_>,
    texts: &mut Texts,
    project: &Project,
    selection: &Selection,
    hover: Option<Item>,
) {
    for (id, frame) in project.frames.iter() {
        let rect = brush.lens.screen_rect(frame.rect);
        if !rect.intersects(brush.painter.clip_rect()) {
            continue;
        }
        let is_selected = selection.contains(&Item::Frame(id));
        let is_hovered = hover == Some(Item::Frame(id));
        let (colour, width) = match (is_selected, is_hovered) {
            (true, _) => (brush.palette.chosen, 1.6),
            (false, true) => (brush.palette.ink, 1.4),
            (false, false) => (brush.palette.quiet, 1.2),
        };
        let outline = rounded(rect, 7.0_f32.min(rect.width() / 4.0).min(rect.height() / 4.0));
        brush.painter.extend(Shape::dashed_line(&outline, Stroke::new(width, colour), 6.0, 4.0));
        if is_selected {
            paint_grip(brush, rect.max);
        }
        let Mark::Text { at, text, .. } = drawing::frame_title(frame) else { continue };
        let font = theme::plain(brush.text_size());
        let colour = if is_selected { brush.palette.chosen } else { brush.palette.quiet };
        texts.add(
            brush,
            TextRank::Note,
            (brush.pos(at), Align2::LEFT_CENTER),
            (&text, font),
            colour,
        );
    }
}

/// A small square that can be pulled.
fn paint_grip(brush: &Brush<'_>, at: Pos2) {
    let square = egui::Rect::from_center_size(at, vec2(8.0, 8.0));
    brush.painter.rect(
        square,
        1.5,
        brush.palette.sheet,
        Stroke::new(1.5, brush.palette.chosen),
        egui::StrokeKind::Inside,
    );
}

/// The outline of a rectangle with round corners, closed.
fn rounded(rect: egui::Rect, radius: f32) -> Vec<Pos2> {
    let corners = [
        (pos2(rect.right() - radius, rect.top() + radius), -90.0_f32),
        (pos2(rect.right() - radius, rect.bottom() - radius), 0.0),
        (pos2(rect.left() + radius, rect.bottom() - radius), 90.0),
        (pos2(rect.left() + radius, rect.top() + radius), 180.0),
    ];
    let mut points: Vec<Pos2> = corners
        .into_iter()
        .flat_map(|(centre, start)| {
            (0..=4u8).map(move |step| {
                let angle = (start + f32::from(step) * 22.5).to_radians();
                centre + radius * vec2(angle.cos(), angle.sin())
            })
        })
        .collect();
    points.extend(points.first().copied());
    points
}

/// The halo of something selected or under the pointer.
pub fn paint_halo(brush: &Brush<'_>, rect: Rect, is_selected: bool) {
    let rect = brush.lens.screen_rect(rect).expand(5.0);
    if is_selected {
        let fill = Brush::glaze(brush.palette.chosen, 0.13);
        brush.painter.rect(
            rect,
            5.0,
            fill,
            Stroke::new(1.5, brush.palette.chosen),
            egui::StrokeKind::Middle,
        );
    } else {
        brush.painter.rect_filled(rect, 5.0, Brush::glaze(brush.palette.quiet, 0.16));
    }
}

/// What is faulty while a fault is shown as if it were there: struck through and outlined.
pub fn paint_fault(brush: &Brush<'_>, rect: Rect) {
    let rect = brush.lens.screen_rect(rect).expand(6.0);
    let stroke = Stroke::new(1.8, brush.palette.wrong);
    let outline = [
        rect.left_top(),
        rect.right_top(),
        rect.right_bottom(),
        rect.left_bottom(),
        rect.left_top(),
    ];
    brush.painter.extend(Shape::dashed_line(&outline, stroke, 6.0, 4.0));
    let reach = rect.size().min_elem().clamp(8.0, 22.0) / 2.0;
    let way = vec2(reach, reach);
    let (up, across) = (rect.center() - way, vec2(reach, -reach));
    let thick = Stroke::new(2.6, brush.palette.wrong);
    brush.painter.line_segment([up, rect.center() + way], thick);
    brush.painter.line_segment([rect.center() - across, rect.center() + across], thick);
}

/// The box drawn around what is to be selected.
pub fn paint_box(brush: &Brush<'_>, rect: Rect) {
    let rect = brush.lens.screen_rect(rect);
    brush.painter.rect_filled(rect, 2.0, Brush::glaze(brush.palette.chosen, 0.10));
    let outline = [
        rect.left_top(),
        rect.right_top(),
        rect.right_bottom(),
        rect.left_bottom(),
        rect.left_top(),
    ];
    brush.painter.extend(Shape::dashed_line(
        &outline,
        Stroke::new(1.2, brush.palette.chosen),
        4.0,
        3.0,
    ));
}

/// What to do with an empty sheet.
pub fn paint_invitation(brush: &Brush<'_>) {
    let lines = [
        "Drag a part from the strip above, or press P and type what to place.",
        "Then drag from one terminal to another to draw a wire.",
        "Or say under Choose what the machine shall do, and start with a drawn ladder.",
        "Sample projects are in the menu Project.",
    ];
    paint_words(brush, "An empty sheet", &lines);
}

/// A title with lines below it, in the middle of what is in view.
pub fn paint_words(brush: &Brush<'_>, title: &str, lines: &[&str]) {
    let middle = brush.lens.view.center();
    let title = (theme::bold(18.0), brush.palette.ink, title);
    let below =
        lines.iter().map(|line| (theme::plain(theme::TEXT_BODY), brush.palette.quiet, *line));
    let mut top = middle.y - 50.0;
    for (font, colour, text) in std::iter::once(title).chain(below) {
        let width = (brush.lens.view.width() - 40.0).max(120.0);
        let mut job = egui::text::LayoutJob::simple(text.to_owned(), font, colour, width);
        job.halign = egui::Align::Center;
        let galley = brush.painter.layout_job(job);
        let height = galley.size().y;
        brush.painter.galley(pos2(middle.x, top), galley, colour);
        top += height + 8.0;
    }
}

/// What an alignment of the drawing is on the screen.
pub fn anchor(align: Align) -> Align2 {
    match align {
        Align::Left => Align2::LEFT_CENTER,
        Align::Middle => Align2::CENTER_CENTER,
        Align::Right => Align2::RIGHT_CENTER,
    }
}
