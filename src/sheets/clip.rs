//! Cutting items at the edges of a window, so that a drawing can go over several pages.
//!
//! Lines and filled shapes are cut; text and small circles belong whole to the window their middle
//! lies in, and text is moved in where it would stick out.

use crate::geometry::{Point, Rect, point};
use crate::sheets::page::{Item, Text};

/// What of an item lies in a window, moved by `shift`.
pub fn clipped(item: &Item, window: Rect, shift: Point) -> Vec<Item> {
    if !item.rect().touches(window) {
        return Vec::new();
    }
    match item {
        Item::Line { points, stroke } => inside(points, window)
            .into_iter()
            .map(|points| Item::Line { points: moved(&points, shift), stroke: *stroke })
            .collect(),
        Item::Wire { points, width_mm, colour } => inside(points, window)
            .into_iter()
            .map(|points| Item::Wire {
                points: moved(&points, shift),
                width_mm: *width_mm,
                colour: *colour,
            })
            .collect(),
        Item::Shape { points, fill } => {
            let points = polygon_inside(points, window);
            if points.len() < 3 {
                return Vec::new();
            }
            vec![Item::Shape { points: moved(&points, shift), fill: *fill }]
        }
        Item::Rect { rect, stroke, fill } => {
            if window.contains(rect.min) && window.contains(rect.max) {
                let (stroke, fill) = (*stroke, *fill);
                return vec![Item::Rect { rect: rect.moved(shift), stroke, fill }];
            }
            let mut out = Vec::new();
            if let (Some(fill), Some(part)) = (fill, common(*rect, window)) {
                let fill = Some(*fill);
                out.push(Item::Rect { rect: part.moved(shift), stroke: None, fill });
            }
            if let Some(stroke) = stroke {
                let line = Item::Line { points: outline(*rect), stroke: *stroke };
                out.extend(clipped(&line, window, shift));
            }
            out
        }
        Item::Circle { centre, radius_mm, stroke, fill } => {
            let (radius_mm, stroke, fill) = (*radius_mm, *stroke, *fill);
            let is_own = owns(window, *centre);
            is_own
                .then(|| Item::Circle { centre: *centre + shift, radius_mm, stroke, fill })
                .into_iter()
                .collect()
        }
        Item::Text(text) => text_inside(text, window, shift).into_iter().collect(),
        Item::Tick { at, side_mm } => {
            let is_own = owns(window, *at);
            is_own.then(|| Item::Tick { at: *at + shift, side_mm: *side_mm }).into_iter().collect()
        }
    }
}

/// Whether a point belongs to a window: its upper and left edges do, the others do not, so that of
/// neighbouring windows one has it.
pub fn owns(window: Rect, p: Point) -> bool {
    p.x_mm >= window.min.x_mm
        && p.x_mm < window.max.x_mm
        && p.y_mm >= window.min.y_mm
        && p.y_mm < window.max.y_mm
}

fn text_inside(text: &Text, window: Rect, shift: Point) -> Option<Item> {
    let rect = text.rect();
    if !owns(window, rect.centre()) {
        return None;
    }
    let into = |low: f64, high: f64, from: f64, to: f64| match () {
        () if low < from => from - low,
        () if high > to => (to - high).max(from - low),
        () => 0.0,
    };
    let by = point(
        into(rect.min.x_mm, rect.max.x_mm, window.min.x_mm, window.max.x_mm),
        into(rect.min.y_mm, rect.max.y_mm, window.min.y_mm, window.max.y_mm),
    );
    Some(Item::Text(Text { at: text.at + shift + by, ..text.clone() }))
}

fn moved(points: &[Point], shift: Point) -> Vec<Point> {
    points.iter().map(|p| *p + shift).collect()
}

fn outline(rect: Rect) -> Vec<Point> {
    let (a, b) = (rect.min, rect.max);
    vec![a, point(b.x_mm, a.y_mm), b, point(a.x_mm, b.y_mm), a]
}

/// What two rectangles share.
pub fn common(a: Rect, b: Rect) -> Option<Rect> {
    let min = point(a.min.x_mm.max(b.min.x_mm), a.min.y_mm.max(b.min.y_mm));
    let max = point(a.max.x_mm.min(b.max.x_mm), a.max.y_mm.min(b.max.y_mm));
    (min.x_mm < max.x_mm && min.y_mm < max.y_mm).then(|| Rect::spanning(min, max))
}

/// The parts of a line within a window.
pub fn inside(points: &[Point], window: Rect) -> Vec<Vec<Point>> {
    let mut parts: Vec<Vec<Point>> = Vec::new();
    for pair in points.windows(2) {
        let Some((a, b)) = segment_inside(pair[0], pair[1], window) else { continue };
        match parts.last_mut() {
            Some(part) if part.last() == Some(&a) => part.push(b),
            Some(_) | None => parts.push(vec![a, b]),
        }
    }
    parts
}

/// The part of a stretch within a window (Liang and Barsky 1984, from memory).
fn segment_inside(a: Point, b: Point, window: Rect) -> Option<(Point, Point)> {
    let (dx, dy) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (p, q) in [
        (-dx, a.x_mm - window.min.x_mm),
        (dx, window.max.x_mm - a.x_mm),
        (-dy, a.y_mm - window.min.y_mm),
        (dy, window.max.y_mm - a.y_mm),
    ] {
        if p == 0.0 {
            if q < 0.0 {
                return None;
            }
        } else if p < 0.0 {
            from = from.max(q / p);
        } else {
            to = to.min(q / p);
        }
    }
    let at = |share: f64| match share {
        0.0 => a,
        1.0 => b,
        _ => point(a.x_mm + share * dx, a.y_mm + share * dy),
    };
    (from < to).then(|| (at(from), at(to)))
}

/// The part of a closed shape within a window (Sutherland and Hodgman 1974, from memory).
fn polygon_inside(points: &[Point], window: Rect) -> Vec<Point> {
    type Depth = Box<dyn Fn(Point) -> f64>;
    let (min, max) = (window.min, window.max);
    let depths: [Depth; 4] = [
        Box::new(move |p| p.x_mm - min.x_mm),
        Box::new(move |p| max.x_mm - p.x_mm),
        Box::new(move |p| p.y_mm - min.y_mm),
        Box::new(move |p| max.y_mm - p.y_mm),
    ];
    let mut shape = points.to_vec();
    for depth in &depths {
        let mut cut = Vec::new();
        for (n, b) in shape.iter().enumerate() {
            let a = shape[(n + shape.len() - 1) % shape.len()];
            let (da, db) = (depth(a), depth(*b));
            if (da < 0.0) != (db < 0.0) {
                let share = da / (da - db);
                cut.push(point(
                    a.x_mm + share * (b.x_mm - a.x_mm),
                    a.y_mm + share * (b.y_mm - a.y_mm),
                ));
            }
            if db >= 0.0 {
                cut.push(*b);
            }
        }
        shape = cut;
    }
    shape
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::page::{Anchor, Ink, Stroke};

    fn window() -> Rect {
        Rect::spanning(point(0.0, 0.0), point(100.0, 50.0))
    }

    #[test]
    fn a_line_is_cut_at_both_edges() {
        let line = [point(-10.0, 10.0), point(50.0, 10.0), point(50.0, 80.0)];
        let parts = inside(&line, window());
        assert_eq!(parts, [vec![point(0.0, 10.0), point(50.0, 10.0), point(50.0, 50.0)]]);
        assert!(inside(&[point(-5.0, 60.0), point(105.0, 60.0)], window()).is_empty());
    }

    #[test]
    fn lines_of_two_windows_add_up_to_the_whole() {
        let other = Rect::spanning(point(100.0, 0.0), point(200.0, 50.0));
        let line = [point(20.0, 5.0), point(180.0, 45.0)];
        let length = |parts: Vec<Vec<Point>>| -> f64 {
            parts.iter().flat_map(|p| p.windows(2)).map(|pair| pair[0].distance(pair[1])).sum()
        };
        let sum = length(inside(&line, window())) + length(inside(&line, other));
        assert!((sum - line[0].distance(line[1])).abs() < 1e-9);
    }

    #[test]
    fn a_text_belongs_to_one_window_and_is_moved_in() {
        let text = Item::Text(Text {
            at: point(95.0, 20.0),
            anchor: Anchor::Start,
            size_pt: 10.0,
            bold: false,
            ink: Ink::Black,
            text: "abc".into(),
            width_mm: 8.0,
        });
        let other = Rect::spanning(point(100.0, 0.0), point(200.0, 50.0));
        let own = clipped(&text, window(), point(1000.0, 0.0));
        assert!(clipped(&text, other, point(0.0, 0.0)).is_empty());
        assert_eq!(own[0].rect().max.x_mm, 1100.0);
    }

    #[test]
    fn a_frame_over_the_edge_keeps_its_sides_and_its_fill() {
        let rect = Rect::spanning(point(90.0, 10.0), point(120.0, 20.0));
        let stroke = Some(Stroke::solid(0.2, Ink::Black));
        let frame = Item::Rect { rect, stroke, fill: Some(Ink::Pale) };
        let parts = clipped(&frame, window(), point(0.0, 0.0));
        assert_eq!(parts.len(), 2 + 1);
        let all = parts.iter().map(Item::rect).reduce(Rect::union).unwrap();
        assert!((all.max.x_mm - 100.0).abs() < 0.11);
        let shape = Item::Shape {
            points: vec![point(90.0, 10.0), point(110.0, 10.0), point(110.0, 30.0)],
            fill: Ink::Black,
        };
        let [Item::Shape { points, .. }] = &clipped(&shape, window(), point(0.0, 0.0))[..] else {
            panic!("one shape");
        };
        assert!(points.iter().all(|p| window().contains(*p)) && points.len() == 3);
    }
}
