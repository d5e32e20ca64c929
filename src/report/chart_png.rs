//! Charts as PNG: the same drawing in pixels, letters from the report's own faces, the same bytes
//! on every machine.

use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider, OutlineGlyphCollection};
use tiny_skia::{
    Color, FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, Stroke, StrokeDash,
    Transform,
};

use super::chart::Chart;
use super::chart_svg::{ChartOptions, colour};
use super::drawing::{Anchor, ChartSize, FaceUnreadable, Ink, Pen, Place, Tone, drawing};
use super::pdf_text::{Face, Faces, Line, Weight, face_file};

/// Pixels of the picture for each of the drawing, at most.
const SCALE_MAX: f64 = 4.0;
/// Letters are drawn from outlines of this size.
const EM: f32 = 1000.0;

/// Why there is no picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChartError {
    /// A built-in face cannot be read, which is a fault of the build.
    Face,
    /// The picture would be larger than memory should hold.
    TooLarge,
    /// The picture could not be written as PNG.
    Encoding(String),
}

impl std::fmt::Display for ChartError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Face => FaceUnreadable.fmt(f),
            Self::TooLarge => write!(f, "The picture would be too large."),
            Self::Encoding(why) => write!(f, "The picture could not be made: {why}."),
        }
    }
}

impl std::error::Error for ChartError {}

impl From<FaceUnreadable> for ChartError {
    fn from(_: FaceUnreadable) -> Self {
        Self::Face
    }
}

/// Charts one below the other as a PNG file. `scale` is the number of pixels for each of the size:
/// 2 for sharp print; it is kept between 0.5 and 4.
///
/// # Errors
/// A built-in face cannot be read; the picture is too large.
pub fn chart_png(
    charts: &[Chart],
    size: ChartSize,
    scale: f64,
    options: ChartOptions,
) -> Result<Vec<u8>, ChartError> {
    let drawing = drawing(charts, size, options.decimal_mark)?;
    let scale = if scale.is_finite() { scale } else { 1.0 };
    let scale = scale.clamp(0.5, SCALE_MAX);
    // At most 32 000: the conversion keeps the number.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let side = |length: f64| (length * scale).round() as u32;
    let pixmap = Pixmap::new(side(size.width()), side(size.height()));
    let mut canvas = Canvas {
        pixmap: pixmap.ok_or(ChartError::TooLarge)?,
        #[allow(clippy::cast_possible_truncation)]
        scale: scale as f32,
        letters: Letters::load()?,
        options,
    };
    canvas.pixmap.fill(Color::WHITE);
    for ink in &drawing.inks {
        canvas.paint(ink);
    }
    let bytes = canvas.pixmap.encode_png();
    bytes.map_err(|error| ChartError::Encoding(error.to_string()))
}

struct Canvas {
    pixmap: Pixmap,
    scale: f32,
    letters: Letters,
    options: ChartOptions,
}

impl Canvas {
    fn paint(&mut self, ink: &Ink) {
        match ink {
            Ink::Lines { pieces, pen } => {
                let mut builder = PathBuilder::new();
                for piece in pieces {
                    follow(&mut builder, piece);
                }
                self.stroke(builder.finish(), *pen);
            }
            Ink::Area {
                corners,
                fill,
                edge,
            } => {
                let mut builder = PathBuilder::new();
                follow(&mut builder, corners);
                builder.close();
                let path = builder.finish();
                self.fill(path.as_ref(), *fill);
                if let Some(pen) = edge {
                    self.stroke(path, *pen);
                }
            }
            Ink::Discs { at, radius, tone } => {
                self.fill(circles(at, *radius).as_ref(), *tone);
            }
            Ink::Rings { at, radius, pen } => {
                let path = circles(at, *radius);
                self.fill(path.as_ref(), Tone::White);
                self.stroke(path, *pen);
            }
            Ink::Text {
                at,
                text,
                size,
                is_bold,
                anchor,
                tone,
            } => {
                let weight = match is_bold {
                    true => Weight::Bold,
                    false => Weight::Regular,
                };
                let line = self.letters.faces.line(text, weight, single(*size));
                let back = match anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => 0.5 * line.width,
                    Anchor::End => line.width,
                };
                let path = self
                    .letters
                    .outline(&line, single(at.x) - back, single(at.y));
                self.fill(path.as_ref(), *tone);
            }
        }
    }

    fn ink(&self, tone: Tone) -> Paint<'static> {
        let (red, green, blue) = colour(tone, self.options);
        let mut paint = Paint::default();
        paint.set_color_rgba8(red, green, blue, 255);
        paint.anti_alias = true;
        paint
    }

    fn fill(&mut self, path: Option<&Path>, tone: Tone) {
        let Some(path) = path else { return };
        let paint = self.ink(tone);
        let scaled = Transform::from_scale(self.scale, self.scale);
        self.pixmap
            .fill_path(path, &paint, FillRule::Winding, scaled, None);
    }

    fn stroke(&mut self, path: Option<Path>, pen: Pen) {
        let Some(path) = path else { return };
        let dashes: Vec<f32> = pen.dashes.iter().map(|dash| single(*dash)).collect();
        let stroke = Stroke {
            width: single(pen.width),
            line_cap: LineCap::Butt,
            line_join: LineJoin::Bevel,
            dash: StrokeDash::new(dashes, 0.0),
            ..Stroke::default()
        };
        let paint = self.ink(pen.tone);
        let scaled = Transform::from_scale(self.scale, self.scale);
        self.pixmap
            .stroke_path(&path, &paint, &stroke, scaled, None);
    }
}

/// Places on a picture: f32 holds them to a thousandth of a pixel.
#[allow(clippy::cast_possible_truncation)]
fn single(value: f64) -> f32 {
    value as f32
}

fn follow(builder: &mut PathBuilder, piece: &[Place]) {
    for (at, place) in piece.iter().enumerate() {
        let (x, y) = (single(place.x), single(place.y));
        match at {
            0 => builder.move_to(x, y),
            _ => builder.line_to(x, y),
        }
    }
}

fn circles(at: &[Place], radius: f64) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for place in at {
        builder.push_circle(single(place.x), single(place.y), single(radius));
    }
    builder.finish()
}

/// The faces with the outlines of their letters.
struct Letters {
    faces: Faces,
    regular: OutlineGlyphCollection<'static>,
    bold: OutlineGlyphCollection<'static>,
    behind: OutlineGlyphCollection<'static>,
}

impl Letters {
    fn load() -> Result<Self, ChartError> {
        let outlines = |face: Face| -> Result<OutlineGlyphCollection<'static>, ChartError> {
            let font = FontRef::new(face_file(face)).map_err(|_| ChartError::Face)?;
            Ok(font.outline_glyphs())
        };
        Ok(Self {
            faces: Faces::load().map_err(|_| ChartError::Face)?,
            regular: outlines(Face::Regular)?,
            bold: outlines(Face::Bold)?,
            behind: outlines(Face::Behind)?,
        })
    }

    /// The line's letters, its base line beginning there.
    fn outline(&self, line: &Line, x: f32, y: f32) -> Option<Path> {
        let scale = line.size / EM;
        let mut pen = LetterPen {
            builder: PathBuilder::new(),
            x,
            y,
            scale,
        };
        for run in &line.runs {
            let outlines = match run.face {
                Face::Regular => &self.regular,
                Face::Bold => &self.bold,
                Face::Behind => &self.behind,
            };
            for glyph in &run.glyphs {
                if let Some(outline) = outlines.get(GlyphId::new(glyph.id)) {
                    let settings = DrawSettings::unhinted(Size::new(EM), LocationRef::default());
                    // A letter that cannot be drawn leaves its room empty.
                    drop(outline.draw(settings, &mut pen));
                }
                pen.x += glyph.advance * line.size;
            }
        }
        pen.builder.finish()
    }
}

/// Puts outlines, which grow upwards, on the picture.
struct LetterPen {
    builder: PathBuilder,
    x: f32,
    y: f32,
    scale: f32,
}

impl LetterPen {
    fn across(&self, x: f32) -> f32 {
        self.x + x * self.scale
    }

    fn down(&self, y: f32) -> f32 {
        self.y - y * self.scale
    }
}

impl OutlinePen for LetterPen {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = (self.across(x), self.down(y));
        self.builder.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = (self.across(x), self.down(y));
        self.builder.line_to(x, y);
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let (cx, cy) = (self.across(cx), self.down(cy));
        let (x, y) = (self.across(x), self.down(y));
        self.builder.quad_to(cx, cy, x, y);
    }

    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        let (ax, ay) = (self.across(ax), self.down(ay));
        let (bx, by) = (self.across(bx), self.down(by));
        let (x, y) = (self.across(x), self.down(y));
        self.builder.cubic_to(ax, ay, bx, by, x, y);
    }

    fn close(&mut self) {
        self.builder.close();
    }
}
