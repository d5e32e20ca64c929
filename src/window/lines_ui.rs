//! Lines that are read on where not all of them have room: as many as fit from the one that one
//! has come to, and a sign below that says how many more there are.

use eframe::egui::{Align2, Rect, Ui};

use super::drawn::PageDrawn;
use super::line_ui::{Line, cut_bottom, cut_top, has_area, inset, name_ui};
use super::look::{Look, REGULAR, bold};
use super::paragraph_ui::Paragraph;
use super::room_ui::STEP;
use super::view::SentenceView;

const SMALL: f32 = 12.0;
/// Sentences that all fit are written so large.
const LARGER: f32 = 13.5;
/// Between two of the larger ones.
const GAP: f32 = 4.0;
/// Room for the sign of sentences.
const SIGN: f32 = 15.0;
const NOTICE: f32 = 14.0;
/// What is over by less than this is still seen whole.
const OVER: f32 = 0.5;

/// How lines are read on: what stands between them, and the sign below.
pub(super) struct ReadOn<'a> {
    /// Between one and the next.
    pub(super) gap: f32,
    /// Name of the sign.
    pub(super) id: &'a str,
    /// What it calls them: `line`, `sentence`.
    pub(super) what: &'static str,
    /// Behind the last line: `the end`.
    pub(super) end: &'static str,
    /// Height of its strip, and size of its text.
    pub(super) high: f32,
    pub(super) size: f32,
    pub(super) anchor: Align2,
    /// Its strip is kept free only where not all lines fit.
    pub(super) is_seldom: bool,
}

impl ReadOn<'_> {
    fn sign(&self, below: usize, skipped: usize) -> String {
        let what = self.what;
        match (below, skipped) {
            (0, 0) => String::new(),
            (0, _) => format!("{}; * begins again", self.end),
            (1, _) => format!("1 more {what}; * reads on"),
            (count, _) => format!("{count} more {what}s; * reads on"),
        }
    }
}

/// Paints lines of which some are passed over; `height` says how high one is at a width.
pub(super) fn read_on_ui<T>(
    ui: &mut Ui,
    place: Rect,
    (lines, skipped): (&[T], usize),
    (how, look): (&ReadOn<'_>, &Look),
    height: impl Fn(&Ui, &T, f32) -> f32,
    mut paint: impl FnMut(&mut Ui, Rect, usize, &T),
) -> PageDrawn {
    if !has_area(place) {
        return PageDrawn {
            has_more: !lines.is_empty(),
            ..PageDrawn::default()
        };
    }
    let skipped = skipped.min(lines.len().saturating_sub(1));
    let is_needed = || {
        let all = lines.iter().map(|line| height(ui, line, place.width()));
        skipped > 0 || all.sum::<f32>() > place.height()
    };
    let mut rest = place;
    let below = match how.is_seldom && !is_needed() {
        true => None,
        false => Some(cut_bottom(&mut rest, how.high.min(place.height() / 4.0))),
    };
    let mut shown = 0;
    for (at, line) in lines.iter().enumerate().skip(skipped) {
        let high = height(ui, line, rest.width());
        // One that is higher than the room is cut, rather than never seen.
        if high > rest.height() + OVER && (shown > 0 || !has_area(rest)) {
            break;
        }
        let row = cut_top(&mut rest, high);
        if has_area(row) {
            paint(ui, row, at, line);
        }
        cut_top(&mut rest, how.gap);
        shown += 1;
    }
    let more = lines.len().saturating_sub(skipped + shown);
    if let Some(below) = below {
        let line = Line::regular(how.size, look.tokens.muted).at(how.anchor);
        line.say(ui, below, how.id, &how.sign(more, skipped));
    }
    PageDrawn {
        shown,
        has_more: more > 0,
        fit: 0,
    }
}

fn paragraph<'a>(line: &'a SentenceView, size: f32, look: &Look) -> Paragraph<'a> {
    Paragraph {
        family: if line.is_strong { bold() } else { REGULAR },
        ..Paragraph::regular(&line.text, size, look.tokens.text)
    }
}

/// How high sentences are together at a width, with the sign below them.
pub(super) fn sentences_height(
    ui: &Ui,
    lines: &[SentenceView],
    width: f32,
    size: f32,
    look: &Look,
) -> f32 {
    let high = lines
        .iter()
        .map(|line| paragraph(line, size, look).height(ui, width));
    high.sum::<f32>() + SIGN
}

/// Sentences that all fit so are written larger.
pub(super) fn sentences_size(ui: &Ui, lines: &[SentenceView], rest: Rect, look: &Look) -> f32 {
    let high = lines
        .iter()
        .map(|line| paragraph(line, LARGER, look).height(ui, rest.width()) + GAP);
    match high.sum::<f32>() + SIGN <= rest.height() {
        true => LARGER,
        false => SMALL,
    }
}

/// Paints sentences of which some are passed over; the room's name begins their names.
pub(super) fn sentences_ui(
    ui: &mut Ui,
    place: Rect,
    room: &str,
    (lines, skipped, size): (&[SentenceView], usize, f32),
    look: &Look,
) -> PageDrawn {
    let how = ReadOn {
        gap: if size > SMALL { GAP } else { 0.0 },
        id: &format!("{room} more"),
        what: "sentence",
        end: "the end",
        high: SIGN,
        size: SMALL - 1.0,
        anchor: Align2::RIGHT_CENTER,
        is_seldom: false,
    };
    let height =
        |ui: &Ui, line: &SentenceView, width: f32| paragraph(line, size, look).height(ui, width);
    read_on_ui(
        ui,
        place,
        (lines, skipped),
        (&how, look),
        height,
        |ui, row, at, line| {
            name_ui(ui, row, &format!("{room} line {at}"), &line.text, false);
            paragraph(line, size, look).paint(ui, row);
        },
    )
}

/// Paints why there is nothing to show, and what to do.
pub(super) fn notice_ui(
    ui: &mut Ui,
    place: Rect,
    (id, text): (&str, &str),
    margin: f32,
    look: &Look,
) {
    if !has_area(place) || text.is_empty() {
        return;
    }
    name_ui(ui, place, id, text, false);
    let text = Paragraph::regular(text, NOTICE, look.tokens.text);
    text.paint(ui, inset(place, margin));
}

/// The margin of a notice that stands alone in a room.
pub(super) const NOTICE_MARGIN: f32 = STEP;
