//! A connector's cavities seen from one side, drawn small, with the view's name and the latch.
//!
//! The face view looks at the mating face, the wire view at the side the wires go in: each is the
//! mirror image of the other. Mixing them up is the oldest mistake there is, so the name stands large.

use egui::{
    Align2, Color32, FontId, Id, Pos2, Rect, Sense, Stroke, StrokeKind, Ui, Vec2, pos2, vec2,
};

use crate::app::theme;
use crate::app::view::View;
use crate::model::{CavityLayout, Latch, Numbering};

/// Which side is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaceSide {
    /// The mating face.
    Face,
    /// The wires.
    Wires,
}

impl FaceSide {
    /// Name of the view.
    pub fn words(self) -> &'static str {
        match self {
            Self::Face => "face view",
            Self::Wires => "wire view",
        }
    }
}

/// What one picture shows.
#[derive(Clone, Copy, Debug)]
pub struct FaceView {
    /// Arrangement.
    pub layout: CavityLayout,
    /// Numbers as they run on this half's face view.
    pub numbering: Numbering,
    /// Side of the latch on the face view.
    pub latch: Latch,
    /// Side looked at.
    pub side: FaceSide,
}

/// What is known about a cavity, for its picture.
#[derive(Clone, Debug, Default)]
pub struct CavityLook {
    /// Insulation of the wire that ends there.
    pub wire: Option<Color32>,
    /// Whether it is a sense pin.
    pub is_sense: bool,
    /// Whether a sealing plug or a wire that was there before fills it.
    pub mark: Option<char>,
    /// Words for pointer and screen reader.
    pub words: String,
}

/// Centres of all cavities in steps of one cavity from the middle of the picture, right and down positive.
pub fn cavity_spots(view: FaceView) -> Vec<(u16, f32, f32)> {
    let mirrored = (view.numbering == Numbering::Backward) != (view.side == FaceSide::Wires);
    let turn = |x: f32| if mirrored { -x } else { x };
    let place = |cavity: u16| match view.layout {
        CavityLayout::Grid { rows, columns } => {
            let (row, column) = ((cavity - 1) / columns.max(1), (cavity - 1) % columns.max(1));
            let middle = |n: u16| (f32::from(n) - 1.0) / 2.0;
            (f32::from(column) - middle(columns), f32::from(row) - middle(rows))
        }
        CavityLayout::Ring { around, .. } if cavity > around => (0.0, 0.0),
        CavityLayout::Ring { around, .. } => {
            let angle = std::f32::consts::TAU * f32::from(cavity - 1) / f32::from(around.max(1));
            let radius = ring_radius(around);
            (radius * angle.sin(), -radius * angle.cos())
        }
    };
    (1..=view.layout.count())
        .map(|cavity| {
            let (x, y) = place(cavity);
            (cavity, turn(x), y)
        })
        .collect()
}

/// Radius at which neighbours on the ring, and the one in the centre, keep clear of each other.
fn ring_radius(around: u16) -> f32 {
    (1.25 * f32::from(around) / std::f32::consts::TAU).max(1.25)
}

/// Columns and rows the picture takes, in steps of one cavity.
fn steps(layout: CavityLayout) -> Vec2 {
    match layout {
        CavityLayout::Grid { rows, columns } => vec2(f32::from(columns), f32::from(rows)),
        CavityLayout::Ring { around, .. } => Vec2::splat(2.0 * ring_radius(around) + 1.0),
    }
}

/// Draws the view in the width there is; returns the cavity that was clicked.
pub fn face_ui(
    ui: &mut Ui,
    id: Id,
    face: FaceView,
    chosen: Option<u16>,
    view: View<'_>,
    look: impl Fn(u16) -> CavityLook,
) -> Option<u16> {
    const AIR: f32 = 9.0;
    let steps = steps(face.layout);
    let wide = ui.available_width() - 2.0 * AIR - 8.0;
    // No number smaller than text: where there are many cavities the picture is wide and scrolls.
    let least = if face.layout.count() < 100 { 23.0 } else { 29.0 };
    let step = (wide / steps.x).clamp(least, least + 4.0);
    let body = steps * step + Vec2::splat(2.0 * AIR);
    let title = ui.label(
        egui::RichText::new(face.side.words().to_uppercase()).font(theme::bold(theme::TEXT_BODY)),
    );
    let _ = title.on_hover_text(match face.side {
        FaceSide::Face => "Looking at the mating face",
        FaceSide::Wires => "Looking at the side the wires go in: the mirror image of the face view",
    });
    let mut clicked = None;
    egui::ScrollArea::horizontal().id_salt(id.with(face.side)).show(ui, |ui| {
        let (rect, _) = ui.allocate_exact_size(body + Vec2::splat(16.0), Sense::hover());
        let outline = Rect::from_center_size(rect.center(), body);
        paint_shell(ui, outline, face, view);
        for (cavity, x, y) in cavity_spots(face) {
            let centre = outline.center() + vec2(x, y) * step;
            let square = Rect::from_center_size(centre, Vec2::splat(step - 3.0));
            let look = look(cavity);
            let response = ui.interact(square, id.with((face.side, cavity)), Sense::click());
            paint_cavity(
                ui,
                square,
                cavity,
                &look,
                (chosen == Some(cavity), response.hovered()),
                view,
            );
            let name = format!("cavity {cavity}, {}", face.side.words());
            response.widget_info(|| {
                egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, name.clone())
            });
            if response.on_hover_text(look.words.as_str()).clicked() {
                clicked = Some(cavity);
            }
        }
    });
    clicked
}

/// Outline and latch.
fn paint_shell(ui: &Ui, outline: Rect, face: FaceView, view: View<'_>) {
    let ink = Stroke::new(1.4, view.palette.ink);
    ui.painter().rect_stroke(outline, 5.0, ink, StrokeKind::Middle);
    let latch = latch_rect(outline, face);
    ui.painter().rect_filled(latch, 3.0, view.palette.wash(view.palette.ink, 0.12));
    ui.painter().rect_stroke(latch, 3.0, ink, StrokeKind::Middle);
}

/// Where the latch sits in this view; left and right change places with the side looked at.
fn latch_rect(outline: Rect, face: FaceView) -> Rect {
    let across = vec2((outline.width() * 0.4).clamp(18.0, 60.0), 7.0);
    let along = vec2(7.0, (outline.height() * 0.5).clamp(14.0, 40.0));
    let mirrored = face.side == FaceSide::Wires;
    let (centre, size): (Pos2, Vec2) = match (face.latch, mirrored) {
        (Latch::Up, _) => (outline.center_top() - vec2(0.0, 3.5), across),
        (Latch::Down, _) => (outline.center_bottom() + vec2(0.0, 3.5), across),
        (Latch::Left, false) | (Latch::Right, true) => {
            (outline.left_center() - vec2(3.5, 0.0), along)
        }
        (Latch::Right, false) | (Latch::Left, true) => {
            (outline.right_center() + vec2(3.5, 0.0), along)
        }
    };
    Rect::from_center_size(centre, size)
}

fn paint_cavity(
    ui: &Ui,
    square: Rect,
    cavity: u16,
    look: &CavityLook,
    (chosen, hovered): (bool, bool),
    view: View<'_>,
) {
    let painter = ui.painter();
    let palette = view.palette;
    let fill = if look.is_sense { palette.wash(palette.live, 0.16) } else { palette.sheet };
    let edge = match (chosen, look.is_sense, hovered) {
        (true, _, _) => Stroke::new(2.2, palette.chosen),
        (false, true, _) => Stroke::new(1.8, palette.live),
        (false, false, true) => Stroke::new(1.4, palette.chosen),
        (false, false, false) => Stroke::new(1.0, palette.quiet),
    };
    painter.rect_filled(square, 3.0, fill);
    if let Some(wire) = look.wire {
        let bar = Rect::from_min_max(
            pos2(square.left() + 3.0, square.bottom() - 5.0),
            square.right_bottom() - vec2(3.0, 2.0),
        );
        painter.rect_filled(bar, 0.5, wire);
        painter.rect_stroke(bar, 0.5, Stroke::new(0.7, palette.ink), StrokeKind::Outside);
    }
    painter.rect_stroke(square, 3.0, edge, StrokeKind::Inside);
    let colour = if look.is_sense {
        palette.live
    } else if look.mark.is_some() {
        palette.quiet
    } else {
        palette.ink
    };
    let lift = if look.wire.is_some() { 1.5 } else { 0.0 };
    let font = if look.is_sense {
        theme::bold(theme::TEXT_SMALL)
    } else {
        FontId::proportional(theme::TEXT_SMALL)
    };
    painter.text(
        square.center() - vec2(0.0, lift),
        Align2::CENTER_CENTER,
        cavity.to_string(),
        font,
        colour,
    );
    if look.mark == Some('×') {
        painter.line_segment(
            [square.left_top(), square.right_bottom()],
            Stroke::new(0.8, palette.quiet),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn view(layout: CavityLayout, numbering: Numbering, side: FaceSide) -> FaceView {
        FaceView { layout, numbering, latch: Latch::Up, side }
    }

    #[test]
    fn the_wire_view_is_the_mirror_image_of_the_face_view() {
        let layouts = [
            CavityLayout::Grid { rows: 2, columns: 3 },
            CavityLayout::Ring { around: 6, centre: true },
        ];
        for layout in layouts {
            for numbering in [Numbering::Forward, Numbering::Backward] {
                let face = cavity_spots(view(layout, numbering, FaceSide::Face));
                let wires = cavity_spots(view(layout, numbering, FaceSide::Wires));
                assert_eq!(face.len(), usize::from(layout.count()));
                for (a, b) in face.iter().zip(&wires) {
                    assert_eq!((a.0, -a.1, a.2), (b.0, b.1, b.2));
                }
            }
        }
    }

    #[test]
    fn two_rows_of_eight_read_like_text_on_the_face() {
        // The face of a 2 x 8 plug: 1 to 8 above, 9 to 16 below (our own sample machine).
        let spots = cavity_spots(view(
            CavityLayout::Grid { rows: 2, columns: 8 },
            Numbering::Forward,
            FaceSide::Face,
        ));
        let row = |y: f32| spots.iter().filter(|s| s.2 == y).map(|s| s.0).collect::<Vec<_>>();
        assert_eq!(row(-0.5), (1..=8).collect::<Vec<_>>());
        assert_eq!(row(0.5), (9..=16).collect::<Vec<_>>());
        assert!(spots[0].1 < spots[1].1);
    }

    #[test]
    fn cavities_of_a_ring_keep_clear_of_each_other() {
        for around in 1..=40 {
            let layout = CavityLayout::Ring { around, centre: true };
            let spots = cavity_spots(view(layout, Numbering::Forward, FaceSide::Face));
            for (at, a) in spots.iter().enumerate() {
                for b in &spots[at + 1..] {
                    assert!((a.1 - b.1).hypot(a.2 - b.2) >= 1.0, "{around}: {} and {}", a.0, b.0);
                }
            }
        }
    }
}
