//! The largest size of a verdict's word in a room: on one line, or in two parts.

use eframe::egui::Ui;

use super::look::{bold, text_width};

/// Height of a word over its font size, with the air that it needs.
pub(super) const WORD_HIGH: f32 = 1.05;

/// The widths of a word over its font size: on one line, and in two parts if it has them.
pub(super) struct WordForm<'text> {
    whole: f32,
    pub(super) parts: Option<([&'text str; 2], f32)>,
}

/// Parts behind its comma, which the new line stands for; else where its parts are shortest.
pub(super) fn word_form<'text>(ui: &Ui, word: &'text str) -> WordForm<'text> {
    let em = |text: &str| text_width(ui.painter(), text, 40.0, bold()) / 40.0 * 1.02;
    let parted = |one: &'text str, other: &'text str| ([one, other], em(one).max(em(other)));
    let at_comma = word.split_once(", ");
    let spaces = word.match_indices(' ');
    let halves = spaces.filter_map(|(at, _)| Some((word.get(..at)?, word.get(at + 1..)?)));
    let parts = match at_comma {
        Some((one, other)) => Some(parted(one, other)),
        None => halves
            .map(|(one, other)| parted(one, other))
            .min_by(|one, other| one.1.total_cmp(&other.1)),
    };
    WordForm {
        whole: em(word).max(0.5),
        parts,
    }
}

impl WordForm<'_> {
    /// The font size in that room, and whether that is in two parts.
    pub(super) fn size(&self, wide: f32, high: f32) -> (f32, bool) {
        let whole = (wide / self.whole).min(high / WORD_HIGH);
        let parted = self
            .parts
            .map_or(0.0, |(_, most)| (wide / most).min(high / (2.0 * WORD_HIGH)));
        match parted > whole * 1.1 {
            true => (parted, true),
            false => (whole.max(0.0), false),
        }
    }
}
