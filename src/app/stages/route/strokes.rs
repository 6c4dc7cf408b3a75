//! Smooth slanted strokes in one mesh: many wires cost one shape.
//!
//! A stroke runs beside a line at a distance, so that wires lie next to each other in a bundle.

use egui::{Color32, Mesh, Pos2, Vec2, vec2};

/// How far the edges of a stroke fade, in points.
const FADE: f32 = 0.9;

/// Adds a stroke beside a line; `aside` is how far to its left it runs.
pub fn add_stroke(mesh: &mut Mesh, line: &[Pos2], (aside, width): (f32, f32), colour: Color32) {
    if line.len() < 2 {
        return;
    }
    let half = (width / 2.0 - FADE / 2.0).max(0.0);
    // A stroke thinner than its own fading is as faint as it is thin.
    let colour = if width < FADE { colour.gamma_multiply(width / FADE) } else { colour };
    let clear = Color32::TRANSPARENT;
    let across = [(-half - FADE, clear), (-half, colour), (half, colour), (half + FADE, clear)];
    let first = mesh.vertices.len() as u32;
    for at in 0..line.len() {
        let normal = normal_at(line, at);
        for (off, colour) in across {
            mesh.colored_vertex(line[at] + normal * (aside + off), colour);
        }
    }
    for row in 0..line.len() as u32 - 1 {
        for lane in 0..3 {
            let a = first + row * 4 + lane;
            mesh.add_triangle(a, a + 1, a + 4);
            mesh.add_triangle(a + 1, a + 5, a + 4);
        }
    }
}

/// Adds short strokes along a line: the tracer of a wire, or a run without wires.
pub fn add_dashes(
    mesh: &mut Mesh,
    line: &[Pos2],
    (aside, width): (f32, f32),
    (dash, gap): (f32, f32),
    colour: Color32,
) {
    let total: f32 = line.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
    let mut from = gap / 2.0;
    while from < total {
        let to = (from + dash).min(total);
        let piece = cut_out(line, from, to);
        add_stroke(mesh, &piece, (aside, width), colour);
        from += dash + gap;
    }
}

/// The stretch of a line between two distances from its beginning.
pub fn cut_out(line: &[Pos2], from: f32, to: f32) -> Vec<Pos2> {
    let mut out = Vec::new();
    let mut gone = 0.0;
    for pair in line.windows(2) {
        let long = pair[0].distance(pair[1]);
        let point = |at: f32| pair[0] + (pair[1] - pair[0]) * ((at - gone) / long.max(1e-6));
        if out.is_empty() && from < gone + long {
            out.push(point(from));
        }
        if !out.is_empty() {
            if to <= gone + long {
                out.push(point(to));
                return out;
            }
            out.push(pair[1]);
        }
        gone += long;
    }
    out
}

/// The direction across a line at one of its points, long enough to keep the width in its bends.
fn normal_at(line: &[Pos2], at: usize) -> Vec2 {
    let across = |a: Pos2, b: Pos2| {
        let way = (b - a).normalized();
        vec2(way.y, -way.x)
    };
    let before = at.checked_sub(1).map(|before| across(line[before], line[at]));
    let behind = line.get(at + 1).map(|next| across(line[at], *next));
    match (before, behind) {
        (Some(a), Some(b)) => {
            let middle = (a + b).normalized();
            // Sharp bends would shoot out; twice the width is enough.
            middle / middle.dot(a).max(0.5)
        }
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => Vec2::ZERO,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn a_stroke_keeps_its_width_beside_its_line() {
        let mut mesh = Mesh::default();
        let line = [pos2(0.0, 0.0), pos2(10.0, 0.0), pos2(10.0, 10.0)];
        add_stroke(&mut mesh, &line, (0.0, 4.0), Color32::RED);
        assert_eq!((mesh.vertices.len(), mesh.indices.len()), (12, 2 * 3 * 2 * 3));
        // Across the first point the solid part reaches half the width less half the fading.
        let across = (mesh.vertices[2].pos - mesh.vertices[1].pos).length();
        assert!((across - (4.0 - FADE)).abs() < 1e-5, "{across}");
        let mut beside = Mesh::default();
        add_stroke(&mut beside, &line, (5.0, 4.0), Color32::RED);
        let shift = beside.vertices[0].pos - mesh.vertices[0].pos;
        assert!((shift.length() - 5.0).abs() < 1e-5);
        assert!(beside.vertices.iter().all(|vertex| vertex.pos.x.is_finite()));
    }

    #[test]
    fn stretches_are_cut_out_across_bends() {
        let line = [pos2(0.0, 0.0), pos2(10.0, 0.0), pos2(10.0, 10.0)];
        assert_eq!(cut_out(&line, 2.0, 5.0), [pos2(2.0, 0.0), pos2(5.0, 0.0)]);
        assert_eq!(cut_out(&line, 8.0, 14.0), [pos2(8.0, 0.0), pos2(10.0, 0.0), pos2(10.0, 4.0)]);
        assert!(cut_out(&line, 30.0, 40.0).is_empty());
        let mut mesh = Mesh::default();
        add_dashes(&mut mesh, &line, (0.0, 2.0), (3.0, 3.0), Color32::RED);
        assert!(!mesh.is_empty());
        add_stroke(&mut mesh, &[pos2(1.0, 1.0), pos2(1.0, 1.0)], (0.0, 2.0), Color32::RED);
        assert!(mesh.vertices.iter().all(|vertex| vertex.pos.is_finite()));
    }
}
