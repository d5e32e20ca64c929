//! Pictures: made, kept, compared with the accepted ones, and measured.
#![allow(
    clippy::cast_possible_truncation,
    reason = "places of pixels, each clamped to the picture"
)]

use std::collections::BTreeMap;
use std::io::BufWriter;
use std::path::{Path, PathBuf};

use eframe::egui::epaint::{ClippedShape, Shape};
use eframe::egui::{Color32, Rect, Ui, UiBuilder, Vec2};
use egui_kittest::Harness;
use fitledger::window::named::{NamedPlace, gather_named, take_named};
use fitledger::window::view::{deed, explain};
use image::RgbaImage;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};

use super::renderer::Renderer;

/// So many pixels may differ from the accepted picture, however large it is (chosen: one letter or
/// one small mark that changes is more; the renderer gives the same picture every time).
const MOST_DIFFERENT: usize = 8;
/// By so much a channel may differ before its pixel counts as different, of 255.
const SAME_WITHIN: u8 = 8;
/// Set to 1, this writes the accepted pictures anew.
const WRITE: &str = "FITLEDGER_WRITE_PICTURES";

/// The window without a display: `paint` has all of it, from edge to edge.
pub(crate) fn window<'a>(
    size: [f32; 2],
    pixels_per_point: f32,
    mut paint: impl FnMut(&mut Ui) + 'a,
) -> Harness<'a> {
    Harness::builder()
        .with_size(Vec2::from(size))
        .with_pixels_per_point(pixels_per_point)
        .with_render_cursor(false)
        .with_context_setup(fitledger::window::look::install_faces)
        .renderer(Renderer::default())
        .build_ui(move |ui| {
            let whole = ui.ctx().viewport_rect();
            let builder = UiBuilder::new().max_rect(whole);
            ui.scope_builder(builder, |ui| {
                ui.set_clip_rect(whole);
                gather_named(ui.ctx());
                paint(ui);
                let named = take_named(ui.ctx());
                let mut unsaid = named.iter().filter(|place| !is_explained(place)).peekable();
                if unsaid.peek().is_some() {
                    panic!("nothing is said of {:#?}", unsaid.collect::<Vec<_>>());
                }
            });
        })
}

/// Whatever test paints a name, somebody may ask what it is: it has an explanation of its own.
fn is_explained(NamedPlace { id, text: says, .. }: &NamedPlace) -> bool {
    match id.strip_prefix("key ") {
        Some(cap) => {
            let does = says.strip_prefix(cap).unwrap_or(says).trim();
            deed(does).is_some() && is_on_card(does)
        }
        None => explain(1, id, says).is_some(),
    }
}

/// What a key does stands on the printed card, in these words or in those that it begins with.
fn is_on_card(does: &str) -> bool {
    let sides = fitledger::window::view::key_card().sides;
    let groups = sides.into_iter().flatten();
    let mut keys = groups.flat_map(|group| group.keys);
    keys.any(|key| deed(&key.does).is_some() && deed(&key.does) == deed(does))
}

/// A picture of what `paint` paints on a window of this size in points.
pub(crate) fn picture(
    size: [f32; 2],
    pixels_per_point: f32,
    paint: impl FnMut(&mut Ui),
) -> RgbaImage {
    window(size, pixels_per_point, paint).render().unwrap()
}

fn kept_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("target/pictures")
}

/// Writes a picture where a person may look at it: `target/pictures/NAME.png`.
pub(crate) fn keep(name: &str, image: &RgbaImage) -> PathBuf {
    let folder = kept_folder();
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join(format!("{name}.png"));
    image.save(&path).unwrap();
    path
}

/// Compares a picture with the accepted one, `tests/window/pictures/NAME.png`; else what differs,
/// where the new one is, and how to accept it.
pub(crate) fn compare(name: &str, image: &RgbaImage) -> Result<(), String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/window/pictures");
    let path = folder.join(format!("{name}.png"));
    if std::env::var_os(WRITE).is_some_and(|value| value == "1") {
        std::fs::create_dir_all(&folder).unwrap();
        // What still looks so is not written again.
        let before = image::open(&path).ok();
        if before.is_some_and(|before| alike(&before.to_rgba8(), image).is_ok()) {
            return Ok(());
        }
        // They are kept for ever: small rather than soon.
        let file = std::fs::File::create(&path).unwrap();
        let (small, filter) = (CompressionType::Best, FilterType::Adaptive);
        let encoder = PngEncoder::new_with_quality(BufWriter::new(file), small, filter);
        image.write_with_encoder(encoder).unwrap();
        return Ok(());
    }
    let difference = match image::open(&path) {
        Ok(accepted) => alike(&accepted.to_rgba8(), image),
        Err(error) => Err(format!("{}: {error}", path.display())),
    };
    difference.map_err(|difference| {
        let new = keep(&format!("new-{name}"), image);
        let accept = format!("{WRITE}=1 cargo test --test window accepted");
        let new = new.display();
        format!("{name}: {difference}. Look at {new}. To accept it: {accept}")
    })
}

/// Whether two pictures are the same within the tolerance; else what differs.
pub(crate) fn alike(accepted: &RgbaImage, image: &RgbaImage) -> Result<(), String> {
    if accepted.dimensions() != image.dimensions() {
        return Err(format!(
            "the accepted picture has {:?} pixels, this one {:?}",
            accepted.dimensions(),
            image.dimensions()
        ));
    }
    let differs = |(one, other): &(&image::Rgba<u8>, &image::Rgba<u8>)| {
        let pairs = one.0.iter().zip(other.0);
        pairs
            .into_iter()
            .any(|(one, other)| one.abs_diff(other) > SAME_WITHIN)
    };
    let different = accepted
        .pixels()
        .zip(image.pixels())
        .filter(differs)
        .count();
    if different > MOST_DIFFERENT {
        return Err(format!(
            "{different} pixels differ by more than {SAME_WITHIN}/255"
        ));
    }
    Ok(())
}

/// A picture with its scale, to be measured in points.
pub(crate) struct Measured<'a> {
    pub(crate) image: &'a RgbaImage,
    pub(crate) pixels_per_point: f32,
}

impl Measured<'_> {
    /// Every colour inside a rectangle, with its number of pixels.
    pub(crate) fn colours_in(&self, rect: Rect) -> BTreeMap<[u8; 3], usize> {
        let side = |value: f32, most: u32| {
            let pixels = (value * self.pixels_per_point).round();
            pixels.clamp(0.0, most as f32) as u32
        };
        let (width, height) = self.image.dimensions();
        let [left, right] = [rect.min.x, rect.max.x].map(|x| side(x, width) as usize);
        let [top, bottom] = [rect.min.y, rect.max.y].map(|y| side(y, height) as usize);
        let mut colours = BTreeMap::new();
        if left >= right {
            return colours;
        }
        // Most pixels have the colour of the one before.
        let (mut colour, mut run) = ([0; 3], 0);
        let lines = self.image.as_raw().chunks_exact(width as usize * 4);
        for line in lines.take(bottom).skip(top) {
            for pixel in line[left * 4..right * 4].as_chunks::<4>().0 {
                let [red, green, blue, _] = *pixel;
                if colour != [red, green, blue] {
                    if run > 0 {
                        *colours.entry(colour).or_default() += run;
                    }
                    (colour, run) = ([red, green, blue], 0);
                }
                run += 1;
            }
        }
        if run > 0 {
            *colours.entry(colour).or_default() += run;
        }
        colours
    }

    /// Share of a rectangle's pixels that have a colour, within 3/255 a channel.
    pub(crate) fn share_of(&self, rect: Rect, color: Color32) -> f64 {
        share_of(&self.colours_in(rect), color)
    }

    /// One colour and nothing else.
    pub(crate) fn is_blank(&self, rect: Rect) -> bool {
        self.colours_in(rect).len() <= 1
    }

    /// Contrast of a text with what is behind it, from the pixels of its rectangle: the colour
    /// that most of them have, against the one furthest from it. Thin strokes that cover no pixel
    /// whole measure less than their colour would give, never more.
    pub(crate) fn contrast(&self, text: Rect) -> f64 {
        let colours = self.colours_in(text);
        let Some((ground, _)) = colours.iter().max_by_key(|(_, count)| **count) else {
            return 1.0;
        };
        colours
            .keys()
            .map(|colour| contrast_of(*colour, *ground))
            .fold(1.0, f64::max)
    }
}

/// Share of the pixels counted that have a colour, within 3/255 a channel.
pub(crate) fn share_of(colours: &BTreeMap<[u8; 3], usize>, color: Color32) -> f64 {
    let wanted = [color.r(), color.g(), color.b()];
    let all: usize = colours.values().sum();
    let near = |found: &[u8; 3]| {
        let mut pairs = found.iter().zip(wanted);
        pairs.all(|(one, other)| one.abs_diff(other) <= 3)
    };
    let alike: usize = colours
        .iter()
        .filter(|(found, _)| near(found))
        .map(|(_, count)| count)
        .sum();
    alike as f64 / all.max(1) as f64
}

/// Contrast ratio of two colours. WCAG 2.2, "contrast ratio" and "relative luminance" (from
/// memory): (lighter + 0.05) / (darker + 0.05).
pub(crate) fn contrast_of(one: [u8; 3], other: [u8; 3]) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

/// Relative luminance, 0 to 1; coefficients of WCAG 2.2 (from memory).
pub(crate) fn luminance(colour: [u8; 3]) -> f64 {
    let [red, green, blue] = colour.map(linear);
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// A channel's light from its number, 0 to 1. IEC 61966-2-1 (sRGB), from memory.
pub(crate) fn linear(channel: u8) -> f64 {
    let value = f64::from(channel) / 255.0;
    if value <= 0.04045 {
        value / 12.92
    } else {
        ((value + 0.055) / 1.055).powf(2.4)
    }
}

/// One painted text.
#[derive(Debug, Clone)]
pub(crate) struct PaintedText {
    pub(crate) text: String,
    /// What its glyphs cover, in points.
    pub(crate) rect: Rect,
    /// It is seen only inside this.
    pub(crate) clip: Rect,
    /// Height of its letters' line, in points: its font size.
    pub(crate) size: f32,
}

/// Every text that the last frame painted.
pub(crate) fn painted_texts(window: &Harness<'_>) -> Vec<PaintedText> {
    let mut texts = Vec::new();
    for ClippedShape {
        clip_rect, shape, ..
    } in &window.output().shapes
    {
        gather(shape, *clip_rect, &mut texts);
    }
    texts
}

fn gather(shape: &Shape, clip: Rect, texts: &mut Vec<PaintedText>) {
    match shape {
        Shape::Vec(shapes) => {
            for shape in shapes {
                gather(shape, clip, texts);
            }
        }
        Shape::Text(text) if !text.galley.job.text.trim().is_empty() => {
            let sizes = text.galley.job.sections.iter();
            texts.push(PaintedText {
                text: text.galley.job.text.clone(),
                rect: text.galley.mesh_bounds.translate(text.pos.to_vec2()),
                clip,
                size: sizes
                    .map(|section| section.format.font_id.size)
                    .fold(0.0, f32::max),
            });
        }
        _ => {}
    }
}
