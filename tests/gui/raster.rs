//! A small software rasteriser for the harness: the window as a picture, without display or GPU.
//!
//! It fills the tessellated triangles with the top-left rule and blends premultiplied colours in
//! gamma space, as the window's own GL painter does. Same input, same bytes. It knows no paint callbacks.

use std::collections::BTreeMap;

use egui::epaint::{ClippedPrimitive, ImageData, Mesh, Primitive, Vertex};
use egui::{TextureId, TexturesDelta};
use egui_kittest::TestRenderer;

/// Sub-pixel steps: triangle corners are rounded to 1/256 of a pixel, so that edges are exact integers.
const STEPS: f32 = 256.0;

/// One texture: premultiplied RGBA.
struct Texture {
    width: usize,
    height: usize,
    texels: Vec<[u8; 4]>,
}

impl Texture {
    fn texel(&self, x: isize, y: isize) -> [f32; 4] {
        let x = x.clamp(0, self.width as isize - 1) as usize;
        let y = y.clamp(0, self.height as isize - 1) as usize;
        self.texels[y * self.width + x].map(f32::from)
    }

    /// Bilinear sample at normalised coordinates, clamped at the edges.
    fn sample(&self, u: f32, v: f32) -> [f32; 4] {
        let (x, y) = (u * self.width as f32 - 0.5, v * self.height as f32 - 0.5);
        let (left, top) = (x.floor(), y.floor());
        let (fx, fy) = (x - left, y - top);
        let (left, top) = (left as isize, top as isize);
        let corners = [
            (self.texel(left, top), (1.0 - fx) * (1.0 - fy)),
            (self.texel(left + 1, top), fx * (1.0 - fy)),
            (self.texel(left, top + 1), (1.0 - fx) * fy),
            (self.texel(left + 1, top + 1), fx * fy),
        ];
        let mut sum = [0.0; 4];
        for (texel, weight) in corners {
            for (total, part) in sum.iter_mut().zip(texel) {
                *total += part * weight;
            }
        }
        sum
    }
}

/// The renderer: textures as the window made them.
#[derive(Default)]
pub struct Raster {
    textures: BTreeMap<TextureId, Texture>,
}

impl TestRenderer for Raster {
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        for (id, deltas) in delta.set.drain() {
            for delta in deltas {
                let ImageData::Color(image) = &delta.image;
                let [width, height] = image.size;
                let texels = image.pixels.iter().map(egui::Color32::to_array);
                match delta.pos {
                    None => {
                        self.textures
                            .insert(id, Texture { width, height, texels: texels.collect() });
                    }
                    Some([x, y]) => {
                        let texture =
                            self.textures.get_mut(&id).expect("a patch follows its whole texture");
                        for (at, texel) in texels.enumerate() {
                            texture.texels[(y + at / width) * texture.width + x + at % width] =
                                texel;
                        }
                    }
                }
            }
        }
        for id in delta.free.drain() {
            self.textures.remove(&id);
        }
    }

    fn render(
        &mut self,
        ctx: &egui::Context,
        output: &egui::FullOutput,
    ) -> Result<image::RgbaImage, String> {
        let scale = output.pixels_per_point;
        let size = ctx.content_rect().size() * scale;
        let mut canvas = Canvas::new(size.x.round() as usize, size.y.round() as usize);
        for ClippedPrimitive { clip_rect, primitive } in
            ctx.tessellate(output.shapes.clone(), scale)
        {
            let Primitive::Mesh(mesh) = primitive else {
                return Err("the window used a paint callback, which has no picture".into());
            };
            let texture =
                self.textures.get(&mesh.texture_id).ok_or("a mesh names a texture that is gone")?;
            canvas.clip = Clip {
                left: (clip_rect.left() * scale).round() as i64,
                top: (clip_rect.top() * scale).round() as i64,
                right: (clip_rect.right() * scale).round() as i64,
                bottom: (clip_rect.bottom() * scale).round() as i64,
            };
            canvas.mesh(&mesh, texture, scale);
        }
        let bytes = canvas.pixels.into_iter().flatten().collect();
        image::RgbaImage::from_raw(canvas.width as u32, canvas.height as u32, bytes)
            .ok_or_else(|| "the picture has the wrong size".into())
    }
}

struct Clip {
    left: i64,
    top: i64,
    right: i64,
    bottom: i64,
}

struct Canvas {
    width: usize,
    height: usize,
    pixels: Vec<[u8; 4]>,
    clip: Clip,
}

/// One edge of a triangle: `a x + b y + c >= 0` inside, in sub-pixel steps at pixel centres.
#[derive(Clone, Copy)]
struct Half {
    a: i64,
    b: i64,
    c: i64,
}

impl Half {
    /// The half-plane left of `from -> to`; edges that are neither top nor left lose their own line.
    fn new(from: (i64, i64), to: (i64, i64)) -> Self {
        let (a, b) = (from.1 - to.1, to.0 - from.0);
        let is_top_left = a > 0 || (a == 0 && b > 0);
        let c = -(a * from.0 + b * from.1) - i64::from(!is_top_left);
        // Pixel x has its centre at x * 256 + 128.
        Self { a: a * 256, b: b * 256, c: c + (a + b) * 128 }
    }

    /// Narrows the span of columns in one row to those inside.
    fn narrow(self, row: i64, span: &mut (i64, i64)) {
        let rest = self.b * row + self.c;
        if self.a > 0 {
            span.0 =
                span.0.max((-rest).div_euclid(self.a) + i64::from((-rest).rem_euclid(self.a) != 0));
        } else if self.a < 0 {
            span.1 = span.1.min(rest.div_euclid(-self.a) + 1);
        } else if rest < 0 {
            span.1 = span.0;
        }
    }
}

impl Canvas {
    fn new(width: usize, height: usize) -> Self {
        let clip = Clip { left: 0, top: 0, right: 0, bottom: 0 };
        Self { width, height, pixels: vec![[0, 0, 0, 255]; width * height], clip }
    }

    fn mesh(&mut self, mesh: &Mesh, texture: &Texture, scale: f32) {
        for corners in mesh.indices.chunks_exact(3) {
            let triangle = [0, 1, 2].map(|at| mesh.vertices[corners[at] as usize]);
            self.triangle(triangle, texture, scale);
        }
    }

    fn triangle(&mut self, mut corners: [Vertex; 3], texture: &Texture, scale: f32) {
        let fixed = |v: &Vertex| {
            ((v.pos.x * scale * STEPS).round() as i64, (v.pos.y * scale * STEPS).round() as i64)
        };
        let mut at = corners.each_ref().map(fixed);
        let mut area =
            (at[1].0 - at[0].0) * (at[2].1 - at[0].1) - (at[1].1 - at[0].1) * (at[2].0 - at[0].0);
        if area == 0 {
            return;
        }
        if area < 0 {
            at.swap(1, 2);
            corners.swap(1, 2);
            area = -area;
        }
        let edges = [Half::new(at[1], at[2]), Half::new(at[2], at[0]), Half::new(at[0], at[1])];
        let (low, high) = (at.iter().map(|p| p.1).min(), at.iter().map(|p| p.1).max());
        let top = low.map_or(0, |y| y.div_euclid(256)).max(self.clip.top).max(0);
        let bottom =
            high.map_or(0, |y| y.div_euclid(256) + 1).min(self.clip.bottom).min(self.height as i64);
        let same_texel = corners.iter().all(|v| v.uv == corners[0].uv);
        let same_colour = corners.iter().all(|v| v.color == corners[0].color);
        let flat = (same_texel && same_colour).then(|| {
            let texel = texture.sample(corners[0].uv.x, corners[0].uv.y);
            tinted(texel, corners[0].color.to_array().map(f32::from))
        });
        for row in top..bottom {
            let mut span = (self.clip.left.max(0), self.clip.right.min(self.width as i64));
            for edge in edges {
                edge.narrow(row, &mut span);
            }
            if span.0 >= span.1 {
                continue;
            }
            let start = row as usize * self.width;
            let pixels = &mut self.pixels[start + span.0 as usize..start + span.1 as usize];
            match flat {
                Some([r, g, b, a]) if a >= 254.9 => {
                    pixels.fill([r, g, b, 255.0].map(|part| part.round() as u8));
                }
                Some(source) => pixels.iter_mut().for_each(|pixel| blend(pixel, source)),
                None => shade_row(pixels, (span.0, row), &edges, area, &corners, texture),
            }
        }
    }
}

/// Shades one row whose colour or texture changes along it, with weights from the three edges.
fn shade_row(
    pixels: &mut [[u8; 4]],
    first: (i64, i64),
    edges: &[Half; 3],
    area: i64,
    corners: &[Vertex; 3],
    texture: &Texture,
) {
    let colours = corners.each_ref().map(|v| v.color.to_array().map(f32::from));
    for (x, pixel) in (first.0..).zip(pixels) {
        let weights = edges.map(|e| (e.a * x + e.b * first.1 + e.c) as f32 / area as f32);
        let mix =
            |parts: [f32; 3]| parts[0] * weights[0] + parts[1] * weights[1] + parts[2] * weights[2];
        let u = mix(corners.each_ref().map(|v| v.uv.x));
        let v = mix(corners.each_ref().map(|v| v.uv.y));
        let colour = [0, 1, 2, 3].map(|part| mix(colours.map(|c| c[part])));
        blend(pixel, tinted(texture.sample(u, v), colour));
    }
}

fn tinted(texel: [f32; 4], colour: [f32; 4]) -> [f32; 4] {
    [0, 1, 2, 3].map(|part| texel[part] * colour[part] / 255.0)
}

/// Premultiplied source over what is there.
fn blend(pixel: &mut [u8; 4], source: [f32; 4]) {
    let keep = 1.0 - source[3] / 255.0;
    for (below, above) in pixel.iter_mut().zip(source) {
        *below = (above + f32::from(*below) * keep).round().clamp(0.0, 255.0) as u8;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{Color32, pos2};

    fn white() -> Texture {
        Texture { width: 1, height: 1, texels: vec![[255; 4]] }
    }

    fn canvas(size: usize) -> Canvas {
        let mut canvas = Canvas::new(size, size);
        canvas.clip = Clip { left: 0, top: 0, right: size as i64, bottom: size as i64 };
        canvas
    }

    /// Two triangles that share an edge fill every pixel of their square exactly once.
    #[test]
    fn a_shared_edge_is_painted_once() {
        let half = Color32::from_rgba_premultiplied(100, 0, 0, 100);
        let mut mesh = Mesh::default();
        for (x, y) in [(1.0, 1.0), (7.3, 1.0), (7.3, 6.5), (1.0, 6.5)] {
            mesh.vertices.push(Vertex::untextured(pos2(x, y), half));
        }
        mesh.indices = vec![0, 1, 2, 0, 2, 3];
        let mut canvas = canvas(9);
        canvas.mesh(&mesh, &white(), 1.0);
        for (at, pixel) in canvas.pixels.iter().enumerate() {
            let inside = (1..7).contains(&(at % 9)) && (1..6).contains(&(at / 9));
            assert_eq!(pixel[0], if inside { 100 } else { 0 }, "pixel {} {}", at % 9, at / 9);
        }
    }

    /// A ramp from black to white passes the middle grey in the middle.
    #[test]
    fn colours_change_evenly_along_a_row() {
        let mut mesh = Mesh::default();
        for (x, y, grey) in [(0.0, 0.0, 0), (8.0, 0.0, 255), (8.0, 8.0, 255), (0.0, 8.0, 0)] {
            mesh.vertices.push(Vertex::untextured(pos2(x, y), Color32::from_gray(grey)));
        }
        mesh.indices = vec![0, 1, 2, 0, 2, 3];
        let mut canvas = canvas(8);
        canvas.mesh(&mesh, &white(), 1.0);
        let row: Vec<u8> = canvas.pixels[24..32].iter().map(|pixel| pixel[1]).collect();
        assert_eq!(row, [16, 48, 80, 112, 143, 175, 207, 239]);
    }
}
