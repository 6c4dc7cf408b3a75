//! Paints symbols from their marks, in the tones of the theme.

use egui::{Color32, CornerRadius, FontId, Stroke, StrokeKind};

use crate::app::canvas::paint::{Brush, TextRank, Texts, anchor};
use crate::app::theme;
use crate::drawing;
use crate::drawing::{Fill, Mark, TextRole, Tone, Weight};
use crate::geometry::Rect;

/// Below this many points a millimetre what explains is left out.
const NOTE_SCALE: f32 = 2.4;
/// What explains is not cut below this width in points.
const SHORT_NOTE: f32 = 64.0;
/// Below this many points a millimetre names are cut to the reference letters.
const SHORT_NAME_SCALE: f32 = 2.2;

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
                let size = brush.text_size();
                let bold = || theme::bold(size);
                let mut shown = text.as_str();
                let fitted;
                let (font, rank) = match (role, tone) {
                    (TextRole::Name, Tone::Lit) => (bold(), TextRank::Always),
                    (TextRole::Note, Tone::Lit) => {
                        fitted = fitted_text(brush, text, *size_mm, &bold());
                        shown = &fitted;
                        (bold(), TextRank::Always)
                    }
                    (TextRole::Name, Tone::Ink | Tone::Quiet) => {
                        if scale < SHORT_NAME_SCALE {
                            shown = text.split(' ').next().unwrap_or(text);
                        }
                        (bold(), TextRank::Name)
                    }
                    (TextRole::Note, Tone::Ink | Tone::Quiet) => {
                        if scale < NOTE_SCALE {
                            continue;
                        }
                        fitted = fitted_text(brush, text, *size_mm, &theme::plain(size));
                        shown = &fitted;
                        (theme::plain(size), TextRank::Note)
                    }
                    (TextRole::Cavity, Tone::Lit) if scale >= NOTE_SCALE => {
                        (bold(), TextRank::Always)
                    }
                    (TextRole::Cavity, _) => {
                        // A number that would stick out of its square says nothing.
                        let (room, high) = (1.35 * *size_mm as f32 * scale, 4.5 * scale);
                        if size > high || size * 0.64 * text.chars().count() as f32 > room {
                            continue;
                        }
                        (theme::plain(size), TextRank::Always)
                    }
                };
                texts.add(brush, rank, (brush.pos(*at), anchor(*align)), (shown, font), colour);
            }
        }
    }
}

/// The text, cut with an ellipsis to the width the drawing reckoned with: letters do not shrink
/// below what can be read, so far out they are wider than that.
fn fitted_text(brush: &Brush<'_>, text: &str, size_mm: f64, font: &FontId) -> String {
    let reckoned = drawing::text_width_mm(text, size_mm) as f32 * brush.lens.scale() * 1.04;
    let room = reckoned.max(SHORT_NOTE);
    let width = |text: &str| {
        brush.painter.layout_no_wrap(text.to_owned(), font.clone(), brush.palette.ink).size().x
    };
    if width(text) <= room {
        return text.to_owned();
    }
    let mut cut = text.to_owned();
    while !cut.is_empty() && width(&format!("{cut}…")) > room {
        cut.pop();
    }
    format!("{}…", cut.trim_end())
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
