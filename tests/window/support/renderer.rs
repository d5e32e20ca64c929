//! Pictures of the window by the processor alone: no graphics card, no driver, no display, and
//! the same picture on every machine.
//!
//! It does what egui's own painters do: triangles by the top-left rule, the texture sampled
//! bilinearly, colours premultiplied and mixed in gamma space, eight bits a channel.
//!
//! Tests run it unoptimised, so it works in rows: what is the same along a row is found before it,
//! what is plain is copied, and two triangles that are an upright rectangle are drawn as one.
#![allow(
    clippy::cast_possible_truncation,
    reason = "colours and places of pixels, each clamped to its range"
)]

use std::collections::BTreeMap;

use eframe::egui::epaint::{ClippedPrimitive, ImageDelta, Primitive};
use eframe::egui::{
    self, Color32, ImageData, Mesh, Rect, TextureFilter, TextureId, TextureOptions,
    TextureWrapMode, TexturesDelta,
};
use egui_kittest::TestRenderer;
use image::RgbaImage;

/// A pixel is divided into this many places along each axis, as graphics cards do.
const PLACES: i64 = 256;
/// Nothing is drawn further out than this, in places.
const FAR: f32 = 536_870_912.0;
/// Colours between the corners of a triangle are counted in this part of 1/255.
const PART: f32 = 65_536.0;
/// A picture of a glyph that lies on the pixels by so much is copied, in texels.
const ON_PIXELS: f32 = 0.01;

/// Keeps the textures and draws frames.
#[derive(Default)]
pub(crate) struct Renderer {
    textures: BTreeMap<TextureId, Texture>,
}

/// Premultiplied.
type Pixel = [u8; 4];

struct Texture {
    size: [usize; 2],
    pixels: Vec<Color32>,
    options: TextureOptions,
}

struct Canvas {
    width: usize,
    pixels: Vec<Pixel>,
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
        let Some([left, top]) = change.pos else {
            let texture = Texture {
                size: image.size,
                pixels: image.pixels.clone(),
                options: change.options,
            };
            self.textures.insert(id, texture);
            return;
        };
        let texture = self.textures.get_mut(&id).unwrap();
        for (row, line) in image.pixels.chunks(image.size[0].max(1)).enumerate() {
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
        let mut canvas = Canvas {
            width: width as usize,
            pixels: [[0, 0, 0, 255]].repeat(width as usize * height as usize),
        };
        for ClippedPrimitive {
            clip_rect,
            primitive,
        } in primitives
        {
            let Primitive::Mesh(mesh) = primitive else {
                return Err("a paint callback cannot be drawn without a graphics card".to_owned());
            };
            let clip = clip_in_pixels(*clip_rect, scale, [width, height]);
            if clip[0] < clip[2] && clip[1] < clip[3] {
                self.draw_mesh(mesh, scale, clip, &mut canvas)?;
            }
        }
        let bytes = canvas.pixels.into_flattened();
        RgbaImage::from_raw(width, height, bytes).ok_or_else(|| "the picture's size".to_owned())
    }

    fn draw_mesh(
        &self,
        mesh: &Mesh,
        scale: f32,
        clip: [i64; 4],
        canvas: &mut Canvas,
    ) -> Result<(), String> {
        let texture = self
            .textures
            .get(&mesh.texture_id)
            .ok_or_else(|| format!("no texture {:?} is known", mesh.texture_id))?;
        let place = |value: f32| (value * scale * PLACES as f32).clamp(-FAR, FAR).round() as i64;
        let corners: Vec<Corner> = mesh
            .vertices
            .iter()
            .map(|vertex| Corner {
                at: [place(vertex.pos.x), place(vertex.pos.y)],
                uv: [vertex.uv.x, vertex.uv.y],
                color: vertex.color.to_array(),
            })
            .collect();
        let mut paint = Paint {
            texture,
            clip,
            canvas,
        };
        let mut from = 0;
        while from + 3 <= mesh.indices.len() {
            let corner = |at: usize| corners[mesh.indices[from + at] as usize];
            let one = [corner(0), corner(1), corner(2)];
            if from + 6 <= mesh.indices.len() {
                let other = [corner(3), corner(4), corner(5)];
                if let Some(upright) = Upright::of(&one, &other) {
                    paint.upright(&upright);
                    from += 6;
                    continue;
                }
            }
            paint.triangle(one);
            from += 3;
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

/// A corner of a triangle, in places.
#[derive(Clone, Copy)]
struct Corner {
    at: [i64; 2],
    uv: [f32; 2],
    color: Pixel,
}

/// An upright rectangle of one colour, its texture along its sides: nearly all that is painted.
struct Upright {
    /// Left and top, right and bottom, in places.
    from: [i64; 2],
    to: [i64; 2],
    from_uv: [f32; 2],
    to_uv: [f32; 2],
    color: Pixel,
}

impl Upright {
    /// Two triangles that share the diagonal of an upright rectangle.
    fn of(one: &[Corner; 3], other: &[Corner; 3]) -> Option<Self> {
        let color = one[0].color;
        let (mut from, mut to) = (one[0], one[0]);
        for corner in &one[1..] {
            for axis in 0..2 {
                if corner.at[axis] < from.at[axis] {
                    (from.at[axis], from.uv[axis]) = (corner.at[axis], corner.uv[axis]);
                }
                if corner.at[axis] > to.at[axis] {
                    (to.at[axis], to.uv[axis]) = (corner.at[axis], corner.uv[axis]);
                }
            }
        }
        // Each corner as a bit: 1 left top, 2 right top, 4 left bottom, 8 right bottom.
        let mut seen = [0_u8; 2];
        for (bits, corners) in seen.iter_mut().zip([one, other]) {
            for corner in corners {
                let mut bit = 1;
                for axis in 0..2 {
                    let is_far = corner.at[axis] == to.at[axis];
                    let end = if is_far { &to } else { &from };
                    let is_end = corner.at[axis] == end.at[axis];
                    #[allow(clippy::float_cmp, reason = "the same corner has the same bits")]
                    let is_along = corner.uv[axis] == end.uv[axis];
                    if !is_end || !is_along || corner.color != color {
                        return None;
                    }
                    bit <<= if is_far { axis + 1 } else { 0 };
                }
                *bits |= bit;
            }
        }
        let is_whole = matches!(seen, [7, 14] | [14, 7] | [11, 13] | [13, 11]);
        is_whole.then_some(Self {
            from: from.at,
            to: to.at,
            from_uv: from.uv,
            to_uv: to.uv,
            color,
        })
    }
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
        let step = -self.along[1] * PLACES;
        let wanted = self.least - start;
        match step {
            0 if wanted > 0 => [0, 0],
            0 => [from, to],
            1.. => [from.max(-(-wanted).div_euclid(step)), to],
            _ => [from, to.min((-wanted).div_euclid(-step) + 1)],
        }
    }
}

/// The first pixel whose middle does not lie before a place.
fn pixel_from(place: i64) -> i64 {
    -(PLACES / 2 - place).div_euclid(PLACES)
}

struct Paint<'a> {
    texture: &'a Texture,
    clip: [i64; 4],
    canvas: &'a mut Canvas,
}

impl Paint<'_> {
    fn upright(&mut self, shape: &Upright) {
        if shape.color == [0; 4] {
            return;
        }
        let from = [0, 1].map(|axis: usize| pixel_from(shape.from[axis]).max(self.clip[axis]));
        let to = [0, 1].map(|axis: usize| pixel_from(shape.to[axis]).min(self.clip[axis + 2]));
        if from[0] >= to[0] || from[1] >= to[1] {
            return;
        }
        // Where the middle of the first pixel lies in the texture, and how far the next one.
        let mut start = [0.0; 2];
        let mut step = [0.0; 2];
        for axis in 0..2 {
            let texels = self.texture.size[axis] as f32;
            let long = (shape.to[axis] - shape.from[axis]) as f32;
            let share = (from[axis] * PLACES + PLACES / 2 - shape.from[axis]) as f32 / long;
            let wide = shape.to_uv[axis] - shape.from_uv[axis];
            start[axis] = (shape.from_uv[axis] + wide * share) * texels;
            step[axis] = wide * texels * PLACES as f32 / long;
        }
        let is_plain = step.iter().all(|step: &f32| step.abs() < f32::EPSILON);
        let is_copied = [0, 1].iter().all(|&axis: &usize| {
            let far = (to[axis] - from[axis]) as f32;
            let end = start[axis].floor() + far;
            start[axis] >= 0.0
                && end <= self.texture.size[axis] as f32
                && (start[axis].fract() - 0.5).abs() < ON_PIXELS
                && ((step[axis] - 1.0) * far).abs() < ON_PIXELS
        });
        let plain = self.texture.tinted(start, shape.color);
        for row in from[1]..to[1] {
            let down = (row - from[1]) as f32;
            if is_plain {
                self.span(row, from[0], to[0], plain);
            } else if is_copied {
                let across = start[0] as usize;
                let line = (start[1] as usize + (row - from[1]) as usize) * self.texture.size[0];
                self.copy(row, [from[0], to[0]], line + across, shape.color);
            } else {
                let v = start[1] + step[1] * down;
                for column in from[0]..to[0] {
                    let u = start[0] + step[0] * (column - from[0]) as f32;
                    let color = self.texture.tinted([u, v], shape.color);
                    over(color, self.canvas.at(column, row));
                }
            }
        }
    }

    /// A row of one colour.
    fn span(&mut self, row: i64, from: i64, to: i64, color: Pixel) {
        if from >= to || color == [0; 4] {
            return;
        }
        let start = row as usize * self.canvas.width;
        let pixels = &mut self.canvas.pixels[start + from as usize..start + to as usize];
        if color[3] == 255 {
            // Copied in blocks, not one by one.
            pixels.copy_from_slice(&[color].repeat(pixels.len()));
            return;
        }
        for pixel in pixels {
            over(color, pixel);
        }
    }

    /// A row of texels, one a pixel.
    fn copy(&mut self, row: i64, [from, to]: [i64; 2], texel: usize, color: Pixel) {
        let start = row as usize * self.canvas.width;
        let pixels = &mut self.canvas.pixels[start + from as usize..start + to as usize];
        let texels = &self.texture.pixels[texel..texel + pixels.len()];
        for (pixel, texel) in pixels.iter_mut().zip(texels) {
            match texel.to_array() {
                [0, 0, 0, 0] => {}
                [255, 255, 255, 255] => over(color, pixel),
                other => over(times(color, other), pixel),
            }
        }
    }

    fn triangle(&mut self, mut corners: [Corner; 3]) {
        let at = |corners: &[Corner; 3]| corners.map(|corner| corner.at);
        let [first, second, third] = at(&corners);
        let mut area = Edge::new(first, second).at(third[0], third[1]);
        if area < 0 {
            corners.swap(1, 2);
            area = -area;
        }
        let [first, second, third] = &corners;
        let is_plain = first.color == second.color && first.color == third.color;
        if area == 0 || (is_plain && first.color == [0; 4]) {
            return;
        }
        #[allow(clippy::float_cmp, reason = "the same texel has the same bits")]
        let has_one_texel = first.uv == second.uv && first.uv == third.uv;
        let at = at(&corners);
        let edges = [(1, 2), (2, 0), (0, 1)].map(|(from, to)| Edge::new(at[from], at[to]));
        let texel = self.texture.scaled(first.uv);
        let plain = self.texture.tinted(texel, first.color);
        let ys = at.map(|[_, y]| y);
        let top = pixel_from(ys.into_iter().min().unwrap()).max(self.clip[1]);
        let bottom = pixel_from(ys.into_iter().max().unwrap()).min(self.clip[3]);
        for row in top..bottom {
            let middle = row * PLACES + PLACES / 2;
            let starts = [0, 1, 2].map(|edge: usize| edges[edge].at(PLACES / 2, middle));
            let [mut from, mut to] = [self.clip[0], self.clip[2]];
            for (edge, start) in edges.iter().zip(starts) {
                [from, to] = edge.narrow(start, [from, to]);
            }
            if from >= to {
                continue;
            }
            if is_plain && has_one_texel {
                self.span(row, from, to, plain);
                continue;
            }
            let shares = Shares {
                first: [0, 1, 2].map(|edge: usize| {
                    let value = starts[edge] - edges[edge].along[1] * from * PLACES;
                    value as f32 / area as f32
                }),
                step: [0, 1, 2]
                    .map(|edge: usize| (-edges[edge].along[1] * PLACES) as f32 / area as f32),
            };
            if has_one_texel {
                self.shaded(row, [from, to], &corners, &shares, texel);
            } else {
                self.textured(row, [from, to], &corners, &shares);
            }
        }
    }

    /// A row whose colour goes from one to another.
    fn shaded(
        &mut self,
        row: i64,
        [from, to]: [i64; 2],
        corners: &[Corner; 3],
        shares: &Shares,
        texel: [f32; 2],
    ) {
        let texel = self.texture.tinted(texel, [255; 4]);
        let mut color = [0_i32; 4];
        let mut step = [0_i32; 4];
        for channel in 0..4 {
            let of = corners.map(|corner| f32::from(corner.color[channel]));
            let most = f32::from(texel[channel]) / 255.0 * PART;
            color[channel] = (shares.mixed(of) * most + PART / 2.0) as i32;
            step[channel] = (shares.stepped(of) * most) as i32;
        }
        for column in from..to {
            let now = color.map(|channel| (channel >> 16).clamp(0, 255) as u8);
            over(now, self.canvas.at(column, row));
            for (channel, step) in color.iter_mut().zip(step) {
                *channel += step;
            }
        }
    }

    /// A row of any triangle.
    fn textured(&mut self, row: i64, [from, to]: [i64; 2], corners: &[Corner; 3], shares: &Shares) {
        let [u, v] = [0, 1].map(|axis: usize| {
            let of = corners.map(|corner| self.texture.scaled(corner.uv)[axis]);
            [shares.mixed(of), shares.stepped(of)]
        });
        let colors = [0, 1, 2, 3].map(|channel: usize| {
            let of = corners.map(|corner| f32::from(corner.color[channel]));
            [shares.mixed(of), shares.stepped(of)]
        });
        for column in from..to {
            let steps = (column - from) as f32;
            let along = |[first, step]: [f32; 2]| first + step * steps;
            let color = colors.map(|channel| along(channel).round().clamp(0.0, 255.0) as u8);
            let color = self.texture.tinted([along(u), along(v)], color);
            over(color, self.canvas.at(column, row));
        }
    }
}

/// How much each corner counts at a row's first pixel, and how that changes from one to the next.
struct Shares {
    first: [f32; 3],
    step: [f32; 3],
}

impl Shares {
    fn mixed(&self, of: [f32; 3]) -> f32 {
        self.first[0] * of[0] + self.first[1] * of[1] + self.first[2] * of[2]
    }

    fn stepped(&self, of: [f32; 3]) -> f32 {
        self.step[0] * of[0] + self.step[1] * of[1] + self.step[2] * of[2]
    }
}

impl Canvas {
    fn at(&mut self, column: i64, row: i64) -> &mut Pixel {
        &mut self.pixels[row as usize * self.width + column as usize]
    }
}

/// `one` times `other`, rounded.
fn part_of(one: u8, other: u8) -> u8 {
    ((u32::from(one) * u32::from(other) + 127) / 255) as u8
}

fn times(one: Pixel, other: Pixel) -> Pixel {
    [
        part_of(one[0], other[0]),
        part_of(one[1], other[1]),
        part_of(one[2], other[2]),
        part_of(one[3], other[3]),
    ]
}

/// Premultiplied colour over what is there, in gamma space.
fn over(color: Pixel, under: &mut Pixel) {
    if color[3] == 255 {
        *under = color;
        return;
    }
    if color == [0; 4] {
        return;
    }
    let left = 255 - color[3];
    *under = [
        color[0].saturating_add(part_of(under[0], left)),
        color[1].saturating_add(part_of(under[1], left)),
        color[2].saturating_add(part_of(under[2], left)),
        255,
    ];
}

impl Texture {
    /// A place of the texture in texels.
    fn scaled(&self, uv: [f32; 2]) -> [f32; 2] {
        [uv[0] * self.size[0] as f32, uv[1] * self.size[1] as f32]
    }

    /// The texture at a place in texels, times a colour.
    fn tinted(&self, [x, y]: [f32; 2], color: Pixel) -> Pixel {
        if self.options.magnification == TextureFilter::Nearest {
            return times(self.texel(x.floor() as i64, y.floor() as i64), color);
        }
        let (x, y) = (x - 0.5, y - 0.5);
        let (left, top) = (x.floor(), y.floor());
        let (right_share, low_share) = (x - left, y - top);
        let (left, top) = (left as i64, top as i64);
        let four = [(0, 0), (1, 0), (0, 1), (1, 1)]
            .map(|(right, down)| self.texel(left + right, top + down));
        let [upper, upper_right, lower, lower_right] = four;
        [0, 1, 2, 3].map(|channel: usize| {
            let mix = |one: f32, other: f32, share: f32| one + (other - one) * share;
            let of = |pixel: Pixel| f32::from(pixel[channel]);
            let upper = mix(of(upper), of(upper_right), right_share);
            let lower = mix(of(lower), of(lower_right), right_share);
            let mixed = mix(upper, lower, low_share) * f32::from(color[channel]) / 255.0;
            mixed.round().clamp(0.0, 255.0) as u8
        })
    }

    fn texel(&self, x: i64, y: i64) -> Pixel {
        let [width, height] = self.size.map(|side| i64::try_from(side).unwrap());
        let place = |at: i64, side: i64| match self.options.wrap_mode {
            TextureWrapMode::ClampToEdge => at.clamp(0, side - 1),
            TextureWrapMode::Repeat => at.rem_euclid(side),
            TextureWrapMode::MirroredRepeat => {
                let twice = at.rem_euclid(2 * side);
                twice.min(2 * side - 1 - twice)
            }
        };
        self.pixels[(place(y, height) * width + place(x, width)) as usize].to_array()
    }
}
