//! Text on paper: faces, measuring, and lines that fit their place.
//!
//! The report's face is B612. What it does not have is taken from DejaVu Sans; what that has not
//! either, and what would have to be shaped or written from right to left, is shown as its code
//! point (`\u{4E2D}`). So no character ever vanishes.

use std::cell::Cell;
use std::ops::Range;

use krilla::text::Font;
use skrifa::charmap::Charmap;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::{FontRef, MetadataProvider};

use super::pdf::PdfError;

const REGULAR_FILE: &[u8] = include_bytes!("faces/B612-Regular.otf");
const BOLD_FILE: &[u8] = include_bytes!("faces/B612-Bold.otf");
const BEHIND_FILE: &[u8] = include_bytes!("faces/DejaVuSans.ttf");

/// Scripts that are written from right to left or whose letters change with their neighbours:
/// drawn one by one in the order of storage they would read wrong. From the blocks of the Unicode
/// Standard; what lies in none of them and is in no face is a code point anyway.
const SHAPED: [(u32, u32); 7] = [
    (0x0590, 0x08FF), // Hebrew, Arabic, Syriac, Thaana, NKo, Samaritan, Mandaic
    (0x0900, 0x0DFF), // the scripts of India and Sri Lanka
    (0x0E00, 0x109F), // Thai, Lao, Tibetan, Myanmar
    (0x1780, 0x18AF), // Khmer, Mongolian
    (0xFB1D, 0xFDFF), // presentation forms
    (0xFE70, 0xFEFF), // presentation forms, byte order mark
    (0x10800, 0x10FFF),
];

/// Characters that have no ink and are no spaces, or that steer what stands around them; private
/// ones mean nothing outside the house that made them up.
const UNSEEN: [(u32, u32); 13] = [
    (0x0000, 0x001F),
    (0x007F, 0x009F),
    (0x00AD, 0x00AD),
    (0x034F, 0x034F),
    (0x115F, 0x1160),
    (0x200B, 0x200F),
    (0x2028, 0x202E),
    (0x2060, 0x206F),
    (0x3164, 0x3164),
    (0xE000, 0xF8FF),
    (0xFE00, 0xFE0F),
    (0xFFF0, 0xFFFF),
    (0xE0000, 0x10FFFF),
];

/// Weight of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    /// What is read on.
    Regular,
    /// What is read first.
    Bold,
}

/// A face, by its place in [`Faces`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Face {
    /// B612 Regular.
    Regular,
    /// B612 Bold.
    Bold,
    /// DejaVu Sans.
    Behind,
}

/// The file of a face.
pub(super) fn face_file(face: Face) -> &'static [u8] {
    match face {
        Face::Regular => REGULAR_FILE,
        Face::Bold => BOLD_FILE,
        Face::Behind => BEHIND_FILE,
    }
}

/// A glyph and the text that it stands for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Glyph {
    pub(super) id: u32,
    /// Bytes of the run's text.
    pub(super) text: Range<usize>,
    /// Over the size.
    pub(super) advance: f32,
}

/// Glyphs of one face.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Run {
    pub(super) face: Face,
    pub(super) text: String,
    pub(super) glyphs: Vec<Glyph>,
}

/// A line that is set: its size is chosen when it is measured, so it keeps it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    pub(super) runs: Vec<Run>,
    /// Points, without the space at its end.
    pub(super) width: f32,
    /// Points.
    pub(super) size: f32,
}

impl Line {
    /// From line to line, points.
    pub(super) fn leading(&self) -> f32 {
        leading(self.size)
    }
}

/// From line to line at that size, points.
pub(super) fn leading(size: f32) -> f32 {
    (size * 1.3 * 4.0).round() / 4.0
}

struct Measures {
    font: Font,
    chars: Charmap<'static>,
    metrics: GlyphMetrics<'static>,
    units_per_em: f32,
}

/// The faces of a report.
pub(super) struct Faces {
    regular: Measures,
    bold: Measures,
    behind: Measures,
    has_escaped: Cell<bool>,
}

/// One character as it is drawn.
#[derive(Clone, Copy)]
struct Set {
    face: Face,
    id: u32,
    advance: f32,
}

impl Faces {
    /// The faces that are built in.
    ///
    /// # Errors
    ///
    /// A face cannot be read, which is a fault of the build.
    pub(super) fn load() -> Result<Self, PdfError> {
        Ok(Self {
            regular: Measures::of(REGULAR_FILE, "B612 Regular")?,
            bold: Measures::of(BOLD_FILE, "B612 Bold")?,
            behind: Measures::of(BEHIND_FILE, "DejaVu Sans")?,
            has_escaped: Cell::new(false),
        })
    }

    /// The face for the painter.
    pub(super) fn font(&self, face: Face) -> Font {
        self.measures(face).font.clone()
    }

    fn measures(&self, face: Face) -> &Measures {
        match face {
            Face::Regular => &self.regular,
            Face::Bold => &self.bold,
            Face::Behind => &self.behind,
        }
    }

    fn set(&self, one: char, weight: Weight) -> Option<Set> {
        if is_escaped(one) {
            return None;
        }
        let first = match weight {
            Weight::Regular => Face::Regular,
            Weight::Bold => Face::Bold,
        };
        [first, Face::Behind].into_iter().find_map(|face| {
            let measures = self.measures(face);
            let glyph = measures
                .chars
                .map(one)
                .filter(|glyph| glyph.to_u32() != 0)?;
            let advance = measures.metrics.advance_width(glyph).unwrap_or_default();
            Some(Set {
                face,
                id: glyph.to_u32(),
                advance: advance / measures.units_per_em,
            })
        })
    }

    /// Whether any text that was set so far had a character that stands as its code point.
    pub(super) fn has_escaped(&self) -> bool {
        self.has_escaped.get()
    }

    /// What will be seen of a text: itself, or code points in the place of what has no glyph.
    pub(super) fn seen(&self, text: &str, weight: Weight) -> String {
        let mut seen = String::with_capacity(text.len());
        for one in text.chars() {
            match self.set(one, weight) {
                Some(_) => seen.push(one),
                None => {
                    self.has_escaped.set(true);
                    seen.extend(one.escape_unicode());
                }
            }
        }
        seen
    }

    /// Width of a text in one line, points.
    pub(super) fn width(&self, text: &str, weight: Weight, size: f32) -> f32 {
        let seen = self.seen(text, weight);
        seen.chars()
            .map(|one| self.advance(one, weight))
            .sum::<f32>()
            * size
    }

    fn advance(&self, one: char, weight: Weight) -> f32 {
        self.set(one, weight).map_or(0.0, |set| set.advance)
    }

    /// One line, however long.
    pub(super) fn line(&self, text: &str, weight: Weight, size: f32) -> Line {
        self.set_line(&self.seen(text, weight), weight, size)
    }

    /// One line that fits: cut with `...` where it does not.
    pub(super) fn cut(&self, text: &str, weight: Weight, size: f32, room: f32) -> Line {
        let whole = self.line(text, weight, size);
        if whole.width <= room {
            return whole;
        }
        let seen = self.seen(text, weight);
        let mut room = room / size - self.width("...", weight, 1.0);
        let fits = seen.chars().take_while(|one| {
            room -= self.advance(*one, weight);
            room >= 0.0
        });
        let cut = fits.collect::<String>() + "...";
        self.set_line(&cut, weight, size)
    }

    /// Lines that are no wider than the room: broken after spaces and after punctuation before a
    /// letter, and inside a word only where it is longer than a line. A text without a character
    /// is one empty line.
    pub(super) fn wrapped(&self, text: &str, weight: Weight, size: f32, room: f32) -> Vec<Line> {
        let mut lines = Vec::new();
        for paragraph in text.split('\n') {
            self.wrap_paragraph(
                &self.seen(paragraph, weight),
                weight,
                size,
                room,
                &mut lines,
            );
        }
        lines
    }

    fn wrap_paragraph(
        &self,
        seen: &str,
        weight: Weight,
        size: f32,
        room: f32,
        lines: &mut Vec<Line>,
    ) {
        let room = room / size;
        let mut start = 0;
        let mut width = 0.0;
        // The last place where the line may end, and the width up to it.
        let mut stop: Option<(usize, f32)> = None;
        let mut before = ' ';
        let mut chars = seen.char_indices().peekable();
        while let Some((at, one)) = chars.next() {
            let advance = self.advance(one, weight);
            if width + advance > room && one != ' ' && at > start {
                let (end, used) = stop.unwrap_or((at, width));
                lines.push(self.set_line(&seen[start..end], weight, size));
                start = end;
                width -= used;
                stop = None;
                if width + advance > room && at > start {
                    lines.push(self.set_line(&seen[start..at], weight, size));
                    start = at;
                    width = 0.0;
                }
            }
            width += advance;
            let next = chars.peek().map_or(' ', |&(_, next)| next);
            if may_end_after(before, one, next) {
                stop = Some((at + one.len_utf8(), width));
            }
            before = one;
        }
        lines.push(self.set_line(&seen[start..], weight, size));
    }

    fn set_line(&self, seen: &str, weight: Weight, size: f32) -> Line {
        let mut runs: Vec<Run> = Vec::new();
        let mut width = 0.0;
        let mut ink_width = 0.0;
        for one in seen.chars() {
            let Some(set) = self.set(one, weight) else {
                continue; // only seen characters come here
            };
            if runs.last().is_none_or(|run| run.face != set.face) {
                runs.push(Run {
                    face: set.face,
                    text: String::new(),
                    glyphs: Vec::new(),
                });
            }
            if let Some(run) = runs.last_mut() {
                let from = run.text.len();
                run.text.push(one);
                run.glyphs.push(Glyph {
                    id: set.id,
                    text: from..run.text.len(),
                    advance: set.advance,
                });
            }
            width += set.advance * size;
            if one != ' ' {
                ink_width = width;
            }
        }
        Line {
            runs,
            width: ink_width,
            size,
        }
    }
}

impl Measures {
    fn of(file: &'static [u8], name: &'static str) -> Result<Self, PdfError> {
        let face = FontRef::new(file).map_err(|_| PdfError::Face(name))?;
        let metrics = face.glyph_metrics(Size::unscaled(), LocationRef::default());
        let font = Font::new(file.into(), 0).ok_or(PdfError::Face(name))?;
        Ok(Self {
            units_per_em: font.units_per_em(),
            font,
            chars: face.charmap(),
            metrics,
        })
    }
}

/// Whether a line may end there: numbers, dates and times stay whole.
/// A name with numbers in it (`micrometer-25-50`) may end after the hyphen that follows a letter.
fn may_end_after(before: char, one: char, next: char) -> bool {
    if one == '-' && before.is_alphabetic() {
        return next.is_alphanumeric();
    }
    let is_mark = matches!(one, '/' | '-' | ',' | '_' | '.' | ':' | ';');
    one == ' ' || is_mark && next.is_alphabetic()
}

fn is_escaped(one: char) -> bool {
    let code = u32::from(one);
    let is_in = |list: &[(u32, u32)]| list.iter().any(|&(from, to)| (from..=to).contains(&code));
    is_in(&UNSEEN) || is_in(&SHAPED)
}
