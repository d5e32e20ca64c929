//! The guide: a list of its pages, or one of them, in letters of one width so that tables and
//! commands stand as they do in a terminal.

use eframe::egui::{Align2, Rect, Ui, vec2};

use super::guide_reader::GuideDrawn;
use super::line_ui::{Line, cut_left, cut_right_most, cut_top, has_area, inset, name_ui};
use super::look::{Look, REGULAR, fixed, text_width};
use super::press::Press;
use super::room_ui::{Frame, first_seen, fitting};
use super::view::{GuidePageView, GuideView};
use crate::guide::{LineKind, Page};

const STEP: f32 = 12.0;
const TITLE: f32 = 26.0;
const NAME: f32 = 15.0;
const SMALL: f32 = 12.0;
/// Letters of a page: larger where there is room for a whole line of them (chosen).
const TEXT: (f32, f32) = (13.5, 18.0);
/// The width of a page in sizes of its letters.
const WIDE: f32 = 57.5;
/// From line to line, in sizes of letters.
const LINE: f32 = 4.0 / 3.0;
/// Longer lines are hard to read (chosen).
const COLUMNS_MAX: usize = 100;
/// Height of a row of the list, for fingers too.
const ROW: f32 = 40.0;

/// Paints it into the space that there is.
pub fn guide_ui(
    ui: &mut Ui,
    view: &GuideView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> GuideDrawn {
    let Some(frame) = Frame::begin(ui, (&view.status, &view.keys), look) else {
        return GuideDrawn::default();
    };
    let rest = inset(frame.inside, STEP.min(frame.inside.width() / 12.0));
    let drawn = match &view.page {
        GuidePageView::List { rows, chosen } => {
            list_ui(ui, rest, (rows, *chosen), look, presses);
            GuideDrawn::default()
        }
        GuidePageView::Page { page, from } => page_ui(ui, rest, page, *from, look),
    };
    // Where all of a page is seen there is nothing to read on.
    let is_whole = drawn.lines > 0 && drawn.lines <= drawn.fit;
    let keys = view.keys.iter().filter(|key| !(is_whole && key.key == "*"));
    let keys: Vec<_> = keys.cloned().collect();
    frame.end(ui, (&view.status, &keys), look, presses);
    drawn
}

/// The title at the left, and where one is at the right.
fn title_ui(ui: &mut Ui, rest: &mut Rect, (title, place): (&str, &str), look: &Look) {
    let high = TITLE.min(rest.height() / 4.0);
    let mut top = cut_top(rest, high);
    let wide = text_width(ui.painter(), place, SMALL, REGULAR) + 2.0;
    let right = cut_right_most(&mut top, wide, 0.5);
    let line = Line::regular(SMALL, look.tokens.muted).at(Align2::RIGHT_CENTER);
    line.say(ui, right, "guide place", place);
    Line::bold(NAME, look.tokens.text).say(ui, top, "guide title", title);
}

/// As many rows as there is room for, the chosen one among them.
fn list_ui(
    ui: &mut Ui,
    place: Rect,
    (rows, chosen): (&[&'static Page], usize),
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if !has_area(place) {
        return;
    }
    let mut rest = place;
    let where_at = format!("page {} of {}", chosen + 1, rows.len());
    title_ui(ui, &mut rest, ("The guide", &where_at), look);
    let fit = fitting(rest.height(), ROW, rows.len()).max(1);
    let first = first_seen(chosen, fit);
    for (at, page) in rows.iter().enumerate().skip(first).take(fit) {
        let place = cut_top(&mut rest, ROW).shrink2(vec2(0.0, 1.0));
        row_ui(ui, place, (at, page, at == chosen), look, presses);
    }
}

fn row_ui(
    ui: &mut Ui,
    place: Rect,
    (at, page, is_chosen): (usize, &Page, bool),
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if !has_area(place) {
        return;
    }
    let mark = if is_chosen { ", chosen" } else { "" };
    let said = format!("{} {}: {}{mark}", at + 1, page.title, page.about);
    if name_ui(ui, place, &format!("guide page {at}"), &said, true).clicked() {
        presses.push(Press::Choose(at));
    }
    let (ground, ink, faint) = look.tokens.row(is_chosen);
    ui.painter().rect_filled(place, 0.0, ground);
    let mut inner = place.shrink2(vec2(STEP.min(place.width() / 8.0), 2.0));
    let number = cut_left(&mut inner, 28.0);
    Line::regular(NAME, faint).paint(ui, number, &(at + 1).to_string());
    let top = cut_top(&mut inner, 19.0);
    Line::bold(NAME, ink).paint(ui, top, page.title);
    Line::regular(SMALL, faint).paint(ui, inner, page.about);
}

/// As many lines as there is room for.
fn page_ui(ui: &mut Ui, place: Rect, page: &Page, from: usize, look: &Look) -> GuideDrawn {
    if !has_area(place) {
        return GuideDrawn::default();
    }
    let mut rest = place;
    let size = (place.width() / WIDE).clamp(TEXT.0, TEXT.1);
    let letter = text_width(ui.painter(), "0000000000", size, fixed()) / 10.0;
    let columns = count(place.width(), letter).min(COLUMNS_MAX);
    let lines = page.lines(columns);
    // The title stands above; rules are for where nothing is bold.
    let title = lines.iter().position(|line| line.kind == LineKind::Rule);
    let below = lines.into_iter().skip(title.map_or(0, |at| at + 1));
    let lines = below.skip_while(|line| line.text.is_empty());
    let lines: Vec<_> = lines.filter(|line| line.kind != LineKind::Rule).collect();
    let fit = count(rest.height() - TITLE, size * LINE).max(1);
    let last_begin = lines.len().saturating_sub(1);
    let from = from.min(last_begin);
    let to = (from + fit).min(lines.len());
    let where_at = match fit < lines.len() {
        true => format!("lines {} to {to} of {}", from + 1, lines.len()),
        false => "the whole page".to_owned(),
    };
    title_ui(ui, &mut rest, (page.title, &where_at), look);
    let seen: Vec<&str> = lines[from..to]
        .iter()
        .map(|line| line.text.as_str())
        .collect();
    name_ui(ui, rest, "guide text", &seen.join(" "), false);
    let tokens = &look.tokens;
    for line in &lines[from..to] {
        let place = cut_top(&mut rest, size * LINE);
        let form = match line.kind {
            LineKind::Heading => Line::bold(size * 1.1, tokens.text),
            _ => Line {
                family: fixed(),
                ..Line::regular(size, tokens.text)
            },
        };
        if !line.text.is_empty() && has_area(place) {
            form.paint(ui, place, &line.text);
        }
    }
    GuideDrawn {
        lines: lines.len(),
        fit,
    }
}

/// How many of that size have room.
fn count(room: f32, size: f32) -> usize {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a window has few lines and columns, and the cast stops at the ends"
    )]
    let count = (room / size.max(1.0)).floor() as usize;
    count
}
