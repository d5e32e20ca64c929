//! Pictures of the window by the processor alone: no graphics card, no driver, no display, and
//! the same picture on every machine.
//!
//! It does what egui's own painters do: triangles by the top-left rule, the texture sampled
//! bilinearly, colours premultiplied and mixed in gamma space, eight bits a channel.
#![allow(
    clippy::cast_possible_truncation,
    reason = "colours and places of pixels, each clamped to its range"
)]

use std::collections::BTreeMap;

use eframe::egui::epaint::{ClippedPrimitive, ImageDelta, Primitive, Vertex};
use eframe::egui::{
    self, ImageData, Mesh, Rect, TextureFilter, TextureId, TextureOptions, TextureWrapMode,
    TexturesDelta,
};
use egui_kittest::TestRenderer;
use image::{Rgba, RgbaImage};

/// A pixel is divided into this many places along each axis, as graphics cards do.
const SUBPIXELS: f32 = 256.0;
/// Nothing is drawn further out than this, in places.
const FAR: f32 = 536_870_912.0;

/// Keeps the textures and draws frames.
#[derive(Default)]
pub(crate) struct Renderer {
    textures: BTreeMap<TextureId, Texture>,
}

struct Texture {
    size: [usize; 2],
    /// Premultiplied, 0 to 255.
    pixels: Vec<[f32; 4]>,
    options: TextureOptions,
}

impl TestRenderer for Renderer {
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        for (id, changes) in delta.set.drain() {
            for change in &changes {
                self.change(id, change);
            }
        }
        for id in delta.free.drain() {
            self.textures.remove(&id);
        }
    }

    fn render(
        &mut self,
        context: &egui::Context,
        output: &egui::FullOutput,
    ) -> Result<RgbaImage, String> {
        let scale = context.pixels_per_point();
        let size = context.viewport_rect().size() * scale;
        let primitives = context.tessellate(output.shapes.clone(), scale);
        let [width, height] = [size.x, size.y].map(|side| side.round().max(1.0) as u32);
        self.draw([width, height], scale, &primitives)
    }
}

impl Renderer {
    fn change(&mut self, id: TextureId, change: &ImageDelta) {
        let ImageData::Color(image) = &change.image;
        let pixels: Vec<[f32; 4]> = image
            .pixels
            .iter()
            .map(|pixel| pixel.to_array().map(f32::from))
            .collect();
        let Some([left, top]) = change.pos else {
            let texture = Texture {
                size: image.size,
                pixels,
                options: change.options,
            };
            self.textures.insert(id, texture);
            return;
        };
        let texture = self.textures.get_mut(&id).unwrap();
        for (row, line) in pixels.chunks(image.size[0].max(1)).enumerate() {
            let start = (top + row) * texture.size[0] + left;
            texture.pixels[start..start + line.len()].copy_from_slice(line);
        }
    }

    /// Draws on opaque black.
    pub(crate) fn draw(
        &self,
        [width, height]: [u32; 2],
        scale: f32,
        primitives: &[ClippedPrimitive],
    ) -> Result<RgbaImage, String> {
        let mut image = RgbaImage::from_pixel(width, height, Rgba([0, 0, 0, 255]));
        for ClippedPrimitive {
            clip_rect,
            primitive,
        } in primitives
        {
            let Primitive::Mesh(mesh) = primitive else {
                return Err("a paint callback cannot be drawn without a graphics card".to_owned());
            };
            let clip = clip_in_pixels(*clip_rect, scale, [width, height]);
            self.draw_mesh(mesh, scale, clip, &mut image)?;
        }
        Ok(image)
    }

    fn draw_mesh(
        &self,
        mesh: &Mesh,
        scale: f32,
        clip: [i64; 4],
        image: &mut RgbaImage,
    ) -> Result<(), String> {
        let texture = self
            .textures
            .get(&mesh.texture_id)
            .ok_or_else(|| format!("no texture {:?} is known", mesh.texture_id))?;
        for corners in mesh.triangles() {
            let corners = corners.map(|index| mesh.vertices[index as usize]);
            draw_triangle(corners, scale, clip, texture, image);
        }
        Ok(())
    }
}

/// Left, top, right and bottom in pixels, within the picture; rounded as egui's painters do.
fn clip_in_pixels(clip: Rect, scale: f32, [width, height]: [u32; 2]) -> [i64; 4] {
    let side = |value: f32, most: u32| ((value * scale).round() as i64).clamp(0, i64::from(most));
    [
        side(clip.min.x, width),
        side(clip.min.y, height),
        side(clip.max.x, width),
        side(clip.max.y, height),
    ]
}

/// One edge of a triangle: how far to its inner side a place lies, times its length.
struct Edge {
    from: [i64; 2],
    along: [i64; 2],
    /// Least value that counts as inside: 0 for a top or left edge, else 1.
    least: i64,
}

impl Edge {
    fn new(from: [i64; 2], to: [i64; 2]) -> Self {
        let along = [to[0] - from[0], to[1] - from[1]];
        let is_top_or_left = along[1] < 0 || (along[1] == 0 && along[0] > 0);
        Self {
            from,
            along,
            least: i64::from(!is_top_or_left),
        }
    }

    fn at(&self, x: i64, y: i64) -> i64 {
        self.along[0] * (y - self.from[1]) - self.along[1] * (x - self.from[0])
    }

    /// Narrows a range of pixels of one row to those inside; `start` is the value at pixel 0.
    fn narrow(&self, start: i64, [from, to]: [i64; 2]) -> [i64; 2] {
        let step = -self.along[1] * SUBPIXELS as i64;
        let wanted = self.least - start;
        match step {
            0 if wanted > 0 => [0, 0],
            0 => [from, to],
            1.. => [from.max(-(-wanted).div_euclid(step)), to],
            _ => [from, to.min((-wanted).div_euclid(-step) + 1)],
        }
    }
}

fn draw_triangle(
    mut corners: [Vertex; 3],
    scale: f32,
    clip: [i64; 4],
    texture: &Texture,
    image: &mut RgbaImage,
) {
    let place = |value: f32| (value * scale * SUBPIXELS).clamp(-FAR, FAR).round() as i64;
    let mut at = corners.map(|corner| [place(corner.pos.x), place(corner.pos.y)]);
    let mut area = Edge::new(at[0], at[1]).at(at[2][0], at[2][1]);
    if area < 0 {
        at.swap(1, 2);
        corners.swap(1, 2);
        area = -area;
    }
    if area == 0 {
        return;
    }
    let edges = [(1, 2), (2, 0), (0, 1)].map(|(from, to)| Edge::new(at[from], at[to]));
    let paint = Paint::new(&corners, texture);
    let whole = SUBPIXELS as i64;
    let rows = at.map(|[_, y]| y.div_euclid(whole));
    let top = rows.into_iter().min().unwrap().max(clip[1]);
    let bottom = (rows.into_iter().max().unwrap() + 1).min(clip[3]);
    for row in top..bottom {
        let middle = row * whole + whole / 2;
        let starts = [0, 1, 2].map(|edge: usize| edges[edge].at(whole / 2, middle));
        let [mut from, mut to] = [clip[0], clip[2]];
        for (edge, start) in edges.iter().zip(starts) {
            [from, to] = edge.narrow(start, [from, to]);
        }
        for column in from..to {
            let shares = [0, 1, 2].map(|edge: usize| {
                let value = starts[edge] - edges[edge].along[1] * column * whole;
                value as f32 / area as f32
            });
            let pixel = image.get_pixel_mut(column as u32, row as u32);
            *pixel = over(paint.at(shares), *pixel);
        }
    }
}

/// The colour of a triangle at each of its places.
enum Paint<'a> {
    /// The same everywhere: 0 to 255, premultiplied.
    Plain([f32; 4]),
    Mixed {
        corners: &'a [Vertex; 3],
        texture: &'a Texture,
    },
}

impl<'a> Paint<'a> {
    fn new(corners: &'a [Vertex; 3], texture: &'a Texture) -> Self {
        let [first, second, third] = corners;
        let is_plain = [second, third]
            .iter()
            .all(|corner| corner.color == first.color && corner.uv == first.uv);
        if is_plain {
            let color = first.color.to_array().map(f32::from);
            Self::Plain(times(color, texture.sample(first.uv.x, first.uv.y)))
        } else {
            Self::Mixed { corners, texture }
        }
    }

    fn at(&self, shares: [f32; 3]) -> [f32; 4] {
        match self {
            Self::Plain(color) => *color,
            Self::Mixed { corners, texture } => {
                let mut color = [0.0; 4];
                let (mut u, mut v) = (0.0, 0.0);
                for (corner, share) in corners.iter().zip(shares) {
                    for (sum, channel) in color.iter_mut().zip(corner.color.to_array()) {
                        *sum += share * f32::from(channel);
                    }
                    u += share * corner.uv.x;
                    v += share * corner.uv.y;
                }
                times(color, texture.sample(u, v))
            }
        }
    }
}

fn times(one: [f32; 4], other: [f32; 4]) -> [f32; 4] {
    [0, 1, 2, 3].map(|channel: usize| one[channel] * other[channel] / 255.0)
}

/// Premultiplied colour over what is there, in gamma space.
fn over(color: [f32; 4], Rgba(under): Rgba<u8>) -> Rgba<u8> {
    let left = 1.0 - color[3] / 255.0;
    Rgba([0, 1, 2, 3].map(|channel: usize| {
        let mixed = color[channel] + f32::from(under[channel]) * left;
        mixed.round().clamp(0.0, 255.0) as u8
    }))
}

impl Texture {
    fn sample(&self, u: f32, v: f32) -> [f32; 4] {
        let x = u * self.size[0] as f32;
        let y = v * self.size[1] as f32;
        if self.options.magnification == TextureFilter::Nearest {
            return self.texel(x.floor() as i64, y.floor() as i64);
        }
        let (x, y) = (x - 0.5, y - 0.5);
        let (left, top) = (x.floor(), y.floor());
        let (right_share, low_share) = (x - left, y - top);
        let (left, top) = (left as i64, top as i64);
        let upper = mix(
            self.texel(left, top),
            self.texel(left + 1, top),
            right_share,
        );
        let lower = mix(
            self.texel(left, top + 1),
            self.texel(left + 1, top + 1),
            right_share,
        );
        mix(upper, lower, low_share)
    }

    fn texel(&self, x: i64, y: i64) -> [f32; 4] {
        let [width, height] = self.size.map(|side| i64::try_from(side).unwrap());
        let place = |at: i64, side: i64| match self.options.wrap_mode {
            TextureWrapMode::ClampToEdge => at.clamp(0, side - 1),
            TextureWrapMode::Repeat => at.rem_euclid(side),
            TextureWrapMode::MirroredRepeat => {
                let twice = at.rem_euclid(2 * side);
                twice.min(2 * side - 1 - twice)
            }
        };
        let index = place(y, height) * width + place(x, width);
        self.pixels[index as usize]
    }
}

fn mix(one: [f32; 4], other: [f32; 4], share: f32) -> [f32; 4] {
    [0, 1, 2, 3].map(|channel: usize| one[channel] + (other[channel] - one[channel]) * share)
}
