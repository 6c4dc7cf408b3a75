//! Paints wires: their own colour between two ink edges, the tracer dashed along the middle, live ones with a glow.
//!
//! All wires are one mesh of upright rectangles, which costs a fraction of strokes and stays crisp.

use egui::{Align2, Color32, Mesh, Pos2, Shape, Stroke, pos2, vec2};

use crate::app::canvas::names;
use crate::app::canvas::paint::{Brush, TextRank, Texts};
use crate::app::canvas::rows::{Skin, WireRow};
use crate::app::theme;
use crate::drawing;
use crate::geometry::{Point, Rect};
use crate::model::{Wire, WireUse};

/// How a wire stands out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WireLook {
    /// Carries current between the pin and its reference.
    pub is_live: bool,
    /// Is selected.
    pub is_selected: bool,
    /// Is under the pointer.
    pub is_hovered: bool,
}

/// Below this many points a millimetre tracers are too fine to be seen.
const TRACER_SCALE: f32 = 0.9;

/// Wires in one mesh. Halos and glows go below, straight to the painter.
pub struct WireMesh<'a> {
    brush: &'a Brush<'a>,
    mesh: Mesh,
    /// The run in hand, on the screen.
    points: Vec<Pos2>,
}

impl<'a> WireMesh<'a> {
    /// An empty one; `mesh` gives its room.
    pub fn new(brush: &'a Brush<'a>, mut mesh: Mesh) -> Self {
        // What a mesh calls clearing gives its room away.
        mesh.indices.clear();
        mesh.vertices.clear();
        Self { brush, mesh, points: Vec::new() }
    }

    /// The mesh.
    pub fn done(self) -> Mesh {
        self.mesh
    }

    /// Puts one wire in.
    pub fn add(&mut self, row: &WireRow, look: WireLook) {
        let brush = self.brush;
        let (scale, palette) = (brush.lens.scale(), brush.palette);
        self.points.clear();
        self.points.extend(row.run.iter().map(|p| brush.pos(*p)));
        let width = row.skin.width(scale);
        match row.skin {
            Skin::Bare => {
                let (colour, extra) = match (look.is_live, look.is_selected) {
                    (true, _) => (palette.live, 0.6),
                    (false, true) => (palette.chosen, 0.0),
                    (false, false) => (palette.ink, 0.0),
                };
                self.add_run(whole_pixels(brush, width + extra), colour);
            }
            Skin::Insulated { base, tracer, .. } => {
                let width = whole_pixels(brush, width);
                let edge = whole_pixels(brush, (0.22 * scale).clamp(0.7, 2.0));
                self.add_run(width + 2.0 * edge, palette.ink);
                self.add_run(width, theme::insulation(base));
                if let Some(tracer) = tracer.filter(|_| scale >= TRACER_SCALE) {
                    self.add_dashes((width * 0.42).max(1.0), theme::insulation(tracer));
                }
            }
        }
    }

    fn add_run(&mut self, width: f32, colour: Color32) {
        let (brush, mesh) = (self.brush, &mut self.mesh);
        let clip = brush.painter.clip_rect();
        // Every edge is rounded by the same rule, so stretches meet without a notch at their corners.
        let low = |p: Pos2| pos2(brush.snap(p.x - width / 2.0), brush.snap(p.y - width / 2.0));
        let mut points = self.points.iter();
        let Some(mut a) = points.next().map(|p| low(*p)) else { return };
        for p in points {
            let b = low(*p);
            let rect = egui::Rect::from_min_max(a.min(b), a.max(b) + vec2(width, width));
            if rect.intersects(clip) {
                mesh.add_colored_rect(rect, colour);
            }
            a = b;
        }
    }

    fn add_dashes(&mut self, width: f32, colour: Color32) {
        let (brush, mesh) = (self.brush, &mut self.mesh);
        let clip = brush.painter.clip_rect();
        let (dash, gap) = (6.0_f32.max(width * 3.0), 5.0_f32.max(width * 2.5));
        let width = whole_pixels(brush, width);
        for pair in self.points.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            if !egui::Rect::from_two_pos(a, b).expand(width).intersects(clip) {
                continue;
            }
            let long = a.distance(b);
            let way = (b - a) / long.max(1e-3);
            let mut from = gap / 2.0;
            while from < long {
                let to = (from + dash).min(long);
                let rect = egui::Rect::from_two_pos(a + way * from, a + way * to);
                let size = if way.x.abs() > 0.5 {
                    vec2(rect.width(), width)
                } else {
                    vec2(width, rect.height())
                };
                let rect = egui::Rect::from_center_size(rect.center(), size);
                mesh.add_colored_rect(rect, colour);
                from += dash + gap;
            }
        }
    }
}

/// What lies below a wire that stands out: its halo, or the glow of the live path.
pub fn paint_below(brush: &Brush<'_>, row: &WireRow, look: WireLook) {
    let run = row.run.as_slice();
    let width = match row.skin {
        Skin::Bare => row.skin.width(brush.lens.scale()),
        Skin::Insulated { .. } => row.skin.width(brush.lens.scale()) + 2.0,
    };
    let layers: &[(f32, f32, Color32)] = match (look.is_selected, look.is_live, look.is_hovered) {
        (true, _, _) => &[(9.0, 0.30, brush.palette.chosen), (4.0, 0.45, brush.palette.chosen)],
        (false, true, _) => return glow(brush, run, width),
        (false, false, true) => &[(8.0, 0.22, brush.palette.quiet)],
        (false, false, false) => &[],
    };
    for (more, share, colour) in layers {
        brush.line(run, width + more, Brush::glaze(*colour, *share));
    }
}

/// The glow of a part on the live path, from terminal to terminal.
pub fn paint_glow(brush: &Brush<'_>, ends: [Point; 2]) {
    glow(brush, &ends, Skin::Bare.width(brush.lens.scale()));
}

fn glow(brush: &Brush<'_>, run: &[Point], width: f32) {
    for (more, share) in [(12.0, 0.10), (7.5, 0.16), (3.5, 0.24)] {
        brush.line(run, width + more, Brush::glaze(brush.palette.live, share));
    }
}

/// The run of a wire that is only being drawn.
pub fn paint_preview(brush: &Brush<'_>, run: &[Point], is_landed: bool) {
    let points: Vec<_> = run.iter().map(|p| brush.pos(*p)).collect();
    let stroke = Stroke::new(2.2, brush.palette.chosen);
    if is_landed {
        brush.painter.add(Shape::line(points, stroke));
    } else {
        brush.painter.extend(Shape::dashed_line(&points, stroke, 6.0, 4.0));
    }
}

/// Below this many points a millimetre nothing is written along wires.
pub const LABEL_SCALE: f32 = 1.5;

/// Keeps what is written along wires off a wire.
pub fn keep_off(brush: &Brush<'_>, texts: &mut Texts, run: &[Point]) {
    for pair in run.windows(2) {
        let rect = egui::Rect::from_two_pos(brush.pos(pair[0]), brush.pos(pair[1])).expand(1.5);
        let rect = rect.intersect(brush.painter.clip_rect());
        if rect.is_positive() {
            texts.keep_off(rect);
        }
    }
}

/// Writes a wire's name along it, in full where there is room on either side of one of its
/// stretches, else the bare name, else nothing.
pub fn add_label(brush: &Brush<'_>, texts: &mut Texts, wire: &Wire, run: &[Point], look: WireLook) {
    let is_wanted = match wire.usage {
        WireUse::Harness => true,
        WireUse::Internal => look.is_selected,
    };
    if !is_wanted || wire.name.is_empty() || run.len() < 2 {
        return;
    }
    let colour = match (look.is_selected, look.is_hovered) {
        (true, _) => brush.palette.chosen,
        (false, true) => brush.palette.ink,
        (false, false) => brush.palette.quiet,
    };
    let font = theme::plain(brush.text_size());
    let full = names::wire_label(wire, &wire.size.text());
    for text in [full.as_str(), wire.name.as_str()] {
        let size = brush.painter.layout_no_wrap(text.to_owned(), font.clone(), colour).size();
        for (at, align) in label_places(brush, wire, run, size) {
            let rect = align.anchor_size(at, size).shrink2(vec2(0.0, size.y * 0.15));
            if texts.is_free(rect) {
                texts.add(brush, TextRank::Wire, (at, align), (text, font), colour);
                return;
            }
        }
    }
}

/// Places for a text of this size beside a wire, best first: along its longest level stretch,
/// then along the others that are long enough.
fn label_places(
    brush: &Brush<'_>,
    wire: &Wire,
    run: &[Point],
    size: egui::Vec2,
) -> Vec<(Pos2, Align2)> {
    let lift = Skin::of(wire).width(brush.lens.scale()) / 2.0 + 2.5;
    let best = drawing::wire_label_pos(run);
    let mut stretches: Vec<&[Point]> = run.windows(2).collect();
    let is_best = |pair: &[Point]| Rect::spanning(pair[0], pair[1]).centre() == best;
    let length = |pair: &[Point]| pair[0].distance(pair[1]);
    stretches.sort_by(|a, b| is_best(b).cmp(&is_best(a)).then(length(b).total_cmp(&length(a))));
    let mut places = Vec::new();
    for pair in stretches {
        let room = length(pair) as f32 * brush.lens.scale();
        let (a, b) = (brush.pos(pair[0]), brush.pos(pair[1]));
        for share in [0.5_f32, 0.3, 0.7] {
            let at = a + (b - a) * share;
            let free = 2.0 * room * share.min(1.0 - share);
            if pair[0].y_mm == pair[1].y_mm && size.x + 8.0 < free {
                places.push((pos2(at.x, at.y - lift), Align2::CENTER_BOTTOM));
                places.push((pos2(at.x, at.y + lift), Align2::CENTER_TOP));
            } else if pair[0].x_mm == pair[1].x_mm && size.y + 6.0 < free {
                places.push((pos2(at.x + lift + 2.0, at.y), Align2::LEFT_CENTER));
                places.push((pos2(at.x - lift - 2.0, at.y), Align2::RIGHT_CENTER));
            }
        }
    }
    places
}

/// A width of whole pixels, at least one.
fn whole_pixels(brush: &Brush<'_>, width: f32) -> f32 {
    brush.snap(width).max(1.0 / brush.painter.pixels_per_point())
}
