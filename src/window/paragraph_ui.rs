//! Text of several lines that says beforehand how high it will be; control characters are made
//! visible, and what does not fit its place ends with an ellipsis.

use std::sync::Arc;

use eframe::egui::text::{LayoutJob, TextFormat};
use eframe::egui::{Color32, FontFamily, FontId, Galley, Rect, Stroke, Ui};

use super::look::REGULAR;
use super::view::clean;

/// From line to line, in text sizes: closer than the face would have it, still clear.
const LINE: f32 = 1.22;

/// One text in one form.
pub(super) struct Paragraph<'a> {
    pub(super) text: &'a str,
    pub(super) size: f32,
    pub(super) family: FontFamily,
    pub(super) ink: Color32,
}

/// Texts that follow each other in one paragraph.
pub(super) type Runs<'a> = [Paragraph<'a>];

/// A sentence without what cannot be seen; each sentence of the views may be long.
pub(super) fn cleaned(text: &str) -> String {
    // Cut into pieces that are short enough to stay whole.
    const PIECE: usize = 100;
    const MOST: usize = 2_000;
    let letters: Vec<char> = text.chars().take(MOST).collect();
    let pieces = letters.chunks(PIECE);
    pieces
        .map(|piece| clean(&piece.iter().collect::<String>()))
        .collect()
}

/// How high the runs are when they are that wide.
pub(super) fn runs_height(ui: &Ui, runs: &Runs<'_>, width: f32) -> f32 {
    galley(ui, runs, width, usize::MAX).size().y
}

/// Paints the runs from the top of `room` and answers how high they are; what does not fit is
/// left out, and nothing is painted where not even one line fits.
pub(super) fn runs_paint(ui: &Ui, runs: &Runs<'_>, room: Rect) -> f32 {
    paint_with(ui, runs, room, Stroke::NONE)
}

fn paint_with(ui: &Ui, runs: &Runs<'_>, room: Rect, strike: Stroke) -> f32 {
    let least = runs.iter().map(|run| run.size).fold(0.0, f32::max);
    if room.height() < least || room.width() <= 0.0 {
        return room.height().max(0.0);
    }
    let mut rows = usize::MAX;
    let mut laid_out = galley_struck(ui, runs, room.width(), rows, strike);
    if laid_out.size().y > room.height() + 0.5 {
        rows = laid_out
            .rows
            .iter()
            .take_while(|row| row.rect().bottom() <= room.height() + 0.5)
            .count()
            .max(1);
        laid_out = galley_struck(ui, runs, room.width(), rows, strike);
    }
    let height = laid_out.size().y;
    let ink = runs.first().map_or(Color32::WHITE, |run| run.ink);
    ui.painter_at(room.intersect(ui.clip_rect()))
        .galley(room.min, laid_out, ink);
    height
}

fn galley(ui: &Ui, runs: &Runs<'_>, width: f32, rows: usize) -> Arc<Galley> {
    galley_struck(ui, runs, width, rows, Stroke::NONE)
}

fn galley_struck(ui: &Ui, runs: &Runs<'_>, width: f32, rows: usize, strike: Stroke) -> Arc<Galley> {
    let mut job = LayoutJob::default();
    for run in runs {
        let font = FontId::new(run.size.max(1.0), run.family.clone());
        let text = with_glyphs(ui, cleaned(run.text), &font);
        let format = TextFormat {
            line_height: Some((run.size * LINE).ceil()),
            strikethrough: strike,
            ..TextFormat::simple(font, run.ink)
        };
        job.append(&text, 0.0, format);
    }
    job.wrap.max_width = width.max(1.0);
    job.wrap.max_rows = rows;
    ui.painter().layout_job(job)
}

/// What no face has is seen as a replaced character, not as nothing.
fn with_glyphs(ui: &Ui, text: String, font: &FontId) -> String {
    if text.is_ascii() {
        return text;
    }
    ui.painter().fonts_mut(|fonts| {
        let replaced = [char::REPLACEMENT_CHARACTER, '?'];
        let replaced = replaced.into_iter().find(|one| fonts.has_glyph(font, *one));
        let seen = text.chars().filter_map(|letter| {
            let has = fonts.has_glyph(font, letter);
            if has { Some(letter) } else { replaced }
        });
        seen.collect()
    })
}

impl<'a> Paragraph<'a> {
    /// Regular text.
    pub(super) fn regular(text: &'a str, size: f32, ink: Color32) -> Self {
        Self {
            text,
            size,
            family: REGULAR,
            ink,
        }
    }
}

impl Paragraph<'_> {
    /// How high it is when it is that wide.
    pub(super) fn height(&self, ui: &Ui, width: f32) -> f32 {
        runs_height(ui, std::slice::from_ref(self), width)
    }

    /// How wide it is on one line.
    pub(super) fn width(&self, ui: &Ui) -> f32 {
        galley(ui, std::slice::from_ref(self), f32::INFINITY, 1)
            .size()
            .x
    }

    /// Paints it from the top of `room` and answers how high it is.
    pub(super) fn paint(&self, ui: &Ui, room: Rect) -> f32 {
        runs_paint(ui, std::slice::from_ref(self), room)
    }

    /// As [`Paragraph::paint`], struck through: it holds no longer.
    pub(super) fn paint_struck(&self, ui: &Ui, room: Rect) -> f32 {
        let strike = Stroke::new(1.5, self.ink);
        paint_with(ui, std::slice::from_ref(self), room, strike)
    }
}
