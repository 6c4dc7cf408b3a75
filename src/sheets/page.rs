//! A printed page as a display list: items at fixed places, in millimetres from its upper left corner.
//!
//! Sheets make pages; the PDF and SVG writers only walk them. Nothing here measures or breaks text.

use crate::geometry::{Point, Rect, point};
use crate::marking::Ring;
use crate::model::{BaseColour, Colour};

/// Millimetres in one point of type (1/72 inch).
pub const MM_PER_POINT: f64 = 25.4 / 72.0;

/// Paper sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    A4,
    /// 8.5 x 11 inch (ANSI Y14.1 size A).
    Letter,
    /// 297 x 420 mm (ISO 216).
    A3,
}

/// Which side of the paper is up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Orientation {
    /// The short side.
    Portrait,
    /// The long side.
    Landscape,
}

/// With or without colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tint {
    /// Wires and rings in their colours.
    Colour,
    /// Black and greys; everything a colour says is said in letters and dashes too.
    Mono,
}

impl Paper {
    /// Width and height in millimetres, portrait.
    pub fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
            Self::A3 => (297.0, 420.0),
        }
    }
}

/// What a line or a shape is drawn with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Black.
    Black,
    /// Dark grey: explains.
    Quiet,
    /// Middle grey: rules of tables.
    Rule,
    /// Light grey: fills.
    Pale,
    /// Paper white: covers.
    White,
    /// Insulation of a wire; in black and white a grey of the same lightness.
    Wire(BaseColour),
    /// A ring of a resistor.
    Ring(Ring),
}

impl Ink {
    /// Red, green and blue, 0 to 255.
    pub fn rgb(self, tint: Tint) -> [u8; 3] {
        let own = match self {
            Self::Black => [0, 0, 0],
            Self::Quiet => [70, 70, 70],
            Self::Rule => [150, 150, 150],
            Self::Pale => [232, 232, 232],
            Self::White => [255, 255, 255],
            Self::Wire(colour) => wire_rgb(colour),
            Self::Ring(ring) => ring_rgb(ring),
        };
        match tint {
            Tint::Colour => own,
            Tint::Mono => [luma(own); 3],
        }
    }
}

/// Perceived lightness of a colour (weights of ITU-R BT.601, from memory).
fn luma([r, g, b]: [u8; 3]) -> u8 {
    let sum = 299 * u32::from(r) + 587 * u32::from(g) + 114 * u32::from(b);
    u8::try_from(sum / 1000).unwrap_or(u8::MAX)
}

/// How insulation of a colour looks on paper; our own choice.
fn wire_rgb(colour: BaseColour) -> [u8; 3] {
    match colour {
        BaseColour::Black => [25, 25, 25],
        BaseColour::Brown => [121, 72, 33],
        BaseColour::Red => [205, 32, 36],
        BaseColour::Orange => [238, 122, 22],
        BaseColour::Yellow => [246, 208, 30],
        BaseColour::Green => [30, 138, 66],
        BaseColour::Blue => [33, 92, 190],
        BaseColour::Violet => [122, 66, 160],
        BaseColour::Grey => [140, 140, 140],
        BaseColour::White => [252, 252, 252],
        BaseColour::Pink => [240, 158, 182],
        BaseColour::Turquoise => [42, 176, 176],
    }
}

/// How a ring looks on paper; our own choice.
fn ring_rgb(ring: Ring) -> [u8; 3] {
    match ring {
        Ring::Black => [20, 20, 20],
        Ring::Brown => [121, 72, 33],
        Ring::Red => [205, 32, 36],
        Ring::Orange => [238, 122, 22],
        Ring::Yellow => [246, 208, 30],
        Ring::Green => [30, 138, 66],
        Ring::Blue => [33, 92, 190],
        Ring::Violet => [122, 66, 160],
        Ring::Grey => [140, 140, 140],
        Ring::White => [252, 252, 252],
        Ring::Gold => [196, 160, 64],
        Ring::Silver => [190, 194, 198],
        Ring::Pink => [240, 158, 182],
    }
}

/// A line's width, ink and dashes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Width in millimetres.
    pub width_mm: f64,
    /// Ink.
    pub ink: Ink,
    /// Dash and gap in millimetres; `None` for a whole line.
    pub dash_mm: Option<(f64, f64)>,
}

impl Stroke {
    /// A whole line.
    pub const fn solid(width_mm: f64, ink: Ink) -> Self {
        Self { width_mm, ink, dash_mm: None }
    }

    /// A dashed line.
    pub const fn dashed(width_mm: f64, ink: Ink, dash_mm: (f64, f64)) -> Self {
        Self { width_mm, ink, dash_mm: Some(dash_mm) }
    }
}

/// Which part of a text its place names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// Its middle stands there.
    Middle,
    /// It ends there.
    End,
}

/// Text on one line.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where: on the base line.
    pub at: Point,
    /// What of it stands there.
    pub anchor: Anchor,
    /// Size in points.
    pub size_pt: f64,
    /// Whether it is bold.
    pub bold: bool,
    /// Ink.
    pub ink: Ink,
    /// The words, without line breaks.
    pub text: String,
    /// Width in millimetres, as measured.
    pub width_mm: f64,
}

/// One item of a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A line through two or more points.
    Line {
        /// Its points.
        points: Vec<Point>,
        /// How it is drawn.
        stroke: Stroke,
    },
    /// A closed shape.
    Shape {
        /// Its corners.
        points: Vec<Point>,
        /// What fills it.
        fill: Ink,
    },
    /// An upright rectangle.
    Rect {
        /// Its place.
        rect: Rect,
        /// Its outline.
        stroke: Option<Stroke>,
        /// What fills it.
        fill: Option<Ink>,
    },
    /// A circle.
    Circle {
        /// Its centre.
        centre: Point,
        /// Its radius in millimetres.
        radius_mm: f64,
        /// Its outline.
        stroke: Option<Stroke>,
        /// What fills it.
        fill: Option<Ink>,
    },
    /// Text.
    Text(Text),
    /// A box to tick with a pen.
    Tick {
        /// Its upper left corner.
        at: Point,
        /// Its side in millimetres.
        side_mm: f64,
    },
    /// A wire: insulation with an edge, and its tracer as dashes along it.
    Wire {
        /// Its points.
        points: Vec<Point>,
        /// Width of the insulation in millimetres.
        width_mm: f64,
        /// Its colour.
        colour: Colour,
    },
}

/// One page.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Width in millimetres.
    pub width_mm: f64,
    /// Height in millimetres.
    pub height_mm: f64,
    /// With or without colour.
    pub tint: Tint,
    /// Whether nothing but what is on it may be printed: no head, no foot, as on a sheet of stickers.
    pub is_bare: bool,
    /// Its items, in the order they are drawn.
    pub items: Vec<Item>,
}

/// A stroke a wire is drawn with; each over the one before.
pub fn wire_strokes(width_mm: f64, colour: Colour, tint: Tint) -> Vec<Stroke> {
    let edge = Stroke::solid(width_mm + 0.3, Ink::Black);
    let mut strokes = vec![edge];
    match tint {
        Tint::Colour => {
            strokes.push(Stroke::solid(width_mm, Ink::Wire(colour.base)));
            if let Some(tracer) = colour.tracer {
                strokes.push(Stroke::dashed(width_mm * 0.45, Ink::Wire(tracer), (2.0, 1.4)));
            }
        }
        Tint::Mono => {
            // The letters beside the wire name its colour; dashes only say that it has a tracer.
            // Edges of 0.3 mm: thinner ones are lost on a coarse printer.
            let inside_mm = (width_mm - 0.3).max(0.4 * width_mm);
            strokes.push(Stroke::solid(inside_mm, Ink::White));
            if colour.tracer.is_some() {
                strokes.push(Stroke::dashed(inside_mm * 0.4, Ink::Black, (2.0, 1.4)));
            }
        }
    }
    strokes
}

/// Lines of a tick box: its four corners.
pub fn tick_corners(at: Point, side_mm: f64) -> Rect {
    Rect::spanning(at, at + point(side_mm, side_mm))
}

impl Item {
    /// The least upright rectangle around the item, half the line width included.
    pub fn rect(&self) -> Rect {
        match self {
            Self::Line { points, stroke } => around(points).grown(stroke.width_mm / 2.0),
            Self::Shape { points, .. } => around(points),
            Self::Rect { rect, stroke, .. } => {
                rect.grown(stroke.map_or(0.0, |stroke| stroke.width_mm / 2.0))
            }
            Self::Circle { centre, radius_mm, stroke, .. } => Rect::spanning(*centre, *centre)
                .grown(radius_mm + stroke.map_or(0.0, |stroke| stroke.width_mm / 2.0)),
            Self::Text(text) => text.rect(),
            Self::Tick { at, side_mm } => tick_corners(*at, *side_mm).grown(0.15),
            Self::Wire { points, width_mm, .. } => around(points).grown(width_mm / 2.0 + 0.15),
        }
    }

    /// The text, where it is one.
    pub fn text(&self) -> Option<&Text> {
        if let Self::Text(text) = self { Some(text) } else { None }
    }
}

impl Text {
    /// The box of the letters: 0.76 of the size above the base line and 0.24 below (the capitals
    /// and descenders of the face reach no further).
    pub fn rect(&self) -> Rect {
        let size_mm = self.size_pt * MM_PER_POINT;
        let left = self.left_mm();
        Rect::spanning(
            point(left, self.at.y_mm - 0.76 * size_mm),
            point(left + self.width_mm, self.at.y_mm + 0.24 * size_mm),
        )
    }

    /// Where its first letter begins.
    pub fn left_mm(&self) -> f64 {
        match self.anchor {
            Anchor::Start => self.at.x_mm,
            Anchor::Middle => self.at.x_mm - self.width_mm / 2.0,
            Anchor::End => self.at.x_mm - self.width_mm,
        }
    }
}

fn around(points: &[Point]) -> Rect {
    let first = points.first().copied().unwrap_or_default();
    points.iter().fold(Rect::spanning(first, first), |all, p| all.union(Rect::spanning(*p, *p)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_that_look_alike_in_grey_still_differ_in_letters() {
        for colour in BaseColour::ALL {
            let grey = Ink::Wire(colour).rgb(Tint::Mono);
            assert!(grey[0] == grey[1] && grey[1] == grey[2]);
        }
        let colour = Colour::from_text("violet/black").unwrap();
        let inks = |tint| -> Vec<Ink> {
            wire_strokes(1.0, colour, tint).into_iter().map(|stroke| stroke.ink).collect()
        };
        assert_eq!(inks(Tint::Mono), [Ink::Black, Ink::White, Ink::Black]);
        assert_eq!(
            inks(Tint::Colour),
            [Ink::Black, Ink::Wire(BaseColour::Violet), Ink::Wire(BaseColour::Black)]
        );
    }

    #[test]
    fn a_text_reaches_to_the_side_it_is_anchored_to() {
        let reach = |anchor| {
            let text = Text {
                at: point(100.0, 50.0),
                anchor,
                size_pt: 10.0,
                bold: false,
                ink: Ink::Black,
                text: "R1".into(),
                width_mm: 8.0,
            };
            (text.rect().min.x_mm, text.rect().max.x_mm)
        };
        assert_eq!(reach(Anchor::Start), (100.0, 108.0));
        assert_eq!(reach(Anchor::Middle), (96.0, 104.0));
        assert_eq!(reach(Anchor::End), (92.0, 100.0));
    }
}
