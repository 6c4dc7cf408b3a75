//! Paints symbols from their marks, in the tones of the theme.

use egui::{Color32, CornerRadius, Shape, Stroke, StrokeKind};

use crate::app::canvas::paint::{Brush, TextRank, Texts, anchor};
use crate::app::theme;
use crate::drawing::{Fill, Mark, TextRole, Tone, Weight};
use crate::geometry::Rect;

/// Colours of one symbol.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SymbolTones {
    /// Outlines, leads, names.
    pub ink: Color32,
    /// What explains.
    pub quiet: Color32,
    /// What is being read.
    pub lit: Color32,
    /// Names; they light up with the live path while boxes do not.
    pub name: Color32,
    /// Inside of boxes.
    pub card: Color32,
}

impl SymbolTones {
    /// The usual tones.
    pub fn plain(brush: &Brush<'_>) -> Self {
        let palette = brush.palette;
        Self {
            ink: palette.ink,
            quiet: palette.quiet,
            lit: palette.live,
            name: palette.ink,
            card: palette.card,
        }
    }

    /// All of one colour: the live path, or the ghost of what is to be placed.
    pub fn one(brush: &Brush<'_>, colour: Color32) -> Self {
        Self { ink: colour, name: colour, ..Self::plain(brush) }
    }

    fn of(&self, tone: Tone) -> Color32 {
        match tone {
            Tone::Ink => self.ink,
            Tone::Quiet => self.quiet,
            Tone::Lit => self.lit,
        }
    }
}

/// Paints the marks of one part; its words go to `texts`.
pub fn paint_marks(brush: &Brush<'_>, texts: &mut Texts, marks: &[Mark], tones: &SymbolTones) {
    let scale = brush.lens.scale();
    for mark in marks {
        match mark {
            Mark::Line { points, weight, tone } => {
                brush.line(points, stroke_width(*weight, scale), tones.of(*tone));
            }
            Mark::Rect { rect, round_mm, fill, weight, tone } => {
                let stroke = Stroke::new(stroke_width(*weight, scale), tones.of(*tone));
                let round = (*round_mm as f32 * scale).clamp(0.0, 120.0);
                let on_screen = snapped(brush, *rect);
                let fill = fill_colour(brush, tones, *fill, *tone);
                brush.painter.rect(
                    on_screen,
                    CornerRadius::from(round),
                    fill,
                    stroke,
                    StrokeKind::Middle,
                );
            }
            Mark::Circle { centre, radius_mm, fill, weight, tone } => {
                let stroke = Stroke::new(stroke_width(*weight, scale), tones.of(*tone));
                let fill = fill_colour(brush, tones, *fill, *tone);
                let radius = (*radius_mm as f32 * scale).max(1.5);
                brush.painter.circle(brush.pos(*centre), radius, fill, stroke);
            }
            Mark::Text { at, align, text, role, tone, size_mm } => {
                let colour = match (role, tone) {
                    (_, Tone::Lit) => tones.lit,
                    (TextRole::Name, Tone::Ink) => tones.name,
                    (TextRole::Note | TextRole::Cavity, Tone::Ink) => tones.ink,
                    (_, Tone::Quiet) => tones.quiet,
                };
                let (font, rank) = match role {
                    TextRole::Name => (theme::bold(brush.text_size()), TextRank::Name),
                    TextRole::Note => (theme::plain(brush.text_size()), TextRank::Note),
                    TextRole::Cavity => {
                        // A number that would stick out of its square says nothing.
                        let room = 1.35 * *size_mm as f32 * scale;
                        if brush.text_size() * 0.64 * text.chars().count() as f32 > room {
                            continue;
                        }
                        (theme::plain(brush.text_size()), TextRank::Always)
                    }
                };
                texts.add(brush, rank, (brush.pos(*at), anchor(*align)), (text, font), colour);
            }
        }
    }
}

/// A part too small to show its symbol: its outline.
pub fn paint_speck(brush: &Brush<'_>, rect: Rect, colour: Color32) {
    let rect = brush.lens.screen_rect(rect);
    brush.painter.add(Shape::rect_stroke(rect, 0.0, Stroke::new(1.0, colour), StrokeKind::Inside));
}

fn snapped(brush: &Brush<'_>, rect: Rect) -> egui::Rect {
    let rect = brush.lens.screen_rect(rect);
    egui::Rect::from_min_max(
        egui::pos2(brush.snap(rect.min.x), brush.snap(rect.min.y)),
        egui::pos2(brush.snap(rect.max.x), brush.snap(rect.max.y)),
    )
}

fn stroke_width(weight: Weight, scale: f32) -> f32 {
    let least = match weight {
        Weight::Thin => 0.8,
        Weight::Ink => 1.2,
        Weight::Heavy => 1.6,
    };
    (weight.width_mm() as f32 * scale).max(least)
}

fn fill_colour(brush: &Brush<'_>, tones: &SymbolTones, fill: Fill, tone: Tone) -> Color32 {
    match fill {
        Fill::Clear => Color32::TRANSPARENT,
        Fill::Card if tone == Tone::Lit => brush.palette.wash(tones.lit, 0.18),
        Fill::Card => tones.card,
        Fill::Shade => brush.palette.wash(tones.ink, 0.14),
        Fill::Solid => tones.of(tone),
    }
}
